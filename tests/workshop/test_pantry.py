"""The maker's materials over the shipped ones: what counts, whence it comes, what is refused."""

from decimal import Decimal

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from shop import RECIPE, TODAY

from designer import handbook
from designer.errors import ReadableError
from designer.evaluation import knowledge
from designer.evaluation.cautions import cautions
from designer.evaluation.evaluate import evaluate
from designer.handbook import kind_of
from designer.handbook.joins import check
from designer.recipe import file
from designer.workshop import Pantry, properties
from designer.workshop.checks import money
from designer.workshop.database import Database
from designer.workshop.values import Ingredient, Lot, Own

BOOK = handbook.load()


def prop(words, kind="powder"):
    return properties.named(words, kind)


def in_memory():
    return Pantry(Database(None), BOOK, lambda: TODAY)


def test_an_empty_pantry_is_the_shipped_handbook(pantry):
    laid = pantry.handbook()
    assert laid.powders == BOOK.powders
    assert laid.liquids == BOOK.liquids
    assert laid.melts == BOOK.melts
    assert laid.roles == BOOK.roles
    assert laid.compositions == BOOK.compositions


def test_a_copy_has_all_of_the_first_under_its_own_name(pantry):
    pantry.copy("oat flour", "Oat flour from the brook")
    laid = pantry.handbook()
    shipped, copied = BOOK.powders["oat flour"], pantry.material("oat  FLOUR from the brook")
    for field in vars(shipped):
        if field not in ("name", "source"):
            assert getattr(copied, field) == getattr(shipped, field)
    key = ("powder", "Oat flour from the brook")
    assert laid.compositions[key] == BOOK.compositions["powder", "oat flour"]
    assert laid.roles[key].roles == BOOK.roles["powder", "oat flour"].roles
    check(laid)  # every rule that the shipped tables keep


def test_a_measurement_counts_before_a_statement_and_the_newer_before_the_older(pantry):
    put = pantry.put
    put("white clay", prop("uptake polar"), 0.5, "measured", day="2026-01-02")
    put("white clay", prop("uptake polar"), 0.6, "stated", day="2026-03-01")
    assert pantry.material("white clay").uptake_polar == 0.5
    put("white clay", prop("uptake polar"), 0.45, "measured", day="2026-02-01", sd=0.04)
    found = pantry.handbook().number("powders", "white clay", "uptake_polar")
    assert (found.value, found.sd, found.evidence) == (0.45, 0.04, "measured")
    assert found.source == "your measurement of 2026-02-01"
    assert pantry.material("white clay").uptake_sd == 0.04
    other = pantry.handbook().number("powders", "white clay", "true_density")
    assert other == BOOK.number("powders", "white clay", "true_density")
    assert pantry.forget("white clay", prop("uptake polar")) == 3
    assert pantry.material("white clay") == BOOK.powders["white clay"]


def test_a_lot_widens_the_forecast_until_it_is_tested(pantry):
    pantry.put("white clay", prop("uptake polar"), 0.5, "measured", sd=0.05)
    pantry.add_lot("white clay", Lot(0, "K-2", "2026-11-01"))
    widened = pantry.material("white clay").uptake_sd
    lots_differ = BOOK.parameters["slip_lot"].si
    assert widened == pytest.approx((0.05**2 + lots_differ**2) ** 0.5)
    pantry.put("white clay", prop("uptake polar"), 0.52, "measured", sd=0.05, lot="k-2")
    assert pantry.material("white clay").uptake_sd == 0.05
    pantry.change_lot("white clay", "K-2", finished="2026-11-20")
    assert pantry.material("white clay").uptake_polar == 0.52


