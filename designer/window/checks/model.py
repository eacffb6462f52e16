"""The checks as the rows of a table, with heads between them."""

from typing import Any

from PySide6.QtCore import QAbstractTableModel, QModelIndex, QPersistentModelIndex, Qt

from designer.wording.check_groups import COLUMNS, CheckRow

__all__ = ["Arranged", "CheckModel", "Place"]

Place = QModelIndex | QPersistentModelIndex

Arranged = tuple[tuple[str, tuple[CheckRow, ...]], ...]

_NOWHERE = QModelIndex()


class CheckModel(QAbstractTableModel):
    """Heads and checks; a head is no place for the cursor."""

    def __init__(self) -> None:
        super().__init__()
        self._lines: list[CheckRow | tuple[str, int]] = []

    def show_rows(self, arranged: Arranged) -> None:
        """Show rows under their heads."""
        self.beginResetModel()
        self._lines = []
        for head, rows in arranged:
            self._lines.append((head, len(rows)))
            self._lines.extend(rows)
        self.endResetModel()

    def check(self, row: int) -> CheckRow | None:
        """Return the check of a line, None for a head."""
        if not 0 <= row < len(self._lines):
            return None
        line = self._lines[row]
        return line if isinstance(line, CheckRow) else None

    def head(self, row: int) -> tuple[str, int] | None:
        """Return the words of a head and how many checks stand below it, None for a check."""
        line = self._lines[row]
        return None if isinstance(line, CheckRow) else line

    def rowCount(self, parent: Place = _NOWHERE) -> int:  # noqa: N802
        """Return the number of lines."""
        return 0 if parent.isValid() else len(self._lines)

    def columnCount(self, parent: Place = _NOWHERE) -> int:  # noqa: N802
        """Return the number of columns."""
        return 0 if parent.isValid() else len(COLUMNS)

    def headerData(  # noqa: N802
        self, section: int, orientation: Qt.Orientation, role: int = Qt.ItemDataRole.DisplayRole
    ) -> Any:
        """Return the words above a column."""
        if orientation == Qt.Orientation.Horizontal and role == Qt.ItemDataRole.DisplayRole:
            return COLUMNS[section]
        return None

    def flags(self, index: Place) -> Qt.ItemFlag:
        """Let the cursor stand on checks alone."""
        if self.check(index.row()) is None:
            return Qt.ItemFlag.NoItemFlags
        return Qt.ItemFlag.ItemIsEnabled | Qt.ItemFlag.ItemIsSelectable

    def data(self, index: Place, role: int = Qt.ItemDataRole.DisplayRole) -> Any:
        """Return what stands in a cell, and what is said of its row."""
        line = self._lines[index.row()]
        if not isinstance(line, CheckRow):
            return line[0] if role == Qt.ItemDataRole.DisplayRole and not index.column() else None
        if role == Qt.ItemDataRole.DisplayRole:
            return line.cells[index.column()]
        if role == Qt.ItemDataRole.AccessibleTextRole:
            return line.spoken if not index.column() else line.cells[index.column()]
        if role == Qt.ItemDataRole.ToolTipRole:
            return line.cells[index.column()] or None
        return None
