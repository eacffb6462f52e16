"""Finding a material as a maker names it, and being helped when the name is not known."""

from math import exp

import pytest

from designer import handbook
from designer.handbook import Liquid, Melt, Powder
from designer.vocabulary import PHASES

BOOK = handbook.load()
BOTH = sorted(BOOK.liquids.keys() & BOOK.melts.keys())


@pytest.mark.parametrize("name", BOTH)
def test_the_phase_decides_what_an_oil_in_two_tables_is(name):
    assert isinstance(BOOK.find(name, "melt"), Melt)
    for phase in ("liquid", "last", "powder"):
        assert isinstance(BOOK.find(name, phase), Liquid)


@pytest.mark.parametrize("phase", PHASES)
def test_every_material_is_found_by_its_own_name_in_every_phase(phase):
    for table in (BOOK.powders, BOOK.liquids, BOOK.melts):
        for name in table:
            found = BOOK.find(name, phase)
            assert found is not None
            assert found.name == name


def test_case_and_spaces_do_not_matter():
    assert BOOK.find("  Cocoa   BUTTER ", "melt") is BOOK.melts["cocoa butter"]
    assert BOOK.find("Sci fine Powder", "powder") is BOOK.powders["SCI fine powder"]


def test_an_inci_name_of_one_grade_is_enough():
    assert BOOK.find("Theobroma Cacao Seed Butter", "melt") is BOOK.melts["cocoa butter"]
    assert BOOK.find("ZEA MAYS (CORN) STARCH", "powder") is BOOK.powders["corn starch"]
    assert isinstance(BOOK.find("Sodium Benzoate", "liquid"), Powder)


def test_an_inci_name_of_several_grades_is_not_guessed():
    assert BOOK.find("Sodium Cocoyl Isethionate", "powder") is None
    assert BOOK.find("Cetearyl Alcohol", "melt") is None
    suggested = BOOK.suggest("Sodium Cocoyl Isethionate")
    assert suggested[:2] == ["SCI fine powder", "SCI prills ground by hand"]


def test_an_inci_name_of_two_grades_of_powder_may_be_one_liquid():
    assert BOOK.find("Cocamidopropyl Betaine", "powder") is BOOK.powders["CAPB powder"]
    assert BOOK.find("Cocamidopropyl Betaine", "liquid") is None


@pytest.mark.parametrize("name", ["", "plum water", "cocoa", "butter", "\x00"])
def test_what_is_not_there_is_not_found(name):
    assert BOOK.find(name, "liquid") is None


@pytest.mark.parametrize(
    ("typed", "meant"),
    [
        ("coco butter", "cocoa butter"),
        ("cocoa buter", "cocoa butter"),
        ("wite clay", "white clay"),
        ("cetyl alcohol", "cetyl alcohol (95 %+)"),
        ("CAPB", "CAPB 30 %"),
        ("shea butter", "shea butter, West African"),
        ("panthenol powder", "panthenol powder (DL)"),
        ("Sodium Cocoil Isethionate", "SCI fine powder"),
    ],
)
def test_a_misspelt_name_is_recognised(typed, meant):
    assert meant in BOOK.suggest(typed)


def test_nothing_is_suggested_for_nonsense():
    assert BOOK.suggest("qqqqqqqqqqqqqqq") == []


def test_search_goes_over_names_inci_class_and_role():
    assert BOOK.powders["oat flour"] in BOOK.search("avena")
    assert BOOK.liquids["CAPB 30 %"] in BOOK.search("foam booster")
    assert BOOK.powders["white clay"] in BOOK.search("CLAY")
    assert BOOK.search("oat   protein") == [
        one for one in BOOK.search("oat") if one in BOOK.search("protein")
    ]
    assert BOOK.search("surprising") == []
    assert len(BOOK.search("")) == len(BOOK.powders) + len(BOOK.liquids) + len(BOOK.melts)


@pytest.mark.parametrize("kind", ["powder", "liquid", "melt"])
def test_an_unknown_material_is_a_middling_one_under_its_makers_name(kind):
    stand_in = BOOK.unknown(kind, "plum stone", "Prunus Domestica")
    assert handbook.kind_of(stand_in) == kind
    assert (stand_in.name, stand_in.inci) == ("plum stone", "Prunus Domestica")
    assert stand_in.evidence == "estimate"


def test_an_unknown_powder_is_less_sure_than_any_known_one():
    unknown = BOOK.unknown("powder", "x", "x")
    assert unknown.uptake_sd > max(powder.uptake_sd for powder in BOOK.powders.values())
    # Nine tenths of the known powders lie within the ninety per cent that its spread spans.
    reach = exp(1.645 * unknown.uptake_sd)
    within = [
        unknown.uptake_polar / reach <= powder.uptake_polar <= unknown.uptake_polar * reach
        for powder in BOOK.powders.values()
    ]
    assert sum(within) >= 0.9 * len(within)


def test_an_oil_becomes_part_of_the_melt_with_its_own_density():
    sesame = BOOK.liquids["sesame oil"]
    heated = Melt.from_oil(sesame)
    assert heated.density == sesame.density
    assert heated.evidence == "estimate"
    assert [name for name, _ in heated.components] == ["TAG_LIQ"]