def test_the_certificate_of_the_lot_in_use_counts_where_nothing_was_measured(pantry):
    pantry.add_lot("CAPB 30 %", Lot(0, "B1", "2026-10-01", active=0.32, dry=0.37, ph=5.4))
    found = pantry.material("CAPB 30 %")
    assert (found.active_fraction, found.ph) == (0.32, 5.4)
    assert found.water_fraction == pytest.approx(0.63)
    whole = sum(
        getattr(found, f"{part}_fraction") for part in ("active", "water", "glycol", "salt", "oil")
    )
    assert whole == pytest.approx(1)
    told = pantry.handbook().number("liquids", "CAPB 30 %", "active_fraction")
    assert told.source == "your lot of 2026-10-01; lot B1"
    pantry.put("CAPB 30 %", prop("strength", "liquid"), 0.3, "measured")
    assert pantry.material("CAPB 30 %").active_fraction == 0.3


def test_a_stated_strength_lets_the_water_give_way(pantry):
    pantry.put("CAPB 30 %", prop("strength", "liquid"), 0.35, "stated")
    found, shipped = pantry.material("CAPB 30 %"), BOOK.liquids["CAPB 30 %"]
    assert found.salt_fraction == shipped.salt_fraction
    assert found.water_fraction == pytest.approx(shipped.water_fraction - 0.05)


def test_a_blend_of_fats_melts_as_its_parts_do_together(pantry):
    pantry.blend("Half and half", [("cocoa butter", 1), ("cetyl alcohol (95 %+)", 3)])
    blend = pantry.material("Half and half")
    assert sum(share for _, share in blend.components) == pytest.approx(1)
    recipe = RECIPE.replace('"cocoa butter"', '"{}"')
    one = file.parse(recipe.format("Half and half"))
    extra = '[[row]]\nphase = "melt"\nname = "cetyl alcohol (95 %+)"\npercent = 10.5\n'
    two = file.parse(recipe.format("cocoa butter").replace("percent = 14", "percent = 3.5") + extra)
    few = knowledge.shipped(32)
    first, second = (evaluate(r, pantry.handbook(), few).forecasts[0] for r in (one, two))
    assert np.allclose(first.log_strength, second.log_strength, atol=0.05)


def test_a_blend_of_powders_drinks_the_mean_of_its_parts_by_mass(pantry):
    pantry.put("white clay", prop("uptake polar"), 0.3, "measured")
    pantry.blend("Oat and clay", [("oat flour", 300), ("white clay", 100)])
    wanted = 0.75 * BOOK.powders["oat flour"].uptake_polar + 0.25 * 0.3
    assert pantry.material("Oat and clay").uptake_polar == pytest.approx(wanted)
    check(pantry.handbook())


def test_a_new_material_without_a_base_is_a_middling_one_with_a_wide_spread(pantry):
    pantry.add(Own("powder", "my husk", True, inci="Plantago Ovata Husk", roles="binder; filler"))
    found = pantry.material("my husk")
    assert found.uptake_sd == BOOK.unknowns["powder"].uptake_sd
    role = pantry.handbook().roles["powder", "my husk"]
    assert (role.roles, role.vegan, role.palm) == (("binder", "filler"), "depends", "yes")
    parts = pantry.handbook().compositions["powder", "my husk"]
    assert [one.component for one in parts] == ["Plantago Ovata Husk"]
    check(pantry.handbook())


def test_a_statement_of_composition_and_allergens_is_laid_over(pantry):
    pantry.state_parts("white clay", [Ingredient(0, "Kaolin", 0.97, 0.98, 0.99)])
    pantry.describe("white clay", allergen="milk", vegan="no")
    laid = pantry.handbook()
    assert laid.compositions["powder", "white clay"][0].typical == 0.98
    assert laid.roles["powder", "white clay"].allergen == "milk"
    with pytest.raises(ReadableError, match="more than the whole"):
        pantry.state_parts("white clay", [Ingredient(0, n, 0.6, 0.6, 0.6) for n in "ab"])


