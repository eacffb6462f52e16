"""Checks and labels in words: plain, with where it is from, and no word that promises."""

import json
import re
from dataclasses import replace
from decimal import Decimal

import pytest
from made_up import bar, supplied, worked_example

from designer import handbook
from designer.evaluation.checks import check_all
from designer.evaluation.composition import Amount
from designer.evaluation.keeping import Keeping
from designer.evaluation.label import LabelFacts
from designer.evaluation.label_sheet import sheet_of
from designer.evaluation.verdicts import CLOSE, OVER, WITHIN, Check
from designer.evaluation.watched import Bench
from designer.exchange.label import as_json
from designer.handbook import law
from designer.wording.checks import DISCLAIMER, check_line, check_lines, day_words, figure, summary
from designer.wording.label import (
    cautions_to_print,
    fact_lines,
    label_notes,
    missing_words,
    weight_lines,
)

LAW = law.load()
PROMISE = re.compile(r"\b(safe|safely|compliant|hypoallergenic|preservative-free)\b", re.I)


def every(made, market="EU"):
    return check_all(made, LAW, market, Bench(), Keeping())


def sheet(market="EU", basis="added", made=None, **facts):
    facts = {"grams": Decimal(100), **facts}
    return sheet_of(made or worked_example(), LAW, market, basis, LabelFacts(**facts))


@pytest.mark.parametrize(
    ("value", "told"),
    [("13.7251", "13.7"), ("1.604", "1.6"), ("0.0863", "0.086"), ("0.00478", "0.0048"), ("0", "0")],
)
def test_a_figure_has_the_digits_that_a_composition_bears(value, told):
    assert figure(Decimal(value)) == told


def test_a_line_says_figure_limit_verdict_and_where_it_is_from():
    line = check_line(
        next(one for one in every(worked_example()) if one.subject == "Benzyl Alcohol")
    )
    assert line.figure == "0.92 % as substance"
    assert line.limit == "no more than 1 %"
    assert line.verdict == CLOSE
    for words in ("Annex V/34", "believed to hold on", "table of 28 November 2026"):
        assert words in line.source
    assert line.spoken == "Benzyl Alcohol: close, 0.92 % as substance"


def test_the_figure_of_a_survey_is_a_line_and_forbids_nothing():
    made = bar(supplied("Sodium Cocoyl Isethionate", 63))
    one = next(one for one in every(made) if one.code == "information")
    assert (check_line(one).limit, one.verdict) == ("line at 50 %", CLOSE)


@pytest.mark.parametrize("market", law.MARKETS)
def test_lines_are_whole_sentences_without_promise_or_keyword(market):
    made = bar(
        supplied("Parfum", 1, material_class="scent"),
        supplied("Sodium Benzoate", 0.5, preserves=True),
        supplied("DMDM Hydantoin", 0.3, preserves=True),
        supplied("Triethanolamine", 1),
        supplied("Sodium Nitrite", 0.1),
        supplied("Citric Acid", 0.3),
        supplied("Sodium Bicarbonate", 2),
        supplied("Behentrimonium Chloride", 1),
        supplied("Salicylic Acid", 0.4),
        supplied("Aqua", 10),
    )
    for line in check_lines(every(made, market)):
        assert line.title
        assert not line.note or line.note.endswith((".", '"'))
        for text in (line.title, line.note, line.source, line.limit, line.figure):
            assert not PROMISE.search(text), text
            assert "_" not in text, text


def test_a_summary_names_what_is_broken_and_says_what_it_does_not_say():
    made = bar(supplied("Phenoxyethanol", 1.5), supplied("Aqua", 5))
    told = summary(every(made), "EU", LAW)
    assert told.startswith("Over a limit of the European Union: Phenoxyethanol.")
    assert "nothing of what was not checked" in told
    kept = summary(every(worked_example()), "EU", LAW)
    assert "none is broken" in kept
    assert "28 November 2026" in kept
    assert "No limit" in summary(every(bar(supplied("Kaolin", 5))), "EU", LAW)


def test_every_material_of_the_handbook_is_told_in_words_that_promise_nothing():
    book = handbook.load()
    for (kind, name), parts in book.compositions.items():
        one = supplied(name, 5, {}, kind=kind, preserves=True)
        made = bar(replace(one, parts=parts), lost=2)
        found = every(made)
        texts = [summary(found, "EU", LAW), *label_notes(sheet(made=made))]
        for line in check_lines(found):
            texts += [line.title, line.note, line.source, line.figure, line.limit]
        for text in texts:
            assert not PROMISE.search(text), (name, text)
            assert "_" not in text, (name, text)
        json.dumps(as_json(sheet(made=made), "", ""), allow_nan=False)


ACID = supplied("Sodium Benzoate", 0.5, preserves=True)
HIGH = Keeping(
    Amount(Decimal("5.4"), Decimal("5.8"), Decimal("6.2")), highest_ph={"Benzoic Acid": Decimal(5)}
)
MIDDLE = Keeping(
    Amount(Decimal("4.5"), Decimal("4.9"), Decimal("5.3")), highest_ph={"Benzoic Acid": Decimal(5)}
)


@pytest.mark.parametrize(
    ("materials", "told", "words"),
    [
        ([], HIGH, "No preservative was recognised."),
        ([supplied("Ethylhexylglycerin", 1, preserves=True)], HIGH, "No preservative was"),
        ([ACID], HIGH, "preservative is weak as it stands."),
        ([ACID], MIDDLE, "preservative may be weak: measure"),
        ([ACID, supplied("Phenoxyethanol", 0.8, preserves=True)], HIGH, None),
    ],
)
def test_a_summary_never_leaves_out_that_little_preserves(materials, told, words):
    made = bar(supplied("Aqua", 10), *materials)
    said = summary(check_all(made, LAW, "EU", Bench(), told), "EU", LAW)
    if words is None:
        assert "weak" not in said
    else:
        assert words in said


