"""The shipped tables of materials, parameters and ranges, checked at load."""
