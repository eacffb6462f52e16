"""Swaps as the lines of a list."""

from designer.recipe import Swap
from designer.wording.swap_lines import SwapWords, kept_as_words, kept_line


def test_a_kept_swap_tells_the_day_and_what_was_predicted_then():
    kept = Swap("illipe butter", 3.52, variant="1", chance=0.85, date="2026-11-28")
    assert kept_as_words(kept) == "kept on 28 Nov 2026, 17 of 20 then"


def test_a_kept_swap_without_a_forecast_or_with_a_date_of_the_makers_own_is_told_too():
    assert kept_as_words(Swap("illipe butter", 3.52)) == "kept"
    assert kept_as_words(Swap("illipe butter", 3.52, date="last spring")) == "kept on last spring"


def test_a_kept_swap_tells_what_goes_in_and_out_with_it():
    kept = Swap("kokum butter", 3.4, (("sunflower oil", 0.62),), less=(("water", 0.3),))
    line = kept_line(kept)
    assert line.moves == "kokum butter 3.40, sunflower oil +0.62, water \N{MINUS SIGN}0.30"
    assert line.details == "Kept; it is not among the stand-ins found now."


def test_a_line_is_spoken_with_its_chance_or_with_the_reason_against_it():
    parts = (("kokum butter", "3.40"),)
    one = SwapWords(parts, "pliable", "14 of 20", "was 17", "melt +1.9 %")
    assert one.spoken == "kokum butter 3.40: 14 of 20, was 17, melt +1.9 %"
    none = SwapWords((("palm stearin", ""),), why_not="palm stearin comes from palm.")
    assert none.spoken == "palm stearin: no stand-in, palm stearin comes from palm."
