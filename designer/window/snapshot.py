"""A picture of the real window, drawn offscreen."""

import os
import sys

from PySide6.QtCore import (
    QBuffer,
    QByteArray,
    QEventLoop,
    QIODevice,
    QTimer,
    qInstallMessageHandler,
)

from designer.errors import ReadableError
from designer.recipe import file
from designer.recipe.saving import save
from designer.terminal.snapshot import Shot
from designer.window.application import Application
from designer.window.main_window import MainWindow
from designer.window.settings import Settings

__all__ = ["draw", "picture"]

_LONGEST = 60_000
"""Time [ms] after which the results must be there."""
_SETTLED = 300
"""Time [ms] in which the views have finished moving."""


def draw(shot: Shot) -> None:
    """Draw a recipe file's page into a PNG file.

    Nothing that the maker's own window remembers is read or changed.

    Raises
    ------
    ReadableError
        The recipe cannot be read, its results did not come, or the picture cannot be written.
    """
    recipe = file.read(shot.file)
    os.environ["QT_QPA_PLATFORM"] = "offscreen"
    qInstallMessageHandler(_pass_on)
    os.environ["QT_SCALE_FACTOR"] = f"{shot.scale:g}"
    settings = Settings(None)
    settings.theme = shot.theme
    application = Application(settings)
    window = application.show(recipe)
    window.resize(shot.width, shot.height)
    window.show_page(shot.page)
    try:
        wait(window)
        content = picture(window)
    finally:
        window.filing.discard()
    save(shot.out, content)


def _pass_on(_kind: object, _where: object, message: str) -> None:
    """Pass on what Qt warns of, but not of what an offscreen window cannot do."""
    if "This plugin does not support" not in message:
        print(message, file=sys.stderr)


def wait(window: MainWindow) -> None:
    """Return once the page shows the results of its recipe, or that there can be none."""
    document, loop = window.document, QEventLoop()
    window.complete()
    settled = QTimer(singleShot=True, interval=_SETTLED)
    # Advice comes after the map; it is part of the page too.
    settled.timeout.connect(lambda: settled.start() if document.advisor.is_busy else loop.quit())
    late = QTimer(singleShot=True, interval=_LONGEST)
    late.timeout.connect(lambda: loop.exit(1))
    document.mapped.connect(lambda _: settled.start())
    document.failed.connect(lambda _: settled.start())
    document.map_failed.connect(lambda _: settled.start())  # all but the map is there
    if document.dough_map is not None:
        settled.start()
    late.start()
    if loop.exec():
        raise ReadableError(
            "snapshot",
            "The results did not come within a minute.",
            "Try again on a quieter machine.",
        )


def picture(window: MainWindow) -> bytes:
    """Return what the window shows as a PNG file."""
    content = QByteArray()
    buffer = QBuffer(content)
    buffer.open(QIODevice.OpenModeFlag.WriteOnly)
    window.grab().save(buffer, "PNG")
    return bytes(content.data())
