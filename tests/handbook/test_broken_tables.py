"""A broken table says which cell is wrong and what to do, and never ends in a traceback."""

import csv
import io
import shutil

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from designer import handbook
from designer.errors import ReadableError
from designer.handbook import places

TABLES = sorted(path.name for path in (places.resources() / "materials").glob("*.csv"))


@pytest.fixture
def folder(tmp_path):
    """Return a copy of the shipped tables that may be broken."""
    for name in ("materials", "parameters"):
        shutil.copytree(places.resources() / name, tmp_path / name)
    return tmp_path


def change(folder, table, row, column, text):
    """Write `text` into one cell; the row is told by its common name."""
    path = folder / "materials" / table
    rows = list(csv.reader(io.StringIO(path.read_text())))
    header = rows[0]
    found = next(cells for cells in rows if row in cells)
    found[header.index(column)] = text
    write(path, rows)


def write(path, rows):
    text = io.StringIO()
    csv.writer(text, lineterminator="\n").writerows(rows)
    path.write_text(text.getvalue())


def problem(folder):
    """Return the three parts of the message that loading ends with."""
    with pytest.raises(ReadableError) as caught:
        handbook.load(folder)
    error = caught.value
    assert error.title
    assert error.problem.endswith(".")
    assert error.advice.endswith(".")
    return error


@pytest.mark.parametrize(
    ("table", "row", "column", "text", "words"),
    [
        ("powders.csv", "oat flour", "uptake_polar", "", "empty"),
        ("powders.csv", "oat flour", "uptake_polar", "much", '"much" is not a number'),
        ("powders.csv", "oat flour", "uptake_polar", "1,1", '"1,1" is not a number'),
        ("powders.csv", "oat flour", "uptake_polar", "nan", "not plausible"),
        ("powders.csv", "oat flour", "uptake_polar", "inf", "not plausible"),
        ("powders.csv", "oat flour", "uptake_polar", "-1", "0.05 to 5 g/g"),
        ("powders.csv", "oat flour", "uptake_polar", "110", "0.05 to 5 g/g"),
        ("powders.csv", "oat flour", "source", "", "empty"),
        ("powders.csv", "oat flour", "evidence", "surely", "not one of measured"),
        ("powders.csv", "oat flour", "material_class", "flower", "not one of"),
        ("powders.csv", "oat flour", "name", "White  Clay", "stands in line"),
        ("powders.csv", "oat flour", "name", "", "empty"),
        ("powders.csv", "SCI fine powder", "moisture_fraction", "0.3", "exceed the whole"),
        ("powders.csv", "linseed powder", "bulk_density", "1.9", "denser than its grains"),
        ("liquids.csv", "CAPB 30 %", "water_fraction", "0.745", "sum to 1.1, not 1"),
        ("melts.csv", "cocoa butter", "components", "TAG_POP:1.2", "share of TAG_POP is 1.2"),
        ("melts.csv", "cocoa butter", "components", "TAG_POP:0.9", "sum to 0.9, not 1"),
        ("melts.csv", "cocoa butter", "components", "TAG_XYZ:1", '"TAG_XYZ" is not in melt_comp'),
        ("melts.csv", "cocoa butter", "components", "POP 100 %", "NAME:share"),
        ("melts.csv", "cocoa butter", "melting_low", "40", "above melting_high"),
        ("melt_components.csv", "TAG_POP", "kinetic_class", "slow", "not one of alc"),
        ("melt_components.csv", "TAG_POP", "molar_mass", "0", "100 to 1200 g/mol"),
        ("holders.csv", "Glycerin", "alpha", "", 'model "poly" needs it'),
        ("holders.csv", "Sodium Chloride", "pitzer_b0", "", 'model "salt" needs it'),
        ("holders.csv", "protein", "gab_k", "1.2", "not plausible"),
        ("holding_rules.csv", "starch desorption", "holder", "sponge", '"sponge" is not in'),
        ("uptake_classes.csv", "flour", "name", "meal", 'class of the powder "oat flour"'),
        ("roles.csv", "oat flour", "name", "oat powder", "not in powders.csv"),
        ("composition.csv", "white clay", "name", "whiter clay", "not in powders.csv"),
        ("practice_recipes.csv", "1", "percent", "5.9", "sums to"),
        ("practice_recipes.csv", "1", "name", "wonder wax", '"wonder wax" is in no material'),
        ("practice_recipes.csv", "1", "phase", "fat", "not one of melt"),
        ("known_good_ranges.csv", "water", "unit", "furlong", "not one of"),
    ],
)
def test_a_wrong_cell_is_named(folder, table, row, column, text, words):
    change(folder, table, row, column, text)
    error = problem(folder)
    assert words in str(error)
    assert ".csv" in str(error)


