"""The text of a recipe file: entries of each table as TOML literals, and a new file in full."""

from collections.abc import Mapping
from dataclasses import replace
from decimal import Decimal

from designer.quantities import QS, Fill, written_chance, written_exactly, written_span
from designer.recipe.assessed import Assessed
from designer.recipe.label import DEFAULT_WIDTH, Label, written_net, written_panel
from designer.recipe.values import DEFAULT_WANTED, Bench, Recipe, Row, Swap, Variant
from designer.recipe.versions import CURRENT

__all__ = [
    "assessed_block",
    "bench_entries",
    "block",
    "figure",
    "fresh_text",
    "head_entries",
    "inline",
    "label_entries",
    "percent_literal",
    "row_entries",
    "swap_entries",
    "variant_entries",
]

Entries = dict[str, str]
"""Keys of a table in order, each with its value as a TOML literal."""


def fresh_text(recipe: Recipe) -> str:
    """Return a new file that holds the recipe, laid out for a person to read and change."""
    parts = [
        f"# Percent of the whole dough, as weighed.\nformat = {CURRENT}\n"
        + _lines(head_entries(recipe)),
        block("[bench]", bench_entries(recipe.bench)),
    ]
    if label := label_entries(recipe.label):
        parts.append(block("[label]", label))
    variants = recipe.variants
    if len(variants) == 1:
        # One alone is active without saying so.
        variants = (replace(variants[0], active=False),)
    parts.append("".join(variant_block(variant) for variant in variants))
    rows = [row_block(row, recipe.numbers) for row in recipe.rows]
    if rows:
        rows[0] = f"# Rows in the order of work.\n{rows[0]}"
    formulas = [assessed_block("assessed", one) for one in recipe.assessed]
    formulas += [assessed_block("released", one) for one in recipe.released]
    return "\n".join(parts + rows + formulas)


def block(header: str, entries: Mapping[str, str]) -> str:
    """Return a table: its header and its entries, a line each."""
    return f"{header}\n{_lines(entries)}"


def row_block(row: Row, numbers: tuple[str, ...]) -> str:
    """Return one row as a table."""
    return block("[[row]]", row_entries(row, numbers))


def variant_block(variant: Variant) -> str:
    """Return one variant as a table."""
    return block(f"[variants.{variant.number}]", variant_entries(variant))


def assessed_block(kind: str, one: Assessed) -> str:
    """Return a formula as a table; `kind` is "assessed" or "released"."""
    parts = []
    for part in one.formula:
        entries = {"phase": _string(part.phase), "name": _string(part.name)}
        if part.inci:
            entries["inci"] = _string(part.inci)
        entries["percent"] = figure(part.percent)
        parts.append(f"  {inline(entries)},\n")
    entries = {
        "report": _string(one.report),
        "name": _string(one.name),
        "date": _string(one.date),
        "variant": _string(one.variant),
        "formula": f"[\n{''.join(parts)}]",
    }
    return block(f"[[{kind}]]", entries)


def head_entries(recipe: Recipe) -> Entries:
    """Return the entries above all tables, without the format."""
    entries = {"name": _string(recipe.name)}
    if recipe.notes:
        entries["notes"] = _text(recipe.notes)
    return entries


def bench_entries(bench: Bench) -> Entries:
    """Return the conditions: what always matters, and what is stated."""
    entries = {name: _quantity(getattr(bench, name), name) for name in ("room", "humidity", "bath")}
    for name in ("liquids", "batch"):
        if getattr(bench, name) is not None:
            entries[name] = _quantity(getattr(bench, name), name)
    if bench.bars is not None:
        entries["makes"] = _string(f"{bench.bars} bars")
    if bench.net is not None:
        entries["net"] = _quantity(bench.net, "net")
    if bench.loss:
        entries["loss"] = _quantity(bench.loss, "loss")
    entries["knead"] = _string(written_span(*bench.knead, "knead"))
    if bench.wanted != DEFAULT_WANTED:
        entries["wanted"] = _string(written_chance(bench.wanted, "wanted"))
    return entries


