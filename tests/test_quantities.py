import subprocess
import sys

import numpy as np
import pint
import pytest
from hypothesis import given
from hypothesis import strategies as st

from designer.errors import ReadableError
from designer.quantities import (
    QS,
    SPELLINGS,
    allowed,
    read,
    read_chance,
    read_percent,
    read_span,
    shown,
    written,
    written_chance,
    written_exactly,
    written_span,
)
from designer.vocabulary import FOREIGN_UNITS, QUANTITIES, UNITS, si

REGISTRY = pint.UnitRegistry()


def refusal(text, name):
    with pytest.raises(ReadableError) as caught:
        read(text, name)
    return caught.value


@pytest.mark.parametrize(
    ("text", "name", "value"),
    [
        ("4,5 cm", "length", 0.045),
        ("21 °C", "room", 294.15),
        ("21C", "room", 294.15),
        ("21 degC", "room", 294.15),
        ("21\N{NO-BREAK SPACE}°C", "room", 294.15),
        ("21\N{NARROW NO-BREAK SPACE}º C", "room", 294.15),
        ("21 \N{DEGREE CELSIUS}", "room", 294.15),
        ("\N{MINUS SIGN}3 °C", "room", 270.15),
        ("294.15 K", "room", 294.15),
        ("21", "room", 294.15),
        ("45 %", "humidity", 0.45),
        ("45%", "humidity", 0.45),
        ("45", "humidity", 0.45),
        ("12 g", "mass", 0.012),
        ("2.45 kg", "batch", 2.45),
        ("1.250", "batch", 1.25),
        ("1.250 kg", "batch", 1.25),
        ("0,250", "batch", 0.25),
        ("1234,500 g", "batch", 1.2345),
        ("1,25", "batch", 1.25),
        (",5", "batch", 0.5),
        (".5", "batch", 0.5),
        ("5.", "batch", 5.0),
        ("1 250 g", "batch", 1.25),
        ("1\N{THIN SPACE}250,5 g", "batch", 1.2505),
        ("5e-1 kg", "batch", 0.5),
        ("10 minutes", "knead", 600.0),
        ("0,5 h", "knead", 1800.0),
        ("\N{FULLWIDTH DIGIT TWO}\N{FULLWIDTH DIGIT ONE} °C", "room", 294.15),
        ("2 mm²/s", "diffusivity", 2e-6),
    ],
)
def test_typed_text_becomes_si(text, name, value):
    assert read(text, name) == value


@pytest.mark.parametrize(
    ("text", "name", "value"),
    [
        # Source: US definitions of 1959 (1 lb = 0.45359237 kg, 1 in = 25.4 mm) and °F.
        ("70 F", "room", (70 - 32) / 1.8 + 273.15),
        ("70 °F", "room", (70 - 32) / 1.8 + 273.15),
        ("0.4 oz", "batch", 0.4 * 0.45359237 / 16),
        ("2 lb", "batch", 2 * 0.45359237),
        ("2 in", "length", 0.0508),
    ],
)
def test_units_foreign_to_our_tables_are_read_too(text, name, value):
    assert read(text, name) == pytest.approx(value, rel=1e-12)


@pytest.mark.parametrize(
    ("text", "readings"),
    [
        ("1,250", ("1.25", "1250")),
        ("1,500 g", ("1.5 g", "1500 g")),
        ("-12,500", ("-12.5", "-12500")),
        ("1.234,5", ("1234.5", "1.2345")),
        ("1,234.5", ("1234.5", "1.2345")),
        ("1,234,567 g", ("1234567 g", "1.234567 g")),
        ("1.234.567,8", ("1234567.8", "1.2345678")),
    ],
)
@pytest.mark.parametrize("name", ["batch", "room"])
def test_a_number_that_may_mean_two_is_asked_about(text, readings, name):
    error = refusal(text, name)
    for reading in readings:
        assert reading in error.problem
        assert reading in error.advice


def test_either_reading_offered_is_read_without_another_question():
    assert read("1.5 g", "mass") == pytest.approx(0.0015)
    assert read("1500 g", "mass") == pytest.approx(1.5)


@pytest.mark.parametrize(
    "text",
    [
        *["", "   ", "nan", "NaN %", "inf", "-Infinity", "∞", "abc", "g", "--5", "5 5", "1.2.3"],
        *[",", "e5", "1e", "0x10", "½", "5" * 100, "1e99999", "12 furlongs per fortnight"],
        *["10**9 g", "5 g; 6 g", "-1 g", "1e6 kg", "1e400 kg", "\N{DEVANAGARI DIGIT FIVE} \0"],
    ],
)
def test_what_is_no_mass_is_refused_with_title_problem_and_the_allowed_range(text):
    error = refusal(text, "batch")
    assert error.title == "Batch"
    assert error.problem.endswith(".")
    assert "0.01 kg to 1000 kg" in error.advice


