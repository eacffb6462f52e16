"""Bar Dough Designer: does this shampoo bar dough knead clean, and how sure is that."""

__version__ = "0.1.0"
