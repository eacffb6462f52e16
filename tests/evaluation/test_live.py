"""An evaluation after an edit takes over what did not change, and is the same to the last bit."""

from dataclasses import replace

import numpy as np
import pytest
from bars import recipe
from hypothesis import given, settings
from hypothesis import strategies as st

from designer import handbook
from designer.evaluation import knowledge
from designer.evaluation.cautions import cautions
from designer.evaluation.evaluate import Evaluation, clock_times, evaluate
from designer.evaluation.forecast import Forecast
from designer.evaluation.knowledge import Knowledge
from designer.evaluation.readings import readings
from designer.evaluation.why import why
from designer.recipe import QS, Recipe, Row
from designer.wording.sentence import chance_sentence, mark_words, sentence

BOOK = handbook.load()
SOME = Knowledge(np.arange(5, 8005, 500), np.full(16, 1 / 16), "usual practice")
UNEVEN = Knowledge(np.arange(7, 8007, 800), np.arange(1, 11) / 55, "own batches")
KNOWN = [SOME, UNEVEN, knowledge.central()]
NEW_ROWS = [
    Row("powder", "oat flour"),
    Row("powder", "AOS powder"),
    Row("liquid", "water"),
    Row("melt", "beeswax"),
    Row("melt", "argan oil"),
    Row("last", "meadow scent", given_class="liquid"),
    Row("powder", "meadow flour", given_class="powder"),
    Row("powder", "corn starch"),
]
ARRAYS = [
    "temperature",
    "melt_liquid_share",
    "wetness",
    "firmness",
    "log_strength",
    "tack_cut",
    "crumble_cut",
    "polar_demand",
    "oil_share",
    "water",
    "kept_water",
    "lost_water",
    "bar_weight_share",
    "clean",
    "clean_knead_chance",
    "state_chances",
]


def three(number: int = 1) -> Recipe:
    """Return a bar in three variants that differ in one row."""
    made = recipe(number).add_variant("drier", like="1").add_variant("wetter", like="1")
    at = [row.name for row in made.rows].index("CAPB 30 %")
    return made.with_percent(at, "2", 5.0).with_percent(at, "3", 14.0)


def everything(result: Evaluation) -> dict[str, object]:
    """Return all that views show, as bytes or texts."""
    found: dict[str, object] = {name: getattr(result, name).tobytes() for name in ARRAYS}
    for name, mark in result.marks.items():
        found[name] = [one.tobytes() for one in vars(mark).values()]
    for v in range(len(result.recipe.variants)):
        spreads = result.spread_over_time(v)
        found[f"{v}"] = [
            readings(result, v),
            cautions(result, v),
            sentence(result, v),
            chance_sentence(result, v),
            mark_words(result, v),
            [one.tobytes() for one in vars(spreads["firmness"]).values()],
            [one.tobytes() for one in vars(spreads["temperature"]).values()],
            [(one.name, one.wetness.tobytes()) for one in why(result, v)],
        ]
    return found


def a_percent(draw, made: Recipe) -> Recipe:
    at = draw(st.integers(0, len(made.rows) - 1))
    number = draw(st.sampled_from(made.numbers))
    others = any(row.percents.get(number) is QS for row in made.rows)
    cells = st.sampled_from([0.0, 0.5, 3.25, 12.0, 40.0, None, *(() if others else (QS,))])
    return made.with_percent(at, number, draw(cells))


def a_row(draw, made: Recipe) -> Recipe:
    row = draw(st.sampled_from(NEW_ROWS))
    number = draw(st.sampled_from(made.numbers))
    at = draw(st.integers(0, len(made.rows)))
    return made.add_row(replace(row, percents={number: draw(st.sampled_from([0.0, 4.0]))}), at)


def no_row(draw, made: Recipe) -> Recipe:
    return made.remove_row(draw(st.integers(0, len(made.rows) - 1)))


def a_move(draw, made: Recipe) -> Recipe:
    last = len(made.rows) - 1
    return made.move_row(draw(st.integers(0, last)), draw(st.integers(0, last)))


def a_name(draw, made: Recipe) -> Recipe:
    at = draw(st.integers(0, len(made.rows) - 1))
    row = draw(st.sampled_from(NEW_ROWS))
    named = replace(made.rows[at], name=row.name, phase=row.phase, given_class=row.given_class)
    return made.with_row(at, replace(named, inci=None))


def a_variant(draw, made: Recipe) -> Recipe:
    return made.add_variant("more", like=draw(st.sampled_from(made.numbers)))


def no_variant(draw, made: Recipe) -> Recipe:
    if len(made.variants) == 1:
        return made
    return made.remove_variant(draw(st.sampled_from(made.numbers)))


def use(draw, made: Recipe) -> Recipe:
    return made.use_variant(draw(st.sampled_from(made.numbers)))


def a_title(draw, made: Recipe) -> Recipe:
    return made.rename_variant(draw(st.sampled_from(made.numbers)), "other").with_name("Other")


