"""The dough map against full evaluations of the recipes it speaks of."""

from dataclasses import replace
from functools import cache
from pathlib import Path

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from numpy.testing import assert_allclose

from designer import handbook
from designer.evaluation import knowledge
from designer.evaluation.dough_map import dough_map, limits
from designer.evaluation.evaluate import evaluate
from designer.evaluation.paths import moved, paths, scaled_shares
from designer.evaluation.readings import outside_model
from designer.recipe import QS, Percents, Recipe, Row, Variant, file
from designer.vocabulary import STATES

BOOK = handbook.load()
KNOWN = knowledge.shipped()
FOLDER = Path(__file__).parents[2] / "demo_recipes"
DEMOS = sorted(path.name for path in FOLDER.glob("*.toml"))
OAT = "oat_bar_sticky_and_mended.toml"
DRAW = 1 / KNOWN.draws


@cache
def evaluated(name):
    return evaluate(file.read(FOLDER / name), BOOK, KNOWN)


@cache
def mapped(name, variant=0):
    return dough_map(evaluated(name), variant)


def map_of(recipe, known=KNOWN, **asked):
    return dough_map(evaluate(recipe, BOOK, known), 0, **asked)


def made(*rows, held=(), **bench):
    recipe = Recipe(
        "any",
        variants=(Variant("1", active=True),),
        rows=tuple(
            Row(phase, name, {"1": cell}, held=frozenset("1") if name in held else frozenset())
            for phase, name, cell in rows
        ),
    )
    return recipe.with_bench(**bench)


def dough(sci=60.0, capb=14.0, **rest):
    return made(
        ("melt", "cocoa butter", 10.0),
        ("melt", "cetyl alcohol (95 %+)", 4.0),
        ("powder", "SCI fine powder", sci),
        ("powder", "corn starch", 6.0),
        ("liquid", "CAPB 30 %", capb),
        ("liquid", "glycerin", 4.0),
        ("last", "fragrance oil", 2.0),
        **rest,
    )


def at_point(result, variant, x, y):
    """Return the full evaluation of a variant scaled to a point, up to the window's end."""
    number = result.recipe.numbers[variant]
    way = paths(result.recipe, result.amounts, result.mixture, variant)
    (shares,), (reachable,) = scaled_shares(way, [x], [y])
    assert reachable
    only = result.recipe.only(number)
    rows = tuple(
        replace(row, percents=Percents({number: 100 * float(share)}))
        for row, share in zip(only.rows, shares, strict=True)
    )
    times = result.times[: result.window[-1] + 1]
    return evaluate(replace(only, rows=rows), BOOK, result.knowledge, times)


def errors(result, variant, drawn, count, seed=1):
    """Return the errors of chance and wetness at random nodes of the raster."""
    random = np.random.default_rng(seed)
    at = np.argwhere(drawn.reachable)
    chances, wetnesses = [], []
    for row, column in at[random.integers(len(at), size=count)]:
        true = at_point(result, variant, drawn.x[column], drawn.y[row])
        chances.append(drawn.chance[row, column] - true.clean_knead_chance[0])
        wetness = float(true.spread(true.wetness[0, true.knead]).value)
        wetnesses.append(drawn.wetness[row, column] - wetness)
        assert drawn.outside[row, column] == bool(outside_model(true, 0)) or (
            # Within the error of the wetness at the edge of what the model speaks of.
            min(abs(wetness - edge) for edge in (0.5, 2.0)) < 0.01
        )
    return np.abs(chances), np.abs(wetnesses)


@pytest.mark.parametrize("name", DEMOS)
def test_the_chance_under_the_mark_is_the_reading(name):
    result = evaluated(name)
    for variant in range(len(result.recipe.variants)):
        drawn = mapped(name, variant)
        (x, y), reading = drawn.mark, result.clean_knead_chance[variant]
        assert_allclose(drawn.mark[0], result.mixture.liquid_to_powder[variant], rtol=1e-12)
        assert_allclose(drawn.mark[1], result.mixture.melt_fraction[variant], rtol=1e-12)
        assert abs(float(drawn.chance_at(x, y)) - reading) <= DRAW


@pytest.mark.parametrize("name", DEMOS)
def test_random_points_agree_with_full_evaluations(name):
    chance, wetness = errors(evaluated(name), 0, mapped(name), 20)
    assert chance.max() <= 0.02
    assert np.sqrt((chance**2).mean()) <= 0.01
    assert wetness.max() <= 0.01


