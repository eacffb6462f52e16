"""Shares of what is not known: against a reference library, a known function, printed figures."""

import numpy as np
import pytest
from bars import recipe, recipe_of
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.stats import sobol_indices

from designer import handbook
from designer.advice.variance import shares, uncertainty
from designer.evaluation import knowledge
from designer.evaluation.evaluate import evaluate, evaluate_knead
from designer.evaluation.knowledge import Knowledge
from designer.recipe import Row
from designer.wording.uncertainty import (
    input_words,
    measurement_sentences,
    share_words,
    uncertainty_sentence,
)

BOOK = handbook.load()


@pytest.fixture(scope="module")
def found():
    return uncertainty(evaluate(recipe(1), BOOK, knowledge.shipped()), 0)


@settings(max_examples=20)
@given(st.integers(2, 6), st.integers(0, 2**32 - 1))
def test_shares_are_those_of_the_reference_library(inputs, seed):
    """SciPy's sobol_indices is given the same three sets of figures."""
    made = np.random.default_rng(seed).standard_normal((inputs + 2, 64))
    first, total = shares(made[0], made[1], made[2:])
    figures = {"f_A": made[:1], "f_B": made[1:2], "f_AB": made[2:, None]}
    reference = sobol_indices(func=figures, n=64)
    np.testing.assert_allclose(first, reference.first_order.ravel(), atol=1e-12)
    np.testing.assert_allclose(total, reference.total_order.ravel(), atol=1e-12)


def test_shares_of_the_ishigami_function_are_its_known_ones():
    """T. Ishigami, T. Homma 1990: sin x1 + 7 sin^2 x2 + 0.1 x3^4 sin x1, x in +-pi.

    By its closed form 0.3139, 0.4424, 0 of first order and 0.5576, 0.4424, 0.2437 in total.
    """

    def figure(x):
        return np.sin(x[0]) + 7 * np.sin(x[1]) ** 2 + 0.1 * x[2] ** 4 * np.sin(x[0])

    a, b = np.random.default_rng(7).uniform(-np.pi, np.pi, (2, 3, 2**17))
    mixed = np.stack(
        [figure(np.stack([b[k] if k == i else a[k] for k in range(3)])) for i in range(3)]
    )
    first, total = shares(figure(a), figure(b), mixed)
    np.testing.assert_allclose(first, [0.3139, 0.4424, 0.0], atol=0.01)
    np.testing.assert_allclose(total, [0.5576, 0.4424, 0.2437], atol=0.01)


def test_a_figure_that_does_not_vary_has_no_shares():
    first, total = shares(np.ones(8), np.ones(8), np.ones((3, 8)))
    assert not first.any()
    assert not total.any()


@pytest.mark.parametrize(
    ("kinds", "printed"),
    [
        # The program's reference: sd of ln strength of bar 1 when one source varies alone.
        (("powder", "class"), 1.21),
        (("demand",), 0.81),
        (("limits",), np.hypot(0.30, 0.23)),
        (("scale",), np.hypot(0.20, 0.15)),
        (("pace",), np.hypot(0.18, 0.07)),
        (("melt",), 0.16),
        (("dissolving",), 0.15),
        (("set_fat",), 0.12),
    ],
)
def test_each_source_has_its_printed_part_of_the_spread(found, kinds, printed):
    mine = [one for one in found.inputs if one.kind in kinds]
    part = (printed / 1.61) ** 2
    # Alone it varies as its first share says, but for what the others' middle changes of it; the
    # total holds what goes with the others as well. Errors of a first share are 0.015.
    assert part == pytest.approx(sum(one.first for one in mine), rel=0.15, abs=0.015)
    assert part <= 1.15 * sum(one.total for one in mine) + 0.002


def test_all_sources_together_make_the_printed_spread(found):
    assert found.sd_tables == pytest.approx(1.61, abs=0.03)
    assert found.sd_now == pytest.approx(0.76, abs=0.03)
    assert sum(one.first for one in found.inputs) == pytest.approx(1.0, abs=0.12)


def test_tack_and_the_hand_matter_to_the_knead_and_not_to_the_strength(found):
    for kind in ("tack", "rating"):
        one = next(one for one in found.inputs if one.kind == kind)
        assert (one.first, one.total) == (0.0, 0.0)
        assert one.clean_total > 0.1


def test_an_input_swapped_draw_by_draw_gives_the_same_total_share():
    """Without the design: the total share is half the mean square of what one stream does."""
    known = knowledge.prior(512)
    base = evaluate_knead(recipe(1), BOOK, known)

    class Shuffled(Knowledge):
        def scores(self, name):
            scores = super().scores(name)
            return np.roll(scores, 256) if name == "kappa" else scores

    other = evaluate_knead(recipe(1), BOOK, Shuffled(known.rows, known.weights, known.basis))
    change = other.log_strength[0, base.knead] - base.log_strength[0, base.knead]
    mine = uncertainty(base, 0, draws=512)
    share = next(one.total for one in mine.inputs if one.kind == "demand")
    by_hand = (change**2).mean() / 2 / base.log_strength[0, base.knead].var()
    assert share == pytest.approx(by_hand, abs=0.05)


def test_what_to_measure_is_ordered_as_printed(found):
    """The program's reference: a batch beats a rub-out of the blend, that one of every powder."""
    by = {(one.kind, one.of): one.sd_after for one in found.measurements}
    assert by["rod", ""] < by["blend", ""] < by["rub_out", "SCI fine powder"] < found.sd_now
    assert [one.sd_after for one in found.measurements] == sorted(by.values())
    # Of tables alone the blend narrows 1.54 to 0.72 and a rod reading can leave no more than 0.25.
    tables = uncertainty(evaluate(recipe(1), BOOK, knowledge.prior(512)), 0, draws=64)
    after = {one.kind: one.sd_after for one in tables.measurements}
    assert after["blend"] / tables.sd_now == pytest.approx(0.72 / 1.54, abs=0.12)
    assert after["rod"] <= 0.25


def test_words_name_powders_and_what_to_measure(found):
    assert uncertainty_sentence(found).startswith("What makes the firmness most unsure: how much")
    told = measurement_sentences(found)
    assert "read its firmness with a rod" in told[0]
    assert "Rub out the whole powder blend" in told[1]
    assert len({input_words(one) for one in found.inputs}) == len(found.inputs)
    assert share_words(0.004) == "-"
    assert share_words(0.256) == "26 %"


def test_an_ingredient_that_the_handbook_does_not_know_is_a_source_of_its_own():
    made = recipe(1).add_row(Row("liquid", "well water of ours", {"1": 3.0}, given_class="liquid"))
    one = uncertainty(evaluate(made, BOOK, knowledge.shipped()), 0, draws=64)
    volume = next(one for one in one.inputs if one.kind == "volume")
    assert volume.of == "well water of ours"
    assert volume.total > 0
    assert "not in the handbook" in input_words(volume)


def test_outside_the_model_nothing_is_shared_out():
    powder = recipe_of({("powder", "SCI fine powder"): 100.0})
    found = uncertainty(evaluate_knead(powder, BOOK, knowledge.shipped()), 0)
    assert found.inputs == ()
    assert uncertainty_sentence(found).startswith("No forecast: ")


def test_it_stops_when_asked():
    result = evaluate_knead(recipe(1), BOOK, knowledge.shipped())
    with pytest.raises(InterruptedError):
        uncertainty(result, 0, stop=lambda: True)
