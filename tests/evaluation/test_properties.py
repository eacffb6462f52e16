"""What must hold for any recipe: mass, order, monotony, and numbers that are numbers."""

from dataclasses import replace

import numpy as np
import pytest
from bars import recipe
from hypothesis import given, settings
from hypothesis import strategies as st
from numpy.testing import assert_allclose

from designer import handbook
from designer.evaluation import knowledge
from designer.evaluation.evaluate import evaluate
from designer.evaluation.knowledge import Knowledge, practice, resampled
from designer.evaluation.why import why
from designer.recipe import Bench, Recipe, Row, Variant

BOOK = handbook.load()
POWDERS = sorted(BOOK.powders)
LIQUIDS = sorted(BOOK.liquids)
MELTS = sorted(BOOK.melts)
INERT = [name for name in POWDERS if BOOK.powders[name].solubility == 0.0]
INSOLUBLE = [name for name in POWDERS if BOOK.powders[name].solubility < 0.05]


def few(draws=17) -> Knowledge:
    """Return a small state of knowledge; the claims here hold draw by draw."""
    whole = practice()
    rows = resampled(whole.weights, np.arange(whole.draws, dtype=float), draws)
    return Knowledge(rows, np.full(draws, 1 / draws), "usual practice")


KNOWN = few()
amount = st.floats(0.2, 30.0)


@st.composite
def rows(draw, most=9):
    names = draw(
        st.lists(
            st.one_of(
                st.tuples(st.just("powder"), st.sampled_from(POWDERS)),
                st.tuples(st.sampled_from(["liquid", "last"]), st.sampled_from(LIQUIDS)),
                st.tuples(st.just("melt"), st.sampled_from(MELTS)),
            ),
            min_size=1,
            max_size=most,
            unique_by=lambda pair: pair[1],
        )
    )
    return [(phase, name, draw(amount)) for phase, name in names]


@st.composite
def doughs(draw, powders=INSOLUBLE):
    """Rows that make a dough: mostly powder, some liquid, some melt."""
    powder = draw(st.lists(st.sampled_from(powders), min_size=1, max_size=3, unique=True))
    liquid = draw(st.sampled_from(["CAPB 30 %", "glycerin", "water"]))
    melt = draw(st.lists(st.sampled_from(MELTS), min_size=1, max_size=3, unique=True))
    made = [("powder", name, draw(st.floats(15.0, 60.0))) for name in powder]
    made.append(("liquid", liquid, draw(st.floats(8.0, 25.0))))
    return made + [("melt", name, draw(st.floats(1.0, 8.0))) for name in melt]


def made(rows_of, **bench):
    total = sum(gram for _, _, gram in rows_of)
    return Recipe(
        "any",
        variants=(Variant("1", active=True),),
        rows=tuple(Row(p, n, {"1": 100 * g / total}) for p, n, g in rows_of),
        bench=Bench(**bench),
    )


def evaluated(rows_of, known=KNOWN, **bench):
    return evaluate(made(rows_of, **bench), BOOK, known)


def same(one, other, tolerance=1e-9):
    for name in ("temperature", "wetness", "log_strength", "firmness", "melt_liquid_share"):
        assert_allclose(
            getattr(one, name), getattr(other, name), rtol=tolerance, atol=tolerance, err_msg=name
        )


@settings(max_examples=25, deadline=None)
@given(rows())
def test_every_output_is_finite_and_chances_sum_to_one(rows_of):
    result = evaluated(rows_of)
    for name in (
        "temperature",
        "melt_liquid_share",
        "wetness",
        "firmness",
        "log_strength",
        "tack_cut",
        "crumble_cut",
        "lost_water",
    ):
        assert np.isfinite(getattr(result, name)).all(), name
    assert_allclose(result.state_chances.sum(axis=-1), 1.0, atol=1e-12)
    assert (result.tack_cut <= np.log(45e3)).all()
    assert (result.crumble_cut > np.log(45e3)).all()
    assert 0.0 <= result.clean_knead_chance[0] <= 1.0


@pytest.mark.parametrize(
    "rows_of",
    [
        [("powder", "SCI fine powder", 100.0)],
        [("liquid", "CAPB 30 %", 100.0)],
        [("liquid", "argan oil", 100.0)],
        [("melt", "beeswax", 100.0)],
        [("powder", "corn starch", 60.0), ("liquid", "argan oil", 40.0)],
        [("powder", "corn starch", 60.0), ("liquid", "water", 40.0)],
        [("powder", "citric acid", 60.0), ("liquid", "water", 40.0)],
        [("melt", "cocoa butter", 50.0), ("liquid", "water", 50.0)],
    ],
)
def test_odd_mixtures_stay_finite(rows_of):
    result = evaluated(rows_of)
    assert np.isfinite(result.firmness).all()
    assert np.isfinite(result.wetness).all()


