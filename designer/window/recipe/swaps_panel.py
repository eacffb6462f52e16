"""Swaps: what can stand in for an ingredient of the table, to apply, to try beside, or to keep."""

from collections.abc import Callable
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING, Any

from PySide6.QtCore import Qt

from designer.document import Document
from designer.document.advisor import Question
from designer.errors import ReadableError
from designer.evaluation.evaluate import Evaluation
from designer.recipe import Recipe, Swap
from designer.window.actions import actions
from designer.window.key import Key
from designer.window.recipe.panel import Panel, Toggle
from designer.window.recipe.panel_list import Item
from designer.window.recipe.swaps_rows import ROW, head_item, kept_item, offer_item, refused_item
from designer.window.recipe.table.lines import same_rows
from designer.wording.swap_lines import ToldSwaps, kept_as_words, kept_line

if TYPE_CHECKING:
    from designer.advice.offers import Offer, Swaps
    from designer.advice.stocked import Stocked
    from designer.handbook import Handbook

__all__ = ["NAME", "SwapsPanel"]

NAME = "swaps"
"""What the question is called among those the document's advisor answers."""

_FORMULA = "Another formula: assessor, file and label first."
_WISHES = (
    ("half", "half and half", "Half of it stays"),
    ("vegan", "vegan", "Only what is vegan"),
    ("no palm", "no palm", "Nothing that comes from palm"),
    ("sulfate-free", "sulfate-free", "Nothing that holds a sulfate"),
    ("no new allergens", "no new allergens", "No allergen that the recipe has not already"),
    ("in stock", "in stock", "Only what the pantry has enough of for the batch"),
)
_STEPS = 40
"""Swaps made here that are remembered, so that undoing one leads back to its ingredient."""


@dataclass(frozen=True)
class _Target:
    """An ingredient of a recipe in a variant."""

    recipe: Recipe
    row: int
    number: str

    @property
    def name(self) -> str:
        return self.recipe.rows[self.row].name

    @property
    def swaps(self) -> tuple[Swap, ...]:
        return self.recipe.rows[self.row].swaps


