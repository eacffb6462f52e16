"""Thousands of random edits, undone to the start and redone to the end: files to the byte."""

import random
from dataclasses import replace

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from recipe.strategies import recipes

from designer.errors import ReadableError
from designer.recipe import QS, Row, file
from designer.vocabulary import PHASES, QUANTITIES

from .conftest import DEMO

CHECKPOINTS = 20
MOST_ROWS, MOST_VARIANTS = 24, 5

WORDS = ["oat flour", "white clay", "nettle", 'say "bar"', "[[row]]", "# none", "é", "a\\b"]


class Walker:
    """Takes random steps of every kind a maker can take."""

    def __init__(self, document, rng):
        self.document, self.rng = document, rng
        self.kinds = set()
        self.recipes = [document.recipe]
        """What the document showed after each step that is left."""

    def step(self):
        """Take a step: one edit, or a gesture of several."""
        kind = self.rng.choice(self.KINDS)
        try:
            kind(self)
        except ReadableError:
            return  # one the recipe refuses, as a second q.s.
        self.kinds.add(kind.__name__)

    def edit(self, recipe, gesture=-1):
        self.document.edit(f"Step {self.rng.random()}", recipe, gesture)
        index = self.document.undo_stack.index()
        if index == len(self.recipes) or self.recipes[index] is not self.recipe:
            self.recipes[index:] = [self.recipe]
        del self.recipes[self.document.undo_stack.count() + 1 :]

    @property
    def recipe(self):
        return self.document.recipe

    def a_row(self):
        if not self.recipe.rows:
            raise ReadableError("Walk", "No row.", "Add one.")
        return self.rng.randrange(len(self.recipe.rows))

    def a_number(self):
        return self.rng.choice(self.recipe.numbers)

    def a_word(self):
        return f"{self.rng.choice(WORDS)} {self.rng.randrange(50)}"

    def a_percent(self):
        return round(self.rng.uniform(0, 30), self.rng.choice([0, 1, 2, 15]))

    def percent(self):
        self.edit(self.recipe.with_percent(self.a_row(), self.a_number(), self.a_percent()))

    def no_percent(self):
        self.edit(self.recipe.with_percent(self.a_row(), self.a_number(), None))

    def fill(self):
        self.edit(self.recipe.with_percent(self.a_row(), self.a_number(), QS))

    def hold(self):
        index = self.a_row()
        row = self.recipe.rows[index]
        self.edit(self.recipe.with_row(index, replace(row, held=row.held ^ {self.a_number()})))

    def add(self):
        if len(self.recipe.rows) < MOST_ROWS:
            cells = {number: self.a_percent() for number in self.recipe.numbers}
            at = self.rng.randint(0, len(self.recipe.rows))
            row = Row(self.rng.choice(PHASES), self.a_word(), cells)
            self.edit(self.recipe.add_row(row, at))

    def remove(self):
        self.edit(self.recipe.remove_row(self.a_row()))

    def put_back(self):
        """Take a row out and put it in again, which equals it but knows no place in the file."""
        index, gesture = self.a_row(), self.rng.choice([-1, self.document.new_gesture()])
        row = self.recipe.rows[index]
        self.edit(self.recipe.remove_row(index), gesture)
        self.edit(self.recipe.add_row(row, index), gesture)

    def move(self):
        self.edit(self.recipe.move_row(self.a_row(), self.a_row()))

    def phase(self):
        self.change(phase=self.rng.choice(PHASES))

    def rename(self):
        self.change(name=self.a_word(), inci=self.rng.choice([None, self.a_word()]))

    def note(self):
        self.change(note=self.rng.choice(["", self.a_word(), f"{self.a_word()}\n{self.a_word()}"]))

    def change(self, **values):
        index = self.a_row()
        self.edit(self.recipe.with_row(index, replace(self.recipe.rows[index], **values)))

    def title(self):
        self.edit(self.recipe.with_name(self.a_word()))

    def notes(self):
        lines = [self.a_word() for _ in range(self.rng.randrange(4))]
        self.edit(self.recipe.with_notes("\n".join(lines)))

    def bench(self):
        name = self.rng.choice(["room", "humidity", "bath", "liquids", "batch"])
        value = self.rng.uniform(QUANTITIES[name].low, QUANTITIES[name].high)
        self.edit(self.recipe.with_bench(**{name: value}))

    def bars(self):
        self.edit(self.recipe.with_bench(bars=self.rng.randint(1, 40), net=0.1))

    def add_variant(self):
        if len(self.recipe.variants) < MOST_VARIANTS:
            like = self.rng.choice([None, self.a_number()])
            self.edit(self.recipe.add_variant(self.a_word(), like))

    def remove_variant(self):
        self.edit(self.recipe.remove_variant(self.a_number()))

    def rename_variant(self):
        self.edit(self.recipe.rename_variant(self.a_number(), self.a_word()))

    def use_variant(self):
        self.edit(self.recipe.use_variant(self.a_number()))

    def burst(self):
        """Arrow keys: one gesture, sometimes there and back."""
        index, number, gesture = self.a_row(), self.a_number(), self.document.new_gesture()
        first = self.recipe.rows[index].percents.get(number)
        for _ in range(self.rng.randint(1, 5)):
            self.edit(self.recipe.with_percent(index, number, self.a_percent()), gesture)
        if self.rng.random() < 0.5:
            self.edit(self.recipe.with_percent(index, number, first), gesture)

    def undo(self):
        for _ in range(self.rng.randint(1, 3)):
            self.document.undo_stack.undo()
        if self.rng.random() < 0.7:
            self.document.undo_stack.redo()

    KINDS = (
        percent,
        percent,
        no_percent,
        fill,
        hold,
        add,
        remove,
        put_back,
        move,
        phase,
        rename,
        note,
        title,
        notes,
        bench,
        bars,
        add_variant,
        remove_variant,
        rename_variant,
        use_variant,
        burst,
        burst,
        undo,
    )


