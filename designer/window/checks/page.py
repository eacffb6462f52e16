"""The page Checks: what is within limits, what is over, what only measuring tells."""

from collections.abc import Callable
from dataclasses import replace
from functools import partial
from pathlib import Path
from typing import TYPE_CHECKING, Any

from PySide6.QtCore import Qt
from PySide6.QtGui import QColor, QHideEvent, QPainter, QPaintEvent, QResizeEvent, QShowEvent
from PySide6.QtWidgets import (
    QBoxLayout,
    QFileDialog,
    QFrame,
    QHBoxLayout,
    QScrollArea,
    QVBoxLayout,
    QWidget,
)

from designer.document import Document
from designer.errors import ReadableError
from designer.evaluation.evaluate import Evaluation
from designer.window import fonts, theme
from designer.window.actions import actions
from designer.window.checks.assessed import AssessedView
from designer.window.checks.detail import Detail
from designer.window.checks.keeping import Head, KeepingView
from designer.window.checks.list import CheckList
from designer.window.checks.words import Words
from designer.window.key import Key
from designer.window.parts_page import PartsPage
from designer.window.recipe.working import Late
from designer.wording.assessed import hold_words
from designer.wording.check_groups import FILTERS, CheckRow, arranged
from designer.wording.checks import DISCLAIMER, MARKET_NAMES

if TYPE_CHECKING:
    from designer.wording.checks_told import ChecksTold
    from designer.wording.keeping_lines import KeepingWords

__all__ = ["ChecksPage"]

NAME = "checks"
"""What the question is called among those the document's advisor answers."""

_WORKING = "Working: what stands here is of the recipe before."
_WAITING = "The checks are being worked out."
_LIST, _LIST_ALONE = 200, 340
"""Least height of the list [logical px]: beside what else is told, and above it."""

_NOTHING = "Nothing was checked: the recipe cannot be evaluated; the page Recipe says why."
_SMALL_MARGIN, _BESIDE_BAR, _SIDE = 12, 4, 440


class _Sheet(QWidget):
    """What is scrolled, with a hairline between its columns."""

    def __init__(self) -> None:
        super().__init__()
        self.right: QWidget | None = None

    def paintEvent(self, _event: QPaintEvent) -> None:  # noqa: N802
        """Draw the hairline."""
        if self.right is not None:
            x = self.right.x() - theme.GUTTER // 2
            QPainter(self).fillRect(x, 0, 1, self.height(), QColor(theme.now().hair))


