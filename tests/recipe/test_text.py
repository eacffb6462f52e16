"""The text of a recipe file: what it reads as, and what a change does to it."""

from dataclasses import replace
from difflib import SequenceMatcher

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from designer.recipe import QS, Percents, Recipe, Row, Swap, file, patch
from tests.recipe.strategies import edits, recipes, rows

HERB_BAR = """\
# Nettle and clay bar, first written down after the market.
format = 1
name = "Nettle and clay bar"   # working name
seller = "stall 12"            # not known to the program

[bench]
room = "24 °C"                 # by the window
humidity = "55 %"
batch = "1,2 kg"
knead = "4 to 15 min"
radio = "off"

# The second one kneaded better.
[variants.1]
title = "market"
[variants.2]
title = "less water"
active = true

# In the order of work.
[[row]]
phase = "melt"
name = "cocoa butter"
percent = { 1 = 6.0,  2 = 5.5 }   # melts slowly
swaps = [
  # both were tried
  { name = "shea butter", percent = 6.6, taste = "nutty" },  # softer
  { name = "kokum butter", percent = 5, with = [{ name = "oil", percent = 0.5 }], variant = "1" },
]

# The surfactant.
[[row]]
phase = "powder"
name = "SCI, fine"
inci = "Sodium Cocoyl Isethionate"
percent = "q.s."
supplier = { town = "by the river", since = 2019 }

[[row]]
phase = "powder"
name = "nettle powder"
class = "powder"
note = \"\"\"
Sieve it twice.
# not a comment
[[row]]
Cover it.\"\"\"

  [row.percent]
  1 = "36 g"      # of 1.2 kg
  2 = 2.5

# Weighed last.
[[row]]
phase = "last"
name = "scent"
held = ["2"]
percent = { 1 = "0,8", 2 = 0.8 }

[shelf]
place = "left"
"""


@pytest.fixture
def herb_bar():
    return file.parse(HERB_BAR, "nettle.toml")


def lines_changed(before, after):
    """Return the lines removed and the lines added."""
    before, after = before.split("\n"), after.split("\n")
    removed, added = [], []
    for step, a, b, c, d in SequenceMatcher(None, before, after, autojunk=False).get_opcodes():
        if step != "equal":
            removed += before[a:b]
            added += after[c:d]
    return removed, added


def written(recipe):
    """Return the text, proved to say the recipe and not to be laid out anew."""
    text = file.text(recipe)
    assert file.parse(text) == recipe
    assert "laid out anew" not in text
    return text


def decorated(text):
    """Return a text with comments and unknown keys strewn in."""
    out = []
    for number, line in enumerate(text.rstrip("\n").split("\n")):
        if line.startswith("["):
            out += [f"# about the next {number}", line, f"moon{number} = {number}  # kept"]
        else:
            out.append(line)
    return "\n".join(out) + "\n"


def test_a_file_is_read_as_it_stands(herb_bar):
    assert herb_bar.name == "Nettle and clay bar"
    assert herb_bar.bench.room == 297.15
    assert herb_bar.bench.batch == 1.2
    assert herb_bar.bench.knead == (240.0, 900.0)
    assert herb_bar.active.title == "less water"
    assert [dict(row.percents) for row in herb_bar.rows] == [
        {"1": 6.0, "2": 5.5},
        {"1": QS, "2": QS},
        {"1": 3.0, "2": 2.5},
        {"1": 0.8, "2": 0.8},
    ]
    assert herb_bar.rows[0].swaps[1] == Swap("kokum butter", 5.0, (("oil", 0.5),), "1")
    assert herb_bar.rows[2].note == "Sieve it twice.\n# not a comment\n[[row]]\nCover it."
    assert herb_bar.rows[3].held == frozenset("2")


def test_unknown_keys_are_named(herb_bar):
    assert herb_bar.unknown == (
        "seller",
        "shelf",
        "bench.radio",
        "row 1, swaps, taste",
        "row 2, supplier",
    )