class SwapsPanel(Panel):
    """A list of stand-ins for the ingredient chosen in the table."""

    row_height = ROW

    def __init__(self, document: Document) -> None:
        super().__init__(document, NAME, "Swaps", "Stand-ins")
        self.foot = _FORMULA
        self._target: _Target | None = None
        self._steps: list[_Target] = []
        self._answer: Swaps | None = None
        self._shown: Swaps | None = None
        self._told = ToldSwaps()
        self._offers: dict[str, Offer] = {}
        self._kept: dict[str, Swap] = {}
        self._wishes: dict[str, Toggle] = {}
        for wish, words, name in _WISHES:
            toggle = Toggle(words, self, name)
            toggle.toggled.connect(lambda _: self.ask())
            self._wishes[wish] = toggle
        self.options = list(self._wishes.values())
        self.apply_key, self.new_key = Key("Apply", self, first=True), Key("As new", self)
        self.keep_key = Key("Keep", self)
        self.buttons = [self.apply_key, self.new_key, self.keep_key]
        for key, do in zip(self.buttons, (self.apply, self.as_new, self.keep), strict=True):
            # Their work is done by keys in the list, which keeps the focus.
            key.setFocusPolicy(Qt.FocusPolicy.NoFocus)
            key.clicked.connect(do)
        self.actions_ = actions(
            self.list,
            {"apply_swap": self.apply, "swap_as_variant": self.as_new, "keep_swap": self.keep},
        )
        self._fit_keys()

    # --- what is asked

    @property
    def told(self) -> ToldSwaps:
        """What is shown, in words."""
        return self._told

    @property
    def wishes(self) -> dict[str, Toggle]:
        """The wishes that can be made of a stand-in."""
        return self._wishes

    def ask_for(self, row: int, number: str) -> None:
        """Look for what can stand in for a row of the recipe in a variant."""
        self._target = _Target(self.document.recipe, row, number)
        self._answer = self._shown = None
        self._told = ToldSwaps()
        self.show_items(self._head, ())
        self.open()

    def question(self) -> Question | None:
        """Return the question, of the recipe as it is now."""
        target = self._target
        if target is None:
            return None
        half = self._wishes["half"].isChecked()
        wished = frozenset(w for w, one in self._wishes.items() if w != "half" and one.isChecked())

        def ask(
            result: Evaluation, stop: Callable[[], bool], found: Callable[[Any], None]
        ) -> "tuple[Swaps, ToldSwaps]":
            # Imported by the advisor's thread: the search needs more than the window does.
            from designer.advice.offers import Request
            from designer.advice.swaps import swaps, with_papers, without_papers
            from designer.exchange import own_tables
            from designer.wording.swap_lines import told_of

            book, known = result.handbook, result.knowledge
            request = Request(half, wishes=wished, stocked=_stocked(book))
            answer = swaps(target.recipe, target.number, target.row, book, known, request, stop)
            # Limits and label take as long again: the list does not wait for them.
            found((answer, told_of(answer, is_first=True)))
            try:
                law = own_tables.law()
            except ReadableError as error:
                answer = without_papers(answer, error)
            else:
                answer = with_papers(answer, book, known, law, stop)
            return answer, told_of(answer)

        return ask

    def follow(self) -> None:
        """Find the ingredient in the changed recipe."""
        before, recipe = self._target, self.document.recipe
        if before is None:
            return
        known = next((one for one in self._steps if one.recipe is recipe), None)
        if known is not None:
            self._target = known
            return
        rows = before.recipe.rows
        there = same_rows(rows, range(len(rows)), recipe.rows, len(rows))
        number = before.number if before.number in recipe.numbers else recipe.active.number
        if before.row in there:
            self._target = _Target(recipe, there.index(before.row), number)
            if self._shown is not None:
                self._show()  # what is kept may be another; the rest until the next answer
            return
        self._target = None
        self._answer = self._shown = None
        self._told = ToldSwaps()
        gone = f"{before.name} is no longer in the recipe. Choose another row, and press S."
        self.show_items("", (), gone)

    # --- what is answered

    def show_answer(self, answer: Any) -> None:
        """Show the stand-ins found."""
        if answer is None:
            self._answer = None
            self._fit_keys()
            return
        self._late.end()  # what is still to come stands in a list that is of this recipe
        self._answer, self._told = answer
        self._shown = self._answer
        self._show()

    def show_problem(self, error: ReadableError) -> None:
        """Say why there is no stand-in."""
        self._answer = self._shown = None
        self._told = ToldSwaps(verdict=str(error))
        self._show()

    @property
    def _head(self) -> str:
        """What is swapped, beside the title."""
        target = self._target
        if target is None:
            return ""
        note = self._told.note or f"for {target.name}"
        several = len(target.recipe.numbers) > 1
        return f"{note}; variant {target.number}" if several else note

    def _show(self) -> None:
        """Show stand-ins, kept swaps that are none of them now, and what is no stand-in."""
        target = self._target
        if target is None:
            return
        left = [one for one in target.swaps if one.variant in ("", target.number)]
        items: list[Item] = []
        self._offers, self._kept = {}, {}
        offers = self._shown.every if self._shown is not None else ()
        for place, (offer, words) in enumerate(zip(offers, self._told.lines, strict=True), 1):
            if offer.refused is not None:
                continue
            kept = next((one for one in left if _is_same(one, offer)), None)
            item = offer_item(place, words, kept_as_words(kept) if kept else "")
            self._offers[item.key] = offer
            if kept is not None:
                self._kept[item.key] = kept
                left.remove(kept)
            items.append(item)
        if left:
            items.append(head_item("Kept before"))
            for serial, one in enumerate(left):
                item = kept_item(kept_line(one), serial)
                self._kept[item.key] = one
                items.append(item)
        refused = [words for words in self._told.lines if words.why_not]
        if refused:
            items.append(head_item("No stand-in"))
            items += [refused_item(words) for words in refused]
        self.show_items(self._head, tuple(items), self._told.verdict)

    # --- what is done

    @property
    def offer(self) -> "Offer | None":
        """The stand-in chosen, None where there is none or the recipe has changed since."""
        chosen, answer = self.list.chosen, self._answer
        if chosen is None or answer is None or answer.recipe is not self.document.recipe:
            return None
        return self._offers.get(chosen.key)

    @property
    def kept(self) -> Swap | None:
        """The kept swap chosen."""
        chosen, target = self.list.chosen, self._target
        if chosen is None or target is None or not self._kept:
            return None
        found = self._kept.get(chosen.key)
        return found if found in target.swaps else None

    def apply(self) -> None:
        """Make the swap in its variant, as one step; its stand-in is then looked at."""
        offer, target = self.offer, self._target
        if offer is None or target is None:
            return
        into = offer.moves[1]
        place = [(one.name, one.phase) for one in offer.recipe.rows].index((into.name, into.phase))
        self._remember(target, _Target(offer.recipe, place, target.number))
        where = f" in variant {target.number}" if len(target.recipe.numbers) > 1 else ""
        self.document.edit(f"Swap {target.name} for {offer.name}{where}", offer.recipe)

    def as_new(self) -> None:
        """Put the swap into a new variant beside the one it was worked out for."""
        offer, answer, target = self.offer, self._answer, self._target
        if offer is None or answer is None or target is None:
            return
        from designer.advice.swaps import as_new_variant

        try:
            grown = as_new_variant(answer, offer)
        except ReadableError as error:
            self.document.refuse(error)
            return
        grown = grown.use_variant(grown.numbers[-1])
        self._remember(target)
        document = self.document
        document.edit(f"New variant: {offer.name} for {target.name}", grown)
        document.pin(target.number, *(one for one in document.pinned if one != target.number))

    def keep(self) -> None:
        """Keep the swap as allowed in the recipe, or forget it again."""
        kept, offer, target = self.kept, self.offer, self._target
        if target is None:
            return
        if kept is not None:
            row = target.recipe.rows[target.row]
            swaps = tuple(one for one in row.swaps if one is not kept)
            after = target.recipe.with_row(target.row, replace(row, swaps=swaps))
            self.document.edit(f"Forget the swap of {target.name} for {kept.name}", after)
        elif offer is not None:
            from designer.advice.swaps import keep

            try:
                after = keep(target.recipe, target.row, offer, target.number)
            except ReadableError as error:
                self.document.refuse(error)
                return
            self.document.edit(f"Keep the swap of {target.name} for {offer.name}", after)

    def _remember(self, *steps: _Target) -> None:
        self._steps = [*self._steps, *steps][-_STEPS:]

    # --- keys

    def keys(self) -> list[tuple[str, str]]:
        """Return the keys that work here."""
        if not self.list.items:
            return [("Esc", "back"), ("Tab", "next")]
        keys = [("↑ ↓", "choose")]
        if self.offer is not None:
            keys += [("Enter", "apply"), ("Ctrl Enter", "as a new variant")]
        if self.kept is not None:
            keys.append(("K", "forget"))
        elif self.offer is not None:
            keys.append(("K", "keep"))
        return [*keys, ("Esc", "back")]

    def chosen_changed(self) -> None:
        """Show the keys that do something for the item chosen."""
        self._fit_keys()

    def _fit_keys(self) -> None:
        offer, kept = self.offer, self.kept
        words = offer.name if offer is not None else kept.name if kept is not None else ""
        self.keep_key.setText("Forget" if kept is not None else "Keep")
        for key, name in zip(self.buttons, ("Apply", "As a new variant", ""), strict=True):
            key.setAccessibleName(f"{name or self.keep_key.text()}: {words}")
            key.setVisible(offer is not None or (key is self.keep_key and kept is not None))
        # What the menu offers without a stand-in would do nothing.
        self.actions_["apply_swap"].setEnabled(offer is not None)
        self.actions_["swap_as_variant"].setEnabled(offer is not None)
        self.actions_["keep_swap"].setEnabled(offer is not None or kept is not None)
        self.place()
        self.keys_changed.emit()


def _stocked(book: "Handbook") -> "Stocked":
    from designer.advice.stocked import Stocked

    try:
        return Stocked.read(book)
    except ReadableError:
        return Stocked()  # the window tells of a broken pantry where it opens


def _is_same(kept: Swap, offer: "Offer") -> bool:
    return kept.name == offer.name and bool(kept.stays) == offer.is_half
