"""A day and a recipe on which the tests of the maker's stores agree."""

from datetime import date

TODAY = date(2026, 11, 28)

RECIPE = """format = 1
name = "Oat and clay bar"
[[row]]
phase = "powder"
name = "SCI fine powder"
percent = "q.s."
[[row]]
phase = "powder"
name = "white clay"
percent = 6
[[row]]
phase = "melt"
name = "cocoa butter"
percent = 14
[[row]]
phase = "liquid"
name = "CAPB 30 %"
percent = 20
"""
