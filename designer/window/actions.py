"""The one table of commands: name, text, keys, menu, and what each does in a sentence."""

from collections.abc import Callable, Mapping
from dataclasses import dataclass

from PySide6.QtCore import Qt
from PySide6.QtGui import QAction, QKeySequence
from PySide6.QtWidgets import QWidget

from designer.vocabulary import STATES
from designer.wording.words import MEANING

__all__ = ["COMMANDS", "MENUS", "Command", "action", "actions", "command"]

MENUS = ("File", "Edit", "Variant", "Bench", "Checks", "View", "Help")
"""Menus of the window, from left to right."""


@dataclass(frozen=True)
class Command:
    """A thing the user can do.

    Attributes
    ----------
    name : what the code calls it
    menu : one of `MENUS`; commands stand in the order of the table
    text : in the menu, with the letter that Alt reaches marked by &
    keys : shortcuts, the shown one first
    tip : one sentence, said by the screen reader and in the foot
    part : "window", or the part of the page that must hold the focus for its keys: "table"
    group : commands of one group stand together; a rule parts the groups
    checkable : it is on or off
    """

    name: str
    menu: str
    text: str
    keys: tuple[str, ...]
    tip: str
    part: str = "window"
    group: int = 0
    checkable: bool = False


_FELT = ("&crumbly", "s&tiff", "p&liable", "&sticky", "slac&k")
"""The states of a dough, each with a letter that no other command of its menu has."""

