"""A worked example of learning from rated batches: the state chances used as a likelihood.

Two powders, one polar liquid; uptakes have a prior, five batches were rated. The program does not
learn yet; what is tested is that strength and state chances give the printed likelihoods.
"""

import numpy as np
import pytest
from scipy.optimize import minimize

from designer.laws import flow

UPTAKE, SD = np.array([0.50, 0.60]), np.array([0.20, 0.15])
CUTS = tuple(np.log(1000 * np.array([3.0, 10.0, 45.0, 92.8])))
STATES = ["crumbly", "stiff", "pliable", "sticky", "slack"]
BATCHES = [  # powder 1, powder 2 [g], liquid [mL], rated
    (60, 8, 34, "sticky"),
    (60, 8, 38, "slack"),
    (62, 4, 35, "sticky"),
    (56, 12, 36, "pliable"),
    (60, 8, 30, "pliable"),
]


def wetness(delta, one, two, liquid):
    return liquid / float(np.array([one, two]) @ (UPTAKE * np.exp(delta)))


def log_strength(wet):
    index = flow.liquidity(wet, 0.88, 0.48)
    return flow.log_strength(index, 1700.0, 35.0, 0.0, 298.15)


def chances(delta, batch, sd=0.30):
    return flow.state_chances(log_strength(wetness(delta, *batch[:3])), CUTS, sd)


def cost(delta):
    told = [np.log(chances(delta, b)[STATES.index(b[3])]) for b in BATCHES]
    return -float(np.sum(told)) + 0.5 * float(np.sum((delta / SD) ** 2))


def test_the_prior_mean_has_its_printed_cost():
    assert cost(np.zeros(2)) == pytest.approx(28.0314, abs=2e-3)


def test_the_best_fit_is_as_printed():
    fit = minimize(cost, np.zeros(2), method="Nelder-Mead", options={"xatol": 1e-7, "fatol": 1e-10})
    assert fit.fun == pytest.approx(4.2309, abs=2e-4)
    np.testing.assert_allclose(fit.x, [-0.1842, 0.0597], atol=2e-4)
    np.testing.assert_allclose(UPTAKE * np.exp(fit.x), [0.4159, 0.6369], atol=1e-4)
    wet = [wetness(fit.x, *batch[:3]) for batch in BATCHES]
    np.testing.assert_allclose(wet, [1.132, 1.265, 1.235, 1.164, 0.998], atol=6e-4)
    kpa = [float(np.exp(log_strength(w))) / 1000 for w in wet]
    np.testing.assert_allclose(kpa, [9.2, 3.4, 4.3, 7.3, 24.8], atol=0.06)


def test_prior_strengths_are_as_printed():
    wet = [wetness(np.zeros(2), *batch[:3]) for batch in BATCHES]
    np.testing.assert_allclose(wet, [0.977, 1.092, 1.048, 1.023, 0.862], atol=6e-4)
    kpa = [float(np.exp(log_strength(w))) / 1000 for w in wet]
    np.testing.assert_allclose(kpa, [29.0, 12.4, 17.2, 20.7, 68.0], atol=0.06)


def test_the_spread_of_the_fit_and_the_next_batch_are_as_printed():
    best = np.array([-0.1842, 0.0597])
    step = 1e-3
    hessian = np.empty((2, 2))
    for i in range(2):
        for j in range(2):
            at = np.eye(2) * step
            hessian[i, j] = (
                cost(best + at[i] + at[j])
                - cost(best + at[i] - at[j])
                - cost(best - at[i] + at[j])
                + cost(best - at[i] - at[j])
            ) / (4 * step**2)
    covariance = np.linalg.inv(hessian)
    sd = np.sqrt(np.diag(covariance))
    np.testing.assert_allclose(sd, [0.0395, 0.1381], atol=2e-3)
    assert covariance[0, 1] / sd.prod() == pytest.approx(-0.758, abs=0.02)
    parts = np.array([60, 8]) * UPTAKE * np.exp(best)
    gradient = -parts / parts.sum()
    sd_wet = float(np.sqrt(gradient @ covariance @ gradient))
    assert sd_wet == pytest.approx(0.0214, abs=1e-3)
    wet = wetness(best, 60, 8, 34)
    sd_y = np.sqrt(0.30**2 + (wet * np.log(35) / 0.48 * sd_wet) ** 2)
    told = flow.state_chances(log_strength(wet), CUTS, float(sd_y))
    np.testing.assert_allclose(told, [0.0, 0.0, 0.41, 0.59, 0.0], atol=0.011)
    assert parts.sum() == pytest.approx(30.0, abs=0.06)
