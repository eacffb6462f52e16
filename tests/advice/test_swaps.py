"""Swaps: the chance kept, totals kept, what is offered is what the recipe then says."""

from dataclasses import replace
from datetime import date

import numpy as np
import pytest
from bars import recipe as golden

from designer import handbook
from designer.advice.offers import Request
from designer.advice.origins import origins
from designer.advice.peers import row_named
from designer.advice.swaps import as_new_variant, keep, swaps
from designer.errors import ReadableError
from designer.evaluation import knowledge
from designer.evaluation.evaluate import evaluate
from designer.recipe import QS, Bench, Recipe, Row, Swap, Variant
from designer.recipe.patch import text
from designer.recipe.reader import parse
from designer.wording.swaps import effect_words, moved_words, refused_words, remarks, verdict

BOOK = handbook.load()
KNOWN = knowledge.shipped(512)
BUTTERS = (
    "kokum butter",
    "illipe butter",
    "sal butter",
    "mango butter",
    "cocoa butter",
    "shea butter, West African",
    "cupuacu butter",
)


def bar(butter="cocoa butter", fill=QS):
    """A bar of 1 kg whose melt is 80 g of butter in 200 g."""
    melt = {
        butter: 8.0,
        "cetostearyl alcohol 50/50": 5.0,
        "stearic acid, double/triple pressed (C16/C18)": 2.0,
        "25 % active conditioner wax": 4.0,
        "sunflower oil": 1.0,
    }
    powder = {"SCI fine powder": fill, "SLSA powder": 10.0, "corn starch": 4.0, "white clay": 3.0}
    liquid = {"CAPB 30 %": 8.0, "glycerin": 3.0, "water": 1.0}
    rows = [
        Row(phase, name, {"1": cell})
        for phase, parts in (("melt", melt), ("powder", powder), ("liquid", liquid))
        for name, cell in parts.items()
    ]
    return Recipe("Butter bar", bench=Bench(batch=1.0), rows=tuple(rows))


def asked(made, name, number="1", **request):
    row = row_named(made, number, name, BOOK)
    return swaps(made, number, row, BOOK, KNOWN, Request(**request))


@pytest.fixture(scope="module")
def cocoa():
    return asked(bar(), "cocoa butter", most=8)


@pytest.fixture(scope="module")
def betaine():
    return asked(bar(), "CAPB 30 %", most=8)


@pytest.mark.parametrize("old", BUTTERS)
def test_seven_butters_stand_in_for_each_other_and_keep_the_chance(old):
    made = bar(old)
    for new in BUTTERS:
        if new == old:
            continue
        offer = asked(made, old, only=new).every[0]
        assert offer.refused is None, (new, refused_words(offer))
        off = abs(offer.after.chance - offer.before.chance)
        assert off <= 0.05 or moved_words(offer), (new, off)
        assert off <= 0.06, (new, off)


def test_the_chance_offered_is_that_of_the_recipe_offered(cocoa, betaine):
    for answer in (cocoa, betaine):
        for offer in answer.every[::3]:
            result = evaluate(offer.recipe, BOOK, KNOWN)
            assert result.clean_knead_chance[0] == offer.after.chance
            assert result.amounts.totals[0] == pytest.approx(100, abs=1e-9)
            made = evaluate(as_new_variant(answer, offer), BOOK, KNOWN)
            assert made.clean_knead_chance.tolist() == [offer.before.chance, offer.after.chance]


def test_what_moves_sums_to_nothing_and_is_weighed_in_hundredths(cocoa, betaine):
    for answer in (cocoa, betaine):
        for offer in answer.every:
            change = sum(move.after - move.before for move in offer.moves)
            assert change == pytest.approx(0, abs=1e-9)
            assert offer.moves[0].name == answer.name
            assert offer.moves[1].name == offer.name
            for move in offer.moves:
                assert move.after == pytest.approx(round(move.after, 2), abs=1e-9)
                assert move.after >= 0


def test_a_twin_takes_the_place_percent_for_percent():
    # LAPB is CAPB of another chain: the tables hold the same water, active and salt for both.
    offer = asked(bar(), "CAPB 30 %", only="LAPB 30 %").every[0]
    assert offer.percent == pytest.approx(8.0, abs=0.02)
    assert offer.alongside == ()
    assert offer.residual < 0.02
    assert offer.keeps_chance


def test_a_stronger_surfactant_goes_in_with_less_and_water_makes_up_for_it():
    # 30 % of 8.0 % is the active of 38 % of 6.3 %; common practice, no source.
    offer = asked(bar(), "CAPB 30 %", only="CAPB 38 %").every[0]
    assert 6.0 < offer.percent < 7.5
    assert [move.name for move in offer.alongside] == ["water"]
    assert offer.alongside[0].change > 0.3
    assert offer.after.active == pytest.approx(offer.before.active, abs=0.005)
    assert offer.after.wetness == pytest.approx(offer.before.wetness, rel=0.02)
    assert offer.keeps_chance


