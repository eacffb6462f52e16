"""The maker's own rows of limits and allergens: add, change, remove; saved at once, all or none."""

from collections.abc import Callable
from typing import TYPE_CHECKING

from PySide6.QtCore import Qt, Signal
from PySide6.QtGui import QIcon, QKeyEvent
from PySide6.QtWidgets import (
    QAbstractItemView,
    QDialog,
    QDialogButtonBox,
    QHBoxLayout,
    QHeaderView,
    QPushButton,
    QTableWidget,
    QTableWidgetItem,
    QTabWidget,
    QVBoxLayout,
    QWidget,
)

from designer.errors import ReadableError
from designer.exchange import own_tables
from designer.exchange.own_tables import ALLERGENS, LIMITS
from designer.window import fonts, theme
from designer.window.checks.ask import Ask, Line
from designer.window.checks.words import Words

if TYPE_CHECKING:
    from collections.abc import Sequence

__all__ = ["OwnTables"]

_WORDS = {LIMITS: "Limits", ALLERGENS: "Fragrance allergens"}

_LINES: dict[str, tuple[tuple[str, str, str], ...]] = {
    LIMITS: (
        ("name", "INCI name", "Benzyl Alcohol"),
        ("markets", "Markets, parted by ;", "EU;UK"),
        ("kind", "Kind of rule", ""),
        ("max_percent", "Most, % of the bar", "0.5"),
        ("strict", "The limit itself is too much", ""),
        ("basis", "Counted", "as acid"),
        ("factor", "Factor to what is counted", "1"),
        ("purpose", "Put in as", ""),
        ("scope", "Products", "rinse-off"),
        ("groups", "Counts in the sum of", ""),
        ("condition", "Condition", ""),
        ("cas", "CAS number", ""),
        ("source", "Source", "certificate of the supplier, 3 March 2026"),
        ("standing", "What you read of it", ""),
        ("evidence", "Evidence", ""),
        ("as_of", "Of which day", "2026-11-28"),
    ),
    ALLERGENS: (
        ("name", "INCI name", "Linalool"),
        ("rinse_off_percent", "Named above, rinse-off, %", "0.01"),
        ("leave_on_percent", "Named above, leave-on, %", "0.001"),
        ("list", "List", ""),
        ("kind", "Kind", ""),
        ("status", "What is asked", ""),
        ("note", "Note", ""),
        ("cas", "CAS number", ""),
        ("source", "Source", "certificate of the supplier, 3 March 2026"),
        ("standing", "What you read of it", ""),
        ("evidence", "Evidence", ""),
        ("as_of", "Of which day", "2026-11-28"),
    ),
}
"""By table: column, what it is called, a hint."""

_CHOICES = {
    "legal_max": "limit of law",
    "group_max": "limit of a sum",
    "prohibited": "prohibited",
    "quality": "ask for a certificate",
    "qualitative": "a rule without a number",
    "information": "a survey figure, no limit",
    "opinion_max": "opinion of a committee",
    "drug_range_top": "a drug where a claim is made",
    "current": "the text in force",
    "secondary": "a page about it",
    "predecessor": "an older text",
    "memory": "nothing: from memory",
    "substance": "a substance",
    "natural": "a natural mixture",
    "declare": "to be named",
    "other": "something else than a preservative",
    "preservative": "a preservative",
    "": "whatever for",
}
"""What a choice of the tables is called; others are words already."""

_SHOWN = {
    LIMITS: ("name", "markets", "max_percent", "basis", "source", "as_of"),
    ALLERGENS: ("name", "rinse_off_percent", "leave_on_percent", "status", "source", "as_of"),
}

_INTRO = (
    "Rows of your own stand in place of shipped ones of the same name, purpose and market. They "
    "are kept in {folder}, apart from the program, so that an update leaves them alone. What you "
    "type here is not checked against any law."
)


