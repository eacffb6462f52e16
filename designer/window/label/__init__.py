"""The page Label: what must be printed, at real size."""

from designer.window.label.page import LabelPage

__all__ = ["LabelPage"]
