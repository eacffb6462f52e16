"""What is said of a dough in the bowl."""

from functools import lru_cache

import pytest
from bars import recipe

from designer import handbook
from designer.advice.bowl import Rod, advise, in_bowl
from designer.evaluation import knowledge
from designer.wording import bowl

BOOK, SHOWN = handbook.load(), knowledge.shipped()


@lru_cache
def answer(bar, finding, age=480.0):
    at_hand = ("silica (precipitated hydrated)", "water", "citric acid")
    return advise(in_bowl(recipe(bar), 0, 0.5, age, finding, at_hand=at_hand), BOOK, SHOWN)


def test_it_says_where_the_dough_stands_and_what_kneading_on_brings():
    told = bowl.standing(answer(2, "sticky"), BOOK)
    assert told.startswith("At 8 min: sticky (clings to hands and bowl). Kneaded on and nothing")
    assert told.endswith("by 23 min, after the kneading window.")
    assert "kPa by the rod" in bowl.standing(answer(2, Rod(0.45)), BOOK)
    assert "nothing felt yet: likeliest" in bowl.standing(answer(1, None), BOOK)
    assert bowl.standing(answer(1, "pliable"), BOOK) == "At 8 min: pliable (kneads clean)."


def test_what_hardly_fits_the_recipe_is_told_so():
    assert "weighed wrong" in bowl.standing(answer(2, "crumbly", 60.0), BOOK)
    assert "weighed wrong" not in bowl.standing(answer(2, "sticky"), BOOK)


def test_a_dough_that_is_clean_has_no_chance_of_coming_clean():
    found = answer(1, "pliable")
    assert bowl.chance_words(found.advice[0], found) == ""


def test_an_addition_says_how_much_how_prepared_how_long_and_what_then():
    found = answer(2, "sticky")
    one = next(one for one in found.advice if one.rest)
    assert bowl.title(one).startswith(f"Add {1000 * one.first:.1f} g {one.name}, then ")
    told = bowl.steps(one, found)
    assert told.startswith("Mask on, sieve it, strew it over the spread-out dough")
    assert "knead 5 min and feel again at 13 min" in told
    assert "without" in bowl.chance_words(one, found)
    assert f"% {one.name} in " in bowl.made_words(one)


def test_each_move_says_what_is_done():
    told = {
        one.move: f"{bowl.title(one)}. {bowl.steps(one, found)}"
        for found in (answer(1, "sticky"), answer(3, "stiff"), answer(1, "pliable"))
        for one in found.advice
    }
    assert told["cold"].startswith("Stand the bowl in cold water for 10 min. Turn the dough")
    assert "°C. Then knead" in told["cold"]
    assert told["warm"].startswith("Stand the bowl in hand-hot water")
    assert told["knead"].startswith("Knead on. Knead ")
    assert told["press"].startswith("Stop kneading and shape it.")


def test_what_is_refused_says_why():
    told = [bowl.refused_words(one) for one in answer(2, "sticky").refused]
    assert "water leads the wrong way: it would make the dough softer still." in told
    assert any("citric acid dissolves" in one for one in told)


def test_powder_comes_with_the_mask_and_much_of_it_with_the_assessor():
    told = " ".join(bowl.cautions(answer(2, "slack"), BOOK))
    assert "mask (FFP2 or better)" in told
    assert "new formula" in told
    assert "preservative" in told
    dry = " ".join(bowl.cautions(answer(3, "stiff"), BOOK))
    assert "mask" not in dry
    assert "preservative" in dry
    assert not bowl.cautions(answer(1, "pliable"), BOOK)


@pytest.mark.parametrize("case", [(2, "sticky"), (2, "slack"), (3, "stiff"), (3, "crumbly")])
def test_nothing_said_is_called_safe(case):
    found = answer(*case)
    told = [bowl.standing(found, BOOK), *bowl.cautions(found, BOOK)]
    for one in found.advice:
        told += [bowl.title(one), bowl.steps(one, found), bowl.made_words(one)]
    text = " ".join(told).lower()
    assert not any(word in text for word in ("safe", "compliant", "guarantee"))
