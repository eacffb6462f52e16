"""The tables of law: every row sourced and dated, its decimals kept, a broken cell named."""

import csv
import io
import re
import shutil
from decimal import Decimal
from itertools import pairwise

import pytest

from designer.errors import ReadableError
from designer.handbook import EVIDENCE, law, places

LAW = law.load()
TABLES = {
    name: getattr(LAW, name)
    for name in (
        "use_limits",
        "allergens",
        "tolerances",
        "letter_heights",
        "label_names",
        "watched",
    )
}

# Standard atomic weights, CIAAW 2021, abridged.
WEIGHTS = {
    "H": 1.008,
    "C": 12.011,
    "N": 14.007,
    "O": 15.999,
    "Na": 22.990,
    "Cl": 35.45,
    "K": 39.098,
    "Zn": 65.38,
}


def mass(formula):
    """Return the molar mass of a formula [g/mol]."""
    pairs = re.findall(r"([A-Z][a-z]?)(\d*)", formula)
    return sum(WEIGHTS[element] * int(number or 1) for element, number in pairs)


@pytest.fixture
def folder(tmp_path):
    """Return a copy of the shipped tables that may be broken."""
    return shutil.copytree(places.resources() / "law", tmp_path / "law")


@pytest.mark.parametrize("table", TABLES)
def test_every_row_has_a_source_a_mark_and_a_day(table):
    for row in TABLES[table]:
        assert len(row.source) >= 4, row
        assert row.evidence in EVIDENCE, row
        assert re.fullmatch(r"20\d\d-\d\d-\d\d", row.as_of), row


@pytest.mark.parametrize("table", sorted(TABLES.keys() - {"watched"}))
def test_what_was_read_of_a_source_bounds_its_mark(table):
    for row in TABLES[table]:
        assert row.standing in law.STANDINGS, row
        if row.standing in ("memory", "predecessor") or "from memory" in row.source:
            assert row.evidence in ("memory", "estimate"), row


def test_no_table_promises_anything():
    for table in TABLES.values():
        for row in table:
            for text in (value for value in vars(row).values() if isinstance(value, str)):
                assert not re.search(r"\b(safe|compliant|hypoallergenic)\b", text, re.I), text


def test_numbers_are_the_decimals_of_the_file():
    mixture = next(one for one in LAW.use_limits if one.name == "Methylisothiazolinone")
    assert mixture.max_percent == Decimal("0.0015")
    assert str(LAW.allergen("linalool").rinse_off_percent) == "0.01"


# Formulas of the salts, and of the acid that the rule counts.
ACIDS = {
    "Sodium Benzoate": ("C7H5O2Na", "C7H6O2"),
    "Potassium Benzoate": ("C7H5O2K", "C7H6O2"),
    "Sodium Propionate": ("C3H5O2Na", "C3H6O2"),
    "Sodium Salicylate": ("C7H5O3Na", "C7H6O3"),
    "Potassium Sorbate": ("C6H7O2K", "C6H8O2"),
    "Sodium Dehydroacetate": ("C8H7O4Na", "C8H8O4"),
    "Methylparaben": ("C8H8O3", "C7H6O3"),
    "Ethylparaben": ("C9H10O3", "C7H6O3"),
    "Propylparaben": ("C10H12O3", "C7H6O3"),
    "Butylparaben": ("C11H14O3", "C7H6O3"),
    "Chlorhexidine Digluconate": ("C34H54Cl2N10O14", "C22H30Cl2N10"),
    "Zinc Gluconate": ("C12H22O14Zn", "Zn"),
    "Zinc PCA": ("C10H12N2O6Zn", "Zn"),
    "Retinyl Palmitate": ("C36H60O2", "C20H30O"),
}


@pytest.mark.parametrize("name", sorted(ACIDS))
def test_what_counts_of_a_salt_follows_from_atomic_weights(name):
    salt, counted = ACIDS[name]
    rules = [one for one in LAW.use_limits if one.name == name and one.max_percent]
    assert rules
    for rule in rules:
        assert float(rule.factor) == pytest.approx(mass(counted) / mass(salt), abs=6e-5)


def test_every_factor_below_one_is_recomputed_above():
    assert {one.name for one in LAW.use_limits if one.factor != 1} == set(ACIDS)


def test_the_allergen_list_is_the_old_one_and_the_additions():
    """24 old names still declared and 56 additions: secondary lists of Reg (EU) 2023/1545."""
    told = [one for one in LAW.allergens if one.status == "declare"]
    assert sum(one.list == "2003" for one in told) == 24
    doubtful = {one.name for one in told if "one secondary table only" in one.note}
    assert doubtful == {"6-Methyl Coumarin"}
    assert sum(one.list == "2023" for one in told) - len(doubtful) == 56


def test_great_britain_has_its_own_row_where_its_rule_was_read():
    for name in ("Zinc Pyrithione", "BHT", "Methyl Salicylate", "Butylphenyl Methylpropional"):
        shown = [one for one in LAW.rules("UK") if one.name == name]
        assert [one.authority for one in shown] == ["UK"]


@pytest.mark.parametrize("scheme", ["EU", "CA"])
def test_tolerances_join_at_every_boundary(scheme):
    rows = [one for one in LAW.tolerances if one.scheme == scheme]
    for lower, upper in pairwise(rows):
        assert lower.to_g == upper.from_g
        ends = {
            one.tolerance_g or one.tolerance_percent * lower.to_g / 100 for one in (lower, upper)
        }
        assert len(ends) == 1


def test_us_tolerances_in_grams_are_those_in_pounds_cut_off():
    for one in LAW.tolerances:
        if one.tolerance_lb is not None:
            grams = one.tolerance_lb * Decimal("453.592")
            assert grams.quantize(Decimal("0.1"), rounding="ROUND_DOWN") == one.tolerance_g


