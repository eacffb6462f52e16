"""What the help says, as simple HTML."""

from html import escape

from designer import __version__
from designer.handbook.places import resources
from designer.wording.words import MEANING

__all__ = ["about", "listed", "words"]

_PHASES = (
    ("melt", "What is melted in the bath: fats, waxes, fatty alcohols and acids."),
    ("powder", "What is sieved and dry-blended: surfactant powder, flour, clay, starch."),
    (
        "liquid",
        "What goes in unheated at room temperature, and salts that must dissolve in it first.",
    ),
    ("last", "Scent and preservative, stirred into the liquids just before mixing."),
)

_BARS = (
    ("soft, setting, firm, hard", "The pressed bar, by the firmness that a thumb feels."),
    ("comes clean from", "The kneading time from which the dough no longer sticks."),
    ("press before", "The time after which it no longer flows together under the press."),
    ("no thumb dent from", "The time from which a thumb leaves no dent in the bar."),
    ("wrap from", "The time from which it has lost what water it will lose in this room."),
)

_TABLE = (
    ("q.s.", "As much as fills up to 100 %; one row of a variant may do so."),
    ("held", "A figure that no mending of the total and no drag on the map may move."),
    ("variant", "A column of figures over the same list of ingredients; one is active."),
    (
        "beside",
        "P sets a variant beside the active one, up to seven: in the readings, on the clock, and "
        "in why they differ. Of two or three variants the clock draws all.",
    ),
    ("total", "Anything but 100 % is evaluated as if all figures were scaled to 100 %."),
    ("press", "Weight of dough for one bar; it loses some water until the net weight is reached."),
)

_READINGS = (
    ("clean knead", "In how many of 20 such batches the dough comes clean within the window."),
    ("window", "The kneading time within which coming clean counts."),
    (
        "liquid : powder",
        "Grams of unheated liquids for each gram of all powders.",
    ),
    ("melt phase", "Share of the dough that goes through the bath."),
    (
        "wetness",
        "Liquid in the dough against what its powders can bind: 1 kneads clean, less is dry, "
        "more is wet.",
    ),
    ("interval", "In 8 of 10 cases the value lies within it, as far as is known today."),
    (
        "known good",
        "Where recipes that work usually lie; a place outside is no mistake, only less usual.",
    ),
    (
        "swap",
        "Another ingredient in place of one, at the percentage that keeps the dough nearest to "
        "what it was. It is another formula: assessor, file and label first.",
    ),
    (
        "forgiveness",
        "How far one thing alone may drift before the wanted chance is lost: the grams of an "
        "ingredient, what a lot drinks, the room, the bath, the batch, the kneading.",
    ),
    (
        "easily missed",
        "What a scale, a hand or a room is often off by; a strip of forgiveness reaches ten times "
        "as far to each side.",
    ),
    ("why", "The ingredients that move a reading most: what one tenth more of each would do."),
    (
        "why different",
        "What each ingredient that differs does to set a variant apart from the active one. The "
        "parts add up to the whole difference; those of firmness multiply.",
    ),
    (
        "another mix",
        "The map is that of the active mix with more or less liquid and fat. A variant that is not "
        "such a mix would stand on chances that are not its own: it is named below the map.",
    ),
)

_LABEL = (
    ("as added, as cured", "Percents of the dough as weighed in, or of the bar once it has dried."),
    ("below 1 %", "What may stand in any order, behind all that must stand by weight."),
    ("allergen", "A fragrance allergen that another ingredient brings, above its threshold."),
    ("digits, small letters", "What the least height is of: figures, or x and o without strokes."),
    ("main panel", "The side of the pack that is seen first; heights of letters go by its area."),
)

_CANNOT = (
    "Nothing here was fitted to measured doughs. How wet is too wet rests on tables and on usual "
    "practice: levels are uncertain, the order of two recipes is far surer.",
    "Minutes are barely known until a maker's own batches are.",
    "Label, limits, pH and water activity come from tables and laws that can be wrong or out of "
    "date: each page says as of when they are and what was not checked. Measure the pH of a 10 % "
    "slurry.",
    "It never says that a product is safe. Preservation, stability, the safety assessment and the "
    "law where you sell belong to a laboratory, a qualified assessor and your authority.",
)

_CAUTIONS = (
    "Surfactant, starch, flour and protein dust harms lungs and eyes: mask (FFP2 or better), no "
    "fan, wipe wet.",
    "Hot melt and water bath burn; so does steam.",
    "Concentrated acids, alkalis, amines and cationics: gloves and glasses.",
    "Press: fingers. Keep children and pets out.",
    "Clay, herb and flour lots may bring spores and metals: a certificate for each lot. Little "
    "water does not kill.",
)


def listed(pairs: list[tuple[str, str]]) -> str:
    """Return words and what they mean, or keys and what they do, as a table."""
    rows = "".join(
        f"<tr><td><b>{escape(name)}</b></td><td>{escape(text)}</td></tr>" for name, text in pairs
    )
    return f'<table cellpadding="4">{rows}</table>'


def _points(texts: tuple[str, ...]) -> str:
    return f"<ul>{''.join(f'<li>{escape(text)}</li>' for text in texts)}</ul>"


def words() -> str:
    """Return what the words of the window mean."""
    states = [(name, f"{meaning[0].upper()}{meaning[1:]}.") for name, meaning in MEANING.items()]
    parts = {
        "States of the dough, dry to wet": states,
        "Phases, in the order of work": list(_PHASES),
        "The table": list(_TABLE),
        "Readings and the map": list(_READINGS),
        "The clock and the bar": list(_BARS),
        "The label": list(_LABEL),
    }
    return "".join(f"<h4>{title}</h4>{listed(pairs)}" for title, pairs in parts.items())


def about() -> str:
    """Return version, licences, what the program cannot know, and cautions of the work."""
    licence = (resources() / "fonts" / "OFL.txt").read_text(encoding="utf-8")
    return (
        f"<h3>Bar Dough Designer {__version__}</h3>"
        "<p>Says before the powder is opened whether a solid shampoo bar dough will knead clean, "
        "and how sure that is. Nothing goes on the network.</p>"
        f"<h4>What it cannot know</h4>{_points(_CANNOT)}"
        f"<h4>Cautions of the work</h4>{_points(_CAUTIONS)}"
        "<h4>Licences</h4><p>The program: MIT. It uses Qt and PySide6 (LGPL 3), numpy, scipy, "
        "pyqtgraph, pydantic, pint, tomlkit and platformdirs under their own licences.</p>"
        f'<p>The type B612:</p><pre style="white-space: pre-wrap">{escape(licence)}</pre>'
    )
