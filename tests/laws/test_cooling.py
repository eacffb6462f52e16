"""A march over time, broken off and carried on."""

import numpy as np

from designer.laws.cooling import Cooling, Setting, carry_on_setting, set_while_cooling


def lump(cells, modes, random):
    return Cooling(
        np.full(cells, 310.0) + random.uniform(-3, 3, cells),
        np.full(cells, 2000.0),
        np.tile(np.array([300.0, 294.0, 285.0])[:modes, None], cells),
        np.tile(np.array([1e-3, 6e-4, 2e-3])[:modes, None], cells),
    )


def melt(cells, random):
    grid = np.arange(280.0, 330.0)
    middles = np.array([300.0, 308.0, 315.0])
    target = np.array([1.0, 0.8, 0.6]) / (1 + np.exp((grid[:, None] - middles) / 2))
    return Setting(
        np.full(cells, 0.17),
        grid,
        np.tile(target, (2, 1, 1)),
        np.full((2, 3), 5e4) * random.uniform(0.9, 1.1, (2, 3)),
        np.array([0.25, 0.27, 0.8]),
        np.array([[90.0, 120.0, 3600.0], [60.0, 150.0, 3000.0]]),
        30.0,
    )


def test_a_march_broken_off_and_carried_on_is_the_march_in_one_go():
    random = np.random.default_rng(1)
    cooling, setting = lump(4, 2, random), melt(4, random)
    step = np.full(40, 15.0)
    kneaded = np.arange(40) < 25
    recorded = np.array([9, 17, 39])
    whole, share = set_while_cooling(step, kneaded, recorded, cooling, setting)
    mode = np.where(kneaded, 0, 1)
    first = carry_on_setting(step[:18], mode[:18], recorded[:2], cooling, setting, np.zeros((4, 3)))
    later = Cooling(first[0][1], cooling.heat_capacity, cooling.surroundings, cooling.rate)
    second = carry_on_setting(step[18:], mode[18:], recorded[2:] - 18, later, setting, first[2])
    np.testing.assert_allclose(np.concatenate([first[0], second[0]]), whole, rtol=1e-12)
    np.testing.assert_allclose(np.concatenate([first[1], second[1]]), share, rtol=1e-10)


def test_a_colder_place_cools_and_sets_more():
    random = np.random.default_rng(2)
    cooling, setting = lump(2, 3, random), melt(2, random)
    step = np.full(20, 15.0)
    results = [
        carry_on_setting(
            step, np.full(20, mode), np.array([19]), cooling, setting, np.zeros((2, 3))
        )
        for mode in (0, 2)
    ]
    (warm, few, _), (cold, more, _) = results
    assert np.all(cold < warm - 3)
    assert np.all(more > few)
