"""What `check --forgiveness` prints: how far things may drift, and what makes it unsure."""

from typing import TYPE_CHECKING, Any

from designer.terminal import layout

if TYPE_CHECKING:
    from designer.advice.forgiveness import Forgiveness
    from designer.advice.variance import Uncertainty
    from designer.evaluation.evaluate import Evaluation

_INPUTS = 8
"""Inputs that a table shows; the others hardly matter."""


def forgiven_json(result: "Evaluation", variant: int) -> dict[str, Any]:
    """Return what a variant forgives, and what makes its forecast unsure, as plain values."""
    from designer.advice.forgiveness import forgiveness
    from designer.advice.variance import uncertainty
    from designer.exchange.forgiveness import forgiveness_json, uncertainty_json

    return {
        "forgiveness": forgiveness_json(forgiveness(result, variant)),
        "uncertainty": uncertainty_json(uncertainty(result, variant)),
    }


def forgiven_text(result: "Evaluation", variant: int) -> str:
    """Return the same as paragraphs and tables."""
    from designer.advice.forgiveness import forgiveness
    from designer.advice.variance import uncertainty

    parts = [_forgiven(forgiveness(result, variant)), _unsure(uncertainty(result, variant))]
    return "\n\n".join(parts)


def _forgiven(found: "Forgiveness") -> str:
    from designer.wording.forgiveness import (
        GRAMS_NOTE,
        allowance_name,
        forgiveness_sentence,
        interval_words,
        weakest_sentences,
    )

    told = layout.paragraph(f"Forgiveness. {forgiveness_sentence(found)}")
    if found.missing:
        return told
    weak = [layout.paragraph(one, "  ", "- ") for one in weakest_sentences(found)]
    rows = [["", "now", "from", "to"]]
    for one in found.allowances:
        rows.append([allowance_name(one), *interval_words(one)])
    return "\n".join([told, *weak, layout.table(rows, "lrrr"), layout.paragraph(GRAMS_NOTE)])


def _unsure(found: "Uncertainty") -> str:
    from designer.wording.uncertainty import (
        RUB_OUT_CAUTION,
        SHARES_NOTE,
        input_words,
        measurement_sentences,
        share_words,
        uncertainty_sentence,
    )

    told = layout.paragraph(uncertainty_sentence(found))
    if found.missing:
        return told
    worth = measurement_sentences(found)
    lines = [layout.paragraph(one, "  ", "- ") for one in worth]
    if any(one.startswith("Rub out") for one in worth):
        lines.append(layout.paragraph(RUB_OUT_CAUTION, "  ", "! "))
    rows = [["share of what is not known", "of the firmness", "of clean or not"]]
    for one in found.inputs[:_INPUTS]:
        rows.append([input_words(one), share_words(one.total), share_words(one.clean_total)])
    return "\n".join([told, *lines, layout.table(rows, "lrr"), layout.paragraph(SHARES_NOTE)])
