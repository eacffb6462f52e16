"""Golden numbers of the joined model: five bars over time, ten chances, one central draw."""

from dataclasses import replace

import numpy as np
import pytest
from bars import recipe

from designer import handbook
from designer.evaluation import knowledge
from designer.evaluation.evaluate import evaluate

BOOK = handbook.load()
MINUTE, DAY = 60.0, 86400.0
TIMES = MINUTE * np.array([1, 5, 6, 7, 8, 9, 10, 12, 14, 16, 18, 20, 20 + 1440, 20 + 14 * 1440.0])
AT = {1: 0, 5: 1, 10: 6, 20: 11}


def dry_holders():
    """Return the handbook without the water that citric acid and panthenol hold.

    The printed 3.07 g of water in balance leaves these two out, though the table has isotherms
    for both; with them it is 3.29 g, the bar dries less and is 2 % softer.
    """
    holders = {
        name: replace(one, model="none") if name in ("Citric Acid", "Panthenol") else one
        for name, one in BOOK.holders.items()
    }
    return replace(BOOK, holders=holders)


DRY_BOOK = dry_holders()

# T °C, liquid share of the melt, W, kPa at 1, 5, 10, 20 min; (kPa, weight share %) at 1 and 14 d.
GOLDEN = {
    1: (
        [30.6, 30.5, 29.6, 28.2],
        [0.898, 0.800, 0.771, 0.733],
        [1.203, 1.107, 1.072, 1.047],
        [5.0, 10.2, 13.4, 16.2],
        [(104, 99.0), (257, 96.9)],
    ),
    2: (
        [29.9, 29.9, 29.2, 27.9],
        [0.892, 0.787, 0.760, 0.723],
        [1.367, 1.257, 1.215, 1.189],
        [1.5, 3.5, 4.7, 5.9],
        [(42, 98.6), (142, 95.5)],
    ),
    4: (
        [32.5, 31.8, 30.7, 28.9],
        [0.957, 0.909, 0.893, 0.868],
        [1.520, 1.409, 1.366, 1.336],
        [0.5, 1.1, 1.5, 1.9],
        [(17, 99.1), (63, 97.2)],
    ),
    7: (
        [27.0, 27.4, 26.6, 25.0],
        [0.858, 0.725, 0.685, 0.639],
        [1.188, 1.082, 1.044, 1.019],
        [5.9, 12.9, 17.1, 20.8],
        [(186, 99.2), (325, 97.2)],
    ),
    10: (
        [28.8, 29.3, 28.7, 27.5],
        [0.806, 0.603, 0.551, 0.496],
        [1.093, 0.997, 0.964, 0.945],
        [11.5, 23.1, 29.2, 34.0],
        [(164, 98.9), (325, 96.3)],
    ),
}
STATES = {1: "sticky", 2: "slack", 4: "slack", 7: "sticky", 10: "pliable"}


@pytest.fixture(scope="module", params=sorted(GOLDEN))
def golden(request):
    number = request.param
    return number, evaluate(recipe(number), DRY_BOOK, knowledge.practice(), TIMES)


def test_a_bar_has_its_printed_course(golden):
    number, result = golden
    celsius, share, wetness, kpa, _ = GOLDEN[number]
    rows = list(AT.values())
    median = lambda array: result.spread(array[0, rows]).value  # noqa: E731
    np.testing.assert_allclose(median(result.temperature) - 273.15, celsius, atol=0.15)
    np.testing.assert_allclose(median(result.melt_liquid_share), share, atol=0.0055)
    np.testing.assert_allclose(median(result.wetness), wetness, atol=0.0035)
    np.testing.assert_allclose(
        np.exp(median(result.log_strength)) / 1000, kpa, rtol=0.02, atol=0.06
    )


def test_a_bar_has_its_printed_firmness_and_weight(golden):
    number, result = golden
    for place, (kpa, weight) in zip((-2, -1), GOLDEN[number][4], strict=True):
        firmness = float(result.spread(result.firmness[0, place]).value) / 1000
        share = 100 * float(result.spread(result.bar_weight_share[0, place]).value)
        assert firmness == pytest.approx(kpa, rel=0.03, abs=0.6)
        assert share == pytest.approx(weight, abs=0.15)


