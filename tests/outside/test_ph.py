"""PH against certified buffers, tables of buffers, and an independent speciation code.

The code is PHREEQC (phreeqpython 1.5.7, IPhreeqc inside), with a data base written here: it knows
the acids of our table and the Davies equation, and finds the species by its own method.
"""

import string

import numpy as np
import pytest

from designer import handbook
from designer.handbook import acids
from designer.laws.acidity import pka_at_temperature, undissociated_share
from designer.laws.charge_balance import added_acid, solution_ph
from designer.vocabulary import si
from tests.outside.published import each

BOOK = handbook.load()
ACIDS = acids.load().acids
NEVER = acids.NEVER
WATER = BOOK.parameters["water_pka"].si
WATER_HEAT = BOOK.parameters["water_pka_heat"].si

# Of buffers alone: pKa and heats of R. N. Goldberg et al. 2002 (memory).
ELSEWHERE = {
    "phthalic": ((2.950, 5.408, NEVER), (-2700.0, -2170.0, 0.0)),
    "boric": ((9.237, NEVER, NEVER), (13800.0, 0.0, 0.0)),
}
TABLED = {
    "citric": "Citric Acid",
    "phosphoric": "Phosphoric Acid",
    "carbonic": "Carbonic Acid",
}


def constants(name):
    if name in ELSEWHERE:
        return ELSEWHERE[name]
    return ACIDS[TABLED[name]].pka, ACIDS[TABLED[name]].heats


@each("buffers", "buffer", "celsius", "value")
def test_buffer_has_its_published_ph(row):
    pairs = [piece.split() for piece in row["groups"].split(";")]
    kelvin = si(row["celsius"], "°C")
    pka = np.array([pka_at_temperature(*constants(name), kelvin) for name, _ in pairs]).T
    found = solution_ph(
        [float(molality) for _, molality in pairs],
        [0.0] * len(pairs),
        pka,
        row["sodium"],
        0.0,
        pka_at_temperature(WATER, WATER_HEAT, kelvin),
    )
    assert found == pytest.approx(row["value"], abs=row["tolerance"])


def test_certified_buffers_are_met_to_a_hundredth_on_average_and_not_without_activity():
    buffers = [
        ("citric", 0.05, 0.05, 3.776),
        ("phthalic", 0.05, 0.05, 4.006),
        ("phosphoric", 0.05, 0.075, 6.865),
        ("boric", 0.04, 0.02, 9.180),
        ("carbonic", 0.05, 0.075, 10.012),
    ]
    miss, ideal = [], []
    for name, molality, sodium, certified in buffers:
        pka = np.array([constants(name)[0]]).T
        found = float(solution_ph([molality], [0.0], pka, sodium, 0.0, WATER))
        miss.append(found - certified)
        # A hundred times thinner there are next to no ions, and nearly the same ratio of species.
        thin = solution_ph([molality / 100], [0.0], pka, sodium / 100, 0.0, WATER)
        ideal.append(float(thin) - certified)
    assert np.sqrt(np.mean(np.square(miss))) < 0.012
    assert np.sqrt(np.mean(np.square(ideal))) > 0.1


# --- the independent code -------------------------------------------------------------------

SUBSTANCES = [one for one in ACIDS.values() if one.molar_mass is not None]


def element(number):
    """Return a name that PHREEQC takes for an element and that no true one has."""
    first, second = divmod(number, 26)
    return f"X{string.ascii_lowercase[first]}{string.ascii_lowercase[second]}"


def ion(name, charge, protons):
    hydrogen = f"H{protons}" if protons > 1 else "H" * protons
    sign = f"{'+' if charge > 0 else '-'}{abs(charge)}" if charge else ""
    return f"{hydrogen}{name}{sign}"


def data_base():
    """Return a data base of water, sodium, chloride and our acids, all under Davies."""
    master = [
        "H H+ -1 H 1.008",
        "H(0) H2 0 H",
        "H(1) H+ -1 0",
        "E e- 1 0 0",
        "O H2O 0 O 16.0",
        "O(0) O2 0 O",
        "O(-2) H2O 0 0",
        "Na Na+ 0 Na 22.99",
        "Cl Cl- 0 Cl 35.45",
    ]
    species = [
        ("H+ = H+", 0),
        ("e- = e-", 0),
        ("H2O = H2O", 0),
        ("Na+ = Na+", 0),
        ("Cl- = Cl-", 0),
        ("H2O = OH- + H+", -WATER),
        ("2 H+ + 2 e- = H2", -3.15),
        ("2 H2O = O2 + 4 H+ + 4 e-", -86.08),
    ]
    for number, acid in enumerate(SUBSTANCES):
        name = element(number)
        steps = [one for one in acid.pka if one < NEVER]
        bare = round(acid.charge_protonated) - len(steps)
        base = ion(name, bare, 0)
        master.append(f"{name} {base} 0 {acid.molar_mass * 1000:g} {acid.molar_mass * 1000:g}")
        species.append((f"{base} = {base}", 0))
        log_k = 0.0
        for protons, pka in enumerate(reversed(steps), 1):
            log_k += pka
            made = ion(name, bare + protons, protons)
            species.append((f"{base} + {protons} H+ = {made}", log_k))
    lines = ["SOLUTION_MASTER_SPECIES", *master, "SOLUTION_SPECIES"]
    for reaction, log_k in species:
        lines += [reaction, f" log_k {log_k:.6f}"]
        made = reaction.split(" = ")[1].split(" + ")[0]
        if "+" not in made and "-" not in made:
            # Without this line a neutral species has 0.1 I as the logarithm of its activity.
            lines.append(" -gamma 1e5 0.0")
    return "\n".join([*lines, "END", ""])


