"""JSON and CSV of recipes and results."""
