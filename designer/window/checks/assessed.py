"""The assessed formula: freeze a variant, see what differs from it, release it by name."""

from datetime import date

from PySide6.QtGui import QResizeEvent
from PySide6.QtWidgets import QHBoxLayout, QVBoxLayout, QWidget

from designer.document import Document
from designer.evaluation.assessed import AssessedDifference, assessed_difference, frozen, release
from designer.recipe import Recipe
from designer.window.checks.ask import Ask, Line
from designer.window.checks.keeping import Head
from designer.window.checks.words import Figures, Words
from designer.window.key import Key
from designer.wording.assessed import HOLD, difference_lines, standing_words

__all__ = ["AssessedView"]

_FREEZE = (
    "Notes the percentages of this variant as those that a qualified person assessed. This program "
    "assesses nothing."
)
_RELEASE = (
    "Whoever releases it answers for it: assessor, product file, notification and label come "
    "first. It holds for these very figures alone."
)


class AssessedView(QWidget):
    """How the active variant stands to what was assessed."""

    def __init__(self, document: Document) -> None:
        super().__init__()
        self.setAccessibleName("Assessed formula")
        self._document = document
        self._recipe: Recipe | None = None
        self.found: AssessedDifference | None = None
        self.standing = Words()
        self.differences = Figures("Differences", (), (220,))
        self.freeze_key = Key("Freeze as assessed…")
        self.release_key = Key("Release…")
        self.forget_key = Key("Take the last one out")
        self.freeze_key.clicked.connect(lambda _=False: self.ask_freeze())
        self.release_key.clicked.connect(lambda _=False: self.ask_release())
        self.forget_key.clicked.connect(lambda _=False: self.forget_last())
        keys = QHBoxLayout()
        keys.setSpacing(8)
        for key in (self.freeze_key, self.release_key, self.forget_key):
            keys.addWidget(key)
        keys.addStretch(1)
        layout = QVBoxLayout(self)
        layout.setContentsMargins(0, 0, 0, 0)
        layout.setSpacing(6)
        layout.addWidget(Head("Assessed formula"))
        layout.addWidget(self.standing)
        layout.addWidget(self.differences)
        layout.addLayout(keys)
        document.changed.connect(lambda _: self.follow())
        self.follow()

    def keys(self) -> list[tuple[str, str]]:
        """Return the keys that work here."""
        return [("F", "freeze as assessed"), ("R", "release"), ("Tab", "next")]

    @property
    def is_held(self) -> bool:
        """Whether the active variant is to be held."""
        return self.found is not None and self.found.is_held

    def follow(self) -> None:
        """Show how the recipe as it is now stands to what was assessed."""
        recipe = self._document.recipe
        if recipe is self._recipe:
            return
        self._recipe = recipe
        self.found = assessed_difference(recipe, recipe.active.number)
        self.standing.say(standing_words(self.found))
        self.differences.show_rows(difference_lines(self.found))
        is_empty = recipe.active.number in recipe.empty
        self.freeze_key.setEnabled(not is_empty)
        self.release_key.setVisible(self.is_held)
        self.forget_key.setVisible(bool(recipe.assessed))
        self.setAccessibleDescription(self.standing.text())

    # --- what is done

    def ask_freeze(self) -> None:
        """Ask by which report the active variant was assessed."""
        if not self.freeze_key.isEnabled():
            return
        lines = (
            Line("report", "Number of the report", "SA-2026-014"),
            Line("name", "Assessed by"),
            Line("date", "Day", "2026-11-28"),
        )
        start = {"date": date.today().isoformat()}
        Ask(self, "Freeze as assessed", _FREEZE, lines, start, self._freeze, "Freeze").open()

    def _freeze(self, typed: dict[str, str]) -> None:
        recipe = self._document.recipe
        number = recipe.active.number
        changed = frozen(recipe, number, typed["report"], typed["name"], typed["date"])
        self._document.edit(f"Variant {number} as assessed, {typed['report'].strip()}", changed)

    def ask_release(self) -> None:
        """Ask who releases the active variant although it differs."""
        if not self.is_held:
            return
        lines = (Line("name", "Released by"), Line("date", "Day", "2026-11-28"))
        start = {"date": date.today().isoformat()}
        words = f"{HOLD}. {_RELEASE}"
        Ask(self, "Release", words, lines, start, self._release, "Release").open()

    def _release(self, typed: dict[str, str]) -> None:
        recipe = self._document.recipe
        number = recipe.active.number
        changed = release(recipe, number, typed["name"], typed["date"])
        self._document.edit(f"Variant {number} released by {typed['name'].strip()}", changed)

    def forget_last(self) -> None:
        """Take out the formula frozen last; undo brings it back."""
        recipe = self._document.recipe
        if recipe.assessed:
            report = recipe.assessed[-1].report
            changed = recipe.with_assessed(*recipe.assessed[:-1])
            self._document.edit(f"Assessed formula {report} taken out", changed)

    def resizeEvent(self, event: QResizeEvent) -> None:  # noqa: N802
        """Give words the height that they need at this width."""
        super().resizeEvent(event)
        self.updateGeometry()
