"""Fixes on paper: what they move, what they keep, and that none that is smaller was overlooked."""

from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest
from advice.wild_bars import book, known

from designer.advice.fixes import MOST, fixes
from designer.advice.moves import eased, step
from designer.advice.wishes import CLEAN, Wish, told
from designer.errors import ReadableError
from designer.evaluation.evaluate import evaluate, evaluate_knead
from designer.evaluation.readings import readings, state
from designer.exchange.fixes import as_json
from designer.recipe import QS, Recipe, Row, file, resolve
from designer.wording.fixes import course_words, verdict

DEMO = Path(__file__).parents[2] / "demo_recipes"


def demo(name):
    return file.read(DEMO / f"{name}.toml")


def found(recipe, wish=CLEAN, variant=0, **more):
    return fixes(recipe, book(), known(), variant, wish, **more)


def held(recipe, keep):
    """Return a recipe with the rows held that `keep` says."""
    rows = tuple(
        replace(row, held=frozenset(recipe.numbers)) if keep(row) else row for row in recipe.rows
    )
    return replace(recipe, rows=rows)


@pytest.fixture(scope="module")
def sticky():
    return demo("oat_bar_sticky_and_mended")


@pytest.fixture(scope="module")
def mended(sticky):
    early = []
    return found(sticky, found=early.append), early


def test_the_sticky_demo_is_mended_by_less_cocoa_butter_for_oat_flour(mended):
    answer, _ = mended
    first = answer.fixes[0]
    assert [(one.name, one.before, one.after) for one in first.moves] == [
        ("cocoa butter", 4.0, 2.1),
        ("oat flour", 5.0, 6.9),
    ]
    assert (answer.status, told(answer.now.value), told(first.chance)) == ("found", 7, 14)
    assert [word for _, word in first.course] == ["sticky", "pliable", "pliable"]
    assert [one.size for one in answer.fixes] == sorted(one.size for one in answer.fixes)
    assert 3 <= len(answer.fixes) <= MOST


def test_the_first_list_comes_early_without_fats_and_holds_true_fixes(mended, sticky):
    answer, early = mended
    assert len(early) == 1
    assert not early[0].is_final
    assert answer.is_final
    for one in early[0].fixes:
        assert one.meets
        assert all(sticky.rows[move.row].phase != "melt" for move in one.moves)
    assert early[0].fixes[0].size >= answer.fixes[0].size - 1e-9


def test_what_a_fix_says_is_what_its_recipe_reads(mended, sticky):
    for one in mended[0].fixes:
        again = evaluate_knead(one.recipe.only("1"), book(), known())
        assert one.chance == float(again.clean_knead_chance[0])
        assert one.state == state(again, 0)
        assert one.active == readings(again, 0)["active_surfactant"].value
        before = readings(evaluate_knead(sticky.only("1"), book(), known()), 0)
        assert one.water_change == pytest.approx(one.water - before["water"].value)
        assert one.cost_change is None


def test_the_other_variant_and_the_rest_of_the_recipe_stay(mended, sticky):
    for one in mended[0].fixes:
        assert one.recipe.only("2") == sticky.only("2")
        assert one.recipe.bench == sticky.bench
        assert one.recipe != sticky


def test_a_filling_row_stays_so_and_is_shown_as_moved(mended, sticky):
    fill = next(k for k, row in enumerate(sticky.rows) if row.percents["1"] is QS)
    by_fill = [one for one in mended[0].fixes if any(move.fills for move in one.moves)]
    assert by_fill
    for one in by_fill:
        assert one.recipe.rows[fill].percents["1"] is QS
        assert sum(move.delta for move in one.moves) == pytest.approx(0, abs=1e-6)


def test_no_fix_is_needed_where_the_wanted_chance_is_there():
    answer = found(demo("oat_bar"))
    assert (answer.status, answer.fixes, answer.obstacle) == ("met", (), None)


def test_stopping_gives_nothing(sticky):
    asked = []

    def stop():
        asked.append(1)
        return len(asked) > 20

    assert found(sticky, stop=stop) is None


