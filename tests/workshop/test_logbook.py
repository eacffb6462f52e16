"""Batches as made: what is kept, found, repeated, drawn from the stock, and refused."""

from dataclasses import replace

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from shop import RECIPE, TODAY

from designer.errors import ReadableError
from designer.recipe import file
from designer.workshop import Logbook
from designer.workshop.batches import Batch, Photograph, Seen, Used, Washed
from designer.workshop.database import Database
from designer.workshop.logbook import used_by, words_of
from designer.workshop.places import photographs

MADE = Batch(
    "",
    RECIPE,
    "2026-11-20 10:15",
    0.5,
    name="Oat and clay bar",
    bars=4,
    room=295.15,
    humidity=0.45,
    notes="clean after eight minutes",
    initials="AB",
    used=(Used("white clay", "powder", "K-2", 0.03), Used("cocoa butter", "melt", "", 0.07)),
    seen=(
        Seen("state", 300.0, words="sticky"),
        Seen("rod", 600.0, 0.42),
        Seen("bar weight", 86400.0, 0.1013, bar="a"),
        Seen("thumb", 86400.0, words="faint dent"),
    ),
)


def test_a_batch_comes_back_as_it_was_made(logbook):
    kept = logbook.add(MADE)
    assert kept.number == "2026-11-20 no. 1"
    assert kept.recipe == RECIPE
    plain = replace(
        kept,
        id=0,
        number="",
        used=tuple(replace(one, id=0, batch=0) for one in kept.used),
        seen=tuple(replace(one, id=0, batch=0) for one in kept.seen),
    )
    assert plain == MADE
    assert logbook.add(MADE).number == "2026-11-20 no. 2"


def test_repeating_a_batch_gives_its_exact_recipe(logbook):
    logbook.add(replace(MADE, number="7"))
    assert file.text(logbook.repeat("7")) == RECIPE


def test_equal_recipes_are_kept_once(logbook):
    for _ in range(3):
        logbook.add(MADE)
    assert logbook.database.rows("SELECT count(*) FROM recipe") == [(1,)]


def test_a_batch_draws_its_stock_down_and_a_removed_one_gives_it_back(logbook, pantry):
    pantry.move_stock("white clay", 1.0)
    number = logbook.add(MADE, pantry).number
    assert pantry.stock("white clay") == pytest.approx(0.97)
    assert pantry.stock("cocoa butter") is None  # no stock of it is kept
    logbook.remove(number)
    assert pantry.stock("white clay") == 1.0
    assert logbook.search("clay") == []


def test_what_a_variant_weighs_in_follows_from_recipe_and_batch():
    found = {one.name: one.mass for one in used_by(file.parse(RECIPE), "1", 0.5)}
    assert found == pytest.approx(
        {"SCI fine powder": 0.3, "white clay": 0.03, "cocoa butter": 0.07, "CAPB 30 %": 0.1}
    )


def test_what_is_seen_later_is_added_and_found(logbook):
    logbook.add(replace(MADE, number="7"))
    logbook.saw("7", Seen("bar weight", 14 * 86400.0, 0.0957, bar="a"))
    logbook.washed("7", Washed("2026-11-27", 0.021, 0.0009, 4, 3, 4, "slight", "squeaks a little"))
    logbook.note("7", "second person tried it")
    batch = logbook.batch("7")
    assert batch.seen[-1].value == 0.0957
    assert batch.washed[0].sting == "slight"
    assert batch.notes.endswith("second person tried it")
    for words in ("squeaks", "sting slight", "second person", "k-2", "CLAY bar", "faint de"):
        assert [one.number for one in logbook.search(words)] == ["7"], words


def test_the_newest_batch_comes_first(logbook):
    for day in ("2026-01-05", "2026-11-01", "2026-03-04"):
        logbook.add(replace(MADE, made=day, number=day))
    days = [one.made for one in logbook.search("oat")]
    assert days == sorted(days, reverse=True)
    assert [one.made for one in logbook.batches(2)] == days[:2]


