"""An engine that others wrote, given the same rulebook, comes to the same conditions and evidence;
and where the rulebook is a plain naive Bayes model, beliefs are what a statistics library says.

The engine is CLIPS (NASA; G. Riley and others, version 6.4, through clipspy 1.0). The library is
scikit-learn (F. Pedregosa and others 2011, J. Mach. Learn. Res. 12:2825-2830).
"""

from __future__ import annotations

import math
import random
from dataclasses import replace
from datetime import datetime
from pathlib import Path

import numpy
import pytest
from sklearn.naive_bayes import BernoulliNB

from diagnose.belief.belief import UNEXPLAINED, believe
from diagnose.findings.observation import Observation
from diagnose.findings.observed_case import observed_case
from diagnose.inference.engine import Inference, Trace
from diagnose.rulebook.terms import Cause, Evidence, Leaf, Mechanism, Rulebook, Term
from tests.clips_rulebook import ClipsRulebook, Fired
from tests.supposed import any_observations, told
from tests.worked_files import worked_files

ASKED = datetime(2026, 3, 14, 22, 30)
GENERATED, BATCHES = 2000, 8


@pytest.fixture(scope="session")
def clips_rulebook(rulebook: Rulebook) -> ClipsRulebook:
    return ClipsRulebook(rulebook)


@pytest.fixture(scope="session")
def all_rules(rulebook: Rulebook) -> Inference:
    return Inference(rulebook, rulebook.vocabulary)


def plainly(trace: Trace) -> dict[str, Fired]:
    return {
        key: Fired(firing.degree, firing.estimated, firing.decibans)
        for key, firing in {**trace.conditions, **trace.evidence}.items()
    }


def differences(ours: dict[str, Fired], theirs: dict[str, Fired]) -> list[str]:
    """Every key that only one of them fired, or that they met differently."""
    found = [f"{key}: only one of them" for key in sorted(ours.keys() ^ theirs.keys())]
    for key in sorted(ours.keys() & theirs.keys()):
        mine, other = ours[key], theirs[key]
        same = mine.estimated == other.estimated and all(
            math.isclose(x, y, rel_tol=1e-12, abs_tol=1e-12)
            for x, y in ((mine.degree, other.degree), (mine.decibans, other.decibans))
        )
        if not same:
            found.append(f"{key}: {mine} and {other}")
    return found


@pytest.mark.parametrize("file", worked_files(), ids=lambda file: file.stem)
def test_clips_fires_the_same_on_every_worked_case(
    rulebook: Rulebook, clips_rulebook: ClipsRulebook, file: Path
) -> None:
    observations = observed_case(file, rulebook, now=ASKED).observations
    trace = Inference(rulebook, [o.name for o in observations]).run(observations)
    theirs = clips_rulebook.run(observations)
    assert theirs, "a worked case fires something"
    assert differences(plainly(trace), theirs) == []


@pytest.mark.parametrize("batch", range(BATCHES))
def test_clips_fires_the_same_on_two_thousand_generated_cases(
    rulebook: Rulebook, clips_rulebook: ClipsRulebook, all_rules: Inference, batch: int
) -> None:
    wrong = {}
    for seed in range(batch, GENERATED, BATCHES):
        observations = any_observations(rulebook, seed)
        found = differences(plainly(all_rules.run(observations)), clips_rulebook.run(observations))
        if found:
            wrong[seed] = found
    assert wrong == {}


def test_clips_notices_a_rule_that_was_changed(
    rulebook: Rulebook, clips_rulebook: ClipsRulebook
) -> None:
    """The comparison can fail: one weight moved by a hundredth of a deciban shows."""
    overfeeding = rulebook.causes["overfeeding"]
    moved = tuple(
        item._replace(weight=item.weight + 0.01) if item.id == "food-left-over" else item
        for item in overfeeding.evidence
    )
    causes = {**rulebook.causes, "overfeeding": overfeeding._replace(evidence=moved)}
    changed = replace(rulebook, causes=causes)
    observations = [told("food_left_over", "present")]
    trace = Inference(changed, ["food_left_over"]).run(observations)
    found = differences(plainly(trace), clips_rulebook.run(observations))
    assert [line.split(":")[0] for line in found] == ["overfeeding/food-left-over"]


# A small rulebook of signs that each bear on each cause alone, which is a naive Bayes model.

CAUSES = ("too-much-food", "too-little-air", "too-warm", UNEXPLAINED)
SIGNS = ("slow", "at-the-top", "pale", "cloudy", "smells")