@pytest.mark.parametrize(
    ("keep", "kind", "name"),
    [
        (lambda row: True, "held", "every"),
        (lambda row: row.phase != "last", "held", "every"),
        (lambda row: row.phase == "powder", "held", "powder"),
    ],
)
def test_held_rows_are_named_as_what_stops_it(sticky, keep, kind, name):
    answer = found(held(sticky, keep))
    assert answer.status in ("none", "nearest")
    assert (answer.obstacle.kind, answer.obstacle.name) == (kind, name)
    for one in answer.fixes:
        assert not any(keep(sticky.rows[move.row]) for move in one.moves)


def test_an_impossible_chance_is_not_reached_and_the_nearest_is_told(sticky):
    answer = found(sticky.with_bench(wanted=1.0))
    assert answer.status == "nearest"
    assert answer.obstacle is not None
    assert all(told(one.chance) > told(answer.now.value) for one in answer.fixes)


@pytest.mark.parametrize(
    ("rows", "kind"),
    [
        ([("powder", "SCI fine powder", 100.0)], "rows"),
        ([("powder", "SCI fine powder", 80.0), ("liquid", "water", 20.0)], "range"),
        ([("liquid", "glycerin", 50.0), ("liquid", "water", 50.0)], "use"),
    ],
)
def test_what_can_hardly_be_a_bar_gets_a_reason_and_no_error(rows, kind):
    recipe = Recipe("odd", rows=tuple(Row(phase, name, {"1": cell}) for phase, name, cell in rows))
    answer = found(recipe)
    assert (answer.status, answer.obstacle.kind) == ("none", kind)


def test_of_a_dough_outside_the_model_no_chance_is_told():
    rows = (Row("liquid", "glycerin", {"1": 40.0}), Row("liquid", "water", {"1": 60.0}))
    answer = found(Recipe("no dough", rows=rows))
    assert answer.status != "met"
    assert answer.outside
    assert as_json(answer)["now"] is None
    assert "now" not in verdict(answer)


def test_a_total_above_a_hundred_may_be_mended_by_one_row(sticky):
    fill = next(k for k, row in enumerate(sticky.rows) if row.percents["1"] is QS)
    recipe = sticky.only("1").with_percent(fill, "1", 55.0)
    total = float(resolve(recipe).totals[0])
    assert total > 103
    answer = found(recipe)
    single = [one for one in answer.fixes if len(one.moves) == 1]
    assert single
    for one in answer.fixes:
        after = float(resolve(one.recipe).totals[0])
        assert after == pytest.approx(total) or (len(one.moves) == 1 and 100 <= after < total)


def test_a_trial_of_15_g_moves_in_steps_its_scale_can_weigh(sticky):
    answer = found(sticky.with_bench(batch=0.015))
    assert answer.fixes
    for one in answer.fixes:
        for move in one.moves:
            grams = abs(move.delta) / 100 * 15
            assert grams >= 0.1 - 1e-9
            assert move.delta == pytest.approx(round(move.delta))


@pytest.mark.parametrize(
    ("batch", "least"),
    [(0.015, 1.0), (0.1, 0.1), (0.45, 0.05), (2.0, 0.01), (0.02, 0.5), (0.001, 5.0)],
)
def test_the_smallest_step_weighs_a_tenth_of_a_gram(batch, least):
    assert step(batch) == least
    assert eased(3.0, least) == max(0.1, least)
    assert eased(0.3, least) == max(0.02, least)


def test_preservative_and_acid_stay_even_when_nothing_else_is_free(sticky):
    answer = found(held(sticky, lambda row: row.phase in ("melt", "powder")))
    names = {move.name for one in answer.fixes for move in one.moves}
    assert "citric acid" not in names
    assert "benzyl alcohol/dehydroacetic acid" not in names


def test_clean_by_ten_minutes_asks_for_more_than_clean_by_twenty(sticky):
    answer = found(sticky, Wish("clean-by", by=600.0))
    assert answer.now.value < found(sticky).now.value
    assert answer.fixes
    assert all(one.reached.value <= one.chance for one in answer.fixes)
    assert all(told(one.reached.value) >= 14 for one in answer.fixes)


