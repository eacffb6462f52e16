"""Words for numbers: every state and chance has one, none says more than is known."""

import re

import pytest
from bars import recipe, recipe_of

from designer import handbook
from designer.evaluation import knowledge
from designer.evaluation.evaluate import evaluate
from designer.vocabulary import STATES
from designer.wording.sentence import chance_sentence, crumbles, mark_words, meanings, sentence
from designer.wording.words import (
    MEANING,
    bar_words,
    chance_words,
    hand_words,
    time_words,
    window_words,
)

BOOK = handbook.load()
KNOWN = knowledge.shipped()


@pytest.mark.parametrize(
    ("chance", "words"),
    [
        (0.72, "Likely: 14 of 20"),
        (1.0, "Almost sure: 20 of 20"),
        (0.0, "Hardly ever: 0 of 20"),
        (0.5, "As likely as not: 10 of 20"),
        (0.22, "Unlikely: 4 of 20"),
    ],
)
def test_a_chance_is_a_word_and_a_count_of_twenty(chance, words):
    told = chance_words(chance, "usual practice")
    assert told.startswith(words)
    assert "no own batches yet" in told
    assert "%" not in told


@pytest.mark.parametrize(
    ("seconds", "words"),
    [(45.0, "45 s"), (60.0, "1 min"), (600.0, "10 min"), (5400.0, "1.5 h"), (86400.0 * 14, "14 d")],
)
def test_times_are_said_to_the_digits_they_deserve(seconds, words):
    assert time_words(seconds) == words


def test_firmness_words_go_from_soft_to_hard():
    assert hand_words(1e3) == "flows off the hand"
    assert hand_words(18e3) == "soft putty"
    assert hand_words(30e3) == "kneads easily"
    assert bar_words(10e3) == "very soft"
    assert bar_words(20e3) == "soft"
    assert bar_words(400e3) == "hard"


def test_every_state_is_explained_once():
    assert set(MEANING) == set(STATES)
    told = meanings(["slack", "sticky", "slack", "firm"])
    assert told == "slack: too soft, sags; sticky: clings to hands and bowl"


def test_the_window_is_the_makers_own():
    assert window_words((300.0, 1200.0)) == "5–20 min"
    assert window_words((30.0, 480.0)).endswith("8 min")


@pytest.mark.parametrize("number", range(1, 11))
def test_the_sentence_is_one_line_of_plain_words(number):
    result = evaluate(recipe(number), BOOK, KNOWN)
    told = sentence(result, 0)
    assert told[0].isupper()
    assert told.endswith(".")
    assert "\n" not in told
    assert not re.search(r"\bnan\b|None|\d\.\d{2,}", told)
    assert "of 20 such batches" in chance_sentence(result, 0)
    for words in ("safe", "compliant", "guarantee", "preservative-free", "hypoallergenic"):
        assert words not in told.lower()


def test_the_sentence_names_too_wet_too_dry_and_clean():
    clean, wet, dry = (sentence(evaluate(recipe(k), BOOK, KNOWN), 0) for k in (1, 4, 3))
    assert "comes clean" in clean
    assert "wet" in wet
    assert "dry" in dry or "little liquid" in dry


def test_outside_the_model_no_chance_is_told():
    loose = evaluate(recipe_of({("liquid", "water"): 1.0}), BOOK, KNOWN)
    assert sentence(loose, 0).startswith("No forecast")
    assert chance_sentence(loose, 0) == ""
    assert mark_words(loose, 0) == []


def test_every_mark_is_told_or_said_to_be_hardly_reached():
    for number in (1, 4):
        marks = mark_words(evaluate(recipe(number), BOOK, KNOWN), 0)
        assert len(marks) == 4
        assert all(words for _, words in marks)


def test_a_dough_that_crumbles_is_not_said_to_come_clean_or_to_take_no_dent():
    dry = evaluate(recipe(3), BOOK, KNOWN)
    assert crumbles(dry, 0, -1)
    told = dict(mark_words(dry, 0))
    assert "comes clean from" not in told
    assert told["no thumb dent from"] == "crumbles"
