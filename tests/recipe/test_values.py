import pickle
from dataclasses import FrozenInstanceError, replace

import pytest
from hypothesis import given
from hypothesis import strategies as st

from designer.errors import ReadableError
from designer.recipe import DEFAULT_BATCH, QS, Bench, Percents, Recipe, Row, Swap, Variant
from tests.recipe.strategies import NAMES, recipes, rows


@pytest.fixture
def recipe():
    return Recipe(
        name="Oat and herb bar",
        variants=(Variant("1", "first"), Variant("2", "drier", active=True)),
        rows=(
            Row("melt", "cocoa butter", {"1": 6.0, "2": 6.0}),
            Row("powder", "SCI, fine", {"1": QS, "2": QS}),
            Row("powder", "nettle powder", {"1": 3.0, "2": 4.0}, held=frozenset("12")),
        ),
    )


def names(recipe):
    return [row.name for row in recipe.rows]


def test_a_recipe_cannot_be_changed_in_place(recipe):
    with pytest.raises(FrozenInstanceError):
        recipe.name = "other"
    with pytest.raises(TypeError):
        recipe.rows[0].percents["1"] = 7.0


@given(recipes(strange=True))
def test_a_recipe_can_be_sent_to_another_process_and_serve_as_a_key(recipe):
    copy = pickle.loads(pickle.dumps(recipe))
    assert copy == recipe
    assert hash(copy) == hash(recipe)
    assert copy.rows == () or all(cell is QS for cell in fills(copy))


def fills(recipe):
    return [c for row in recipe.rows for c in row.percents.values() if not isinstance(c, float)]


def test_each_change_returns_a_new_recipe_and_leaves_the_old_one(recipe):
    before = pickle.loads(pickle.dumps(recipe))
    changed = [
        recipe.with_name("x"),
        recipe.with_notes("x"),
        recipe.with_bench(room=300.0),
        recipe.with_percent(0, "1", 7.0),
        recipe.with_row(0, Row("melt", "shea butter")),
        recipe.add_row(Row("last", "scent")),
        recipe.remove_row(0),
        recipe.move_row(0, 2),
        recipe.add_variant("third"),
        recipe.rename_variant("1", "x"),
        recipe.remove_variant("1"),
        recipe.use_variant("1"),
    ]
    assert recipe == before
    assert all(other != recipe for other in changed)
    assert len(set(changed)) == len(changed)


def test_rows_are_added_removed_and_moved_where_asked(recipe):
    scent = Row("last", "scent", {"1": 1.0})
    assert names(recipe.add_row(scent))[-1] == "scent"
    assert names(recipe.add_row(scent, 0))[0] == "scent"
    assert names(recipe.remove_row(1)) == ["cocoa butter", "nettle powder"]
    assert names(recipe.move_row(0, 2)) == ["SCI, fine", "nettle powder", "cocoa butter"]
    assert names(recipe.move_row(2, 0)) == ["nettle powder", "cocoa butter", "SCI, fine"]


def test_removing_one_of_two_equal_rows_leaves_the_other(recipe):
    row = recipe.rows[0]
    doubled = recipe.add_row(row).add_row(row)
    assert names(doubled.remove_row(3)) == [*names(recipe), "cocoa butter"]
    same = replace(recipe, rows=(row, row))
    assert same.remove_row(0).rows == (row,)


def test_a_new_variant_can_start_as_a_copy(recipe):
    copied = recipe.add_variant("third", like="2")
    assert copied.numbers == ("1", "2", "3")
    assert [row.percents["3"] for row in copied.rows] == [6.0, QS, 4.0]
    assert copied.rows[2].held == frozenset("123")
    assert recipe.add_variant().rows[0].percents.get("3") is None


def test_a_removed_variant_takes_its_figures_holds_and_swaps_along(recipe):
    row = replace(recipe.rows[0], swaps=(Swap("shea butter", 5.0, variant="2"), Swap("oil", 1.0)))
    left = recipe.with_row(0, row).remove_variant("2")
    assert left.numbers == ("1",)
    assert left.active.number == "1"
    assert dict(left.rows[0].percents) == {"1": 6.0}
    assert [swap.name for swap in left.rows[0].swaps] == ["oil"]
    assert left.rows[2].held == frozenset("1")


def test_numbers_of_variants_never_change_hands(recipe):
    assert recipe.remove_variant("1").add_variant().numbers == ("2", "3")


def test_exactly_one_variant_is_active(recipe):
    assert recipe.use_variant("1").active.title == "first"
    assert Recipe(variants=(Variant("4"), Variant("7"))).active.number == "4"
    with pytest.raises(ReadableError, match="1 and 2 are both active"):
        Recipe(variants=(Variant("1", active=True), Variant("2", active=True)))


def test_a_batch_takes_the_place_of_bars_and_the_other_way_round(recipe):
    bars = recipe.with_bench(bars=24, net=0.1, loss=0.02)
    assert bars.bench.stated_batch == pytest.approx(24 * 0.1 / 0.98)
    batch = bars.with_bench(batch=2.0)
    assert (batch.bench.bars, batch.bench.batch_mass) == (None, 2.0)
    assert batch.with_bench(bars=12).bench.batch is None


def test_without_a_batch_four_bars_are_taken_as_said(recipe):
    assert recipe.bench.stated_batch is None
    assert recipe.bench.batch_mass == DEFAULT_BATCH == 0.45


def test_a_figure_of_none_is_no_figure():
    assert Percents({"1": None, "2": 0.0}) == Percents({"2": 0.0})
    assert "1" not in Percents({"1": 3.0}).changed("1", None)