def walk(document, rng, edits):
    """Take steps until so many recipes were shown, undo all, redo all; compare the files."""
    stack, walker = document.undo_stack, Walker(document, rng)
    shown = []
    document.changed.connect(lambda _: shown.append(None))
    files = [(0, document.recipe, file.text(document.recipe))]
    while len(shown) < edits:
        walker.step()
        if len(shown) >= len(files) * edits / CHECKPOINTS:
            files.append((stack.index(), document.recipe, file.text(document.recipe)))
    while stack.canRedo():
        stack.redo()
    end = stack.index()
    files.append((end, document.recipe, file.text(document.recipe)))
    assert len(walker.recipes) == end + 1
    assert end < edits  # gestures merged
    # Steps undone and replaced by others took their files with them.
    wanted = {
        index: text
        for index, recipe, text in files
        if index <= end and walker.recipes[index] is recipe
    }
    assert {0, end} <= set(wanted)
    for move, indices in ((stack.undo, range(end, -1, -1)), (stack.redo, range(end + 1))):
        for index in indices:
            assert stack.index() == index
            assert document.recipe is walker.recipes[index]
            if index in wanted:
                assert file.text(document.recipe) == wanted[index]
            move()
    return walker


def test_every_kind_of_edit_is_walked(document):
    walker = walk(document, random.Random(1), 400)
    assert walker.kinds == {kind.__name__ for kind in Walker.KINDS}


@settings(max_examples=4)
@given(rng=st.randoms(use_true_random=True), recipe=st.one_of(st.none(), recipes(strange=True)))
def test_random_edits_undone_and_redone_leave_files_the_same_to_the_byte(walking, rng, recipe):
    walk(walking(recipe), rng, 375)


@pytest.mark.long
@pytest.mark.timeout(1800)
@settings(max_examples=1)
@given(rng=st.randoms(use_true_random=True))
def test_20000_random_edits_undone_and_redone_leave_files_the_same_to_the_byte(walking, rng):
    walk(walking(None), rng, 20_000)


@pytest.fixture(scope="module")
def walking(qapp):
    """Return a function that makes a document of which nothing is evaluated."""
    from designer.document import Document

    opened = []

    def make(recipe):
        while opened:
            opened.pop().close()
        document = Document(file.read(DEMO) if recipe is None else recipe, None, None)
        opened.append(document)
        return document

    with pytest.MonkeyPatch.context() as patch:
        patch.setattr("designer.document.evaluator.Evaluator.request", lambda *_: None)
        yield make
    while opened:
        opened.pop().close()
