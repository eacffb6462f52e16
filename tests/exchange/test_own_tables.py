"""Own rows of limits and allergens in a folder of their own."""

import pytest

from designer.errors import ReadableError
from designer.exchange import own_tables
from designer.exchange.own_tables import ALLERGENS, COLUMNS, LIMITS
from designer.handbook import places
from designer.handbook.law import load


@pytest.mark.parametrize("table", [LIMITS, ALLERGENS])
def test_the_columns_are_those_of_the_shipped_table(table):
    shipped = (places.resources() / "law" / f"{table}.csv").read_text(encoding="utf-8")
    assert tuple(shipped.splitlines()[0].split(",")) == COLUMNS[table]


def test_without_own_rows_the_law_is_the_shipped_one(tmp_path):
    assert own_tables.law(tmp_path) is load()
    assert own_tables.rows(LIMITS, tmp_path) == []


def row(**changes):
    filled = {"name": "Benzoic Acid", "purpose": "preservative", "max_percent": "1", "source": "us"}
    return own_tables.new_row(LIMITS) | filled | changes


def test_own_rows_come_back_and_take_the_place_of_shipped_ones_in_their_markets(tmp_path):
    rows = [row(markets="UK", condition='in "the UK", 1,5'), row(name="Aqua", markets="US")]
    own_tables.save_rows(LIMITS, rows, tmp_path)
    assert own_tables.rows(LIMITS, tmp_path) == rows
    law = own_tables.law(tmp_path)
    assert own_tables.law(tmp_path) is law
    figures = {
        market: [r.max_percent for r in law.rules(market) if r.name == "Benzoic Acid"]
        for market in ("EU", "UK")
    }
    assert [str(one) for one in figures["EU"]] == ["2.5"]
    assert [str(one) for one in figures["UK"]] == ["1"]
    assert law.as_of == load().as_of
    own_tables.save_rows(LIMITS, [], tmp_path)
    assert own_tables.law(tmp_path) is load()


def test_what_cannot_be_used_leaves_the_table_as_it_was(tmp_path):
    own_tables.save_rows(LIMITS, [row()], tmp_path)
    before = (tmp_path / "use_limits.csv").read_bytes()
    with pytest.raises(ReadableError, match="nothing was saved"):
        own_tables.save_rows(LIMITS, [row(), row()], tmp_path)
    with pytest.raises(ReadableError, match="no source"):
        own_tables.save_rows(LIMITS, [row(source=" ")], tmp_path)
    assert (tmp_path / "use_limits.csv").read_bytes() == before
    assert [path.name for path in tmp_path.iterdir()] == ["use_limits.csv"]


def test_a_folder_that_cannot_be_made_is_told(tmp_path):
    (tmp_path / "file").write_text("")
    with pytest.raises(ReadableError, match="cannot be made"):
        own_tables.save_rows(LIMITS, [row()], tmp_path / "file" / "own")


@pytest.mark.parametrize(
    ("change", "problem"),
    [
        ({"name": ""}, "There is no INCI name."),
        ({"max_percent": "some"}, '"some" is not a number.'),
        ({"max_percent": "150"}, "150 is not plausible: 0 to 100 is."),
        ({"max_percent": ""}, 'A limit of kind "legal_max" needs it.'),
        ({"markets": "Moon"}, "Not all are among EU, UK, US, CA."),
        ({"kind": "moon"}, '"moon" is not one of'),
        ({"factor": "0"}, "0 is not plausible"),
        ({"as_of": "soon"}, '"soon" is not a day.'),
        ({"groups": "moons"}, 'There is no row "(group) moons" with its limit.'),
    ],
)
def test_a_row_that_cannot_be_used_is_told_by_its_column(tmp_path, change, problem):
    with pytest.raises(ReadableError) as caught:
        own_tables.save_rows(LIMITS, [row(**change)], tmp_path)
    assert problem in str(caught.value)
    assert next(iter(change)) in caught.value.title
    assert own_tables.rows(LIMITS, tmp_path) == []


def test_an_own_row_for_every_kind_and_choice_of_the_tables_is_taken(tmp_path):
    for table in (LIMITS, ALLERGENS):
        for column in COLUMNS[table]:
            for choice in own_tables.choices(table, column):
                base = row() if table == LIMITS else own_tables.new_row(ALLERGENS)
                one = base | {"name": "Aqua", "source": "us", column: choice}
                own_tables.save_rows(table, [one], tmp_path)
                assert own_tables.rows(table, tmp_path) == [one]
