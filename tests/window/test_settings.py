"""What the window remembers."""

from pathlib import Path

import pytest
from PySide6.QtCore import QByteArray

from designer.window.settings import MOST_RECENT, Settings


@pytest.fixture
def path(tmp_path):
    return tmp_path / "deep" / "window.ini"


def again(path, settings):
    """Return the settings of the next start."""
    if settings._file is not None:
        settings._file.sync()
    return Settings(path)


def test_everything_is_there_at_the_next_start(path, tmp_path):
    settings = Settings(path)
    settings.theme = "dark"
    settings.geometry = QByteArray(b"\0\1 size \xff")
    settings.last = tmp_path / "ä, ö; %20 = bar.toml"
    settings.keep_checked("show_inci", True)
    settings.keep_checked("usual_recipes", False)
    settings.add_recent(tmp_path / "one.toml")
    settings = again(path, settings)
    assert settings.theme == "dark"
    assert settings.geometry == QByteArray(b"\0\1 size \xff")
    assert settings.last == tmp_path / "ä, ö; %20 = bar.toml"
    assert settings.checked("show_inci") is True
    assert settings.checked("usual_recipes") is False
    assert settings.recent == [tmp_path / "one.toml"]


def test_a_first_start_knows_nothing(path):
    settings = Settings(path)
    assert settings.theme == "system"
    assert settings.recent == []
    assert settings.last is None
    assert settings.geometry.isEmpty()
    assert settings.checked("show_inci") is None
    assert not path.exists()


@pytest.mark.parametrize(
    "content",
    [
        b"",
        b"\0" * 500,
        b"\xff\xfe nonsense",
        b"theme dark\n[[[",
        b"[General]\ntheme=pink\nrecent=@Invalid()\nlast=@Variant(broken\ngeometry=12\n",
        b"[General]\ntheme=@ByteArray(x)\nrecent=relative.toml, \n[shown]\nshow_inci=perhaps\n",
    ],
)
def test_a_broken_file_is_as_none(path, content):
    path.parent.mkdir(parents=True)
    path.write_bytes(content)
    settings = Settings(path)
    assert settings.theme == "system"
    assert settings.recent == []
    assert settings.checked("show_inci") is None
    assert isinstance(settings.geometry, QByteArray)
    settings.theme = "light"
    assert again(path, settings).theme == "light"


def test_a_place_that_cannot_be_written_is_passed_over(tmp_path):
    (tmp_path / "file").write_text("in the way", encoding="utf-8")
    settings = Settings(tmp_path / "file" / "window.ini")
    settings.theme = "dark"
    assert settings.theme == "dark"


def test_recent_files_stand_once_the_last_first_and_not_too_many(path):
    settings = Settings(path)
    for number in range(MOST_RECENT + 3):
        settings.add_recent(Path(f"/bars/{number}.toml"))
    settings.add_recent(Path("/bars/5.toml"))
    assert settings.recent[0] == Path("/bars/5.toml")
    assert len(settings.recent) == len(set(settings.recent)) == MOST_RECENT
    settings.forget_recent(Path("/bars/5.toml"))
    assert Path("/bars/5.toml") not in again(path, settings).recent


def test_without_a_file_it_remembers_until_the_end_only():
    settings = Settings(None)
    settings.theme = "dark"
    settings.keep_checked("show_inci", True)
    assert settings.theme == "dark"
    assert settings.checked("show_inci")


def test_the_settings_lie_in_the_folder_for_settings():
    settings = Settings.of_user()
    settings.theme = "light"
    name = Path(settings._file.fileName())
    assert name.name == "window.ini"
    assert name.parent.name == "bar-dough"
