"""What is in the bar, by INCI name: every material broken down, summed, as added and as cured.

Percents are decimals of 100 of the dough as added, or of the bar as cured: the rules that are
held against them are decimal.
"""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, replace
from decimal import Decimal
from functools import cached_property

from designer.errors import ReadableError
from designer.evaluation.evaluate import DAY, Evaluation
from designer.evaluation.preservatives import ACIDS, is_preservative, names_of
from designer.evaluation.remembered import remembered
from designer.handbook import EVIDENCE, Handbook, Material, Part, Powder, kind_of
from designer.handbook.tables import plain
from designer.recipe import Row

__all__ = [
    "BASES",
    "WATER",
    "Amount",
    "Charges",
    "Composition",
    "Ingredient",
    "Loss",
    "Supplied",
    "compose",
    "composition",
    "part",
]

BASES = ("added", "cured")
"""What percents are of: the dough as it was weighed in, or the bar after drying."""

WATER = "Aqua"

HUNDRED, NOTHING = Decimal(100), Decimal(0)

SUM_TOLERANCE = Decimal("0.0005")
"""By how much typical shares, rounded in a table, may exceed the whole."""

_LONG_CURE = 7 * DAY
"""How far an evaluation must reach for its last moment to count as cured."""

_STEP = Decimal("1e-12")
"""Percents are kept to this, so that a quotient equals the decimal it stands for."""


def _exact(value: float, step: str = "1e-9") -> Decimal:
    """Return the decimal that a binary number stands for, as it was typed."""
    return Decimal(repr(float(value))).quantize(Decimal(step)).normalize()


@dataclass(frozen=True)
class Amount:
    """A percent with its range.

    Attributes
    ----------
    low, typical, high : Decimal [percent]
    """

    low: Decimal = NOTHING
    typical: Decimal = NOTHING
    high: Decimal = NOTHING

    def __add__(self, other: "Amount") -> "Amount":
        return Amount(self.low + other.low, self.typical + other.typical, self.high + other.high)

    def times(self, factor: Decimal) -> "Amount":
        """Return all three multiplied."""
        return Amount(self.low * factor, self.typical * factor, self.high * factor)


@dataclass(frozen=True)
class Loss:
    """Water lost on curing, in percent of the dough as added; negative where the bar drinks.

    Attributes
    ----------
    source : str
        Where it is from: the drying law, or the maker's scale.
    """

    low: Decimal
    typical: Decimal
    high: Decimal
    source: str

    @classmethod
    def weighed(cls, percent: float | Decimal) -> "Loss":
        """Return a loss that the maker weighed, in percent of the wet bar."""
        value = percent if isinstance(percent, Decimal) else _exact(percent)
        if not -HUNDRED < value < HUNDRED:
            raise ReadableError(
                "Water lost", f"{value} % cannot be.", "Give what a bar loses of its wet weight."
            )
        return cls(value, value, value, "as weighed by the maker")


@dataclass(frozen=True)
class Supplied:
    """One material as it is weighed in.

    Attributes
    ----------
    name, inci, phase, kind, material_class : str
    percent : Decimal
        Of the dough.
    parts : tuple of Part
        What it is made of; empty where nothing is known.
    guessed : bool
        Whether the shares of the parts are not known, only their names.
    unlisted : bool
        Whether the handbook does not have it.
    dust : str
        How its dust hurts: "none", "nuisance" or "irritant".
    preserves : bool
        Whether it is put in to preserve.
    """

    name: str
    inci: str
    phase: str
    kind: str
    material_class: str
    percent: Decimal
    parts: tuple[Part, ...]
    guessed: bool = False
    unlisted: bool = False
    dust: str = "none"
    preserves: bool = False

    @property
    def has_inside(self) -> bool:
        """Whether it is told what its ingredients bring with them."""
        return any(one.level > 1 for one in self.parts)


