"""The comparison of variants on paper: laid out in millimetres, on one page where it is readable.

It is drawn in a thread: nothing here asks the window for anything.
"""

from collections.abc import Iterable, Sequence

from designer.advice.differences import Difference
from designer.advice.paired import paired_with
from designer.evaluation.evaluate import Evaluation
from designer.window.paper.flow import A4, Flow, Paper, pages
from designer.window.paper.ink import Box, Item, Text, advance
from designer.wording.difference_lines import part_rows
from designer.wording.differences import difference_sentence, paired_sentence
from designer.wording.fixes import FORMULA
from designer.wording.lines import NAMES, Line, lines, moment_words
from designer.wording.sentence import chance_sentence, sentence

__all__ = ["sheet_pages"]

_SIZES = (3.0, 2.8, 2.6, 2.4, 2.2)
"""Sizes of the type [mm], the best first; a smaller one is a strain on paper."""
_SPREAD = 2.6
"""Size of the type where one page is not enough."""
_LEAST_COLUMN, _MOST_COLUMN = 13.0, 26.0
_ROW = 1.5
"""Height of a row over the size of the type."""


def sheet_pages(
    result: Evaluation, found: Sequence[Difference], left_out: Sequence[str], conditions: str
) -> tuple[list[list[Item]], Paper]:
    """Return the pages of a comparison, and their paper.

    Parameters
    ----------
    found : sequence of Difference
        Of the others against the active variant.
    left_out : sequence of str
        Numbers of variants with nothing in them.
    conditions : str
        Of room and bench, which all variants share.
    """
    foot = f"{_name(result)}: comparison"
    for em in _SIZES:
        made = pages(_Sheet(result, em).flow(found, left_out, conditions), A4, foot)
        if len(made) == 1:
            return made, A4
    return pages(_Sheet(result, _SPREAD).flow(found, left_out, conditions), A4, foot), A4


def _name(result: Evaluation) -> str:
    return result.recipe.name or "Recipe without a name"


