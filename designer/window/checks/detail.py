"""All that is known of the check at the cursor."""

from html import escape
from typing import TYPE_CHECKING

from PySide6.QtCore import QEvent, Qt
from PySide6.QtWidgets import QFrame, QTextEdit

from designer.window import fonts, theme
from designer.wording.check_groups import CheckRow

if TYPE_CHECKING:
    from designer.wording.keeping_lines import KeepingWords

__all__ = ["Detail"]

_NOTHING = "Choose a check to read where it is from and what to do."


class Detail(QTextEdit):
    """A text that can be read, selected and copied."""

    def __init__(self) -> None:
        super().__init__()
        self.setReadOnly(True)
        self.setTabChangesFocus(True)
        self.setFrameShape(QFrame.Shape.NoFrame)
        self.setFont(fonts.font())
        self.setAccessibleName("The check in full")
        self.setTextInteractionFlags(
            Qt.TextInteractionFlag.TextSelectableByMouse
            | Qt.TextInteractionFlag.TextSelectableByKeyboard
        )
        self.setMinimumHeight(130)
        self.document().setDocumentMargin(0)
        self.viewport().setAutoFillBackground(False)
        self.show_check(None, None)

    def keys(self) -> list[tuple[str, str]]:
        """Return the keys that work here."""
        return [("Ctrl A", "all"), ("Ctrl C", "copy"), ("Tab", "next")]

    def show_check(self, one: CheckRow | None, keeping: "KeepingWords | None") -> None:
        """Show a check in full."""
        if one is None:
            self.setPlainText(_NOTHING)
            return
        line = one.line
        parts = [f"<b>{escape(line.title)}</b>"]
        facts = [one.verdict_words]
        facts += [" ".join(filter(None, (one.value, one.basis)))] if line.figure else []
        facts += [line.limit] if line.limit else []
        parts.append(escape("; ".join(facts)))
        parts += [escape(line.note)] if line.note else []
        if one.materials:
            parts.append(f"From: {escape(', '.join(one.materials))}.")
        if line.code in ("slurry_ph", "acid_form") and keeping is not None and keeping.sources:
            told = (
                f"{escape(name)}{f', pH {ph}' if ph else ''} ({escape(whose)})"
                for name, ph, whose in keeping.sources
            )
            parts.append(f"What moves the pH: {'; '.join(told)}.")
        if line.source:
            parts.append(f"Source ({escape(one.evidence or 'no mark')}): {escape(line.source)}.")
        style = f"color: {theme.now().ink}"
        rows = "".join(f'<p style="margin: 0 0 6px 0; {style}">{part}</p>' for part in parts)
        self.setHtml(rows)

    def changeEvent(self, event: QEvent) -> None:  # noqa: N802
        """Take the colour of another theme."""
        super().changeEvent(event)
        if event.type() == QEvent.Type.PaletteChange:
            cursor = self.textCursor()
            cursor.select(cursor.SelectionType.Document)
            shape = cursor.charFormat()
            shape.setForeground(theme.now().colour("ink"))
            cursor.mergeCharFormat(shape)
