"""The comparison of all variants as a file: asked for, made and saved in a thread, told of."""

import json
import logging
import threading
from collections.abc import Callable
from contextlib import suppress
from pathlib import Path
from typing import TYPE_CHECKING

from PySide6.QtCore import QObject, Signal
from PySide6.QtWidgets import QFileDialog

from designer.document import Document
from designer.errors import ReadableError
from designer.window.recipe.working import Late
from designer.window.strip import Strip

if TYPE_CHECKING:
    from designer.advice.differences import Difference
    from designer.evaluation.evaluate import Evaluation
    from designer.window.main_window import MainWindow

__all__ = ["FILTERS", "Export", "content"]

FILTERS = {
    "pdf": "Page to print (*.pdf)",
    "csv": "Table for a spreadsheet (*.csv)",
    "json": "Values for a program (*.json)",
}
"""Kinds of files by their suffix, and what the dialog calls them."""

_TITLE = "Export the comparison"


class Export(QObject):
    """Writes the comparison of a document's variants; nothing of it blocks the window.

    Signals
    -------
    ended(object)
        A file is written, by its Path, or not, by a `ReadableError` or, where the maker stopped
        it, None.
    """

    ended = Signal(object)

    def __init__(self, document: Document, window: "MainWindow", strip: Strip) -> None:
        super().__init__(window)
        self._document, self._window, self._strip = document, window, strip
        self._thread: threading.Thread | None = None
        self._stop = threading.Event()
        self._late = Late(self)
        self._late.changed.connect(self._tell_late)
        self.ended.connect(self._tell)

    @property
    def is_busy(self) -> bool:
        """Whether a file is being made."""
        return self._thread is not None and self._thread.is_alive()

    def ask(self) -> None:
        """Ask where to put the comparison, if there is one."""
        self._window.pages.take_typed()
        # What is still on its way will be there when a name is typed.
        if not self._document.is_working and (problem := self._problem()):
            self.ended.emit(problem)
            return
        proposed = self._window.filing.proposed_beside("comparison", "pdf")
        dialog = QFileDialog(self._window, _TITLE, str(proposed))
        dialog.setNameFilters([*FILTERS.values()])
        dialog.setAcceptMode(QFileDialog.AcceptMode.AcceptSave)
        dialog.setFileMode(QFileDialog.FileMode.AnyFile)
        dialog.setDefaultSuffix("pdf")
        dialog.filterSelected.connect(lambda words: _take_kind(dialog, words))
        dialog.fileSelected.connect(lambda name: self.write(Path(name)))
        dialog.finished.connect(dialog.deleteLater)
        dialog.open()

    def write(self, path: Path) -> None:
        """Write the comparison as it is now; the suffix says which kind of file."""
        problem = self._problem()
        if problem is None and path.suffix.lower().lstrip(".") not in FILTERS:
            problem = ReadableError(
                path.name,
                "Its ending names no kind of file that is known here.",
                "End the name with .pdf, .csv or .json.",
            )
        result = self._document.evaluation
        if problem is not None or result is None:
            self.ended.emit(problem)
            return
        self._strip.drop("export")
        self._late.begin()
        empty = tuple(
            one for one in self._document.recipe.numbers if one not in result.recipe.numbers
        )
        before, self._stop = self._thread, threading.Event()
        # Not a daemon: a file that was asked for is written also while the program ends.
        self._thread = threading.Thread(
            target=self._work, args=(path, result, empty, before, self._stop), name="export"
        )
        self._thread.start()

    def stop(self) -> None:
        """Give up what is being worked out; nothing of it comes to the disk."""
        self._stop.set()

    def _problem(self) -> ReadableError | None:
        """Return why there is nothing to compare, or None."""
        result, document = self._document.evaluation, self._document
        if result is None and document.is_working:
            return ReadableError(
                "Comparison", "The results are still on their way.", "Try again in a moment."
            )
        if result is None:
            return ReadableError(
                "Comparison",
                "The active variant has no forecast, so nothing can be set against it.",
                "Give it a powder and a liquid.",
            )
        if len(result.recipe.variants) < 2:
            return ReadableError(
                "Comparison",
                "There is only one variant with anything in it.",
                "Copy it (Ctrl+D) and change the copy.",
            )
        return None

    def _work(
        self,
        path: Path,
        result: "Evaluation",
        empty: tuple[str, ...],
        before: threading.Thread | None,
        stop: threading.Event,
    ) -> None:
        from designer.recipe.saving import save

        if before is not None:
            before.join()
        ended: object = path
        try:
            save(path, content(path.suffix.lower(), result, empty, stop.is_set))
        except InterruptedError:
            ended = None
        except ReadableError as error:
            ended = error
        except Exception as error:
            logging.getLogger(__name__).exception("Export failed")
            ended = ReadableError(
                path.name,
                f"The program made a mistake here ({type(error).__name__}).",
                "Choose another kind of file, and tell its makers what you did.",
            )
        with suppress(RuntimeError):  # the window may have gone away; the file is there
            self.ended.emit(ended)

    def _tell_late(self, is_late: bool) -> None:
        if is_late:
            self._strip.show_message(
                "export", "The comparison is being written.", [("Stop", self.stop)]
            )

    def _tell(self, ended: object) -> None:
        self._late.end()
        self._strip.drop("export")
        if isinstance(ended, ReadableError):
            self._strip.show_message("export", f"Not exported. {ended}")
        elif isinstance(ended, Path):
            self._strip.show_message(
                "export", f"The comparison is in {ended.name} in {ended.parent}."
            )


