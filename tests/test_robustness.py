"""The ranking bends and does not break: firm where the evidence is overwhelming, open where two
causes tie, and without cliffs wherever a number is swept across its range.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator
from dataclasses import replace
from datetime import datetime
from itertools import pairwise

import pytest

from diagnose.audit.exercise import Exercise, worked_cases
from diagnose.belief.belief import Score, believe, score, share_out, weigh
from diagnose.belief.firmness import FAIRLY_FIRM, FIRM, firmness
from diagnose.findings.observation import Observation
from diagnose.inference.engine import Inference, Trace
from diagnose.rulebook.places import bundled
from diagnose.rulebook.terms import Cause, Curve, Leaf, Rulebook
from tests.supposed import told

ASKED = datetime(2026, 3, 14, 22, 30)
STEPS = 500
#: The most a belief may move in one of the steps.
MOST = 0.05
#: Units of what acts by difference rather than by ratio.
EVEN_UNITS = ("degC", "degC/h", "pH", "dGH", "dKH", "degC/d")


def firmness_of(rulebook: Rulebook, *observations: Observation) -> float:
    names = [o.name for o in observations]
    beliefs = believe(rulebook, Inference(rulebook, names).run(observations))
    return firmness(beliefs, rulebook.ranking).share


OVERWHELMING = [
    ("insecticide", {"did_spray": "present", "twitching": "present", "death_shape": "all_at_once"}),
    ("green-tuft-growth", {"green_tuft": "present"}),
    ("escape-or-trapped", {"body_outside": "present", "death_shape": "single"}),
    ("predation", {"predator_seen": "present"}),
    ("single-sex-left", {"sexes_left": "only_females", "young_seen": "absent"}),
]


@pytest.mark.parametrize(("cause", "seen"), OVERWHELMING, ids=[c for c, _ in OVERWHELMING])
def test_a_cause_that_shows_itself_stays_first_however_the_weights_are_shaken(
    rulebook: Rulebook, cause: str, seen: dict[str, str]
) -> None:
    observations = [told(name, word) for name, word in seen.items()]
    beliefs = believe(rulebook, Inference(rulebook, seen).run(observations))
    assert beliefs.first.cause == cause
    assert firmness(beliefs, rulebook.ranking).share >= FIRM


def twin(cause: Cause, name: str) -> Cause:
    """The same cause under another name."""
    evidence = tuple(item._replace(owner=name) for item in cause.evidence)
    return cause._replace(id=name, evidence=evidence)


def test_two_causes_that_tie_leave_the_ranking_open(rulebook: Rulebook) -> None:
    causes = {**rulebook.causes, "its-twin": twin(rulebook.causes["overfeeding"], "its-twin")}
    tied = replace(rulebook, causes=causes)
    observations = [told("food_left_over", "present"), told("cloudy_water", "present")]
    beliefs = believe(tied, Inference(tied, [o.name for o in observations]).run(observations))
    assert {s.cause for s in beliefs.standings[:2]} == {"overfeeding", "its-twin"}
    found = firmness(beliefs, tied.ranking)
    assert 0.3 <= found.share <= 0.7
    assert found.share < FAIRLY_FIRM or found.word != "firm"
    assert found.rival in ("overfeeding", "its-twin")


def test_knowing_nothing_is_never_firm(rulebook: Rulebook) -> None:
    assert firmness_of(rulebook, told("death_shape", "trickle")) < FIRM


def test_more_of_the_same_evidence_makes_the_ranking_firmer(rulebook: Rulebook) -> None:
    slight = firmness_of(rulebook, told("losses", "some"), told("cloudy_water", "present"))
    strong = firmness_of(
        rulebook,
        told("losses", "some"),
        told("cloudy_water", "present"),
        told("food_left_over", "present"),
        told("did_heavy_feed", "present"),
    )
    assert slight < strong


def knots(rulebook: Rulebook, name: str) -> list[float]:
    """Where in a number's plausible range any rule changes its slope; outside them all is flat."""
    low, high = rulebook.vocabulary[name].plausible or (0.0, 0.0)
    found = set()
    for item in (*rulebook.evidence(), *rulebook.conditions.values()):
        found.update(
            x for way in item.when for leaf in way if leaf.name == name for x in leaf.edges
        )
        curve = getattr(item, "curve", None)
        if curve is not None and curve.over == name:
            found.update(x for x, _ in curve.points)
    return sorted(x for x in found if low <= x <= high)


