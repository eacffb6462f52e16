"""The one type family, in three sizes."""

from functools import lru_cache

from PySide6.QtGui import QFont, QFontDatabase, QFontMetricsF

from designer.handbook.places import resources

__all__ = ["LARGE", "MEDIUM", "SMALL", "font", "load", "metrics"]

SMALL, MEDIUM, LARGE = 11, 13, 26
"""Sizes [logical px]: units, notes and axes; everything; the sentence."""

_FAMILY = "B612"
_FALLBACKS = ("Noto Sans", "Open Sans", "DejaVu Sans")


def load() -> None:
    """Make the bundled fonts known; without them a system font serves."""
    for name in ("B612-Regular.otf", "B612-Bold.otf"):
        QFontDatabase.addApplicationFont(str(resources() / "fonts" / name))


@lru_cache(maxsize=16)
def font(size: int = MEDIUM, bold: bool = False) -> QFont:
    """Return the font of a size; digits have one width."""
    made = QFont()
    made.setFamilies([_FAMILY, *_FALLBACKS])
    made.setPixelSize(size)
    made.setBold(bold)
    made.setHintingPreference(QFont.HintingPreference.PreferNoHinting)
    made.setFeature(QFont.Tag.fromString("tnum"), 1)
    return made


@lru_cache(maxsize=16)
def metrics(size: int = MEDIUM, bold: bool = False) -> QFontMetricsF:
    """Return what texts in a font measure."""
    return QFontMetricsF(font(size, bold))