@pytest.mark.parametrize("by", [60.0, 240.0, 600.0])
def test_the_course_is_told_inside_the_window_of_the_wish(sticky, by):
    answer = found(sticky, Wish("clean-by", by=by))
    assert answer.fixes
    for one in answer.fixes:
        moments = [moment for moment, _ in one.course]
        assert moments[-1] == by
        assert moments[0] == min(by, sticky.bench.knead[0])
        assert f"at {by / 60:g}" in course_words(one) or " from " in course_words(one)


def test_more_bars_are_harder_to_press_in_time():
    recipe = demo("dry_clay_bar")

    def chance(bars):
        wish = Wish("bars", bars=bars)
        result = evaluate(recipe, book(), known(), wish.times(recipe.bench))
        return wish.reached(result.forecasts[0]).value

    values = [chance(bars) for bars in (1, 20, 200)]
    plain = evaluate_knead(recipe, book(), known())
    assert float(plain.clean_knead_chance[0]) >= values[0] >= values[1] >= values[2]
    assert values[0] > values[2]


def test_a_firmer_bar_is_firmer_and_kneads_no_worse(sticky):
    answer = found(sticky, Wish("firmer"), variant=1)
    assert answer.goal.value == 300e3
    for one in answer.fixes:
        assert one.reached.value >= 300e3
        assert told(one.chance) >= told(answer.goal.chance)


def test_less_melt_takes_off_what_was_asked(sticky):
    answer = found(sticky, Wish("less-melt", melt=0.02), variant=1)
    assert answer.fixes
    for one in answer.fixes:
        taken = sum(m.delta for m in one.moves if sticky.rows[m.row].phase == "melt")
        assert taken <= -2 + 1e-6
        assert told(one.chance) >= told(answer.goal.chance)


@pytest.mark.parametrize(
    "arguments",
    [
        {"kind": "happy"},
        {"kind": "clean-by", "by": 5.0},
        {"kind": "clean-by", "by": float("nan")},
        {"kind": "bars"},
        {"kind": "bars", "bars": 10, "seconds_per_bar": -1.0},
        {"kind": "firmer", "firmness": -1.0},
        {"kind": "less-melt", "melt": 2.0},
    ],
)
def test_a_wish_that_makes_no_sense_is_refused(arguments):
    with pytest.raises(ReadableError):
        Wish(**arguments)


def test_a_variant_with_nothing_in_it_is_refused():
    with pytest.raises(ReadableError, match="No ingredient"):
        found(Recipe("empty", rows=(Row("powder", "SCI fine powder", {"1": 0.0}),)))


def test_many_rows_are_no_trouble(sticky):
    recipe = sticky
    for _ in range(40):
        recipe = recipe.add_row(Row("powder", "corn starch", {"1": 0.02}))
    answer = found(recipe)
    assert answer.status in ("found", "nearest")


def test_an_evaluation_of_before_serves_whatever_other_variants_it_has(sticky, mended):
    before = evaluate(sticky.add_variant("third", like="2"), book(), known())
    again = found(sticky, before=before)
    assert [one.recipe for one in again.fixes] == [one.recipe for one in mended[0].fixes]
    other = evaluate(sticky.with_percent(10, "1", 12.0), book(), known())
    assert found(sticky, before=other).now == again.now


def test_the_same_question_has_the_same_answer(sticky, mended):
    again = found(sticky)
    assert [one.recipe for one in again.fixes] == [one.recipe for one in mended[0].fixes]
    assert np.isclose(again.evaluations, mended[0].evaluations)


@pytest.mark.parametrize(
    ("name", "wish"),
    [("oat_bar", Wish("clean-by", by=300.0)), ("oat_bar_sticky_and_mended", Wish("bars", bars=60))],
)
def test_a_third_row_moves_by_more_than_a_trifle(name, wish):
    answer = found(demo(name), wish)
    assert answer.fixes
    for one in answer.fixes:
        if len(one.moves) > 2:
            assert min(abs(move.delta) for move in one.moves) >= 0.2 - 1e-6
