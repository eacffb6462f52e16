"""What pydantic says of a value, as a sentence for a person."""

from collections.abc import Sequence
from functools import lru_cache
from typing import Annotated, Any, Literal

from pydantic import ConfigDict, Field, TypeAdapter, ValidationError

STRICT = ConfigDict(extra="forbid", strict=True)
"""Keys must be known, and a number is no text and no truth value."""


def sentence(error: ValidationError) -> str:
    """Return what is wrong first, as one sentence."""
    first = error.errors()[0]
    name = str(first["loc"][-1]) if first["loc"] else "value"
    kind = first["type"]
    if kind in ("unexpected_keyword_argument", "extra_forbidden"):
        return f'"{name}" is not known here.'
    if kind in ("missing", "missing_argument"):
        return f'"{name}" is missing.'
    if kind.startswith("float"):
        return f'"{name}" is not a number.'
    if kind == "finite_number":
        return f'"{name}" is not a finite number.'
    if kind.startswith("string"):
        return f'"{name}" is not a text.'
    return f'"{name}": {first["msg"]}.'


@lru_cache(maxsize=256)
def _numbers(low: float, high: float) -> TypeAdapter[Any]:
    return TypeAdapter(list[Annotated[float, Field(ge=low, le=high, allow_inf_nan=False)]])


@lru_cache(maxsize=64)
def _choices(choices: tuple[str, ...]) -> TypeAdapter[Any]:
    return TypeAdapter(list[Literal[choices]])  # type: ignore[valid-type]


def numbers(cells: Sequence[str], low: float, high: float) -> list[float]:
    """Return texts as finite numbers within a range; ValidationError names the place."""
    found: list[float] = _numbers(low, high).validate_python(cells)
    return found


def check_choices(cells: Sequence[str], choices: tuple[str, ...]) -> None:
    """Raise ValidationError where a text is none of the choices."""
    _choices(choices).validate_python(cells)


def place(error: ValidationError) -> tuple[int, str]:
    """Return which of the cells fails first, and the kind of its fault."""
    first = error.errors()[0]
    return int(first["loc"][0]), str(first["type"])
