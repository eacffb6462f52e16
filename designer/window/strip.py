"""Messages below the menus: what happened to files, and what can be done about it."""

from collections.abc import Callable, Sequence

from PySide6.QtCore import QRectF, Qt, Signal
from PySide6.QtGui import QAccessible, QAccessibleEvent, QColor, QPainter, QPaintEvent
from PySide6.QtWidgets import QHBoxLayout, QLabel, QPushButton, QSizePolicy, QVBoxLayout, QWidget

from designer.window import theme

__all__ = ["Choice", "Message", "Strip"]

Choice = tuple[str, Callable[[], object]]
"""What a key says, and what it does."""


class Message(QWidget):
    """One message and its keys; any key closes it."""

    def __init__(self, text: str, choices: Sequence[Choice], close: Callable[[], None]) -> None:
        super().__init__()
        self.setAccessibleName(text)
        self.label = QLabel(text)
        self.label.setTextFormat(Qt.TextFormat.PlainText)
        self.label.setTextInteractionFlags(Qt.TextInteractionFlag.TextSelectableByMouse)
        self.label.setSizePolicy(QSizePolicy.Policy.Expanding, QSizePolicy.Policy.Preferred)
        self.label.setWordWrap(True)
        layout = QHBoxLayout(self)
        layout.setContentsMargins(theme.MARGIN + 8, 4, theme.MARGIN, 4)
        layout.setSpacing(8)
        layout.addWidget(self.label, 1)
        self.keys: list[QPushButton] = []
        for words, act in choices:
            self._add_key(layout, words, act, close)

    def _add_key(
        self, layout: QHBoxLayout, words: str, act: Callable[[], object], close: Callable[[], None]
    ) -> None:
        key = QPushButton(words)
        key.setAccessibleName(words)
        key.setAutoDefault(True)

        def pressed() -> None:
            close()  # first, for what the key does may put a new message here
            act()

        key.clicked.connect(pressed)
        self.keys.append(key)
        layout.addWidget(key)

    def paintEvent(self, _event: QPaintEvent) -> None:  # noqa: N802
        """Draw the ground, the bar that says "read me", and the rule below."""
        painter, colours = QPainter(self), theme.now()
        painter.fillRect(self.rect(), QColor(colours.paper))
        painter.fillRect(QRectF(theme.MARGIN, 4, 3, self.height() - 9), QColor(colours.ink))
        painter.fillRect(QRectF(0, self.height() - 1, self.width(), 1), QColor(colours.line))


class Strip(QWidget):
    """The messages of a window, the newest below; it takes no room without one.

    Signals
    -------
    left()
        A message that had the focus is gone.
    """

    left = Signal()

    def __init__(self) -> None:
        super().__init__()
        self.messages: dict[str, Message] = {}
        layout = QVBoxLayout(self)
        layout.setContentsMargins(0, 0, 0, 0)
        layout.setSpacing(0)
        self.hide()

    def keys(self) -> list[tuple[str, str]]:
        """Return the keys that work here."""
        return [
            ("Enter", "press"),
            ("← →", "the other keys"),
            ("Esc", "table"),
            ("F6", "next part"),
        ]

    @property
    def has_focus(self) -> bool:
        """Whether one of its keys has the focus."""
        return self.isAncestorOf(self.window().focusWidget())

    def take_focus(self) -> bool:
        """Give the first key of the newest message the focus; return whether there is one."""
        for message in reversed(self.messages.values()):
            message.keys[0].setFocus(Qt.FocusReason.ShortcutFocusReason)
            return True
        return False

    def show_message(self, name: str, text: str, choices: Sequence[Choice] = ()) -> None:
        """Show a message; one of the same name is replaced. It can always be put away."""
        self.drop(name)
        given = [*choices] or [("Close", lambda: None)]
        message = Message(text, given, lambda: self.drop(name))
        self.messages[name] = message
        layout = self.layout()
        assert layout is not None
        layout.addWidget(message)
        self.show()
        QAccessible.updateAccessibility(QAccessibleEvent(message, QAccessible.Event.Alert))

    def drop(self, name: str) -> None:
        """Take a message away, if it is there."""
        message = self.messages.pop(name, None)
        if message is None:
            return
        if (window := self.window()) is not None and message.isAncestorOf(window.focusWidget()):
            self.left.emit()
        message.hide()
        message.deleteLater()
        self.setVisible(bool(self.messages))
