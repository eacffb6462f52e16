"""The dough equations with six simple fats, which live here and enter through arguments.

The fats set on logistic curves instead of by phase equilibrium, everything of the melt has one
heat capacity, and kneading ends at ten minutes; what is tested is the dough and the bar.
"""

from dataclasses import replace

import numpy as np
from bars import ROOM, grams, recipe_of

from designer import handbook
from designer.evaluation import draws, knowledge
from designer.evaluation.dough import Heat, clock, dough
from designer.evaluation.evaluate import conditions_of
from designer.evaluation.mixture import mix
from designer.laws.hardening import bar_strength, setting_gain
from designer.recipe import resolve

MINUTE, HOUR, DAY = 1.0, 60.0, 1440.0
# Every time, the bar's too, counts from the first contact of melt and powder.
TIMES = np.array([0.05, 1.0, 5.0, 10.0, 20.0, HOUR, DAY, 14 * DAY])

# name: set temperature, width [°C], lag [min], density [g/mL], latent heat [J/g]
FATS = {
    "25 % active conditioner wax": (42.0, 4.5, 3.0, 0.89, 165.0),
    "cetyl alcohol (95 %+)": (39.5, 4.5, 3.0, 0.86, 230.0),
    "stearic acid, double/triple pressed (C16/C18)": (33.5, 4.0, 4.0, 0.87, 185.0),
    "cocoa butter": (27.0, 3.0, 60.0, 0.89, 110.0),
    "shea butter, West African": (25.0, 5.0, 90.0, 0.90, 100.0),
}
# Rows as they stood when the numbers were made: uptakes [g/g], solubility, density [g/mL].
FROZEN_POWDERS = {
    "SCI fine powder": (0.5, 0.48, 0.02, 1.15),
    "SLSA powder": (0.52, 0.5, 0.06, 1.3),
    "corn starch": (0.6, 0.45, 0.0, 1.48),
    "white clay": (0.42, 0.38, 0.0, 2.6),
    "hydrolysed rice protein powder": (0.45, 0.6, 0.55, 1.35),
    "polyquaternium-10": (2.0, 0.5, 0.1, 1.35),
    "citric acid": (0.1, 0.25, 0.9, 1.665),
}


def stand_in_book():
    """Return the handbook with the rows and the uptake shift that these numbers were made with."""
    book = handbook.load()
    powders = dict(book.powders)
    for name, (polar, oil, solubility, density) in FROZEN_POWDERS.items():
        powders[name] = replace(
            powders[name],
            uptake_polar=polar,
            uptake_oil=oil,
            solubility=solubility,
            true_density=1000 * density,
        )
    shift = book.parameters["uptake_shift"]
    changed = replace(shift, value=0.0)
    return replace(book, powders=powders, parameters={**book.parameters, "uptake_shift": changed})


def weighing(mixture, times):
    """Return a mixture so many times as heavy."""
    return replace(
        mixture,
        powder_shares=times * mixture.powder_shares,
        liquid_shares=times * mixture.liquid_shares,
        melt_shares=times * mixture.melt_shares,
    )