class _Sheet:
    """Puts the parts of a comparison into a column, in one size of type [mm]."""

    def __init__(self, result: Evaluation, em: float) -> None:
        self._result, self._em, self._small = result, em, 0.85 * em
        self._column = 0.0
        self._flow = Flow(A4.inner)

    def flow(self, found: Sequence[Difference], left_out: Sequence[str], conditions: str) -> Flow:
        """Return the whole column."""
        result, flow, em = self._result, self._flow, self._em
        recipe = result.recipe
        flow.text(_name(result), 1.7 * em, bold=True)
        active = recipe.active.number
        flow.text(f"{len(recipe.numbers)} variants; {active} is the active one. {conditions}", em)
        flow.text([(f"Nothing is in variant {one}. ", "") for one in left_out], em)
        flow.space(0.6 * em)
        for variant, one in enumerate(recipe.variants):
            told = f"{sentence(result, variant)} {chance_sentence(result, variant)}".rstrip()
            title = f"{one.title}: " if one.title else ""
            flow.text(f"{title}{told}", em, indent=2 * em, mark=one.number)
        self._make_up()
        self._readings()
        self._paired()
        self._split(found)
        flow.space(0.6 * em)
        flow.text(FORMULA, self._small, token="ink2")
        return flow

    # --- parts

    def _make_up(self) -> None:
        recipe, amounts = self._result.recipe, self._result.amounts
        at = recipe.numbers.index(recipe.active.number)
        self._head("Percent of the dough", "", recipe.numbers)
        phase = ""
        for index, row in enumerate(recipe.rows):
            if row.phase != phase:
                phase = row.phase
                self._row(phase.capitalize(), [], bold=True, stays=True)
            values = [float(value) for value in amounts.percents[:, index]]
            cells = [f"{value:.2f}" for value in values]
            marked = [cell != cells[at] for cell in cells]
            self._row(row.name, cells, marked=marked, indent=self._em)
        self._row("Total", [f"{float(one):.2f}" for one in amounts.totals], bold=True, rule="ink")

    def _readings(self) -> None:
        result = self._result
        recipe = result.recipe
        at = recipe.numbers.index(recipe.active.number)
        every = [lines(result, variant) for variant in range(len(recipe.numbers))]
        self._head("Readings", f"{moment_words(result)}; below: 80 % interval", recipe.numbers)
        for number, words in enumerate(NAMES.values()):
            row = [one[number] for one in every]
            unit = next((line.unit for line in row if line.unit), "")
            name = f"{words}, {unit}" if unit else words
            marked = [line.value != row[at].value for line in row]
            below = [line.interval for line in row]
            self._row(name, [line.value for line in row], marked=marked, below=below)
            if any(line.hand for line in row):
                self._hands(row)

    def _hands(self, row: Sequence[Line]) -> None:
        """Put in what a hand says of the firmness, where the words fit into their columns."""
        words = [line.hand for line in row]
        if all(advance(one, self._small) <= self._column - 1 for one in words):
            self._row("", words, small=True, rule="")

    def _paired(self) -> None:
        result = self._result
        active = result.recipe.numbers.index(result.recipe.active.number)
        self._flow.space(self._em)
        self._title("How surely they differ", "over the draws common to all")
        for pair in paired_with(result, active):
            self._flow.text(paired_sentence(pair), self._em)

    def _split(self, found: Sequence[Difference]) -> None:
        rows = part_rows(found, "wetness")
        if not rows:
            return
        head = f"what each change does to the wetness, against {found[0].other}"
        self._head("Why different", head, [one.one for one in found])
        for row in rows:
            cells = [cell.words or "·" for cell in row.cells]
            last = row is rows[-1]
            self._row(row.name, cells, bold=last, rule="ink" if last else "hair")
        self._flow.space(0.4 * self._em)
        batch = self._result.recipe.bench.batch_mass
        for one in found:
            self._flow.text(difference_sentence(one, batch), self._em)

    # --- rows

    def _title(self, title: str, note: str) -> None:
        em, small = self._em, self._small
        start = advance(title, em, True) + em
        items = [Text(0, em, title, em, True), Text(start, em, note, small, token="ink2")]
        self._flow.put(items, 1.35 * em, stays=True)
        self._flow.rule()

    def _head(self, title: str, note: str, numbers: Sequence[str]) -> None:
        """Put in the head of a table, and settle how wide its columns are."""
        em, flow = self._em, self._flow
        self._column = min(max(0.62 * flow.width / len(numbers), _LEAST_COLUMN), _MOST_COLUMN)
        active = self._result.recipe.active.number
        flow.space(em)
        room = flow.width - self._column * len(numbers) - em
        start = advance(title, em, True) + em
        items: list[Item] = [Text(0, em, title, em, True)]
        if start + advance(note, self._small) <= room:
            items.append(Text(start, em, note, self._small, token="ink2"))
            note = ""
        for number, words in zip(range(len(numbers)), numbers, strict=True):
            words = (
                f"{words} active" if words == active and self._fits(f"{words} active") else words
            )
            right = flow.width - self._column * (len(numbers) - 1 - number)
            items.append(Text(right - advance(words, em, True), em, words, em, True))
        flow.put(items, 1.35 * em, stays=True)
        if note:
            flow.put([Text(0, self._small, note, self._small, token="ink2")], em, stays=True)
        flow.rule()

    def _fits(self, words: str) -> bool:
        return advance(words, self._em, True) <= self._column - 1

    def _row(
        self,
        name: str,
        cells: Sequence[str],
        *,
        marked: Sequence[bool] = (),
        below: Sequence[str] = (),
        bold: bool = False,
        small: bool = False,
        stays: bool = False,
        indent: float = 0.0,
        rule: str = "hair",
    ) -> None:
        """Put in a row: figures at the right of their columns, what differs in bold."""
        em, flow = self._small if small else self._em, self._flow
        base = 1.1 * em
        names = flow.width - self._column * len(cells) - indent - 1
        items: list[Item] = [Text(indent, base, _cut(name, em, names, bold), em, bold)]
        marks = [*marked] or [bold] * len(cells)
        for right, words, is_bold in zip(self._rights(len(cells)), cells, marks, strict=True):
            items.append(Text(right - advance(words, em, is_bold), base, words, em, is_bold))
        height = _ROW * em
        if any(below):
            lower = base + 1.15 * self._small
            for right, words in zip(self._rights(len(cells)), below, strict=True):
                size = self._small
                items.append(Text(right - advance(words, size), lower, words, size, token="ink2"))
            height += 1.15 * self._small
        if rule:
            # The rule of a sum stands above it, all others below.
            items.append(Box(0, -0.1 if rule == "ink" else height - 0.2, flow.width, 0.18, rule))
        flow.put(items, height, stays)

    def _rights(self, count: int) -> Iterable[float]:
        return [self._flow.width - self._column * (count - 1 - number) for number in range(count)]


def _cut(words: str, em: float, room: float, bold: bool) -> str:
    """Return words as long as they fit, with an ellipsis where something is left out."""
    if advance(words, em, bold) <= room:
        return words
    while words and advance(f"{words}…", em, bold) > room:
        words = words[:-1]
    return f"{words.rstrip()}…"