@dataclass(frozen=True)
class Ingredient:
    """One INCI name in the bar, from every material that brings it.

    Attributes
    ----------
    inci : str
    listed : Amount
        As an ingredient of its own; percent of the dough as added.
    inside : Amount
        Within other ingredients, as linalool is in lavender oil: no mass of its own.
    materials : tuple of str
        Names of the materials it comes from.
    guessed : tuple of str
        Those of them whose shares are not known.
    known : bool
        Whether `inci` is an INCI name; else it is the maker's name of the material.
    source, evidence : str
    """

    inci: str
    listed: Amount
    inside: Amount
    materials: tuple[str, ...]
    guessed: tuple[str, ...]
    known: bool
    source: str
    evidence: str

    @property
    def all(self) -> Amount:
        """Both together: what a limit counts."""
        return self.listed + self.inside


@dataclass(frozen=True)
class Charges:
    """Charge of the surfactants and polymers, moles per kg of dough.

    Attributes
    ----------
    anionic, cationic : tuple (low, typical, high) of float [mol/kg]
    """

    anionic: tuple[float, float, float]
    cationic: tuple[float, float, float]

    @property
    def ratio(self) -> tuple[float, float, float] | None:
        """Cationic over anionic charge (low, typical, high), None without anionic."""
        low, typical, high = self.anionic
        if typical <= 0:
            return None
        most = self.cationic[2] / low if low > 0 else float("inf")
        return self.cationic[0] / high, self.cationic[1] / typical, most


@dataclass(frozen=True, eq=False)
class Composition:
    """What is in the dough and in the bar.

    Attributes
    ----------
    supplied : tuple of Supplied
        The materials, each once per phase, in the order of the recipe.
    ingredients : mapping of INCI name, plain, to Ingredient
    loss : Loss or None
        Water lost on curing; None where it is not known.
    """

    supplied: tuple[Supplied, ...]
    ingredients: Mapping[str, Ingredient]
    loss: Loss | None

    def with_loss(self, loss: Loss | None) -> "Composition":
        """Return a copy with another loss on curing."""
        return replace(self, loss=loss)

    def find(self, inci: str) -> Ingredient | None:
        """Return the ingredient of an INCI name, or None."""
        return self.ingredients.get(plain(inci))

    def percent(self, inci: str, basis: str, which: str = "all") -> Amount:
        """Return how much of an INCI name there is, 0 where there is none.

        Parameters
        ----------
        inci : str
        basis : str
            One of `BASES`; "cured" needs a loss.
        which : "all" | "listed" | "inside"
        """
        found = self.find(inci)
        if found is None:
            return Amount()
        amount: Amount = getattr(found, which)
        return self.on(amount, basis, plain(inci) == plain(WATER))

    def on(self, added: Amount, basis: str, is_water: bool = False) -> Amount:
        """Return an amount of the dough as added as an amount on a basis."""
        if basis == "added":
            return added
        if self.loss is None:
            raise ValueError("the loss on curing is not known")
        if is_water:
            return self._water(added, self.loss)
        loss = self.loss
        pairs = ((added.low, loss.low), (added.typical, loss.typical), (added.high, loss.high))
        return _of_the_rest(pairs)

    def _water(self, added: Amount, loss: Loss) -> Amount:
        """Return the water that is left; no more can leave than there is."""
        pairs = ((added.low, loss.high), (added.typical, loss.typical), (added.high, loss.low))
        return _of_the_rest((max(value - lost, NOTHING), lost) for value, lost in pairs)

    @property
    def unlisted(self) -> tuple[str, ...]:
        """Names of materials that the handbook does not have."""
        return tuple(dict.fromkeys(one.name for one in self.supplied if one.unlisted))

    @property
    def nameless(self) -> tuple[str, ...]:
        """Names of materials of which not even an INCI name is known."""
        return tuple(dict.fromkeys(one.name for one in self.supplied if not one.parts))

    @cached_property
    def charges(self) -> Charges:
        """Charge of all that carries one, by moles of the active."""
        sums = {"anionic": [0.0, 0.0, 0.0], "cationic": [0.0, 0.0, 0.0]}
        for one in self.supplied:
            for piece in one.parts:
                if piece.level > 1 or piece.charge not in sums or not piece.molar_mass:
                    continue
                number = abs(piece.charge_number or 1.0)
                per_share = float(one.percent) / 100 * number / piece.molar_mass
                for end, share in enumerate((piece.low, piece.typical, piece.high)):
                    sums[piece.charge][end] += share * per_share
        anionic, cationic = sums["anionic"], sums["cationic"]
        return Charges(
            (anionic[0], anionic[1], anionic[2]), (cationic[0], cationic[1], cationic[2])
        )


