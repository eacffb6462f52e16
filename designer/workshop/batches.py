"""What a logbook holds, as frozen values in SI; a field has the name of its column."""

from dataclasses import dataclass

__all__ = ["STINGS", "WHAT", "Batch", "Photograph", "Seen", "Used", "Washed"]

WHAT = ("state", "rod", "bar weight", "thumb")
"""What is looked at: the state the hands feel, the rod on the scale, a bar's weight, the thumb."""

STINGS = ("", "none", "slight", "strong")


@dataclass(frozen=True)
class Used:
    """What went in: mass [kg] of a material as weighed, None where it was not written down."""

    name: str
    kind: str = ""
    lot: str = ""
    mass: float | None = None
    batch: int = 0
    id: int = 0


@dataclass(frozen=True)
class Seen:
    """What was felt or weighed.

    Attributes
    ----------
    what : str
        One of `WHAT`.
    age : float [s]
        Since the pour for a state and the rod, since pressing for a bar.
    value : float or None [kg]
        Of the rod or the bar.
    words : str
        The state, or what the thumb left.
    bar : str
        Mark of the bar.
    """

    what: str
    age: float
    value: float | None = None
    words: str = ""
    bar: str = ""
    batch: int = 0
    id: int = 0


@dataclass(frozen=True)
class Photograph:
    """A picture in the folder of photographs, by its name there."""

    file: str
    caption: str = ""
    batch: int = 0
    id: int = 0


@dataclass(frozen=True)
class Washed:
    """How a bar was in use on a day.

    Attributes
    ----------
    soak_loss : float or None [1]
        Share of its weight lost a day after lying wet.
    per_wash : float or None [kg]
    lather, wet_combing, dry_combing : int or None
        1 poor to 5 good.
    sting : str
        One of `STINGS`.
    """

    day: str
    soak_loss: float | None = None
    per_wash: float | None = None
    lather: int | None = None
    wet_combing: int | None = None
    dry_combing: int | None = None
    sting: str = ""
    note: str = ""
    batch: int = 0
    id: int = 0


@dataclass(frozen=True)
class Batch:
    """A batch as it was made.

    Attributes
    ----------
    number : str
        What the maker calls it; each once.
    recipe : str
        Text of the recipe file, to the byte.
    variant : str
        Number of the variant made.
    made : str
        "2026-11-28" or "2026-11-28 14:30".
    mass : float [kg]
        Dough weighed in.
    bars : int or None
    room, bath, liquids : float or None [K]
    humidity : float or None [1]
    kneaded : float or None [s]
    trial : bool
        A small batch by hand.
    used, seen, photographs, washed : tuples
    """

    number: str
    recipe: str
    made: str
    mass: float
    name: str = ""
    variant: str = "1"
    bars: int | None = None
    room: float | None = None
    humidity: float | None = None
    bath: float | None = None
    liquids: float | None = None
    kneaded: float | None = None
    trial: bool = False
    notes: str = ""
    initials: str = ""
    used: tuple[Used, ...] = ()
    seen: tuple[Seen, ...] = ()
    photographs: tuple[Photograph, ...] = ()
    washed: tuple[Washed, ...] = ()
    id: int = 0
