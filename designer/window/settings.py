"""What the window remembers between two starts."""

from pathlib import Path

import platformdirs
from PySide6.QtCore import QByteArray, QSettings

__all__ = ["MOST_RECENT", "THEMES", "Settings"]

THEMES = ("system", "light", "dark")
MOST_RECENT = 10
"""Recent files that are kept."""


class Settings:
    """Layout and choices of the maker, in a plain file.

    A file that is broken or says something that cannot be is taken as if it were not there, and
    one that cannot be written is no reason to say anything: nothing of the maker's work is in it.

    Parameters
    ----------
    path : path or None
        The file; None remembers while the program runs, and writes nothing.
    """

    def __init__(self, path: Path | None) -> None:
        self._kept: dict[str, object] = {}
        self._file = None if path is None else QSettings(str(path), QSettings.Format.IniFormat)

    @classmethod
    def of_user(cls) -> "Settings":
        """Return the settings of who runs the program."""
        return cls(Path(platformdirs.user_config_dir("bar-dough")) / "window.ini")

    @property
    def theme(self) -> str:
        """One of `THEMES`."""
        kept = self._text("theme")
        return kept if kept in THEMES else "system"

    @theme.setter
    def theme(self, theme: str) -> None:
        self._keep("theme", theme)

    @property
    def recent(self) -> list[Path]:
        """Files opened or saved, the last one first; some may be gone."""
        kept = self._value("recent")
        # A list of one is read back as its text.
        texts = [kept] if isinstance(kept, str) else kept if isinstance(kept, list) else []
        paths = [
            Path(text) for text in texts if isinstance(text, str) and text and "\0" not in text
        ]
        return [path for path in paths if path.is_absolute()][:MOST_RECENT]

    def add_recent(self, path: Path) -> None:
        """Put a file first among the recent ones."""
        path = path.absolute()
        self._keep_recent([path, *(one for one in self.recent if one != path)])

    def forget_recent(self, path: Path) -> None:
        """Take a file out of the recent ones."""
        self._keep_recent([one for one in self.recent if one != path])

    def _keep_recent(self, paths: list[Path]) -> None:
        self._keep("recent", [str(path) for path in paths[:MOST_RECENT]])

    @property
    def last(self) -> Path | None:
        """The recipe last open; None where it was one without a file, or at the first start."""
        kept = self._text("last")
        return Path(kept) if kept and "\0" not in kept else None

    @last.setter
    def last(self, path: Path | None) -> None:
        self._keep("last", "" if path is None else str(path.absolute()))

    @property
    def geometry(self) -> QByteArray:
        """Size and place of the window; empty if none is known."""
        kept = self._value("geometry")
        return kept if isinstance(kept, QByteArray) else QByteArray()

    @geometry.setter
    def geometry(self, geometry: QByteArray) -> None:
        self._keep("geometry", geometry)

    def checked(self, name: str) -> bool | None:
        """Return whether a command was switched on; None if it was never touched."""
        return {"true": True, "false": False}.get(self._text(f"shown/{name}"))

    def keep_checked(self, name: str, checked: bool) -> None:
        """Remember whether a command is switched on."""
        self._keep(f"shown/{name}", "true" if checked else "false")

    def _text(self, key: str) -> str:
        kept = self._value(key)
        return kept if isinstance(kept, str) else ""

    def _value(self, key: str) -> object:
        return self._kept.get(key) if self._file is None else self._file.value(key)

    def _keep(self, key: str, value: object) -> None:
        if self._file is None:
            self._kept[key] = value
        elif self._file.value(key) != value:
            self._file.setValue(key, value)