def test_a_wrong_cell_is_told_by_line_name_and_column(folder):
    change(folder, "powders.csv", "oat flour", "solubility", "some")
    lines = (folder / "materials" / "powders.csv").read_text().splitlines()
    line = next(number for number, text in enumerate(lines, 1) if text.startswith("oat flour,"))
    assert problem(folder).title == f'powders.csv, line {line} ("oat flour"), column "solubility"'


@pytest.mark.parametrize("table", [*TABLES, "columns.toml", "unknown.toml"])
def test_a_missing_table_is_named(folder, table):
    (folder / "materials" / table).unlink()
    error = problem(folder)
    assert error.title == table
    assert "No such file" in error.problem


def test_a_table_that_is_a_folder_is_named(folder):
    (folder / "materials" / "melts.csv").unlink()
    (folder / "materials" / "melts.csv").mkdir()
    assert problem(folder).title == "melts.csv"


@pytest.mark.parametrize(
    ("content", "words"),
    [
        (b"", "has no rows"),
        (b"name,inci\n", "has no rows"),
        (b"\x89PNG\r\n\x1a\n\xff\x00", "not UTF-8 text"),
        (b'name,inci\n"a,b\n', "powders.csv"),
        (b"name,inci\na,b,c\n", "3 cells, the header 2"),
        (b"name,inci\na,b\n", "is missing"),
    ],
)
def test_a_file_that_is_no_such_table_is_refused(folder, content, words):
    (folder / "materials" / "powders.csv").write_bytes(content)
    assert words in str(problem(folder))


def test_a_byte_order_mark_and_foreign_line_ends_do_no_harm(folder):
    path = folder / "materials" / "powders.csv"
    path.write_bytes(b"\xef\xbb\xbf" + path.read_bytes().replace(b"\n", b"\r\n"))
    assert handbook.load(folder).powders == handbook.load().powders


@pytest.mark.parametrize(
    ("entry", "words"),
    [
        ("[x]\nvalue = 1\n", "missing"),
        ("[kappa2\n", "not valid TOML"),
        ("kappa2 = 1.04\n", "not a table"),
        (
            '[x]\nvalue=1\nunit="stone"\nsd=1\nspread="factor"\nsource="s"\nevidence="memory"',
            "stone",
        ),
        ('[x]\nvalue="1"\nunit="1"\nsd=1\nspread="factor"\nsource="s"\nevidence="memory"', "value"),
        (
            '[x]\nvalue=nan\nunit="1"\nsd=1\nspread="factor"\nsource="s"\nevidence="memory"',
            "finite",
        ),
        ('[x]\nvalue=1\nunit="1"\nsd=0\nspread="factor"\nsource="s"\nevidence="memory"', "exactly"),
        (
            '[x]\nvalue=-1\nunit="1"\nsd=1\nspread="factor"\nsource="s"\nevidence="memory"',
            "above 0",
        ),
        ('[x]\nvalue=1\nunit="1"\nsd=1\nspread="range"\nsource="s"\nevidence="memory"', "spread"),
        ('[x]\nvalue=1\nunit="1"\nsd=1\nspread="factor"\nsource=" "\nevidence="memory"', "source"),
        (
            '[x]\nvalue=1\nunit="1"\nsd=1\nspread="factor"\nsource="s"\nevidence="hearsay"',
            "evidence",
        ),
        (
            '[x]\nvalue=1\nunit="1"\nsd=1\nspread="factor"\nsource="s"\nevidence="memory"\nnote="n"',
            '"note" is not known',
        ),
        (
            '[x]\nvalue=1\nunit="1"\nsd=1\nspread="factor"\nsource="s"\nevidence="memory"\nheld_low=2',
            "outside the bounds",
        ),
    ],
)
def test_a_wrong_parameter_is_named(folder, entry, words):
    (folder / "parameters" / "more.toml").write_text(entry)
    error = problem(folder)
    assert words in str(error)
    assert "more.toml" in error.title