class _Rows(QTableWidget):
    """The own rows of one table; Enter changes, Delete removes, Insert adds."""

    wanted = Signal(str)

    def keyPressEvent(self, event: QKeyEvent) -> None:  # noqa: N802
        """Add, change or remove."""
        wanted = {
            Qt.Key.Key_Insert: "add",
            Qt.Key.Key_Return: "change",
            Qt.Key.Key_Enter: "change",
            Qt.Key.Key_Delete: "remove",
        }.get(Qt.Key(event.key()))
        if wanted is None:
            super().keyPressEvent(event)
        else:
            self.wanted.emit(wanted)


class OwnTables(QDialog):
    """Edits the own tables.

    Signals
    -------
    changed()
        They were saved otherwise than before.
    """

    changed = Signal()

    def __init__(self, parent: QWidget) -> None:
        super().__init__(parent)
        self.setWindowTitle("Own tables")
        self.setAttribute(Qt.WidgetAttribute.WA_DeleteOnClose)
        self._rows: dict[str, list[dict[str, str]]] = {LIMITS: [], ALLERGENS: []}
        self._broken: set[str] = set()
        self._before: list[tuple[str, list[dict[str, str]]]] = []
        self.problem = Words(fonts.MEDIUM, bold=True)
        self.problem.setAccessibleName("What is wrong")
        intro = Words(token="ink2")
        intro.say(_INTRO.format(folder=own_tables.folder()))
        self.tabs = QTabWidget()
        self.tabs.setAccessibleName("Which table")
        self.views: dict[str, _Rows] = {}
        for table, words in _WORDS.items():
            self.views[table] = self._view(table)
            self.tabs.addTab(self.views[table], words)
        layout = QVBoxLayout(self)
        layout.addWidget(intro)
        layout.addWidget(self.tabs, 1)
        layout.addWidget(self.problem)
        layout.addLayout(self._make_keys())
        self.tabs.currentChanged.connect(lambda _: self._follow())
        self._read()
        self.resize(860, 480)

    @property
    def table(self) -> str:
        """The table that is shown."""
        return tuple(_WORDS)[self.tabs.currentIndex()]

    def _view(self, table: str) -> _Rows:
        view = _Rows(0, len(_SHOWN[table]))
        words = {column: told for column, told, _ in _LINES[table]}
        view.setHorizontalHeaderLabels([f"  {words[one].split(',')[0]}  " for one in _SHOWN[table]])
        view.setAccessibleName(f"Own {_WORDS[table].lower()}")
        view.setEditTriggers(QTableWidget.EditTrigger.NoEditTriggers)
        view.setSelectionBehavior(QAbstractItemView.SelectionBehavior.SelectRows)
        view.setSelectionMode(QAbstractItemView.SelectionMode.SingleSelection)
        view.setTabKeyNavigation(False)
        view.verticalHeader().hide()
        view.verticalHeader().setDefaultSectionSize(theme.ROW)
        head = view.horizontalHeader()
        head.setSectionResizeMode(QHeaderView.ResizeMode.ResizeToContents)
        head.setSectionResizeMode(4, QHeaderView.ResizeMode.Stretch)
        view.wanted.connect(lambda what: self.keys[what].click())
        view.doubleClicked.connect(lambda _: self.keys["change"].click())
        view.itemSelectionChanged.connect(self._follow)
        return view

    def _make_keys(self) -> QHBoxLayout:
        self.keys: dict[str, QPushButton] = {}
        row = QHBoxLayout()
        todo: tuple[tuple[str, str, Callable[[], None]], ...] = (
            ("add", "&Add…", self.add),
            ("change", "C&hange…", self.change),
            ("remove", "&Remove", self.remove),
            ("back", "&Take back", self.take_back),
        )
        for name, words, do in todo:
            key = QPushButton(words)
            key.setAccessibleName(words.replace("&", ""))
            key.setAutoDefault(False)
            key.clicked.connect(lambda _=False, do=do: do())
            self.keys[name] = key
            row.addWidget(key)
        row.addStretch(1)
        close = QDialogButtonBox(QDialogButtonBox.StandardButton.Close)
        close.button(QDialogButtonBox.StandardButton.Close).setIcon(QIcon())
        close.rejected.connect(self.close)
        row.addWidget(close)
        return row

    # --- what is there

    def rows(self, table: str) -> "Sequence[dict[str, str]]":
        """Return the rows of a table as they are saved."""
        return tuple(self._rows[table])

    def _read(self) -> None:
        problems = []
        for table in _WORDS:
            try:
                self._rows[table] = own_tables.rows(table)
            except ReadableError as error:
                self._broken.add(table)
                problems.append(f"{error} It is left as it is.")
            self._fill(table)
        self.problem.say(" ".join(problems))
        self._follow()

    def _fill(self, table: str) -> None:
        view = self.views[table]
        view.setRowCount(len(self._rows[table]))
        for place, row in enumerate(self._rows[table]):
            for number, column in enumerate(_SHOWN[table]):
                view.setItem(place, number, QTableWidgetItem(row[column]))

    def _follow(self) -> None:
        is_there = 0 <= self.views[self.table].currentRow() < len(self._rows[self.table])
        self.keys["add"].setEnabled(self.table not in self._broken)
        self.keys["change"].setEnabled(is_there)
        self.keys["remove"].setEnabled(is_there)
        self.keys["back"].setEnabled(bool(self._before))

    # --- what is done

    def add(self) -> None:
        """Ask for a new row."""
        table = self.table
        self._ask(table, own_tables.new_row(table), len(self._rows[table]), "Add")

    def change(self) -> None:
        """Ask for the row at the cursor."""
        table, place = self.table, self.views[self.table].currentRow()
        self._ask(table, self._rows[table][place], place, "Change")

    def _ask(self, table: str, start: dict[str, str], place: int, words: str) -> None:
        lines = [
            Line(
                column,
                told,
                hint,
                tuple((one, _choice(column, one)) for one in own_tables.choices(table, column)),
            )
            for column, told, hint in _LINES[table]
        ]

        def take(typed: dict[str, str]) -> None:
            rows = self._rows[table]
            try:
                self._save(table, [*rows[:place], start | typed, *rows[place + 1 :]])
            except ReadableError as error:
                raise _in_words(error, table) from None
            self.views[table].selectRow(place)

        told = "Name, source and day are needed: a rule that nobody can look up is none."
        Ask(self, f"{words}: {_WORDS[table].lower()}", told, lines, start, take, words).open()

    def remove(self) -> None:
        """Take out the row at the cursor."""
        table, place = self.table, self.views[self.table].currentRow()
        rows = self._rows[table]
        self._try(table, [*rows[:place], *rows[place + 1 :]])

    def take_back(self) -> None:
        """Put back what was there before the last change."""
        if self._before:
            table, rows = self._before[-1]
            if self._try(table, rows):
                del self._before[-2:]
                self._follow()

    def _try(self, table: str, rows: list[dict[str, str]]) -> bool:
        try:
            self._save(table, rows)
        except ReadableError as error:
            self.problem.say(str(error))
            return False
        return True

    def _save(self, table: str, rows: list[dict[str, str]]) -> None:
        own_tables.save_rows(table, rows)
        self._before.append((table, self._rows[table]))
        self._rows[table] = own_tables.rows(table)
        self.problem.say("")
        self._fill(table)
        self._follow()
        self.changed.emit()


def _choice(column: str, one: str) -> str:
    """Return what a choice is called."""
    return "from memory" if (column, one) == ("evidence", "memory") else _CHOICES.get(one, one)


def _in_words(error: ReadableError, table: str) -> ReadableError:
    """Return an error that names the line to mend as the form does."""
    for column, told, _ in _LINES[table]:
        if f'column "{column}"' in error.title:
            return ReadableError(told.split(",")[0], error.problem, error.advice)
    return error