def a_bench(draw, made: Recipe) -> Recipe:
    changes = [
        {"room": 289.15},
        {"humidity": 0.7},
        {"bath": 350.15},
        {"liquids": 300.15},
        {"batch": 1.2},
        {"knead": (240.0, 900.0)},
        {"wanted": 0.8},
    ]
    return made.with_bench(**draw(st.sampled_from(changes)))


EDITS = [a_percent, a_row, no_row, a_move, a_name, a_variant, no_variant, use, a_title, a_bench]


@settings(max_examples=40)
@given(st.data())
def test_after_any_edits_the_result_is_a_fresh_one_to_the_last_bit(data):
    known = data.draw(st.sampled_from(KNOWN))
    made = three()
    before = evaluate(made, BOOK, known)
    for _ in range(data.draw(st.integers(1, 4))):
        edited = data.draw(st.sampled_from(EDITS))(data.draw, made)
        whole = all(
            any(row.percents.get(n) not in (None, 0.0) for row in edited.rows)
            for n in edited.numbers
        )
        if not (edited.rows and whole):
            continue
        made = edited
        before = evaluate(made, BOOK, known, None, before)
        assert before.recipe is made
    assert everything(before) == everything(evaluate(made, BOOK, known))


@pytest.fixture
def made_anew(monkeypatch) -> list[Forecast]:
    """Return the list of forecasts that are computed from now on."""
    from designer.evaluation import evaluate as module

    made, whole = [], module.forecast

    def noted(*arguments):
        made.append(whole(*arguments))
        return made[-1]

    monkeypatch.setattr(module, "forecast", noted)
    return made


def test_one_percent_makes_one_forecast_anew(made_anew):
    made = three()
    before = evaluate(made, BOOK, SOME)
    assert len(made_anew) == 3
    after = evaluate(made.with_percent(3, "2", 11.0), BOOK, SOME, before=before)
    assert len(made_anew) == 4
    assert after.forecasts[0] is before.forecasts[0]
    assert after.forecasts[2] is before.forecasts[2]


@pytest.mark.parametrize(
    "edit",
    [
        lambda made: made.with_name("Other"),
        lambda made: made.with_notes("Stir well."),
        lambda made: made.use_variant("3"),
        lambda made: made.rename_variant("2", "best"),
        lambda made: made.move_row(4, 0),
        lambda made: made.remove_variant("2"),
        lambda made: made.add_variant("again", like="2"),
        lambda made: made.with_row(2, replace(made.rows[2], note="sieve", held=frozenset("1"))),
        lambda made: made.add_row(Row("powder", "oat flour", {"1": 0.0})),
        lambda made: made.with_bench(wanted=0.9),
    ],
    ids=["name", "notes", "use", "title", "move", "remove", "copy", "note", "nothing", "wanted"],
)
def test_what_changes_no_dough_makes_no_forecast_anew(made_anew, edit):
    before = evaluate(three(), BOOK, SOME)
    made_anew.clear()
    after = evaluate(edit(three()), BOOK, SOME, before=before)
    assert made_anew == []
    assert set(after.forecasts) <= set(before.forecasts)


@pytest.mark.parametrize(
    "other",
    [
        lambda made: (made.with_bench(room=290.15), BOOK, SOME, None),
        lambda made: (made, replace(BOOK), SOME, None),
        lambda made: (made, BOOK, UNEVEN, None),
        lambda made: (made, BOOK, SOME, clock_times(made.bench.knead)[:40]),
    ],
    ids=["room", "handbook", "knowledge", "times"],
)
def test_on_another_ground_nothing_is_taken_over(made_anew, other):
    made = three()
    before = evaluate(made, BOOK, SOME)
    made_anew.clear()
    evaluate(*other(made), before)
    assert len(made_anew) == 3


def test_variants_that_are_the_same_are_made_once(made_anew):
    made = three().add_variant("again", like="2")
    result = evaluate(made, BOOK, SOME)
    assert len(made_anew) == 3
    assert result.forecasts[3] is result.forecasts[1]
    assert result.firmness.shape[0] == 4


def test_no_array_of_a_result_or_a_forecast_can_be_written_to():
    result = evaluate(three(), BOOK, SOME)
    for name in ARRAYS:
        assert not getattr(result, name).flags.writeable, name
    for one in result.forecasts:
        arrays = [value for value in vars(one).values() if isinstance(value, np.ndarray)]
        assert len(arrays) >= 9
        assert not any(array.flags.writeable for array in (*arrays, one.state_chances(0)))


def test_chances_of_one_moment_are_those_of_all_moments():
    one = evaluate(three(), BOOK, knowledge.shipped()).forecasts[0]
    for at in (0, one.scene.knead, -1):
        assert one.state_chances(at).tobytes() == one.every_state_chance[at].tobytes()


def test_spreads_are_made_when_asked_for_and_once():
    spreads = evaluate(three(), BOOK, SOME).spread_over_time(1)
    assert list(spreads) == []
    assert spreads["firmness"] is spreads["firmness"]
    assert list(spreads) == ["firmness"]