@pytest.mark.parametrize("ends", ["\n", "\r\n"])
@pytest.mark.parametrize("mark", ["", "\ufeff"])
def test_an_unchanged_recipe_is_written_byte_for_byte(ends, mark):
    text = mark + HERB_BAR.replace("\n", ends)
    assert written(file.parse(text)) == text


@settings(max_examples=60, suppress_health_check=list(HealthCheck))
@given(recipes(strange=True))
def test_a_recipe_made_anew_reads_back_as_the_same(recipe):
    text = written(recipe)
    assert written(file.parse(text)) == text


def test_a_recipe_made_anew_is_pleasant_to_read():
    recipe = Recipe(
        name="Oat bar",
        rows=(
            Row("melt", "cocoa butter", {"1": 7.0}, swaps=(Swap("shea butter", 7.5),)),
            Row("powder", "SCI, fine", {"1": QS}, held=frozenset("1"), note="mask on"),
        ),
    ).with_bench(batch=0.6)
    assert (
        file.text(recipe)
        == """\
# Percent of the whole dough, as weighed.
format = 1
name = "Oat bar"

[bench]
room = "21 °C"
humidity = "50 %"
bath = "70 °C"
batch = "0.6 kg"
knead = "5 min to 20 min"

[variants.1]
title = ""

# Rows in the order of work.
[[row]]
phase = "melt"
name = "cocoa butter"
percent = 7.0
swaps = [
  { name = "shea butter", percent = 7.5 },
]

[[row]]
phase = "powder"
name = "SCI, fine"
percent = "q.s."
held = ["1"]
note = "mask on"
"""
    )


SINGLE_EDITS = {
    "name": (lambda r: r.with_name("Nettle bar"), 1, 1),
    "notes": (lambda r: r.with_notes("try again"), 0, 1),
    "room": (lambda r: r.with_bench(room=295.15), 1, 1),
    "liquids": (lambda r: r.with_bench(liquids=303.15), 0, 1),
    "humidity": (lambda r: r.with_bench(humidity=0.6), 1, 1),
    "bath": (lambda r: r.with_bench(bath=350.15), 0, 1),
    "wanted": (lambda r: r.with_bench(wanted=0.8), 0, 1),
    "title": (lambda r: r.rename_variant("1", "fair"), 1, 1),
    "active": (lambda r: r.use_variant("1"), 1, 1),
    "cell of an inline table": (lambda r: r.with_percent(0, "2", 5.4), 1, 1),
    "cell taken away": (lambda r: r.with_percent(0, "2", None), 1, 1),
    "cell of a single figure": (lambda r: r.with_percent(1, "2", 50.0), 1, 1),
    "cell of a sub-table": (lambda r: r.with_percent(2, "1", 3.1), 1, 1),
    "cell of text": (lambda r: r.with_percent(3, "1", 0.9), 1, 1),
    "cell made q.s.": (lambda r: r.with_percent(1, "1", None).with_percent(0, "1", QS), 2, 2),
    "phase": (lambda r: changed(r, 1, phase="last"), 1, 1),
    "ingredient": (lambda r: changed(r, 0, name="mango butter"), 1, 1),
    "INCI given": (lambda r: changed(r, 0, inci="Theobroma Cacao Seed Butter"), 0, 1),
    "INCI taken away": (lambda r: changed(r, 1, inci=None), 1, 0),
    "class": (lambda r: changed(r, 2, given_class="liquid"), 1, 1),
    "held": (lambda r: changed(r, 3, held=frozenset("12")), 1, 1),
    "held no more": (lambda r: changed(r, 3, held=frozenset()), 1, 0),
    "note given": (lambda r: changed(r, 0, note="grate it"), 0, 1),
    "note beside a sub-table": (lambda r: changed(r, 2, held=frozenset("1")), 0, 1),
    "line of a note": (
        lambda r: changed(r, 2, note=r.rows[2].note.replace("twice", "once")),
        1,
        1,
    ),
    "swap changed": (
        lambda r: swapped(r, replace(r.rows[0].swaps[0], percent=6.5), r.rows[0].swaps[1]),
        1,
        1,
    ),
    "swap for one variant": (
        lambda r: swapped(r, replace(r.rows[0].swaps[0], variant="1"), r.rows[0].swaps[1]),
        1,
        1,
    ),
    "swap added": (lambda r: swapped(r, *r.rows[0].swaps, Swap("mango butter", 6.0)), 0, 1),
    "swap added before": (lambda r: swapped(r, Swap("mango", 6.0), *r.rows[0].swaps), 0, 1),
    "swap removed": (lambda r: swapped(r, r.rows[0].swaps[1]), 1, 0),
}


