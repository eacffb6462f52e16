"""The window of one open recipe: menus, messages, the page, the foot."""

from collections.abc import Callable
from functools import partial
from pathlib import Path

from PySide6.QtCore import QEvent, Qt, QTimer, Signal
from PySide6.QtGui import (
    QAction,
    QActionGroup,
    QCloseEvent,
    QColor,
    QDragEnterEvent,
    QDropEvent,
    QKeyEvent,
    QKeySequence,
    QPainter,
    QPaintEvent,
    QStatusTipEvent,
)
from PySide6.QtWidgets import QMainWindow, QMenu, QMenuBar, QVBoxLayout, QWidget

from designer.document import Document
from designer.window import demos, theme
from designer.window.actions import COMMANDS, MENUS, actions, command
from designer.window.export import Export
from designer.window.filing import Filing
from designer.window.foot import Foot
from designer.window.help import Help
from designer.window.later import Later
from designer.window.pages import PAGES, PageBar, Pages
from designer.window.paper.wishes import Papers
from designer.window.recipe.page import JOINING, RecipePage
from designer.window.settings import THEMES, Settings
from designer.window.strip import Strip

__all__ = ["MENU_HEIGHT", "MainWindow"]

MENU_HEIGHT = 30

_LETTERS = {"View": "Vie&w"}
"""Menus whose first letter another one has."""

_REMEMBERED = ("show_inci", "usual_recipes")
"""Commands that stay on or off until the next start."""

_KEY = Qt.Key
_MENU_KEYS = (
    *(_KEY.Key_Up, _KEY.Key_Down, _KEY.Key_Left, _KEY.Key_Right, _KEY.Key_Home, _KEY.Key_End),
    *(_KEY.Key_PageUp, _KEY.Key_PageDown, _KEY.Key_Return, _KEY.Key_Enter, _KEY.Key_Space),
    *(_KEY.Key_Escape, _KEY.Key_Tab, _KEY.Key_Backtab, _KEY.Key_Alt, _KEY.Key_F10),
)
"""Keys that move in a menu, choose in it or close it."""

_MENU_STYLE = """
QMenuBar {{ background: transparent; padding: 0 {edge}px; spacing: 0; border: none; }}
QMenuBar::item {{ padding: 6px 8px; background: transparent; color: {used.ink}; }}
QMenuBar::item:selected, QMenuBar::item:pressed {{
    background: {used.accent}; color: {used.paper}; }}
QMenu {{ background: {used.ground}; border: 1px solid {used.line}; padding: 4px 0; }}
QMenu::item {{ padding: 5px 24px 5px 30px; color: {used.ink}; background: transparent; }}
QMenu::item:selected {{ background: {used.accent}; color: {used.paper}; }}
QMenu::item:disabled {{ color: {used.line}; background: transparent; }}
QMenu::separator {{ height: 1px; background: {used.hair}; margin: 4px 0; }}
QMenu::indicator {{ left: 10px; width: 9px; height: 9px; border: 1px solid {used.line}; }}
QMenu::indicator:checked {{ background: {used.accent}; border-color: {used.accent}; }}
"""
"""With the colours spelt out: a style sheet keeps those of the palette it was made with."""


class _Middle(QWidget):
    """What stands below the menus, with the line between.

    Signals
    -------
    painted()
        For the first time.
    """

    painted = Signal()
    _was_painted = False

    def paintEvent(self, _event: QPaintEvent) -> None:  # noqa: N802
        """Draw the line below the menus."""
        QPainter(self).fillRect(0, 0, self.width(), 1, QColor(theme.now().line))
        if not self._was_painted:
            self._was_painted = True
            QTimer.singleShot(0, self.painted.emit)


class _Menu(QMenu):
    """A menu whose keys are its own.

    What a menu has no use for Qt tries as a shortcut, and since the menus stand in the bar with all
    actions, Q or Delete would change the recipe behind an open menu.
    """

    def event(self, event: QEvent) -> bool:
        """Claim every key while the menu is open."""
        if event.type() == QEvent.Type.ShortcutOverride:
            event.accept()
            return True
        return super().event(event)

    def keyPressEvent(self, event: QKeyEvent) -> None:  # noqa: N802
        """Take keys that move in menus, and the letters that are marked in this one."""
        typed = QKeySequence(f"Alt+{event.text().upper()}") if event.text().isalnum() else None
        marked = (QKeySequence.mnemonic(action.text()) for action in self.actions())
        if event.key() in _MENU_KEYS or (typed is not None and typed in marked):
            super().keyPressEvent(event)
        else:
            event.accept()


