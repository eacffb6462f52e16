"""What pydantic says of a value, as a sentence for a person."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import fields
from functools import lru_cache
from typing import TYPE_CHECKING, Annotated, Any, Literal, TypeVar

if TYPE_CHECKING:
    from pydantic import TypeAdapter, ValidationError

# pydantic is imported when tables are read: what only names a material need not wait for it.

_Kind = TypeVar("_Kind")


def made(kind: type[_Kind], entry: Mapping[str, Any]) -> _Kind:
    """Return a dataclass made of an entry of a file, or raise ValueError with a sentence.

    Keys must be known, and a number is no text and no truth value.
    """
    from pydantic import ValidationError

    try:
        checked = _strict(kind)(**entry)  # type: ignore[arg-type]
    except ValidationError as error:
        raise ValueError(sentence(error)) from None
    names = [one.name for one in fields(kind)]  # type: ignore[arg-type]
    return kind(**{name: getattr(checked, name) for name in names})


@lru_cache(maxsize=8)
def _strict(kind: type[Any]) -> type[Any]:
    from pydantic import ConfigDict
    from pydantic.dataclasses import dataclass

    return dataclass(kind, frozen=True, config=ConfigDict(extra="forbid", strict=True))


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
    from pydantic import Field, TypeAdapter

    return TypeAdapter(list[Annotated[float, Field(ge=low, le=high, allow_inf_nan=False)]])


@lru_cache(maxsize=64)
def _choices(choices: tuple[str, ...]) -> TypeAdapter[Any]:
    from pydantic import TypeAdapter

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
