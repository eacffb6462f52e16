"""Colours and measures of the window, light and dark."""

from dataclasses import dataclass
from functools import lru_cache

from PySide6.QtGui import QColor, QPalette
from PySide6.QtWidgets import QApplication

from designer.vocabulary import STATES

__all__ = [
    "DARK",
    "GUTTER",
    "LIGHT",
    "MARGIN",
    "ROW",
    "UNIT",
    "Theme",
    "blend",
    "now",
    "palette",
    "set_theme",
]

UNIT = 4
"""All measures are multiples of it [logical px]."""
MARGIN, GUTTER, ROW = 16, 24, 24
"""Edge of the window, between columns, height of a table row [logical px]."""


@dataclass(frozen=True)
class Theme:
    """Named colours, as "#rrggbb".

    Attributes
    ----------
    ground, paper : what everything stands on; plots and the active column
    ink, ink2 : text; text of less weight
    accent : what is active or focused, never what is bad
    line, hair : axes, heads and key borders; between rows
    good : blocks of known-good ranges
    scale : nine colours, dry to wet, evenly spaced
    field_alpha : alpha of the map's tint for chances <25, 25-50, 50-75, 75-90, >90 %
    """

    name: str
    ground: str
    paper: str
    ink: str
    ink2: str
    accent: str
    line: str
    hair: str
    good: str
    scale: tuple[str, ...]
    field_alpha: tuple[float, ...]

    def colour(self, token: str, alpha: float = 1.0) -> QColor:
        """Return a named colour with an alpha."""
        colour = QColor(getattr(self, token))
        colour.setAlphaF(alpha)
        return colour

    def state(self, name: str, alpha: float = 1.0) -> QColor:
        """Return the colour of a state of the dough."""
        colour = QColor(self.scale[2 * STATES.index(name)])
        colour.setAlphaF(alpha)
        return colour


LIGHT = Theme(
    "light",
    ground="#f2f1ee",
    paper="#fcfbf9",
    ink="#1a1c1e",
    ink2="#484b4e",
    accent="#96290a",
    line="#7e8184",
    hair="#d3d1cc",
    good="#d6d3cc",
    scale=(
        *("#eed4a1", "#cbc39d", "#aab198", "#8b9f94", "#6e8c90"),
        *("#53788c", "#3b6487", "#254f83", "#15387d"),
    ),
    field_alpha=(0.66, 0.47, 0.28, 0.08, 0.0),
)

DARK = Theme(
    "dark",
    ground="#14171a",
    paper="#1c2024",
    ink="#edebe5",
    ink2="#b7b9b9",
    accent="#f6977f",
    line="#7b8186",
    hair="#343a3f",
    good="#3a4147",
    scale=(
        *("#eed4a1", "#d0c7a1", "#b3b9a1", "#98aba2", "#7e9ba2"),
        *("#668ba3", "#517ba4", "#3e69a5", "#2e57a5"),
    ),
    field_alpha=(0.48, 0.36, 0.23, 0.07, 0.0),
)

_NOW = [LIGHT]


def now() -> Theme:
    """Return the theme in use. Widgets that paint ask for it as they paint."""
    return _NOW[0]


def set_theme(application: QApplication, theme: Theme) -> None:
    """Use a theme: every widget gets a palette change and repaints."""
    _NOW[0] = theme
    application.setPalette(palette(theme))


@lru_cache(maxsize=4)
def palette(theme: Theme) -> QPalette:
    """Return the theme as a palette for the widgets that Qt paints."""
    roles = QPalette.ColorRole
    colours = {
        roles.Window: theme.ground,
        roles.Base: theme.paper,
        roles.AlternateBase: theme.ground,
        roles.ToolTipBase: theme.paper,
        roles.Button: theme.ground,
        roles.WindowText: theme.ink,
        roles.Text: theme.ink,
        roles.ButtonText: theme.ink,
        roles.ToolTipText: theme.ink,
        roles.BrightText: theme.ink,
        roles.PlaceholderText: theme.ink2,
        roles.Highlight: theme.accent,
        roles.HighlightedText: theme.paper,
        roles.Link: theme.accent,
        roles.LinkVisited: theme.accent,
        roles.Light: theme.paper,
        roles.Midlight: theme.hair,
        roles.Mid: theme.line,
        roles.Dark: theme.line,
        roles.Shadow: theme.ink2,
    }
    made = QPalette()
    for role, colour in colours.items():
        made.setColor(role, QColor(colour))
    dimmed = QPalette.ColorGroup.Disabled
    for role in (roles.WindowText, roles.Text, roles.ButtonText):
        made.setColor(dimmed, role, QColor(theme.line))
    return made


def blend(first: QColor, second: QColor, share: float) -> QColor:
    """Return a colour between two, in sRGB."""
    channels = (QColor.redF, QColor.greenF, QColor.blueF, QColor.alphaF)
    return QColor.fromRgbF(
        *((1 - share) * channel(first) + share * channel(second) for channel in channels)
    )
