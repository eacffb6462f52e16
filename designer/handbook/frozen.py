"""A mapping that cannot be changed and crosses processes."""

from collections.abc import Iterator, Mapping
from typing import TypeVar

Key = TypeVar("Key")
Value = TypeVar("Value")


class Frozen(Mapping[Key, Value]):
    """A read-only mapping that can be pickled, unlike `types.MappingProxyType`."""

    __slots__ = ("_items",)

    def __init__(self, items: Mapping[Key, Value]) -> None:
        self._items = dict(items)

    def __getitem__(self, key: Key) -> Value:
        return self._items[key]

    def __iter__(self) -> Iterator[Key]:
        return iter(self._items)

    def __len__(self) -> int:
        return len(self._items)

    def __repr__(self) -> str:
        return f"Frozen({self._items!r})"
