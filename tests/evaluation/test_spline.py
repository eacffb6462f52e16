"""The spline of the map's nodes is that of SciPy."""

import numpy as np
import pytest
from scipy.interpolate import make_interp_spline

from designer.evaluation.map_nodes import _spline


@pytest.mark.parametrize("degree", [1, 3])
@pytest.mark.parametrize("count", [5, 7, 11])
def test_weights_are_those_of_scipy(degree, count):
    random = np.random.default_rng(count)
    nodes = np.cumsum(random.uniform(0.2, 1.0, count))
    at = random.uniform(nodes[0], nodes[-1], (6, 9))
    at[0, : min(count, 9)] = nodes[:9]
    at[1, 0], at[1, 1] = nodes[0], nodes[-1]
    wanted = make_interp_spline(nodes, np.eye(count), k=degree)(at)
    np.testing.assert_allclose(_spline(nodes, degree)(at), wanted, atol=1e-12)


def test_a_cubic_is_met_exactly():
    nodes = np.array([0.0, 0.3, 0.7, 1.2, 2.0])
    at = np.linspace(0, 2, 50)
    values = 1 + nodes - 2 * nodes**2 + 0.5 * nodes**3
    wanted = 1 + at - 2 * at**2 + 0.5 * at**3
    np.testing.assert_allclose(_spline(nodes, 3)(at) @ values, wanted, atol=1e-12)
