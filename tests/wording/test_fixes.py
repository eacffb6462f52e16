"""The words about fixes: changes, courses, and what stops a wish."""

from pathlib import Path
from types import SimpleNamespace

import pytest

from designer.advice.fix import Fixes, Obstacle
from designer.advice.moves import Move
from designer.advice.wishes import CLEAN, Goal, Reached, Wish
from designer.recipe import Recipe
from designer.wording.fixes import (
    FORMULA,
    change_words,
    obstacle_words,
    title,
    verdict,
    wish_words,
)


def answer(status, wish=CLEAN, now=0.2, goal=None, **more):
    goal = goal or Goal(0.7, 0.7)
    return Fixes(Recipe("bar"), "1", wish, Reached(now, now), goal, status, **more)


@pytest.mark.parametrize(
    ("before", "after", "fills", "words"),
    [
        (4.0, 2.1, False, "butter −1.9"),
        (4.0, 4.05, False, "butter +0.05"),
        (50.0, 54.0, True, "butter (q.s.) +4.0"),
    ],
)
def test_a_move_has_its_sign_and_the_digits_it_needs(before, after, fills, words):
    moves = (Move(0, "butter", before, after, fills),)
    assert change_words(SimpleNamespace(moves=moves)) == words


OBSTACLES = [
    (Obstacle("held", "every"), "Every row is held"),
    (Obstacle("held", "powder"), "Every powder is held"),
    (Obstacle("rows"), "nothing to move"),
    (Obstacle("range", "melt phase", 0.12, 0.22), "melt phase (12–22 %) stops it"),
    (Obstacle("range", "liquid:powder", 0.2, 0.33), "liquid : powder (0.20–0.33 g/g)"),
    (Obstacle("use", "glycerin", 0.01, 0.06), "usual share of glycerin (1–6 %)"),
    (Obstacle("amount", "white clay"), "no more white clay"),
    (Obstacle("model"), "does no better"),
]


@pytest.mark.parametrize(("obstacle", "words"), OBSTACLES)
def test_what_stops_a_wish_is_named_in_one_sentence(obstacle, words):
    told = obstacle_words(obstacle)
    assert words in told
    assert told.count(". ") == 0
    assert told.endswith(".")
    assert told in verdict(answer("none", obstacle=obstacle))
    assert told in verdict(answer("nearest", obstacle=obstacle))


def test_the_verdict_says_what_is_reached_and_what_was():
    assert verdict(answer("met", now=0.8)).startswith("No fix is needed")
    assert "14 of 20" in verdict(answer("nearest"))
    assert title(answer("found")) == "smallest change that reaches 14 of 20"
    assert title(answer("nearest")) == "nearest to 14 of 20"
    melt = answer("nearest", Wish("less-melt"), 0.16, Goal(0.14, 0.7, is_most=True))
    assert "at most 14.0 % melt" in verdict(melt)


def test_every_wish_has_words():
    assert wish_words(Wish("clean-by", by=600.0)) == "clean by 10 min"
    assert "24 bars are pressed, 30 s each" in wish_words(Wish("bars", bars=24))
    assert wish_words(Wish("firmer", firmness=150e3)) == "firmer after a day, 150 kPa"
    assert wish_words(Wish("less-melt", melt=0.02)) == "2.0 % less melt"


def test_no_words_promise_what_the_program_does_not_know():
    sources = [FORMULA, *(obstacle_words(one) for one, _ in OBSTACLES)]
    code = (Path(__file__).parents[2] / "designer" / "wording" / "fixes.py").read_text()
    for word in ("compliant", "guarantee", " safe"):
        assert not any(word in text for text in [*sources, code])
