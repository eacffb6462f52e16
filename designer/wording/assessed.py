"""The assessed formula in words: whether a variant still is it, what differs, who released it."""

from designer.evaluation.assessed import AssessedDifference, Change
from designer.wording.checks import day_words

__all__ = ["HOLD", "NOT_FROZEN", "change_line", "difference_lines", "hold_words", "standing_words"]

HOLD = "Outside the assessed formula: hold"

NOT_FROZEN = (
    "No formula of this recipe is noted as assessed. Freeze the variant that a qualified person "
    "assessed: every later difference is then told here and on the label."
)


def hold_words(found: AssessedDifference | None) -> str:
    """Return what batch and label must carry, "" where nothing is held."""
    return HOLD if found is not None and found.is_held else ""


def standing_words(found: AssessedDifference | None) -> str:
    """Return how a variant stands to what was assessed, in a sentence or two."""
    if found is None:
        return NOT_FROZEN
    one = found.assessed
    by = f"report {one.report} of {day_words(one.date)}, {one.name}"
    if not found.is_outside:
        return (
            f"Variant {found.number} has the ingredients and percentages of {by}. "
            "Lots, grades and the way of making it are not compared."
        )
    count = len(found.changes)
    differs = f"{count} difference{'s' if count > 1 else ''} from {by}."
    if found.release is None:
        return (
            f"{HOLD}. {differs} Batches and labels of it are held until a named person releases "
            "it; assessor, product file and notification come first."
        )
    name, day = found.release.name, day_words(found.release.date)
    return (
        f"Outside the assessed formula, released by {name} on {day}. {differs} "
        "The release holds for these very figures."
    )


def difference_lines(found: AssessedDifference | None) -> tuple[tuple[str, str], ...]:
    """Return each ingredient that differs, and how."""
    return () if found is None else tuple(change_line(one) for one in found.changes)


def change_line(one: Change) -> tuple[str, str]:
    """Return one ingredient that differs, and how."""
    if one.kind == "new":
        return one.name, f"new, {_percent(one.now)}"
    if one.kind == "left out":
        return one.name, f"left out, was {_percent(one.was)}"
    if one.kind in ("moved", "inci"):
        what = "INCI name" if one.kind == "inci" else "phase"
        return one.name, f"{what} {one.was_words or 'none'} → {one.now_words or 'none'}"
    return one.name, f"{_percent(one.was)} → {_percent(one.now)}"


def _percent(value: float) -> str:
    """Return a percentage with two decimals, or as many as show that it is not another one."""
    for places in (2, 3, 4):
        if abs(round(value, places) - value) < 10 ** -(places + 1) / 2:
            break
    return f"{value:.{places}f} %"