def test_a_recipe_with_a_removed_material_opens_and_says_what_it_lacks(pantry):
    pantry.copy("white clay", "Clay from the pit")
    recipe = file.parse(RECIPE.replace("white clay", "Clay from the pit"))
    few = knowledge.shipped(32)
    whole = evaluate(recipe, pantry.handbook(), few)
    assert whole.mixture.unknown == ()
    pantry.put("Clay from the pit", prop("uptake polar"), 0.9, "measured")
    edited = evaluate(recipe, pantry.handbook(), few)
    assert edited.forecasts[0].log_strength.mean() > whole.forecasts[0].log_strength.mean()
    pantry.remove("clay from the pit")
    lacking = evaluate(recipe, pantry.handbook(), few)
    assert lacking.mixture.unknown == ("Clay from the pit",)
    told = [one.text for one in cautions(lacking, 0) if one.code == "unknown_ingredient"]
    assert "taken out of your pantry" in told[0]
    pantry.restore("clay from the pit")
    again = evaluate(recipe, pantry.handbook(), few)
    assert np.array_equal(again.forecasts[0].log_strength, edited.forecasts[0].log_strength)


def test_a_renamed_material_stays_in_its_blends(pantry):
    pantry.copy("white clay", "pit clay")
    pantry.blend("two", [("pit clay", 1), ("oat flour", 1)])
    before = pantry.material("two").uptake_polar
    pantry.rename("pit clay", "Clay of the pit")
    assert pantry.material("two").uptake_polar == before
    assert pantry.own("two").shares[0].name == "Clay of the pit"


REFUSED = {
    "case": (lambda p: p.copy("oat flour", "WHITE clay"), "already"),
    "blanks": (lambda p: p.copy("oat flour", "white   clay "), "already"),
    "empty name": (lambda p: p.copy("oat flour", "  "), "empty"),
    "no such": (lambda p: p.copy("oat flower", "x"), "Did you mean oat flour"),
    "negative uptake": (
        lambda p: p.put("white clay", prop("uptake oil"), -0.1, "measured"),
        "0.05",
    ),
    "huge uptake": (lambda p: p.put("white clay", prop("uptake oil"), 50.0, "measured"), "5 g/g"),
    "not a number": (
        lambda p: p.put("white clay", prop("uptake oil"), float("nan"), "stated"),
        "not possible",
    ),
    "strength and moisture": (
        lambda p: [
            p.put("SCI fine powder", prop("moisture"), 0.3, "stated"),
            p.put("SCI fine powder", prop("strength"), 0.9, "stated"),
        ],
        "more than the whole",
    ),
    "heap denser than grain": (
        lambda p: (
            p.put("white clay", prop("true density"), 810.0, "stated")
            and p.put("white clay", prop("bulk density"), 900.0, "stated")
        ),
        "denser",
    ),
    "future day": (
        lambda p: p.put("white clay", prop("uptake oil"), 0.4, "stated", day="2026-11-29"),
        "still to come",
    ),
    "no day": (
        lambda p: p.put("white clay", prop("uptake oil"), 0.4, "stated", day="2026-02-30"),
        "not a day",
    ),
    "negative price": (lambda p: p.add_price("white clay", 1.0, Decimal(-1), "EUR"), "negative"),
    "no currency": (lambda p: p.add_price("white clay", 1.0, Decimal(1), "€"), "three letters"),
    "pack of nothing": (lambda p: p.add_price("white clay", 0.0, Decimal(1), "EUR"), "possible"),
    "lot twice": (
        lambda p: [p.add_lot("white clay", Lot(0, code)) for code in ("a1", "A1 ")],
        "there already",
    ),
    "lot of tomorrow": (lambda p: p.add_lot("white clay", Lot(0, "a", "2026-11-29")), "to come"),
    "lot pH": (lambda p: p.add_lot("white clay", Lot(0, "a", ph=15.0)), "possible"),
    "mixed blend": (lambda p: p.blend("x", [("oat flour", 1), ("glycerin", 1)]), "one kind"),
    "blend of one": (lambda p: p.blend("x", [("oat flour", 1)]), "two parts"),
    "negative part": (lambda p: p.blend("x", [("oat flour", 2), ("white clay", -1)]), "possible"),
    "remove a shipped": (lambda p: p.remove("white clay"), "comes with the program"),
    "word": (lambda p: p.describe("white clay", vegan="perhaps"), "Use one of: yes"),
    "class": (lambda p: p.describe("white clay", material_class="dust"), "Use one of"),
    "property": (lambda p: prop("pH"), "has no"),
    "stock": (lambda p: p.move_stock("white clay", float("inf")), "possible"),
    "control characters": (lambda p: p.describe("white clay", supplier="a\x1bb"), "shown"),
}


