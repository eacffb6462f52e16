"""A changed recipe as the text it was read from, changed only where it must be."""

from collections.abc import Mapping
from difflib import SequenceMatcher
from typing import Any

from designer.errors import ReadableError
from designer.quantities import Fill
from designer.recipe.assessed import Assessed
from designer.recipe.layout import GAP, Block, Key, blocks, joined, with_line
from designer.recipe.reader import cell, parse
from designer.recipe.values import Recipe, Row, Swap, Variant
from designer.recipe.writer import (
    assessed_block,
    bench_entries,
    figure,
    fresh_text,
    head_entries,
    inline,
    label_entries,
    percent_literal,
    row_block,
    row_entries,
    swap_entries,
    variant_block,
    variant_entries,
)

__all__ = ["text"]

Additions = dict[Key, list[str]]
"""Lines to put into blocks, by the key of the block."""


def text(recipe: Recipe) -> str:
    """Return the text of a recipe's file.

    A recipe made anew is written in full. One that was read comes back as the text read, with
    its comments, layout and unknown keys; what was not changed stays to the byte.

    Notes
    -----
    The text is read back before it is handed out. TOML allows layouts in which a change cannot
    be placed line by line; such a file is written anew, its old text kept below as a comment.
    """
    if not recipe.source:
        return fresh_text(recipe)
    before = parse(recipe.source)
    if before == recipe:
        return recipe.source
    try:
        changed = _changed(before, recipe)
        if parse(changed) == recipe:
            return changed
    except Exception:
        # Whatever two libraries make of a rare layout, the maker's recipe is saved.
        pass
    return _anew(recipe)


def _anew(recipe: Recipe) -> str:
    old = "".join(f"# {line}".rstrip() + "\n" for line in recipe.source.splitlines())
    return f"{fresh_text(recipe)}\n# The file as it was before it was laid out anew:\n{old}"


def _changed(before: Recipe, after: Recipe) -> str:
    """Return the source of `before` changed to say `after`."""
    source = after.source.removeprefix("\ufeff")
    mark = after.source[: len(after.source) - len(source)]
    # Work with one kind of line end; only a file that keeps to the other is given it back.
    windows = source.count("\r\n") == source.count("\n") > 0
    source = source.replace("\r\n", "\n") if windows else source
    values, additions = _with_values(source, before, after)
    result = _with_blocks(values, additions, before, after)
    return mark + (result.replace("\n", "\r\n") if windows else result)


def _with_values(source: str, before: Recipe, after: Recipe) -> tuple[str, Additions]:
    """Return the source with the values of its keys changed, and the lines that it lacks."""
    import tomlkit

    document = tomlkit.parse(source)
    lines: Additions = {}
    lines[()] = _edit(document, head_entries(before), head_entries(after))
    bench = bench_entries(before.bench), bench_entries(after.bench)
    lines["bench",] = _edit(document.get("bench"), *bench)
    labels = label_entries(before.label), label_entries(after.label)
    lines["label",] = _edit(document.get("label"), *labels)
    table = document.get("variants", {})
    kept = {variant.number: variant for variant in before.variants}
    for variant in after.variants:
        if old := kept.get(variant.number):
            entries = variant_entries(old), variant_entries(variant)
            lines["variants", old.number] = _edit(table.get(old.number), *entries)
    for row in after.rows:
        if row.origin is not None:
            entry = document["row"][row.origin]
            lines["row", row.origin] = _edit_row(entry, before, after, row)
            lines["row", row.origin, "percent"] = _edit_percent(entry, row, after)
    return tomlkit.dumps(document), lines


def _edit(table: Any, before: Mapping[str, str], after: Mapping[str, str]) -> list[str]:
    """Change the entries a table has; return the lines of those it lacks."""
    import tomlkit
    from tomlkit.items import InlineTable

    # Only an inline table can take a new key without a line of its own.
    inline_table = isinstance(table, InlineTable)
    wanting = []
    for key in {**before, **after}:
        literal = after.get(key)
        there = table is not None and key in table
        if literal == before.get(key):
            continue
        if literal is None:
            if there:
                del table[key]
        elif there or inline_table:
            table[key] = tomlkit.value(literal)
        else:
            wanting.append(f"{key} = {literal}")
    return wanting


def _edit_row(table: Any, before: Recipe, after: Recipe, row: Row) -> list[str]:
    """Change a row as `_edit`, its swaps one by one; its percent is not looked at here."""
    old = before.rows[row.origin or 0]
    entries = row_entries(old, before.numbers), row_entries(row, after.numbers)
    for each in entries:
        del each["percent"]
    if "swaps" in table and all("swaps" in each for each in entries):
        _edit_swaps(table["swaps"], old.swaps, row.swaps)
        for each in entries:
            del each["swaps"]
    return _edit(table, *entries)