def _take_kind(dialog: QFileDialog, words: str) -> None:
    """Give the file that is named the ending of the kind that was chosen."""
    suffix = next(one for one, known in FILTERS.items() if known == words)
    dialog.setDefaultSuffix(suffix)
    if named := dialog.selectedFiles():
        dialog.selectFile(Path(named[0]).with_suffix(f".{suffix}").name)


def content(
    suffix: str,
    result: "Evaluation",
    empty: tuple[str, ...],
    stop: Callable[[], bool] = lambda: False,
) -> bytes:
    """Return a comparison as a file, all variants against the active one.

    Parameters
    ----------
    suffix : ".pdf" | ".csv" | ".json"
    empty : tuple of str
        Numbers of variants left out.

    Raises
    ------
    InterruptedError
        `stop` said so.
    """
    found = _splits(result, stop)
    if suffix == ".csv":
        from designer.exchange.comparison import table_csv

        # A spreadsheet knows by the mark that the letters are Unicode.
        return table_csv(result, found).encode("utf-8-sig")
    if suffix == ".json":
        from designer.exchange.comparison import differences_json, pairs_json
        from designer.exchange.readings import compare

        made = compare(result, empty) | {
            "paired": pairs_json(result),
            "differences": differences_json(found, result.recipe.bench.batch_mass),
        }
        return f"{json.dumps(made, ensure_ascii=True, indent=1)}\n".encode()
    from designer.terminal.check import bench_words
    from designer.window.export_sheet import sheet_pages
    from designer.window.paper.files import pdf

    words = ", ".join(bench_words(result))
    pages, paper = sheet_pages(result, found, empty, f"{words[:1].upper()}{words[1:]}.")
    return pdf(pages, paper, f"{result.recipe.name or 'Recipe'}: comparison")


def _splits(result: "Evaluation", stop: Callable[[], bool]) -> "list[Difference]":
    """Return each of the first others against the active variant."""
    from designer.advice.differences import differences, priced
    from designer.advice.paired import MOST_PAIRED
    from designer.advice.stocked import Stocked

    numbers = result.recipe.numbers
    active = numbers.index(result.recipe.active.number)
    others = [v for v in range(len(numbers)) if v != active][: MOST_PAIRED - 1]
    stocked = Stocked.read(result.handbook)
    return [priced(differences(result, v, active, stop), result, stocked) for v in others]