class Bench:
    """A bar of the stand-in model: its march in plain Python, its dough by the program."""

    def __init__(self, number, extra=None, times=TIMES, brought_to_100=True):
        self.book = stand_in_book()
        bar_grams = grams(number, extra)
        # The oil is heated with the melt, but here it counts among the liquids.
        moved = {("liquid" if n == "argan oil" else p, n): g for (p, n), g in bar_grams.items()}
        recipe = recipe_of(moved, room=ROOM.get(number, 294.15))
        self.times = times
        self.mixture = mix(recipe, resolve(recipe), self.book)
        if not brought_to_100:
            self.mixture = weighing(self.mixture, sum(bar_grams.values()) / 100)
        self.conditions = conditions_of(recipe, resolve(recipe))
        self.march()

    def masses(self):
        liquids = dict(
            zip(
                [one.name for one in self.mixture.liquids],
                100 * self.mixture.liquid_shares[0],
                strict=True,
            )
        )
        fats = dict(
            zip(
                [one.name for one in self.mixture.melts],
                100 * self.mixture.melt_shares[0],
                strict=True,
            )
        )
        return liquids, fats

    def march(self):
        liquids, fats = self.masses()
        oil_of = {one.name: one.oil_fraction for one in self.mixture.liquids}
        oil = sum(gram * oil_of[name] for name, gram in liquids.items())
        hot = sum(fats.values()) + liquids.get("argan oil", 0.0)
        powder = 100 * self.mixture.powder_shares[0].sum()
        capacity = 1.5 * powder + 3.2 * (sum(liquids.values()) - oil)
        capacity += 2.2 * (sum(fats.values()) + oil) + 15
        room = self.conditions.room - 273.15
        temperature = (2.2 * hot * 70 + (capacity - 2.2 * hot) * room) / capacity
        batch = 1000 * float(self.conditions.batch_mass[0])
        still, hand = (1 / 35) * (500 / batch) ** (1 / 3), 0.0169 * 500 / batch
        ends = np.unique(
            np.concatenate([np.geomspace(0.05, self.times[-1], 320), self.times, [10.0]])
        )
        share = dict.fromkeys(fats, 0.0)
        before, self.temperature, self.set_volume, self.set_mean = 0.0, [], [], []
        for end in ends:
            dt, touched = end - before, hand if end <= 10.0 else 0.0
            around = (still * room + touched * 31) / (still + touched)
            temperature = around + (temperature - around) * np.exp(-(still + touched) * dt)
            gained = 0.0
            for name, gram in fats.items():
                middle, width, lag, _, latent = FATS[name]
                target = 1 / (1 + np.exp((temperature - middle) / width))
                old = share[name]
                if target < old:
                    share[name] = target
                else:
                    share[name] = old + (target - old) * (1 - np.exp(-dt / lag))
                gained += gram * latent * (share[name] - old)
            temperature += gained / capacity
            before = end
            if np.isclose(self.times, end, rtol=1e-12).any():
                self.temperature.append(temperature)
                volume = sum(g * share[n] / FATS[n][3] for n, g in fats.items())
                self.set_volume.append(volume / sum(g / FATS[n][3] for n, g in fats.items()))
                self.set_mean.append(
                    sum(g * share[n] for n, g in fats.items()) / sum(fats.values())
                )

    def lost_water(self):
        """Return the stand-in's drying, mass per mass of dough, from 20 minutes on."""
        water = glycol = 0.0
        for one, share in zip(self.mixture.liquids, self.mixture.liquid_shares[0], strict=True):
            water += share * one.water_fraction
            glycol += share * one.glycol_fraction
        surfactant = sum(
            share
            for one, share in zip(self.mixture.powders, self.mixture.powder_shares[0], strict=True)
            if one.material_class == "surfactant_powder"
        )
        kept = min(water, 0.30 * glycol + 0.015 * surfactant)
        days = np.maximum(self.times - 20, 0) / DAY
        return (water - kept) * (1 - np.exp(-((days / 16) ** 0.6)))

    def dough(self):
        # Its fats have their own densities.
        melts = tuple(replace(one, density=1000 * FATS[one.name][3]) for one in self.mixture.melts)
        mixture = replace(self.mixture, melts=melts)
        central = knowledge.central()
        drawn = draws.dough_draws(self.book, central)
        seconds = 60 * self.times
        kelvin = np.array(self.temperature)[:, None] + 273.15
        heat = Heat(kelvin, kelvin, np.array(self.set_volume)[:, None])
        classes = {one.material_class for one in mixture.powders}
        ticking = clock(seconds, 600.0, classes, self.book, drawn)
        factors = draws.uptake_factors(mixture.powders, self.book, central)
        lost = self.lost_water()[:, None]
        return dough(mixture, 0, heat, lost, ticking, factors, drawn, self.book, central)

    def bar_kpa(self):
        fat = float(self.mixture.melt_fraction[0])
        strength = np.exp(self.dough().log_strength[:, 0])
        since = np.maximum(60 * (self.times - 20), 0.0)
        gain = setting_gain(since, np.array(self.set_mean), fat, 0.15, 2.3, 7200.0)
        return bar_strength(strength, gain, 600e3) / 1e3
