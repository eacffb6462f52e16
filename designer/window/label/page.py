"""The page Label: facts to print, the ingredient list, the label at real size, what to know."""

import threading
from contextlib import suppress
from dataclasses import dataclass
from functools import partial
from html import escape

from PySide6.QtCore import QEvent, QRect, QRectF, QSize, Qt, Signal
from PySide6.QtGui import (
    QColor,
    QGuiApplication,
    QKeyEvent,
    QKeySequence,
    QPainter,
    QPaintEvent,
    QResizeEvent,
    QShowEvent,
)
from PySide6.QtWidgets import QGridLayout, QHBoxLayout, QLabel, QVBoxLayout, QWidget

from designer.document import Document
from designer.document.evaluator import filled
from designer.errors import ReadableError
from designer.evaluation.evaluate import Evaluation
from designer.evaluation.label_sheet import LabelSheet, kept_label
from designer.exchange import own_tables
from designer.handbook.law import Law
from designer.recipe import Recipe
from designer.recipe.label import Label
from designer.window import fonts, theme
from designer.window.key import Key
from designer.window.label.choice import Choice
from designer.window.label.facts import ENTRIES, Entry
from designer.window.label.field import Field
from designer.window.label.names import Names
from designer.window.label.preview import Preview
from designer.window.paper.label import Drawn, drawn
from designer.window.parts_page import PartsPage
from designer.window.recipe import drawing
from designer.window.recipe.working import Working
from designer.wording.label_rows import NameRow, name_rows
from designer.wording.label_text import label_plain, notes_before_print

__all__ = ["LabelPage"]

_CHOICES = {
    "market": ("Market", {"EU": "EU", "UK": "UK", "US": "US", "CA": "Canada"}),
    "basis": ("Basis", {"added": "as added", "cured": "as cured"}),
    "languages": ("Cautions in", {"en": "English", "fr": "French", "en fr": "both"}),
}
_CAPTION, _TOP, _NARROWEST = 96, 12, 1000
_LEAST_NAMES, _MOST_NAMES, _LEAST_NOTES = 320, 470, 250
_AT_ONCE = 120
"""Rows of a recipe whose label is worked out between two keys."""

NAME = "label"
"""What the label is called among the questions the document's advisor answers."""

_WAIT = "The tables are being read …"
_EMPTY = "Nothing in it yet."


@dataclass(frozen=True, eq=False)
class _Worked:
    """All that the page shows of a label."""

    sheet: LabelSheet
    variant: str
    rows: tuple[NameRow, ...]
    drawn: Drawn
    text: str
    notes: tuple[str, ...]


def _worked(result: Evaluation, law: Law, label: Label) -> _Worked:
    """Work out what is shown of the active variant's label; in any thread."""
    variant = result.recipe.numbers.index(result.recipe.active.number)
    sheet = kept_label(result, variant, law, label)
    active, several = result.recipe.active, len(result.recipe.variants) > 1
    return _Worked(
        sheet,
        f"variant {active.number} {active.title}".rstrip() if several else "",
        name_rows(sheet),
        drawn(sheet, label.languages, 1000 * label.width),
        label_plain(sheet, label.languages),
        notes_before_print(sheet),
    )


class _Sheet(QWidget):
    """What is scrolled; hairlines stand between its columns."""

    def __init__(self, page: "LabelPage") -> None:
        super().__init__()
        self._page = page
        self.edges: tuple[int, ...] = ()

    def event(self, event: QEvent) -> bool:
        """Place the parts anew when one of them wants another size."""
        if event.type() == QEvent.Type.LayoutRequest:
            self._page.place()
        return super().event(event)

    def paintEvent(self, _event: QPaintEvent) -> None:  # noqa: N802
        """Draw the hairlines."""
        painter = QPainter(self)
        for x in self.edges:
            painter.fillRect(x, 0, 1, self.height(), QColor(theme.now().hair))


class _Notes(QLabel):
    """What must be known before it is printed."""

    def __init__(self) -> None:
        super().__init__()
        self.setAccessibleName("Before you print")
        self.setWordWrap(True)
        self.setAlignment(Qt.AlignmentFlag.AlignTop | Qt.AlignmentFlag.AlignLeft)
        self.setTextInteractionFlags(
            Qt.TextInteractionFlag.TextSelectableByMouse
            | Qt.TextInteractionFlag.TextSelectableByKeyboard
        )
        self.setFocusPolicy(Qt.FocusPolicy.StrongFocus)
        self.setContentsMargins(0, drawing.HEAD + 6, 0, 2)

    def paintEvent(self, event: QPaintEvent) -> None:  # noqa: N802
        """Draw the head above the notes, and the mark of the focus."""
        super().paintEvent(event)
        painter = QPainter(self)
        drawing.head(painter, self.width(), "Before you print")
        if self.hasFocus():
            drawing.focus_mark(painter, QRectF(self.rect()))

    def show_notes(self, notes: tuple[str, ...]) -> None:
        """Show notes, a paragraph each."""
        told = "".join(f'<p style="margin:0 0 7px 0">{escape(one)}</p>' for one in notes)
        self.setText(told)
        self.setAccessibleDescription(" ".join(notes))

    def keys(self) -> list[tuple[str, str]]:
        """Return the keys that work here."""
        return [("Ctrl A, Ctrl C", "copy"), ("Tab", "next")]