COMMANDS: tuple[Command, ...] = (
    Command("new", "File", "&New recipe", ("Ctrl+N",), "Opens an empty recipe in a new window"),
    Command("open", "File", "&Open…", ("Ctrl+O",), "Opens a recipe file"),
    Command("recent", "File", "Open &recent", (), "Opens a recipe that was open before"),
    Command("demos", "File", "&Demo recipes", (), "Opens a copy of a demo recipe"),
    Command("save", "File", "&Save", ("Ctrl+S",), "Saves the recipe to its file", group=1),
    Command(
        "save_as", "File", "Save &as…", ("Ctrl+Shift+S",), "Saves it under another name", group=1
    ),
    Command(
        "export_label_pdf",
        "File",
        "Export &label as PDF…",
        (),
        "Saves the label at real size, with what to know before it is printed",
        group=2,
    ),
    Command(
        "export_label_svg", "File", "Export label as SV&G…", (), "Saves the label alone", group=2
    ),
    Command(
        "export_sheet",
        "File",
        "Export recipe s&heet…",
        (),
        "Saves the recipe as a sheet to publish, with its amounts or without",
        group=2,
    ),
    Command(
        "export_comparison",
        "File",
        "Export co&mparison…",
        ("Ctrl+Shift+E",),
        "Writes all variants beside each other: a page to print, a table, or values",
        group=2,
    ),
    Command("close", "File", "&Close", ("Ctrl+W",), "Closes this window", group=3),
    Command("quit", "File", "&Quit", ("Ctrl+Q",), "Closes all windows", group=3),
    Command("undo", "Edit", "&Undo", ("Ctrl+Z",), "Takes back the last step"),
    Command("redo", "Edit", "&Redo", ("Ctrl+Shift+Z", "Ctrl+Y"), "Does it again"),
    Command("cut", "Edit", "Cu&t rows", ("Ctrl+X",), "Copies rows and removes them", "table", 1),
    Command("copy", "Edit", "&Copy rows", ("Ctrl+C",), "Copies rows as text", "table", 1),
    Command("paste", "Edit", "&Paste rows", ("Ctrl+V",), "Puts in rows from text", "table", 1),
    Command(
        "copy_sentence",
        "Edit",
        "Copy the se&ntence",
        ("Ctrl+Shift+C",),
        "Copies what is said of the dough as text",
        group=1,
    ),
    Command("add_row", "Edit", "&Add ingredient", ("Insert",), "Adds a row", group=2),
    Command(
        "rename_row",
        "Edit",
        "Change &ingredient",
        ("F3",),
        "Puts another one in the row",
        "table",
        2,
    ),
    Command(
        "remove_row", "Edit", "Remo&ve ingredient", ("Ctrl+Delete",), "Removes the row", "table", 2
    ),
    Command(
        "swaps",
        "Edit",
        "Swaps for this in&gredient…",
        ("S",),
        "Finds what can stand in for the ingredient",
        "table",
        2,
    ),
    Command("move_up", "Edit", "M&ove up", ("Alt+Up",), "Moves the row up", "table", 3),
    Command("move_down", "Edit", "Move &down", ("Alt+Down",), "Moves the row down", "table", 3),
    Command(
        "to_melt", "Edit", "Move to &melt", ("Ctrl+Shift+1",), "Melted in the bath", "table", 3
    ),
    Command(
        "to_powder",
        "Edit",
        "Move to po&wder",
        ("Ctrl+Shift+2",),
        "Sieved and dry-blended",
        "table",
        3,
    ),
    Command(
        "to_liquid", "Edit", "Move to &liquid", ("Ctrl+Shift+3",), "Goes in unheated", "table", 3
    ),
    Command(
        "to_last", "Edit", "Move to la&st", ("Ctrl+Shift+4",), "Scent and preservative", "table", 3
    ),
    Command(
        "edit_figure", "Edit", "T&ype a figure", ("F2",), "Opens the cell in focus", "table", 4
    ),
    Command(
        "clear_figure",
        "Edit",
        "Cl&ear figure",
        ("Delete",),
        "Takes the figure away: the row has none in this variant",
        "table",
        4,
    ),
    Command(
        "fill_up",
        "Edit",
        "&Fill up to 100 % (q.s.)",
        ("Q",),
        "Lets this row fill up to 100 %, or makes it a number again",
        "table",
        4,
    ),
    Command(
        "hold", "Edit", "&Hold", ("H",), "Keeps this figure where it is, or lets it go", "table", 4
    ),
    Command(
        "make_hundred",
        "Edit",
        "Make the total &100 %",
        ("N",),
        "Brings all figures that are not held to a total of 100 %",
        "table",
        4,
    ),
    Command(
        "copy_variant",
        "Variant",
        "&Copy as a new variant",
        ("Ctrl+D",),
        "Adds a column with the same figures",
    ),
    Command("rename_variant", "Variant", "&Rename…", ("Ctrl+R",), "Gives it another title"),
    Command(
        "use_variant", "Variant", "&Use this one", ("U",), "Makes it the active variant", "table"
    ),
    Command(
        "next_variant",
        "Variant",
        "Use the &next",
        ("Ctrl+PgDown",),
        "Makes the next active",
        group=1,
    ),
    Command(
        "previous_variant",
        "Variant",
        "Use the &previous",
        ("Ctrl+PgUp",),
        "Makes the one before it active",
        group=1,
    ),
    Command(
        "pin_variant",
        "Variant",
        "&Beside the active one",
        ("P",),
        "Shows its readings beside those of the active variant",
        "table",
        2,
        True,
    ),
    Command(
        "delete_variant",
        "Variant",
        "&Delete",
        ("Ctrl+Shift+Delete",),
        "Removes the column and its figures",
        "table",
        3,
    ),
    Command(
        "apply_fix",
        "Variant",
        "&Apply the fix",
        ("Return", "Enter"),
        "Changes the active variant as the chosen fix says",
        "advice",
        4,
    ),
    Command(
        "fix_as_variant",
        "Variant",
        "Fix as a n&ew variant",
        ("Ctrl+Return", "Ctrl+Enter"),
        "Puts the chosen fix into a new variant beside this one",
        "advice",
        4,
    ),
    Command(
        "fix_wish",
        "Variant",
        "Another &wish…",
        ("W",),
        "Chooses what the fixes are to reach",
        "advice",
        4,
    ),
    Command(
        "apply_swap",
        "Variant",
        "Make the &swap",
        ("Return", "Enter"),
        "Puts the chosen stand-in in place of the ingredient",
        "swaps",
        5,
    ),
    Command(
        "swap_as_variant",
        "Variant",
        "Swap as a new &variant",
        ("Ctrl+Return", "Ctrl+Enter"),
        "Puts the chosen swap into a new variant beside this one",
        "swaps",
        5,
    ),
    Command(
        "keep_swap",
        "Variant",
        "&Keep or forget the swap",
        ("K",),
        "Keeps the chosen swap in the recipe as an allowed one, or forgets it again",
        "swaps",
        5,
    ),
    Command("poured", "Bench", "&Poured now", ("P",), "Melt and powder have just met", "bench"),
    *(
        Command(
            f"feel_{state}",
            "Bench",
            f"Felt: {marked}",
            (str(number),),
            f"The dough is {state}: {MEANING[state]}",
            "bench",
            1,
        )
        for number, (state, marked) in enumerate(zip(STATES, _FELT, strict=True), 1)
    ),
    Command(
        "bowl_done", "Bench", "&Done", ("D",), "The advice that is shown is carried out", "bench", 2
    ),
    Command("bowl_other", "Bench", "An&other advice", ("O",), "Shows the next advice", "bench", 2),
    Command(
        "next_market", "Checks", "Next &market", ("M",), "Checks for the next market", "checks"
    ),
    Command(
        "sort_checks",
        "Checks",
        "&Sort otherwise",
        ("S",),
        "Puts the checks under groups, or under verdicts",
        "checks",
        1,
    ),
    Command(
        "show_checks",
        "Checks",
        "Show o&thers",
        ("V",),
        "Shows all checks, or those of some verdicts alone",
        "checks",
        1,
    ),
    Command(
        "copy_checks",
        "Checks",
        "&Copy the checks",
        ("Ctrl+C",),
        "Copies the rows chosen, or all, as a table",
        "checks",
        1,
    ),
    Command(
        "export_checks",
        "Checks",
        "&Export the checks…",
        ("Ctrl+E",),
        "Writes the checks to a CSV file",
        "checks",
        1,
    ),
    Command(
        "target_ph",
        "Checks",
        "Target &pH",
        ("T",),
        "Types the pH of the slurry that is wanted",
        "checks",
        2,
    ),
    Command(
        "freeze_formula",
        "Checks",
        "&Freeze as assessed…",
        ("F",),
        "Notes the active variant as the formula that was assessed",
        "checks",
        3,
    ),
    Command(
        "release_formula",
        "Checks",
        "&Release…",
        ("R",),
        "Notes who releases a formula outside the assessed one",
        "checks",
        3,
    ),
    Command(
        "own_tables",
        "Checks",
        "&Own tables…",
        ("O",),
        "Edits the own rows of limits and allergens",
        "checks",
        4,
    ),
    Command("page_recipe", "View", "&Recipe", ("Ctrl+1",), "Shows the page Recipe", group=-1),
    Command("page_bench", "View", "&Bench", ("Ctrl+2",), "Shows the page Bench", group=-1),
    Command("page_label", "View", "Lab&el", ("Ctrl+4",), "Shows the page Label", group=-1),
    Command("page_checks", "View", "C&hecks", ("Ctrl+5",), "Shows the page Checks", group=-1),
    Command(
        "show_inci",
        "View",
        "&INCI names",
        ("Ctrl+I",),
        "Shows INCI names in the table",
        checkable=True,
    ),
    Command(
        "usual_recipes",
        "View",
        "&Usual recipes on the map",
        (),
        "Shows usual recipes as crosses on the map",
        checkable=True,
    ),
    Command(
        "numbers",
        "View",
        "&Numbers of the plot…",
        ("F7",),
        "Shows the numbers behind the map and the clock as a table",
    ),
    Command(
        "show_fixes", "View", "&Fixes", ("F8",), "Shows the smallest changes that mend it", group=1
    ),
    Command(
        "show_forgiveness",
        "View",
        "For&giveness",
        ("F4",),
        "Shows how far each ingredient and condition may drift",
        group=1,
    ),
    Command("show_why", "View", "&Why", ("F9",), "Shows why a reading is what it is", group=1),
    Command(
        "show_differences",
        "View",
        "Wh&y different",
        ("Shift+F9",),
        "Shows what sets the variants beside it apart from the active one",
        group=1,
    ),
    Command(
        "next_part", "View", "Ne&xt part", ("F6",), "Goes to the next part of the page", group=1
    ),
    Command(
        "previous_part",
        "View",
        "Pre&vious part",
        ("Shift+F6",),
        "Goes to the part before it",
        group=1,
    ),
    Command("to_table", "View", "&Table", ("Esc",), "Goes back to the table", group=1),
    Command(
        "theme_system",
        "View",
        "As the &system",
        (),
        "Light or dark as the system",
        group=2,
        checkable=True,
    ),
    Command("theme_light", "View", "&Light", (), "Light colours", group=2, checkable=True),
    Command("theme_dark", "View", "&Dark", (), "Dark colours", group=2, checkable=True),
    Command("words", "Help", "What the &words mean", ("F1",), "Explains the words of the window"),
    Command("keys", "Help", "&Keys", ("Ctrl+F1",), "Lists all keys"),
    Command("about", "Help", "&About", (), "Version, licences and what the program cannot know"),
)
"""All commands. A command without a handler in the window is not shown."""


def command(name: str) -> Command:
    """Return the command of that name."""
    return next(one for one in COMMANDS if one.name == name)


def action(name: str, parent: QWidget, handler: Callable[[], object]) -> QAction:
    """Return a command as an action of `parent`, which handles its keys.

    The keys of a part of the page work while the focus is in it, so that single letters can be
    typed elsewhere.
    """
    known = command(name)
    made = QAction(known.text, parent)
    made.setObjectName(name)
    made.setShortcuts([QKeySequence(key) for key in known.keys])
    made.setStatusTip(known.tip)
    made.setCheckable(known.checkable)
    if known.part != "window":
        made.setShortcutContext(Qt.ShortcutContext.WidgetWithChildrenShortcut)
    # The handler wants no word of whether the action is checked.
    made.triggered.connect(lambda _checked=False: handler())
    parent.addAction(made)
    return made


def actions(parent: QWidget, handlers: Mapping[str, Callable[[], object]]) -> dict[str, QAction]:
    """Return the actions of `parent` by name, in the order of the table."""
    return {
        one.name: action(one.name, parent, handlers[one.name])
        for one in COMMANDS
        if one.name in handlers
    }