@pytest.mark.parametrize(
    ("inci", "kind", "found"),
    [
        ("Avena Sativa (Oat) Kernel Flour", "origin", "oat"),
        ("Hydrolyzed Milk Protein", "origin", "milk"),
        ("Cocos Nucifera (Coconut) Milk", "origin", "coconut"),
        ("Oat Milk Powder", "origin", "oat"),
        ("Goat Milk Powder", "origin", "milk"),
        ("Peanut Oil", "origin", "peanut"),
        ("Sodium Lardate", "origin", "animal"),
        ("PEG-150 Distearate", "ethoxylated", ""),
        ("Sodium Trideceth Sulfate", "ethoxylated", ""),
        ("PPG-5-Ceteth-20", "ethoxylated", ""),
        ("TEA-Lauryl Sulfate", "amine", "salt of a tertiary amine"),
        ("Melaleuca Alternifolia (Tea Tree) Leaf Oil", "amine", None),
        ("Sodium Sesquicarbonate", "carbonate", ""),
        ("Meadow Flour", "origin", None),
        ("Retinyl Palmitate", "heat", ""),
        ("Limnanthes Alba (Meadowfoam) Seed Oil", "amine", None),
        ("Sodium Carbonate", "carbonate", ""),
        ("Dicaprylyl Carbonate", "carbonate", None),
    ],
)
def test_a_stem_is_words_of_a_name_and_no_piece_of_one(inci, kind, found):
    seen = LAW.watching(kind, inci)
    assert (None if seen is None else seen.words) == found


def write(path, change):
    rows = list(csv.reader(io.StringIO(path.read_text())))
    change(rows)
    text = io.StringIO()
    csv.writer(text, lineterminator="\n").writerows(rows)
    path.write_text(text.getvalue())


@pytest.mark.parametrize(
    ("table", "row", "column", "text", "words"),
    [
        ("use_limits", "Phenoxyethanol", "max_percent", "much", '"much" is not a number'),
        ("use_limits", "Phenoxyethanol", "max_percent", "", "needs it"),
        ("use_limits", "Phenoxyethanol", "max_percent", "101", "not plausible"),
        ("use_limits", "Phenoxyethanol", "kind", "maximum", "not one of"),
        ("use_limits", "Phenoxyethanol", "markets", "EU;XX", "Not all are among"),
        ("use_limits", "Phenoxyethanol", "groups", "alcohols", 'no row "(group) alcohols"'),
        ("use_limits", "Phenoxyethanol", "source", "", "empty"),
        ("use_limits", "Phenoxyethanol", "as_of", "", "empty"),
        ("fragrance_allergens", "Linalool", "rinse_off_percent", "", "empty"),
        ("fragrance_allergens", "Linalool", "name", "Limonene", "stands in line"),
        ("net_content", "EU", "from_g", "-1", "not plausible"),
        ("label_names", "Aqua", "colour", "blue", "not one of"),
        ("watch", "Panthenol", "match", "near", "not one of"),
    ],
)
def test_a_broken_cell_is_named(folder, table, row, column, text, words):
    def change(rows):
        found = next(cells for cells in rows if row in cells)
        found[rows[0].index(column)] = text

    write(folder / f"{table}.csv", change)
    with pytest.raises(ReadableError) as caught:
        law.load(folder)
    assert f"{table}.csv" in caught.value.title
    assert column in caught.value.title
    assert words in caught.value.problem


def test_a_missing_table_is_named(folder):
    (folder / "watch.csv").unlink()
    with pytest.raises(ReadableError, match=r"watch\.csv"):
        law.load(folder)


def own(tmp_path, table, *rows):
    """Return a folder with own rows of a table, each a change of a shipped row."""
    with (places.resources() / "law" / f"{table}.csv").open(newline="") as file:
        shipped = list(csv.DictReader(file))
    folder = tmp_path / "own"
    folder.mkdir(exist_ok=True)
    with (folder / f"{table}.csv").open("w", newline="") as file:
        writer = csv.DictWriter(file, list(shipped[0]), lineterminator="\n")
        writer.writeheader()
        for name, change in rows:
            writer.writerow({**next(one for one in shipped if one["name"] == name), **change})
    return folder


def test_an_own_limit_stands_for_the_shipped_one_in_its_markets_alone(tmp_path):
    change = {"markets": "EU", "max_percent": "0.8", "authority": "own", "source": "my assessor"}
    made = law.with_own(LAW, own(tmp_path, "use_limits", ("Phenoxyethanol", change)))
    found = {
        market: [str(one.max_percent) for one in made.rules(market) if one.name == "Phenoxyethanol"]
        for market in ("EU", "UK")
    }
    assert found == {"EU": ["0.8"], "UK": ["1.0"]}
    assert len(made.use_limits) == len(LAW.use_limits) + 1


def test_an_own_allergen_takes_the_place_of_the_shipped_one(tmp_path):
    change = {"rinse_off_percent": "0.005", "source": "draft act"}
    made = law.with_own(LAW, own(tmp_path, "fragrance_allergens", ("Citral", change)))
    assert str(made.allergen("citral").rinse_off_percent) == "0.005"
    assert len(made.allergens) == len(LAW.allergens)


def test_own_tables_without_a_source_or_a_table_are_refused(tmp_path):
    with pytest.raises(ReadableError, match="Neither"):
        law.with_own(LAW, tmp_path)
    with pytest.raises(ReadableError, match="empty"):
        law.with_own(LAW, own(tmp_path, "use_limits", ("Phenoxyethanol", {"source": ""})))
