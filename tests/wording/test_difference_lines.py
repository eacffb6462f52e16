"""Parts of a difference as figures, rows and texts; the numbers are made up for the test."""

import math

import pytest

from designer.advice.differences import SPLIT, Change, Difference
from designer.wording.difference_lines import details, figure, part_rows, table


def change(name, more, wetness):
    return Change(name, "powder", more, dict(zip(SPLIT, (wetness, 0.1, -0.06, 0.5), strict=True)))


def against_one(number, *changes):
    whole = {name: sum(one.parts[name] for one in changes) for name in SPLIT}
    return Difference(number, "1", changes, whole)


FLOUR, CLAY, WATER = (
    change("flour", 0.02, -0.07),
    change("clay", -0.01, 0.03),
    change("water", 0.01, 0.12),
)


@pytest.mark.parametrize(
    ("quantity", "part", "words"),
    [
        ("wetness", 0.123, "+0.12"),
        ("wetness", -0.087, "−0.09"),
        ("wetness", -0.004, "0"),
        ("log_firmness", math.log(2), "×2.00"),
        ("log_firmness", -math.log(4), "×0.25"),
        ("clean_knead_chance", -0.15, "−3.0"),
        ("dough_temperature", 0.26, "+0.3"),
    ],
)
def test_a_part_has_its_sign_and_no_more_digits_than_it_deserves(quantity, part, words):
    assert figure(quantity, part) == words


def test_rows_stand_by_their_largest_part_and_what_is_the_same_is_empty():
    rows = part_rows([against_one("2", FLOUR, CLAY), against_one("3", CLAY, WATER)], "wetness")
    assert [row.name for row in rows] == ["water", "flour", "clay", "Together"]
    assert [[cell.words for cell in row.cells] for row in rows] == [
        ["", "+0.12"],
        ["−0.07", ""],
        ["+0.03", "+0.03"],
        ["−0.04", "+0.15"],
    ]


def test_what_cannot_be_compared_has_no_figures_and_where_nothing_differs_are_no_rows():
    silent = Difference("3", "1", missing="no forecast of 3: no liquid")
    rows = part_rows([against_one("2", FLOUR), silent], "wetness")
    assert all(row.cells[1].words == "" for row in rows)
    assert (
        part_rows([silent, Difference("4", "1", whole=dict.fromkeys(SPLIT, 0.0))], "wetness") == ()
    )


def test_details_tell_all_that_one_ingredient_does():
    told = details([against_one("2", FLOUR), against_one("3", WATER)], "flour", 0.5)
    assert told == (
        "2 against 1: 10.0 g (2 %) more flour: wetness −0.07, firmness ×1.11, "
        "clean knead −1.2 of 20, temperature +0.5 °C"
    )


def test_the_table_has_plain_numbers():
    head, rows = table([against_one("2", FLOUR, CLAY)], 0.5)
    assert len(head) == len(rows[0])
    assert rows[0] == ("2", "1", "flour", "10.0", "-0.070", "1.105", "-1.20", "0.50")
    assert [row[2] for row in rows] == ["flour", "clay", "together"]
    assert rows[-1][4] == "-0.040"
