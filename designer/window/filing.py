"""Opening, saving and closing, as the window asks for them."""

from collections.abc import Callable
from pathlib import Path
from typing import TYPE_CHECKING

from PySide6.QtWidgets import QFileDialog, QMessageBox

from designer.document import Document
from designer.errors import ReadableError
from designer.recipe import file
from designer.window.strip import Strip

if TYPE_CHECKING:
    from designer.window.main_window import MainWindow

__all__ = ["Filing"]

_FILTERS = ("Recipes (*.toml)", "All files (*)")


class Filing:
    """What a window does with the file of its recipe; nothing of it blocks."""

    def __init__(self, document: Document, window: "MainWindow", strip: Strip) -> None:
        self._document, self._window, self._strip = document, window, strip
        self._may_close = False
        self.closed = False

    @property
    def modified(self) -> bool:
        """Whether the recipe says what no file says."""
        return not self._document.undo_stack.isClean()

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

    # --- saving

    def save(self) -> None:
        """Save the recipe to its file; ask for one where there is none."""
        self._save(lambda: None)

    def ask_save_as(self, then: Callable[[], None] = lambda: None) -> None:
        """Ask for a file, save the recipe to it, and go on with `then` if that went well."""
        dialog = QFileDialog(self._window, "Save the recipe", str(self._proposed()))
        dialog.setNameFilters(_FILTERS)
        dialog.setAcceptMode(QFileDialog.AcceptMode.AcceptSave)
        dialog.setFileMode(QFileDialog.FileMode.AnyFile)
        dialog.setDefaultSuffix("toml")
        dialog.fileSelected.connect(lambda name: self._save_to(Path(name), then))
        _shown(dialog)

    def _save(self, then: Callable[[], None]) -> None:
        if self._document.path is None:
            self.ask_save_as(then)
        else:
            self._save_to(self._document.path, then)

    def _save_to(self, path: Path, then: Callable[[], None]) -> None:
        try:
            file.write(self._document.recipe, path)
        except ReadableError as error:
            self._strip.show_message(
                "save", f"Not saved. {error}", [("Save as…", self.ask_save_as), ("Close", _nothing)]
            )
            return
        self._document.path = path
        self._document.undo_stack.setClean()
        self._document.place_changed.emit()
        self._strip.drop("save")
        self._window.settings.add_recent(path)
        then()

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

    # --- the disk

    def look_at_disk(self) -> None:
        """Say so when the file changed on the disk meanwhile."""

    # --- closing

    def may_close(self) -> bool:
        """Return whether the window may go; if not, the maker is being asked."""
        if self._may_close or not self.modified:
            return True
        box = QMessageBox(self._window)
        box.setObjectName("unsaved")
        box.setIcon(QMessageBox.Icon.NoIcon)
        name = self._document.path.name if self._document.path else self._document.recipe.name
        box.setWindowTitle("Changes that are not saved")
        box.setText(f"Save the changes to {name or 'this recipe'} before closing?")
        buttons = QMessageBox.ButtonRole
        save = box.addButton("&Save", buttons.AcceptRole)
        discard = box.addButton("&Discard", buttons.DestructiveRole)
        keep = box.addButton("&Keep open", buttons.RejectRole)
        box.setDefaultButton(save)
        box.setEscapeButton(keep)

        def answered() -> None:
            box.deleteLater()
            if box.clickedButton() is save:
                self._save(self.discard)
            elif box.clickedButton() is discard:
                self.discard()
            else:
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
        self._document.close()


def _shown(dialog: QFileDialog) -> None:
    """Show a dialog that is thrown away after its use."""
    dialog.finished.connect(dialog.deleteLater)
    dialog.open()


def _nothing() -> None:
    """Do nothing: the key closes its message, and that is all."""