def _edit_percent(table: Any, row: Row, after: Recipe) -> list[str]:
    """Change the cells that do not say what is wanted; return the lines a sub-table lacks.

    What a cell says is read anew, for "12 g" says something else in another batch.
    """
    import tomlkit
    from tomlkit.items import InlineTable

    cells, batch = table["percent"], after.bench.stated_batch
    if not isinstance(cells, dict):
        if any(not _says(cells, row.percents.get(number), batch) for number in after.numbers):
            table["percent"] = tomlkit.value(percent_literal(row, after.numbers))
        return []
    wanted = {n: figure(amount) for n, amount in row.percents.items() if amount is not None}
    if isinstance(cells, InlineTable) and set(cells) != set(wanted):
        table["percent"] = tomlkit.value(inline(wanted))
        return []
    for number in set(cells) - set(wanted):
        del cells[number]
    for number in cells:
        if not _says(cells[number], row.percents[number], batch):
            cells[number] = tomlkit.value(wanted[number])
    return [f"{number} = {literal}" for number, literal in wanted.items() if number not in cells]


def _says(item: Any, wanted: float | Fill | None, batch: float | None) -> bool:
    """Return whether a cell of the file reads as what is wanted."""
    try:
        return cell(item.unwrap(), batch) == wanted
    except ReadableError:
        return False


def _edit_swaps(array: Any, old: tuple[Swap, ...], new: tuple[Swap, ...]) -> None:
    """Change a list of swaps one by one; those that stay keep their unknown keys."""
    import tomlkit

    steps = SequenceMatcher(None, old, new, autojunk=False).get_opcodes()
    # From the end, so that places before it still count.
    for _, start, end, first, last in reversed(steps):
        shared = min(end - start, last - first)
        for number in range(end - start - 1, shared - 1, -1):
            del array[start + number]
        for number in range(shared):
            entries = swap_entries(old[start + number]), swap_entries(new[first + number])
            if entries[0] != entries[1]:
                _edit(array[start + number], *entries)
        for number in range(shared, last - first):
            swap = new[first + number]
            array.insert(start + number, tomlkit.value(inline(swap_entries(swap))))


def _with_blocks(source: str, additions: Additions, before: Recipe, after: Recipe) -> str:
    """Return the source with lines put in, and its rows and variants as `after` has them."""
    original = blocks(source)
    parts = [_with_lines(part, additions) for part in original]
    found = {part.key: part for part in parts}
    for name in ("bench", "label"):
        if additions[name,] and (name,) not in found:
            block = _with_lines(Block((name,), f"[{name}]\n"), additions)
            parts = _arranged(parts, name, [block])
    if before.variants != after.variants:
        variants = [found.get(("variants", v.number)) or _new_variant(v) for v in after.variants]
        parts = _arranged(parts, "variants", variants)
    if [row.origin for row in after.rows] != list(range(len(before.rows))):
        rows = [
            _new_row(row, after) if row.origin is None else found["row", row.origin]
            for row in after.rows
        ]
        parts = _arranged(parts, "row", rows)
    for kind, old, new in (
        ("assessed", before.assessed, after.assessed),
        ("released", before.released, after.released),
    ):
        if old != new:
            parts = _with_formulas(parts, kind, old, new)
    return joined(parts, original)


def _with_formulas(
    parts: list[Block], kind: str, old: tuple[Assessed, ...], new: tuple[Assessed, ...]
) -> list[Block]:
    """Return the blocks with formulas put in or taken out; those that stay keep their lines."""
    there = [part for part in parts if part.key == (kind,)]
    found = dict(zip(old, there, strict=True))
    wanted = [found.get(one) or Block((kind,), assessed_block(kind, one)) for one in new]
    if there:
        return _arranged(parts, kind, wanted)
    return [*parts, *wanted]


def _with_lines(part: Block, additions: Additions) -> Block:
    for line in additions.get((*part.key, "percent"), []):
        part = with_line(part, line, in_rest=True)
    for line in additions.get(part.key, []):
        part = with_line(part, line)
    return part


def _arranged(parts: list[Block], kind: str, wanted: list[Block]) -> list[Block]:
    """Return the blocks with those of a kind replaced by the wanted ones, in their order."""
    kinds = [part.key[0] if part.key else "" for part in parts]
    rows = [number for number, each in enumerate(kinds) if each in (GAP[0], "row")]
    end = rows[0] if rows and kind != "row" else len(parts)
    first = kinds.index(kind) if kind in kinds else end
    others = [part for part, each in zip(parts, kinds, strict=True) if each != kind]
    return [*parts[:first], *wanted, *others[first:]]


def _new_row(row: Row, recipe: Recipe) -> Block:
    return Block(("row", "new"), row_block(row, recipe.numbers))


def _new_variant(variant: Variant) -> Block:
    return Block(("variants", "new"), variant_block(variant))
