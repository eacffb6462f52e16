"""Equations of the dough, each a pure function that knows no table and no screen."""