class ChecksPage(PartsPage):
    """The checks of the active variant for a market, beside what keeps it and what was assessed."""

    home = "checks"

    def __init__(self, document: Document) -> None:
        super().__init__()
        self._document = document
        self.told: ChecksTold | None = None
        self._words: KeepingWords | None = None
        self._by_verdict, self._shown = False, "all"
        self.setWidgetResizable(True)
        self.setAccessibleName("Page Checks")
        self._make_parts()
        self._lay_out()
        self._add_commands()
        self._late = Late(self)
        self._late.changed.connect(lambda _: self._show_as_of())
        document.evaluated.connect(lambda _: self._ask())
        document.changed.connect(lambda _: self._follow_recipe())
        document.failed.connect(self._refuse)
        document.advisor.answered.connect(self._take)
        document.advisor.failed.connect(self._fail)
        self.order_tabs()
        self._follow_recipe()

    # --- parts

    def _make_parts(self) -> None:
        self.list, self.detail = CheckList(), Detail()
        self.keeping, self.assessed = KeepingView(self._document), AssessedView(self._document)
        self.list.chosen.connect(self._show_check)
        self.keeping.asked.connect(lambda _: self._ask())
        self.market_keys = {
            market: Key(market, name=f"Market {name}") for market, name in MARKET_NAMES.items()
        }
        for market, key in self.market_keys.items():
            key.setToolTip(MARKET_NAMES[market])
            key.clicked.connect(partial(self._choose_market, market))
        self.sort_key = Key("By group", name="Sorted by group", plain=True)
        self.show_key = Key("Shown: all", plain=True)
        self.own_key = Key("Own tables…")
        self.export_key = Key("Export…")
        self.sort_key.clicked.connect(lambda _=False: self.sort_otherwise())
        self.show_key.clicked.connect(lambda _=False: self.show_others())
        self.own_key.clicked.connect(lambda _=False: self.open_own_tables())
        self.export_key.clicked.connect(lambda _=False: self.ask_export())
        self.held, self.summary = Words(bold=True), Words()
        self.as_of = Words(fonts.SMALL, token="ink2")
        self.disclaimer = Words(fonts.SMALL, token="ink2")
        self.disclaimer.say(DISCLAIMER)
        self.summary.say(_WAITING)
        self.held.say("")

    def _lay_out(self) -> None:
        sheet = _Sheet()
        columns = QHBoxLayout(sheet)
        columns.setContentsMargins(theme.MARGIN, _SMALL_MARGIN, theme.MARGIN, _SMALL_MARGIN)
        columns.setSpacing(theme.GUTTER)
        self._tools = QWidget()
        tools = QHBoxLayout(self._tools)
        tools.setContentsMargins(0, 0, 0, 0)
        tools.setSpacing(8)
        for key in self.market_keys.values():
            tools.addWidget(key)
        tools.addSpacing(8)
        tools.addWidget(self.sort_key)
        tools.addWidget(self.show_key)
        tools.addStretch(1)
        tools.addWidget(self.own_key)
        tools.addWidget(self.export_key)
        left = QVBoxLayout()
        left.setSpacing(8)
        for part in (self._tools, self.held, self.summary):
            left.addWidget(part)
        left.addWidget(self.list, 1)
        for part in (self.as_of, self.disclaimer):
            left.addWidget(part)
        inner = QWidget()
        right = QVBoxLayout(inner)
        right.setContentsMargins(0, 0, _BESIDE_BAR, 0)
        right.setSpacing(8)
        right.addWidget(Head("The check in full"))
        right.addWidget(self.detail, 1)
        right.addWidget(self.keeping)
        right.addWidget(self.assessed)
        # It scrolls by itself, so that the list never moves for what stands beside it.
        self._side = QScrollArea()
        self._side.setFrameShape(QFrame.Shape.NoFrame)
        self._side.setFocusPolicy(Qt.FocusPolicy.NoFocus)
        self._side.setHorizontalScrollBarPolicy(Qt.ScrollBarPolicy.ScrollBarAlwaysOff)
        self._side.setWidgetResizable(True)
        self._side.setWidget(inner)
        self._inner, self._columns = inner, columns
        self._side.setMinimumWidth(_SIDE + self._side.verticalScrollBar().sizeHint().width())
        columns.addLayout(left, 64)
        columns.addWidget(self._side, 36)
        self._sheet = sheet
        sheet.right = self._side
        self.setWidget(sheet)

    def _add_commands(self) -> None:
        handlers: dict[str, Callable[[], object]] = {
            "next_market": self.next_market,
            "sort_checks": self.sort_otherwise,
            "show_checks": self.show_others,
            "copy_checks": self.list.copy,
            "export_checks": self.ask_export,
            "own_tables": self.open_own_tables,
            "target_ph": self.type_target,
            "freeze_formula": self.assessed.ask_freeze,
            "release_formula": self.assessed.ask_release,
        }
        self.actions_ = actions(self, handlers)

    def parts(self) -> dict[str, QWidget]:
        """Return the parts that take the focus, in the order of work."""
        return {
            "checks_tools": self._tools,
            "checks": self.list,
            "check": self.detail,
            "keeping": self.keeping,
            "assessed": self.assessed,
        }

    def go_to(self, name: str) -> bool:
        """Give a part the focus, and bring it into view."""
        taken = super().go_to(name)
        part = self.parts()[name]
        if taken and self._side.isAncestorOf(part):
            self._side.ensureWidgetVisible(part)
        return taken

    def take_typed(self) -> bool:
        """Take over what is being typed; return whether nothing was refused."""
        return self.keeping.take_typed()

    # --- what is asked

    @property
    def market(self) -> str:
        """Where the bar is sold: what the recipe keeps for its label."""
        return self._document.recipe.label.market

    def _ask(self) -> None:
        """Ask anew while the page is in view; what is answered of before is dropped."""
        if not self.isVisible() or self._document.evaluation is None:
            return
        asked = replace(self.keeping.said, market=self.market)

        def ask(
            result: Evaluation, stop: Callable[[], bool], found: Callable[[Any], None]
        ) -> "tuple[ChecksTold, str]":
            from designer.exchange import own_tables
            from designer.handbook.law import load
            from designer.wording.checks_told import told_of

            problem = ""
            try:
                law = own_tables.law()
            except ReadableError as error:
                law, problem = load(), f"{error} Until then your own rows are left out."
            number = result.recipe.active.number
            variant = result.recipe.numbers.index(number)
            told = told_of(result, variant, law, asked, stop, lambda first: found((first, problem)))
            if told is None:
                raise InterruptedError
            return told, problem

        self._document.advisor.want(NAME, ask, first=True)
        self._late.begin()

    def _take(self, name: str, answer: Any) -> None:
        if name != NAME:
            return
        told, problem = answer
        self.told = told
        self.summary.say(f"{self._variant_words()}{told.summary} {problem}".strip())
        if told.keeping is not None:
            self._late.end()
            self._words = told.keeping
            self.keeping.show_words(told.keeping)
        self._show_rows()
        self._show_as_of()

    def _variant_words(self) -> str:
        """Return which variant is told of, "" where there is one alone."""
        recipe = self._document.recipe
        if len(recipe.numbers) == 1:
            return ""
        return f"Variant {recipe.active.number} {recipe.active.title}".rstrip(" .") + ". "

    def _fail(self, name: str, error: ReadableError) -> None:
        if name == NAME:
            self._refuse(error)

    def _refuse(self, error: ReadableError) -> None:
        """Show that nothing can be checked, and why."""
        self.told = self._words = None
        self._late.end()
        self.summary.say(f"Nothing was checked. {error}")
        self.list.show_rows((), self.market)
        self._show_as_of()

    # --- what is shown

    def _follow_recipe(self) -> None:
        for market, key in self.market_keys.items():
            key.set_first(market == self.market)
        self.assessed.follow()
        self.held.say(hold_words(self.assessed.found))
        self.keeping.follow()
        if self.isVisible():
            self._late.begin()

    def _show_rows(self) -> None:
        told = self.told
        rows = told.rows if told is not None else ()
        self.list.show_rows(arranged(rows, self._by_verdict, self._shown), self.market)

    def _show_check(self, one: CheckRow | None) -> None:
        self.detail.show_check(one, self._words)

    def _show_as_of(self) -> None:
        words = self.told.as_of if self.told is not None else ""
        self.as_of.say(_WORKING if self._late.now and self.told is not None else words)

    # --- what is done

    def next_market(self) -> None:
        """Check for the next market."""
        markets = tuple(MARKET_NAMES)
        self._choose_market(markets[(markets.index(self.market) + 1) % len(markets)])

    def _choose_market(self, market: str, _checked: bool = False) -> None:
        recipe = self._document.recipe
        changed = recipe.with_label(replace(recipe.label, market=market))
        self._document.edit(f"Market {MARKET_NAMES[market]}", changed)

    def sort_otherwise(self) -> None:
        """Put the checks under groups, or under verdicts."""
        self._by_verdict = not self._by_verdict
        self.sort_key.setText("By verdict" if self._by_verdict else "By group")
        self.sort_key.setAccessibleName(f"Sorted {self.sort_key.text().lower()}")
        self.sort_key.updateGeometry()
        self._show_rows()

    def show_others(self) -> None:
        """Show the checks of the next choice alone, after the last one all."""
        names = tuple(FILTERS)
        self._shown = names[(names.index(self._shown) + 1) % len(names)]
        self.show_key.setText(f"Shown: {FILTERS[self._shown]}")
        self.show_key.setAccessibleName(self.show_key.text())
        self.show_key.updateGeometry()
        self._show_rows()

    def type_target(self) -> None:
        """Let the target pH be typed."""
        self._side.ensureWidgetVisible(self.keeping.target)
        self.keeping.target.setFocus(Qt.FocusReason.ShortcutFocusReason)

    def open_own_tables(self) -> None:
        """Edit the own rows of limits and allergens."""
        from designer.window.checks.own import OwnTables

        dialog = OwnTables(self)
        dialog.changed.connect(self._ask)
        dialog.open()

    def ask_export(self) -> None:
        """Ask for a file, and write the checks to it."""
        if self.told is None:
            return
        dialog = QFileDialog(self, "Export the checks", self._proposed())
        dialog.setAttribute(Qt.WidgetAttribute.WA_DeleteOnClose)
        dialog.setNameFilters(["Table (*.csv)"])
        dialog.setAcceptMode(QFileDialog.AcceptMode.AcceptSave)
        dialog.setFileMode(QFileDialog.FileMode.AnyFile)
        dialog.setDefaultSuffix("csv")
        dialog.fileSelected.connect(lambda name: self.export(Path(name)))
        dialog.open()

    def _proposed(self) -> str:
        path = self._document.path
        stem = path.stem if path is not None else "checks"
        folder = path.parent if path is not None else Path.home()
        return str(folder / f"{stem}_{self.market.lower()}_checks.csv")

    def export(self, path: Path) -> None:
        """Write the checks to a file; a failure is told in the foot."""
        from designer.exchange.checks_table import as_csv
        from designer.recipe.saving import save

        if self.told is None:
            return
        try:
            save(path, as_csv(self.told.rows, self.told.market, self.told.as_of))
        except ReadableError as error:
            self._document.refuse(error)
        else:
            self._document.refuse(None)

    # --- events

    def resizeEvent(self, event: QResizeEvent) -> None:  # noqa: N802
        """Stand in one column where two have no room."""
        super().resizeEvent(event)
        needed = self.list.minimumWidth() + self._side.minimumWidth()
        is_narrow = self.viewport().width() < needed + theme.GUTTER + 2 * theme.MARGIN
        below, beside = QBoxLayout.Direction.TopToBottom, QBoxLayout.Direction.LeftToRight
        self._columns.setDirection(below if is_narrow else beside)
        self._sheet.right = None if is_narrow else self._side
        self._side.setMinimumHeight(self._inner.minimumSizeHint().height() if is_narrow else 0)
        self.list.setMinimumHeight(_LIST_ALONE if is_narrow else _LIST)

    def showEvent(self, event: QShowEvent) -> None:  # noqa: N802
        """Ask when it comes into view."""
        super().showEvent(event)
        document = self._document
        if document.evaluation is None and not document.is_working:
            self.summary.say(_NOTHING)
        self._ask()

    def hideEvent(self, event: QHideEvent) -> None:  # noqa: N802
        """Ask no more while nobody looks."""
        super().hideEvent(event)
        self._document.advisor.drop(NAME)
        self._late.end()
