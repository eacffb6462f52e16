"""Tables from a spreadsheet: what they read as, and which cell is at fault."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from designer.errors import ReadableError
from designer.recipe import QS, file, resolve
from designer.recipe.table import parse_csv

TABLE = """\
inci_name,percent,common_name,phase,held
Theobroma Cacao Seed Butter,6.5,cocoa butter,melt,no
Sodium Cocoyl Isethionate,q.s.,"SCI, fine",powder,
Kaolin,5,white clay,Powder,yes
Parfum,0.5,,last,x
"""


def refusal(text, phase_of=None):
    with pytest.raises(ReadableError) as caught:
        parse_csv(text, "herbs.csv", phase_of)
    assert caught.value.title.startswith("herbs.csv")
    assert caught.value.advice.endswith(".")
    return caught.value


def figures(recipe):
    return [row.percents["1"] for row in recipe.rows]


def test_a_table_becomes_a_recipe_of_one_variant():
    recipe = parse_csv(TABLE, "folder/oat and clay.csv")
    assert recipe.name == "oat and clay"
    assert recipe.numbers == ("1",)
    assert [row.name for row in recipe.rows] == [
        "cocoa butter",
        "SCI, fine",
        "white clay",
        "Parfum",
    ]
    assert [row.phase for row in recipe.rows] == ["melt", "powder", "powder", "last"]
    assert figures(recipe) == [6.5, QS, 5.0, 0.5]
    assert [sorted(row.held) for row in recipe.rows] == [[], [], ["1"], ["1"]]
    assert recipe.rows[0].inci == "Theobroma Cacao Seed Butter"
    assert recipe.bench.stated_batch is None


def test_it_can_be_written_and_read_as_a_recipe_file(tmp_path):
    source, target = tmp_path / "oat.csv", tmp_path / "oat.toml"
    source.write_text(TABLE, encoding="utf-8")
    recipe = file.from_csv(source)
    file.write(recipe, target)
    assert file.read(target) == recipe


@pytest.mark.parametrize(
    "text",
    [
        TABLE.replace("\n", "\r\n"),
        "\ufeff" + TABLE,
        TABLE.replace("inci_name,percent", "INCI Name, PERCENT ").replace("held\n", "Held\n"),
        TABLE.replace('"SCI, fine"', "SCI fine").replace(",", ";").replace("6.5", "6,5"),
        TABLE.replace('"SCI, fine"', "SCI fine").replace(",", "\t"),
        "\n\n" + TABLE.replace("Kaolin", "\n , ,\nKaolin"),
        TABLE.rstrip("\n"),
    ],
)
def test_the_usual_spreadsheets_say_the_same(text):
    assert figures(parse_csv(text, "oat.csv")) == [6.5, QS, 5.0, 0.5]


def test_a_comma_beside_semicolons_is_a_decimal_comma():
    assert figures(parse_csv("inci_name;percent;phase\nKaolin;1,250;powder", "a.csv")) == [1.25]


def test_masses_make_the_batch():
    recipe = parse_csv("inci_name,percent,phase\nA,12 g,melt\nB,0.4 kg,powder\nC,68g,liquid", "a")
    assert recipe.bench.batch == pytest.approx(0.48)
    assert figures(recipe) == [2.5, 83.3333, 14.1667]
    assert resolve(recipe).masses[0] == pytest.approx([0.012, 0.4, 0.068], rel=1e-5)


def test_ounces_make_the_batch_too():
    recipe = parse_csv("inci_name,percent,phase\nA,4 oz,melt\nB,12 oz,powder", "a.csv")
    assert figures(recipe) == [25.0, 75.0]
    # Source: the international avoirdupois pound of 1959, 0.45359237 kg.
    assert recipe.bench.batch == pytest.approx(0.45359237)


def test_a_missing_phase_is_asked_of_the_caller_by_either_name():
    asked = []

    def phase_of(name):
        asked.append(name)
        return {"Kaolin": "powder"}.get(name)

    table = "inci_name,percent,common_name\nKaolin,100,white clay"
    assert parse_csv(table, "a.csv", phase_of).rows[0].phase == "powder"
    assert asked == ["white clay", "Kaolin"]


def test_columns_that_are_not_known_are_named_and_left_out():
    recipe = parse_csv("inci_name,percent,phase,shop\nKaolin,100,powder,corner", "a.csv")
    assert recipe.unknown == ("column shop",)


def test_the_class_of_an_unknown_ingredient_can_be_given():
    table = "inci_name,percent,phase,class\nPlum Water,100,liquid,Liquid"
    assert parse_csv(table, "a.csv").rows[0].given_class == "liquid"


def test_rows_of_one_ingredient_are_kept_apart():
    table = "inci_name,percent,phase\nKaolin,60,powder\nKaolin,40,powder"
    assert figures(parse_csv(table, "a.csv")) == [60.0, 40.0]


HEAD = "inci_name,percent,phase,held\n"


@pytest.mark.parametrize(
    ("text", "title", "problem"),
    [
        ("", "herbs.csv", "empty"),
        ("\ufeff\n", "herbs.csv", "empty"),
        ("inci_name,phase\nKaolin,powder", "herbs.csv, line 1", "no column percent"),
        ("percent\n3", "herbs.csv, line 1", "no column inci_name"),
        ("Kaolin,5\nParfum,2", "herbs.csv, line 1", "no column inci_name"),
        ("inci_name,percent,Percent\nA,1,2", "herbs.csv, line 1", "two columns percent"),
        (HEAD, "herbs.csv", "no ingredient below the header"),
        (HEAD + "Kaolin,1,powder\n" * 501, "herbs.csv", "501 ingredients are too many"),
        (HEAD + "Kaolin,,powder,", "herbs.csv, line 2, column percent", "Nothing is typed"),
        (HEAD + "Kaolin", "herbs.csv, line 2, column percent", "Nothing is typed"),
        (HEAD + "\nKaolin,-1,powder,", "herbs.csv, line 3, column percent", "-1 is outside"),
        (HEAD + "Kaolin,101,powder,", "herbs.csv, line 2, column percent", "101 is outside"),
        (HEAD + "Kaolin,nan,powder,", "herbs.csv, line 2, column percent", "not a finite"),
        (HEAD + 'Kaolin,"1,250",powder,', "herbs.csv, line 2, column percent", "may mean"),
        (HEAD + 'Kaolin,"1.234,5",powder,', "herbs.csv, line 2, column percent", "may mean"),
        (HEAD + "Kaolin,lots,powder,", "herbs.csv, line 2, column percent", "not a number"),
        (HEAD + "Kaolin,3 m,powder,", "herbs.csv, line 2, column percent", "not a mass"),
        (HEAD + "A,3 g,melt,\nB,4,melt,", "herbs.csv, line 3, column percent", "this one is not"),
        (HEAD + "A,3 g,melt,\nB,q.s.,melt,", "herbs.csv, line 3, column percent", "this one is"),
        (HEAD + "A,0 g,melt,", "herbs.csv", "All masses are zero"),
        (HEAD + "A,1 g,melt,", "herbs.csv, batch", "outside"),
        (HEAD + "Kaolin,5,mud,", "herbs.csv, line 2, column phase", "'mud' is not a phase"),
        (HEAD + "Kaolin,5,,", "herbs.csv, line 2, column phase", "in which phase Kaolin"),
        (HEAD + "Kaolin,5,melt,maybe", "herbs.csv, line 2, column held", "neither yes nor no"),
        (HEAD + ",5,melt,", "herbs.csv, line 2, column inci_name", "It is empty"),
        (HEAD + "A,q.s.,melt,\nB,q.s.,melt,", "herbs.csv, line 3, column percent", "both q.s."),
        (HEAD + "Kaolin,=B2*2,melt,", "herbs.csv, line 2, cell 2", "is a formula"),
        (HEAD + "@SUM(A1),5,melt,", "herbs.csv, line 2, cell 1", "is a formula"),
        (HEAD + "Kaolin,5,melt,no,left,over", "herbs.csv, line 2", "has 6 cells"),
        (HEAD + 'A,1,melt,\n"Kaolin,5,melt\nB,1,melt', "herbs.csv, line 3", "breaks here"),
        (HEAD + "x" * 200_000 + ",5,melt,", "herbs.csv, line 2", "breaks here"),
    ],
)
def test_a_fault_is_told_with_its_line_and_column(text, title, problem):
    error = refusal(text)
    assert error.title == title
    assert problem in error.problem


def test_the_line_is_that_of_the_file_even_below_a_cell_of_two_lines():
    error = refusal(HEAD + '"Kaolin\nwhite",5,powder,\nB,-1,melt,')
    assert error.title == "herbs.csv, line 4, column percent"


@given(st.text(alphabet=st.sampled_from('abc,;\t"\n=.5 %g-'), max_size=60))
def test_any_table_is_read_or_refused(text):
    try:
        recipe = parse_csv("inci_name,percent,phase\n" + text, "herbs.csv", lambda _: "powder")
    except ReadableError:
        return
    assert file.parse(file.text(recipe)) == recipe


@pytest.mark.parametrize("figure", ["1e6", "1E6", "2.5e+3"])
def test_a_power_of_ten_is_no_mass(figure):
    with pytest.raises(ReadableError, match="percent"):
        parse_csv(f"inci_name,percent\nGlycerin,{figure}\n", "bar.csv", lambda _: "liquid")