def test_half_as_much_of_a_wax_twice_as_strong_goes_in_with_alcohol():
    # Common practice, no source: 25 % active wax is 50 % active wax and fatty alcohol, 1 : 1.
    strong = "50 % active conditioner wax, cetostearyl carrier"
    offer = asked(bar(), "25 % active conditioner wax", only=strong).every[0]
    assert offer.percent == 2.0
    assert offer.alongside[0].name == "cetostearyl alcohol 50/50"
    assert offer.alongside[0].change == pytest.approx(2.0, abs=0.2)
    assert offer.keeps_chance


def test_nothing_but_a_cationic_stands_in_for_one():
    for offer in asked(bar(), "25 % active conditioner wax").every:
        assert "conditioner cationic" in BOOK.roles[offer.kind, offer.name].roles


def test_a_companion_does_not_stand_in_by_itself():
    # Lauric acid melts at 44 °C, cetostearyl alcohol at about 50 °C: published melting points.
    offer = asked(bar(), "cetostearyl alcohol 50/50", only="lauric acid").every[0]
    assert offer.refused is not None
    assert refused_words(offer).endswith(".")


def test_half_and_half_leaves_half_of_the_old():
    whole = asked(bar(), "cocoa butter", only="kokum butter").every[0]
    half = asked(bar(), "cocoa butter", only="kokum butter", half=True).every[0]
    assert half.stays == 4.0
    assert half.is_half
    assert half.percent == pytest.approx(whole.percent / 2, abs=0.3)
    rows = {row.name: row.percents["1"] for row in half.recipe.rows}
    assert rows["cocoa butter"] == 4.0
    assert rows["kokum butter"] == half.percent


def test_what_fills_up_hands_that_on_to_its_stand_in():
    prills = "SCI prills ground by hand"
    for half in (False, True):
        offer = asked(bar(), "SCI fine powder", only=prills, half=half).every[0]
        rows = {row.name: row.percents["1"] for row in offer.recipe.rows}
        assert rows[prills] is QS
        assert rows.get("SCI fine powder") == (25.5 if half else None)
        assert offer.refused is None
        assert offer.moved.code == "less sure"
        assert "known less surely" in moved_words(offer)


def test_half_of_a_powder_keeps_more_of_the_chance_than_all_of_it():
    whole, half = (
        asked(bar(), "SCI fine powder", only="SCS fine powder", half=half).every[0]
        for half in (False, True)
    )
    assert whole.after.chance < half.after.chance < half.before.chance


def test_without_a_row_that_fills_up_the_powders_give_way_and_the_total_stays():
    made = bar(fill=49.5)  # the total is 98.5
    offer = asked(made, "cocoa butter", only="mango butter").every[0]
    result = evaluate(offer.recipe, BOOK, KNOWN)
    assert result.amounts.totals[0] == pytest.approx(98.5, abs=1e-9)
    filling = {move.name for move in offer.moves if move.part == "fill"}
    assert filling == {"SCI fine powder", "SLSA powder", "corn starch", "white clay"}
    assert result.clean_knead_chance[0] == offer.after.chance


def test_held_rows_stay():
    made = bar()
    held = [
        replace(row, held=frozenset({"1"}))
        if row.name in ("water", "CAPB 30 %", "cetostearyl alcohol 50/50")
        else row
        for row in made.rows
    ]
    made = replace(made, rows=tuple(held))
    for offer in asked(made, "cocoa butter", most=4).every:
        moving = {move.name for move in offer.moves}
        assert not moving & {"water", "CAPB 30 %", "cetostearyl alcohol 50/50"}


def test_a_stand_in_that_is_there_already_gets_more():
    made = replace(bar(), rows=(*bar().rows, Row("melt", "shea butter, West African", {"1": 2.0})))
    offer = asked(made, "cocoa butter", only="shea butter, West African").every[0]
    into = offer.moves[1]
    assert into.before == 2.0
    assert into.after == pytest.approx(2.0 + offer.percent)
    assert sum(row.name == "shea butter, West African" for row in offer.recipe.rows) == 1


def test_other_variants_stay_as_they_are():
    made = bar().add_variant("second", like="1").with_percent(0, "2", 7.0)
    answer = asked(made, "cocoa butter", "2", only="kokum butter")
    offer = answer.every[0]
    both = as_new_variant(answer, offer)
    assert both.numbers == ("1", "2", "3")
    for new in (offer.recipe, both):
        for row in made.rows:
            there = next(one for one in new.rows if one.name == row.name)
            assert there.percents["1"] == row.percents["1"]
    assert {row.name: row.percents["2"] for row in both.rows}["cocoa butter"] == 7.0
    assert {row.name: row.percents["2"] for row in offer.recipe.rows}["cocoa butter"] == 0.0
    assert {row.name: row.percents["1"] for row in both.rows}["kokum butter"] == 0.0


