"""The draws: fixed streams, exact marginals, and the shipped weights."""

import numpy as np
import pytest
from numpy.testing import assert_allclose

from designer import handbook
from designer.evaluation import draws, knowledge, practice
from designer.evaluation.knowledge import MELT_DRAWS, PRIOR_DRAWS, prior, resampled, shipped, stream

BOOK = handbook.load()


@pytest.mark.parametrize(
    ("name", "first"),
    [
        ("kappa", [-0.61589, 0.19008, 1.80911]),
        ("powder SCI fine powder", [0.63450, -0.47554, -0.64200]),
    ],
)
def test_a_stream_starts_with_its_fixed_numbers(name, first):
    assert_allclose(stream(name, PRIOR_DRAWS)[:3], first, atol=5e-6)


@pytest.mark.parametrize("count", [MELT_DRAWS, PRIOR_DRAWS])
def test_a_stream_is_exactly_normal(count):
    scores = stream("any name", count)
    assert scores.mean() == pytest.approx(0.0, abs=1e-12)
    # The mean square of the mid-rank normal scores lies a little below 1.
    assert (scores**2).mean() == pytest.approx(1.0, abs=0.06 if count == MELT_DRAWS else 4e-4)
    assert np.unique(scores).size == count
    assert not scores.flags.writeable


def test_streams_of_two_names_are_not_related():
    one, other = stream("kappa", PRIOR_DRAWS), stream("W_PL", PRIOR_DRAWS)
    assert abs(np.corrcoef(one, other)[0, 1]) < 0.04


def test_a_new_material_leaves_every_other_stream_as_it_was():
    before = stream("kappa", PRIOR_DRAWS).copy()
    stream("powder a new one", PRIOR_DRAWS)
    stream.cache_clear()
    assert (stream("kappa", PRIOR_DRAWS) == before).all()


def test_stored_weights_are_what_the_model_gives_today():
    """Fails after a change of laws or tables: run ``python -m designer.evaluation.practice``."""
    weights, firmness = practice.evidence(BOOK)
    stored = np.load(handbook.places.resources() / "knowledge" / "usual_practice.npy")
    assert_allclose(stored[0], weights / weights.sum(), rtol=1e-6, atol=1e-12)
    assert_allclose(stored[1], firmness, rtol=1e-6)


def test_usual_practice_leaves_more_than_half_of_the_draws_effective():
    weights = knowledge.practice().weights
    assert 1 / (weights**2).sum() == pytest.approx(4550, abs=60)


def test_shipped_draws_stand_for_the_weighted_prior():
    weighted, few = knowledge.practice(), shipped()
    for attribute in ("demand_factor", "plastic_wetness", "uptake_shift"):
        whole = getattr(draws.dough_draws(BOOK, weighted), attribute) @ weighted.weights
        part = getattr(draws.dough_draws(BOOK, few), attribute).mean()
        spread = getattr(draws.dough_draws(BOOK, weighted), attribute).std()
        assert part == pytest.approx(whole, abs=0.15 * spread)
    assert few.draws == knowledge.SHOWN_DRAWS
    assert few.weights.sum() == pytest.approx(1.0, abs=1e-12)


def test_resampling_even_weights_takes_every_row_once():
    rows = resampled(np.full(64, 1 / 64), np.arange(64.0), 64)
    assert sorted(rows) == list(range(64))


def test_a_parameter_stays_within_the_bounds_its_table_holds_it_to():
    known = prior()
    worth = draws.dough_draws(BOOK, known).set_fat_worth
    assert worth.min() >= 0.1
    assert worth.max() <= 0.9


def test_factors_and_differences_have_their_tabled_spread():
    known = prior()
    kappa = draws.dough_draws(BOOK, known).demand_factor
    assert np.log(kappa).std() == pytest.approx(BOOK.parameters["kappa"].sd, rel=1e-3)
    wetness = draws.dough_draws(BOOK, known).plastic_wetness
    assert wetness.std() == pytest.approx(BOOK.parameters["plastic_wetness"].sd, rel=1e-3)


def test_the_central_draw_is_the_tabled_value():
    central = draws.dough_draws(BOOK, knowledge.central())
    assert central.demand_factor == pytest.approx(BOOK.parameters["kappa"].si)
    assert central.tack_strength == pytest.approx(BOOK.parameters["tack_strength"].si)


def test_powders_of_one_class_share_a_part_of_their_spread():
    known = prior()
    names = ("SCI fine powder", "SLSA powder", "corn starch")
    factors = draws.uptake_factors(tuple(BOOK.powders[n] for n in names), BOOK, known)
    logs = np.log(factors)
    sds = [BOOK.powders[n].uptake_sd for n in names]
    assert_allclose(logs.std(axis=1), sds, rtol=0.03)
    same, other = np.corrcoef(logs)[0, 1], np.corrcoef(logs)[0, 2]
    assert same == pytest.approx(0.01 / (sds[0] * sds[1]), abs=0.04)
    assert abs(other) < 0.04
