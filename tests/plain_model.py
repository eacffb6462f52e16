"""The whole model once more, as a plain Python loop over draws: the reference for values and speed.

Nothing here is shared with the program but the tables, the random streams and the nodes (grid of
the melt table, steps, times). One draw at a time, one component at a time.
"""

import math

from designer.evaluation.heat import _steps
from designer.evaluation.melt_table import GRID

R = 8.314462618
PASSES = 8


def clip(x, low, high):
    return min(max(x, low), high)


class Draw:
    """Parameters at one draw."""

    def __init__(self, book, knowledge, index):
        self.book, self.knowledge, self.index = book, knowledge, index
        self.melt_index = int(knowledge.melt_row[index]) if knowledge.rows is not None else 0

    def z(self, name):
        return float(self.knowledge.scores(name)[self.index])

    def melt_z(self, name):
        return float(self.knowledge.melt_scores(name)[self.melt_index])

    def at(self, name, z):
        p = self.book.parameters[name]
        value = p.si * math.exp(p.sd * z) if p.spread == "factor" else p.si + p.sd_si * z
        return clip(value, p.held_low_si, p.held_high_si)

    def fixed(self, name):
        return self.book.parameters[name].si


def family_solid(n, reach, members):
    solid = max(0.0, *(n[i] - reach[i] for i in members))
    for _ in range(60):
        terms = [n[i] / max(reach[i] + solid, 1e-30) for i in members]
        miss = sum(terms) - 1
        if not (miss > 0 or solid > 0):
            break
        slope = sum(t / max(reach[i] + solid, 1e-30) for t, i in zip(terms, members, strict=True))
        new = max(0.0, solid + miss / slope)
        if abs(new - solid) <= 1e-15:
            solid = new
            break
        solid = new
    return solid


def liquid_of(n, s, families):
    """Return l of one blend at one temperature by Newton from the all-liquid end."""
    groups = {}
    for i, family in enumerate(families):
        groups.setdefault(family or i, []).append(i)
    members = [g for g in groups.values() if len(g) > 1]
    single = [g[0] for g in groups.values() if len(g) == 1]
    total = 1.0
    for _ in range(80):
        g, slope = total - 1, 1.0
        for i in single:
            if n[i] > s[i] * total:
                g += n[i] - s[i] * total
                slope -= s[i]
        for group in members:
            reach = [x * total for x in s]
            solid = family_solid(n, reach, group)
            g += solid
            if solid > 0:
                weights = [n[i] / (reach[i] + solid) ** 2 for i in group]
                slope -= sum(w * s[i] for w, i in zip(weights, group, strict=True)) / sum(weights)
        if slope <= 1e-12:
            total = 0.0
            break
        new = clip(total - g / slope, 0.0, 1.0)
        done = abs(new - total) <= 1e-14
        total = new
        if done or total == 0.0:
            break
    liquid = [min(n[i], s[i] * total) for i in range(len(n))]
    for group in members:
        reach = [x * total for x in s]
        solid = family_solid(n, reach, group)
        for i in group:
            liquid[i] = n[i] * reach[i] / max(reach[i] + solid, 1e-30) if total > 0 else 0.0
    return liquid, total


def equilibrium(n, s, families, heads, attraction):
    if not (
        attraction
        and any(x for x, h in zip(n, heads, strict=True) if h == "acid")
        and any(x for x, h in zip(n, heads, strict=True) if h == "alcohol")
    ):
        return liquid_of(n, s, families)[0]
    start = [
        sum(x for x, h in zip(n, heads, strict=True) if h == kind) for kind in ("acid", "alcohol")
    ]
    acid, alcohol = start
    log = {"acid": 0.0, "alcohol": 0.0, "": 0.0}
    liquid = n
    for step in range(PASSES):
        new = 1.0 if step == 0 else 0.7
        now = {
            "acid": attraction * alcohol * (1 - acid),
            "alcohol": attraction * acid * (1 - alcohol),
            "": -attraction * acid * alcohol,
        }
        log = {k: new * now[k] + (1 - new) * log[k] for k in log}
        effective = [x * math.exp(-log[h]) for x, h in zip(s, heads, strict=True)]
        liquid, total = liquid_of(n, effective, families)
        if total >= 1e-9:
            whole = sum(liquid)
            acid, alcohol = (
                sum(x for x, h in zip(liquid, heads, strict=True) if h == kind) / whole
                for kind in ("acid", "alcohol")
            )
        else:
            acid, alcohol = start
    return liquid


