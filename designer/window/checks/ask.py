"""A few lines to fill in; what cannot be taken is told below them, and nothing is lost."""

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass

from PySide6.QtCore import Qt
from PySide6.QtGui import QIcon
from PySide6.QtWidgets import (
    QComboBox,
    QDialog,
    QDialogButtonBox,
    QFormLayout,
    QLineEdit,
    QVBoxLayout,
    QWidget,
)

from designer.errors import ReadableError
from designer.window import fonts
from designer.window.checks.words import Words

__all__ = ["Ask", "Line"]


@dataclass(frozen=True)
class Line:
    """A line to fill in.

    Attributes
    ----------
    key, words : what the code calls it, and what stands before it
    hint : shown while it is empty
    choices : what may stand in it, each with its words; any text where there are none
    """

    key: str
    words: str
    hint: str = ""
    choices: tuple[tuple[str, str], ...] = ()


class Ask(QDialog):
    """Asks for some lines; it stays open until they can be taken or are given up.

    Parameters
    ----------
    take : called with the lines by key; raises `ReadableError`
    """

    def __init__(
        self,
        parent: QWidget,
        title: str,
        words: str,
        lines: Sequence[Line],
        start: Mapping[str, str],
        take: Callable[[dict[str, str]], object],
        key_words: str,
    ) -> None:
        super().__init__(parent)
        self.setWindowTitle(title)
        self.setAttribute(Qt.WidgetAttribute.WA_DeleteOnClose)
        self._take = take
        self.fields: dict[str, QLineEdit | QComboBox] = {}
        told = Words(token="ink2")
        told.say(words)
        form = QFormLayout()
        form.setFieldGrowthPolicy(QFormLayout.FieldGrowthPolicy.AllNonFixedFieldsGrow)
        for line in lines:
            field = _field(line, start.get(line.key, ""))
            self.fields[line.key] = field
            form.addRow(line.words, field)
        self.problem = Words(fonts.MEDIUM, bold=True)
        self.problem.setAccessibleName("What cannot be taken")
        self.problem.say("")
        keys = QDialogButtonBox()
        self.take_key = keys.addButton(key_words, QDialogButtonBox.ButtonRole.AcceptRole)
        cancel = keys.addButton(QDialogButtonBox.StandardButton.Cancel)
        for key in (self.take_key, cancel):
            key.setIcon(QIcon())
        keys.accepted.connect(self.take)
        keys.rejected.connect(self.reject)
        layout = QVBoxLayout(self)
        layout.addWidget(told)
        layout.addLayout(form)
        layout.addWidget(self.problem)
        layout.addStretch(1)
        layout.addWidget(keys)
        self.setMinimumWidth(520)

    def typed(self) -> dict[str, str]:
        """Return what stands in the lines."""
        return {
            key: field.currentData() if isinstance(field, QComboBox) else field.text()
            for key, field in self.fields.items()
        }

    def take(self) -> None:
        """Take the lines, or say what is wrong with them."""
        try:
            self._take(self.typed())
        except ReadableError as error:
            self.problem.say(str(error))
            self.adjustSize()
            return
        self.accept()


def _field(line: Line, text: str) -> QLineEdit | QComboBox:
    field: QLineEdit | QComboBox
    if line.choices:
        field = QComboBox()
        for value, words in line.choices:
            field.addItem(words, value)
        field.setCurrentIndex(max(field.findData(text), 0))
    else:
        field = QLineEdit(text)
        field.setPlaceholderText(line.hint)
        field.setMaxLength(1000)
    field.setAccessibleName(line.words)
    return field