def test_a_group_is_told_by_its_members_and_no_code():
    made = bar(supplied("Cetrimonium Chloride", 3))
    titles = [line.title for line in check_lines(every(made))]
    assert "All Cetrimonium and Steartrimonium Chloride together" in titles


def test_a_day_is_written_as_people_write_it():
    assert day_words("2026-07-04") == "4 July 2026"


def test_an_own_line_is_marked_as_an_estimate():
    one = Check("charge", "x", WITHIN, source="Own line; no source", evidence="estimate")
    assert "own estimate" in check_line(Check(**{**vars(one), "as_of": "2026-11-28"})).source


def test_the_disclaimer_defers_to_local_law_and_an_assessor():
    for words in ("local law", "qualified assessor", "not legal, medical or safety advice"):
        assert words in DISCLAIMER
    assert not PROMISE.search(DISCLAIMER)


# Label ----------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("market", "net", "height"),
    [
        ("EU", "100 g", "3 mm"),
        ("US", "Net wt. 3.52 oz (100 g)", "3.2 mm"),
        ("CA", "100 g", "3.2 mm"),
    ],
)
def test_the_weight_is_told_in_both_units_with_the_height_of_its_figures(market, net, height):
    told = dict(weight_lines(sheet(market, panel=Decimal(40))))
    assert told["net weight"] == net
    assert "3.52 oz" in told["in both units"]
    assert height in told["figures"]


@pytest.mark.parametrize(
    ("market", "name", "told"),
    [
        # 10 % of 1 oz = 28.3495 g (maximum allowable variation below 36 g, from memory).
        ("US", "variation allowed", "2.83 g for a single bar; no bar below 25.6 g"),
        # 9 % of it, twice (C.R.C. c. 417, Schedule I Part III): 2.5515 g, 23.247 g.
        ("CA", "shortfall allowed", "2.55 g for a single bar; no bar below 23.3 g"),
    ],
)
def test_what_a_bar_may_miss_is_cut_to_figures_that_never_allow_more(market, name, told):
    ounce = dict(weight_lines(sheet(market, grams=None, ounces=Decimal(1))))
    assert ounce[name] == told


def test_without_weight_or_panel_it_is_said_what_to_state():
    assert "state the weight" in dict(weight_lines(sheet(grams=None)))["net weight"].lower()
    assert "state its area" in dict(weight_lines(sheet("US")))["figures"]


def test_ounces_that_are_round_stay_round():
    told = dict(weight_lines(sheet("US", grams=None, ounces=Decimal("3.5"))))
    assert told["net weight"] == "Net wt. 3.5 oz (99 g)"


def test_notes_tell_where_the_two_bases_differ():
    told = " ".join(label_notes(sheet()))
    for words in (
        "Aqua: place 2 as added, place 4 as cured",
        "Terpineol: not to be named as added, to be named as cured",
        "below 1 % and may go in any order",
        "Lavandula Oil/Extract is the name that the allergen list gives",
        "31 July 2026",
    ):
        assert words in told
    assert "Sodium Chloride: among the small ones as added" in " ".join(label_notes(sheet("US")))


def test_notes_tell_what_is_not_known():
    made = bar(
        supplied("perfume", 1, {"Parfum": 1}, material_class="scent"),
        supplied("meadow flour", 3, {}, unlisted=True),
    )
    told = " ".join(label_notes(sheet(made=made)))
    assert 'INCI name of "meadow flour" is not known' in told
    assert "perfume, meadow flour may bring is not known, and none was taken as absent" in told
    assert "only the basis as added" in told


def test_what_is_missing_on_the_label_is_told_once():
    told = missing_words(sheet())
    assert told.startswith("Still missing for the European Union: responsible person")
    assert "net weight" not in told


def test_cautions_stand_in_english_and_french():
    usual = cautions_to_print(worked_example(), LAW)
    assert usual[0].english.startswith("Avoid contact with eyes.")
    assert usual[0].french.startswith("Éviter le contact avec les yeux.")
    for one in usual:
        assert one.english
        assert one.french
        assert not PROMISE.search(one.english)


@pytest.mark.parametrize(
    ("inci", "percent", "words"),
    [
        ("DMDM Hydantoin", 0.1, "Releases formaldehyde"),
        ("Salicylic Acid", 0.3, "under 3 years"),
        ("Methyl Salicylate", 0.05, "under 6 years"),
        ("Menthol", 0.5, "under 3 years"),
    ],
)
def test_an_ingredient_asks_for_its_own_caution(inci, percent, words):
    def told(made):
        return " ".join(one.english for one in cautions_to_print(made, LAW))

    assert words in told(bar(supplied(inci, percent)))
    assert words not in told(bar(supplied("Kaolin", 5)))


def test_facts_are_shown_as_stated():
    told = dict(fact_lines(LabelFacts(batch="261128-OAT-1", months_open=12)))
    assert told == {"batch number": "261128-OAT-1", "after opening": "12 M"}


def test_an_interval_is_told_beside_the_figure():
    amount = Amount(Decimal("0.8"), Decimal("0.9"), Decimal("1.1"))
    one = Check("limit", "X", OVER, amount, "%", "as acid", Decimal(1), as_of="2026-11-28")
    assert check_line(one).interval == "0.8 to 1.1"