def label_entries(label: Label) -> Entries:
    """Return what is stated of the label; what is as usual is left out."""
    entries, facts = {}, label.facts
    for name, usual in (("market", "EU"), ("basis", "added"), ("languages", "en fr")):
        if getattr(label, name) != usual:
            entries[name] = _string(getattr(label, name))
    if label.width != DEFAULT_WIDTH:
        entries["width"] = _quantity(label.width, "label_width")
    texts = {
        "declared": written_net(facts),
        "panel": written_panel(facts.panel),
        "product": facts.product,
        "function": facts.function,
        "batch_number": facts.batch,
        "made": facts.made.isoformat() if facts.made else "",
        "best_before": facts.best_before.isoformat() if facts.best_before else "",
    }
    entries |= {key: _string(text) for key, text in texts.items() if text}
    if facts.months_open is not None:
        entries["months_open"] = str(facts.months_open)
    for key in ("responsible", "address", "contact", "origin"):
        if text := getattr(facts, key):
            entries[key] = _text(text)
    for key, lines in (("own_lines", facts.own_lines), ("small_order", label.small_order)):
        if lines:
            entries[key] = f"[{', '.join(_string(line) for line in lines)}]"
    return entries


def variant_entries(variant: Variant) -> Entries:
    """Return the entries of a variant."""
    entries = {"title": _string(variant.title)}
    if variant.active:
        entries["active"] = "true"
    return entries


def row_entries(row: Row, numbers: tuple[str, ...]) -> Entries:
    """Return the entries of a row."""
    entries = {"phase": _string(row.phase), "name": _string(row.name)}
    if row.inci is not None:
        entries["inci"] = _string(row.inci)
    if row.given_class is not None:
        entries["class"] = _string(row.given_class)
    entries["percent"] = percent_literal(row, numbers)
    if row.held:
        held = sorted(row.held, key=int)
        entries["held"] = f"[{', '.join(_string(number) for number in held)}]"
    if row.swaps:
        swaps = "".join(f"  {inline(swap_entries(swap))},\n" for swap in row.swaps)
        entries["swaps"] = f"[\n{swaps}]"
    if row.note:
        entries["note"] = _text(row.note)
    return entries


def swap_entries(swap: Swap) -> Entries:
    """Return the entries of an allowed swap."""
    entries = _part(swap.name, swap.percent)
    if swap.alongside:
        entries["with"] = f"[{', '.join(inline(_part(*part)) for part in swap.alongside)}]"
    if swap.variant:
        entries["variant"] = _string(swap.variant)
    if swap.less:
        entries["less"] = f"[{', '.join(inline(_part(*part)) for part in swap.less)}]"
    if swap.stays:
        entries["stays"] = figure(swap.stays)
    if swap.chance is not None:
        entries["chance"] = figure(swap.chance)
    if swap.date:
        entries["date"] = _string(swap.date)
    return entries


def percent_literal(row: Row, numbers: tuple[str, ...]) -> str:
    """Return the figures of a row: one for a recipe of one variant, else a table."""
    cells = {n: cell for n in numbers if (cell := row.percents.get(n)) is not None}
    if len(numbers) == 1 and cells:
        return figure(cells[numbers[0]])
    return inline({number: figure(cell) for number, cell in cells.items()})


def figure(cell: float | Fill) -> str:
    """Return a percentage as a literal that reads back as the same float, or "q.s."."""
    if isinstance(cell, Fill):
        return _string(QS.value)
    literal = repr(float(cell))
    return format(Decimal(literal), "f") if "e" in literal else literal


def inline(entries: Mapping[str, str]) -> str:
    """Return entries as an inline table."""
    if not entries:
        return "{}"
    return f"{{ {', '.join(f'{key} = {literal}' for key, literal in entries.items())} }}"


def _part(name: str, percent: float) -> Entries:
    return {"name": _string(name), "percent": figure(percent)}


def _lines(entries: Mapping[str, str]) -> str:
    return "".join(f"{key} = {literal}\n" for key, literal in entries.items())


def _quantity(value: float, name: str) -> str:
    return _string(written_exactly(value, name))


_ESCAPES = {ord("\\"): "\\\\", ord('"'): '\\"', ord("\n"): "\\n", ord("\t"): "\\t"}


def _string(text: str) -> str:
    return f'"{text.translate(_ESCAPES)}"'


def _text(text: str) -> str:
    """Return text of one line or several; several stand as typed, so that lines can be compared."""
    if "\n" not in text:
        return _string(text)
    lines = "\n".join(_string(line)[1:-1] for line in text.split("\n"))
    return f'"""\n{lines}"""'