def test_a_parameter_stands_in_one_file_only(folder):
    text = (folder / "parameters" / "bar.toml").read_text()
    (folder / "parameters" / "again.toml").write_text(text)
    assert "another file" in problem(folder).problem


def test_parameters_must_not_be_missing(folder):
    shutil.rmtree(folder / "parameters")
    assert problem(folder).title == "Parameters"


def test_a_material_without_role_is_named(folder):
    path = folder / "materials" / "roles.csv"
    rows = [
        cells for cells in csv.reader(io.StringIO(path.read_text())) if "oat flour" not in cells
    ]
    write(path, rows)
    error = problem(folder)
    assert "oat flour" in error.title
    assert "missing" in error.problem


@pytest.mark.parametrize(
    ("old", "new", "words"),
    [
        ('unit = "g/mL"', 'unit = "lb/ft"', "lb/ft"),
        ("low = 0,", "lowest = 0,", "lowest"),
        ("low = 0,", "low = 'zero',", '"low" is not a number'),
    ],
)
def test_a_wrong_column_description_is_named(folder, old, new, words):
    path = folder / "materials" / "columns.toml"
    path.write_text(path.read_text().replace(old, new, 1))
    error = problem(folder)
    assert words in str(error)
    assert error.title.startswith("columns.toml, [")


@pytest.mark.parametrize("table", ["powders", "liquids", "melts", "holders", "practice_recipes"])
def test_a_number_column_without_description_is_named(folder, table):
    path = folder / "materials" / "columns.toml"
    path.write_text(path.read_text().replace(f"[{table}]", f"[other_{table}]"))
    error = problem(folder)
    assert "columns.toml" in error.title
    assert f"{table}.csv" in error.title


def test_stand_ins_are_checked_as_the_tables_are(folder):
    path = folder / "materials" / "unknown.toml"
    text = path.read_text()
    path.write_text(text.replace("water_fraction = 0.8", "water_fraction = 0.9"))
    assert "not 1" in str(problem(folder))
    path.write_text(text.replace("[melt]", "[wax]"))
    assert "unknown.toml" in str(problem(folder))
    path.write_text(text.split("[melt]")[0])
    assert "[melt] is missing" in str(problem(folder))


@settings(
    max_examples=60, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture]
)
@given(data=st.data())
def test_any_garbage_in_any_cell_is_refused_in_words_or_taken(folder, data):
    table = data.draw(st.sampled_from(TABLES))
    path = folder / "materials" / table
    shipped = path.read_text()
    rows = list(csv.reader(io.StringIO(shipped)))
    row = data.draw(st.integers(0, len(rows) - 1))
    column = data.draw(st.integers(0, len(rows[0]) - 1))
    rows[row][column] = data.draw(st.text(max_size=20) | st.floats().map(str))
    try:
        write(path, rows)
        handbook.load(folder)
    except (ReadableError, UnicodeEncodeError):
        pass
    finally:
        path.write_text(shipped)
