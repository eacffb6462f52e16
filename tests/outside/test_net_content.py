"""Net weight against the rules of the markets: what may stand on the label, and what passes.

Sources: Directive 76/211/EEC Annex I; UK SI 2006/659 Schedule 2; 21 CFR 701.13; C.R.C. c. 417
sections 25-27, 39 and schedules; NIST Handbook 133 chapter 2 (its example 113 g, 7.2 g), other
rows of its table 2-5 from memory. Figures worked out by hand from these, own calculation.
"""

from decimal import Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as st

from designer.errors import ReadableError
from designer.evaluation import net_content as net
from designer.handbook import law

LAW = law.load()


def d(text):
    return Decimal(str(text))


@pytest.mark.parametrize(
    ("given_as", "weight", "text"),
    [
        ("grams", "100", "Net wt. 3.52 oz (100 g)"),
        ("ounces", "3.5", "Net wt. 3.5 oz (99 g)"),
        ("ounces", "24", "Net wt. 24 oz. (1 lb. 8 oz.) 680 g"),
        ("grams", "60", "Net wt. 2.11 oz (60 g)"),
        ("ounces", "64", "Net wt. 4 lb. (1.81 kg)"),
    ],
)
def test_a_label_of_the_united_states_says_both_units_by_the_flooring_rule(given_as, weight, text):
    assert net.declaration("US", **{given_as: d(weight)}).text == text


def test_an_ounce_figure_that_promises_more_is_refused():
    """3.53 oz would promise 100.07 g."""
    assert net.over_declares(d("3.53"), d(100))
    with pytest.raises(ReadableError) as caught:
        net.declaration("US", grams=d(100), ounces=d("3.53"))
    assert "100.07 g" in caught.value.problem
    assert "3.52 oz" in caught.value.advice


@pytest.mark.parametrize("grams", ["0", "0.5", "10001"])
def test_a_weight_that_no_bar_has_is_refused(grams):
    with pytest.raises(ReadableError, match="cannot be that of a bar"):
        net.declaration("EU", grams=d(grams))


@given(st.decimals(1, 10000, places=1))
def test_neither_unit_ever_promises_more_than_there_is(grams):
    made = net.declaration("US", grams=grams)
    assert made.ounces * net.OUNCE <= grams
    assert (made.ounces + d("0.01")) * net.OUNCE > grams


@pytest.mark.parametrize(
    ("market", "grams", "allowed"),
    [
        ("EU", "100", "4.5"),
        ("EU", "37", "3.4"),
        ("EU", "120", "5.4"),
        ("EU", "350", "10.5"),
        ("EU", "60", "4.5"),
        ("UK", "100", "4.5"),
        ("CA", "100", "4.5"),
        ("CA", "250", "9"),
        ("US", "100", "7.2"),
        ("US", "113", "7.2"),
        ("US", "60", "5.4"),
        ("US", "30", "3.0"),
    ],
)
def test_what_one_bar_may_miss_is_that_of_the_market(market, grams, allowed):
    assert net.tolerance(LAW, market, d(grams)) == d(allowed)


def test_at_twice_the_tolerance_no_bar_may_be_sold():
    assert net.short_limit(LAW, "EU", d(100)) == d("91.0")


def test_a_bar_that_misses_by_exactly_the_tolerance_is_not_short():
    """In binary numbers 120 - 114.6 comes out above 5.4."""
    assert 120 - 114.6 > 5.4
    assert not net.is_short(d(120), d("114.6"), net.tolerance(LAW, "EU", d(120)))
    assert net.is_short(d(120), d("114.5"), net.tolerance(LAW, "EU", d(120)))


@pytest.mark.parametrize(("sd", "aim", "wet"), [(1.2, 100.40, "107.4"), (3.0, 102.16, "109.3")])
def test_the_weight_to_aim_at_makes_a_batch_of_24_pass(sd, aim, wet):
    allowed = net.tolerance(LAW, "EU", d(100))
    mean = net.target(d(100), allowed, sd, 24)
    assert mean == pytest.approx(aim, abs=0.005)
    assert net.wet_target(mean, 0.065, d("0.1")) == d(wet)


def test_a_bar_that_is_to_weigh_102_85_g_is_made_of_110_g():
    """110.0 g x (1 - 6.5 %) = 102.85 g; a tenth of a gram more needs a step of the scale more."""
    assert net.wet_target(102.85, 0.065, d("0.1")) == d("110.0")
    assert net.wet_target(102.86, 0.065, d("0.1")) == d("110.1")