@pytest.mark.parametrize(
    "recipe",
    [
        dough(capb=30.0),
        dough(sci=35.0),
        dough(held=("CAPB 30 %", "corn starch")),
        dough(held=("cetyl alcohol (95 %+)",)),
        dough(knead=(60.0, 240.0)),
        dough(knead=(900.0, 2400.0)),
        dough(knead=(600.0, 600.0)),
        dough(room=303.15, batch=3.0),
    ],
    ids=["wet", "little powder", "held", "held fat", "short", "late", "moment", "warm"],
)
def test_unusual_recipes_agree_with_full_evaluations(recipe):
    result = evaluate(recipe, BOOK, KNOWN)
    drawn = dough_map(result, 0)
    assert abs(float(drawn.chance_at(*drawn.mark)) - result.clean_knead_chance[0]) <= DRAW
    chance, wetness = errors(result, 0, drawn, 20)
    assert chance.max() <= 0.03
    assert np.sqrt((chance**2).mean()) <= 0.01
    assert wetness.max() <= 0.015


def test_a_held_butter_bends_the_map_only_a_little_where_the_blend_changes():
    result = evaluate(dough(held=("cocoa butter",)), BOOK, KNOWN)
    drawn = dough_map(result, 0)
    assert drawn.reachable[:, 32].argmax() == np.searchsorted(drawn.y, 0.10)
    chance, _ = errors(result, 0, drawn, 20)
    assert chance.max() <= 0.05
    assert np.sqrt((chance**2).mean()) <= 0.02


def test_a_powder_used_up_on_the_way_bends_the_map_only_a_little():
    recipe = dough(sci=60.0).with_percent(3, "1", QS)
    result = evaluate(recipe, BOOK, KNOWN)
    chance, _ = errors(result, 0, dough_map(result, 0), 20)
    assert chance.max() <= 0.04


def test_chance_at_reads_the_same_map_as_the_raster():
    drawn = mapped(OAT)
    x, y = np.meshgrid(drawn.x[::9], drawn.y[::7])
    assert_allclose(drawn.chance_at(x, y), drawn.chance[::7, ::9], atol=DRAW)
    off = drawn.chance_at([0.05, 0.3, 0.3, 0.5], [0.15, 0.01, 0.5, 0.15])
    assert np.isnan(off).all()


@pytest.mark.parametrize("name", DEMOS)
def test_a_dough_gets_wetter_with_more_liquid_and_with_more_melt(name):
    drawn = mapped(name)
    assert drawn.reachable.all()
    assert (np.diff(drawn.wetness, axis=1) > 0).all()
    assert (np.diff(drawn.wetness, axis=0) > 0).all()
    assert (drawn.chance >= 0).all()
    assert (drawn.chance <= 1).all()


@pytest.mark.parametrize("name", DEMOS)
def test_doughs_fail_dry_on_the_dry_side_and_wet_on_the_wet_side(name):
    drawn = mapped(name)
    order = {state: index for index, state in enumerate(STATES)}
    dry = (drawn.failing == order["crumbly"]) | (drawn.failing == order["stiff"])
    assert not (drawn.failing == order["pliable"]).any()
    assert dry[0, 0]
    assert not dry[-1, -1]
    # One front from dry to wet in every row, and nothing to flicker.
    assert (np.diff(dry.astype(int), axis=1) <= 0).all()
    assert dry[drawn.wetness < 0.8].all()
    assert not dry[drawn.wetness > 1.2].any()


def test_the_axes_are_usual_ones_until_a_variant_stands_beyond():
    usual = evaluated("oat_bar.toml")
    assert limits(usual.mixture) == ((0.10, 0.46), (0.06, 0.28))
    wet = evaluate(dough(capb=30.0), BOOK, KNOWN)
    (left, right), _ = limits(wet.mixture)
    assert left == 0.10
    assert 0.46 < wet.mixture.liquid_to_powder[0] < right <= 1.0
    both = evaluate(dough(capb=30.0).add_variant(like="1"), BOOK, KNOWN)
    assert limits(both.mixture) == limits(wet.mixture)
    bare = evaluate(made(("liquid", "CAPB 30 %", 100.0)), BOOK, KNOWN)
    assert limits(bare.mixture)[0] == (0.10, 0.46)


