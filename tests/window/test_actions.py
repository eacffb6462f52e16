"""The table of commands."""

import collections
import itertools
import re

import pytest
from PySide6.QtCore import Qt
from PySide6.QtGui import QKeySequence
from PySide6.QtWidgets import QWidget

from designer.window.actions import COMMANDS, MENUS, actions, command
from designer.window.pages import PAGES


@pytest.fixture
def window(demo_window):
    for page in PAGES:  # each is made, with its commands, when it is first shown
        demo_window.pages.page(page.name)
    return demo_window


def test_names_are_unique_and_menus_known():
    assert len({one.name for one in COMMANDS}) == len(COMMANDS)
    assert {one.menu for one in COMMANDS} == set(MENUS)


@pytest.mark.parametrize("one", COMMANDS, ids=lambda one: one.name)
def test_every_command_has_readable_words_and_real_keys(one):
    assert re.match(r"[A-Z&]", one.text)
    assert one.text.count("&") == 1
    assert one.tip[0].isupper()
    assert not one.tip.endswith(".")
    for key in one.keys:
        assert QKeySequence(key)[0].key() != Qt.Key.Key_unknown


def test_no_two_commands_share_a_key():
    for part in {one.part for one in COMMANDS}:
        # What works everywhere works in a part too; parts never have the focus together.
        heard = [one for one in COMMANDS if one.part in (part, "window")]
        keys = collections.Counter(QKeySequence(key).toString() for c in heard for key in c.keys)
        assert [key for key, count in keys.items() if count > 1] == [], part


def test_letters_of_a_menu_are_used_once():
    for menu in MENUS:
        letters = [
            one.text[one.text.index("&") + 1].lower() for one in COMMANDS if one.menu == menu
        ]
        twice = [letter for letter, count in collections.Counter(letters).items() if count > 1]
        assert twice == [], menu


def test_single_letters_work_in_a_part_only():
    for one in COMMANDS:
        for key in one.keys:
            if len(key) == 1:
                assert one.part != "window", one.name


def test_every_command_of_the_table_is_in_its_menu_in_order_and_does_something(window):
    for name in MENUS:
        menu = window.menus[name]
        shown = [one.objectName() for one in menu.actions() if not one.isSeparator()]
        assert shown == [one.name for one in COMMANDS if one.menu == name]


def test_rules_part_the_groups_and_none_stands_at_an_end(window):
    for menu in window.menus.values():
        lines = [one.isSeparator() for one in menu.actions()]
        assert not lines[0]
        assert not lines[-1]
        assert all(not (a and b) for a, b in itertools.pairwise(lines))


def test_filling_the_menus_again_changes_nothing(window):
    before = [[one.text() for one in menu.actions()] for menu in window.menus.values()]
    window._fill_menus()
    assert [[one.text() for one in menu.actions()] for menu in window.menus.values()] == before


def test_a_command_without_a_handler_is_not_made(qapp, qtbot):
    holder = QWidget()
    qtbot.addWidget(holder)
    made = actions(holder, {"save": lambda: None})
    assert list(made) == ["save"]
    assert made["save"].statusTip() == command("save").tip
