"""Limits: each rule of the table at its edge, sums as acid and groups, and what stays unknown."""

from dataclasses import replace
from decimal import Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as st
from made_up import bar, share, supplied, worked_example

from designer.evaluation.composition import Amount
from designer.evaluation.limits import judged, limit_checks
from designer.evaluation.verdicts import CLOSE, MEASURE, NOT_CHECKED, OVER, WITHIN
from designer.handbook import law

LAW = law.load()
RANK = {WITHIN: 0, NOT_CHECKED: 0, CLOSE: 1, MEASURE: 1, OVER: 2}


def of(made, market="EU", **asked):
    """Return the checks by (code, subject)."""
    return {(one.code, one.subject): one for one in limit_checks(made, LAW, market, **asked)}


def found(made, subject, code="limit", market="EU", **asked):
    return of(made, market, **asked)[code, subject]


# Worked examples; own calculation from the limits of Reg 1223/2009 as amended.


@pytest.mark.parametrize(
    ("blend", "percent", "verdict"), [(1.0, "0.920", CLOSE), (1.2, "1.1", OVER)]
)
def test_benzyl_alcohol_is_judged_in_the_cured_bar(blend, percent, verdict):
    one = found(worked_example(blend), "Benzyl Alcohol")
    digits = Decimal("0.001") if blend == 1 else Decimal("0.1")
    assert one.amount.typical.quantize(digits) == Decimal(percent)
    assert one.verdict == verdict


def test_benzoate_counts_as_acid_and_dehydroacetic_acid_as_it_is():
    made = worked_example()
    benzoate = found(made, "Sodium Benzoate")
    assert benzoate.amount.typical.quantize(Decimal("0.001")) == Decimal("0.091")
    assert benzoate.verdict == WITHIN
    acid = found(made, "Dehydroacetic Acid")
    assert acid.amount.typical.quantize(Decimal("0.001")) == Decimal("0.086")


def test_two_cationics_that_pass_alone_fail_together():
    made = bar(
        supplied("solution", 6, {"Cetrimonium Chloride": 0.29, "Aqua": 0.71}),
        supplied("wax", 4.5, {"Behentrimonium Chloride": 0.8, "Cetyl Alcohol": 0.2}),
    )
    assert found(made, "Cetrimonium Chloride").amount.typical == Decimal("1.74")
    assert found(made, "Behentrimonium Chloride").amount.typical == Decimal("3.60")
    assert found(made, "Cetrimonium Chloride").verdict == WITHIN
    assert found(made, "Behentrimonium Chloride").verdict == WITHIN
    both = found(made, "trimonium_16_18_22", "group_limit")
    assert both.amount.typical == Decimal("5.34")
    assert both.is_broken
    assert found(made, "trimonium_16_18", "group_limit").verdict == WITHIN


def test_parabens_count_as_acid_alone_and_together():
    made = bar(supplied("Methylparaben", 0.30), supplied("Propylparaben", 0.15))
    total = found(made, "parabens_total", "group_limit")
    assert total.amount.typical.quantize(Decimal("1e-4")) == Decimal("0.3873")
    assert total.verdict == WITHIN
    assert found(made, "Propylparaben").verdict == WITHIN
    more = found(bar(supplied("Propylparaben", 0.19)), "Propylparaben")
    assert more.amount.typical.quantize(Decimal("1e-4")) == Decimal("0.1456")
    assert more.verdict == OVER


@pytest.mark.parametrize(
    ("salt", "highest"),
    [
        ("Sodium Benzoate", "2.949"),
        ("Potassium Sorbate", "0.803"),
        ("Sodium Dehydroacetate", "0.678"),
    ],
)
def test_the_highest_amount_of_a_salt_follows_from_its_acid(salt, highest):
    most = Decimal(highest)
    assert found(bar(supplied(salt, most)), salt).verdict == CLOSE
    assert found(bar(supplied(salt, most + Decimal("0.002"))), salt).verdict == OVER


def test_methylisothiazolinone_beside_the_mixture_is_broken_however_little():
    mixture = supplied(
        "mixture",
        0.02,
        {
            "Methylchloroisothiazolinone": 0.01125,
            "Methylisothiazolinone": 0.00375,
            "Aqua": 0.985,
        },
    )
    assert ("exclusive", "Methylisothiazolinone") not in of(bar(mixture))
    beside = bar(mixture, supplied("more", 0.1, {"Methylisothiazolinone": 0.01, "Aqua": 0.99}))
    assert found(beside, "Methylisothiazolinone", "exclusive").is_broken


# Every rule ------------------------------------------------------------------------------------

NUMBERED = [one for one in LAW.use_limits if one.max_percent is not None]
EDGES = {"legal_max", "group_max", "opinion_max", "information", "drug_range_top"}


def members(rule):
    """Return what counts in a sum, by name and factor."""
    group = rule.name.removeprefix("(group) ")
    named = [
        (one.name, one.factor) for one in LAW.use_limits if group in one.groups and not one.is_group
    ]
    stems = [
        (row.stem + " Oil" * (row.match == "word"), rule.factor)
        for row in LAW.watched
        if row.kind == "group_member" and group in row.words.split(";")
    ]
    return dict(named or stems)


def at(rule, factor):
    """Return a bar that holds `factor` of the limit of a rule, shared out over its group."""
    if rule.name == "Methylchloroisothiazolinone (and) Methylisothiazolinone":
        whole = rule.max_percent * factor
        shares = {"Methylchloroisothiazolinone": 0.75, "Methylisothiazolinone": 0.25}
        return bar(supplied("mixture", whole, shares))
    names = members(rule) if rule.is_group else {rule.name: rule.factor}
    amount = rule.max_percent * factor if rule.max_percent else factor / 1000
    each = amount / len(names)
    return bar(*(supplied(name, (each / weight).normalize()) for name, weight in names.items()))


