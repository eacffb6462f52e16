"""The page Bench: since the pour, what the hands feel, and what to do with the dough now."""

import re
from collections.abc import Callable
from functools import partial
from typing import TYPE_CHECKING, Any

from PySide6.QtCore import QTimer, Signal
from PySide6.QtGui import QColor, QPainter, QPaintEvent, QResizeEvent, QShowEvent
from PySide6.QtWidgets import QHBoxLayout, QLabel, QSizePolicy, QVBoxLayout, QWidget

from designer.document import Document
from designer.document.bowl import Bowl
from designer.errors import ReadableError
from designer.evaluation.evaluate import Evaluation
from designer.quantities import read, written
from designer.recipe import Recipe, Row
from designer.vocabulary import STATES
from designer.window import fonts, theme
from designer.window.actions import actions
from designer.window.bench.answer import AnswerView, Words
from designer.window.bench.feel import FeelKeys
from designer.window.bench.measures import SMALL, TARGET, WORDS
from designer.window.bench.since import Since
from designer.window.bench.typed import Typed
from designer.window.bench.work import Work
from designer.window.figures import spaced
from designer.window.key import Key
from designer.window.parts_page import PartsPage

if TYPE_CHECKING:
    from designer.advice.bowl import Advice, Answer
    from designer.wording.bowl_lines import BowlWords

__all__ = ["BenchPage"]

NAME = "bowl"
"""What the question is called among those the document's advisor answers."""

_LOW = 700
"""Height [px] of a page in which the time and the steps are written smaller."""
_TICK = 250
"""How often the time is looked at [ms]; seconds must not stumble."""

_UNIT = re.compile(r"[A-Za-z]")

_BEFORE = "Press Poured the moment melt and powder meet, or type how long ago it was."
_ASK = "Press a glove flat on the dough, lift it, and say what you feel."
_LOOKING = "Looking for what mends it …"
_WAITING = "Advice waits until the recipe on page 1 can be worked out again."
_PARTED = "Type common names, parted by commas."


class _Caption(QLabel):
    """A caption of the bench."""

    def __init__(self, words: str, size: int = SMALL, bold: bool = False) -> None:
        super().__init__(words)
        self.setFont(fonts.font(size, bold))


class _Sheet(QWidget):
    """What is scrolled, with a hairline before the column that `right` begins."""

    def __init__(self, right: QWidget) -> None:
        super().__init__()
        self._right = right

    def paintEvent(self, _event: QPaintEvent) -> None:  # noqa: N802
        """Draw the hairline."""
        painter = QPainter(self)
        x = self._right.x() - theme.GUTTER
        painter.fillRect(x, 0, 1, self.height(), QColor(theme.now().hair))


