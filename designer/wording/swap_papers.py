"""What a swap does to limits and label, in words."""

from typing import TYPE_CHECKING

from designer.evaluation.verdicts import CLOSE, OVER, Check

if TYPE_CHECKING:
    # The list of swaps is there before its first answer: checks and law are imported with that.
    from designer.advice.swap_papers import LimitChange, Papers
    from designer.wording.checks import CheckLine

__all__ = ["limit_words", "papers_in_short", "papers_words"]

_KEEPS = ("no_preservative", "acid_form")

_AUTHORITY = {"EU": "the European Union", "US": "the United States"}


def papers_words(one: "Papers | None") -> tuple[list[str], list[str]]:
    """Return what weighs, and what else there is to know, as sentences; nothing until known."""
    if one is None:
        return [], []
    if one.problem:
        return [], [f"Limits and label could not be looked up. {one.problem}"]
    told = [limit_words(change, one.market) for change in one.limits]
    heavy = [
        words
        for words, change in zip(told, one.limits, strict=True)
        if not change.is_mended and change.check.verdict == OVER
    ]
    return heavy, [*(words for words in told if words not in heavy), *_label_words(one)]


def _label_words(one: "Papers") -> list[str]:
    told = [
        ("New on the ingredient list: {}.", one.names),
        (
            "No longer on it: {}." if one.names else "No longer on the ingredient list: {}.",
            one.names_off,
        ),
        ("Fragrance allergens to name now: {}.", one.allergens),
        ("Fragrance allergens that may have to be named: {}.", one.may_allergens),
        ("Fragrance allergens that need not be named any more: {}.", one.allergens_off),
        ("Which fragrance allergens it brings is not known: ask the supplier of {}.", one.untold),
    ]
    found = [words.format(", ".join(names)) for words, names in told if names]
    if not (one.names or one.names_off):
        found.insert(0, "Names on the ingredient list: as before.")
    if not one.limits:
        found.append(f"Verdicts on the limits of {_market(one.market)}: as before.")
    return found


def limit_words(change: "LimitChange", market: str) -> str:
    """Return a check that gets worse or better, as a sentence."""
    line = _line(change.check)
    if change.check.code == "acid_form":
        return _acid_words(change)
    if change.check.code == "certificate":
        return f"{line.title}."
    figures = ", ".join(part for part in (line.figure, line.limit) if part)
    told = f"{line.title}: {figures}" if figures and not change.is_gone else line.title
    if change.is_mended:
        was = "over" if change.before and change.before.verdict == OVER else "close"
        law = " a limit" if change.before and change.before.is_law else ""
        less = ", but close" if change.check.verdict == CLOSE and not change.is_gone else ""
        return f"No longer {was}{law}{less}: {told}{_before(change)}."
    if change.is_broken:
        return f"Over a limit of {_market(market)}: {told}{_before(change)}."
    start = {OVER: "Over a line of the checks", CLOSE: "Close to a line of the checks"}
    if change.check.is_law:
        start = {CLOSE: f"Close to a limit of {_market(market)}"}
    return f"{start.get(change.check.verdict, 'To measure or ask for')}: {told}{_before(change)}."


def _before(change: "LimitChange") -> str:
    """Return what the figure was, where it was another."""
    if change.before is None or change.is_gone or change.before.amount is None:
        return ""
    was, now = _line(change.before).figure, _line(change.check).figure
    return f"; before {was}" if was != now else ""


def _acid_words(change: "LimitChange") -> str:
    """Return what becomes of a preservative that needs an acid dough."""
    name = change.check.subject
    if change.is_gone:
        return f"{name}, which was weak or might be at the pH of the slurry, is not in it any more."
    share, was = _undissociated(change.check), _undissociated(change.before)
    told = f"about {share} of it in the form that preserves" if share else "by the pH worked out"
    before = f", before {was}" if share and was and share != was else ""
    if change.is_mended:
        side = "may still be weak" if change.check.verdict == CLOSE else "is less weak"
        return f"{name} {side} as a preservative: {told}{before}. Measure the pH of the slurry."
    side = "is weak" if change.check.verdict == OVER else "may be weak"
    other = " It is not the only preservative." if _is_helped(change) else ""
    return (
        f"{name} {side} as a preservative at the pH of that slurry: {told}{before}. "
        f"Bring the pH down, and measure it.{other}"
    )


def _is_helped(change: "LimitChange") -> bool:
    return "not the only" in change.check.note


def _undissociated(check: Check | None) -> str:
    if check is None or check.amount is None:
        return ""
    return f"{check.amount.typical:.0f} %"


def papers_in_short(one: "Papers | None") -> list[str]:
    """Return the worst of it in a word or two, for a list."""
    if one is None or one.problem:
        return []
    worse = [change for change in one.limits if not change.is_mended]
    # A bar that may not keep comes before what is over no limit of the law.
    worse.sort(key=lambda change: (not change.is_broken, change.check.code not in _KEEPS))
    told = next(filter(None, map(_short, worse)), "")
    count = len(one.allergens)
    named = f"{count} more allergen{'s' * (count != 1)} to name" if count else ""
    return [part for part in (told, named) if part]


def _short(change: "LimitChange") -> str:
    """Return a check that gets worse in a word or two; "" for what its sentence tells."""
    check = change.check
    if change.is_broken:
        return "over a limit"
    if check.code == "no_preservative":
        return "no preservative"
    if check.code == "acid_form":
        weak = "weak" if check.verdict == OVER else "may be weak"
        return f"{'one ' if _is_helped(change) else ''}preservative {weak}"
    if check.verdict == OVER:
        return "over a line"
    return "close to a limit" if check.verdict == CLOSE and check.is_law else ""


def _line(check: Check) -> "CheckLine":
    from designer.wording.checks import check_line

    return check_line(check)


def _market(market: str) -> str:
    from designer.wording.checks import MARKET_NAMES

    return _AUTHORITY.get(market, MARKET_NAMES[market])
