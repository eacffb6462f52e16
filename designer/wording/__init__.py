"""Sentences on results."""