class LabelPage(PartsPage):
    """The label of the active variant; what is typed is kept with the recipe.

    Signals
    -------
    paper_wanted(str)
        A file is wanted: "label_pdf" or "label_svg".
    """

    home = "names"
    paper_wanted = Signal(str)
    _read = Signal(object)

    def __init__(self, document: Document) -> None:
        super().__init__()
        self._document = document
        self._law: Law | None = None
        self._result: Evaluation | None = None
        self._is_due = True
        self.sheet: LabelSheet | None = None
        self._make_parts()
        self._lay_out()
        self._working = Working(document, self)
        self._working.changed.connect(self._show_old)
        document.changed.connect(self._follow)
        document.evaluated.connect(self._take)
        document.failed.connect(self._fail)
        document.advisor.answered.connect(self._take_answer)
        document.advisor.failed.connect(self._take_failure)
        self._read.connect(self._take_law)
        self.order_tabs()
        self._show_typed()
        self.names.show_missing(_WAIT)
        self._result = document.evaluation
        self._is_reading = False
        document.equipped.connect(self._begin_to_read)
        if document.is_equipped:
            self._begin_to_read()

    # --- parts

    def _make_parts(self) -> None:
        self._sheet = _Sheet(self)
        self.choices = {
            key: Choice(name, words, partial(self._choose, key))
            for key, (name, words) in _CHOICES.items()
        }
        self.fields = {
            one.name: Field(
                self._document,
                f"Label: {one.caption}",
                partial(self._shown, one),
                partial(self._type, one),
                one.hint,
                one.at_rest,
            )
            for one in ENTRIES
        }
        self.names, self.preview, self.notes = Names(), Preview(), _Notes()
        self.names.moved.connect(self._move)
        self.names.chosen.connect(self._keep_in_sight)
        self.copy_key = Key("Copy text", first=True)
        self.copy_key.clicked.connect(self.copy)
        self.pdf_key = Key("PDF…", name="Save as PDF")
        self.svg_key = Key("SVG…", name="Save as SVG")
        self.pdf_key.clicked.connect(lambda: self.paper_wanted.emit("label_pdf"))
        self.svg_key.clicked.connect(lambda: self.paper_wanted.emit("label_svg"))
        self.weight_key = Key("Small ones by weight")
        self.weight_key.clicked.connect(self.order_by_weight)

    def _lay_out(self) -> None:
        self.top, self.facts, self.files = QWidget(), QWidget(), QWidget()
        for widget, name in (
            (self.top, "Market and basis"),
            (self.facts, "Facts of the label"),
            (self.files, "Copy and files"),
        ):
            widget.setAccessibleName(name)
        top, facts = QGridLayout(self.top), QGridLayout(self.facts)
        for row, (key, choice) in enumerate(self.choices.items()):
            top.addWidget(_caption(_CHOICES[key][0].lower()), row, 0)
            top.addWidget(choice, row, 1)
        for row, one in enumerate(ENTRIES):
            facts.addWidget(_caption(one.caption), row, 0)
            facts.addWidget(self.fields[one.name], row, 1)
        for grid in (top, facts):
            grid.setContentsMargins(0, 0, 0, 0)
            grid.setHorizontalSpacing(8)
            grid.setVerticalSpacing(4)
            grid.setColumnMinimumWidth(0, _CAPTION)
            grid.setColumnStretch(1, 1)
        keys = QHBoxLayout(self.files)
        keys.setContentsMargins(0, 0, 0, 0)
        keys.setSpacing(8)
        for file_key in (self.copy_key, self.pdf_key, self.svg_key):
            keys.addWidget(file_key)
        keys.addStretch(1)
        self.left = QWidget()
        column = QVBoxLayout(self.left)
        column.setContentsMargins(0, 0, 0, 0)
        column.setSpacing(12)
        for part in (self.top, self.facts, self.weight_key, self.files):
            column.addWidget(part, 0, Qt.AlignmentFlag.AlignTop)
        column.setAlignment(self.weight_key, Qt.AlignmentFlag.AlignLeft)
        column.addStretch(1)
        for widget in (self.left, self.names, self.preview, self.notes):
            widget.setParent(self._sheet)
        self.setWidget(self._sheet)

    def parts(self) -> dict[str, QWidget]:
        """Return the parts that take the focus, in the order of work."""
        return {
            "market": self.top,
            "facts": self.facts,
            "order": self.weight_key,
            "files": self.files,
            "names": self.names,
            "preview": self.preview,
            "before_print": self.notes,
        }

    def take_typed(self) -> bool:
        """Take over what is being typed; return whether nothing was refused."""
        taken = [one.take() for one in self.fields.values()]  # all, also after a refusal
        return all(taken)

    def place(self) -> None:
        """Put the columns where they stand in a page of this size.

        The notes stand beside the label where there is room, else below it; a label that is too
        wide to stand beside the list stands above it.
        """
        view, label = self.viewport().size(), self.preview.sizeHint()
        x, gap = theme.MARGIN, theme.GUTTER
        self.left.setGeometry(
            x, _TOP, 280 if view.width() < 1400 else 340, self.left.sizeHint().height()
        )
        if view.width() < _NARROWEST:
            bottom = self.left.geometry().bottom() + gap
            self._stack(x, bottom, max(view.width() - 2 * x, 340), label)
            self._end(view, ())
            return
        edges = [self.left.geometry().right() + gap // 2]
        x = self.left.geometry().right() + 1 + gap
        rest = view.width() - theme.MARGIN - x
        room = rest - label.width() - gap
        if room < _LEAST_NAMES:
            self.preview.setGeometry(QRect(x, _TOP, label.width(), label.height()))
            top = self.preview.geometry().bottom() + gap
            names = min(rest - gap - _LEAST_NOTES, _MOST_NAMES)
            self.names.setGeometry(x, top, names, self.names.sizeHint().height())
            x += names + gap
            width = view.width() - theme.MARGIN - x
            self.notes.setGeometry(x, top, width, self.notes.heightForWidth(width))
            self._end(view, tuple(edges))
            return
        beside = room - gap - _LEAST_NAMES >= _LEAST_NOTES
        names = min(room - (_LEAST_NOTES + gap if beside else 0), _MOST_NAMES)
        self.names.setGeometry(x, _TOP, names, self.names.sizeHint().height())
        x += names + gap
        edges.append(x - gap // 2)
        self.preview.setGeometry(QRect(x, _TOP, label.width(), label.height()))
        top = _TOP
        if beside:
            x += label.width() + gap
            edges.append(x - gap // 2)
        else:
            top = self.preview.geometry().bottom() + 8
        width = view.width() - theme.MARGIN - x
        self.notes.setGeometry(x, top, width, self.notes.heightForWidth(width))
        self._end(view, tuple(edges))

    def _stack(self, x: int, top: int, width: int, label: QSize) -> None:
        """Put list, label and notes below each other."""
        self.names.setGeometry(x, top, width, self.names.sizeHint().height())
        top = self.names.geometry().bottom() + theme.GUTTER
        self.preview.setGeometry(QRect(x, top, label.width(), label.height()))
        top = self.preview.geometry().bottom() + theme.GUTTER
        self.notes.setGeometry(x, top, width, self.notes.heightForWidth(width))

    def _end(self, view: QSize, edges: tuple[int, ...]) -> None:
        """Give what is scrolled the size of its parts."""
        places = [one.geometry() for one in (self.left, self.names, self.preview, self.notes)]
        right = max(one.right() for one in places) + theme.MARGIN
        bottom = max(one.bottom() for one in places) + 16
        self._sheet.edges = edges
        self._sheet.resize(max(view.width(), right), max(view.height(), bottom))
        self._sheet.update()

    def resizeEvent(self, event: QResizeEvent) -> None:  # noqa: N802
        """Place the parts in the new size."""
        super().resizeEvent(event)
        self.place()

    # --- what is typed and chosen

    @property
    def _label(self) -> Label:
        return self._document.recipe.label

    def _shown(self, one: Entry) -> str:
        return one.shown(self._label)

    def _edit(self, words: str, label: Label) -> None:
        self._document.edit(f"Label: {words}", self._document.recipe.with_label(label))

    def _type(self, one: Entry, typed: str) -> None:
        self._edit(one.caption, one.taken(self._label, typed))

    def _choose(self, key: str, value: str) -> None:
        name, words = _CHOICES[key]
        changed = {"market": Label.in_market, "basis": Label.on_basis, "languages": Label.speaking}
        self._edit(f"{name.lower()} {words[value]}", changed[key](self._label, value))

    def _move(self, place: int, to: int) -> None:
        small = [one.inci for one in self.names.rows if one.group == "small"]
        name = small.pop(place)
        small.insert(to, name)
        self._edit(f"move {name}", self._label.ordered(small))

    def order_by_weight(self) -> None:
        """Let the small ones stand by weight again."""
        self._edit("small ones by weight", self._label.ordered(()))

    def copy(self) -> None:
        """Copy the label as plain text."""
        if self.sheet is not None:
            QGuiApplication.clipboard().setText(label_plain(self.sheet, self._label.languages))

    def keyPressEvent(self, event: QKeyEvent) -> None:  # noqa: N802
        """Copy the label where nothing in it has a text of its own to copy."""
        if event.matches(QKeySequence.StandardKey.Copy):
            self.copy()
        else:
            super().keyPressEvent(event)

    def _keep_in_sight(self, row: QRect) -> None:
        at = self.names.mapTo(self._sheet, row.center())
        self.ensureVisible(at.x(), at.y(), 0, 2 * theme.ROW)

    # --- what is shown

    def _begin_to_read(self) -> None:
        # Not beside the handbook: of two threads that first import one library, one may fail.
        if not self._is_reading:
            self._is_reading = True
            threading.Thread(target=self._read_law, name="label tables", daemon=True).start()

    def _read_law(self) -> None:
        try:
            law: object = own_tables.law()
        except ReadableError as error:
            law = error
        try:
            self._read.emit(law)
        except RuntimeError:  # the page went away meanwhile
            return

    def _take_law(self, law: object) -> None:
        if isinstance(law, Law):
            self._law = law
            self._show_sheet()
        elif isinstance(law, ReadableError):
            self._say(str(law))

    def _follow(self, recipe: Recipe) -> None:
        """Show a change: of the label at once, for it changes nothing that is evaluated."""
        self._show_typed()
        last = self._result
        if last is not None and last.recipe.with_label(recipe.label) == filled(recipe):
            self._show_sheet()

    def _take(self, result: Evaluation) -> None:
        self._result = result
        self._show_sheet()

    def _fail(self, error: ReadableError) -> None:
        self._result = None
        self._say(str(error) if self._document.recipe.rows else _EMPTY)

    def _say(self, words: str) -> None:
        """Say why there is no label."""
        self.sheet = None
        self.names.show_missing(words)
        self.preview.show_label(None, words)
        self.notes.show_notes((words,))
        self._show_keys()

    def _show_typed(self) -> None:
        for field in self.fields.values():
            field.show_value()
        for key, choice in self.choices.items():
            choice.show_value(getattr(self._label, key))

    def _show_old(self, old: bool) -> None:
        self.names.show_old(old)
        self.preview.show_old(old)

    def _show_sheet(self) -> None:
        """Work the label out and show it, once it can be seen.

        That of a long recipe is worked out beside the window, which must go on.
        """
        self._is_due = True
        law, result, label = self._law, self._result, self._label
        if not self.isVisible() or law is None or result is None:
            return
        self._is_due = False
        if len(result.recipe.rows) > _AT_ONCE:
            self._document.advisor.want(NAME, lambda now, *_: _worked(now, law, label))
            return
        self._document.advisor.drop(NAME)
        try:
            self._show(_worked(result, law, label))
        except ReadableError as error:
            self._say(str(error))

    def _take_answer(self, name: str, answer: object) -> None:
        if name == NAME and isinstance(answer, _Worked) and self.isVisible():
            self._show(answer)

    def _take_failure(self, name: str, error: ReadableError) -> None:
        if name == NAME:
            self._say(str(error))

    def _show(self, told: "_Worked") -> None:
        self.sheet = told.sheet
        self.names.show_rows(told.rows, told.sheet.market, told.variant)
        self.preview.show_label(told.drawn, told.text)
        self.notes.show_notes(told.notes)
        self._show_keys()
        self.place()

    def _show_keys(self) -> None:
        for key in (self.copy_key, self.pdf_key, self.svg_key):
            key.setEnabled(self.sheet is not None)
        self.weight_key.setEnabled(bool(self._label.small_order))

    def showEvent(self, event: QShowEvent) -> None:  # noqa: N802
        """Show what changed while it was not seen."""
        super().showEvent(event)
        with suppress(ReadableError):  # which the page of checks tells
            # Own rows may have been changed meanwhile.
            if self._law is not None and (law := own_tables.law()) is not self._law:
                self._law, self._is_due = law, True
        if self._is_due:
            self._show_sheet()


def _caption(words: str) -> QLabel:
    made = QLabel(words)
    made.setFont(fonts.font(fonts.SMALL))
    return made
