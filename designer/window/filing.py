"""Opening, saving and closing, as the window asks for them."""

from collections.abc import Callable
from datetime import datetime
from pathlib import Path
from typing import TYPE_CHECKING

from PySide6.QtWidgets import QFileDialog, QMessageBox

from designer.document import Document
from designer.document.disk import DiskChange, Kind
from designer.document.recovery import Copy
from designer.errors import ReadableError
from designer.window.strip import Strip

if TYPE_CHECKING:
    from designer.window.main_window import MainWindow

__all__ = ["Filing"]

_FILTERS = ("Recipes (*.toml)", "All files (*)")


class Filing:
    """What a window does with the file of its recipe; nothing of it blocks."""

    def __init__(self, document: Document, window: "MainWindow", strip: Strip) -> None:
        self._document, self._window, self._strip = document, window, strip
        self._may_close = self._closes_when_saved = False
        self._box: QMessageBox | None = None
        self.closed = False
        self.offered: list[Copy] = []
        """Recovery copies that the maker has not answered."""
        document.saved.connect(self._saved)
        document.save_failed.connect(self._not_saved)
        document.disk_changed.connect(self._tell_disk)
        document.recovery_failed.connect(
            lambda error: strip.show_message("recovery", f"{error.problem} {error.advice}")
        )

    # --- opening

    def ask_open(self) -> None:
        """Ask for a recipe file, and open it."""
        dialog = QFileDialog(self._window, "Open a recipe", str(self._folder()))
        dialog.setNameFilters(_FILTERS)
        dialog.setFileMode(QFileDialog.FileMode.ExistingFile)
        dialog.fileSelected.connect(lambda name: self._window.open_wanted.emit(Path(name)))
        _shown(dialog)

    def open_recent(self, path: Path) -> None:
        """Open a recent file, or say that it is gone."""
        if path.exists():
            self._window.open_wanted.emit(path)
            return
        self._window.settings.forget_recent(path)
        self._strip.show_message(
            "missing", f"{path.name} is not in {path.parent} any more. It is listed no longer."
        )

    def tell(self, error: ReadableError) -> None:
        """Say what went wrong with a file."""
        self._strip.show_message("error", str(error))

    def offer(self, copy: Copy) -> None:
        """Offer what a program that was killed left behind."""
        self.offered.append(copy)
        when = copy.when.astimezone()
        today = when.date() == datetime.now().astimezone().date()
        told = f"{when:%H:%M}" if today else f"{when.day} {when:%B %H:%M}"
        name = copy.name or (copy.original.name if copy.original else "A new recipe")
        later = " Its file was saved after that." if copy.original_is_newer else ""
        self._strip.show_message(
            f"copy {copy.file.name}",
            f"{name} has changes from {told} that were not saved.{later}",
            [
                ("Open them", lambda: self._answer(copy, self._window.recover_wanted.emit)),
                ("Discard", lambda: self._answer(copy, Copy.discard)),
                ("Later", lambda: self._answer(copy, _nothing)),
            ],
        )

    def _answer(self, copy: Copy, act: Callable[[Copy], object]) -> None:
        self.offered.remove(copy)
        act(copy)

    # --- saving

    def save(self) -> None:
        """Save the recipe to its file, with what is being typed; ask for one if it has none."""
        self._window.pages.take_typed()
        if not self._document.save():
            self.ask_save_as()

    def ask_save_as(self) -> None:
        """Ask for a file, and save the recipe to it."""
        self._window.pages.take_typed()
        dialog = QFileDialog(self._window, "Save the recipe", str(self._proposed()))
        dialog.setNameFilters(_FILTERS)
        dialog.setAcceptMode(QFileDialog.AcceptMode.AcceptSave)
        dialog.setFileMode(QFileDialog.FileMode.AnyFile)
        dialog.setDefaultSuffix("toml")
        dialog.fileSelected.connect(lambda name: self._document.save_as(Path(name)))
        dialog.rejected.connect(self._stay)
        _shown(dialog)

    def _saved(self, path: Path) -> None:
        for name in ("save", "disk"):
            self._strip.drop(name)
        self._window.settings.add_recent(path)
        self._window.settings.last = path
        if self._closes_when_saved and not self._document.is_saving:
            # Else it goes to a second file, and whether that worked must be told here.
            # What was refused was told of; all else is in the file.
            self._may_close = self._document.is_saved
            self._window.close()

    def _not_saved(self, error: ReadableError) -> None:
        self._stay()
        self._strip.show_message(
            "save", f"Not saved. {error}", [("Save as…", self.ask_save_as), ("Close", _nothing)]
        )

    def _stay(self) -> None:
        """Keep the window open after all, if it was to close."""
        if self._closes_when_saved:
            self._closes_when_saved = False
            self._window.stayed.emit(self._window)

    def _folder(self) -> Path:
        """Return the folder that a file dialog starts in."""
        recent = [path.parent for path in self._window.settings.recent]
        known = [self._document.path.parent] if self._document.path else []
        return next((place for place in [*known, *recent] if place.is_dir()), Path.home())

    def _proposed(self) -> Path:
        """Return a name for a recipe without a file, made of its own."""
        if self._document.path is not None:
            return self._document.path
        letters = (c if c.isalnum() else "_" for c in self._document.recipe.name.lower())
        name = "_".join(part for part in "".join(letters).split("_") if part)[:60]
        return self._folder() / f"{name or 'recipe'}.toml"

    def proposed_beside(self, what: str, suffix: str) -> Path:
        """Return a name for a file that goes with the recipe, beside its own."""
        own = self._proposed()
        return own.with_name(f"{own.stem}_{what}.{suffix}")

    # --- the disk

    def look_at_disk(self) -> None:
        """Say so when the file changed on the disk meanwhile."""
        if not self.closed:
            self._document.check_disk()

    def _tell_disk(self, change: DiskChange) -> None:
        self._stay()
        if change.kind is Kind.BACK:
            self._strip.drop("disk")
        elif change.kind is Kind.GONE:
            self._strip.show_message(
                "disk",
                f"{change.path.name} is not in {change.path.parent} any more. "
                "Saving writes it anew.",
                [("Save", self.save), ("Close", _nothing)],
            )
        else:
            self._offer_theirs(change)

    def _offer_theirs(self, change: DiskChange) -> None:
        self._strip.show_message(
            "disk",
            f"Another program changed {change.path.name} on the disk. "
            "Saving writes nothing until you choose.",
            [
                ("Open theirs beside", lambda: self._open_theirs(change)),
                ("Take theirs", lambda: self._try(change.take_theirs)),
                ("Keep mine", change.keep_mine),
            ],
        )

    def _open_theirs(self, change: DiskChange) -> None:
        self._offer_theirs(change)  # which of the two goes on is not chosen yet
        self._try(lambda: self._window.copy_wanted.emit(change.theirs()))

    def _try(self, act: Callable[[], object]) -> None:
        try:
            act()
        except ReadableError as error:
            self.tell(error)

    # --- closing

    def may_close(self) -> bool:
        """Return whether the window may go; if not, the maker is being asked."""
        if self._may_close:
            return True
        taken = self._window.pages.take_typed()
        if self._document.is_saving or self._box is not None:
            # Also where nothing would be lost: a save under another name may fail.
            self._closes_when_saved = self._document.is_saving
            return False
        if taken and self._document.is_saved:
            return True
        box = self._box = QMessageBox(self._window)
        box.setObjectName("unsaved")
        box.setIcon(QMessageBox.Icon.NoIcon)
        name = self._document.path.name if self._document.path else self._document.recipe.name
        box.setWindowTitle("Changes that are not saved")
        box.setText(f"Save the changes to {name or 'this recipe'} before closing?")
        if not taken:
            box.setInformativeText("A text in a dashed frame was not taken, and would be lost.")
        buttons = QMessageBox.ButtonRole
        save = box.addButton("&Save", buttons.AcceptRole)
        discard = box.addButton("&Discard", buttons.DestructiveRole)
        keep = box.addButton("&Keep open", buttons.RejectRole)
        box.setDefaultButton(save)
        box.setEscapeButton(keep)

        def answered() -> None:
            self._box = None
            box.deleteLater()
            if box.clickedButton() is save:
                self._closes_when_saved = True
                self.save()
            elif box.clickedButton() is discard:
                self.discard()
            else:
                self._closes_when_saved = False
                self._window.stayed.emit(self._window)

        box.finished.connect(answered)
        box.open()
        return False

    def discard(self) -> None:
        """Close the window without a question."""
        self._may_close = True
        self._window.close()

    def end(self) -> None:
        """Let the document go; its window is closing."""
        self.closed = True
        for speaker in (self._document, self._document.undo_stack):
            speaker.blockSignals(True)  # nobody is left to hear them
        self._document.close()


def _shown(dialog: QFileDialog) -> None:
    """Show a dialog that is thrown away after its use."""
    dialog.finished.connect(dialog.deleteLater)
    dialog.open()


def _nothing(*_: object) -> None:
    """Do nothing: the key closes its message, and that is all."""
