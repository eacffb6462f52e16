"""Carrying a recipe along the two directions of the dough map."""

from dataclasses import replace
from decimal import Decimal
from pathlib import Path

import numpy as np
import pytest
from bars import recipe as bar
from hypothesis import assume, given
from hypothesis import strategies as st
from numpy.testing import assert_allclose

from designer import handbook
from designer.errors import ReadableError
from designer.evaluation.mixture import mix
from designer.evaluation.paths import moved, paths, scaled_shares
from designer.recipe import QS, Recipe, Row, Variant, file, resolve

BOOK = handbook.load()
FOLDER = Path(__file__).parents[2] / "demo_recipes"
DEMOS = sorted(path.name for path in FOLDER.glob("*.toml"))
POINTS = [(x, y) for x in (0.1, 0.19, 0.28, 0.37, 0.46) for y in (0.06, 0.12, 0.18, 0.28)]


def made(*rows, held=()):
    """Return a recipe of one variant from (phase, name, percent)."""
    return Recipe(
        "any",
        variants=(Variant("1", active=True),),
        rows=tuple(
            Row(phase, name, {"1": cell}, held=frozenset("1") if name in held else frozenset())
            for phase, name, cell in rows
        ),
    )


def simple(sci=60.0, starch=6.0, **held):
    return made(
        ("melt", "cocoa butter", 10.0),
        ("melt", "cetyl alcohol (95 %+)", 4.0),
        ("powder", "SCI fine powder", sci),
        ("powder", "corn starch", starch),
        ("liquid", "CAPB 30 %", 14.0),
        ("liquid", "glycerin", 4.0),
        ("last", "fragrance oil", 1.0),
        ("last", "citric acid", 1.0),
        **held,
    )


def way_of(recipe, variant=0):
    amounts = resolve(recipe)
    return paths(recipe, amounts, mix(recipe, amounts, BOOK), variant)


def place(recipe, variant=0):
    way = way_of(recipe, variant)
    return way.liquid_to_powder, way.melt_fraction


def figures(recipe, number="1"):
    return {row.name: row.percents.get(number) for row in recipe.rows}


def total(recipe, number="1"):
    cells = figures(recipe, number).values()
    stated = sum(Decimal(repr(cell)) for cell in cells if cell is not None and cell is not QS)
    return max(stated, Decimal(100)) if QS in cells else stated


@st.composite
def mixes(draw):
    """A dough with every kind of row: held, zero, absent, q.s., in strange phases, any total."""
    cell = st.one_of(
        st.integers(1, 400).map(lambda hundredths: hundredths / 100), st.floats(0.02, 4.0)
    )
    few = st.one_of(st.none(), st.just(0.0), cell)
    rows = [
        ("melt", "cocoa butter", draw(st.integers(20, 90)) / 10),
        ("melt", "cetyl alcohol (95 %+)", draw(few)),
        ("melt", "stearic acid, double/triple pressed (C16/C18)", draw(few)),
        ("melt", "white clay", draw(few)),
        ("powder", "SCI fine powder", draw(st.sampled_from([48.2, 55.0, 61.37]))),
        ("powder", "corn starch", draw(few)),
        ("powder", "oat flour", draw(few)),
        ("liquid", "CAPB 30 %", draw(st.integers(40, 160)) / 10),
        ("liquid", "glycerin", draw(few)),
        ("liquid", "citric acid", draw(few)),
        ("last", "fragrance oil", draw(cell)),
        ("last", "panthenol powder (DL)", draw(few)),
    ]
    filling = draw(st.sampled_from([None, "SCI fine powder", "corn starch", "CAPB 30 %"]))
    held = draw(st.sets(st.sampled_from([name for _, name, _ in rows]), max_size=3))
    names = [name for _, name, _ in rows]
    if filling:
        phase = rows[names.index(filling)][0]
        rows[names.index(filling)] = (phase, filling, QS)
    recipe = made(*rows, held=held)
    try:
        resolve(recipe)
    except ReadableError:
        assume(False)
    return recipe


@pytest.mark.parametrize("name", DEMOS)
def test_a_moved_demo_stands_where_it_was_asked_to_stand(name):
    recipe = file.read(FOLDER / name)
    for variant, number in enumerate(recipe.numbers):
        before = total(recipe, number)
        for x, y in POINTS:
            after = moved(recipe, number, BOOK, x, y)
            ratio, melt = place(after, variant)
            assert abs(ratio - x) <= 0.0005
            assert abs(melt - y) <= 0.0001
            assert total(after, number) == before
            others = set(recipe.numbers) - {number}
            assert all(figures(after, n) == figures(recipe, n) for n in others)


