"""Answers about a variant that are asked for more than once."""

from collections.abc import Callable
from functools import wraps
from typing import TYPE_CHECKING, TypeVar
from weakref import WeakKeyDictionary

if TYPE_CHECKING:
    from designer.evaluation.evaluate import Evaluation

__all__ = ["remembered"]

Answer = TypeVar("Answer")


def remembered(
    question: "Callable[[Evaluation, int], Answer]",
) -> "Callable[[Evaluation, int], Answer]":
    """Return a question about a variant that is worked out once, while its evaluation lives.

    The answer must be a value that nobody changes.
    """
    known: WeakKeyDictionary[Evaluation, dict[int, Answer]] = WeakKeyDictionary()

    @wraps(question)
    def answered(result: "Evaluation", variant: int) -> Answer:
        answers = known.setdefault(result, {})
        if variant not in answers:
            answers[variant] = question(result, variant)
        return answers[variant]

    return answered
