"""Papers as files: PDF with its type in it, SVG in outlines, both at real size; saved whole."""

from collections.abc import Sequence

from PySide6.QtCore import QBuffer, QByteArray, QIODevice, QMarginsF, QRectF, QSize, QSizeF
from PySide6.QtGui import QPageLayout, QPageSize, QPainter, QPdfWriter
from PySide6.QtSvg import QSvgGenerator

from designer import __version__
from designer.window.paper.flow import Paper
from designer.window.paper.ink import Item, draw

__all__ = ["pdf", "svg"]

_DOTS = 1200
"""Steps of an inch in a PDF; lines and letters are no dots, this only rounds their places."""

_STEPS = 100
"""Steps of a millimetre in an SVG."""


def pdf(pages: Sequence[Sequence[Item]], paper: Paper, title: str) -> bytes:
    """Return pages as PDF; letters stay letters, and the type is in the file."""
    content = QByteArray()
    buffer = QBuffer(content)
    buffer.open(QIODevice.OpenModeFlag.WriteOnly)
    writer = QPdfWriter(buffer)
    writer.setTitle(title)
    writer.setCreator(f"Bar Dough Designer {__version__}")
    writer.setResolution(_DOTS)
    size = QPageSize(
        QSizeF(paper.width, paper.height),
        QPageSize.Unit.Millimeter,
        paper.name,
        QPageSize.SizeMatchPolicy.ExactMatch,
    )
    writer.setPageLayout(QPageLayout(size, QPageLayout.Orientation.Portrait, QMarginsF()))
    painter = QPainter(writer)
    for number, page in enumerate(pages):
        if number:
            writer.newPage()
        draw(painter, page, _DOTS / 25.4)
    painter.end()
    buffer.close()
    return bytes(content.data())


def svg(items: Sequence[Item], width: float, height: float, title: str, words: str) -> bytes:
    """Return a drawing of a size [mm] as SVG; `words` is what it says, for who cannot see it."""
    content = QByteArray()
    buffer = QBuffer(content)
    buffer.open(QIODevice.OpenModeFlag.WriteOnly)
    made = QSvgGenerator()
    made.setOutputDevice(buffer)
    made.setTitle(title)
    made.setDescription(words)
    made.setResolution(round(25.4 * _STEPS))
    wide, tall = round(width * _STEPS), round(height * _STEPS)
    made.setSize(QSize(wide, tall))
    made.setViewBox(QRectF(0, 0, wide, tall))
    painter = QPainter(made)
    draw(painter, items, _STEPS, outlined=True)
    painter.end()
    buffer.close()
    return bytes(content.data())
