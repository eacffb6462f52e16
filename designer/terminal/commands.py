"""The commands, their help, and what happens when one fails."""

import errno
import os
import sys
from argparse import ArgumentParser, RawDescriptionHelpFormatter
from contextlib import suppress
from importlib import import_module
from typing import TYPE_CHECKING, NoReturn, Protocol

from designer import __version__
from designer.errors import ReadableError
from designer.terminal import layout, sources

if TYPE_CHECKING:
    from designer.terminal.snapshot import Shot

COMMANDS = (
    "check",
    "compare",
    "fix",
    "label",
    "limits",
    "log",
    "materials",
    "new",
    "pantry",
    "snapshot",
    "swap",
)
"""Each is a module of this room with HELP, EXAMPLES, add_arguments and run."""

DONE, NO, BAD_INPUT, BUG, STOPPED = 0, 1, 2, 70, 130

_UNWRITABLE = (errno.ENOSPC, errno.EDQUOT, errno.EFBIG, errno.EIO)

_DESCRIPTION = """Says before the powder is opened whether a solid shampoo bar dough will knead
clean, and how sure that is. The window opens without a command, or with recipe files; here in the
terminal, start with a demo recipe, or make your own from a table:

  bar-dough
  bar-dough my_bar.toml
  bar-dough check demo_recipes/oat_bar.toml
  bar-dough new my_bar.toml --from-csv my_bar.csv
"""

_EPILOG = """exit codes: 0 done, 1 the answer is no (nothing found), 2 bad input.
"bar-dough COMMAND --help" teaches a command."""


class Screen(Protocol):
    """What the command line may ask of a screen. It is handed in, for this room has none."""

    def show(self, files: list[str]) -> int:
        """Open recipe files in the window, or the recipe last open; return the exit code."""

    def draw(self, shot: "Shot") -> None:
        """Draw the window into a picture."""


class _Parser(ArgumentParser):
    """A parser whose complaints are errors for people."""

    def error(self, message: str) -> NoReturn:
        raise ReadableError(
            "Command line", f"{message[0].upper()}{message[1:]}.", f'See "{self.prog} --help".'
        )

    def print_help(self, file: object = None) -> None:
        """Print the help in letters that the terminal has."""
        layout.say(self.format_help().rstrip())


def parser() -> ArgumentParser:
    """Return the parser of all commands."""
    top = _Parser(
        "bar-dough",
        description=_DESCRIPTION,
        epilog=_EPILOG,
        formatter_class=RawDescriptionHelpFormatter,
        allow_abbrev=False,
    )
    top.add_argument("--version", action="version", version=f"bar-dough {__version__}")
    choices = top.add_subparsers(dest="command", metavar="COMMAND", title="commands")
    for name in COMMANDS:
        module = import_module(f"designer.terminal.{name}")
        one = choices.add_parser(
            name,
            help=module.HELP,
            description=f"{module.HELP[0].upper()}{module.HELP[1:]}.",
            epilog=module.EXAMPLES,
            formatter_class=RawDescriptionHelpFormatter,
            allow_abbrev=False,
        )
        module.add_arguments(one)
        one.set_defaults(run=module.run)
    return top


def run(arguments: list[str], screen: Screen | None = None) -> int:
    """Run a command line and return its exit code; what goes wrong is one sentence.

    Without a command the window opens, if there is a screen; else the help is printed.
    """
    try:
        code = _carried_out(arguments, screen)
        if sys.stdout is not None:
            sys.stdout.flush()  # here, while a failure can still be told
        return code
    except ReadableError as error:
        layout.complain(error)
        return BAD_INPUT
    except BrokenPipeError:
        # The reader went away, as "| head" does: nothing to say, and nowhere to say it.
        _drop_output()
        return DONE
    except KeyboardInterrupt:
        layout.complain("stopped.")
        return STOPPED
    except Exception as error:
        return _failed(error)


def _carried_out(arguments: list[str], screen: Screen | None) -> int:
    if screen is not None and _are_files(arguments):
        return screen.show([sources.named(name) for name in arguments])
    try:
        chosen = parser().parse_args(arguments)
    except SystemExit as stop:  # --help and --version
        return int(stop.code or 0)
    if chosen.command is None:
        parser().print_help()
        return DONE
    chosen.screen = screen
    return int(chosen.run(chosen))


def _are_files(arguments: list[str]) -> bool:
    """Return whether there is no command, only recipe files or nothing at all."""
    return all(name.lower().endswith(".toml") and name[0] != "-" for name in arguments)


def _failed(error: Exception) -> int:
    """Tell of what no command foresaw: a full disk behind the output, or a mistake of ours."""
    if os.environ.get("BAR_DOUGH_DEBUG"):
        raise error
    if isinstance(error, OSError) and error.errno in _UNWRITABLE:
        _drop_output()
        layout.complain(
            f"Output: It cannot be written: {os.strerror(error.errno)}. Send it elsewhere."
        )
        return BAD_INPUT
    layout.complain(
        f"this is a mistake of the program ({type(error).__name__}). Please report "
        "it with the recipe; BAR_DOUGH_DEBUG=1 shows where it happened."
    )
    return BUG


def _drop_output() -> None:
    """Send the rest of the output nowhere, or the interpreter would fail on it when it ends."""
    with suppress(OSError, ValueError):
        os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())
