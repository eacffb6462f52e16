"""A page that scrolls where it must, and whose parts take the focus in the order of work."""

import itertools
from collections.abc import Iterator

from PySide6.QtCore import Qt
from PySide6.QtWidgets import QFrame, QScrollArea, QWidget

__all__ = ["PartsPage"]


class PartsPage(QScrollArea):
    """A page; `home` is the part that Esc leads to."""

    home = ""

    def __init__(self) -> None:
        super().__init__()
        self.setFrameShape(QFrame.Shape.NoFrame)
        self.setFocusPolicy(Qt.FocusPolicy.NoFocus)

    def parts(self) -> dict[str, QWidget]:
        """Return the parts that take the focus, in the order of work."""
        raise NotImplementedError

    def take_typed(self) -> bool:
        """Take over what is being typed in any part; return whether nothing was refused."""
        return True

    def part_in_focus(self) -> str:
        """Return the name of the part that has the focus, or ""."""
        focused = self.window().focusWidget()
        for name, part in self.parts().items():
            if focused is not None and (part is focused or part.isAncestorOf(focused)):
                return name
        return ""

    def go_to(self, name: str) -> bool:
        """Give a part the focus; return whether it took it."""
        part = self.parts()[name]
        for widget in _stops(part):
            if widget.isVisibleTo(self) and widget.isEnabled():
                widget.setFocus(Qt.FocusReason.ShortcutFocusReason)
                self.ensureWidgetVisible(part)
                return True
        return False

    def go_home(self) -> None:
        """Give the focus to the part that Esc leads to."""
        self.go_to(self.home)

    def order_tabs(self) -> None:
        """Let Tab walk through the parts in the order of work."""
        stops = [widget for part in self.parts().values() for widget in _stops(part)]
        for first, second in itertools.pairwise(stops):
            QWidget.setTabOrder(first, second)


def _stops(part: QWidget) -> Iterator[QWidget]:
    """Return the widgets of a part at which Tab stops, in order."""
    for widget in (part, *part.findChildren(QWidget)):
        proxied = widget.focusProxy() is not None
        if widget.focusPolicy() & Qt.FocusPolicy.TabFocus and not proxied:
            yield widget