def test_the_united_states_allow_a_mean_within_the_error_of_sampling():
    """12 bars, s = 1.10 g: 0.70 g may be missing, 0.50 g are."""
    least = net.least_mean("US", d(100), 1.10, 12, 200)
    assert 100 - least == pytest.approx(0.70, abs=0.005)
    assert least < 99.5


def test_a_small_batch_of_the_european_union_must_reach_its_weight():
    assert net.least_mean("EU", d(100), 1.6, 20, 40) == 100.0


def test_a_batch_of_100_to_500_may_miss_it_by_the_error_of_sampling():
    """30 bars, s = 1.6 g: a mean of 99.20 g passes."""
    assert net.least_mean("EU", d(100), 1.6, 30, 300) == pytest.approx(99.20, abs=0.006)


def test_canada_weighs_ten_of_forty_and_corrects_the_mean():
    """99.4 g + 1.03 x 0.8 g = 100.22 g."""
    assert net.sample_size("CA", 40) == 10
    least = net.least_mean("CA", d(100), 0.8, 10, 40)
    assert 99.4 + 100 - least == pytest.approx(100.22, abs=0.005)


@pytest.mark.parametrize(
    ("market", "n", "factor"),
    [
        ("EU", 30, 0.503),
        ("EU", 50, 0.379),
        ("EU", 20, 0.640),
        ("US", 12, 0.635),
        ("US", 24, 0.422),
        ("US", 48, 0.290),
        ("CA", 2, 45.01),
        ("CA", 5, 2.06),
        ("CA", 10, 1.03),
        ("CA", 20, 0.640),
        ("CA", 32, 0.485),
    ],
)
def test_the_factors_of_the_rules_are_those_of_student(market, n, factor):
    missing = 1000 - net.least_mean(market, d(1000), 1.0, n, 10_000)
    assert missing == pytest.approx(factor, rel=5e-3)


@pytest.mark.parametrize(
    ("market", "lot", "sample"),
    [
        ("CA", 8, 8),
        ("CA", 100, 25),
        ("CA", 129, 32),
        ("US", 250, 12),
        ("US", 251, 24),
        ("EU", 200, 30),
    ],
)
def test_the_sample_is_that_of_the_rule(market, lot, sample):
    assert net.sample_size(market, lot) == sample


@pytest.mark.parametrize(
    ("market", "weights", "reasons"),
    [
        ("EU", ["100"] * 20, ()),
        ("EU", ["99.9"] * 20, ("mean",)),
        ("EU", ["101"] * 19 + ["95.4"], ("short",)),
        ("EU", ["102"] * 19 + ["90.9"], ("short", "very short")),
        ("US", ["101"] * 11 + ["92.7"], ("short",)),
        ("CA", ["101"] * 9 + ["95.4"], ()),
        ("CA", ["101.5"] * 8 + ["95.4", "95.4"], ("short",)),
    ],
)
def test_a_lot_fails_by_what_it_fails(market, weights, reasons):
    made = net.lot_decision(LAW, market, d(100), [d(one) for one in weights], 60)
    assert made.reasons == reasons
    assert made.passes == (not reasons)


def test_a_lot_that_nobody_weighed_is_refused():
    with pytest.raises(ReadableError, match="No bar was weighed"):
        net.lot_decision(LAW, "EU", d(100), [], 10)


@pytest.mark.parametrize(
    ("market", "panel", "grams", "millimetres"),
    [
        ("US", "32.2", "100", "1.5875"),
        ("US", "40", "100", "3.175"),
        ("CA", "32", "100", "1.6"),
        ("CA", "33", "100", "3.2"),
        ("EU", None, "50", "2"),
        ("EU", None, "100", "3"),
        ("UK", None, "201", "4"),
    ],
)
def test_the_letters_have_the_least_height_of_the_market(market, panel, grams, millimetres):
    row = net.letter_height(LAW, market, grams=d(grams), panel=panel and d(panel))
    assert row.height_mm == d(millimetres)


def test_moulded_letters_are_a_sixteenth_of_an_inch_higher():
    row = net.letter_height(LAW, "US", grams=d(100), panel=d(20), moulded=True)
    assert row.height_mm == d("3.175")


def test_without_the_panel_no_height_is_told():
    assert net.letter_height(LAW, "US", grams=d(100)) is None