def test_a_photograph_is_copied_and_told_when_missing(logbook, tmp_path):
    picture = tmp_path / "On The Rack.PNG"
    picture.write_bytes(b"\x89PNG one")
    logbook.add(replace(MADE, number="7"))
    batch = logbook.photograph("7", picture, "on the rack")
    picture.unlink()
    kept = logbook.where(batch.photographs[0])
    assert kept.parent == photographs(tmp_path)
    assert kept.read_bytes() == b"\x89PNG one"
    kept.unlink()
    with pytest.raises(ReadableError, match="Put it back"):
        logbook.where(batch.photographs[0])
    with pytest.raises(ReadableError, match="no such photograph"):
        logbook.photograph("7", picture)


def test_a_photograph_s_name_never_leads_out_of_the_folder(logbook):
    for name in ("../../secret.png", "/etc/passwd", "a/b.png"):
        with pytest.raises(ReadableError):
            logbook.where(Photograph(name))
        with pytest.raises(ReadableError):
            logbook.add(replace(MADE, photographs=(Photograph(name),)))


REFUSED = {
    "future": ({"made": "2026-11-29"}, "still to come"),
    "no day": ({"made": "today"}, "not a day"),
    "no time": ({"made": "2026-11-20 25:00"}, "not a time"),
    "no mass": ({"mass": 0.0}, "possible"),
    "room": ({"room": 400.0}, "possible"),
    "nan": ({"humidity": float("nan")}, "possible"),
    "bars": ({"bars": -1}, "cannot be made"),
    "recipe": ({"recipe": "format = 1\n[[row]]\nphase = 3\n"}, "recipe"),
    "variant": ({"variant": "9"}, "no variant"),
    "state": ({"seen": (Seen("state", 60.0, words="lovely"),)}, "crumbly"),
    "rod": ({"seen": (Seen("rod", 60.0),)}, "missing"),
    "age": ({"seen": (Seen("rod", -1.0, 0.4),)}, "possible"),
    "weight": ({"seen": (Seen("bar weight", 60.0, -0.1),)}, "possible"),
    "rating": ({"washed": (Washed("2026-11-20", lather=9),)}, "rating"),
    "use to come": ({"washed": (Washed("2026-12-20"),)}, "still to come"),
    "soak": ({"washed": (Washed("2026-11-20", soak_loss=1.2),)}, "possible"),
    "number twice": ({"number": " FIRST  batch"}, "already"),
    "used": ({"used": (Used("white clay", mass=-1.0),)}, "possible"),
}


@pytest.mark.parametrize("case", sorted(REFUSED))
def test_what_cannot_have_been_is_told_and_nothing_of_it_kept(logbook, pantry, case):
    logbook.add(replace(MADE, number="First batch"))
    pantry.move_stock("white clay", 1.0)
    change, told = REFUSED[case]
    with pytest.raises(ReadableError, match=told):
        logbook.add(replace(MADE, **change), pantry)
    assert len(logbook) == 1
    assert pantry.stock("white clay") == 1.0
    assert logbook.database.verify() == []


WORDS = st.text("abcé ß\"'%_*-01İ 中文字", max_size=12)


@settings(max_examples=60)
@given(st.lists(WORDS, min_size=1, max_size=5), WORDS)
def test_search_finds_what_a_plain_scan_finds(notes, words):
    logbook = Logbook(Database(None), None, lambda: TODAY)
    for number, text in enumerate(notes):
        logbook.add(replace(MADE, number=f"n{number}", notes=text))
    wanted = " ".join(words.casefold().split()).split()
    every = (logbook.batch(one.number) for one in logbook.batches())
    scanned = [b.number for b in every if all(word in words_of(b) for word in wanted)]
    assert [one.number for one in logbook.search(words)] == scanned
