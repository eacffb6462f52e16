"""The dough map in words and as a table, for who does not see it."""

import math
from collections.abc import Mapping

from designer.evaluation.evaluate import Evaluation
from designer.evaluation.readings import outside_model, state
from designer.window.figures import joined
from designer.window.recipe.map_field import Field
from designer.window.recipe.map_handle import Spot

__all__ = ["numbers", "spoken"]


def spoken(result: Evaluation) -> str:
    """Return where every variant lies and how it kneads, a sentence each."""
    return " ".join(
        _sentence(result, place, number) for place, number in enumerate(result.recipe.numbers)
    )


def _sentence(result: Evaluation, place: int, number: str) -> str:
    ratio = float(result.mixture.liquid_to_powder[place])
    liquid = f"liquid to powder {ratio:.2f}" if math.isfinite(ratio) else "no powder"
    melt = joined(float(result.mixture.melt_fraction[place]), "melt_fraction")
    where = f"{liquid}, melt phase {melt}"
    if why := outside_model(result, place):
        return f"Variant {number}: {where}; no forecast, {why}."
    clean = round(20 * float(result.clean_knead_chance[place]))
    return (
        f"Variant {number}: {where}; kneads clean in {clean} of 20; "
        f"it lies among {state(result, place)} doughs."
    )


def numbers(
    result: Evaluation | None, there: Mapping[str, Spot], field: Field | None
) -> tuple[tuple[str, ...], list[tuple[str, ...]]]:
    """Return a map as a table: header, then the variants, then a coarse raster."""
    header = ("point", "liquid : powder, g/g", "melt phase, %", "clean, of 20", "else")
    rows: list[tuple[str, ...]] = []
    for place, number in enumerate(result.recipe.numbers if result else ()):
        assert result is not None
        spot = there[number]
        chance = f"{round(20 * float(result.clean_knead_chance[place]))}"
        rows.append(
            (
                f"variant {number}",
                f"{spot.x:.2f}" if math.isfinite(spot.x) else "no powder",
                f"{100 * spot.y:.1f}",
                "no forecast" if outside_model(result, place) else chance,
                state(result, place),
            )
        )
    if field is not None:
        chart = field.chart
        for row in range(0, chart.y.size, (chart.y.size - 1) // 4):
            for column in range(0, chart.x.size, (chart.x.size - 1) // 6):
                rows.append(_raster_row(field, row, column))
    return header, rows


def _raster_row(field: Field, row: int, column: int) -> tuple[str, ...]:
    chart = field.chart
    x, y = float(chart.x[column]), float(chart.y[row])
    chance = f"{round(20 * float(chart.chance[row, column]))}"
    if field.silent[row, column]:
        chance = "no forecast" if chart.reachable[row, column] else "out of reach"
    return "map", f"{x:.2f}", f"{100 * y:.1f}", chance, field.state_at(x, y)