@given(mixes(), st.floats(0.1, 0.46), st.floats(0.06, 0.28))
def test_scaled_shares_are_a_dough_at_the_point_with_held_and_last_rows_unchanged(recipe, x, y):
    way = way_of(recipe)
    shares, reachable = scaled_shares(way, [x], [y])
    assume(reachable[0])
    assert_allclose(shares.sum(axis=1), 1.0, atol=1e-12)
    assert_allclose(shares[0, way.is_melt].sum(), y, atol=1e-12)
    ratio = shares[0, way.is_liquid].sum() / shares[0, way.is_powder].sum()
    assert_allclose(ratio, x, rtol=1e-9)
    stays = [
        "1" in row.held or row.phase == "last" or not share
        for row, share in zip(recipe.rows, way.shares, strict=True)
    ]
    if way.giver is not None:
        stays[way.giver] = False
    assert_allclose(shares[0, stays], way.shares[stays], atol=1e-15)


@given(mixes())
def test_scaled_to_where_it_stands_a_mix_is_what_it_was(recipe):
    way = way_of(recipe)
    assume(way.can_move_liquid and way.can_move_melt)
    shares, reachable = scaled_shares(way, [way.liquid_to_powder], [way.melt_fraction])
    assert reachable.all()
    assert_allclose(shares[0], way.shares, rtol=1e-12, atol=1e-15)


@given(mixes(), st.floats(0.0, 0.6), st.floats(0.0, 0.4))
def test_reach_says_exactly_what_can_be_reached(recipe, x, y):
    way = way_of(recipe)
    assume(way.can_move_liquid and way.can_move_melt)
    (least, most), (low, high) = way.liquid_reach(y), way.melt_reach
    assume(min(abs(x - least), abs(x - most), abs(y - low), abs(y - high)) > 1e-9)
    _, reachable = scaled_shares(way, [x], [y])
    assert reachable[0] == (low <= y <= high and least <= x <= most)


@given(mixes(), st.floats(0.1, 0.46), st.floats(0.06, 0.28))
def test_a_move_keeps_the_total_and_the_rows_that_stay_and_comes_back(recipe, x, y):
    way = way_of(recipe)
    x = x if way.can_move_liquid else None
    y = y if way.can_move_melt else None
    try:
        after = moved(recipe, "1", BOOK, x, y)
    except ReadableError:
        # Out of reach with what is held: told below.
        assume(False)
    assert abs(total(after) - total(recipe)) < Decimal("1e-12")
    old, new = figures(recipe), figures(after)
    for row in recipe.rows:
        if "1" in row.held or row.phase == "last" or not old[row.name]:
            assert new[row.name] == old[row.name] or old[row.name] is QS
    assert {name for name in new if new[name] is QS} == {name for name in old if old[name] is QS}
    assert all(new[name] for name in old if old[name])
    back = moved(
        recipe,
        "1",
        BOOK,
        *[None if z is None else w for z, w in zip((x, y), place(recipe), strict=True)],
    )
    assert back == recipe
    assert all(one is other for one, other in zip(back.rows, recipe.rows, strict=True))


def test_liquids_and_melt_scale_together_and_powders_give_way_in_proportion():
    before = simple()
    after = figures(moved(before, "1", BOOK, 0.2, 0.2))
    old = figures(before)
    assert after["CAPB 30 %"] / after["glycerin"] == pytest.approx(14 / 4, rel=0.005)
    assert after["cocoa butter"] / after["cetyl alcohol (95 %+)"] == pytest.approx(2.5, rel=0.005)
    assert after["SCI fine powder"] / after["corn starch"] == pytest.approx(10, rel=0.005)
    assert after["fragrance oil"] == old["fragrance oil"]
    assert after["citric acid"] == old["citric acid"]


def test_a_powder_that_is_qs_gives_way_alone_until_it_is_used_up():
    recipe = simple(starch=QS)
    less = moved(recipe, "1", BOOK, liquid_to_powder=0.30)
    assert figures(less)["SCI fine powder"] == 60.0
    assert figures(less)["corn starch"] is QS
    gone = moved(recipe, "1", BOOK, liquid_to_powder=0.46)
    assert figures(gone)["SCI fine powder"] < 60.0
    assert figures(gone)["corn starch"] is QS
    assert resolve(gone).percents[0, 3] == pytest.approx(0.0, abs=1e-9)
    assert resolve(gone).totals[0] == pytest.approx(100.0, abs=1e-9)


def test_with_too_much_in_the_rows_the_qs_row_stays_empty_and_the_others_give_way():
    recipe = simple(sci=70.0, starch=QS)
    assert resolve(recipe).excess[0] == pytest.approx(4.0)
    after = moved(recipe, "1", BOOK, liquid_to_powder=0.2)
    assert figures(after)["corn starch"] is QS
    assert resolve(after).percents[0, 3] == 0
    assert resolve(after).totals[0] == pytest.approx(104.0)
    assert place(after)[0] == pytest.approx(0.2, abs=5e-4)


