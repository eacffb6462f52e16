"""The figures of one row of a recipe."""

from collections.abc import ItemsView, Iterator, Mapping, ValuesView
from typing import Any

from designer.quantities import Fill

__all__ = ["Percents"]


class Percents(Mapping[str, float | Fill]):
    """The figures of one row by variant number: percent or `QS`; a variant left out has none."""

    __slots__ = ("_cells",)

    def __init__(self, cells: Mapping[str, float | Fill | None] | None = None) -> None:
        self._cells = {number: cell for number, cell in (cells or {}).items() if cell is not None}

    def __getitem__(self, number: str) -> float | Fill:
        return self._cells[number]

    def __iter__(self) -> Iterator[str]:
        return iter(self._cells)

    def __len__(self) -> int:
        return len(self._cells)

    # As Mapping has them, but by way of the dictionary: they are asked a thousand times for a key.

    def __contains__(self, number: object) -> bool:
        return number in self._cells

    def __eq__(self, other: object) -> bool:
        return self._cells == (other._cells if isinstance(other, Percents) else other)

    def get(self, number: str, default: Any = None) -> Any:
        """Return the figure of a variant, or `default` where it has none."""
        return self._cells.get(number, default)

    def items(self) -> ItemsView[str, float | Fill]:
        """Return the numbers of variants with their figures."""
        return self._cells.items()

    def values(self) -> ValuesView[float | Fill]:
        """Return the figures."""
        return self._cells.values()

    def __hash__(self) -> int:
        return hash(frozenset(self._cells.items()))

    def __repr__(self) -> str:
        return f"Percents({self._cells!r})"

    def changed(self, number: str, cell: float | Fill | None) -> "Percents":
        """Return a copy with one variant's figure changed, or taken away by None."""
        return Percents({**self._cells, number: cell})