def _of_the_rest(pairs: Iterable[tuple[Decimal, Decimal]]) -> Amount:
    """Return percents of what a loss leaves, from percents of the whole and that loss."""
    return Amount(*((value * HUNDRED / (HUNDRED - lost)).quantize(_STEP) for value, lost in pairs))


def part(component: str, low: float, typical: float, high: float, source: str) -> Part:
    """Return a part of level 1 that somebody states, without a charge."""
    return Part(component, low, typical, high, 1, "", "", None, None, source, "estimate")


def compose(supplied: Iterable[Supplied], loss: Loss | None) -> Composition:
    """Return the composition of materials that are weighed in.

    Parameters
    ----------
    supplied : iterable of Supplied
        A material may come several times: lots of it, or two rows of a recipe. Percents need not
        sum to 100; they are brought there.
    loss : Loss or None

    Raises
    ------
    ReadableError
        There is nothing, or the parts of a material make more than the whole.
    """
    merged = _merged(supplied)
    total = sum((one.percent for one in merged), NOTHING)
    if total <= 0:
        raise ReadableError(
            "Composition", "Nothing is weighed in.", "Give at least one row a percentage."
        )
    scaled = tuple(
        replace(one, percent=(one.percent * HUNDRED / total).quantize(_STEP)) for one in merged
    )
    return Composition(scaled, _summed(scaled), loss)


def _merged(supplied: Iterable[Supplied]) -> list[Supplied]:
    """Return each material once per phase; what is not there at all is left out."""
    found: dict[tuple[str, str, str], Supplied] = {}
    for one in supplied:
        if one.percent <= 0:
            continue
        _check_whole(one)
        key = (one.kind, plain(one.name), one.phase)
        known = found.get(key)
        found[key] = one if known is None else replace(known, percent=known.percent + one.percent)
    return list(found.values())


def _check_whole(one: Supplied) -> None:
    """Raise when what a material is made of exceeds the whole."""
    if one.guessed:
        return
    total = sum((_exact(piece.typical) for piece in one.parts if piece.level == 1), NOTHING)
    if total > 1 + SUM_TOLERANCE:
        raise ReadableError(
            f'Composition of "{one.name}"',
            f"Its parts make {100 * total:.2f} %, more than the whole.",
            "Correct them after the supplier's composition statement.",
        )


class _Sum:
    """What is gathered of one INCI name."""

    def __init__(self, inci: str, known: bool) -> None:
        self.inci, self.known = inci, known
        self.listed, self.inside = Amount(), Amount()
        self.materials: dict[str, None] = {}
        self.guessed: dict[str, None] = {}
        self.sources: dict[str, None] = {}
        self.weakest = 0

    def add(self, one: Supplied, piece: Part) -> None:
        """Add what a material brings."""
        shares = (_exact(share) for share in (piece.low, piece.typical, piece.high))
        amount = Amount(*((one.percent * share).quantize(_STEP) for share in shares))
        if piece.level == 1:
            self.listed += amount
        else:
            self.inside += amount
        self.materials[one.name] = None
        if one.guessed:
            self.guessed[one.name] = None
        self.sources[piece.source] = None
        self.weakest = max(self.weakest, EVIDENCE.index(piece.evidence))

    def made(self) -> Ingredient:
        """Return the sum as a value."""
        return Ingredient(
            self.inci,
            self.listed,
            self.inside,
            tuple(self.materials),
            tuple(self.guessed),
            self.known,
            "; ".join(self.sources),
            EVIDENCE[self.weakest],
        )


def _summed(supplied: Iterable[Supplied]) -> dict[str, Ingredient]:
    sums: dict[str, _Sum] = {}
    for one in supplied:
        for piece in one.parts or (_whole(one),):
            if piece.level > 1 and plain(piece.component) == plain(piece.parent):
                continue  # an oil that is its own entry in the allergen list counts once
            key = plain(piece.component)
            sums.setdefault(key, _Sum(piece.component, bool(one.parts))).add(one, piece)
    return {key: sums[key].made() for key in sorted(sums)}