@settings(max_examples=12, deadline=None)
@given(rows_of=doughs(), factor=st.floats(0.1, 10.0))
def test_scaling_all_grams_changes_nothing(rows_of, factor):
    scaled = [(phase, name, gram * factor) for phase, name, gram in rows_of]
    same(evaluated(rows_of), evaluated(scaled))


@settings(max_examples=12, deadline=None)
@given(rows_of=doughs(), data=st.data())
def test_splitting_and_reordering_rows_changes_nothing(rows_of, data):
    at = data.draw(st.integers(0, len(rows_of) - 1))
    part = data.draw(st.floats(0.1, 0.9))
    phase, name, gram = rows_of[at]
    split = [*rows_of[:at], *rows_of[at + 1 :], (phase, name, gram * part)]
    split.insert(0, (phase, name, gram * (1 - part)))
    same(evaluated(rows_of), evaluated(split))


@settings(max_examples=10, deadline=None)
@given(rows_of=doughs(), batch=st.floats(0.1, 5.0))
def test_batch_size_changes_only_the_cooling(rows_of, batch):
    one, other = evaluated(rows_of, batch=0.45), evaluated(rows_of, batch=batch)
    assert_allclose(one.water, other.water)
    assert_allclose(one.lost_water, other.lost_water)
    assert one.mixture.liquid_to_powder == other.mixture.liquid_to_powder
    if batch == pytest.approx(0.45, rel=1e-12):
        same(one, other)


@settings(max_examples=15, deadline=None)
@given(
    rows_of=doughs(),
    more=st.floats(0.5, 5.0),
    kind=st.sampled_from(["CAPB 30 %", "glycerin", "water", "argan oil"]),
)
def test_more_liquid_never_dries(rows_of, more, kind):
    before = evaluated(rows_of)
    after = evaluated([*rows_of, ("liquid", kind, more)])
    kneaded = before.times <= 1200.0
    assert (after.wetness[:, kneaded] >= before.wetness[:, kneaded] - 1e-9).all()


@settings(max_examples=15, deadline=None)
@given(rows_of=doughs(), more=st.floats(0.5, 5.0), kind=st.sampled_from(INSOLUBLE))
def test_more_of_an_insoluble_powder_never_wets(rows_of, more, kind):
    before = evaluated(rows_of)
    after = evaluated([*rows_of, ("powder", kind, more)])
    # What a powder changes in the heat moves wetness a little through the melt.
    at = before.knead
    change = np.median(after.wetness[0, at] - before.wetness[0, at])
    assert change <= 1e-3


@settings(max_examples=15, deadline=None)
@given(rows_of=doughs(), warmer=st.floats(0.5, 10.0))
def test_a_warmer_room_never_stiffens(rows_of, warmer):
    cool, warm = evaluated(rows_of, room=291.15), evaluated(rows_of, room=291.15 + warmer)
    kneaded = cool.times <= 1200.0
    assert (warm.log_strength[:, kneaded] <= cool.log_strength[:, kneaded] + 2e-3).all()
    assert (warm.wetness[:, kneaded] >= cool.wetness[:, kneaded] - 2e-3).all()


@settings(max_examples=10, deadline=None)
@given(rows_of=doughs(INERT))
def test_wetness_falls_while_powders_that_do_not_dissolve_drink(rows_of):
    result = evaluated([row for row in rows_of if row[0] != "melt"])
    kneaded = result.times <= 1200.0
    assert (np.diff(result.wetness[0, kneaded], axis=0) <= 1e-9).all()


@settings(max_examples=10, deadline=None)
@given(rows_of=doughs())
def test_what_the_ingredients_do_to_wetness_sums_to_nothing(rows_of):
    result = evaluated(rows_of)
    parts = why(result, 0)
    total = sum(part.wetness for part in parts)
    assert_allclose(total, 0.0, atol=1e-9)
    vehicle = sum(part.wetness for part in parts if part.kind != "powder")
    assert (vehicle <= result.wetness[0, result.knead] + 1e-9).all()


def test_why_is_the_slope_of_wetness_at_a_frozen_temperature():
    """The reported slope against a real change of one row, to what heat and solution let differ."""
    bar = recipe(1)
    at = [row.name for row in bar.rows].index("CAPB 30 %")
    cell = bar.rows[at].percents["1"]
    central = knowledge.central()
    before = evaluate(bar, BOOK, central)
    after = evaluate(bar.with_percent(at, "1", cell * 1.01), BOOK, central)
    told = next(part for part in why(before, 0) if part.name == "CAPB 30 %")
    moved = (after.wetness - before.wetness)[0, before.knead, 0] / np.log(1.01)
    assert told.wetness[0] == pytest.approx(moved, rel=0.06)


