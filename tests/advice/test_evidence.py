"""What a felt state or a rod reading teaches."""

import numpy as np
import pytest

from designer import handbook
from designer.advice import evidence
from designer.advice.evidence import Felt, Looked, Rod
from designer.errors import ReadableError
from designer.evaluation import knowledge
from designer.evaluation.knowledge import Knowledge
from designer.vocabulary import STATES

BOOK = handbook.load()
RANDOM = np.random.default_rng(11)


def dough(kpa):
    """Return doughs of some strengths with the middle cuts."""
    strength = np.log(1e3 * np.asarray(kpa, dtype=float))
    return Looked(strength, np.full_like(strength, np.log(10e3)), np.full_like(strength, 11.4))


def even(draws):
    return Knowledge(np.arange(draws), np.full(draws, 1 / draws), "tables only")


def test_the_chances_of_all_states_sum_to_one():
    one = dough(np.geomspace(0.5, 300, 50))
    every = [np.exp(evidence.log_likelihood(Felt(state), one, BOOK)) for state in STATES]
    np.testing.assert_allclose(np.sum(every, axis=0), 1.0, atol=1e-12)


def test_a_state_is_likeliest_where_the_dough_has_it():
    one = dough([200.0, 65.0, 20.0, 5.0, 1.0])
    for place, state in enumerate(STATES):
        assert evidence.log_likelihood(Felt(state), one, BOOK).argmax() == place


@pytest.mark.parametrize(("kpa", "gram"), [(3, 138), (10, 461), (21, 968), (45, 2075), (83, 3828)])
def test_the_rod_reads_as_printed(kpa, gram):
    # Worked table of an 8 mm rod with bearing factor 9 (Skempton 1951), from memory.
    assert Rod(gram / 1000).strength(BOOK) == pytest.approx(1e3 * kpa, rel=4e-3)


def test_a_rod_reading_is_normal_in_the_logarithm_with_its_sd():
    one = dough([21.0, 21.0 * np.exp(0.25), 21.0 * np.exp(0.5)])
    rod = Rod(0.9687)
    logs = evidence.log_likelihood(rod, one, BOOK)
    np.testing.assert_allclose(logs - logs[0], [0, -0.5, -2.0], atol=2e-3)


def test_weights_move_by_the_likelihood_and_keep_a_floor():
    known = even(4)
    likelihood = np.array([1.0, 0.5, 0.25, 0.0])
    with np.errstate(divide="ignore"):
        moved = evidence.weighed(known, np.log(likelihood), BOOK)
    expected = 0.95 * likelihood / likelihood.sum() + 0.05 / 4
    np.testing.assert_allclose(moved.weights, expected, rtol=1e-12)
    assert moved.rows is known.rows
    assert moved.basis == "own batches"
    assert known.weights.tolist() == [0.25] * 4


def test_likelihoods_far_below_the_least_number_are_still_told_apart():
    moved = evidence.weighed(even(2), np.array([-5000.0, -5001.0]), BOOK)
    first, second = (moved.weights - 0.025) / 0.95
    assert first / second == pytest.approx(np.e)


def test_a_later_finding_of_a_batch_counts_a_third():
    first, second, third = RANDOM.normal(size=(3, 6))
    joined = evidence.batch_evidence([first, second, third], BOOK)
    np.testing.assert_allclose(joined, first + (second + third) / 3)
    np.testing.assert_array_equal(evidence.batch_evidence([first], BOOK), first)


def test_repeated_rows_are_one_draw():
    rows = np.array([5, 5, 9, 9])
    assert evidence.effective_draws(Knowledge(rows, np.full(4, 0.25), "tables only")) == 2
    assert evidence.effective_draws(knowledge.central()) == 1
    assert evidence.effective_draws(even(64)) == pytest.approx(64)


def by_kappa(narrow):
    def findings(known):
        scores = known.scores("kappa")
        return -0.5 * ((scores - 1.5) / narrow) ** 2, scores

    return findings