def checks_at(rule, factor):
    made = at(rule, Decimal(factor))
    subject = rule.name.removeprefix("(group) ")
    every = limit_checks(made, LAW, rule.markets[0])
    return next(
        one
        for one in every
        if one.subject == subject
        and one.source.startswith(rule.source)
        and one.limit == rule.max_percent
    )


@pytest.mark.parametrize("rule", NUMBERED, ids=lambda one: f"{one.name}-{one.authority}")
def test_every_numbered_rule_turns_over_at_its_limit(rule):
    """Below at 0.99 of the limit, over at 1.01; what is prohibited at any amount."""
    assert rule.kind in EDGES | {"prohibited"}
    above = checks_at(rule, "1.01")
    if rule.kind == "information":
        assert above.verdict == CLOSE
    else:
        assert above.verdict == OVER
    assert above.is_law == (
        rule.authority in ("EU", "UK", "US")
        and rule.kind in ("legal_max", "group_max", "prohibited")
    )
    if rule.kind != "prohibited":
        below = checks_at(rule, "0.99")
        assert below.verdict == CLOSE
        if rule.factor == 1 and not rule.is_group:
            exactly = checks_at(rule, "1")
            assert exactly.verdict == (OVER if rule.strict else CLOSE)


@pytest.mark.parametrize(
    "rule",
    [one for one in LAW.use_limits if one.max_percent is None],
    ids=lambda one: f"{one.name}-{one.authority}",
)
def test_a_rule_without_a_number_is_never_said_to_be_kept(rule):
    made = bar(supplied(rule.name, 1))
    for one in limit_checks(made, LAW, rule.markets[0]):
        if one.subject == rule.name and one.limit is None:
            assert one.verdict == (MEASURE if rule.kind == "quality" else NOT_CHECKED)
            assert not one.is_broken


NAMES = sorted({one.name for one in NUMBERED if not one.is_group})


@given(st.sampled_from(NAMES), st.integers(1, 3000), st.integers(1, 3000))
def test_no_verdict_gets_better_with_more(name, first, second):
    little, much = sorted((first, second))
    verdicts = [of(bar(supplied(name, Decimal(cents) / 1000))) for cents in (little, much)]
    for key, one in verdicts[0].items():
        assert RANK[one.verdict] <= RANK[verdicts[1][key].verdict], key


AMOUNTS = st.tuples(*(st.integers(0, 300),) * 3).map(
    lambda ends: Amount(*(Decimal(end) / 100 for end in sorted(ends)))
)


@given(AMOUNTS, st.integers(1, 300), st.booleans(), st.booleans(), st.integers(100, 400))
def test_a_verdict_never_falls_as_the_amount_grows(amount, limit, strict, guessed, more):
    bound = Decimal(limit) / 100
    first = judged(amount, bound, strict, guessed)
    second = judged(amount.times(Decimal(more) / 100), bound, strict, guessed)
    assert RANK[first] <= RANK[second]


# What differs by market and purpose ----------------------------------------------------------


def test_a_purpose_other_than_preserving_passes_over_the_lower_limit():
    made = bar(supplied("Salicylic Acid", 1.0))
    assert any(one.is_broken for one in limit_checks(made, LAW, "EU"))
    told = limit_checks(made, LAW, "EU", frozenset({"salicylic acid"}))
    assert not any(one.is_broken for one in told)
    assert any("stated not to be put in to preserve" in one.note for one in told)


def test_a_figure_of_the_union_is_marked_weaker_in_great_britain():
    made = bar(supplied("Phenoxyethanol", 1.2))
    one = found(made, "Phenoxyethanol", market="UK")
    assert one.is_broken
    assert "was not checked" in one.source
    assert one.evidence == "memory"
    assert found(made, "Phenoxyethanol").evidence == "published"


@pytest.mark.parametrize("market", ["US", "CA"])
def test_where_there_is_no_table_it_is_said(market):
    told = of(bar(supplied("Phenoxyethanol", 3)), market)
    assert told["no_table", ""].verdict == NOT_CHECKED
    assert not any(one.is_broken for one in told.values())
    assert ("no_table", "") not in of(bar(supplied("Kaolin", 3)))


# What is not known ----------------------------------------------------------------------------


def test_a_range_that_reaches_over_is_close():
    one = supplied("blend", 1, {})
    parts = (share("Benzyl Alcohol", 0.8, 0.7, 1.0), share("Aqua", 0.2))
    made = bar(replace(one, parts=parts, percent=Decimal("1.05")))
    assert found(made, "Benzyl Alcohol").verdict == CLOSE


def test_a_share_that_nobody_knows_cannot_be_told():
    one = supplied("blend", 2, {})
    parts = (share("Phenoxyethanol", 0.5, 0.0, 1.0), share("Glycerin", 0.5, 0.0, 1.0))
    made = bar(replace(one, parts=parts, guessed=True))
    assert found(made, "Phenoxyethanol").verdict == MEASURE


def test_an_unlisted_material_is_said_not_to_be_checked():
    nameless = supplied("meadow flour", 2, {}, unlisted=True)
    named = supplied("iris", 2, {"Iris Powder": 1}, unlisted=True)
    told = of(bar(nameless, named))
    assert told["no_inci", "meadow flour"].verdict == NOT_CHECKED
    assert told["unlisted", "iris"].verdict == NOT_CHECKED