def melt_tables(draw, mixture, variant):
    """Return components' data and, over the grid, solid moles per kg and fresh and aged set."""
    shares = mixture.melt_shares[variant]
    mass = {}
    for melt, share in zip(mixture.melts, shares, strict=True):
        for name, fraction in melt.components:
            mass[name] = mass.get(name, 0.0) + share / shares.sum() * fraction
    names = sorted(name for name in mass if mass[name] > 0)
    rows = [draw.book.components[name] for name in names]
    molar = [row.molar_mass for row in rows]
    moles = [mass[name] / m for name, m in zip(names, molar, strict=True)]
    n = [x / sum(moles) for x in moles]
    common = draw.at("melt_common_shift", draw.melt_z("melt Tm"))
    alcohol = draw.at("alcohol_fresh_factor", draw.melt_z("melt alcohol"))
    sus = draw.at("sus_shift", draw.melt_z("melt SUS"))
    attraction = draw.at("acid_alcohol_attraction", draw.melt_z("melt A"))
    forms = {}
    for form in ("fresh", "aged"):
        point, heat = [], []
        for row in rows:
            p = (
                row.melting_point
                + common
                + row.sd_melting_point * draw.melt_z(f"melt Tm {row.name}")
            )
            h = row.heat_of_fusion * (
                1 + draw.fixed("heat_of_fusion_sd") * draw.melt_z(f"melt H {row.name}")
            )
            if form == "fresh":
                p -= row.fresh_shift + (sus if row.fresh_shift else 0.0)
                rotator = row.family == "ALC" and row.fresh_heat_factor < 1
                h *= alcohol if rotator else row.fresh_heat_factor
            point.append(p)
            heat.append(h)
        forms[form] = (point, heat)
    heads = [{"FA": "acid", "OH": "alcohol"}.get(name.split("_")[0], "") for name in names]
    families = [row.family for row in rows]
    tables = {}
    for form, (point, heat) in forms.items():
        best = [0.0] * len(n)
        table = []
        for t in GRID:
            s = [
                math.exp(min(50.0, -h / R * (1 / t - 1 / p)))
                for p, h in zip(point, heat, strict=True)
            ]
            liquid = equilibrium(n, s, families, heads, attraction)
            best = [max(a, b) for a, b in zip(best, liquid, strict=True)]
            table.append(best)
        tables[form] = table
    per_kg = sum(moles)
    solid = [[(a - b) * per_kg for a, b in zip(n, row, strict=True)] for row in tables["fresh"]]
    whole = sum(a * m for a, m in zip(n, molar, strict=True))
    sets = {
        form: [1 - sum(a * m for a, m in zip(row, molar, strict=True)) / whole for row in table]
        for form, table in tables.items()
    }
    lags = [
        draw.at(f"lag_{r.kinetic_class}", draw.melt_z(f"melt lag {r.kinetic_class}")) for r in rows
    ]
    return molar, forms["fresh"][1], lags, solid, sets["fresh"], sets["aged"]


def looked_up(column, t):
    place = clip(t - GRID[0], 0.0, len(GRID) - 1.000001)
    low = int(place)
    return column[low] + (place - low) * (column[low + 1] - column[low])


