"""Checks in groups, sorted, filtered and as a table a spreadsheet takes."""

from decimal import Decimal

from designer.evaluation.composition import Amount
from designer.evaluation.verdicts import VERDICTS, Check
from designer.exchange.checks_table import as_csv, as_tsv
from designer.wording.check_groups import FILTERS, GROUPS, arranged, check_rows
from designer.wording.checks import _TITLES

FIGURE = Amount(Decimal("0.4"), Decimal("0.5"), Decimal("0.6"))
FOUND = [
    Check("limit", "Benzoic Acid", "over", FIGURE, "%", "as acid", Decimal("0.4"), True),
    Check("limit", "Sorbic Acid", "within", FIGURE, "%", "as acid", Decimal("0.6"), True),
    Check("dust", "=cmd", "not checked"),
    Check("slurry_ph", "", "cannot tell: measure", note="@read it\nagain"),
    Check("heat", "oil", "close"),
    Check("unchecked", "germs", "not checked"),
]


def test_every_kind_of_check_has_one_group():
    codes = [code for group in GROUPS.values() for code in group]
    assert len(set(codes)) == len(codes)
    assert set(_TITLES) | {"limit"} == set(codes)


def test_groups_and_verdicts_hold_every_row_once():
    rows = check_rows(FOUND)
    for by_verdict in (False, True):
        shown = [row for _, under in arranged(rows, by_verdict) for row in under]
        assert sorted(map(id, shown)) == sorted(map(id, rows))
    heads = [head for head, _ in arranged(rows, by_verdict=True)]
    assert heads[0] == "Over a limit of the market"
    assert heads[-1] == "Not looked at by this program"


def test_filters_part_the_verdicts():
    rows = check_rows(FOUND)
    kept = {
        shown: {r.verdict for _, under in arranged(rows, shown=shown) for r in under}
        for shown in FILTERS
    }
    assert kept["all"] == set(VERDICTS)
    assert kept["over"] == {"over"}
    assert kept["not"] == {"not checked"}
    assert kept["needs"] == {"over", "close", "cannot tell: measure"}


def test_a_value_has_its_interval_and_no_basis():
    assert check_rows(FOUND)[0].cells[:4] == (
        "Benzoic Acid",
        "0.5 % (0.4–0.6)",
        "0.4 %",
        "over a limit",
    )


def test_no_cell_is_a_formula_for_a_spreadsheet_and_every_row_is_a_line():
    rows = check_rows([*FOUND, Check("", "=1+1", "close", note="-5")])
    text = as_tsv(rows, "EU")
    assert len(text.split("\n")) == len(rows) + 1
    content = as_csv(rows, "EU", "Tables of today.").decode("utf-8-sig")
    for cell in (cell for line in text.split("\n") for cell in line.split("\t")):
        assert not cell.startswith(("=", "@", "-", "+"))
    assert "'@read it again" in content
    assert "Tables of today." in content
