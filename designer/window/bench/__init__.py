"""The page Bench: the dough in the bowl, under gloved hands."""

from designer.window.bench.page import BenchPage

__all__ = ["BenchPage"]