def test_the_known_good_range_is_the_handbooks():
    assert mapped(OAT).known_good[0] == (0.20, 0.33)
    assert_allclose(mapped(OAT).known_good[1], (0.12, 0.22))


def test_nothing_of_a_map_can_be_written_to():
    drawn = mapped(OAT)
    for array in (drawn.x, drawn.y, drawn.chance, drawn.reachable, drawn.outside, drawn.failing):
        with pytest.raises(ValueError, match="read-only"):
            array[0] = 0


def test_a_map_stops_whenever_it_is_asked_to():
    result = evaluated(OAT)
    asked = []
    assert dough_map(result, 0, lambda: asked.append(1)) is not None
    assert len(asked) > 80
    for calls in (1, 2, 6, 30, 50, len(asked)):
        left = iter([False] * (calls - 1))
        assert dough_map(result, 0, lambda left=left: next(left, True)) is None


def test_a_move_along_the_paths_uses_the_map_again_and_is_true_at_the_mark():
    recipe = file.read(FOLDER / OAT)
    first = mapped(OAT)
    for x, y in ((0.30, 0.161), (0.25, 0.20), (0.44, 0.09), (0.12, 0.27)):
        there = evaluate(moved(recipe, "1", BOOK, x, y), BOOK, KNOWN)
        asked = []
        again = dough_map(there, 0, lambda asked=asked: asked.append(1), before=first)
        fresh = dough_map(there, 0)
        assert again._field is first._field
        assert len(asked) < 30
        assert again.recipe == there.recipe
        chance = float(again.chance_at(*again.mark))
        assert abs(chance - there.clean_knead_chance[0]) <= DRAW
        assert np.abs(again.chance - fresh.chance).max() <= 0.02
        assert_allclose(again.wetness, fresh.wetness, atol=0.01)
        # A further step starts from the same field: nothing adds up.
        back = dough_map(evaluated(OAT), 0, before=again)
        assert_allclose(back.chance, first.chance, atol=DRAW)


def crossings(drawn, level, row):
    """Return where, in columns, the chance passes a level along a row."""
    chance = drawn.chance[row] - level
    at = np.flatnonzero((chance[:-1] >= 0) != (chance[1:] >= 0))
    return at + chance[at] / (chance[at] - chance[at + 1])


@pytest.mark.parametrize("name", [OAT, "three_oat_bars.toml"])
def test_a_map_used_again_has_no_bump_around_the_mark(name):
    recipe, first = file.read(FOLDER / name), mapped(name)
    number = recipe.variants[0].number
    for x, y in ((0.29, 0.16), (0.33, 0.145), (0.26, 0.19)):
        there = evaluate(moved(recipe, number, BOOK, x, y), BOOK, KNOWN)
        again, fresh = dough_map(there, 0, before=first), dough_map(there, 0)
        assert again._field is first._field
        # What is added is nowhere steeper than a slow fade.
        added = again.chance - first.chance
        assert np.abs(np.diff(added, axis=0)).max() <= 0.002
        assert np.abs(np.diff(added, axis=1)).max() <= 0.002
        middle = int(np.abs(again.y - y).argmin())
        for row in range(middle - 6, middle + 7):
            for level in (0.25, 0.5, 0.75):
                ours, theirs = (crossings(one, level, row) for one in (again, fresh))
                assert ours.size == theirs.size
                assert_allclose(ours, theirs, atol=1.0)


def test_a_map_too_far_from_the_reading_is_made_anew():
    first = mapped(OAT)
    far = replace(first, _field=replace(first._field, margins=first._field.margins - 1))
    again = dough_map(evaluated(OAT), 0, before=far)
    assert again._field is not far._field
    assert_allclose(again.chance, first.chance, atol=DRAW)


def test_a_map_tells_whether_it_serves_another_recipe():
    recipe, first = file.read(FOLDER / OAT), mapped(OAT)
    there = evaluate(moved(recipe, "1", BOOK, 0.30, 0.161), BOOK, KNOWN)
    assert first.serves(there, 0)
    assert not first.serves(evaluate(recipe.with_bench(room=297.15), BOOK, KNOWN), 0)
    bare = made(("powder", "SCI fine powder", 100.0))
    assert map_of(bare).serves(evaluate(bare, BOOK, KNOWN), 0)
    assert not map_of(bare).serves(there, 0)


