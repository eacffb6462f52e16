"""Which unknown makes a forecast unsure, how much of it, and what measuring it would be worth."""

from collections.abc import Callable, Iterator
from dataclasses import dataclass, field, replace

import numpy as np

from designer.evaluation.dough import demand_volumes
from designer.evaluation.draws import drawn, uptake_factors
from designer.evaluation.evaluate import Evaluation, evaluate
from designer.evaluation.knowledge import MELT_DRAWS, PRIOR_DRAWS, Knowledge, prior, stream
from designer.evaluation.readings import outside_model
from designer.handbook import Handbook, Powder
from designer.recipe import Recipe
from designer.vocabulary import Floats

__all__ = ["BASE_DRAWS", "Input", "Measurement", "Uncertainty", "shares", "uncertainty"]

BASE_DRAWS = PRIOR_DRAWS // 2
"""Draws of each half of a pick-freeze design; both halves use every draw of the streams once."""

_FIXED: dict[str, tuple[str, ...]] = {
    "demand": ("kappa",),
    "pace": ("f0", "tau"),
    "limits": ("W_PL", "dW"),
    "scale": ("s_LL", "R"),
    "set_fat": ("psi",),
    "dissolving": ("sol",),
    "tack": ("s_tack", "k_tau"),
    "rating": ("rating",),
    "melt": ("melt model error",),
}
"""What is unknown of any dough, and the streams it is drawn from; "melt" has the melt draws too."""


@dataclass(frozen=True)
class Input:
    """One thing that is not known, and its part in what is not known of the dough.

    Attributes
    ----------
    kind : str
        "demand" (of a kneaded powder over a rubbed-out one), "powder" (uptake of one), "class"
        (uptake common to a class), "pace" (of drinking), "limits" (wetness at which a dough turns
        plastic and slack), "scale" (strength there), "set_fat" (its worth as a liquid), "melt"
        (temperature and setting), "dissolving", "tack", "rating" (one hand's), "volume" (of an
        ingredient that the handbook does not know).
    of : str
        The ingredient or class, "" for any dough.
    first, total : float [1]
        Of the variance of ln strength at the knead: what goes if this alone were known, and what
        stays if all else were.
    clean_first, clean_total : float [1]
        The same of whether the knead is clean within the window.
    """

    kind: str
    of: str
    first: float
    total: float
    clean_first: float
    clean_total: float


@dataclass(frozen=True)
class Measurement:
    """What measuring something would be worth.

    Attributes
    ----------
    kind : str
        "rub_out" of one powder, "blend" of all powders as weighed, "rod" in one batch of the dough.
    of : str
        The powder, else "".
    sd_after : float [ln Pa]
        Standard deviation left of ln strength at the knead, on average over what it may show.
    """

    kind: str
    of: str
    sd_after: float


@dataclass(frozen=True)
class Uncertainty:
    """What makes the forecast of a variant unsure.

    Attributes
    ----------
    number : str
        Of the variant.
    sd_tables : float [ln Pa]
        Standard deviation of ln strength at the knead that `inputs` share out: of tables alone.
    sd_now : float [ln Pa]
        The same under the knowledge of the evaluation, from which measuring starts.
    inputs : tuple of Input
        Largest total share first.
    measurements : tuple of Measurement
        Most useful first.
    missing : str
        Why there is nothing to tell, "" where there is.
    """

    number: str
    sd_tables: float = 0.0
    sd_now: float = 0.0
    inputs: tuple[Input, ...] = ()
    measurements: tuple[Measurement, ...] = ()
    missing: str = ""


@dataclass(frozen=True, eq=False)
class _Mixed(Knowledge):
    """Draws of which some names follow other rows of the prior's streams.

    Attributes
    ----------
    other : int array (draws,)
    names : frozenset of str
    """

    other: np.ndarray = field(default_factory=lambda: np.zeros(0, dtype=np.intp))
    names: frozenset[str] = frozenset()

    def scores(self, name: str) -> Floats:
        """Return the normal scores (draws,) of a parameter with a fine stream."""
        if name not in self.names:
            return super().scores(name)
        scores: Floats = stream(name, PRIOR_DRAWS)[self.other]
        return scores

    @property
    def melt_row(self) -> np.ndarray:
        """Which melt draw each draw uses: int array (draws,)."""
        return self.other % MELT_DRAWS if _MELT in self.names else super().melt_row