def heat_run(draw, mixture, variant, conditions, times):
    """Return temperature, set share and ageing at every time."""
    melt = mixture.melt_shares[variant]
    batch = float(conditions.batch_mass[variant])
    parts = [
        (
            sum(s * m.heat_capacity for s, m in zip(melt, mixture.melts, strict=True)),
            conditions.bath,
        )
    ]
    mineral = ("starch", "clay", "mineral")
    powder = 0.0
    for share, one in zip(mixture.powder_shares[variant], mixture.powders, strict=True):
        kind = "mineral_powder" if one.material_class in mineral else "other_powder"
        if one.material_class == "surfactant_powder":
            kind = "surfactant_powder"
        powder += share * draw.fixed(f"cp_{kind}")
    parts.append((powder, conditions.room))
    liquid = 0.0
    for share, one in zip(mixture.liquid_shares[variant], mixture.liquids, strict=True):
        rest = 1 - one.water_fraction - one.oil_fraction
        liquid += share * (
            draw.fixed("cp_water") * one.water_fraction
            + draw.fixed("cp_oil") * one.oil_fraction
            + draw.fixed("cp_other_liquid") * rest
        )
    parts.append((liquid, conditions.liquids))
    parts.append((draw.fixed("bowl_heat_capacity") * batch ** (-1 / 3), conditions.room))
    whole = sum(c for c, _ in parts)
    t = sum(c * x for c, x in parts) / whole
    t += draw.at("mixing_temperature_error", draw.melt_z("melt T0"))
    capacity = whole * draw.at("heat_capacity_factor", draw.melt_z("melt C"))
    density = draw.fixed("lump_density")
    area = draw.fixed("lump_area_factor") * (36 * math.pi) ** (1 / 3) * (batch / density) ** (2 / 3)
    h = draw.at("surface_coefficient", draw.melt_z("melt h"))
    hand = draw.at("hand_coefficient", draw.melt_z("melt U"))
    biot = h * (3 * batch / (4 * math.pi * density)) ** (1 / 3) / draw.fixed("dough_conductivity")
    loss = h * area
    towards = (loss * conditions.room + hand * draw.fixed("hand_temperature")) / (loss + hand)
    has_melt = melt.sum() > 0
    if has_melt:
        molar, heats, lags, solid, fresh, aged = melt_tables(draw, mixture, variant)
        columns = list(zip(*solid, strict=True))
        sigma = [0.0] * len(molar)
    step, kneaded, recorded = _steps(times, conditions.window[1])
    wanted = {int(k) for k in recorded}
    rows = []
    for k, dt in enumerate(step):
        around = towards if kneaded[k] else conditions.room
        rate = (loss + hand if kneaded[k] else loss / (1 + biot / 5)) / (capacity * batch)
        half = math.exp(-dt / 2 * rate)
        t = around + (t - around) * half
        if has_melt:
            gained, here = 0.0, t
            for i in range(len(sigma)):
                missing = looked_up(columns[i], here) - sigma[i]
                lag = lags[i] if missing > 0 else draw.fixed("melting_time")
                gain = missing * (1 - math.exp(-dt / lag))
                sigma[i] += gain
                gained += gain * heats[i]
            t += melt.sum() * gained / capacity
        t = around + (t - around) * half
        if k in wanted:
            if has_melt:
                share = clip(sum(a * m for a, m in zip(sigma, molar, strict=True)), 0.0, 1.0)
                ageing = looked_up([max(0.0, a - f) for a, f in zip(aged, fresh, strict=True)], t)
            else:
                share = ageing = 0.0
            rows.append((t, share, ageing))
    return rows