class BenchPage(PartsPage):
    """The dough in the bowl.

    The page keeps its own time and its own advice; what is added comes back into the recipe as a
    variant.

    Signals
    -------
    copy_wanted(Recipe)
        What was made is to be opened as a recipe of its own.
    """

    home = "feel"
    copy_wanted = Signal(object)

    def __init__(self, document: Document, bowl: Bowl | None = None) -> None:
        super().__init__()
        self._document = document
        self.bowl = bowl or Bowl(document)
        self._answer: Answer | None = None
        self._measured: float | None = None
        self._expected: tuple[Evaluation, int, Recipe] | None = None
        self._was_poured = False
        self.setWidgetResizable(True)
        self._make_parts()
        self._lay_out()
        self._add_commands()
        self._tick = QTimer(self, interval=_TICK)
        self._tick.timeout.connect(self._show_time)
        self.bowl.changed.connect(self._show)
        document.evaluated.connect(self._show_expected)
        document.changed.connect(lambda _: self._show_kept())
        document.failed.connect(lambda _: self._wait())
        document.advisor.answered.connect(self._take)
        document.advisor.failed.connect(self._fail)
        self.order_tabs()
        self._show()

    # --- parts

    def _make_parts(self) -> None:
        document = self._document
        self.since, self.feel, self.answer, self.work = Since(), FeelKeys(), AnswerView(), Work()
        self.feel.felt.connect(self.say_felt)
        self.answer.done.connect(self.follow)
        self.pour_key = Key("Poured now", first=True, size=WORDS, height=TARGET)
        # Without the word of whether the key is checked, which is no time.
        self.pour_key.clicked.connect(lambda _checked=False: self.pour())
        self.empty_key = Key("Another batch", size=SMALL, height=TARGET)
        self.empty_key.clicked.connect(self.bowl.empty)
        self.kept_key = Key("Open what was made as a recipe", size=SMALL, height=32)
        self.kept_key.clicked.connect(self.open_made)
        field = partial(Typed, document)
        self.ago = field("Poured how long ago", lambda: "", self._take_ago, "8 min", 96)
        self.rod = field("What the rod reads", lambda: "", self._take_rod, "450 g", 96)
        self.temperature = field(
            "Dough temperature", self._shown_temperature, self._take_temperature, "29 °C", 96
        )
        self.batch = field("Batch in the bowl", self._shown_batch, self._take_batch, "500 g", 112)
        self.at_hand = field(
            "Also at hand",
            lambda: ", ".join(self.bowl.now.at_hand),
            self._take_at_hand,
            "corn starch, kaolin",
            300,
        )
        for one in (self.ago, self.rod, self.temperature, self.batch, self.at_hand):
            one.entered.connect(self.go_home)
        self.question = _Caption("What do you feel?", WORDS, bold=True)
        self.question.setSizePolicy(QSizePolicy.Policy.Ignored, QSizePolicy.Policy.Preferred)
        self.variant = _Caption("")
        self.notes = Words(fonts.MEDIUM, token="ink2")
        self.answer.turned.connect(lambda: self.notes.say("\n".join(self.answer.notes)))

    def _lay_out(self) -> None:
        sheet = _Sheet(self.since)
        columns = QHBoxLayout(sheet)
        columns.setContentsMargins(theme.MARGIN, 14, theme.MARGIN, 10)
        columns.setSpacing(0)
        columns.addLayout(self._left(), 42)
        columns.addSpacing(2 * theme.GUTTER)
        columns.addLayout(self._right(), 58)
        self.setWidget(sheet)

    def _left(self) -> QVBoxLayout:
        column = QVBoxLayout()
        column.setSpacing(10)
        column.addWidget(self.variant)
        column.addLayout(_row(_Caption("batch as made"), self.batch))
        column.addLayout(_row(_Caption("also at hand"), self.at_hand))
        column.addLayout(_row(_Caption("poured"), self.ago, _Caption("ago")))
        measured = (_Caption("dough"), self.temperature, _Caption("rod on the scale"), self.rod)
        column.addLayout(_row(*measured))
        column.addWidget(self.work, 1)
        column.addWidget(self.notes)
        column.addWidget(self.kept_key)
        column.addWidget(self.empty_key)
        return column

    def _right(self) -> QVBoxLayout:
        column = QVBoxLayout()
        column.setSpacing(10)
        column.addWidget(self.since)
        self.pour_key.setSizePolicy(QSizePolicy.Policy.Expanding, QSizePolicy.Policy.Fixed)
        column.addWidget(self.pour_key)
        column.addWidget(self.question)
        column.addWidget(self.feel)
        column.addSpacing(4)
        column.addWidget(self.answer, 1)
        return column

    def _add_commands(self) -> None:
        handlers: dict[str, Callable[[], object]] = {
            f"feel_{state}": partial(self.say_felt, state) for state in STATES
        }
        handlers |= {
            "poured": self.pour,
            "bowl_done": self.answer.do,
            "bowl_other": self.answer.show_other,
        }
        self.actions_ = actions(self, handlers)

    def parts(self) -> dict[str, QWidget]:
        """Return the parts that take the focus, in the order of work."""
        return {
            "pour": self.pour_key,
            "feel": self.feel,
            "answer": self.answer,
            "batch": self.batch,
            "at_hand": self.at_hand,
            "ago": self.ago,
            "measured": self.temperature,
            "rod": self.rod,
            "kept": self.kept_key,
            "empty": self.empty_key,
        }

    def keys(self) -> list[tuple[str, str]]:
        """Return the keys that work here."""
        if self.bowl.now.poured is None:
            return [("P", "poured now"), ("Ctrl 1", "recipe")]
        return [("1–5", "what you feel"), *self.answer.keys()[:2], ("Ctrl 1", "recipe")]

    def go_home(self) -> None:
        """Give the focus to what is pressed next."""
        if self.bowl.now.poured is None:
            self.pour_key.setFocus()
        elif self.answer.told is not None and self.answer.told.lines:
            self.answer.do_key.setFocus()
        else:
            self.feel.keys_of["pliable"].setFocus()

    def take_typed(self) -> bool:
        """Take over what is being typed; return whether nothing was refused."""
        fields = (self.ago, self.rod, self.temperature, self.batch, self.at_hand)
        taken = [one.take() for one in fields]  # all, also after a refusal
        return all(taken)

    # --- what is said and done

    def pour(self) -> None:
        """Melt and powder meet now."""
        try:
            self.bowl.pour()
        except ReadableError as error:
            self._document.refuse(error)
        else:
            self._document.refuse(None)

    def say_felt(self, state: str) -> None:
        """The hands feel this now."""
        from designer.advice.bowl import Felt

        self._found(Felt(state), state)

    def _take_rod(self, text: str) -> None:
        from designer.advice.bowl import Rod

        if text.strip():
            mass = read(text, "rod")
            self._found(Rod(mass), f"{written(mass, 'rod')} by the rod")

    def _found(self, finding: Any, words: str) -> None:
        try:
            self.bowl.find(finding, words, self._measured)
        except ReadableError as error:
            self._document.refuse(error)
        else:
            self._document.refuse(None)
            self._measured = None
            self.temperature.show_value()

    def _take_ago(self, text: str) -> None:
        if text.strip():
            self.bowl.correct(read(text, "age"))

    def _take_temperature(self, text: str) -> None:
        from designer.advice.bowl_past import check_temperature

        measured = read(text, "dough_temperature") if text.strip() else None
        if measured is not None:
            check_temperature(measured)
        if measured is not None and self.bowl.can_measure:
            self.bowl.measure(measured)
        else:
            self._measured = measured  # it goes with what is felt next

    def _shown_temperature(self) -> str:
        measured = self._measured or self.bowl.now.temperature
        return "" if measured is None else spaced(written(measured, "dough_temperature"))

    def _take_batch(self, text: str) -> None:
        if text.strip():
            # A bare figure is in grams, as the field shows it.
            self.bowl.weigh(read(text if _UNIT.search(text) else f"{text} g", "batch"))

    def _shown_batch(self) -> str:
        mass = self.bowl.now.batch or self._document.recipe.bench.batch_mass
        return spaced(written(mass, "mass"))

    def _take_at_hand(self, text: str) -> None:
        names = tuple(" ".join(one.split()) for one in text.split(",") if one.strip())
        for name in names:
            if self._document.handbook.find(name, "powder") is None:
                close = self._document.handbook.suggest(name)
                advice = f"Did you mean {' or '.join(close[:3])}?" if close else _PARTED
                problem = f'"{name[:40]}" is not in the handbook.'
                raise ReadableError("Also at hand", problem, advice)
        self.bowl.have_at_hand(names)

    def follow(self, place: int) -> None:
        """Do what an advice says."""
        from designer.wording.bowl_lines import done_words

        if self._answer is not None:
            advice = self._answer.advice[place]
            self.bowl.follow(self._answer, advice, done_words(advice))
            self.go_home()  # what is pressed next is what the hands feel

    def open_made(self) -> None:
        """Open what was made as a recipe of its own: the recipe was changed since the pour."""
        made = self.bowl.now.made
        if made is not None:
            self.copy_wanted.emit(made)

    # --- what is shown

    def _show(self) -> None:
        """Show the dough as it is now, and ask what to do with it."""
        state, is_poured = self.bowl.now, self.bowl.now.poured is not None
        self.work.show_state(state)
        self.pour_key.setVisible(not is_poured)
        self.empty_key.setVisible(is_poured)
        for key in self.feel.keys_of.values():
            key.setEnabled(is_poured)
        self.rod.setEnabled(is_poured)
        felt = state.noted[-1].finding if state.noted else None
        self.feel.choose(getattr(felt, "state", "") if state.following is None else "")
        if state.following is None and self.feel.focused is not None and self.feel.chosen:
            # A stray Space must not say that the dough is another one.
            self.feel.keys_of[self.feel.chosen].setFocus()
        for field in (self.batch, self.at_hand, self.ago, self.rod, self.temperature):
            field.show_value()
        self._show_expected()
        self._show_kept()
        self._show_time()
        self._ask()
        if is_poured and self.isVisible():
            self._tick.start()
        if is_poured != self._was_poured:
            self._was_poured = is_poured
            self.go_home()  # the key that was pressed is gone

    def _show_expected(self, _result: object = None) -> None:
        result, poured = self._document.evaluation, self.bowl.now.recipe
        recipe = poured or self._document.recipe
        shown = recipe.active.number if poured is None else poured.numbers[self.bowl.now.variant]
        title = recipe.variant(shown).title
        self.variant.setText(f"{recipe.name or 'Recipe'}, variant {shown} {title}".rstrip())
        if result is not None and _tells_of(result.recipe, recipe, shown):
            self._expected = result, result.recipe.numbers.index(shown), recipe
        elif self._expected is not None and not _tells_of(self._expected[2], recipe, shown):
            # What was expected of another dough says nothing of the one in the bowl.
            self._expected = None
        known = self._expected
        self.since.show_evaluation(*(known[:2] if known is not None else (None, 0)))

    def _show_kept(self) -> None:
        self.kept_key.setVisible(not self.bowl.is_kept)

    def _show_time(self) -> None:
        state = self.bowl.now
        is_shaped = state.following is not None and state.following.move == "press"
        feel_at = None if state.following is None or is_shaped else state.following.feel_at
        self.since.show_age(None if state.poured is None else self.bowl.age, feel_at)
        if feel_at is not None:
            left = feel_at - self.bowl.age
            words = "Feel it again now." if left <= 0 else f"Feel it again in {_clock(left)} min."
            self.question.setText(words.rstrip("."))
        else:
            self.question.setText("What do you feel?")

    def _ask(self) -> None:
        """Ask what to do, where something was felt."""
        self._answer = None
        state = self.bowl.now
        try:
            question = self.bowl.question()
        except ReadableError as error:  # too old to be mended
            self._document.advisor.drop(NAME)
            self.answer.say(str(error))
            return
        if question is None:
            self._document.advisor.drop(NAME)
            if state.poured is None:
                self.answer.say(_BEFORE)
            elif state.following is None:
                self.answer.say(_ASK)
            else:
                self._say_next(state.following, state.log[-1].words)
            return
        document = self._document
        is_stuck = document.evaluation is None and not document.is_working
        self.answer.say(_WAITING if is_stuck else _LOOKING)

        def ask(
            result: Evaluation, stop: Callable[[], bool], _found: Callable[[Any], None]
        ) -> "tuple[Answer, BowlWords]":
            from designer.advice.bowl import advise
            from designer.wording.bowl_lines import bowl_words

            answer = advise(question, result.handbook, result.knowledge, stop)
            return answer, bowl_words(answer, result.handbook)

        self._document.advisor.want(NAME, ask, first=True)

    def _say_next(self, following: "Advice", done: str) -> None:
        from designer.wording.bowl_lines import next_words

        self.answer.say(f"{done}. {next_words(following)}")

    def _wait(self) -> None:
        """Say what advice waits for, where some was asked for and cannot come."""
        if self._answer is None and self.answer.standing.text() == _LOOKING:
            self.answer.say(_WAITING)

    def _take(self, name: str, answer: Any) -> None:
        if name == NAME:
            self._answer, told = answer
            self.answer.show_answer(told)

    def _fail(self, name: str, error: ReadableError) -> None:
        if name == NAME:
            self.answer.say(str(error))

    def resizeEvent(self, event: QResizeEvent) -> None:  # noqa: N802
        """Keep the keys in sight where it is low."""
        super().resizeEvent(event)
        low = self.viewport().height() < _LOW
        self.since.be_low(low)
        self.answer.be_low(low)

    def showEvent(self, event: QShowEvent) -> None:  # noqa: N802
        """Follow the time while it can be seen."""
        super().showEvent(event)
        self._show_expected()
        self._show_time()
        if self.bowl.now.poured is not None:
            self._tick.start()


def _row(*parts: QWidget) -> QHBoxLayout:
    row = QHBoxLayout()
    row.setSpacing(10)
    for part in parts:
        row.addWidget(part)
    row.addStretch(1)
    return row


def _tells_of(told: Recipe, recipe: Recipe, number: str) -> bool:
    """Return whether a recipe holds the very dough of another one's variant."""
    return (
        number in told.numbers
        and told.bench == recipe.bench
        and _rows_of(told, number) == _rows_of(recipe, number)
    )


def _rows_of(recipe: Recipe, number: str) -> tuple[Row, ...]:
    return tuple(row for row in recipe.only(number).rows if row.percents)


def _clock(seconds: float) -> str:
    minutes, rest = divmod(int(seconds + 0.999), 60)
    return f"{minutes}:{rest:02d}"
