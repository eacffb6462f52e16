"""Forgiveness: how far each ingredient, lot and condition may drift, and what makes it unsure."""

from collections.abc import Callable, Iterator
from typing import TYPE_CHECKING, Any

from PySide6.QtGui import QGuiApplication, QKeyEvent, QKeySequence

from designer.document import Document
from designer.document.advisor import Question
from designer.errors import ReadableError
from designer.evaluation.evaluate import Evaluation
from designer.window import fonts
from designer.window.copying import offer_copy
from designer.window.recipe import forgiveness_rows as rows
from designer.window.recipe.panel import Panel
from designer.window.recipe.panel_list import Item

if TYPE_CHECKING:
    from designer.wording.forgiveness_lines import ToldForgiveness

__all__ = ["NAME", "ForgivenessPanel"]

NAME = "forgiveness"
"""What the question is called among those the document's advisor answers."""

_NOTE = "how far each may drift alone"


class ForgivenessPanel(Panel):
    """What forgives least in words, an interval for each thing, then what is not known."""

    details_share, most_details = 0.16, 4

    def __init__(self, document: Document) -> None:
        super().__init__(document, NAME, "Forgiveness", "How far each may drift")
        self._told: ToldForgiveness | None = None
        self._message = ""
        offer_copy(self.list, lambda: self.text)

    @property
    def told(self) -> "ToldForgiveness | None":
        """What is shown, in words; None while there is nothing."""
        return self._told

    @property
    def text(self) -> str:
        """The table as text with tabs, as a spreadsheet takes it."""
        if self._told is None:
            return ""
        return "\n".join("\t".join(row) for row in self._told.rows)

    def question(self) -> Question:
        """Return the question, of the active variant."""

        def ask(
            result: Evaluation, stop: Callable[[], bool], found: Callable[[Any], None]
        ) -> "ToldForgiveness":
            # Imported by the advisor's thread: the search needs more than the window does.
            from designer.advice.forgiveness import forgiveness
            from designer.advice.variance import uncertainty
            from designer.wording.forgiveness_lines import told_of

            recipe = result.recipe
            variant = recipe.numbers.index(recipe.active.number)
            forgiven = forgiveness(result, variant, stop)
            if forgiven.missing:
                return told_of(forgiven)
            found(told_of(forgiven))
            return told_of(forgiven, uncertainty(result, variant, stop))

        return ask

    def show_answer(self, answer: Any) -> None:
        """Show how far each may drift."""
        if answer is not None:
            self._told = answer
            self._show()

    def show_problem(self, error: ReadableError) -> None:
        """Say why there is nothing to tell."""
        self._told = None
        self.show_items(_NOTE, (), str(error))

    def width_changed(self) -> None:
        """Break the sentences anew."""
        if self._told is not None:
            self._show()

    def _show(self) -> None:
        told = self._told
        if told is None:
            return
        if not told.drifts:
            self.show_items(told.note, (), told.sentence)
            return
        self.show_items(told.note, tuple(self._items(told)))
        self.setAccessibleDescription(" ".join([told.sentence, *told.weakest, told.unsure]))

    def _items(self, told: "ToldForgiveness") -> Iterator[Item]:
        width, drifts = self.list.inner, told.drifts
        yield rows.text_item(told.sentence, width, size=fonts.SMALL)
        for number, sentence in enumerate(told.weakest, 1):
            yield rows.text_item(sentence, width, str(number), details=drifts[number - 1].details)
        scale = f"strip: {rows.REACH:.0f} × what is easily missed"
        yield rows.head_item("Intervals", scale if rows.has_strips(width) else "")
        yield from (rows.drift_item(one) for one in drifts)
        yield rows.text_item(told.grams_note, width, size=fonts.SMALL)
        if not told.unsure:
            return
        yield rows.head_item("Unsure", "of the firmness, of clean or not")
        yield rows.text_item(told.unsure, width)
        most = max((one.share for one in told.shares), default=0.0)
        yield from (rows.share_item(one, most) for one in told.shares)
        if told.shares_note:
            yield rows.text_item(told.shares_note, width, size=fonts.SMALL)
        if told.worth:
            yield rows.head_item("Worth measuring")
            for number, sentence in enumerate(told.worth, 1):
                yield rows.text_item(sentence, width, str(number))
            if told.caution:
                yield rows.text_item(told.caution, width, "!")

    def keys(self) -> list[tuple[str, str]]:
        """Return the keys that work here."""
        return [("↑ ↓", "choose"), ("Ctrl C", "copy as a table"), ("Esc", "back"), ("Tab", "next")]

    def keyPressEvent(self, event: QKeyEvent) -> None:  # noqa: N802
        """Copy the table; all else is the panel's."""
        if event.matches(QKeySequence.StandardKey.Copy):
            if self.text:
                QGuiApplication.clipboard().setText(self.text)
        else:
            super().keyPressEvent(event)