@pytest.mark.parametrize(
    ("text", "name", "sentence"),
    [
        ("3 kg", "length", "3 kg is not a length."),
        ("5 C", "knead", "5 C is not a time."),
        ("3 m", "room", "3 m is not a temperature."),
        ("3 lb", "room", "3 lb is not a temperature."),
        ("3 oz", "length", "3 oz is not a length."),
        ("12 g", "humidity", "12 g is not a share."),
        ("5 s", "density", "5 s is not a value in g/mL."),
    ],
)
def test_a_value_of_another_kind_is_named_as_such(text, name, sentence):
    error = refusal(text, name)
    assert error.problem == sentence
    assert allowed(name) in error.advice


def test_a_value_out_of_the_domain_is_refused_and_never_moved():
    assert refusal("60 °C", "room").advice == "Type a value from -5 °C to 50 °C."
    assert read("50 °C", "room") == QUANTITIES["room"].high
    refusal("50.0000001 °C", "room")


@given(st.text(max_size=80), st.sampled_from(sorted(QUANTITIES)))
def test_any_text_gives_a_value_in_the_domain_or_a_sentence(text, name):
    try:
        outcome = read(text, name)
    except ReadableError as error:
        outcome = error
    if isinstance(outcome, ReadableError):
        assert outcome.title
        assert outcome.problem.endswith(".")
        assert outcome.advice.endswith(".")
    else:
        assert QUANTITIES[name].low <= outcome <= QUANTITIES[name].high


@given(st.data(), st.sampled_from(sorted(QUANTITIES)))
def test_a_value_written_exactly_reads_back_as_the_same_float(data, name):
    quantity = QUANTITIES[name]
    value = data.draw(st.floats(quantity.low, quantity.high, allow_subnormal=False))
    assert read(written_exactly(value, name), name) == value


@given(st.data(), st.sampled_from(["room", "humidity", "batch", "net", "loss", "knead"]))
def test_a_condition_of_the_bench_always_reads_back(data, name):
    quantity = QUANTITIES[name]
    value = data.draw(st.floats(quantity.low, quantity.high))
    assert read(written_exactly(value, name), name) == value


def test_written_rounds_to_what_is_shown():
    assert written(294.15, "room") == "21 °C"
    assert written(273.1, "room") == "0 °C"
    assert written(0.4567, "humidity") == "46 %"
    assert written(2.449, "batch") == "2.45 kg"
    assert written(0.31, "wetness") == "0.31"


def test_shown_converts_arrays_without_rounding():
    assert shown([294.15, 300.0], "room") == pytest.approx([21.0, 26.85])
    assert isinstance(shown(0.5, "humidity"), np.ndarray)


@pytest.mark.parametrize(
    "text",
    ["5 min to 20 min", "5 to 20 min", "5-20 min", "5–20 min", "5 min - 20 min", "300 s TO 1200 s"],
)
def test_a_span_is_read_in_all_its_spellings(text):
    assert read_span(text, "knead") == (300.0, 1200.0)


def test_a_span_of_temperatures_may_be_below_zero():
    assert read_span("-4 - -1 °C", "room") == (269.15, 272.15)
    assert read_span("-4 to -1 °C", "room") == (269.15, 272.15)


@given(st.floats(30, 7200), st.floats(30, 7200))
def test_a_span_written_reads_back(one, other):
    low, high = sorted((one, other))
    assert read_span(written_span(low, high, "knead"), "knead") == (low, high)


@pytest.mark.parametrize("text", ["", "10 min", "20 to 5 min", "5 to", "1 to 2 to 3 min", "a to b"])
def test_a_span_that_is_none_is_refused(text):
    with pytest.raises(ReadableError) as caught:
        read_span(text, "knead")
    assert "0.5 min" in caught.value.advice


@pytest.mark.parametrize(
    ("text", "cell"),
    [
        ("12.5", 12.5),
        ("12,5 %", 12.5),
        ("0", 0.0),
        ("100", 100.0),
        ("q.s.", QS),
        (" Q.S. ", QS),
        ("qs", QS),
        ("q. s.", QS),
        ("12 g", 2.5),
        ("0.012 kg", 2.5),
    ],
)
def test_a_cell_holds_a_percentage_qs_or_a_mass_of_the_batch(text, cell):
    assert read_percent(text, 0.48) == cell