def changed(recipe, index, **values):
    return recipe.with_row(index, replace(recipe.rows[index], **values))


def swapped(recipe, *swaps):
    return changed(recipe, 0, swaps=swaps)


@pytest.mark.parametrize("ends", ["\n", "\r\n"])
@pytest.mark.parametrize("edit", SINGLE_EDITS)
def test_one_edit_changes_one_line(edit, ends):
    change, removed, added = SINGLE_EDITS[edit]
    recipe = file.parse(HERB_BAR.replace("\n", ends))
    text = written(change(recipe))
    before, after = lines_changed(recipe.source, text)
    assert (len(before), len(after)) == (removed, added), (before, after)
    assert text.count("\r\n") == (text.count("\n") if ends == "\r\n" else 0)


@settings(max_examples=60, suppress_health_check=list(HealthCheck))
@given(st.data())
def test_any_single_edit_changes_at_most_one_line_and_loses_nothing(data):
    made = data.draw(recipes(strange=True))
    recipe = file.parse(decorated(file.text(replace(made, notes="", rows=one_line(made.rows)))))
    edited = data.draw(edits(recipe))
    removed, added = lines_changed(recipe.source, written(edited))
    assert len(removed) <= 1
    assert len(added) <= 1
    assert not any("kept" in line or "about" in line for line in removed)


def one_line(rows):
    return tuple(replace(row, note=row.note.replace("\n", " ")) for row in rows)


def test_a_mass_in_the_file_keeps_its_percent_when_the_batch_changes(herb_bar):
    text = written(herb_bar.with_bench(batch=1.5))
    removed, added = lines_changed(HERB_BAR, text)
    assert len(removed) == len(added) == 2
    assert added[1].split() == ["1", "=", "3.0", "#", "of", "1.2", "kg"]


def test_an_added_row_changes_no_other_line(herb_bar):
    scent = Row("last", "oat extract", {"1": 1.0, "2": 1.5})
    for place in range(len(herb_bar.rows) + 1):
        removed, added = lines_changed(HERB_BAR, written(herb_bar.add_row(scent, place)))
        assert removed == []
        assert sorted(filter(None, added)) == [
            "[[row]]",
            'name = "oat extract"',
            "percent = { 1 = 1.0, 2 = 1.5 }",
            'phase = "last"',
        ]


def test_a_removed_row_takes_its_comment_along_and_changes_no_other_line(herb_bar):
    text = written(herb_bar.remove_row(3))
    removed, added = lines_changed(HERB_BAR, text)
    assert added == []
    assert removed[0] == "# Weighed last."
    assert [line for line in removed if line][-1] == 'percent = { 1 = "0,8", 2 = 0.8 }'
    assert "# In the order of work." in written(herb_bar.remove_row(0))


def test_moved_rows_keep_every_line_with_comments_and_unknown_keys(herb_bar):
    for index in range(4):
        for to in range(4):
            text = written(herb_bar.move_row(index, to))
            assert sorted(filter(None, text.splitlines())) == sorted(
                filter(None, HERB_BAR.splitlines())
            )
    moved = written(herb_bar.move_row(1, 3))
    assert moved.index("# The surfactant.") > moved.index('name = "scent"')
    assert moved.index("supplier") > moved.index("# The surfactant.")