def clean_and_course(draw, mixture, variant, conditions, times):
    """Return lists over time of T, set share, wetness and ln strength of one draw, no drying."""
    rows = heat_run(draw, mixture, variant, conditions, times)
    end = conditions.window[1]
    out = []
    melt = mixture.melt_shares[variant]
    butter = sum(
        s
        for s, m in zip(melt, mixture.melts, strict=True)
        if m.material_class in ("butter", "lauric_fat", "hard_fat")
    )
    rich = clip(2 * butter / melt.sum(), 0.5, 1.0) if melt.sum() > 0 else 0.5
    error = draw.fixed("set_share_model_sd") * clip(draw.z("melt model error"), -2, 2)
    factors = []
    for one in mixture.powders:
        own = math.sqrt(
            max(
                one.uptake_sd**2 - draw.fixed("class_share_sd") ** 2,
                draw.fixed("own_sd_floor") ** 2,
            )
        )
        shared = draw.fixed("class_share_sd") * draw.z(f"class {one.material_class}")
        factors.append(math.exp(own * draw.z(f"powder {one.name}") + shared))
    for time, (t, share, ageing) in zip(times, rows, strict=True):
        since = max(0.0, time - end)
        share = clip(share + ageing * (1 - math.exp(-since / draw.fixed("aged_time"))), 0.0, 1.0)
        share = clip(share + rich * error * 4 * share * (1 - share), 0.0, 1.0)
        out.append((t, share, *moment(draw, mixture, variant, time, end, t, share, factors)))
    return out


def moment(draw, mixture, variant, time, end, t, share, factors):
    worked = min(time, end) + draw.fixed("rest_uptake_pace") * max(0.0, time - end)
    sol = draw.at("dissolved_fraction", draw.z("sol"))
    gain = min(
        math.exp(draw.fixed("solubility_slope") * (t - 298.15)), draw.fixed("solubility_gain_limit")
    )
    limit = draw.fixed("dissolved_limit")
    could, parts = 0.0, []
    for one, m in zip(mixture.powders, mixture.powder_shares[variant], strict=True):
        x = min(one.solubility * gain, limit if one.solubility < limit else 1.0)
        y = sol * x if one.solubility < limit else x
        could += m * y
        parts.append(y)
    solvent = sum(
        m * (one.water_fraction + draw.fixed("glycol_solvent_worth") * one.glycol_fraction)
        for one, m in zip(mixture.liquids, mixture.liquid_shares[variant], strict=True)
    )
    capacity = draw.fixed("dissolving_capacity") * solvent
    d = min(1.0, capacity / max(could, 1e-12)) * (
        1 - math.exp(-time / draw.fixed("dissolving_time"))
    )
    f0, tau = draw.at("uptake_shift", draw.z("f0")), draw.at("uptake_pace", draw.z("tau"))
    bounds = draw.book.parameters["uptake_immediate_limits"]
    a = b = 0.0
    for one, m, y, factor in zip(
        mixture.powders, mixture.powder_shares[variant], parts, factors, strict=True
    ):
        kind = draw.book.uptake_classes[one.material_class]
        f = clip(kind.immediate + f0, bounds.held_low, bounds.held_high)
        g = f + (1 - f) * (1 - math.exp(-worked / (kind.time_constant * tau)))
        drunk = g * factor * m * (1 - d * y)
        a += drunk * one.uptake_polar / draw.fixed("polar_density")
        b += drunk * one.uptake_oil / draw.fixed("oil_density")
    kappa = draw.at("kappa", draw.z("kappa"))
    a, b = (max(kappa * x, draw.fixed("least_demand")) for x in (a, b))
    polar = d * could / draw.fixed("dissolved_density")
    oil = 0.0
    for one, m in zip(mixture.liquids, mixture.liquid_shares[variant], strict=True):
        polar += m * (1 - one.oil_fraction) / one.density
        oil += m * one.oil_fraction / one.density
    melt = sum(
        m / one.density for one, m in zip(mixture.melts, mixture.melt_shares[variant], strict=True)
    )
    psi = draw.at("set_fat_worth", draw.z("psi"))
    w = polar / a + (oil + (1 - share) * melt + psi * share * melt) / b
    index = (w - draw.at("plastic_wetness", draw.z("W_PL"))) / draw.at("wetness_span", draw.z("dW"))
    index = clip(index, -1.0, 3.0)
    y = math.log(draw.at("liquid_limit_strength", draw.z("s_LL")))
    y += (1 - index) * math.log(draw.at("strength_ratio", draw.z("R")))
    return w, y - draw.fixed("thermal_softening") * (t - 298.15)