def _whole(one: Supplied) -> Part:
    """Return a material without an INCI name as one part under its own name."""
    return part(one.name, 1.0, 1.0, 1.0, "the recipe: its INCI name is not known")


@remembered
def composition(result: Evaluation, variant: int) -> Composition:
    """Return the composition of a variant, water lost as the evaluation dries the bar.

    Raises
    ------
    ReadableError
        The parts of a material make more than the whole.
    """
    recipe, percents = result.recipe, result.amounts.percents[variant]
    tables: dict[str, tuple[Material, ...]] = {
        "powder": result.mixture.powders,
        "liquid": result.mixture.liquids,
        "melt": result.mixture.melts,
    }
    unlisted = set(result.mixture.unknown)
    supplied = []
    for row, percent, (kind, index) in zip(
        recipe.rows, percents.tolist(), result.mixture.place, strict=True
    ):
        material = tables[kind][index]
        supplied.append(_supplied(row, percent, material, row.name in unlisted, result.handbook))
    return compose(supplied, _dried(result, variant))


def _supplied(
    row: Row, percent: float, material: Material, unlisted: bool, handbook: Handbook
) -> Supplied:
    parts: tuple[Part, ...]
    if unlisted:
        parts, guessed = _grade(row.inci or "", material, handbook), False
        if not parts:
            parts, guessed = _stated(row.inci or "")
    else:
        parts, guessed = _parts(material, handbook), False
    acids = any(name in ACIDS for name in names_of(material))
    return Supplied(
        row.name if unlisted else material.name,
        (row.inci or "") if unlisted else material.inci,
        row.phase,
        kind_of(material),
        material.material_class,
        _exact(percent),
        parts,
        guessed,
        unlisted,
        material.dust_hazard if isinstance(material, Powder) and not unlisted else "none",
        acids or is_preservative(material, handbook),
    )


def _parts(material: Material, handbook: Handbook) -> tuple[Part, ...]:
    """Return the parts of a material; an oil taken into the melt keeps those of the liquid."""
    kinds = dict.fromkeys((kind_of(material), "liquid", "powder", "melt"))
    found = (handbook.compositions.get((kind, material.name)) for kind in kinds)
    return next((parts for parts in found if parts), ())


def _grade(inci: str, material: Material, handbook: Handbook) -> tuple[Part, ...]:
    """Return the parts of the first grade of an INCI name that several grades share, or none."""
    tables: dict[str, Mapping[str, Material]] = {
        "powder": handbook.powders,
        "liquid": handbook.liquids,
        "melt": handbook.melts,
    }
    key = plain(inci)
    grades = (one for one in tables[kind_of(material)].values() if key and plain(one.inci) == key)
    grade = next(grades, None)
    if grade is None:
        return ()
    source = f'"{grade.name}", the first grade of the INCI name that the recipe states'
    return tuple(
        replace(one, source=f"{source}; {one.source}", evidence="estimate")
        for one in _parts(grade, handbook)
    )


def _stated(inci: str) -> tuple[tuple[Part, ...], bool]:
    """Return the parts that an INCI name states, and whether their shares are a guess."""
    names = [name.strip() for name in inci.split("(and)") if name.strip()]
    if len(names) < 2:
        source = "the recipe: its INCI name, taken as all of it"
        return tuple(part(name, 1.0, 1.0, 1.0, source) for name in names), False
    source = "the recipe: named there, the share not known"
    return tuple(part(name, 0.0, 1 / len(names), 1.0, source) for name in names), True


def _dried(result: Evaluation, variant: int) -> Loss | None:
    """Return the loss of water by the last moment of the clock, if that lies days ahead."""
    if result.times[-1] < _LONG_CURE:
        return None
    spread = result.spread(result.forecasts[variant].lost_water[-1])
    low, typical, high = (
        _exact(100 * float(end), "1e-4") for end in (spread.low, spread.value, spread.high)
    )
    days = round(float(result.times[-1]) / DAY)
    return Loss(low, typical, high, f"worked out: drying of a bar for {days} days in this room")
