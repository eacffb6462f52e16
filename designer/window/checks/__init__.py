"""The page Checks: limits, what keeps the bar, cautions, the assessed formula, own tables."""

from designer.window.checks.page import ChecksPage

__all__ = ["ChecksPage"]