@pytest.mark.parametrize(
    ("make", "sentence"),
    [
        (lambda: Row("mlet", "oat flour"), "'mlet' is not a phase"),
        (lambda: Row("melt", "oat flour", given_class="stone"), "'stone' is not a class"),
        (lambda: Row("melt", "  "), "It is empty"),
        (lambda: Row("melt", "a\nb"), "cannot be shown"),
        (lambda: Row("melt", "a\0b"), "cannot be shown"),
        (lambda: Row("melt", "\ud800"), "cannot be shown"),
        (lambda: Row("melt", "x" * 201), "201 characters"),
        (lambda: Row("melt", "x", {"1": -0.1}), "-0.1 is not a percentage"),
        (lambda: Row("melt", "x", {"1": 100.5}), "100.5 is not a percentage"),
        (lambda: Row("melt", "x", {"1": float("nan")}), "not a percentage"),
        (lambda: Row("melt", "x", {"1": float("inf")}), "not a percentage"),
        (lambda: Row("melt", "x", {"1": True}), "not a percentage"),
        (lambda: Row("melt", "x", {"1": 10**400}), "not a percentage"),
        (lambda: Swap("", 5.0), "It is empty"),
        (lambda: Swap("shea butter", -1.0), "not a percentage"),
        (lambda: Variant("one"), "cannot be called 'one'"),
        (lambda: Variant("0"), "cannot be called"),
        (lambda: Variant("01"), "cannot be called"),
        (lambda: Variant(""), "cannot be called"),
        (lambda: Bench(room=400.0), "127 °C is outside"),
        (lambda: Bench(humidity=float("nan")), "outside"),
        (lambda: Bench(knead=(600.0, 300.0)), "ends before it starts"),
        (lambda: Bench(batch=1.0, bars=4, net=0.1), "Both the batch and the number of bars"),
        (lambda: Bench(bars=4), "without the weight of one"),
        (lambda: Bench(bars=0, net=0.1), "0 bars cannot be made"),
        (lambda: Bench(bars=100_000, net=1.0), "outside"),
        (lambda: Recipe(variants=()), "cannot have 0 variants"),
        (lambda: Recipe(variants=(Variant("1"), Variant("1"))), "Two variants have one number"),
        (lambda: Recipe(variants=tuple(Variant(str(n)) for n in range(1, 52))), "51 variants"),
        (lambda: Recipe(rows=(Row("melt", "x"),) * 501), "501 rows are too many"),
        (lambda: Recipe(rows=(Row("melt", "x", {"2": 1.0}),)), "'2' is not among the variants"),
        (lambda: Recipe(rows=(Row("melt", "x", held=frozenset("3")),)), "'3' is not among"),
        (
            lambda: Recipe(rows=(Row("melt", "x", swaps=(Swap("y", 1.0, variant="9"),)),)),
            "'9' is not among",
        ),
        (
            lambda: Recipe(rows=(Row("melt", "x", {"1": QS}), Row("melt", "y", {"1": QS}))),
            "Rows 1 and 2 are both q.s. in variant 1",
        ),
        (lambda: Recipe().remove_variant("1"), "0 variants"),
        (lambda: Recipe().use_variant("2"), "There is no variant '2'"),
    ],
)
def test_what_no_recipe_can_say_is_refused_with_a_sentence(make, sentence):
    with pytest.raises(ReadableError) as caught:
        make()
    assert sentence in caught.value.problem
    assert caught.value.advice


def test_a_variant_without_any_amount_is_empty(recipe):
    assert recipe.empty == ()
    more = recipe.add_variant("three").add_variant("four")
    zero = more.with_percent(0, "4", 0.0)
    assert zero.empty == ("3", "4")
    assert zero.with_percent(0, "4", 0.1).empty == ("3",)
    assert zero.with_percent(1, "3", QS).empty == ("4",)
    assert Recipe().empty == ("1",)


def outcome(make):
    """Return what is made, or the error as text."""
    try:
        return make()
    except ReadableError as error:
        return str(error)


@given(recipes(), st.data())
def test_rows_changed_one_by_one_are_refused_as_in_a_recipe_made_anew(recipe, data):
    fills = st.sets(st.sampled_from([*recipe.numbers, "99"]), max_size=1).map(frozenset)
    new = [
        data.draw(
            rows([*recipe.numbers, "99"][: data.draw(st.integers(1, 4))], NAMES, fills=filled)
        )
        for filled in data.draw(st.lists(fills, max_size=3))
    ]
    kept = data.draw(st.lists(st.sampled_from(recipe.rows))) if recipe.rows else []
    after = data.draw(st.permutations([*kept, *new]))
    made = outcome(lambda: recipe.with_rows(after))
    assert made == outcome(lambda: replace(recipe, rows=tuple(after)))
    if isinstance(made, Recipe):
        assert made.numbers == tuple(variant.number for variant in made.variants)


def test_too_many_rows_are_refused_however_they_come():
    recipe = Recipe(rows=tuple(Row("powder", f"clay {k}") for k in range(500)))
    with pytest.raises(ReadableError, match="501 rows are too many"):
        recipe.add_row(Row("powder", "one more"))


def test_figures_of_a_row_equal_a_dictionary_of_the_same():
    assert Percents({"1": 2.0}) == {"1": 2.0}
    assert Percents({"1": 2.0}) != {"1": 2.0, "2": 1.0}
    assert Percents({"1": 2.0}) != 2.0


@pytest.mark.parametrize("change", ["with_name", "with_notes"])
def test_a_name_that_cannot_be_shown_is_refused_by_a_copy_too(recipe, change):
    with pytest.raises(ReadableError, match="cannot be shown"):
        getattr(recipe, change)("oat\x07")
