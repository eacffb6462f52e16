"""`new`: a table becomes a recipe, and what is wrong in it is told all at once, nothing written."""

import pytest

from designer.recipe import file
from designer.terminal import run

HEAD = "inci_name,common_name,percent,phase,class\n"


def new(tmp_path, lines, *more):
    table, path = tmp_path / "bar.csv", tmp_path / "bar.toml"
    table.write_text(HEAD + lines, encoding="utf-8")
    return run(["new", str(path), "--from-csv", str(table), *more]), path


def test_every_row_that_is_unknown_is_told_with_the_grades_it_may_mean(capsys, tmp_path):
    lines = "Sodium Cocoyl Isethionate,,60,,\nCocamidopropyl Betaine,,15,,\nKaolin,white clay,5,,\n"
    code, path = new(tmp_path, lines + "X,plum water,5,,\n")
    told = capsys.readouterr().err
    assert code == 2
    assert not path.exists()
    for words in ("SCI fine powder", "CAPB 30 %", "CAPB powder", "plum water", "row 4"):
        assert words in told
    assert "white clay" not in told


def test_phases_come_from_the_handbook_the_class_and_the_table(capsys, tmp_path):
    lines = (
        "Kaolin,white clay,60,,\nTheobroma Cacao Seed Butter,,15,,\nX,plum water,9,,liquid\n"
        "Phenoxyethanol,phenoxyethanol,1,,\nGlycerin,glycerin,5,,\nGlycerin,glycerin,10,last,\n"
    )
    code, path = new(tmp_path, lines)
    assert code == 0, capsys.readouterr().err
    phases = [(row.name, row.phase) for row in file.read(path).rows]
    assert phases == [
        ("white clay", "powder"),
        ("Theobroma Cacao Seed Butter", "melt"),
        ("plum water", "liquid"),
        ("phenoxyethanol", "last"),
        ("glycerin", "liquid"),
        ("glycerin", "last"),
    ]


def test_a_file_is_written_over_only_by_force_and_kept_when_the_table_is_bad(capsys, tmp_path):
    code, path = new(tmp_path, "Kaolin,white clay,100,,\n")
    assert code == 0
    before = path.read_text(encoding="utf-8")
    assert new(tmp_path, "Kaolin,white clay,90,,\n")[0] == 2
    assert path.read_text(encoding="utf-8") == before
    assert new(tmp_path, "X,plum water,90,,\n", "--force")[0] == 2
    assert path.read_text(encoding="utf-8") == before
    assert new(tmp_path, "Kaolin,white clay,90,,\n", "--force")[0] == 0
    assert path.read_text(encoding="utf-8") != before


BAD_TABLES = {
    "two readings": ('Kaolin,white clay,"1,250",powder,\n', "1,250"),
    "nan": ("Kaolin,white clay,nan,powder,\n", "line 2"),
    "inf": ("Kaolin,white clay,inf,powder,\n", "line 2"),
    "negative": ("Kaolin,white clay,-3,powder,\n", "line 2"),
    "a million": ("Kaolin,white clay,1000000,powder,\n", "line 2"),
    "no number": ("Kaolin,white clay,much,powder,\n", "much"),
    "phase": ("Kaolin,white clay,5,first,\n", "first"),
    "class": ("X,plum water,5,liquid,gas\n", "gas"),
    "nothing": ("", "no ingredient"),
}


@pytest.mark.parametrize("kind", sorted(BAD_TABLES))
def test_a_bad_cell_is_named_in_one_sentence(capsys, tmp_path, kind):
    lines, named = BAD_TABLES[kind]
    code, path = new(tmp_path, lines)
    told = capsys.readouterr().err
    assert code == 2
    assert named in told
    assert len(told.splitlines()) == 1
    assert "mistake of the program" not in told
    assert not path.exists()


@pytest.mark.parametrize("name", ["", " ", "absent/bar.toml", "a\0b.toml"])
def test_a_place_that_cannot_be_written_is_told(capsys, tmp_path, name, monkeypatch):
    monkeypatch.chdir(tmp_path)
    (tmp_path / "bar.csv").write_text(HEAD + "Kaolin,white clay,100,,\n", encoding="utf-8")
    assert run(["new", name, "--from-csv", "bar.csv"]) == 2
    assert len(capsys.readouterr().err.splitlines()) == 1
    assert [path.name for path in tmp_path.iterdir()] == ["bar.csv"]