_MELT = _FIXED["melt"][0]


def shares(first: Floats, second: Floats, mixed: Floats) -> tuple[Floats, Floats]:
    """Return first-order and total shares of inputs in the variance of a figure.

    Parameters
    ----------
    first, second : arrays (draws,)
        The figure at two independent sets of draws of all inputs.
    mixed : array (inputs, draws)
        At the first set with one input taken from the second.

    Returns
    -------
    first-order, total : arrays (inputs,) [1]; 0 where the figure does not vary

    Notes
    -----
    S_i = mean(f_B (f_AB_i - f_A))/V, S_Ti = mean((f_A - f_AB_i)^2)/(2 V), figures centred and V of
    both sets. Source: A. Saltelli et al., Comput. Phys. Commun. 181 (2010) 259, table 2.

    Examples
    --------
    Of a sum of two like inputs each has one half:

    >>> a, b = np.random.default_rng(1).standard_normal((2, 2, 200_000))
    >>> mixed = np.stack([b[0] + a[1], a[0] + b[1]])
    >>> [part.round(1).tolist() for part in shares(a.sum(axis=0), b.sum(axis=0), mixed)]
    [[0.5, 0.5], [0.5, 0.5]]
    """
    both = np.concatenate([first, second])
    variance = float(np.var(both))
    if variance <= 0:
        return np.zeros(len(mixed)), np.zeros(len(mixed))
    a, b, ab = (values - both.mean() for values in (first, second, mixed))
    return (b * (ab - a)).mean(axis=1) / variance, ((a - ab) ** 2).mean(axis=1) / (2 * variance)


def uncertainty(
    result: Evaluation,
    variant: int,
    stop: Callable[[], bool] = lambda: False,
    draws: int = BASE_DRAWS,
) -> Uncertainty:
    """Return what makes the forecast of a variant unsure.

    Parameters
    ----------
    result : Evaluation
    variant : int
        Its index.
    stop : callable
        Asked before each input whether to give up.
    draws : int
        Of each half of the design, at most `BASE_DRAWS`.

    Raises
    ------
    InterruptedError
        `stop` said so.

    Notes
    -----
    Shares are those of tables alone, where what is not known of one thing says nothing of another:
    practice and batches tie them together, and shares of tied inputs have no one meaning. They are
    estimated from draws: with 4096 an error of 0.02 is usual. What measuring is worth starts from
    the knowledge of the evaluation: the variance that goes with what is measured, a curve of the
    third degree through the draws, times how much of it the measurement tells.
    """
    number = result.recipe.numbers[variant]
    if why_not := outside_model(result, variant):
        return Uncertainty(number, missing=f"no forecast: {why_not}")
    design = _Design(result, variant, draws, stop)
    inputs = list(_inputs(result, variant))
    strength_a, clean_a = design.figures(None)
    strength_b, clean_b = design.figures(frozenset())
    figures = [design.figures(names) for _, _, names in inputs]
    strength = shares(strength_a, strength_b, np.stack([one for one, _ in figures]))
    clean = shares(clean_a, clean_b, np.stack([one for _, one in figures]))
    found = [
        Input(kind, of, *(float(share[k]) for share in (*strength, *clean)))
        for k, (kind, of, _) in enumerate(inputs)
    ]
    return Uncertainty(
        number,
        float(np.std(np.concatenate([strength_a, strength_b]))),
        _sd(_strength(result, variant), result.weights),
        tuple(sorted(found, key=lambda one: -one.total)),
        _measurements(result, variant),
    )


def _inputs(result: Evaluation, variant: int) -> Iterator[tuple[str, str, frozenset[str]]]:
    """Yield kind, ingredient or class, and streams of all that is not known of a variant."""
    mixture = result.forecasts[variant].mixture
    for kind, names in _FIXED.items():
        yield kind, "", frozenset(names)
    for powder in mixture.powders:
        yield "powder", powder.name, frozenset({f"powder {powder.name}"})
    for name in dict.fromkeys(powder.material_class for powder in mixture.powders):
        yield "class", name, frozenset({f"class {name}"})
    for name in mixture.unknown:
        if name not in {powder.name for powder in mixture.powders}:
            yield "volume", name, frozenset({f"volume {name}"})