class _MenuBar(QMenuBar):
    """The menus by keys; who leaves them can go on.

    When a second menu is opened out of the bar, Qt remembers the bar as what had the focus before,
    and Esc leaves the focus there, where no key does anything.
    """

    left = Signal()

    def keyPressEvent(self, event: QKeyEvent) -> None:  # noqa: N802
        """Tell when Esc has left the menus but not the bar."""
        super().keyPressEvent(event)
        if event.key() == Qt.Key.Key_Escape and self.hasFocus() and not self.activeAction():
            self.left.emit()


class MainWindow(QMainWindow):
    """Menus, messages, the page, the foot of one open recipe.

    Signals
    -------
    new_wanted(), open_wanted(Path), copy_wanted(Recipe), recover_wanted(Copy), demo_wanted(str),
    quit_wanted(), theme_wanted(str)
        What concerns more than this window.
    completed()
        All parts are there; the handbook is on its way.
    closed(MainWindow), stayed(MainWindow)
        The window went away, or the maker wanted to keep it when asked.
    """

    new_wanted = Signal()
    open_wanted = Signal(object)
    copy_wanted = Signal(object)
    recover_wanted = Signal(object)
    demo_wanted = Signal(str)
    quit_wanted = Signal()
    theme_wanted = Signal(str)
    completed = Signal()
    closed = Signal(object)
    stayed = Signal(object)

    def __init__(self, document: Document, settings: Settings | None = None) -> None:
        super().__init__()
        self.document = document
        self.settings = settings or Settings(None)
        self.setAcceptDrops(True)
        self.strip = Strip()
        self.page = RecipePage(document)
        self.pages = Pages(document, self.page)
        self.page_bar = PageBar()
        self.strip.left.connect(self._go_home)
        self.foot = Foot(document)
        self.filing = Filing(document, self, self.strip)
        self.papers = Papers(document, self, self.strip)
        self.export = Export(document, self, self.strip)
        self.help = Help(self)
        middle = _Middle()
        layout = QVBoxLayout(middle)
        layout.setContentsMargins(0, 1, 0, 0)
        layout.setSpacing(0)
        layout.addWidget(self.strip)
        layout.addWidget(self.pages, 1)
        layout.addWidget(self.foot)
        self.setCentralWidget(middle)
        self._make_menus()
        self._connect()
        self._show_place()
        self._show_steps()
        self._go_home()
        # Results come after the first paint: the window can be used before.
        self._later = Later(JOINING, self)
        self._later.ready.connect(self._add_next)
        middle.painted.connect(self._later.start)
        # Once nothing waits any more: the first look at another page then need not import it.
        self._idle = Later([page.module for page in PAGES if page.module], self)
        document.mapped.connect(lambda _: self._idle.start())
        document.map_failed.connect(lambda _: self._idle.start())
        document.equipped.connect(self._fill_menus)

    def choose_theme(self, name: str) -> None:
        """Mark the theme in use in the menu."""
        self.commands[f"theme_{name}"].setChecked(True)

    def complete(self) -> None:
        """Put in at once what would come after the first paint."""
        self.page.add_all()
        self._fill_menus()
        self.document.equip()

    def _add_next(self) -> None:
        """Put in a part after the other, and let keys and paint come between."""
        if self.filing.closed:
            return
        if self.page.add_next():
            QTimer.singleShot(0, self._add_next)
            return
        self._fill_menus()
        self.document.equip()
        self.completed.emit()

    def _go_on(self, by: int = 1) -> None:
        """Give the next part the focus; messages stand between the last part and the first."""
        page = self.pages.current
        names = ["", *page.parts()]
        at = names.index(page.part_in_focus())  # elsewhere is where messages are
        if not at and not self.strip.has_focus and by > 0:
            at = -1
        for step in range(1, len(names) + 1):
            name = names[(at + by * step) % len(names)]
            if page.go_to(name) if name else self.strip.take_focus():
                return

    def _take_in(self, name: str) -> None:
        """Take the commands of a page that is new into the menus, and what it wants of others."""
        copy_wanted = getattr(self.pages.page(name), "copy_wanted", None)
        if copy_wanted is not None:
            copy_wanted.connect(self.copy_wanted)
        paper_wanted = getattr(self.pages.page(name), "paper_wanted", None)
        if paper_wanted is not None:
            paper_wanted.connect(self.papers.ask)
        self._fill_menus()

    def _to_table(self) -> None:
        self.show_page("recipe")

    def _go_home(self) -> None:
        """Give the focus to what Esc leads to."""
        self.pages.current.go_home()

    def show_page(self, name: str) -> None:
        """Show a page."""
        self.pages.show_page(name)
        self.page_bar.mark(name)
        self.foot.show_keys()

    # --- menus

    def _make_menus(self) -> None:
        handlers: dict[str, Callable[[], object]] = {
            "new": self.new_wanted.emit,
            "open": self.filing.ask_open,
            "save": self.filing.save,
            "save_as": self.filing.ask_save_as,
            "export_label_pdf": partial(self.papers.ask, "label_pdf"),
            "export_label_svg": partial(self.papers.ask, "label_svg"),
            "export_sheet": self.papers.ask_sheet,
            "export_comparison": self.export.ask,
            "close": self.close,
            "quit": self.quit_wanted.emit,
            "undo": self.document.undo_stack.undo,
            "redo": self.document.undo_stack.redo,
            "copy_sentence": self.page.headline.copy,
            "next_part": self._go_on,
            "previous_part": lambda: self._go_on(-1),
            "to_table": self._to_table,
            "numbers": self.help.show_numbers,
            "words": self.help.show_words,
            "keys": self.help.show_keys,
            "about": self.help.show_about,
        }
        for one in PAGES:
            handlers[f"page_{one.name}"] = partial(self.show_page, one.name)
        for name in THEMES:
            handlers[f"theme_{name}"] = partial(self.theme_wanted.emit, name)
        self.commands: dict[str, QAction] = actions(self, handlers)
        # An editor in a part needs Esc first; what is left of it reaches keyPressEvent.
        self.commands["to_table"].setShortcutContext(Qt.ShortcutContext.WidgetShortcut)
        group = QActionGroup(self)
        for name in THEMES:
            group.addAction(self.commands[f"theme_{name}"])
        self.choose_theme(self.settings.theme)
        bar = _MenuBar()
        bar.left.connect(self._go_home)
        self.setMenuBar(bar)
        bar.setCornerWidget(self.page_bar, Qt.Corner.TopRightCorner)
        bar.setNativeMenuBar(False)
        bar.setFixedHeight(MENU_HEIGHT)
        self._dress_menus()
        self.menus = {name: _Menu(_LETTERS.get(name, f"&{name}"), bar) for name in MENUS}
        for menu in self.menus.values():
            bar.addMenu(menu)
        self._submenus = {"recent": _Menu(self), "demos": _Menu(self)}
        for name, menu in self._submenus.items():
            menu.menuAction().setObjectName(name)
            menu.setTitle(command(name).text)
        self._submenus["recent"].aboutToShow.connect(self._list_recent)
        self._submenus["demos"].aboutToShow.connect(self._list_demos)
        self._fill_menus()

    def _fill_menus(self) -> None:
        """Put all commands that something here carries out into the menus, in their order."""
        names = {one.name for one in COMMANDS}
        found = {one.objectName(): one for one in self.pages.findChildren(QAction)}
        found |= self.commands
        found |= {name: menu.menuAction() for name, menu in self._submenus.items()}
        for menu_name, menu in self.menus.items():
            # clear() would delete the separators alone, but PySide then forgets all actions.
            for old in menu.actions():
                menu.removeAction(old)
            group = None
            for one in COMMANDS:
                if one.menu != menu_name or one.name not in found or one.name not in names:
                    continue
                if group is not None and one.group != group:
                    menu.addSeparator()
                group = one.group
                menu.addAction(found[one.name])
            menu.menuAction().setVisible(not menu.isEmpty())
        if self.document.is_equipped:  # usual recipes are drawn from the handbook
            for name in _REMEMBERED:
                self._remember(name, found.get(name))

    def _remember(self, name: str, action: QAction | None) -> None:
        """Set a command as it was at the last end of the program, and note how it changes."""
        if action is None or action.property("remembered"):
            return
        action.setProperty("remembered", True)
        wanted = self.settings.checked(name)
        if wanted is not None and wanted != action.isChecked():
            action.trigger()
        action.toggled.connect(lambda on: self.settings.keep_checked(name, on))

    def _list_recent(self) -> None:
        menu = self._submenus["recent"]
        menu.clear()
        for path in self.settings.recent:
            action = menu.addAction(f"{path.name}   {_home(path.parent)}".replace("&", "&&"))
            action.triggered.connect(lambda _=False, path=path: self.filing.open_recent(path))
        if menu.isEmpty():
            menu.addAction("No recipe was opened yet").setEnabled(False)

    def _list_demos(self) -> None:
        menu = self._submenus["demos"]
        if menu.isEmpty():
            for name in demos.demos():
                action = menu.addAction(name.replace("_", " ").capitalize())
                action.triggered.connect(lambda _=False, name=name: self.demo_wanted.emit(name))

    # --- what the document tells

    def _connect(self) -> None:
        document, stack = self.document, self.document.undo_stack
        document.changed.connect(self._show_place)
        document.place_changed.connect(self._show_place)
        self.page.table.keys_changed.connect(self.foot.show_keys)
        self.page_bar.chosen.connect(self.show_page)
        self.pages.made.connect(self._take_in)
        # The sentence is what the window says of itself.
        self.page.headline.spoken.connect(self.setAccessibleDescription)
        self.setAccessibleDescription(self.page.headline.text)
        for signal in (stack.undoTextChanged, stack.redoTextChanged, stack.indexChanged):
            signal.connect(self._show_steps)

    def _show_place(self) -> None:
        path, recipe = self.document.path, self.document.recipe
        name = path.name if path is not None else recipe.name or "New recipe"
        # Qt puts its mark of unsaved changes where "[*]" stands; a name may have one too.
        self.setWindowTitle(f"{name.replace('[*]', '[*][*]')}[*] – Bar Dough Designer")
        self.setWindowModified(not self.document.is_saved)

    def _show_steps(self) -> None:
        stack = self.document.undo_stack
        for name, text, can in (
            ("undo", stack.undoText(), stack.canUndo()),
            ("redo", stack.redoText(), stack.canRedo()),
        ):
            words = command(name).text
            shown = text if len(text) <= 60 else f"{text[:59]}…"
            self.commands[name].setText(f"{words} {shown.replace('&', '&&')}" if shown else words)
            self.commands[name].setEnabled(can)

    def _dress_menus(self) -> None:
        """Give the menus the colours of the theme."""
        style = _MENU_STYLE.format(edge=theme.MARGIN - 8, used=theme.now())
        if self.menuBar().styleSheet() != style:
            self.menuBar().setStyleSheet(style)

    # --- events

    def changeEvent(self, event: QEvent) -> None:  # noqa: N802
        """Follow a change of the theme."""
        super().changeEvent(event)
        if event.type() == QEvent.Type.PaletteChange:
            self._dress_menus()

    def event(self, event: QEvent) -> bool:
        """Look at the file when the maker comes back, and tell in the foot what a command does."""
        if event.type() == QEvent.Type.WindowActivate:
            self.filing.look_at_disk()
        elif isinstance(event, QStatusTipEvent):
            self.foot.show_tip(event.tip())
            return True
        return super().event(event)

    def keyPressEvent(self, event: QKeyEvent) -> None:  # noqa: N802
        """Go back to the table by Esc, where no editor wanted it."""
        if event.key() == Qt.Key.Key_Escape and not event.modifiers():
            self._go_home()
        else:
            super().keyPressEvent(event)

    def dragEnterEvent(self, event: QDragEnterEvent) -> None:  # noqa: N802
        """Take recipe files."""
        if _recipes(event):
            event.acceptProposedAction()

    def dropEvent(self, event: QDropEvent) -> None:  # noqa: N802
        """Open the recipe files that were dropped."""
        paths = _recipes(event)
        event.acceptProposedAction()
        for path in paths:
            self.open_wanted.emit(path)

    def closeEvent(self, event: QCloseEvent) -> None:  # noqa: N802
        """Close, or ask what to do with changes that were not saved."""
        if not self.filing.may_close():
            event.ignore()
            return
        if self.filing.closed:
            return
        self.settings.geometry = self.saveGeometry()
        self.filing.end()
        self.help.close()
        event.accept()
        self.closed.emit(self)


def _recipes(event: QDropEvent) -> list[Path]:
    """Return the recipe files that are being dragged."""
    found = [Path(url.toLocalFile()) for url in event.mimeData().urls() if url.isLocalFile()]
    return [path for path in found if path.suffix.lower() == ".toml"]


def _home(folder: Path) -> str:
    """Return a folder as text, the maker's own home as "~"."""
    try:
        return str(Path("~") / folder.relative_to(Path.home()))
    except (ValueError, RuntimeError):
        return str(folder)
