"""Water activity, pH of the slurry, and the acid that brings it to a target."""

from dataclasses import replace
from functools import partial
from typing import TYPE_CHECKING

from PySide6.QtCore import Signal
from PySide6.QtGui import QPainter, QPaintEvent
from PySide6.QtWidgets import QHBoxLayout, QSizePolicy, QVBoxLayout, QWidget

from designer.document import Document
from designer.errors import ReadableError
from designer.evaluation.assessed import formula_of
from designer.recipe import Part
from designer.window import fonts
from designer.window.checks.typed import Field, read_declared, read_ph, written_declared
from designer.window.checks.words import Figures, Words
from designer.window.recipe import drawing
from designer.wording.checks_asked import DOSE_CAUTION, Asked

if TYPE_CHECKING:
    from designer.wording.keeping_lines import KeepingWords

__all__ = ["Head", "KeepingView", "row"]


class Head(QWidget):
    """A head of a part with its rule."""

    def __init__(self, title: str, note: str = "") -> None:
        super().__init__()
        self._title, self._note = title, note
        self.setFixedHeight(drawing.HEAD)

    def paintEvent(self, _event: QPaintEvent) -> None:  # noqa: N802
        """Draw it."""
        drawing.head(QPainter(self), self.width(), self._title, self._note)


class KeepingView(QWidget):
    """The readings, what the maker states, and the acid.

    Signals
    -------
    asked(Asked)
        The maker states something else.
    """

    asked = Signal(object)

    def __init__(self, document: Document) -> None:
        super().__init__()
        self.setAccessibleName("pH and water activity")
        self._document, self._asked = document, Asked()
        self._measured_of: tuple[Part, ...] = ()
        self.readings = Figures("Estimates", ("", "fresh dough", "cured bar"), (124, 124))
        self.doses = Figures("Acid to the target", (), (138, 48, 120))
        self.why_not = Words()
        self.caution = Words(fonts.SMALL, token="ink2")
        self.caution.say(DOSE_CAUTION)
        field = partial(Field, document)
        self.target = field(
            "Target pH of the slurry", self._shown_target, self._take_target, "5", 56
        )
        self.measured = field(
            "pH you measured of the slurry", self._shown_measured, self._take_measured, "5.3", 76
        )
        self.declared = field(
            "pH of materials, 10 % in water",
            lambda: written_declared(dict(self._asked.declared)),
            self._take_declared,
            "CAPB 30 % 5.0; oat flour 6.2",
            100,
        )
        self.declared.setSizePolicy(QSizePolicy.Policy.Expanding, QSizePolicy.Policy.Fixed)
        layout = QVBoxLayout(self)
        layout.setContentsMargins(0, 0, 0, 0)
        layout.setSpacing(6)
        layout.addWidget(Head("pH and water", "estimates from the recipe alone"))
        layout.addWidget(self.readings)
        layout.addLayout(row("target pH", self.target, "measured pH", self.measured))
        layout.addLayout(row("pH of materials", self.declared, stretch=False))
        layout.addWidget(self.doses)
        layout.addWidget(self.why_not)
        layout.addWidget(self.caution)

    @property
    def said(self) -> Asked:
        """What the maker states of the dough as it is now; the market is not of this part."""
        return self._asked if self._is_measured_now() else replace(self._asked, measured=None)

    def follow(self) -> None:
        """Show what still holds of the recipe as it is now."""
        self.measured.show_value()
        self.declared.show_value()

    def _is_measured_now(self) -> bool:
        """Whether the pH was measured of the very formula that is shown."""
        return self._asked.measured is not None and self._formula() == self._measured_of

    def _formula(self) -> tuple[Part, ...]:
        recipe = self._document.recipe
        try:
            return formula_of(recipe, recipe.active.number)
        except ReadableError:
            return ()

    def keys(self) -> list[tuple[str, str]]:
        """Return the keys that work here."""
        return [("Enter", "take it over"), ("Esc", "as it was")]

    def take_typed(self) -> bool:
        """Take over what is being typed; return whether nothing was refused."""
        taken = [one.take() for one in (self.target, self.measured, self.declared)]
        return all(taken)

    def show_words(self, told: "KeepingWords") -> None:
        """Show what is told."""
        self.readings.show_rows(told.readings)
        missing = [*told.missing, *([told.why_no_dose] if not told.doses else [])]
        if self._asked.measured is not None and not self._is_measured_now():
            missing.append(
                f"pH {self._asked.measured:g} was measured of another formula: measure this one."
            )
        self.why_not.say(" ".join(dict.fromkeys(filter(None, missing))))
        head = (f"acid to pH {told.target:g}", "of the fresh dough", "batch", "pH at 80/100/120 %")
        self.doses.show_rows(told.doses, head)
        self.caution.setVisible(bool(told.doses))

    def _say(self, changed: Asked) -> None:
        before, self._asked = self._asked, changed
        if changed != before or changed.measured is not None:  # of another formula now
            self.asked.emit(self.said)

    def _take_target(self, text: str) -> None:
        target = read_ph(text) if text.strip() else Asked().target
        self._say(replace(self._asked, target=target))

    def _shown_target(self) -> str:
        return f"{self._asked.target:g}"

    def _take_measured(self, text: str) -> None:
        measured = read_ph(text) if text.strip() else None
        self._measured_of = self._formula()
        self._say(replace(self._asked, measured=measured))

    def _shown_measured(self) -> str:
        return f"{self._asked.measured:g}" if self._is_measured_now() else ""

    def _take_declared(self, text: str) -> None:
        self._say(replace(self._asked, declared=read_declared(text, self._document.recipe)))


def row(*parts: str | QWidget, stretch: bool = True) -> QHBoxLayout:
    """Return captions and fields side by side."""
    made = QHBoxLayout()
    made.setSpacing(8)
    for one in parts:
        if isinstance(one, str):
            caption = Words(token="ink2")
            caption.setSizePolicy(QSizePolicy.Policy.Fixed, QSizePolicy.Policy.Preferred)
            caption.setWordWrap(False)
            caption.say(one)
            made.addWidget(caption)
        else:
            made.addWidget(one)
    if stretch:
        made.addStretch(1)
    return made
