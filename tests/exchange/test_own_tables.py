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