@pytest.mark.parametrize(
    "change",
    [
        lambda recipe: recipe.with_bench(room=297.15),
        lambda recipe: recipe.with_bench(knead=(300.0, 900.0)),
        lambda recipe: recipe.with_bench(batch=3.0),
        lambda recipe: recipe.with_percent(0, "1", 10.5),
        lambda recipe: recipe.with_row(4, replace(recipe.rows[4], held=frozenset("1"))),
        lambda recipe: recipe.with_row(3, replace(recipe.rows[3], name="tapioca starch")),
    ],
    ids=["room", "window", "batch", "fat", "held", "material"],
)
def test_another_mix_room_or_hold_is_mapped_anew(change):
    recipe = dough()
    first = map_of(recipe)
    changed = change(recipe)
    result = evaluate(changed, BOOK, KNOWN)
    second = dough_map(result, 0, before=first)
    assert second._field is not first._field
    assert abs(float(second.chance_at(*second.mark)) - result.clean_knead_chance[0]) <= DRAW


def test_what_does_not_touch_the_dough_uses_the_map_again():
    recipe = dough()
    first = map_of(recipe)
    for changed in (recipe.with_notes("a note"), recipe.with_bench(humidity=0.7)):
        again = map_of(changed, before=first)
        assert again._field is first._field
        assert again.recipe is changed
        assert_allclose(again.chance, first.chance, atol=DRAW)


@pytest.mark.parametrize(
    ("recipe", "why"),
    [
        (made(("powder", "SCI fine powder", 100.0)), "No liquid can be scaled"),
        (made(("powder", "oat flour", 70.0), ("liquid", "water", 30.0)), "No melt can be scaled"),
        (made(("melt", "cocoa butter", 50.0), ("liquid", "water", 50.0)), "No powder"),
        (
            replace(dough(), rows=tuple(replace(row, held=frozenset("1")) for row in dough().rows)),
            "No powder can give way",
        ),
        (
            made(
                ("melt", "cocoa butter", 10.0),
                ("powder", "oat flour", 1.0),
                ("liquid", "glycerin", 4.0),
                ("last", "water", 85.0),
            ),
            "hardly anything to scale",
        ),
    ],
    ids=["powder", "no melt", "no powder", "all held", "no room"],
)
def test_a_mix_that_cannot_be_scaled_has_a_map_without_shading_that_says_why(recipe, why):
    drawn = map_of(recipe)
    assert why in drawn.reason
    assert not drawn.reachable.any()
    assert np.isnan(drawn.chance_at(0.3, 0.16))
    assert drawn.chance.shape == drawn.wetness.shape == (48, 64)


def test_what_is_held_puts_points_out_of_reach():
    drawn = map_of(dough(held=("CAPB 30 %",)))
    assert not drawn.reason
    assert not drawn.reachable[:, 0].any()
    assert drawn.reachable[:, -1].all()
    assert not drawn.chance[~drawn.reachable].any()


def test_one_central_draw_makes_a_map_of_yes_and_no():
    drawn = map_of(dough(), knowledge.central())
    assert set(np.unique(drawn.chance)) == {0.0, 1.0}


amount = st.floats(0.5, 8.0)


@settings(max_examples=12, deadline=None)
@given(
    st.tuples(amount, amount, st.floats(30, 70), amount, st.floats(2, 25), amount, amount),
    st.sets(st.integers(0, 6), max_size=3),
    st.sampled_from([None, 2, 3, 4]),
)
def test_any_mix_gives_a_map_that_is_true_at_its_mark(cells, held, filling):
    recipe = dough()
    for row, cell in enumerate(cells):
        stated = QS if row == filling else cell
        hold = frozenset("1") if row in held else frozenset()
        recipe = recipe.with_percent(row, "1", stated)
        recipe = recipe.with_row(row, replace(recipe.rows[row], held=hold))
    known = knowledge.shipped(64)
    result = evaluate(recipe, BOOK, known)
    drawn = dough_map(result, 0)
    for array in (drawn.chance, drawn.x, drawn.y):
        assert np.isfinite(array).all()
    if not drawn.reason:
        assert np.isfinite(drawn.wetness).all()
        chance = float(drawn.chance_at(*drawn.mark))
        on = all(
            low <= at <= high for at, (low, high) in zip(drawn.mark, drawn.limits, strict=True)
        )
        # One draw may stand on its cut, where the last bit decides.
        assert not on or abs(chance - result.clean_knead_chance[0]) <= 1 / 64
