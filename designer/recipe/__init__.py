"""A recipe as a value, and as a file."""