@dataclass(frozen=True, eq=False)
class _Design:
    """Evaluations of one variant at the draws of a pick-freeze design."""

    result: Evaluation
    variant: int
    draws: int
    stop: Callable[[], bool]

    def figures(self, names: frozenset[str] | None) -> tuple[Floats, Floats]:
        """Return ln strength at the knead and whether clean (draws,): at the first draws, with
        some names from the second ones; with an empty set all from these.
        """
        if self.stop():
            raise InterruptedError
        first = np.arange(self.draws)
        # Shuffled, as the few draws of the melt repeat: row by row both sets would have the same.
        second = PRIOR_DRAWS // 2 + np.argsort(stream("second half", PRIOR_DRAWS)[: self.draws])
        knowledge = replace(prior(self.draws), rows=first)
        if names is not None and not names:
            knowledge = replace(knowledge, rows=second)
        elif names is not None:
            knowledge = _Mixed(first, knowledge.weights, knowledge.basis, second, names)
        made = evaluate(self._recipe, self.result.handbook, knowledge, self._times)
        one = made.forecasts[0]
        return one.log_strength[made.knead], one.clean

    @property
    def _recipe(self) -> Recipe:
        return self.result.recipe.only(self.result.recipe.numbers[self.variant])

    @property
    def _times(self) -> Floats:
        window, knead = self.result.window, self.result.knead
        times: Floats = self.result.times[np.union1d(window, [knead])]
        return times


def _strength(result: Evaluation, variant: int) -> Floats:
    strength: Floats = result.forecasts[variant].log_strength[result.knead]
    return strength


def _measurements(result: Evaluation, variant: int) -> tuple[Measurement, ...]:
    p = result.handbook.parameters
    strength, weights = _strength(result, variant), result.weights
    found = [Measurement("rod", "", _left(strength, strength, p["rod_sd"].si, weights))]
    uptakes, part = _uptakes(result, variant)
    names = [powder.name for powder in result.forecasts[variant].mixture.powders]
    for name, uptake in zip(names, uptakes, strict=True):
        found.append(
            Measurement("rub_out", name, _left(strength, uptake, p["rub_out_sd"].si, weights))
        )
    if names:
        kappa = np.log(drawn(p["kappa"], result.knowledge.scores("kappa")))
        blend = kappa + part @ uptakes
        found.append(
            Measurement("blend", "", _left(strength, blend, p["blend_rub_out_sd"].si, weights))
        )
    return tuple(sorted(found, key=lambda one: one.sd_after))


def _uptakes(result: Evaluation, variant: int) -> tuple[Floats, Floats]:
    """Return ln of each powder's own uptake factor (powders, draws), and its part of the demand."""
    mixture, handbook = result.forecasts[variant].mixture, result.handbook
    factors = np.log(uptake_factors(mixture.powders, handbook, result.knowledge))
    demand = _polar_demand(handbook, mixture.powders) * mixture.powder_shares[0]
    return factors, demand / max(float(demand.sum()), 1e-300)


def _polar_demand(handbook: Handbook, powders: tuple[Powder, ...]) -> Floats:
    return np.array([demand_volumes(powder, handbook)[0] for powder in powders])


def _left(figure: Floats, measured: Floats, sd: float, weights: Floats) -> float:
    """Return the standard deviation left of a figure once something is measured with an error."""
    spread = _sd(measured, weights)
    if spread <= 0:
        return _sd(figure, weights)
    centred = (measured - np.vecdot(measured, weights)) / spread
    powers = np.stack([centred**k for k in range(4)], axis=1)
    root = np.sqrt(weights)
    fitted = powers @ np.linalg.lstsq(powers * root[:, None], figure * root, rcond=None)[0]
    whole, explained = _sd(figure, weights) ** 2, _sd(fitted, weights) ** 2
    # Three powers fit a little of any noise: what chance alone would explain is taken off.
    few = 1 / float(np.vecdot(weights, weights))
    explained -= (whole - explained) * min(1.0, (powers.shape[1] - 1) / max(few - 4, 1.0))
    told = spread**2 / (spread**2 + sd**2)
    return float(np.sqrt(max(whole - max(explained, 0.0) * told, 0.0)))


def _sd(values: Floats, weights: Floats) -> float:
    mean = np.vecdot(values, weights)
    return float(np.sqrt(np.vecdot((values - mean) ** 2, weights)))
