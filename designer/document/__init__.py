"""The open recipe: one door for every change, undo, one worker, recovery. No widgets."""

from designer.document.document import Document

__all__ = ["Document"]
