"""The program with its windows: one process, a window for each open recipe."""

import os
import signal
import sys
from collections.abc import Sequence
from pathlib import Path
from types import TracebackType

from PySide6.QtCore import QObject, Qt
from PySide6.QtWidgets import QApplication

from designer import __version__
from designer.document import Document
from designer.document.recovery import Copy, left_behind
from designer.document.shelf import Shelf
from designer.errors import ReadableError
from designer.recipe import Recipe, file
from designer.window import demos, fonts, memory, theme
from designer.window.main_window import MainWindow
from designer.window.settings import Settings

__all__ = ["Application", "main", "qt"]

_MOST_OFFERED = 3
"""Recovery copies offered at a start, the newest; more would fill the window, and they wait."""

_SIZE = (1280, 800)
"""Of the first window, where the screen has room for it."""


def qt() -> QApplication:
    """Return the Qt application with our style and type, made if there is none."""
    made = QApplication.instance()
    application = made if isinstance(made, QApplication) else QApplication(["bar-dough"])
    application.setApplicationName("bar-dough")
    application.setApplicationDisplayName("")
    application.setApplicationVersion(__version__)
    application.setStyle("Fusion")
    fonts.load()
    application.setFont(fonts.font())
    return application


class Application(QObject):
    """The open windows and what they share.

    Parameters
    ----------
    settings : what is remembered
    collects : whether it looks after garbage, as the only one in its process
    """

    def __init__(self, settings: Settings, collects: bool = False) -> None:
        super().__init__()
        self._qt = qt()
        self.settings = settings
        self.shelf = Shelf()
        self.windows: list[MainWindow] = []
        self._quitting = False
        self._memory = memory.Returning(self)
        self._collector = memory.Collector(self) if collects else None
        self._qt.styleHints().colorSchemeChanged.connect(self.use_theme)
        self.use_theme()

    def start(self, paths: Sequence[Path]) -> None:
        """Open files, or else the recipe last open, or else the first demo.

        Raises
        ------
        ReadableError
            One of the files cannot be opened.
        """
        for path in paths:
            if self._window_of(path) is None:
                self.show(file.read(path), path)
        last = self.settings.last
        problem = None
        if not self.windows and last is not None and last.is_file():
            problem = self._opened(last)
        if not self.windows:
            self.open_demo(demos.first())
        if problem is not None:
            self.windows[0].filing.tell(problem)
        for copy in left_behind()[:_MOST_OFFERED]:
            self.windows[0].filing.offer(copy)

    def open(self, path: Path) -> None:
        """Open a file in a window; raise the window that has it open already."""
        path = Path(os.path.abspath(path))
        if (window := self._window_of(path)) is not None:
            _raise(window)
        elif (problem := self._opened(path)) is not None:
            self._front().filing.tell(problem)

    def recover(self, copy: Copy) -> None:
        """Open a recovery copy, in place of its own file if nothing was changed in that."""
        try:
            document = Document.recover(copy, self.shelf)
        except ReadableError as error:
            self._front().filing.tell(error)
            return
        open_already = self._window_of(copy.original) if copy.original is not None else None
        window = self._show(document)
        if open_already is not None and not _is_changed(open_already.document):
            self._replace(open_already, window)

    def _window_of(self, path: Path) -> MainWindow | None:
        """Return the window that has a file open."""
        return next((one for one in self.windows if _same(one.document.path, path)), None)

    def _opened(self, path: Path) -> ReadableError | None:
        """Open a file; return why it cannot be read, or None."""
        try:
            self.show(file.read(path), path)
        except ReadableError as error:
            return error
        return None

    def open_demo(self, name: str) -> MainWindow:
        """Open a copy of a demo recipe, which has no file until it is saved."""
        return self.show(demos.demo(name))

    def new(self) -> MainWindow:
        """Open an empty recipe."""
        return self.show(Recipe())

    def quit(self) -> None:
        """Close all windows, those that must ask first; one that is kept open ends it."""
        self._quitting = True
        self._close_next()

    def _close_next(self) -> None:
        asking = [window for window in self.windows if not window.document.is_saved]
        for window in [*asking, *self.windows][:1]:
            window.raise_()
            window.close()

    def choose_theme(self, name: str) -> None:
        """Use a theme from now on: "system", "light" or "dark"."""
        self.settings.theme = name
        self.use_theme()

    def use_theme(self) -> None:
        """Bring the theme that was chosen, or that of the system, to all windows."""
        chosen = self.settings.theme
        dark = chosen == "dark" or (
            chosen == "system" and self._qt.styleHints().colorScheme() == Qt.ColorScheme.Dark
        )
        theme.set_theme(self._qt, theme.DARK if dark else theme.LIGHT)
        for window in self.windows:
            window.choose_theme(chosen)

    def show(self, recipe: Recipe, path: Path | None = None) -> MainWindow:
        """Show a recipe, and its file if it has one, in a window."""
        path = None if path is None else Path(os.path.abspath(path))
        return self._show(Document(recipe, self.shelf, path=path))

    def _show(self, document: Document) -> MainWindow:
        window = MainWindow(document, self.settings)
        window.setAttribute(Qt.WidgetAttribute.WA_DeleteOnClose)
        document.setParent(window)  # and both go together
        document.mapped.connect(self._memory.expect)
        if self._collector is not None:
            window.completed.connect(self._collector.settle)
        window.new_wanted.connect(self.new)
        window.open_wanted.connect(self.open)
        window.copy_wanted.connect(self.show)
        window.recover_wanted.connect(self.recover)
        window.demo_wanted.connect(self.open_demo)
        window.quit_wanted.connect(self.quit)
        window.theme_wanted.connect(self.choose_theme)
        window.closed.connect(self._forget)
        window.stayed.connect(self._stay)
        self._place(window)
        replaced = self._untouched()
        self.windows.append(window)
        if document.path is not None:
            self.settings.add_recent(document.path)
        self.settings.last = document.path
        window.show()
        if replaced is not None:
            self._replace(replaced, window)
        return window

    @staticmethod
    def _replace(before: MainWindow, window: MainWindow) -> None:
        """Close a window, and offer in the next what the maker has not answered in it."""
        if before.close():
            for copy in before.filing.offered:
                window.filing.offer(copy)

    def _untouched(self) -> MainWindow | None:
        """Return the only window if nothing was done in it: another recipe takes its place."""
        if len(self.windows) != 1:
            return None
        document = self.windows[0].document
        used = document.path is not None or _is_changed(document)
        return None if used else self.windows[0]

    def _place(self, window: MainWindow) -> None:
        """Give a window the size and place of the last one, or those of a first start."""
        room = self._qt.primaryScreen().availableGeometry()
        window.resize(min(_SIZE[0], room.width()), min(_SIZE[1], room.height()))
        if self.windows and self._untouched() is None:
            before = self._front()
            window.resize(before.size())
            window.move(before.pos().x() + 24, before.pos().y() + 24)
        elif not window.restoreGeometry(self.settings.geometry):
            window.resize(min(_SIZE[0], room.width()), min(_SIZE[1], room.height()))

    def _front(self) -> MainWindow:
        """Return the window in use, or the newest."""
        active = self._qt.activeWindow()
        return next((one for one in self.windows if one is active), self.windows[-1])

    def _forget(self, window: MainWindow) -> None:
        memory.release(window)
        if window in self.windows:
            self.windows.remove(window)
        if self._quitting:
            self._close_next()
        elif self.windows:
            self.settings.last = self._front().document.path

    def _stay(self) -> None:
        self._quitting = False


