"""Papers as files: asked for, drawn and saved in a thread, told of in the messages."""

from __future__ import annotations

import logging
import threading
from collections.abc import Callable
from pathlib import Path
from typing import TYPE_CHECKING

from PySide6.QtCore import QObject, Signal
from PySide6.QtWidgets import (
    QDialog,
    QDialogButtonBox,
    QFileDialog,
    QLabel,
    QRadioButton,
    QVBoxLayout,
)

from designer.document import Document
from designer.errors import ReadableError
from designer.recipe.saving import save
from designer.window.strip import Strip

if TYPE_CHECKING:
    from designer.evaluation.evaluate import Evaluation
    from designer.window.main_window import MainWindow

__all__ = ["Papers"]

_KINDS = {
    "label_pdf": ("Save the label as PDF", "label", "pdf", "PDF (*.pdf)"),
    "label_svg": ("Save the label as SVG", "label", "svg", "SVG (*.svg)"),
    "sheet": ("Save the recipe sheet", "sheet", "pdf", "PDF (*.pdf)"),
}


class Papers(QObject):
    """What a window saves beside the recipe; nothing of it blocks.

    Signals
    -------
    ended(object)
        A file was saved, by its Path, or not, by a `ReadableError`.
    """

    ended = Signal(object)

    def __init__(self, document: Document, window: MainWindow, strip: Strip) -> None:
        super().__init__(window)
        self._document, self._window, self._strip = document, window, strip
        self._thread: threading.Thread | None = None
        self._waiting: Callable[[Evaluation], None] | None = None
        self.ended.connect(self._tell)
        document.evaluated.connect(self._go_on)
        document.failed.connect(self._give_up)

    @property
    def is_busy(self) -> bool:
        """Whether a file is being made, or waits for the result it shows."""
        thread = self._thread
        return self._waiting is not None or (thread is not None and thread.is_alive())

    def ask(self, kind: str) -> None:
        """Ask where to save the label: "label_pdf" or "label_svg"."""
        self._ask_file(kind, kind)

    def ask_sheet(self) -> None:
        """Ask which form of the recipe sheet is wanted, then where to save it."""
        dialog = QDialog(self._window)
        dialog.setObjectName("sheet_form")
        dialog.setWindowTitle("Recipe sheet")
        layout = QVBoxLayout(dialog)
        layout.addWidget(QLabel("What shall the sheet tell?"))
        forms = {}
        for name, words in (
            ("sheet", "Ingredients in &percent and in grams of the batch"),
            ("sheet_closed", "Ingredients &without any amount"),
        ):
            forms[name] = QRadioButton(words)
            forms[name].setObjectName(name)
            forms[name].setAccessibleName(words.replace("&", ""))
            layout.addWidget(forms[name])
        forms["sheet"].setChecked(True)
        keys = QDialogButtonBox()
        keys.addButton("&Save…", QDialogButtonBox.ButtonRole.AcceptRole)
        keys.addButton("&Cancel", QDialogButtonBox.ButtonRole.RejectRole)
        keys.accepted.connect(dialog.accept)
        keys.rejected.connect(dialog.reject)
        layout.addWidget(keys)

        def chosen() -> None:
            self._ask_file("sheet", next(name for name, key in forms.items() if key.isChecked()))

        dialog.accepted.connect(chosen)
        dialog.finished.connect(dialog.deleteLater)
        dialog.open()

    def _ask_file(self, kind: str, what: str) -> None:
        self._window.pages.take_typed()
        title, name, suffix, filters = _KINDS[kind]
        proposed = self._window.filing.proposed_beside(name, suffix)
        dialog = QFileDialog(self._window, title, str(proposed))
        dialog.setNameFilters([filters, "All files (*)"])
        dialog.setAcceptMode(QFileDialog.AcceptMode.AcceptSave)
        dialog.setFileMode(QFileDialog.FileMode.AnyFile)
        dialog.setDefaultSuffix(suffix)
        dialog.fileSelected.connect(lambda chosen: self.write(what, Path(chosen)))
        dialog.finished.connect(dialog.deleteLater)
        dialog.open()

    def write(self, what: str, path: Path) -> None:
        """Make a file of the recipe as it is now: "label_pdf", "label_svg" or a form of "sheet".

        Where its result is on its way, it is waited for.
        """

        def begin(result: Evaluation) -> None:
            self._waiting = None
            self._begin(what, path, result)

        if self._document.evaluation is not None:
            begin(self._document.evaluation)
        elif self._document.is_working:
            self._waiting = begin
        else:
            self.ended.emit(_no_dough(path))

    def _go_on(self, result: Evaluation) -> None:
        if self._waiting is not None:
            self._waiting(result)

    def _give_up(self, error: ReadableError) -> None:
        if self._waiting is not None:
            self._waiting = None
            self.ended.emit(ReadableError("Not saved", error.problem, error.advice))

    def _begin(self, what: str, path: Path, result: Evaluation) -> None:
        before = self._thread
        label = self._document.recipe.label

        def work() -> None:
            if before is not None:
                before.join()
            from designer.window.paper.content import content

            ended: object = path
            try:
                save(path, content(what, result, label))
            except ReadableError as error:
                ended = error
            except Exception as error:
                # Whoever asked must hear that nothing was written.
                logging.getLogger(__name__).exception("%s failed", what)
                ended = ReadableError(
                    path.name,
                    f"The program made a mistake here ({type(error).__name__}).",
                    "Nothing was written; tell its makers what you did.",
                )
            try:
                self.ended.emit(ended)
            except RuntimeError:  # the window went away; the file is there
                return

        # Not a daemon: a file that was asked for is written also while the program ends.
        self._thread = threading.Thread(target=work, name="papers")
        self._thread.start()

    def _tell(self, ended: object) -> None:
        close = [("Close", lambda: None)]
        if isinstance(ended, ReadableError):
            self._strip.show_message("paper", f"Not saved. {ended}", close)
        elif isinstance(ended, Path):
            words = f"{ended.name} is saved in {ended.parent}. Print it at 100 %."
            self._strip.show_message("paper", words, close)


def _no_dough(path: Path) -> ReadableError:
    return ReadableError(
        path.name, "The recipe has no dough to tell of.", "Give its ingredients amounts."
    )
