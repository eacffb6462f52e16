"""Fats against each other: distances and balances against a table worked out beforehand.

Source of DISTANCES and BALANCES: our own worked tables, made with another implementation of the
same equations (plain model, without the attraction of acids and alcohols) before this one was
written, printed to 0.1 and to whole grams. 80 g of a butter in 200 g of melt go out.
"""

import numpy as np
import pytest

from designer import handbook
from designer.advice.fats import fat_model

BOOK = handbook.load()
MODEL = fat_model(BOOK)
OIL, ALCOHOL = BOOK.melts["sunflower oil"], BOOK.melts["cetostearyl alcohol 50/50"]
BUTTERS = {
    "kokum": "kokum butter",
    "illipe": "illipe butter",
    "sal": "sal butter",
    "mango": "mango butter",
    "cocoa": "cocoa butter",
    "shea": "shea butter, West African",
    "coconut": "coconut oil",
    "cupuacu": "cupuacu butter",
}
REST = {
    "cetostearyl alcohol 50/50": 50.0,
    "stearic acid, double/triple pressed (C16/C18)": 20.0,
    "25 % active conditioner wax": 40.0,
    "sunflower oil": 10.0,
}
KNEAD = 306.15

DISTANCES = """
illipe   2.3
sal      2.6 2.7
mango    3.8 4.1 1.5
cocoa    3.1 1.6 2.1 3.2
shea     3.7 4.1 1.5 0.4 3.3
coconut  5.0 5.1 3.0 2.0 4.1 2.1
cupuacu  5.5 5.9 3.3 1.8 4.8 2.0 2.0
"""
"""Lower left; the columns are kokum, illipe, sal, mango, cocoa, shea, coconut."""

BALANCES = """
kokum    -      76+3o  79+17a 79+32a 79+2a  79+28a 74+61a 79+45a
illipe   80+6a  -      79+23a 79+38a 79+8a  79+34a 74+67a 79+51a
sal      60+20o 63+17o -      79+15a 70+10o 79+11a 74+44a 79+29a
mango    42+38o 51+29o 58+22o -      60+20o 73+7o  74+30a 79+14a
cocoa    78+3o  75+5o  80+15a 79+30a -      79+26a 74+59a 79+43a
shea     46+34o 54+26o 63+17o 80+3a  62+18o -      74+33a 79+17a
coconut  *      *      *      *      *      *      -      *
cupuacu  25+55o 38+42o 38+42o 48+32o 49+31o 43+37o 75+16a -
"""
"""Row out, column in: grams of the stand-in + grams of oil (o) or alcohol (a); * no stand-in."""

_PAIRS = [
    (line.split()[0], new, cell)
    for line in BALANCES.strip().splitlines()
    for new, cell in zip(BUTTERS, line.split()[1:], strict=True)
    if cell != "-"
]


def kept(model, old, out=80.0):
    others = sum(g * model.parts(BOOK.melts[name].components) for name, g in REST.items())
    return model.kept(others, BOOK.melts[BUTTERS[old]], out, KNEAD)


@pytest.mark.parametrize("line", DISTANCES.strip().splitlines(), ids=lambda line: line.split()[0])
def test_distances_of_butters_are_those_of_the_table(line):
    name, *printed = line.split()
    for other, figure in zip(BUTTERS, printed, strict=False):
        found = MODEL.distance(BOOK.melts[BUTTERS[name]], BOOK.melts[BUTTERS[other]])
        assert found == pytest.approx(float(figure), abs=0.051)


@pytest.mark.parametrize("old", BUTTERS)
def test_butters_balance_each_other_as_in_the_table(old):
    what = kept(MODEL.ideal, old)
    for _, new, cell in (pair for pair in _PAIRS if pair[0] == old):
        found = MODEL.ideal.balance(what, BOOK.melts[BUTTERS[new]], OIL, ALCOHOL)
        if cell == "*":
            assert found.residual > 0.5, new
            continue
        amount, extra = cell[:-1].split("+")
        assert found.residual < 0.5
        assert found.amount == pytest.approx(float(amount), abs=1.0), new
        assert found.extra == pytest.approx(float(extra), abs=1.0), new
        assert found.companion is (OIL if cell[-1] == "o" else ALCOHOL), new


def test_the_attraction_moves_the_balance_of_cocoa_as_worked_out():
    # Source as above, with the attraction: 60 g cocoa of 200 g melt, for kokum, illipe and sal.
    rest = {
        "shea butter, West African": 30.0,
        "cetostearyl alcohol 50/50": 50.0,
        "stearic acid, double/triple pressed (C16/C18)": 20.0,
        "25 % active conditioner wax": 40.0,
    }
    others = sum(g * MODEL.parts(BOOK.melts[name].components) for name, g in rest.items())
    for model, printed in (
        (MODEL.ideal, {"kokum": (54.3, 6.0), "illipe": (53.8, 6.4), "sal": (60.0, 7.7)}),
        (MODEL, {"kokum": (52.6, 7.6), "illipe": (53.3, 6.8), "sal": (59.7, 6.9)}),
    ):
        what = model.kept(others, BOOK.melts["cocoa butter"], 60.0, KNEAD)
        for new, (amount, extra) in printed.items():
            found = model.balance(what, BOOK.melts[BUTTERS[new]], OIL, ALCOHOL)
            assert found.amount == pytest.approx(amount, abs=0.5), new
            assert found.extra == pytest.approx(extra, abs=0.5), new


@pytest.mark.parametrize("name", BUTTERS)
def test_a_butter_stands_in_for_itself_gram_for_gram(name):
    found = MODEL.balance(kept(MODEL, name), BOOK.melts[BUTTERS[name]], OIL, ALCOHOL)
    assert found.amount == pytest.approx(80.0, abs=0.05)
    assert found.extra == pytest.approx(0.0, abs=0.05)


def test_the_distance_is_none_to_itself_and_the_same_both_ways():
    melts = [BOOK.melts[name] for name in BUTTERS.values()]
    found = np.array([[MODEL.distance(one, other) for one in melts] for other in melts])
    assert np.abs(np.diag(found)).max() == 0
    assert np.abs(found - found.T).max() < 1e-12