def sweep(rulebook: Rulebook, name: str, steps: int) -> Iterator[float]:
    """A number from its first knot to its last in equal steps.

    Degrees and pH are swept evenly. Times, doses and numbers act by ratio (an hour is much after
    half an hour and nothing after a week), so their steps are equal on a scale that is linear up
    to the finest distance between two knots and logarithmic beyond.
    """
    found = knots(rulebook, name)
    if rulebook.vocabulary[name].unit in EVEN_UNITS:
        for step in range(steps + 1):
            yield found[0] + (found[-1] - found[0]) * step / steps
        return
    finest = min(b - a for a, b in pairwise(found))
    reach = math.log1p((found[-1] - found[0]) / finest)
    for step in range(steps + 1):
        yield found[0] + finest * math.expm1(reach * step / steps)


def numbers(rulebook: Rulebook) -> list[str]:
    return sorted(
        name
        for name, term in rulebook.vocabulary.items()
        if term.kind == "number" and len(knots(rulebook, name)) > 1
    )


def beliefs_along(
    rulebook: Rulebook, name: str, known: tuple[Observation, ...], steps: int
) -> Iterator[tuple[float, dict[str, float]]]:
    """The beliefs at each step of a number from end to end, all else as known."""
    inference = Inference(rulebook, [*(o.name for o in known), name])
    trace = inference.run(known)
    scores = scores_of(rulebook, trace, rulebook.causes)
    for value in sweep(rulebook, name, steps):
        then = inference.what_if(trace, Observation(name, value, "measured", "swept"))
        owners = {
            firing.argument.owner  # type: ignore[union-attr]
            for key, firing in then.evidence.items()
            if trace.evidence.get(key) is not firing
        }
        moved = [
            cause.id
            for cause in rulebook.causes.values()
            if cause.id in owners or not owners.isdisjoint(cause.works_through)
        ]
        after = {**scores, **scores_of(rulebook, then, moved)}
        yield value, share_out(rulebook, after, then).shares()


def scores_of(rulebook: Rulebook, trace: Trace, causes: Iterable[str]) -> dict[str, Score]:
    weighed = weigh(trace, rulebook.ranking)
    return {name: score(rulebook.causes[name], weighed, rulebook.ranking) for name in causes}


def highest_jump(
    rulebook: Rulebook, name: str, known: tuple[Observation, ...], steps: int
) -> tuple[float, float, str]:
    """The largest move of any belief in one step, where, and of which cause."""
    worst, before = (0.0, 0.0, ""), None
    for value, shares in beliefs_along(rulebook, name, known, steps):
        if before is not None:
            for cause, share in shares.items():
                worst = max(worst, (abs(share - before[cause]), value, cause))
        before = shares
    return worst


def test_sweeping_any_number_alone_moves_no_belief_by_more_than_a_twentieth(
    rulebook: Rulebook,
) -> None:
    jumps = {name: highest_jump(rulebook, name, (), STEPS) for name in numbers(rulebook)}
    assert len(jumps) > 40
    assert {name: jump for name, jump in jumps.items() if jump[0] > MOST} == {}


def in_a_worked_case(rulebook: Rulebook) -> dict[str, Exercise]:
    """The first worked case that knows each number."""
    found: dict[str, Exercise] = {}
    for case in worked_cases(bundled("cases"), rulebook, now=ASKED):
        for item in case.observations:
            if isinstance(item.value, float):
                found.setdefault(item.name, case)
    return {name: found[name] for name in numbers(rulebook) if name in found}


@pytest.mark.exhaustive
def test_sweeping_any_number_of_a_worked_case_meets_no_cliff(rulebook: Rulebook) -> None:
    jumps = {
        name: highest_jump(
            rulebook, name, tuple(o for o in case.observations if o.name != name), STEPS
        )
        for name, case in in_a_worked_case(rulebook).items()
    }
    assert len(jumps) > 30
    assert {name: jump for name, jump in jumps.items() if jump[0] > MOST} == {}


def test_a_cliff_would_be_found(rulebook: Rulebook) -> None:
    """The sweep can fail: one curve made to rise by 15 decibans within a thousandth of a degree."""
    overheating = rulebook.causes["overheating"]
    cliff = Curve("temperature_c", ((20.0, 0.0), (30.0, 0.0), (30.001, 15.0)))
    steep = overheating.evidence[0]._replace(
        id="cliff",
        when=((Leaf("temperature_c", "known"),),),
        weight=0.0,
        curve=cliff,
        group=None,
    )
    with_cliff = overheating._replace(evidence=(*overheating.evidence, steep))
    causes = {**rulebook.causes, "overheating": with_cliff}
    jump = highest_jump(replace(rulebook, causes=causes), "temperature_c", (), STEPS)
    assert jump[0] > MOST