def test_a_row_alone_equals_the_row_among_variants():
    bar = recipe(1)
    names = [row.name for row in bar.rows]
    at = names.index("CAPB 30 %")
    both = Recipe(
        "two",
        variants=(Variant("1", active=True), Variant("2")),
        rows=tuple(
            Row(row.phase, row.name, {"1": row.percents["1"], "2": row.percents["1"]})
            for row in bar.rows
        ),
        bench=bar.bench,
    ).with_percent(at, "2", 14.0)
    together = evaluate(both, BOOK, KNOWN)
    alone = evaluate(bar, BOOK, KNOWN)
    for name in ("temperature", "wetness", "log_strength", "firmness"):
        assert_allclose(getattr(together, name)[0], getattr(alone, name)[0], atol=1e-12, rtol=1e-12)


def test_renaming_a_recipe_or_variant_changes_nothing():
    bar = recipe(1)
    other = bar.with_name("another").rename_variant("1", "other title")
    same(evaluate(bar, BOOK, KNOWN), evaluate(other, BOOK, KNOWN), 0.0)


def test_an_evaluation_cannot_be_written_to():
    result = evaluate(recipe(1), BOOK, KNOWN)
    with pytest.raises(ValueError, match="read-only"):
        result.wetness[0, 0, 0] = 1.0


def test_an_unknown_powder_widens_the_forecast_and_is_named():
    bar = recipe(1)
    known = knowledge.shipped()
    at = [row.name for row in bar.rows].index("corn starch")
    strange = bar.with_row(
        at, replace(bar.rows[at], name="meadow flour", inci=None, given_class="powder")
    )
    sure, unsure = evaluate(bar, BOOK, known), evaluate(strange, BOOK, known)
    assert unsure.mixture.unknown == ("meadow flour",)
    width = lambda r: np.diff(np.quantile(r.log_strength[0, r.knead], [0.1, 0.9]))[0]  # noqa: E731
    assert width(unsure) > width(sure)


@pytest.mark.parametrize("kind", ["powder", "liquid", "melt"])
def test_an_unknown_of_each_kind_is_evaluated(kind):
    phase = {"powder": "powder", "liquid": "liquid", "melt": "melt"}[kind]
    bar = recipe(1).add_row(Row(phase, "meadow something", {"1": 5.0}, given_class=kind))
    result = evaluate(bar, BOOK, KNOWN)
    assert result.mixture.unknown == ("meadow something",)
    assert np.isfinite(result.firmness).all()


def test_what_stand_ins_do_to_wetness_sums_to_nothing_too():
    bar = recipe(1)
    for phase, kind in (("liquid", "liquid"), ("melt", "melt"), ("powder", "powder")):
        bar = bar.add_row(Row(phase, f"meadow {kind}", {"1": 5.0}, given_class=kind))
    total = sum(part.wetness for part in why(evaluate(bar, BOOK, KNOWN), 0))
    assert_allclose(total, 0.0, atol=1e-9)


def test_times_without_the_kneading_window_are_refused():
    with pytest.raises(ValueError, match="kneading window"):
        evaluate(recipe(1), BOOK, KNOWN, np.array([60.0, 120.0]))


@settings(max_examples=60)
@given(start=st.floats(30.0, 7200.0), length=st.floats(0.0, 7200.0))
def test_the_clock_holds_sixty_rising_times_and_the_window_whole(start, length):
    from designer.evaluation.evaluate import clock_times, knead_moment

    window = (start, min(start + length, 7200.0))
    times = clock_times(window)
    assert times.size == 60
    assert (np.diff(times) > 0).all()
    assert window[0] in times
    assert window[1] in times
    assert window[0] <= knead_moment(window) <= window[1]


def test_a_draw_without_weight_is_never_shown():
    from designer.evaluation.spread import percentiles

    shown = percentiles(np.array([0.0, 100.0, 101.0]), np.array([0.5, 0.0, 0.5]), (0.5,))
    assert shown[0] == pytest.approx(50.5)


def test_a_crossing_is_the_first_time_where_it_holds_from_the_start():
    from designer.evaluation.marks import first_crossing

    times = np.array([30.0, 60.0, 600.0])
    rising = np.array([1.0, 1.0, 2.0])[None, :, None]
    never = -rising
    first = first_crossing(times, rising)
    assert first[0, 0] == 30.0
    assert first_crossing(times, rising, after=first)[0, 0] == 30.0
    assert np.isinf(first_crossing(times, never)[0, 0])