def test_the_order_of_rows_is_irrelevant(cocoa):
    made = bar()
    turned = replace(made, rows=made.rows[::-1])
    again = asked(turned, "cocoa butter", most=8)
    for one, other in zip(cocoa.every, again.every, strict=True):
        assert one.name == other.name
        assert one.percent == pytest.approx(other.percent, abs=0.02)
        assert one.after.chance == pytest.approx(other.after.chance, abs=0.01)


def test_a_swap_kept_says_what_was_predicted_and_survives_the_file(cocoa):
    made = parse(text(bar()))
    offer = cocoa.offers[0]
    kept = keep(made, cocoa.row, offer, "1", date(2026, 3, 9))
    swap = kept.rows[cocoa.row].swaps[0]
    assert swap.chance == round(offer.after.chance, 2)
    assert (swap.name, swap.percent, swap.variant) == (offer.name, offer.percent, "1")
    assert swap.date == "2026-03-09"
    assert parse(text(kept)) == kept
    # Kept again it takes the place of the older one; half of it is another swap.
    again = keep(kept, cocoa.row, offer, "1", date(2026, 3, 10))
    assert [one.date for one in again.rows[cocoa.row].swaps] == ["2026-03-10"]
    half = replace(offer, moves=(replace(offer.moves[0], after=4.0), *offer.moves[1:]))
    assert len(keep(again, cocoa.row, half, "1").rows[cocoa.row].swaps) == 2


def test_less_of_a_liquid_is_kept_as_less(betaine):
    offer = asked(bar(), "CAPB 30 %", only="coco-glucoside 52 %").every[0]
    kept = keep(bar(), betaine.row, offer, "1").rows[betaine.row].swaps[0]
    changes = {move.name: move.change for move in offer.alongside}
    assert dict(kept.alongside) == {n: c for n, c in changes.items() if c > 0}
    assert {name: -p for name, p in kept.less} == {n: c for n, c in changes.items() if c < 0}


def test_files_without_a_prediction_and_with_unknown_keys_still_read():
    old = text(bar()).replace(
        'name = "cocoa butter"\n',
        'name = "cocoa butter"\nswaps = [{ name = "kokum butter", percent = 7.6, moon = 1, '
        'with = [{ name = "sunflower oil", percent = 0.4 }] }]\n',
    )
    read = parse(old)
    assert read.rows[0].swaps == (Swap("kokum butter", 7.6, (("sunflower oil", 0.4),)),)
    offer = asked(read, "cocoa butter", only="illipe butter").every[0]
    kept = keep(read, 0, offer, "1", date(2026, 3, 9))
    assert "moon = 1" in text(kept)
    assert parse(text(kept)) == kept
    typed = parse(old.replace("moon = 1", 'chance = "14 of 20", date = 2026-03-09, stays = 2'))
    assert typed.rows[0].swaps[0].chance == 0.7
    assert typed.rows[0].swaps[0].date == "2026-03-09"
    assert typed.rows[0].swaps[0].stays == 2


def test_wishes_part_what_breaks_them_from_what_only_a_supplier_can_tell():
    answer = asked(bar(), "cocoa butter", only="palm stearin", wishes=frozenset({"no palm"}))
    assert answer.offers == ()
    assert refused_words(answer.every[0]) == "palm stearin comes from palm."
    answer = asked(bar(), "CAPB 30 %", only="LAPB 30 %", wishes=frozenset({"no palm", "vegan"}))
    offer = answer.offers[0]
    assert [one.is_sure for one in offer.broken] == [False]
    assert "LAPB 30 % may come from palm: ask its supplier." in remarks(offer)
    answer = asked(bar(), "SCI fine powder", only="SLS powder", wishes=frozenset({"sulfate-free"}))
    assert answer.offers == ()


def test_origins_of_palm_are_sure_only_where_the_name_says_so():
    # Elaeis guineensis is the oil palm: named so in the INCI names of its oil, kernel and fats.
    for name in ("palm oil", "palm stearin", "palm kernel oil"):
        assert origins(BOOK.melts[name], BOOK).no_palm == "no"
    for name in ("cetyl alcohol (95 %+)", "palmitic acid", "cetyl palmitate"):
        assert origins(BOOK.melts[name], BOOK).no_palm == "ask"
    assert origins(BOOK.melts["cocoa butter"], BOOK).no_palm == "yes"
    assert origins(BOOK.powders["SCS fine powder"], BOOK).sulfate_free == "no"


