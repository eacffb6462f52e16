"""What is said of a result: sentence and chance, the readings as lines, and why they are so."""

import gc
import weakref
from dataclasses import replace
from pathlib import Path

import pytest
from bars import recipe, recipe_of

from designer import handbook
from designer.evaluation import knowledge
from designer.evaluation.evaluate import evaluate
from designer.evaluation.readings import readings
from designer.recipe import file
from designer.wording.causes import causes
from designer.wording.headline import headline, is_missed
from designer.wording.lines import NAMES, kpa, lines, moment_words, unknown_lines
from designer.wording.sentence import chance_sentence, sentence
from designer.wording.told import headline_of, lines_of, prepare
from designer.wording.words import basis_words, chance_told, missed_words

BOOK = handbook.load()
KNOWN = knowledge.shipped()
DEMOS = Path(__file__).parents[2] / "demo_recipes"


def demo(name):
    return evaluate(file.read(DEMOS / f"{name}.toml"), BOOK, KNOWN)


CLEAN, DRY, WET = (demo(n) for n in ("oat_bar", "dry_clay_bar", "oat_bar_sticky_and_mended"))
LOOSE = evaluate(recipe_of({("liquid", "water"): 1.0}), BOOK, KNOWN)


def line(result, name):
    return lines(result, 0)[list(NAMES).index(name)]


def test_the_sentence_first_said_is_the_one_of_the_terminal():
    said = headline(CLEAN, 0)
    assert said.sentence == sentence(CLEAN, 0)
    assert chance_sentence(CLEAN, 0).startswith(said.chance)
    assert said.text.startswith(f"{said.sentence} {said.chance} Usual practice, no own")


def test_a_missed_chance_names_both_numbers_and_a_met_one_its_word():
    said = headline(WET, 0)
    assert said.chance.startswith("Comes clean in ")
    assert said.chance.endswith(" of 20 such batches; 14 are wanted.")
    assert "wanted" not in headline(CLEAN, 0).chance
    content = replace(WET, recipe=WET.recipe.with_bench(wanted=0.05))
    assert "wanted" not in headline(content, 0).chance


@pytest.mark.parametrize(
    ("chance", "wanted", "missed"),
    [(0.70, 0.70, False), (0.69, 0.70, False), (0.67, 0.70, True), (1.0, 1.0, False)],
)
def test_a_chance_is_missed_only_if_the_numbers_told_differ(chance, wanted, missed):
    assert is_missed(chance, wanted) is missed


def test_words_of_a_chance():
    assert chance_told(0.8) == "Likely: 16 of 20 such batches."
    assert missed_words(0.4, 0.7) == "Comes clean in 8 of 20 such batches; 14 are wanted."
    assert missed_words(0.0, 0.05).endswith("; 1 is wanted.")
    assert basis_words("usual practice") == "usual practice, no own batches yet"


def test_outside_the_model_there_is_a_sentence_and_neither_state_nor_chance():
    said = headline(LOOSE, 0)
    assert said.sentence.startswith("No forecast")
    assert (said.state, said.chance, said.basis) == ("", "", "")
    assert not any("Outside the model" in warning for warning in said.warnings)


@pytest.mark.parametrize("result", [CLEAN, DRY, WET, LOOSE])
def test_every_reading_is_a_line_with_a_value_or_a_reason(result):
    said = lines(result, 0)
    assert [one.name for one in said] == list(NAMES)
    for one in said:
        assert (one.value == "–") == bool(one.missing)
        assert (one.at is None) == bool(one.missing)
        assert one.spoken.startswith(one.words)
        assert "nan" not in one.spoken + one.details
        assert "-" not in one.value


def test_a_line_shows_the_value_of_its_reading_and_where_it_stands():
    one = line(CLEAN, "liquid_to_powder")
    value = readings(CLEAN, 0)["liquid_to_powder"].value
    assert float(one.value) == pytest.approx(value, abs=0.005)
    assert one.at == pytest.approx(value)
    assert one.known_good == (0.2, 0.33)
    assert one.standing == "known good 0.20–0.33, within"
    assert line(WET, "liquid_to_powder").standing.endswith("above")
    assert one.interval == ""


def test_a_line_of_a_temperature_and_of_a_share_is_in_the_unit_shown():
    warm = line(CLEAN, "dough_temperature")
    assert warm.unit == "°C"
    assert 20 < warm.at < 50
    assert warm.known_good == (27.0, 36.0)
    assert warm.low < warm.at < warm.high
    assert line(CLEAN, "surfactant_powder").known_good == (45.0, 60.0)


def test_firmness_has_the_word_of_a_hand_and_two_digits():
    one = line(CLEAN, "firmness")
    assert one.hand
    assert one.spoken.endswith(f"kPa, {one.hand}")
    assert (kpa(19397.0), kpa(5230.0), kpa(143_000.0)) == ("19", "5.2", "140")
    assert line(DRY, "firmness").missing


def test_active_surfactant_is_told_by_charge():
    parts = line(CLEAN, "active_surfactant").parts
    assert [sign for sign, _ in parts][:2] == ["−", "±"]
    assert sum(percent for _, percent in parts) == pytest.approx(
        100 * readings(CLEAN, 0)["active_surfactant"].value, rel=0.02
    )


def test_the_moment_of_the_readings_is_told():
    assert moment_words(CLEAN) == "10 min after the pour"


def test_lines_of_what_cannot_be_evaluated_say_why():
    assert {one.missing for one in unknown_lines("it is a riddle")} == {"it is a riddle"}


def test_what_is_said_is_worked_out_once_and_forgotten_with_the_result():
    result = evaluate(recipe(1), BOOK, KNOWN)
    prepare(result)
    assert headline_of(result, 0) is headline_of(result, 0)
    assert lines_of(result, 0) is lines_of(result, 0)
    alive = weakref.ref(result)
    del result
    gc.collect()
    assert alive() is None


def test_firmness_is_explained_in_words_of_the_trade_that_tell_the_way():
    said = causes(CLEAN, 0, "firmness")
    assert "one tenth more" in said.title
    for one in said.causes:
        words = one.words.split()
        assert abs(one.value) >= 0.005
        assert words[0][0].isdecimal()  # "−26 % softer" would be said twice
        assert words[-1] == ("firmer" if one.value > 0 else "softer")


def test_what_moves_the_chance_is_the_firmness_or_the_wetness_of_what_crumbles():
    assert causes(CLEAN, 0, "clean_knead_chance").title.startswith("firmness")
    assert causes(DRY, 0, "clean_knead_chance").title.startswith("wetness")


@pytest.mark.parametrize("name", NAMES)
def test_every_reading_has_causes_or_says_why_not(name):
    for result in (CLEAN, DRY, WET, LOOSE):
        said = causes(result, 0, name)
        assert bool(said.causes) != bool(said.missing)
        assert said.title
