"""Random recipes as values; `strange=True` names and notes hold what breaks careless writers."""

from dataclasses import replace

from hypothesis import strategies as st

from designer.recipe import QS, Bench, Recipe, Row, Swap, Variant
from designer.vocabulary import MATERIAL_KINDS, PHASES, QUANTITIES

NAMES = st.sampled_from(
    ["oat flour", "white clay", "nettle powder", "cocoa butter", "SCI, fine", "CAPB 30 %", "scent"]
)
STRANGE = st.one_of(
    NAMES,
    st.sampled_from(['say "oat"', "a\\b", "[[row]]", "# none", "x = 1", "'''", '"""', "a\u2028b"]),
    st.text(st.characters(exclude_categories=["Cc", "Cs"]), max_size=12),
)
TITLES = st.one_of(st.just(""), STRANGE)
NOTES = st.lists(STRANGE, max_size=3).map("\n".join)
PERCENTS = st.one_of(st.integers(0, 1000).map(lambda tenths: tenths / 10), st.floats(0, 100))


def conditions(name):
    """Values of a condition: round ones in the shown unit, and any float of the domain."""
    return st.floats(QUANTITIES[name].low, QUANTITIES[name].high)


@st.composite
def benches(draw):
    stated = {name: draw(conditions(name)) for name in ("room", "humidity", "bath")}
    stated["knead"] = tuple(sorted([draw(conditions("knead")), draw(conditions("knead"))]))
    stated["wanted"] = draw(
        st.one_of(st.integers(1, 20).map(lambda k: k / 20), conditions("wanted"))
    )
    if draw(st.booleans()):
        stated["liquids"] = draw(conditions("liquids"))
    way = draw(st.sampled_from(["", "batch", "bars"]))
    if way == "batch":
        stated["batch"] = draw(conditions("batch"))
    if way == "bars":
        stated |= {"bars": draw(st.integers(2, 500)), "net": draw(conditions("net"))}
        stated["loss"] = draw(st.floats(0, 0.5))
    return Bench(**stated)


@st.composite
def swaps(draw, numbers, names=NAMES):
    filled = names.filter(str.strip)
    return Swap(
        name=draw(filled),
        percent=draw(PERCENTS),
        alongside=tuple(draw(st.lists(st.tuples(filled, PERCENTS), max_size=2))),
        variant=draw(st.sampled_from(["", *numbers])),
        less=tuple(draw(st.lists(st.tuples(filled, PERCENTS), max_size=1))),
        stays=draw(st.one_of(st.just(0.0), PERCENTS)),
        chance=draw(st.one_of(st.none(), st.floats(0, 1))),
        date=draw(st.sampled_from(["", "2026-11-28"])),
    )


@st.composite
def rows(draw, numbers, names=NAMES, notes=st.just(""), fills=frozenset()):
    """A row; q.s. in the variants of `fills`."""
    cells = {number: draw(st.one_of(PERCENTS, st.none())) for number in numbers}
    return Row(
        phase=draw(st.sampled_from(PHASES)),
        name=draw(names.filter(str.strip)),
        percents=cells | dict.fromkeys(fills, QS),
        inci=draw(st.one_of(st.none(), names.filter(bool))),
        given_class=draw(st.sampled_from([None, *MATERIAL_KINDS])),
        held=draw(st.frozensets(st.sampled_from(numbers))),
        swaps=tuple(draw(st.lists(swaps(numbers, names), max_size=2))),
        note=draw(notes),
    )


@st.composite
def recipes(draw, strange=False, most_rows=6):
    """A recipe made anew; a variant of it may hold nothing."""
    names, notes = (STRANGE, NOTES) if strange else (NAMES, st.just(""))
    numbers = draw(st.lists(st.integers(1, 12).map(str), min_size=1, max_size=3, unique=True))
    active = draw(st.sampled_from(numbers))
    count = draw(st.integers(0, most_rows))
    filling = {n: draw(st.integers(0, most_rows)) for n in numbers}
    return Recipe(
        name=draw(names),
        notes=draw(notes),
        bench=draw(benches()),
        variants=tuple(
            Variant(n, draw(TITLES if strange else NAMES), n == active) for n in numbers
        ),
        rows=tuple(
            draw(rows(numbers, names, notes, frozenset(n for n in numbers if filling[n] == place)))
            for place in range(count)
        ),
    )


@st.composite
def filled_recipes(draw, strange=False):
    """A recipe of which every variant has something in it."""
    recipe = draw(recipes(strange))
    return recipe.add_row(Row("powder", "oat flour", dict.fromkeys(recipe.numbers, 7.5)))


@st.composite
def edits(draw, recipe):
    """A function from a recipe to the recipe with one value changed."""
    changed = draw(
        st.sampled_from(["name", "room", "humidity", "bath", "liquids", "wanted", "knead", "title"])
    )
    index = draw(st.integers(0, max(len(recipe.rows) - 1, 0)))
    if recipe.rows and draw(st.booleans()):
        return draw(row_edits(recipe, index))
    if changed == "name":
        return recipe.with_name(draw(STRANGE))
    if changed == "title":
        return recipe.rename_variant(draw(st.sampled_from(recipe.numbers)), draw(STRANGE))
    if changed == "knead":
        return recipe.with_bench(knead=draw(benches()).knead)
    return recipe.with_bench(**{changed: draw(conditions(changed))})


@st.composite
def row_edits(draw, recipe, index):
    """The recipe with one value of a row changed."""
    row = recipe.rows[index]
    number = draw(st.sampled_from(recipe.numbers))
    key = draw(st.sampled_from(["percent", "phase", "name", "inci", "given_class", "held", "note"]))
    if key == "percent":
        return recipe.with_percent(index, number, draw(st.one_of(PERCENTS, st.none())))
    values = {
        "phase": st.sampled_from(PHASES),
        "name": STRANGE.filter(str.strip),
        "inci": st.one_of(st.none(), STRANGE.filter(bool)),
        "given_class": st.sampled_from([None, *MATERIAL_KINDS]),
        "held": st.frozensets(st.sampled_from(recipe.numbers)),
        "note": STRANGE,
    }
    return recipe.with_row(index, replace(row, **{key: draw(values[key])}))