def test_a_row_taken_out_and_put_back_is_a_new_row(herb_bar):
    back = herb_bar.remove_row(1).add_row(herb_bar.rows[1], 1)
    assert back == herb_bar
    assert written(back) == HERB_BAR


def test_a_copied_row_does_not_copy_what_is_unknown_of_the_other(herb_bar):
    text = written(herb_bar.add_row(replace(herb_bar.rows[2], percents=Percents({"1": 1.0}))))
    assert text.count("nettle powder") == 2
    text = written(herb_bar.add_row(replace(herb_bar.rows[0], swaps=())))
    assert text.count("melts slowly") == 1


def test_an_added_variant_stands_below_the_others(herb_bar):
    text = written(herb_bar.add_variant("drier", like="2"))
    assert '[variants.2]\ntitle = "less water"\nactive = true\n[variants.3]\n' in text
    assert text.index("[variants.3]") < text.index("# In the order of work.")
    assert "  2 = 2.5\n  3 = 2.5\n" in text
    assert written(file.parse(text).remove_variant("3")) != text


def test_a_removed_variant_leaves_every_unknown_key(herb_bar):
    text = written(herb_bar.remove_variant("1"))
    for kept in ("seller", "radio", "taste", "supplier", "[shelf]", "# by the window", "# softer"):
        assert kept in text


def test_a_second_variant_gives_the_first_its_table():
    recipe = file.parse(
        'format = 1\n\n# all rows\n[[row]]\nphase = "melt"\nname = "x"\npercent = 3'
    )
    text = written(recipe.add_variant("second", like="1"))
    assert text.index("[variants.1]") < text.index("[variants.2]") < text.index("# all rows")
    assert text.rstrip().endswith("percent = 3")
    assert written(recipe.add_variant("second")).rstrip().endswith("percent = { 1 = 3.0 }")


def test_conditions_find_their_place_in_a_file_without_any():
    source = 'format = 1\n[[row]]\nphase = "melt"\nname = "x"\npercent = 3\n'
    text = written(file.parse(source).with_bench(room=300.15, batch=2.0))
    assert text.startswith('format = 1\n\n[bench]\nroom = "27 °C"\nbatch = "2 kg"\n\n[[row]]')


@settings(max_examples=60, suppress_health_check=list(HealthCheck))
@given(st.data())
def test_any_chain_of_changes_is_written_as_it_is(data):
    recipe = file.parse(decorated(file.text(data.draw(recipes(strange=True)))))
    before = recipe
    for _ in range(data.draw(st.integers(1, 4))):
        recipe = data.draw(chained(recipe))
    text = written(recipe)
    for key in before.unknown:
        if not key.startswith(tuple(gone(before, recipe))):
            assert key[key.index("moon") :] in text


def gone(before, after):
    """Begin the names of the keys that went with their row or variant."""
    stayed = {row.origin for row in after.rows}
    yield from (f"row {i + 1}, " for i in range(len(before.rows)) if i not in stayed)
    yield from (f"variants.{n}." for n in before.numbers if n not in after.numbers)


@st.composite
def chained(draw, recipe):
    """The recipe after any change at all."""
    step = draw(st.sampled_from(["edit", "add", "remove", "move", "variant", "drop", "use"]))
    count = len(recipe.rows)
    if step == "add":
        return recipe.add_row(draw(rows(recipe.numbers)), draw(st.integers(0, count)))
    if step == "remove" and count:
        return recipe.remove_row(draw(st.integers(0, count - 1)))
    if step == "move" and count:
        return recipe.move_row(*(draw(st.integers(0, count - 1)) for _ in range(2)))
    if step == "variant":
        like = draw(st.sampled_from([None, *recipe.numbers]))
        return recipe.add_variant(draw(st.sampled_from(["", "x"])), like=like)
    if step == "drop" and len(recipe.numbers) > 1:
        return recipe.remove_variant(draw(st.sampled_from(recipe.numbers)))
    if step == "use":
        return recipe.use_variant(draw(st.sampled_from(recipe.numbers)))
    return draw(edits(recipe))


