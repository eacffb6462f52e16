"""JSON of a label: the list, its allergens and differences, the weight, what to print beside."""

from typing import Any

from designer.evaluation.composition import Ingredient
from designer.evaluation.label import notification_range
from designer.evaluation.label_sheet import LabelSheet
from designer.exchange.limits import amount, number
from designer.wording.checks import DISCLAIMER
from designer.wording.label import cautions_to_print, fact_lines, label_notes, missing_words

__all__ = ["as_json"]


def as_json(sheet: LabelSheet, recipe: str, variant: str) -> dict[str, Any]:
    """Return a label as plain values; percents are of the dough as added, or of the bar."""
    return {
        "schema": 1,
        "recipe": recipe,
        "variant": variant,
        "market": sheet.market,
        "basis": sheet.basis,
        "tables_of": sheet.law.as_of,
        "ingredients": sheet.ingredients.text,
        "entries": [
            {
                "name": one.name,
                "inci": list(one.incis),
                "percent": number(one.percent),
                "group": one.group,
                "allergen_brought": one.brought,
                "name_known": one.known,
                "share_known": not one.guessed,
                **(
                    {"notification_range": notification_range(one.percent)}
                    if sheet.market == "CA"
                    else {}
                ),
            }
            for one in sheet.ingredients.entries
        ],
        "allergens": [
            {
                "name": one.allergen.name,
                **amount(one.amount),
                "threshold": number(one.threshold),
                "decision": one.decision,
                "materials": list(one.materials),
                "source": one.allergen.source,
                "evidence": one.allergen.evidence,
            }
            for one in sheet.allergens
        ],
        "allergens_not_known_of": list(sheet.untold),
        "differences": _differences(sheet),
        "water_lost": _loss(sheet),
        "composition": [_ingredient(sheet, one) for one in sheet.made.ingredients.values()],
        "net_weight": _weight(sheet),
        "facts": dict(fact_lines(sheet.facts)),
        "missing": list(sheet.missing),
        "missing_text": missing_words(sheet),
        "cautions": [
            {"en": one.english, "fr": one.french, "why": one.why}
            for one in cautions_to_print(sheet.made, sheet.law)
        ],
        "notes": list(label_notes(sheet)),
        "disclaimer": DISCLAIMER,
    }


def _ingredient(sheet: LabelSheet, one: Ingredient) -> dict[str, Any]:
    made = sheet.made
    return {
        "inci": one.inci,
        "listed": one.listed.high > 0,
        "added": amount(made.percent(one.inci, "added")),
        "cured": None if made.loss is None else amount(made.percent(one.inci, "cured")),
        "materials": list(one.materials),
        "evidence": one.evidence,
    }


def _differences(sheet: LabelSheet) -> dict[str, Any] | None:
    found = sheet.differences
    if found is None:
        return None
    return {
        "moved": [{"name": n, "added": a, "cured": c} for n, a, c in found.moved],
        "regrouped": [{"name": n, "added": a, "cured": c} for n, a, c in found.regrouped],
        "decided": [{"name": n, "added": a, "cured": c} for n, a, c in found.decided],
    }


def _loss(sheet: LabelSheet) -> dict[str, Any] | None:
    loss = sheet.made.loss
    if loss is None:
        return None
    return {
        "value": number(loss.typical),
        "low": number(loss.low),
        "high": number(loss.high),
        "unit": "percent",
        "source": loss.source,
    }


def _weight(sheet: LabelSheet) -> dict[str, Any] | None:
    one = sheet.declaration
    if one is None or sheet.tolerance is None or sheet.short_limit is None:
        return None
    height = sheet.height
    return {
        "text": one.text,
        "grams": number(one.grams),
        "ounces": number(one.ounces),
        "tolerance_grams": number(sheet.tolerance),
        "no_bar_below_grams": number(sheet.short_limit),
        "letter_height_mm": None if height is None else number(height.height_mm),
        "letter_height_source": None if height is None else height.source,
    }
