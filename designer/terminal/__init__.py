"""The command line."""

from designer.terminal.commands import run

__all__ = ["run"]