def test_new_allergens_are_told_and_old_ones_are_not():
    offer = asked(bar(), "corn starch", only="wheat starch").every[0]
    assert offer.new_allergens == ("wheat/gluten",)
    made = replace(bar(), rows=(*bar().rows, Row("powder", "wheat flour", {"1": 1.0})))
    assert asked(made, "corn starch", only="wheat starch").every[0].new_allergens == ()


def test_scents_and_preservatives_go_in_by_their_own_dose():
    rows = (*bar().rows, Row("last", "lavender oil", {"1": 0.5}))
    made = replace(bar(), rows=(*rows, Row("last", "phenoxyethanol", {"1": 0.9})))
    scent = asked(made, "lavender oil", most=4)
    assert all(one.percent == pytest.approx(0.5, abs=0.5) for one in scent.offers)
    assert all("scent" in [note.code for note in one.notes] for one in scent.offers)
    preserved = asked(made, "phenoxyethanol", most=4)
    for one in preserved.every:
        role = BOOK.roles[one.kind, one.name]
        assert 100 * role.use_low - 0.01 <= one.percent <= 100 * role.use_high + 0.01
        assert any("challenge test" in told for told in remarks(one))


def test_what_does_something_else_is_no_stand_in_whatever_the_dough():
    offer = asked(bar(), "glycerin", only="white clay").every[0]
    assert offer.refused.code == "role"
    assert "humectant" in refused_words(offer)


def test_a_recipe_outside_the_model_says_so():
    made = bar()
    rows = [row if row.phase == "melt" else replace(row, percents={"1": 1.0}) for row in made.rows]
    answer = asked(replace(made, rows=tuple(rows)), "cocoa butter", most=3)
    assert answer.before.chance is None
    assert "cannot tell" in verdict(answer) or not answer.offers
    assert all("no forecast" in effect_words(one) for one in answer.every)


@pytest.mark.parametrize(
    ("name", "change", "words"),
    [
        ("quartz", {}, "in no row"),
        ("c", {}, "may be"),
        ("cocoa butter", {"percents": {"1": 0.0}}, "at 0 %"),
        ("cocoa butter", {"held": frozenset({"1"})}, "held"),
    ],
)
def test_bad_rows_are_refused_with_a_sentence(name, change, words):
    made = bar()
    made = made.with_row(0, replace(made.rows[0], **change))
    with pytest.raises(ReadableError, match=words):
        asked(made, name)


def test_one_row_alone_and_strangers_are_refused_with_a_sentence():
    alone = Recipe(rows=(Row("melt", "cocoa butter", {"1": 100.0}),))
    with pytest.raises(ReadableError, match="nothing else"):
        asked(alone, "cocoa butter")
    stranger = Row("powder", "moon dust", {"1": 3.0}, given_class="powder")
    made = replace(bar(), rows=(*bar().rows, stranger))
    with pytest.raises(ReadableError, match="not in the tables"):
        asked(made, "moon dust")
    with pytest.raises(ReadableError, match="not in the tables"):
        asked(bar(), "cocoa butter", only="moon butter")
    with pytest.raises(ReadableError, match="what goes out"):
        asked(bar(), "cocoa butter", only="cocoa butter")


def test_a_stranger_gets_the_stand_in_that_is_named():
    stranger = Row("powder", "moon dust", {"1": 3.0}, given_class="powder")
    made = replace(bar(), rows=(*bar().rows, stranger))
    offer = asked(made, "moon dust", only="white clay").every[0]
    assert offer.refused.code == "role"
    assert np.isfinite(offer.after.wetness)


def test_it_gives_up_when_asked_to():
    made = bar()
    with pytest.raises(InterruptedError):
        swaps(made, "1", 0, BOOK, KNOWN, Request(most=3), stop=lambda: True)


def test_without_room_for_it_a_stand_in_is_refused_and_the_others_are_not():
    made = bar(fill=0.2)
    rows = [row for row in made.rows if row.phase != "powder" or row.name == "SCI fine powder"]
    rows.append(Row("powder", "white clay", {"1": 40.0}, held=frozenset({"1"})))
    answer = asked(replace(made, rows=tuple(rows)), "cocoa butter", most=8)
    codes = {offer.refused.code for offer in answer.refused}
    assert "room" in codes
    assert all(refused_words(offer) for offer in answer.refused)


def test_every_row_of_a_usual_bar_gets_an_answer_in_words():
    made = golden(9)
    for row in made.rows:
        answer = asked(made, row.name, most=2)
        assert verdict(answer).endswith(".")
        for offer in answer.every:
            assert effect_words(offer)
            assert all(one.endswith(".") for one in remarks(offer))
            assert (offer.refused is None) == (refused_words(offer) == "")


def test_variants_are_asked_by_their_own_number():
    made = bar().add_variant("wet", like="1")
    made = replace(made, variants=(Variant("1"), Variant("2", "wet", active=True)))
    assert asked(made, "cocoa butter", "1", most=2).number == "1"
