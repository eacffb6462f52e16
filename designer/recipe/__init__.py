"""A recipe as a value (`values`), its amounts (`amounts`) and its file (`file`)."""

from designer.quantities import QS, Fill
from designer.recipe.amounts import Amounts, resolve, resolved
from designer.recipe.assessed import Assessed, Part
from designer.recipe.values import (
    DEFAULT_BATCH,
    Bench,
    Percents,
    Recipe,
    Row,
    Swap,
    Variant,
)

__all__ = [
    "DEFAULT_BATCH",
    "QS",
    "Amounts",
    "Assessed",
    "Bench",
    "Fill",
    "Part",
    "Percents",
    "Recipe",
    "Row",
    "Swap",
    "Variant",
    "resolve",
    "resolved",
]
