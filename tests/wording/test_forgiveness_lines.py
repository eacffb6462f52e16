"""What a recipe forgives as the lines of a list."""

import math

import pytest

from designer.advice.forgiveness import Allowance, End, Forgiveness
from designer.advice.variance import Input, Measurement, Uncertainty
from designer.wording.forgiveness_lines import told_of

MINUS = "\N{MINUS SIGN}"
ROOM = Allowance(
    "room",
    "condition",
    294.15,
    End(271.15, 271.15, "stiff", 0.7),
    End(None, 323.15, "", 0.9),
    2.0,
)
BETAINE = Allowance(
    "CAPB 30 %",
    "ingredient",
    0.0857,
    End(None, 0.0, "", 0.8),
    End(0.0937, 0.0937, "sticky", 0.7),
    0.0017,
)
LOT = Allowance(
    "oat flour", "lot", 1.0, End(0.9, 0.9, "sticky", 0.7), End(1.2, 1.2, "stiff", 0.7), 0.05
)
FOUND = Forgiveness("1", 2.64, 0.85, 0.7, 0.7, (ROOM, BETAINE, LOT))


def test_the_weakest_stands_first_with_its_ends_in_few_words():
    told = told_of(FOUND)
    assert [one.name for one in told.drifts] == ["lot of oat flour", "CAPB 30 %", "room"]
    lot, betaine, room = told.drifts
    assert (lot.less, lot.more) == (f"{MINUS}10 %", "+20 %")
    assert (betaine.less, betaine.more) == ("any less", "+8.0 g")
    assert (room.less, room.more) == (f"{MINUS}2 °C", "any more")
    assert told.weakest[0] == "A lot of oat flour that drinks 10 % less makes it stick too often."
    assert told.weakest[1] == "8.0 g more CAPB 30 % in 2.64 kg makes it stick too often."


def test_ends_are_as_far_as_what_is_easily_missed_says():
    lot, betaine, room = told_of(FOUND).drifts
    assert (lot.low, lot.high) == pytest.approx((2.0, 4.0))
    assert (lot.ends_low, lot.ends_high) == (True, True)
    assert betaine.low == pytest.approx(0.0857 / 0.0017)  # as far as was looked: none at all
    assert not betaine.ends_low
    assert room.low == pytest.approx(11.5)


def test_a_batch_is_measured_by_its_ratio():
    batch = Allowance(
        "batch", "condition", 1.0, End(0.5, 0.5, "stiff", 0.7), End(None, 10.0, "", 0.9), 0.1
    )
    told = told_of(Forgiveness("1", 1.0, 0.85, 0.7, 0.7, (batch,))).drifts[0]
    assert told.low == pytest.approx(math.log(2) / 0.1)


def test_what_makes_it_unsure_comes_with_what_to_measure_and_a_caution():
    inputs = (
        Input("powder", "oat flour", 0.4, 0.5, 0.2, 0.3),
        Input("rating", "", 0, 0.01, 0, 0.2),
    )
    worth = (Measurement("blend", "", 0.5), Measurement("rod", "", 0.99))
    told = told_of(FOUND, Uncertainty("1", 1.0, 1.0, inputs, worth))
    assert [one.words for one in told.shares] == ["50 %", "\N{EN DASH}"]
    assert "hardly any of the firmness, 20 % of clean or not" in told.shares[1].spoken
    assert len(told.worth) == 1
    assert "mask" in told.caution
    assert told.rows[0] == ["", "now", "from", "to"]
    assert told.rows[-1][1:] == ["\N{EN DASH}", "20 %"]


def test_without_intervals_the_reason_alone_is_told():
    told = told_of(Forgiveness("1", 1.0, 0.0, 0.7, -0.05, missing="it hardly ever comes clean"))
    assert told.sentence == "It hardly ever comes clean."
    assert told.drifts == ()