def test_ounces_are_a_share_of_the_batch():
    assert read_percent("0.4 oz", 0.48) == pytest.approx(
        0.4 * 0.45359237 / 16 / 0.48 * 100, rel=1e-12
    )


def test_a_mass_without_a_batch_is_refused_with_what_is_wanting():
    with pytest.raises(ReadableError, match="batch it belongs to is not known") as caught:
        read_percent("12 g", None)
    assert "State the batch" in caught.value.advice


@pytest.mark.parametrize(
    "text", ["", "-1", "100.1", "1e6", "nan", "inf", "1,250", "900 g", "-1 g", "3 m"]
)
def test_what_is_no_share_of_the_dough_is_refused(text):
    with pytest.raises(ReadableError):
        read_percent(text, 0.48)


def test_every_other_spelling_is_in_lower_case_and_leads_to_a_unit():
    for spelling, unit in SPELLINGS.items():
        assert spelling == spelling.lower()
        assert unit in UNITS or unit in FOREIGN_UNITS


def test_a_text_with_a_unit_of_ours_equals_the_table():
    for name in ("room", "batch", "length", "time", "humidity"):
        kind = QUANTITIES[name].unit
        for unit in (
            u for u, (si_unit, _, _) in UNITS.items() if si_unit == kind and u not in "1ln"
        ):
            value = si(45.0, unit)
            if QUANTITIES[name].low <= value <= QUANTITIES[name].high:
                assert read(f"45 {unit}", name) == pytest.approx(value, rel=1e-15)


def test_what_is_typed_at_the_bench_never_loads_pint():
    code = (
        "import sys; from designer.errors import ReadableError\n"
        "from designer.quantities import read, read_percent\n"
        "read('21 C', 'room'), read_percent('12 g', 0.48), read('2,45 kg', 'batch')\n"
        "read('85 F', 'room'), read_percent('0.4 oz', 0.48), read('2 in', 'length')\n"
        "try: read_percent('12 gg', 0.48)\n"
        "except ReadableError: pass\n"
        "assert 'pint' not in sys.modules\n"
        "read('3 centistokes', 'diffusivity'); assert 'pint' in sys.modules"
    )
    subprocess.run([sys.executable, "-W", "error", "-c", code], check=True, timeout=60)


@pytest.mark.parametrize("unit", FOREIGN_UNITS)
def test_a_unit_of_the_second_list_is_what_pint_has(unit):
    kind, factor, offset = FOREIGN_UNITS[unit]
    for value in (0.0, 1.0, 45.0):
        ours = REGISTRY.Quantity(value, unit).to("" if kind == "1" else kind).magnitude
        assert factor * value + offset == pytest.approx(ours, rel=1e-14, abs=1e-300)


@pytest.mark.parametrize(
    ("text", "name", "value"),
    [
        ("1 OZ", "mass", 0.45359237 / 16),
        ("2 ounces", "mass", 0.45359237 / 8),
        ("1 Pound", "mass", 0.45359237),
        ('2"', "length", 0.0508),
        ("1 inch", "length", 0.0254),
        ("500 \N{MICRO SIGN}m", "length", 0.0005),
        ("1 ms", "time", 0.001),
        ("2 weeks", "time", 1209600.0),
        ("100 ‰", "humidity", 0.1),
    ],
)
def test_a_unit_of_the_second_list_is_read_in_its_spellings(text, name, value):
    assert read(text, name) == pytest.approx(value, rel=1e-12)


@pytest.mark.parametrize("text", ["1 tsp", "2 cups", "3 in", "70 F"])
def test_a_volume_or_a_length_is_no_mass(text):
    assert "not" in refusal(text, "mass").problem


@given(st.one_of(st.integers(1, 20).map(lambda part: part / 20), st.floats(0.05, 1.0)))
def test_a_chance_written_reads_back_as_the_same_float(chance):
    assert read_chance(written_chance(chance, "wanted"), "wanted") == chance


@pytest.mark.parametrize(
    "text", ["14 of 20", "14/20", "14 OF 20", " 70 % ", "70%", "14", "7 of 10"]
)
def test_a_chance_is_read_in_all_its_spellings(text):
    assert read_chance(text, "wanted") == 0.7


@pytest.mark.parametrize("text", ["", "0.7", "many", "14 of", "21 of 20", "0", "-3", "5 g", "1/0"])
def test_what_is_no_chance_is_refused_with_an_example(text):
    with pytest.raises(ReadableError) as caught:
        read_chance(text, "wanted")
    assert "of 20" in caught.value.advice