@pytest.fixture(scope="module")
def naive_bayes() -> BernoulliNB:
    """scikit-learn's model, fitted on counted shares of present signs and of causes."""
    source = random.Random(20260314)
    rows, causes, weights = [], [], []
    for index in range(len(CAUSES)):
        share = [source.uniform(0.05, 0.95) for _ in SIGNS]
        common = source.uniform(0.5, 5.0)
        for present in range(2 ** len(SIGNS)):
            row = [(present >> place) & 1 for place in range(len(SIGNS))]
            rows.append(row)
            causes.append(index)
            weights.append(
                common * math.prod(p if on else 1 - p for p, on in zip(share, row, strict=True))
            )
    model = BernoulliNB(alpha=1e-12, force_alpha=True)
    model.fit(numpy.array(rows), numpy.array(causes), sample_weight=numpy.array(weights))
    return model


@pytest.fixture(scope="module")
def small_rulebook(rulebook: Rulebook, naive_bayes: BernoulliNB) -> Rulebook:
    """The same likelihoods as weights: what each finding says of a cause against 'unexplained'."""
    present = naive_bayes.feature_log_prob_
    absent = numpy.log1p(-numpy.exp(present))
    shares = numpy.exp(naive_bayes.class_log_prior_)
    decibans = 10.0 / math.log(10.0)
    causes = {}
    for index, name in enumerate(CAUSES[:-1]):
        evidence = [
            an_argument(name, sign, word, decibans * (table[index][place] - table[-1][place]))
            for place, sign in enumerate(SIGNS)
            for word, table in (("present", present), ("absent", absent))
        ]
        causes[name] = a_cause(rulebook, name, float(shares[index]), tuple(evidence))
    ranking = rulebook.ranking._replace(
        temperature=1.0,
        humble_ceiling=1.0,
        unexplained_share=float(shares[-1]),
        unexplained_share_no_losses=float(shares[-1]),
        always_open_share=0.0,
    )
    return replace(
        rulebook,
        vocabulary={sign: a_sign(rulebook, sign) for sign in SIGNS},
        conditions={},
        mechanisms={"harm": a_mechanism(rulebook)},
        causes=causes,
        ranking=ranking,
    )


def an_argument(owner: str, sign: str, word: str, weight: float) -> Evidence:
    when = ((Leaf(sign, "in", words=(word,)),),)
    return Evidence(
        f"{sign}-{word}", owner, when, weight, None, "Counted.", "memory", None, "", False
    )


def a_cause(rulebook: Rulebook, name: str, share: float, evidence: tuple[Evidence, ...]) -> Cause:
    like = next(iter(rulebook.causes.values()))
    return like._replace(
        id=name,
        works_through=("harm",),
        base_rate=share,
        base_rate_no_losses=share,
        evidence=evidence,
    )


def a_mechanism(rulebook: Rulebook) -> Mechanism:
    return next(iter(rulebook.mechanisms.values()))._replace(id="harm", evidence=())


def a_sign(rulebook: Rulebook, name: str) -> Term:
    return rulebook.vocabulary["listless"]._replace(name=name)


def test_beliefs_on_single_observations_are_the_naive_bayes_posterior(
    small_rulebook: Rulebook, naive_bayes: BernoulliNB
) -> None:
    """For each of the 32 ways five signs can be seen or not, to 1e-9."""
    for present in range(2 ** len(SIGNS)):
        row = [(present >> place) & 1 for place in range(len(SIGNS))]
        observations = [
            Observation(sign, "present" if on else "absent", "told", "told")
            for sign, on in zip(SIGNS, row, strict=True)
        ]
        beliefs = believe(small_rulebook, Inference(small_rulebook, SIGNS).run(observations))
        posterior = naive_bayes.predict_proba(numpy.array([row]))[0]
        shares = beliefs.shares()
        for cause, probability in zip(CAUSES, posterior, strict=True):
            assert shares[cause] == pytest.approx(float(probability), abs=1e-9)


def test_a_sign_nobody_looked_for_counts_neither_way(
    small_rulebook: Rulebook, naive_bayes: BernoulliNB
) -> None:
    """Two of five signs known: the posterior of a model that knows only these two signs."""
    known = {"slow": 1, "cloudy": 0}
    places = [SIGNS.index(name) for name in known]
    present = naive_bayes.feature_log_prob_[:, places]
    absent = numpy.log1p(-numpy.exp(present))
    joint = naive_bayes.class_log_prior_ + sum(
        (present if on else absent)[:, i] for i, on in enumerate(known.values())
    )
    posterior = numpy.exp(joint) / numpy.exp(joint).sum()
    observations = [told(name, "present" if on else "absent") for name, on in known.items()]
    shares = believe(small_rulebook, Inference(small_rulebook, known).run(observations)).shares()
    for cause, probability in zip(CAUSES, posterior, strict=True):
        assert shares[cause] == pytest.approx(float(probability), abs=1e-9)
