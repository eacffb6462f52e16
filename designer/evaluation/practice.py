"""What usual practice teaches: weights of the prior's draws, counting it as one observed batch.

The trade knows that usual recipes stick at first and then knead clean. The forty recipes of
resources/materials/practice.csv are no data but a grid over the known-good ranges; a draw under
which they behave so weighs more. Run ``python -m designer.evaluation.practice`` after a change of
the laws or tables to renew resources/knowledge/usual_practice.npy; a test says when that is due.
"""

import numpy as np

from designer import handbook as shelf
from designer.evaluation.draws import dough_draws
from designer.evaluation.evaluate import MINUTE, Evaluation, clock_times, evaluate
from designer.evaluation.knowledge import PRIOR_DRAWS, Knowledge, prior
from designer.evaluation.mixture import mix
from designer.handbook import Handbook, places
from designer.recipe import Bench, Recipe, Row, Variant, resolve
from designer.vocabulary import Floats

ROOM = 294.15
WINDOW = (300.0, 1200.0)


def practice_recipe(handbook: Handbook, numbers: range | None = None) -> Recipe:
    """Return usual recipes as the variants of one recipe, in the usual room and batch."""
    recipes = handbook.practice
    chosen = range(len(recipes)) if numbers is None else numbers
    cells: dict[tuple[str, str], dict[str, float]] = {}
    for place in chosen:
        for phase, name, percent in recipes[place]:
            cells.setdefault((phase, name), {})[str(place + 1)] = percent
    rows = tuple(Row(phase, name, percents) for (phase, name), percents in cells.items())
    variants = tuple(Variant(str(place + 1), active=place == chosen[0]) for place in chosen)
    return Recipe(
        "Usual practice", variants=variants, rows=rows, bench=Bench(room=ROOM, knead=WINDOW)
    )


def practice_points(handbook: Handbook) -> list[tuple[float, float]]:
    """Return liquid : powder and melt phase [1] of every usual recipe."""
    recipe = practice_recipe(handbook)
    mixture = mix(recipe, resolve(recipe), handbook)
    return [
        (float(x), float(y))
        for x, y in zip(mixture.liquid_to_powder, mixture.melt_fraction, strict=True)
    ]


def evidence(handbook: Handbook, draws: int = PRIOR_DRAWS) -> tuple[Floats, Floats]:
    """Return how well each draw explains usual practice, and how firm it makes the recipes.

    Returns
    -------
    evidence : array (draws,) [1]
        Share of recipes that stick at one minute, times the share that knead clean in the window.
    firmness : array (draws,) [ln Pa]
        Mean ln strength at ten minutes; the shipped draws are stratified along it.
    """
    sticky, clean = np.zeros(draws), np.zeros(draws)
    firmness = np.zeros(draws)
    count = len(handbook.practice)
    for start in range(0, count, 4):
        result = _evaluated(handbook, range(start, min(start + 4, count)), prior(draws))
        felt = result.log_strength[:, 0] + dough_draws(handbook, result.knowledge).rating
        sticky += (felt < result.tack_cut[:, 0]).sum(axis=0)
        clean += result.clean.sum(axis=0)
        firmness += result.log_strength[:, result.knead].sum(axis=0)
    return sticky / count * clean / count, firmness / count


def _evaluated(handbook: Handbook, numbers: range, knowledge: Knowledge) -> Evaluation:
    times = clock_times(WINDOW)
    early = np.concatenate([[MINUTE], times[(times >= WINDOW[0]) & (times <= WINDOW[1])]])
    return evaluate(practice_recipe(handbook, numbers), handbook, knowledge, early)


def main() -> None:
    """Renew the stored weights."""
    weights, firmness = evidence(shelf.load())
    path = places.resources() / "knowledge" / "usual_practice.npy"
    path.parent.mkdir(exist_ok=True)
    np.save(path, np.stack([weights / weights.sum(), firmness]))
    effective = weights.sum() ** 2 / (weights**2).sum()
    print(f"{path.name}: {weights.size} draws, effective size {effective:.0f}")


if __name__ == "__main__":
    main()
