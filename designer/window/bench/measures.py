"""Type and targets of the bench: read from an arm's length, met with a gloved finger."""

__all__ = ["BIG", "SMALL", "TARGET", "TITLE", "WORDS"]

SMALL, WORDS, TITLE, BIG = 16, 22, 26, 104
"""Sizes of type [logical px]: notes, everything, what is to be done, the time."""

TARGET = 56
"""Height of what is pressed [logical px]."""
