"""Makers whose truth is one draw of what is known: they feel, follow the first advice, feel again.

A truth is a row of the prior, drawn by usual practice from all 8192, not from the 512 that the
program uses. The hand errs as everywhere in the model: one error per maker. The program knows only
what each maker says, so makers with one story so far are given one advice.
"""

from collections import Counter
from dataclasses import replace
from functools import lru_cache

import numpy as np
import pytest
from bars import recipe

from designer import handbook
from designer.advice.bowl import Felt, Noted, advise, in_bowl, past
from designer.evaluation import knowledge
from designer.evaluation.draws import dough_draws
from designer.evaluation.forecast import clean_at
from designer.evaluation.knowledge import PRIOR_DRAWS, Knowledge
from designer.vocabulary import STATES

BOOK = handbook.load()
SHOWN, CENTRAL = knowledge.shipped(), knowledge.central()
BATCH = 0.5
AGES = (300.0, 480.0)
AT_HAND = ("corn starch", "water")
MOST_ADDITIONS, MOST_STEPS = 2, 6


def states(dough, known):
    """Return what is felt (times, draws): 0 crumbly to 4 slack, with the hand's own error."""
    p = BOOK.parameters
    felt = dough.log_strength + dough_draws(BOOK, known).rating
    crumbly = felt > dough.crumble_cut
    firm = felt > np.log(p["firm_strength"].si)
    slack = felt < np.log(p["slack_strength"].si)
    return np.select([crumbly, firm, slack, felt < dough.tack_cut], [0, 1, 4, 3], 2)


@lru_cache
def felt_by_all(bar, age):
    known = knowledge.prior()
    made = past(in_bowl(recipe(bar), 0, BATCH, age), BOOK, known)
    return states(made.since_addition(np.array([age]), known), known)[0]


def makers(count, bars, random):
    """Return {(bar, age, felt state): truths} of doughs that do not knead clean yet."""
    weights = knowledge.practice().weights
    found = {}
    while count:
        bar, age = int(random.choice(bars)), float(random.choice(AGES))
        row = int(random.choice(PRIOR_DRAWS, p=weights))
        state = STATES[felt_by_all(bar, age)[row]]
        if state != "pliable":
            found.setdefault((bar, age, state), []).append(row)
            count -= 1
    return {key: np.array(rows) for key, rows in found.items()}


def follow(asked, rows, blind, clean_after, additions=0, steps=0):
    """Count makers who come clean, by the additions they needed."""
    if blind:
        answer = advise(replace(asked, noted=()), BOOK, CENTRAL)
    else:
        answer = advise(asked, BOOK, SHOWN)
    offered = [one for one in answer.advice if one.move != "add" or additions < MOST_ADDITIONS]
    if not offered or steps == MOST_STEPS:
        return
    top = offered[0]
    later = answer.followed(top)
    # Who has added all there is to add kneads on to the end.
    last = top.move == "knead" and additions == MOST_ADDITIONS
    if last:
        (stretch,) = later.stretches[len(asked.stretches) :]
        later = asked.then([replace(stretch, end=answer.until)])
    additions += top.move == "add"
    minutes = np.unique([*np.arange(asked.age + top.leave + 60.0, later.age, 60.0), later.age])
    truth = Knowledge(rows, np.full(rows.size, 1 / rows.size), "usual practice")
    dough = past(later, BOOK, truth).since_addition(minutes, truth)
    clean = clean_at(dough, dough_draws(BOOK, truth).rating, BOOK).any(axis=0)
    clean_after[additions] += int(clean.sum())
    felt = states(dough, truth)[-1]
    for state in () if last else np.unique(felt[~clean]).tolist():
        noted = (*later.noted, Noted(later.age, Felt(STATES[state])))
        some = rows[~clean & (felt == state)]
        follow(replace(later, noted=noted), some, blind, clean_after, additions, steps + 1)


def outcome(count, bars, seed, blind=False):
    """Return the share of makers clean after 0, 1, 2 additions."""
    clean_after = Counter()
    for (bar, age, state), rows in makers(count, bars, np.random.default_rng(seed)).items():
        asked = in_bowl(recipe(bar), 0, BATCH, age, Felt(state), at_hand=AT_HAND)
        follow(asked, rows, blind, clean_after)
    return [clean_after[k] / count for k in range(MOST_ADDITIONS + 1)]


def told(count, bars, seed):
    advised = outcome(count, bars, seed)
    blind = outcome(count, bars, seed, blind=True)
    for name, shares in (("after what is felt", advised), ("blind, at the median", blind)):
        steps = ", ".join(f"{share:.3f}" for share in shares)
        print(f"{count} makers, {name}: clean {sum(shares):.3f} (by additions 0, 1, 2: {steps})")
    return sum(advised), sum(blind)


def test_most_of_twenty_four_makers_come_clean_within_two_additions_and_more_than_blind():
    advised, blind = told(24, [1, 2, 3], seed=4)
    # Of 500 makers at least 0.85; of twenty-four that has a standard error of 0.07.
    assert advised >= 0.78
    assert advised > blind


@pytest.mark.long
def test_of_five_hundred_makers_at_least_85_in_100_come_clean_within_two_additions():
    advised, blind = told(500, list(range(1, 11)), seed=1)
    assert advised >= 0.85
    assert advised > blind
