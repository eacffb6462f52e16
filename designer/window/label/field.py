"""A field of the label: what is typed goes into the recipe, as one undo step."""

from collections.abc import Callable

from PySide6.QtCore import QSize
from PySide6.QtGui import QFocusEvent
from PySide6.QtWidgets import QSizePolicy, QWidget

from designer.document import Document
from designer.window import fonts
from designer.window.bench.typed import Typed

__all__ = ["Field"]

_HEIGHT = 24


class Field(Typed):
    """A line that can be typed, as wide as there is room.

    Parameters
    ----------
    at_rest : what an empty field says while it has not the focus; with it, it shows the hint
    """

    def __init__(
        self,
        document: Document,
        name: str,
        shown: Callable[[], str],
        taken: Callable[[str], object],
        hint: str,
        at_rest: str = "",
        parent: QWidget | None = None,
    ) -> None:
        super().__init__(document, name, shown, taken, hint, 120, parent)
        self._hint, self._at_rest = hint, at_rest
        self.setPlaceholderText(at_rest)
        self.setFont(fonts.font())
        self.setTextMargins(4, 0, 4, 0)
        self.setSizePolicy(QSizePolicy.Policy.Expanding, QSizePolicy.Policy.Fixed)

    def show_value(self) -> None:
        """Show the value from its beginning."""
        super().show_value()
        if not self.hasFocus():
            self.setCursorPosition(0)

    def focusInEvent(self, event: QFocusEvent) -> None:  # noqa: N802
        """Tell what may be typed."""
        self.setPlaceholderText(f"e.g. {self._hint}")
        super().focusInEvent(event)

    def focusOutEvent(self, event: QFocusEvent) -> None:  # noqa: N802
        """Take over what was typed, and show its beginning."""
        super().focusOutEvent(event)
        self.setPlaceholderText(self._at_rest)
        if not self.is_refused:
            self.setCursorPosition(0)

    def sizeHint(self) -> QSize:  # noqa: N802
        """Return the height of a row."""
        return QSize(120, _HEIGHT)

    def minimumSizeHint(self) -> QSize:  # noqa: N802
        """Return the least width."""
        return QSize(60, _HEIGHT)