def _is_changed(document: Document) -> bool:
    """Return whether a maker's work is in a document: also one that was rescued, before a step."""
    return document.undo_stack.count() > 0 or not document.is_saved


def _same(first: Path | None, second: Path) -> bool:
    """Return whether two paths lead to one file."""
    if first is None:
        return False
    try:
        return first.samefile(second)
    except OSError:
        return first == second


def _raise(window: MainWindow) -> None:
    window.setWindowState(window.windowState() & ~Qt.WindowState.WindowMinimized)
    window.raise_()
    window.activateWindow()


def main(paths: Sequence[Path]) -> int:
    """Open the window and return the exit code once it is closed."""
    application = Application(Settings.of_user(), collects=True)
    signal.signal(signal.SIGINT, signal.SIG_DFL)  # Qt's loop would never let Python see it
    sys.excepthook = _Teller(application)
    application.start(paths)
    return qt().exec()


class _Teller:
    """Tells of a mistake of ours in the window as well: the terminal may be out of sight."""

    def __init__(self, application: Application) -> None:
        self._application = application

    def __call__(
        self, kind: type[BaseException], error: BaseException, trace: TracebackType | None
    ) -> None:
        import traceback

        traceback.print_exception(kind, error, trace)
        for window in self._application.windows[-1:]:
            window.strip.show_message(
                "mistake",
                f"This is a mistake of the program ({kind.__name__}). What you typed is kept; save "
                "under another name to be sure, and please report what you did.",
            )
