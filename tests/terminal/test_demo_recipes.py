"""Golden behaviour of the demo recipes: their words and rounded readings, reviewed as a diff.

After a wanted change run the tests with BAR_DOUGH_REWRITE=1 and read the diff of the JSON file.
"""

import json
import os
from pathlib import Path

import pytest

from designer import handbook
from designer.evaluation import knowledge
from designer.evaluation.cautions import cautions
from designer.evaluation.evaluate import evaluate
from designer.evaluation.readings import readings, state
from designer.recipe import QS, file, resolve
from designer.vocabulary import QUANTITIES, from_si
from designer.wording.sentence import sentence

BOOK = handbook.load()
KNOWN = knowledge.shipped()
FOLDER = Path(__file__).parents[2] / "demo_recipes"
DEMOS = sorted(path.name for path in FOLDER.glob("*.toml"))
GOLDEN = Path(__file__).parent / "demo_recipes.json"


def told(name):
    """Return what is golden of a demo: per variant the words and the readings as shown."""
    result = evaluate(file.read(FOLDER / name), BOOK, KNOWN)
    found = {}
    for variant, one in enumerate(result.recipe.variants):
        shown = {}
        for key, reading in readings(result, variant).items():
            if key == "clean_knead_chance" or reading.value is None:
                continue
            quantity = QUANTITIES[key]
            value = float(from_si(reading.value, quantity.shown))
            shown[key] = round(value, min(quantity.decimals, 1) if key != "wetness" else 2)
        found[one.number] = {
            "sentence": sentence(result, variant),
            "of_20": round(20 * float(result.clean_knead_chance[variant])),
            "states": [
                state(result, variant, at)
                for at in (0, int(result.window[0]), result.knead, int(result.window[-1]))
            ],
            "readings": shown,
            "serious": [c.code for c in cautions(result, variant) if c.serious],
        }
    return found


def golden():
    return json.loads(GOLDEN.read_text(encoding="utf-8"))


def test_there_are_at_least_ten_demo_recipes_and_each_is_golden():
    if os.environ.get("BAR_DOUGH_REWRITE"):
        made = {name: told(name) for name in DEMOS}
        GOLDEN.write_text(json.dumps(made, indent=1, ensure_ascii=False) + "\n", encoding="utf-8")
    assert len(DEMOS) >= 10
    assert sorted(golden()) == DEMOS


@pytest.mark.parametrize("name", DEMOS)
def test_a_demo_recipe_tells_its_golden_story(name):
    made, wanted = told(name), golden()[name]
    assert sorted(made) == sorted(wanted)
    for number, one in wanted.items():
        assert made[number]["sentence"] == one["sentence"]
        assert made[number]["states"] == one["states"]
        assert made[number]["serious"] == one["serious"]
        assert abs(made[number]["of_20"] - one["of_20"]) <= 1
        assert made[number]["readings"] == pytest.approx(one["readings"], rel=0.02, abs=0.02)


def chance(name, variant=0):
    return float(evaluate(file.read(FOLDER / name), BOOK, KNOWN).clean_knead_chance[variant])


def test_the_mended_variant_raises_the_chance_by_at_least_three_tenths():
    name = "oat_bar_sticky_and_mended.toml"
    assert chance(name, 1) - chance(name, 0) >= 0.3


def test_a_bar_that_kneads_well_with_a_weak_preservative_is_not_praised():
    result = evaluate(file.read(FOLDER / "weak_preservative_bar.toml"), BOOK, KNOWN)
    assert result.clean_knead_chance[0] > 0.7
    assert "preservative is weak" in sentence(result, 0)


def test_a_cold_room_is_kinder_to_soft_fats_than_a_hot_one():
    assert chance("soft_fats_cold_room.toml") > chance("soft_fats_hot_room.toml") + 0.05


@pytest.mark.parametrize("name", DEMOS)
def test_half_a_per_cent_of_any_ingredient_changes_the_output(name):
    recipe = file.read(FOLDER / name)
    number = recipe.active.number
    before = evaluate(recipe, BOOK, KNOWN)
    at = recipe.numbers.index(number)
    for index, row in enumerate(recipe.rows):
        cell = row.percents.get(number)
        if cell is QS or cell is None:
            continue
        moved = evaluate(recipe.with_percent(index, number, cell + 0.5), BOOK, KNOWN)
        change = abs(moved.log_strength[at] - before.log_strength[at]).max()
        assert change > 1e-4, row.name


@pytest.mark.parametrize("name", DEMOS)
def test_a_demo_recipe_makes_a_hundred_per_cent_of_known_ingredients(name):
    recipe = file.read(FOLDER / name)
    assert resolve(recipe).totals == pytest.approx([100.0] * len(recipe.variants))
    for row in recipe.rows:
        found = BOOK.find(row.name, row.phase)
        assert found is not None, row.name
        assert found.inci == row.inci


def test_no_code_or_other_test_knows_a_demo_by_name():
    root = Path(__file__).parents[2]
    stems = [Path(name).stem for name in DEMOS]
    for path in root.glob("designer/**/*.py"):
        text = path.read_text(encoding="utf-8")
        # Help texts may show how a file is named; nothing may read one.
        code = [line for line in text.splitlines() if "bar-dough " not in line]
        assert not any(stem in line for stem in stems for line in code), path
