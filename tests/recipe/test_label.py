"""The label's table of a recipe file: read, written, one edit one line, what cannot be refused."""

from dataclasses import replace
from datetime import date
from decimal import Decimal
from difflib import ndiff

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from designer.errors import ReadableError
from designer.recipe import Recipe, file
from designer.recipe.label import BASES, LANGUAGES, MARKETS, Label, LabelFacts, read_net

BARE = """\
format = 1  # kept
name = "Oat bar"

[bench]
room = "21 °C"

# The rows.
[[row]]
phase = "powder"
name = "oat flour"
percent = 3.0
"""

WHOLE = (
    BARE.removesuffix('[[row]]\nphase = "powder"\nname = "oat flour"\npercent = 3.0\n')
    + """\
[label]
market = "CA"  # also sold there
declared = "3.5 oz"
moon = "full"
panel = "40 cm2"
batch_number = "261128-OAT-1"
made = 2026-11-28
months_open = 12
small_order = ["Linalool", "Citric Acid"]

[[row]]
phase = "powder"
name = "oat flour"
percent = 3.0
"""
)

TEXTS = st.text(st.characters(exclude_categories=["Cc", "Cs"]), max_size=12)
DECIMALS = st.integers(50, 9990).map(lambda tenths: Decimal(tenths) / 10)


@st.composite
def labels(draw):
    """A label of any content."""
    net = draw(st.sampled_from(["grams", "ounces", ""]))
    facts = LabelFacts(
        **{name: draw(TEXTS) for name in ("product", "batch", "responsible", "contact", "origin")},
        address="\n".join(draw(st.lists(TEXTS, max_size=2))),
        made=draw(st.sampled_from([None, date(2026, 11, 28)])),
        best_before=draw(st.sampled_from([None, date(2028, 11, 28)])),
        months_open=draw(st.sampled_from([None, 12])),
        panel=draw(st.one_of(st.none(), DECIMALS)),
        own_lines=tuple(draw(st.lists(TEXTS, max_size=2))),
        **({net: draw(DECIMALS if net == "grams" else st.just(Decimal("3.5")))} if net else {}),
    )
    return Label(
        draw(st.sampled_from(MARKETS)),
        draw(st.sampled_from(BASES)),
        draw(st.sampled_from(LANGUAGES)),
        draw(st.floats(0.02, 0.175)),
        tuple(draw(st.lists(TEXTS, max_size=3))),
        facts,
    )


def lines_changed(before, after):
    found = list(ndiff(before.splitlines(), after.splitlines()))
    return sum(line[0] == "-" for line in found), sum(line[0] == "+" for line in found)


def test_a_label_is_read_as_it_stands():
    label = file.parse(WHOLE).label
    assert (label.market, label.basis, label.width) == ("CA", "added", 0.07)
    assert label.small_order == ("Linalool", "Citric Acid")
    assert label.facts.ounces == Decimal("3.5")
    assert label.facts.grams is None
    assert label.facts.panel == 40
    assert (label.facts.made, label.facts.months_open) == (date(2026, 11, 28), 12)
    assert label.facts.batch == "261128-OAT-1"
    assert file.parse(WHOLE).unknown == ("label.moon",)


def test_a_file_without_a_label_has_the_usual_one_and_writes_none():
    assert file.parse(BARE).label == Label()
    assert "[label]" not in file.text(Recipe("Oat bar"))


EDITS = {
    "market": (lambda one: replace(one, market="US"), 1, 1),
    "basis": (lambda one: replace(one, basis="cured"), 0, 1),
    "width": (lambda one: replace(one, width=0.1), 0, 1),
    "order": (lambda one: replace(one, small_order=("Citric Acid", "Linalool")), 1, 1),
    "order by weight again": (lambda one: replace(one, small_order=()), 1, 0),
    "batch number": (lambda one: stated(one, batch="261129-OAT-1"), 1, 1),
    "day": (lambda one: stated(one, made=date(2026, 11, 29)), 1, 1),
    "no day": (lambda one: stated(one, made=None), 1, 0),
    "weight in grams": (lambda one: stated(one, ounces=None, grams=Decimal(100)), 1, 1),
    "contact": (lambda one: stated(one, contact="oat@bars.example"), 0, 1),
    "own line": (lambda one: stated(one, own_lines=("Haferseife",)), 0, 1),
}


def stated(label, **facts):
    return replace(label, facts=replace(label.facts, **facts))


@pytest.mark.parametrize("edit", EDITS)
def test_one_edit_of_the_label_changes_one_line_and_keeps_unknown_keys(edit):
    change, removed, added = EDITS[edit]
    recipe = file.parse(WHOLE)
    after = recipe.with_label(change(recipe.label))
    text = file.text(after)
    assert lines_changed(WHOLE, text) == (removed, added), text
    assert 'moon = "full"' in text
    assert "# also sold there" in text
    assert file.parse(text) == after


def test_the_first_fact_puts_the_table_between_conditions_and_rows():
    recipe = file.parse(BARE)
    text = file.text(recipe.with_label(stated(recipe.label, batch="7")))
    assert text == BARE.replace("\n# The rows", '\n[label]\nbatch_number = "7"\n\n# The rows')


@settings(max_examples=60, deadline=None)
@given(labels(), labels())
def test_any_label_is_written_and_read_back_as_the_same(first, second):
    recipe = file.parse(WHOLE).with_label(first)
    written = file.parse(file.text(recipe))
    assert written.label == first
    again = file.parse(file.text(written.with_label(second)))
    assert again.label == second
    assert "laid out anew" not in again.source
    assert file.parse(file.text(Recipe("Oat bar", label=first))).label == first


@pytest.mark.parametrize(
    ("line", "words"),
    [
        ('market = "Mars"', "'Mars' cannot be taken. Use EU, UK, US or CA."),
        ('basis = "dry"', "Use added or cured"),
        ('width = "3 m"', "outside what is possible"),
        ('declared = "heavy"', "not a number"),
        ('panel = "40 g"', "panel"),
        ('made = "soon"', '"soon" is no day. Write it as 2026-11-28.'),
        ('months_open = "ages"', '"ages" is no number of months'),
        ("months_open = 100", "100 months cannot be"),
        ('made = 2026-11-28\nbest_before = "2026-01-01"', "It lies before the day of making"),
        ('small_order = "Linalool"', "not a list of texts"),
        ("product = 3", "It is not text"),
        ('product = "\\u0007"', "cannot be shown"),
    ],
)
def test_what_cannot_be_is_said_in_a_sentence_with_its_line(line, words):
    with pytest.raises(ReadableError) as caught:
        file.parse(BARE.replace("# The rows.", f"[label]\n{line}\n"), "oat.toml")
    assert words in str(caught.value)
    assert "oat.toml, line" in caught.value.title


def test_a_typed_net_weight_stays_in_the_unit_in_which_it_is_round():
    assert read_net("100 g") == (Decimal(100), None)
    assert read_net("0.1 kg") == (Decimal(100), None)
    assert read_net("3,5 oz") == (None, Decimal("3.5"))
    with pytest.raises(ReadableError):
        read_net("100 cm")