@pytest.mark.parametrize("case", sorted(REFUSED))
def test_what_cannot_be_is_told_and_nothing_of_it_kept(case):
    pantry = in_memory()
    act, told = REFUSED[case]
    with pytest.raises(ReadableError) as caught:
        act(pantry)
    assert told in str(caught.value)
    assert "\n" not in str(caught.value)
    assert [own for own in pantry.materials() if own.own] == []
    check(pantry.handbook())


@pytest.mark.parametrize(
    ("typed", "told"), [("-3", "negative"), ("1,250", "may mean"), ("much", "not a price")]
)
def test_a_price_is_typed_or_asked_for(typed, told):
    assert money("12,50") == Decimal("12.50")
    with pytest.raises(ReadableError, match=told):
        money(typed)


def test_prices_are_exact_and_the_newest_counts(pantry):
    pantry.add_price("white clay", 0.1, Decimal("0.10"), "eur", "2026-02-01", "Pit")
    pantry.add_price("white clay", 25.0, Decimal("31.35"), "EUR", "2026-01-01")
    newest = pantry.latest_prices()["powder", "white clay"]
    assert (newest.amount, newest.currency, newest.per_kilogram) == (Decimal("0.10"), "EUR", 1)


def test_stock_is_what_came_less_what_went(pantry):
    assert pantry.stock("white clay") is None
    for mass in (0.1, 0.2, -0.3):
        left = pantry.move_stock("white clay", mass)
    assert left == 0
    assert pantry.stocks() == {("powder", "white clay"): 0.0}


def test_search_finds_by_name_inci_role_supplier_and_remark(pantry):
    pantry.copy("white clay", "Pit clay")
    pantry.describe("Pit clay", supplier="Brook and Sons", remark="smells of rain")
    for words in ("pit", "KAOLIN pit", "brook", "rain"):
        assert "Pit clay" in [one.name for one in pantry.search(words)]
    assert pantry.search("no such thing") == []


@settings(max_examples=40)
@given(
    st.lists(
        st.tuples(
            st.sampled_from(["oat flour", "white clay", "SCI fine powder", "CAPB 30 %"]),
            st.sampled_from(properties.PROPERTIES),
            st.floats(0, 1),
            st.sampled_from(["stated", "measured"]),
        ),
        max_size=8,
    )
)
def test_whatever_is_kept_the_handbook_keeps_the_rules_of_the_shipped_tables(numbers):
    pantry = in_memory()
    for name, one, at, origin in numbers:
        kind = kind_of(pantry.material(name))
        if kind in one.kinds:
            column = BOOK.columns[f"{kind}s"][one.column]
            from designer.vocabulary import si

            value = si(column.low + at * (column.high - column.low), column.unit)
            try:
                pantry.put(name, one, value, origin)
            except ReadableError:
                continue
    check(pantry.handbook())


def test_the_maker_s_handbook_is_used_only_where_something_was_kept(tmp_path, monkeypatch):
    from designer.workshop import shelf

    monkeypatch.setenv("BAR_DOUGH_DATA", str(tmp_path))
    assert shelf.handbook() is BOOK
    pantry = Pantry.opened(BOOK)
    assert shelf.handbook() is BOOK
    pantry.put("white clay", prop("uptake oil"), 0.41, "stated")
    assert shelf.handbook().powders["white clay"].uptake_oil == 0.41
    assert shelf.handbook() is shelf.handbook()
    pantry.database.close()
    assert shelf.handbook().powders["white clay"].uptake_oil == 0.41