def test_enough_draws_left_keeps_the_rows():
    shown = knowledge.shipped()
    found = evidence.learned(shown, by_kappa(2.0), BOOK)
    assert found.knowledge.rows is shown.rows
    assert found.effective >= evidence.LEAST_EFFECTIVE


@pytest.mark.parametrize("start", [knowledge.shipped(), knowledge.prior(512)])
def test_too_few_draws_left_asks_all_rows_behind_them(start):
    found = evidence.learned(start, by_kappa(0.1), BOOK)
    assert found.knowledge.draws == 512
    assert np.ptp(found.knowledge.weights) < 1e-15
    whole = knowledge.practice() if start.basis == "usual practice" else knowledge.prior()
    exact = evidence.weighed(whole, by_kappa(0.1)(whole)[0], BOOK)
    assert found.effective == pytest.approx(evidence.effective_draws(exact))
    for name, tolerance in (("kappa", 0.02), ("W_PL", 0.15)):
        told = found.knowledge.weights @ found.knowledge.scores(name)
        assert told == pytest.approx(exact.weights @ exact.scores(name), abs=tolerance)


def test_own_batches_are_weighed_as_they_are():
    own = evidence.weighed(knowledge.practice(), by_kappa(0.5)(knowledge.practice())[0], BOOK)
    further = evidence.learned(own, by_kappa(0.5), BOOK).knowledge
    assert further.rows is own.rows


def far(middle, narrow):
    """Return findings about a firmness that is the sum of two parameters, one counting double."""

    def findings(known):
        key = (2 * known.scores("kappa") + known.scores("W_PL")) / 5**0.5
        return -0.5 * ((key - middle) / narrow) ** 2, key

    return findings


@pytest.mark.parametrize(("middle", "narrow"), [(4.0, 0.3), (-5.0, 0.5)])
def test_a_finding_beyond_nearly_all_draws_is_met_by_draws_made_around_it(middle, narrow):
    found = evidence.learned(knowledge.prior(512), far(middle, narrow), BOOK)
    assert found.effective < 30
    assert found.belief == pytest.approx(1.0)
    new = found.knowledge
    _, key = far(middle, narrow)(new)
    # What is normal and seen through a normal error (conjugate prior, Gelman et al., Bayesian
    # Data Analysis, section 2.5), apart from the 5 % that stay where they were.
    mean, sd = middle / (1 + narrow**2), narrow / np.sqrt(1 + narrow**2)
    around = key[np.abs(key - mean) < 4 * sd]
    assert around.size / key.size == pytest.approx(0.95, abs=0.01)
    assert np.mean(around) == pytest.approx(mean, abs=0.1)
    assert np.std(around) == pytest.approx(sd, rel=0.15)
    # Each parameter moves by its part, and keeps what the finding tells nothing about.
    here = np.abs(key - mean) < 4 * sd
    for name, part in (("kappa", 2 / 5**0.5), ("W_PL", 1 / 5**0.5), ("R", 0.0)):
        scores = new.scores(name)[here]
        assert scores.mean() == pytest.approx(part * mean, abs=0.2)
        assert scores.std() == pytest.approx(np.hypot((1 - part**2) ** 0.5, part * sd), rel=0.1)


def test_draws_made_for_one_finding_are_believed_less_by_another_that_they_hardly_allow():
    first = evidence.learned(knowledge.prior(512), far(4.0, 0.3), BOOK).knowledge
    again = evidence.learned(first, far(-4.0, 0.1), BOOK)
    assert again.belief < 1
    assert evidence.effective_draws(again.knowledge) > 50


def test_the_central_draw_learns_nothing():
    found = evidence.learned(knowledge.central(), by_kappa(0.1), BOOK)
    assert found.knowledge.weights.tolist() == [1.0]


def test_words_that_are_no_state_and_readings_that_are_none_are_refused():
    with pytest.raises(ReadableError, match="not a state of a dough"):
        Felt("wet")
    with pytest.raises(ReadableError, match="not possible"):
        Rod(-0.1)
    with pytest.raises(ReadableError, match="not possible"):
        Rod(float("nan"))
