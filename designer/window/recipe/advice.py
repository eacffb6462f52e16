"""What stands below the readings: the fixes where they are needed, else why a reading is so, or
why variants differ.
"""

from PySide6.QtCore import QSize, Qt, Signal
from PySide6.QtGui import QResizeEvent
from PySide6.QtWidgets import QSizePolicy, QWidget

from designer.document import Document
from designer.window import fonts
from designer.window.actions import actions
from designer.window.key import Key
from designer.window.recipe.differences import DifferencesView
from designer.window.recipe.fixes import FixesView
from designer.window.recipe.why import Why

__all__ = ["Advice"]

_GAP = 8


class Advice(QWidget):
    """One of several views at a time; keys in its head show the others.

    The fixes come by themselves when the dough misses what is wished, and go when it does not;
    a view that the maker asked for stays until then. Differences stay until another is asked for:
    who compares goes from one variant to the next.

    Signals
    -------
    asked()
        The maker wants to see one of the views.
    """

    asked = Signal()

    def __init__(self, document: Document) -> None:
        super().__init__()
        self.setAccessibleName("Fixes, causes and differences")
        self.setSizePolicy(QSizePolicy.Policy.Preferred, QSizePolicy.Policy.Expanding)
        self.fixes, self.why = FixesView(document), Why(document)
        self.differences = DifferencesView(document)
        self._views: dict[str, FixesView | Why | DifferencesView] = {
            "fixes": self.fixes,
            "why": self.why,
            "differences": self.differences,
        }
        self._keys: dict[str, Key] = {}
        for name, words in (("fixes", "Fixes"), ("why", "Why"), ("differences", "Differs")):
            self._views[name].setParent(self)
            self._views[name].hide()  # it is shown below, where it is the one
            key = Key(words, self, f"Show: {words}", plain=True, size=fonts.SMALL)
            key.setFocusPolicy(Qt.FocusPolicy.NoFocus)
            key.clicked.connect(lambda _=False, name=name: self.ask_for(name))
            self._keys[name] = key
        self._shown = "why"
        self._is_asked = False
        self.fixes.needed_changed.connect(self._follow)
        self.actions_ = actions(
            self,
            {
                "show_fixes": lambda: self.go_to("fixes"),
                "show_why": lambda: self.go_to("why"),
                "show_differences": lambda: self.go_to("differences"),
            },
        )
        self._show(self._shown)

    @property
    def shown(self) -> str:
        """The name of the view that is shown."""
        return self._shown

    def show_reading(self, name: str) -> None:
        """Show why a reading is so."""
        self.why.show_reading(name)
        self.ask_for("why")

    def ask_for(self, name: str) -> None:
        """Show a view because the maker wants it."""
        self.asked.emit()
        self._is_asked = True
        self._show(name)

    def go_to(self, name: str) -> None:
        """Show a view and give it the focus."""
        self.ask_for(name)
        self._views[name].setFocus(Qt.FocusReason.ShortcutFocusReason)

    def _follow(self, needed: bool) -> None:
        """Show the fixes when they become needed; a list that is being walked stays."""
        if self._shown == "differences":
            return
        if needed or not self.fixes.hasFocus():
            self._is_asked = False
        if not self._is_asked:
            self._show("fixes" if needed else "why")

    def _show(self, name: str) -> None:
        had_focus = self._views[self._shown].hasFocus()
        self._shown = name
        for one, view in self._views.items():
            view.setVisible(one == name)
        if had_focus:
            self._views[name].setFocus(Qt.FocusReason.OtherFocusReason)
        self._place()

    def _place(self) -> None:
        """Put the view where it stands, and the keys of the others at the right of its head."""
        right = self.width()
        for name, key in reversed(self._keys.items()):
            key.setVisible(name != self._shown)
            if name != self._shown:
                size = key.sizeHint()
                key.setGeometry(right - size.width() + 4, 0, size.width(), size.height())
                key.raise_()
                right -= size.width() + _GAP
        view = self._views[self._shown]
        view.setGeometry(self.rect())
        view.leave_in_head(self.width() - right)

    def resizeEvent(self, event: QResizeEvent) -> None:  # noqa: N802
        """Give the view the size there is."""
        super().resizeEvent(event)
        self._place()

    def sizeHint(self) -> QSize:  # noqa: N802
        """Return room for three fixes, whether they are shown or not: nothing moves for them."""
        return self.fixes.sizeHint()