def mixtures():
    """Return 60 mixtures: (acid numbers, molalities, sodium, chloride, salt)."""
    random = np.random.default_rng(20)
    found = []
    for _ in range(60):
        count = int(random.integers(1, 7))
        chosen = random.choice(len(SUBSTANCES), count, replace=False)
        molality = np.exp(random.uniform(np.log(1e-4), np.log(0.04), count))
        strong = random.uniform(-0.3, 1.5) * molality.sum()
        salt = random.choice([0.0, 0.02, 0.1])
        found.append((chosen, molality, strong, salt))
    return found


@pytest.fixture(scope="module")
def speciation(tmp_path_factory):
    phreeqpython = pytest.importorskip("phreeqpython")
    folder = tmp_path_factory.mktemp("phreeqc")
    (folder / "acids.dat").write_text(data_base(), encoding="ascii")
    return phreeqpython.PhreeqPython(database="acids.dat", database_directory=folder)


def by_speciation(code, mixture):
    chosen, molality, strong, salt = mixture
    content = {element(one): value for one, value in zip(chosen, molality, strict=True)}
    content |= {"Na": max(strong, 0.0) + salt, "Cl": max(-strong, 0.0) + salt}
    given = {name: value for name, value in content.items() if value > 0}
    return code.add_solution({"units": "mol/kgw", "temp": 25, "pH": "7 charge", **given}).pH


def by_balance(mixture):
    chosen, molality, strong, salt = mixture
    picked = [SUBSTANCES[one] for one in chosen]
    charge = [one.charge_protonated for one in picked]
    pka = np.array([one.pka for one in picked]).T
    return float(solution_ph(molality, charge, pka, strong, salt, WATER))


def test_sixty_mixtures_agree_with_an_independent_speciation_code(speciation):
    pairs = [(by_balance(one), by_speciation(speciation, one)) for one in mixtures()]
    ours, theirs = np.array(pairs).T
    assert len(pairs) >= 30
    # They span the scale, so that agreement is no accident of one acid.
    assert ours.min() < 3.5
    assert ours.max() > 9
    # What is left is its slope of the Davies equation, 0.5085 for 0.509, and its mass of water.
    np.testing.assert_allclose(ours, theirs, atol=0.004)


@pytest.mark.parametrize("target", [5.5, 5.0, 4.5, 4.0])
def test_a_dose_reaches_its_target_in_the_independent_code_too(speciation, target):
    names = [one.name for one in SUBSTANCES]
    mixed = ["Lactic Acid", "Benzoic Acid", "Sorbic Acid"]
    chosen = [names.index(one) for one in mixed]
    molality, strong = [0.006, 0.0035, 0.002], 0.0125
    pka = np.array([ACIDS[one].pka for one in mixed]).T
    citric = ACIDS["Citric Acid"]
    dose = added_acid(
        target, molality, [0.0] * 3, pka, strong, 0.03, WATER,
        [1 / citric.molar_mass], [0.0], np.array([citric.pka]).T, 0.0,
    )  # fmt: skip
    assert dose > 0
    mixture = (
        [*chosen, names.index("Citric Acid")],
        [*molality, float(dose) / citric.molar_mass],
        strong,
        0.03,
    )
    assert by_speciation(speciation, mixture) == pytest.approx(target, abs=0.004)


# --- the share that preserves ---------------------------------------------------------------

LEVELS = (4.0, 4.5, 5.0, 5.5, 6.0, 6.5)
UNDISSOCIATED = {
    # Per cent, Henderson and Hasselbalch by hand from the pKa of CRC tables (memory).
    "Salicylic Acid": (8.5, 2.9, 0.9, 0.3, 0.1, 0.0),
    "Benzoic Acid": (61, 34, 14, 4.8, 1.6, 0.5),
    "p-Anisic Acid": (75, 48, 23, 8.5, 2.9, 0.9),
    "Levulinic Acid": (81, 58, 30, 12, 4.2, 1.4),
    "Sorbic Acid": (85, 64, 37, 15, 5.4, 1.8),
    "Dehydroacetic Acid": (95, 86, 65, 37, 16, 5.6),
}


@pytest.mark.parametrize(
    ("acid", "level", "percent"),
    [
        (acid, level, percent)
        for acid, row in UNDISSOCIATED.items()
        for level, percent in zip(LEVELS, row, strict=True)
    ],
)
def test_undissociated_share_is_as_tabled(acid, level, percent):
    share = 100 * float(undissociated_share(level, ACIDS[acid].pka[0]))
    assert share == pytest.approx(percent, abs=0.051 if percent < 10 else 0.7)


def test_every_preservative_acid_is_in_the_table_of_shares():
    assert {one.name for one in ACIDS.values() if one.preservative} == set(UNDISSOCIATED)


def test_elements_of_the_data_base_are_all_different():
    names = [element(number) for number in range(len(SUBSTANCES))]
    assert len(set(names)) == len(names)