def test_a_liquid_that_is_qs_scales_with_the_others_and_stays_qs():
    before = simple().with_percent(4, "1", QS)
    after = moved(before, "1", BOOK, 0.2, 0.2)
    assert figures(after)["CAPB 30 %"] is QS
    percents = resolve(after).percents[0]
    assert percents[4] / percents[5] == pytest.approx(14 / 4, rel=0.005)
    assert place(after) == pytest.approx((0.2, 0.2), abs=5e-4)


def test_a_held_qs_powder_keeps_its_amount():
    recipe = simple(sci=QS, held=("SCI fine powder",))
    after = moved(recipe, "1", BOOK, liquid_to_powder=0.29)
    assert resolve(after).percents[0, 2] == pytest.approx(60.0, abs=1e-9)
    assert figures(after)["corn starch"] < 6.0


def test_strange_phases_stay_as_they_are():
    rows = [
        ("melt", "cocoa butter", 12.0),
        ("melt", "glycerin", 2.0),
        ("melt", "white clay", 2.0),
        ("powder", "SCI fine powder", 60.0),
        ("powder", "shea butter, West African", 2.0),
        ("liquid", "CAPB 30 %", 14.0),
        ("liquid", "citric acid", 2.0),
        ("last", "oat flour", 6.0),
    ]
    recipe = made(*rows)
    after = figures(moved(recipe, "1", BOOK, 0.26, 0.2))
    changed = {name for name, cell in figures(recipe).items() if after[name] != cell}
    assert changed == {"cocoa butter", "SCI fine powder", "CAPB 30 %"}
    assert place(moved(recipe, "1", BOOK, 0.26, 0.2)) == pytest.approx((0.26, 0.2), abs=5e-4)


def test_with_the_liquids_held_only_the_melt_moves_and_the_liquids_keep_their_percent():
    recipe = simple(held=("CAPB 30 %", "glycerin"))
    way = way_of(recipe)
    assert (way.can_move_liquid, way.can_move_melt) == (False, True)
    after = moved(recipe, "1", BOOK, melt_fraction=0.2)
    assert place(after)[1] == pytest.approx(0.2, abs=1e-4)
    assert figures(after)["CAPB 30 %"] == 14.0
    with pytest.raises(ReadableError, match="liquid"):
        moved(recipe, "1", BOOK, liquid_to_powder=0.3)
    _, reachable = scaled_shares(way, [way.liquid_to_powder], [way.melt_fraction])
    assert not reachable.any()


@pytest.mark.parametrize(
    "rows",
    [
        [("powder", "SCI fine powder", 100.0)],
        [("melt", "cocoa butter", 100.0)],
        [("liquid", "CAPB 30 %", 100.0)],
        [("melt", "cocoa butter", 40.0), ("liquid", "CAPB 30 %", 60.0)],
        [("last", "fragrance oil", 100.0)],
    ],
)
def test_a_dough_that_lacks_a_part_says_which_way_it_cannot_move(rows):
    recipe = made(*rows)
    way = way_of(recipe)
    assert not way.can_move_liquid
    assert not way.can_move_melt
    for asked, why in (
        ({"liquid_to_powder": 0.3}, way.why_not_liquid),
        ({"melt_fraction": 0.2}, way.why_not_melt),
    ):
        assert why
        with pytest.raises(ReadableError) as met:
            moved(recipe, "1", BOOK, **asked)
        assert met.value.problem == why
    assert moved(recipe, "1", BOOK) is recipe


def test_everything_held_moves_nowhere():
    recipe = simple()
    rows = tuple(replace(row, held=frozenset("1")) for row in recipe.rows)
    way = way_of(replace(recipe, rows=rows))
    assert "No powder can give way" in way.why_not_liquid
    assert "No powder can give way" in way.why_not_melt


@pytest.mark.parametrize(
    ("x", "y"), [(0.001, 0.15), (0.3, 0.99), (-0.1, 0.2), (0.3, -0.1), (np.nan, 0.2), (np.inf, 0.2)]
)
def test_a_point_out_of_reach_is_refused(x, y):
    with pytest.raises(ReadableError):
        moved(simple(), "1", BOOK, x, y)


def test_figures_with_more_decimals_keep_the_total_to_the_last_one():
    recipe = simple(sci=60.0, starch=5.3333).with_percent(6, "1", 1.6667)
    after = moved(recipe, "1", BOOK, 0.2, 0.2)
    assert total(after) == total(recipe) == Decimal(100)
    assert figures(after)["fragrance oil"] == 1.6667


def test_a_small_row_never_rounds_to_nothing():
    recipe = simple().with_percent(5, "1", 0.01).with_percent(4, "1", 17.99)
    after = figures(moved(recipe, "1", BOOK, 0.1, 0.15))
    assert after["glycerin"] == 0.01


def test_a_bar_in_grams_moves_too():
    recipe = bar(1)
    assert place(moved(recipe, "1", BOOK, 0.25, 0.18)) == pytest.approx((0.25, 0.18), abs=5e-4)