ROW = '[[row]]\nphase = "melt"\nname = "x"\n'
UNUSUAL = {
    "rows in brackets": 'row = [{ phase = "melt", name = "x", percent = 3 }]\n',
    "dotted keys": f'bench.room = "20 C"\nbench.humidity = "40 %"\n{ROW}percent = 3',
    "tables in braces": (
        'bench = { room = "20 C" }\nvariants = { 1 = { title = "a" }, 2 = {} }\n'
        f"{ROW}percent.1 = 3\npercent.2 = 4\n"
    ),
    "quoted keys": (
        '[ "bench" ]\nroom="20 C"\n[[ row ]]\n"phase" = "melt"\nname = \'x\'\npercent = {"1" = 3}\n'
    ),
    "swaps as tables": f'{ROW}percent = 3\n[[row.swaps]]\nname = "y"\npercent = 2\n',
    "tables between rows": (
        f"[bench]\nroom = 20\n{ROW}percent = 3\n[variants.1]\n[extra]\n{ROW}percent = 3\n"
    ),
    "two sub-tables": f"{ROW}[row.percent]\n1 = 3\n[row.shelf]\nplace = 2\n",
    "mixed line ends": f'name = "y"\r\n[bench]\r\n\r\n{ROW}percent = 3',
}


@pytest.mark.parametrize("layout", UNUSUAL)
@pytest.mark.parametrize("change", ["cell", "condition", "row", "move", "variant", "swap", "note"])
def test_a_change_in_an_unusual_layout_is_written_too(layout, change):
    source = f"format = 1\n{UNUSUAL[layout]}"
    recipe = file.parse(source)
    changes = {
        "cell": lambda: recipe.with_percent(0, "1", 3.5),
        "condition": lambda: recipe.with_bench(liquids=300.0, room=295.0),
        "row": lambda: recipe.add_row(Row("last", "scent", {"1": 1.0}), 0),
        "move": lambda: recipe.add_row(recipe.rows[0]).move_row(0, len(recipe.rows)),
        "variant": lambda: recipe.add_variant("new", like="1"),
        "swap": lambda: swapped(recipe, *recipe.rows[0].swaps, Swap("w", 1.0)),
        "note": lambda: changed(recipe, 0, note="a\nb"),
    }
    after = changes[change]()
    text = file.text(after)
    assert file.parse(text) == after
    if "laid out anew" in text:
        assert all(line.rstrip() in text for line in source.splitlines())


def test_a_file_that_cannot_be_patched_is_laid_out_anew_and_keeps_its_old_text(
    herb_bar, monkeypatch
):
    def fails(*_):
        raise KeyError("a rare layout")

    monkeypatch.setattr(patch, "_changed", fails)
    after = herb_bar.with_percent(0, "1", 7.0)
    text = file.text(after)
    assert file.parse(text) == after
    for line in HERB_BAR.splitlines():
        assert f"# {line}".rstrip() in text


@pytest.mark.parametrize("typed", ['"16 of 20"', '"80 %"', '"4/5"', "16"])
def test_the_wanted_chance_is_read_in_all_its_spellings_and_kept_as_written(typed):
    text = HERB_BAR.replace('knead = "4 to 15 min"', f'knead = "4 to 15 min"\nwanted = {typed}')
    recipe = file.parse(text)
    assert recipe.bench.wanted == 0.8
    assert "bench.wanted" not in recipe.unknown
    assert written(recipe.with_bench(room=295.15)).count(f"wanted = {typed}") == 1


def test_a_wanted_chance_changed_is_written_of_twenty_and_the_usual_one_not_at_all():
    recipe = file.parse(HERB_BAR)
    assert recipe.bench.wanted == 0.7
    wanting = file.parse(written(recipe.with_bench(wanted=0.9)))
    assert 'wanted = "18 of 20"\n' in wanting.source
    assert file.parse(written(wanting)).bench.wanted == 0.9
    before, after = lines_changed(wanting.source, written(wanting.with_bench(wanted=0.7)))
    assert (len(before), len(after)) == (1, 0)