def test_a_bar_starts_in_its_printed_state(golden):
    from designer.vocabulary import STATES as WORDS

    number, result = golden
    assert WORDS[int(result.state_chances[0, 0].argmax())] == STATES[number]


# chance within the window on tables only and with usual practice
CHANCES = {
    1: (0.45, 0.72),
    2: (0.29, 0.22),
    3: (0.42, 0.48),
    4: (0.16, 0.02),
    5: (0.33, 0.34),
    6: (0.40, 0.54),
    7: (0.47, 0.80),
    8: (0.36, 0.47),
    9: (0.53, 0.86),
    10: (0.45, 0.81),
}


@pytest.mark.parametrize("number", sorted(CHANCES))
def test_a_bar_has_its_printed_chance(number):
    tables, practice = CHANCES[number]
    times = TIMES[:12]
    bar = recipe(number)
    plain = evaluate(bar, BOOK, knowledge.prior(), times).clean_knead_chance[0]
    usual = evaluate(bar, BOOK, knowledge.practice(), times).clean_knead_chance[0]
    few = evaluate(bar, BOOK, knowledge.shipped(), times).clean_knead_chance[0]
    assert plain == pytest.approx(tables, abs=0.011)
    assert usual == pytest.approx(practice, abs=0.011)
    assert few == pytest.approx(practice, abs=0.04)


def test_the_central_draw_has_its_printed_numbers():
    result = evaluate(recipe(1), BOOK, knowledge.central(), TIMES)
    dough, at = result.doughs[0], AT[10]
    assert result.temperature[0, at, 0] - 273.15 == pytest.approx(29.53, abs=0.05)
    assert result.melt_liquid_share[0, at, 0] == pytest.approx(0.775, abs=0.002)
    assert dough.polar_demand[at, 0] * 1e5 == pytest.approx(32.127, abs=0.002)
    assert dough.oil_demand[at, 0] * 1e5 == pytest.approx(32.607, abs=0.002)
    assert result.wetness[0, at, 0] == pytest.approx(1.0868, abs=0.002)
    assert result.log_strength[0, at, 0] - np.log(1000) == pytest.approx(2.4865, abs=0.002)


def test_water_in_balance_is_as_printed_once_two_small_holders_are_left_out():
    dry = evaluate(recipe(1), DRY_BOOK, knowledge.central(), TIMES)
    full = evaluate(recipe(1), BOOK, knowledge.central(), TIMES)
    assert 100 * dry.water[0, 0] == pytest.approx(9.27, abs=0.005)
    assert 100 * dry.kept_water[0, 0] == pytest.approx(3.07, abs=0.01)
    assert 100 * full.kept_water[0, 0] == pytest.approx(3.29, abs=0.01)
    assert dry.firmness[0, -2, 0] / 1000 == pytest.approx(99, abs=1.0)
    assert dry.firmness[0, -1, 0] / 1000 == pytest.approx(251, rel=0.02)


def test_marks_of_the_first_bar_are_as_printed():
    result = evaluate(recipe(1), BOOK, knowledge.practice())
    clean, press = result.marks["clean_from"], result.marks["press_before"]
    dent, wrap = result.marks["no_dent_from"], result.marks["wrap_from"]
    assert clean.value[0] / MINUTE == pytest.approx(2.5, abs=0.2)
    assert clean.low[0] / MINUTE == pytest.approx(1.0, abs=0.05)
    assert clean.high[0] / MINUTE == pytest.approx(11.0, abs=1.0)
    assert clean.share[0] == pytest.approx(0.73, abs=0.02)
    assert press.value[0] / MINUTE == pytest.approx(220.0, rel=0.05)
    assert press.share[0] == pytest.approx(0.72, abs=0.02)
    assert dent.value[0] / 3600 == pytest.approx(3.7, rel=0.15)
    assert dent.share[0] == pytest.approx(0.99, abs=0.01)
    assert wrap.value[0] / DAY == pytest.approx(10.0, abs=0.6)
    assert wrap.high[0] / DAY == pytest.approx(13.5, abs=1.0)
