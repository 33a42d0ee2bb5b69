"""Fresh exercises made up from the rulebook: a cause is drawn, then facts that fit it.

Each fact is drawn with the chance the rulebook gives it among losses, less what other causes add
to it, times the likelihood ratio that the cause and its mechanism lend it. Sets of facts that
hardly speak for their own cause are drawn again, and a case is kept only if its own cause leads
once all its facts are known: nothing is learnt from one that cannot be solved.
"""

from __future__ import annotations

import random
from collections.abc import Mapping
from dataclasses import dataclass
from datetime import datetime

from diagnose.belief.belief import believe
from diagnose.belief.next_checks import beside_the_point
from diagnose.findings import observe
from diagnose.findings.observation import Observation
from diagnose.inference.engine import Inference
from diagnose.intake.case import Case
from diagnose.practice.exercise import Exercise, answer_text
from diagnose.practice.weighing import Value, speaks_for
from diagnose.rulebook.species import species_of
from diagnose.rulebook.terms import Rulebook, Term


@dataclass(frozen=True, slots=True)
class Manner:
    """How a level tells its cases.

    sharpness: exponent on the likelihood ratios (1 as the rulebook has them); chance: share of
    facts without bearing on the cause that fall out at random, so that they may mislead; known:
    share of questions the keeper can answer; told: facts in the story; plain: whether the story
    gives away the most telling facts; support: decibans that all facts together must lend the
    cause.
    """

    sharpness: float
    chance: float
    known: float
    told: int
    plain: bool
    support: float


MANNERS: Mapping[int, Manner] = {
    1: Manner(sharpness=1.3, chance=0.3, known=0.9, told=4, plain=True, support=20.0),
    2: Manner(sharpness=1.1, chance=0.35, known=0.75, told=3, plain=False, support=16.0),
    3: Manner(sharpness=1.0, chance=0.4, known=0.65, told=2, plain=False, support=15.0),
}
#: What the words of `death_shape` themselves say: least and most of the share dead, %, and of the
#: hours from the first body to the last.
SHAPES: Mapping[str, tuple[tuple[float, float], tuple[float, float]]] = {
    "none": ((0, 0), (0, 0)),
    "single": ((1, 15), (0, 24)),
    "trickle": ((5, 100), (168, 20000)),
    "burst": ((10, 60), (6, 72)),
    "all_at_once": ((50, 100), (0, 24)),
    "missing": ((5, 100), (24, 20000)),
}
#: Signs that animals at ease do not show.
DISTRESS = frozenset(
    [
        "listless",
        "off_food",
        "racing",
        "at_surface",
        "leaving_water",
        "lying_on_side",
        "twitching",
        "paralysed",
        "loses_balance",
    ]
)
#: Facts of one number that must agree with another: at least, or at most, as much.
NOT_BELOW = {"temperature_max_c": "temperature_c"}
NOT_ABOVE = {"temperature_min_c": "temperature_c"}
#: Answers that need an hour of help first, and sums of other facts: not made up.
NEVER_MADE_UP = frozenset({"temperature_swing_c", "oxygen_percent"})
#: How often facts are drawn anew for a cause that they hardly speak for.
DRAWS = 12
#: How often a case is made anew whose own cause does not lead on all its facts.
CASES = 40
FIRST = ("death_shape", "survivors_normal", "fish_kept", "temperature_c")
KEEPERS = ("Marit", "Ilse", "Jonas", "Wen")
PLACES = ("throwing room", "glaze room", "kiln room", "front window", "tea corner", "drying shelf")
KINDS = ("bowl", "jar", "vase")
#: The day all made-up cases are asked on; only differences of time matter in them.
ASKED = datetime(2026, 5, 12, 18, 0)


@dataclass(frozen=True, slots=True)
class Maker:
    """What cases are made from. background: the shares of each question's answers in a case that
    it has no bearing on. inference: over everything that can be asked.
    """

    rulebook: Rulebook
    inference: Inference
    background: Mapping[str, tuple[tuple[Value, float], ...]]


def maker(rulebook: Rulebook) -> Maker:
    """Everything needed to make up cases. The background shares are reckoned here, once.

    The rulebook's shares are those among all losses, so they hold the losses that an answer is the
    reason for as well. Those are taken out: share / sum over causes (base rate x likelihood ratio).
    """
    total = sum(cause.base_rate for cause in rulebook.causes.values())
    raised = {
        (term.name, value): 1.0 for term in rulebook.vocabulary.values() for value, _ in term.shares
    }
    for cause in rulebook.causes.values():
        mechanism = cause.works_through[0]
        for name in _bearing(rulebook, cause.id, mechanism):
            for value, _ in rulebook.vocabulary[name].shares:
                size = speaks_for(rulebook, cause.id, mechanism, {name: value})
                raised[name, value] += cause.base_rate / total * (10.0 ** (size / 10.0) - 1.0)
    return Maker(
        rulebook,
        Inference(rulebook, rulebook.vocabulary),
        {
            term.name: tuple((v, share / raised[term.name, v]) for v, share in term.shares)
            for term in rulebook.vocabulary.values()
        },
    )


def invent(making: Maker, level: int, seed: int) -> Exercise:
    """The exercise of that level and seed; the same ones give the same exercise for ever, as long
    as the rulebook stays as it is.

    Raises ValueError for a level there is not.
    """
    manner = MANNERS.get(level)
    if manner is None:
        raise ValueError(f"There is no level {level}; levels are {', '.join(map(str, MANNERS))}.")
    for draw in range(CASES):
        exercise = _made(making, manner, level, seed, random.Random(f"{level}/{seed}/{draw}"))
        if _leads(making, exercise):
            return exercise
    raise RuntimeError(f"none of {CASES} made-up cases could be solved (seed {seed})")


def _leads(making: Maker, exercise: Exercise) -> bool:
    """Whether the case's own cause is first once everything in it is known."""
    known = [*exercise.told.values(), *exercise.hidden.values()]
    return believe(making.rulebook, making.inference.run(known)).first.cause in exercise.right


def _made(making: Maker, manner: Manner, level: int, seed: int, source: random.Random) -> Exercise:
    rulebook = making.rulebook
    causes = list(rulebook.causes.values())
    cause = source.choices(causes, weights=[c.base_rate for c in causes])[0]
    mechanism = _mechanism(cause.works_through, source)
    facts = _telling_facts(making, cause.id, mechanism, manner, source)
    observations = _observed(rulebook, facts)
    told = _told(rulebook, cause.id, mechanism, facts, manner, source)
    hidden = {
        name: found
        for name, found in observations.items()
        if name not in told and (name not in facts or source.random() < manner.known)
    }
    who, place, kind = source.choice(KEEPERS), source.choice(PLACES), source.choice(KINDS)
    return Exercise(
        id=f"invented-{level}-{seed}",
        title=f"{who}'s {kind}, {place}",
        story=_story(rulebook, who, kind, place, {name: facts[name] for name in told}),
        level=level,
        origin="invented",
        told={name: observations[name] for name in told},
        hidden=hidden,
        right=(cause.id,),
    )


def _mechanism(works_through: tuple[str, ...], source: random.Random) -> str:
    """One of the mechanisms; each is half as likely as the one listed before it."""
    weights = [0.5**place for place in range(len(works_through))]
    return source.choices(works_through, weights=weights)[0]


def _telling_facts(
    making: Maker,
    cause: str,
    mechanism: str,
    manner: Manner,
    source: random.Random,
) -> dict[str, Value]:
    """Facts that speak for the cause as loudly as the manner wants, or the best of `DRAWS` sets."""
    best: tuple[float, dict[str, Value]] | None = None
    for _ in range(DRAWS):
        facts = _facts(making, cause, mechanism, manner, source)
        support = speaks_for(making.rulebook, cause, mechanism, facts)
        if best is None or support > best[0]:
            best = (support, facts)
        if support >= manner.support:
            break
    assert best is not None
    return best[1]


def _facts(
    making: Maker,
    cause: str,
    mechanism: str,
    manner: Manner,
    source: random.Random,
) -> dict[str, Value]:
    """One answer to every question that has a point, drawn as the cause makes it likely."""
    rulebook = making.rulebook
    names = [t.name for t in rulebook.vocabulary.values() if not t.derived]
    rest = sorted(set(names) - set(FIRST) - NEVER_MADE_UP)
    source.shuffle(rest)
    rest.sort(key=lambda name: rulebook.vocabulary[name].needs_present is not None)
    bears = _bearing(rulebook, cause, mechanism)
    facts: dict[str, Value] = {}
    for name in (*FIRST, *rest):
        known = {n: Observation(n, v, "told", "") for n, v in facts.items()}
        term = rulebook.vocabulary.get(name)
        pointless = beside_the_point(rulebook, known)
        if term is None or name in pointless or not _grounded(term, facts):
            continue
        answers = _possible(making, term, facts)
        if not answers:
            continue
        if name in bears:
            facts[name] = _drawn(rulebook, cause, mechanism, facts, name, answers, manner, source)
        elif source.random() < manner.chance:
            facts[name] = _one_of(answers, source)
        else:
            facts[name] = max(answers, key=lambda answer: answer[1])[0]
    return facts


def _bearing(rulebook: Rulebook, cause: str, mechanism: str) -> set[str]:
    """The observations that bear on a cause or mechanism, through conditions too."""
    found: set[str] = set()
    conditions = rulebook.conditions
    waiting = [
        *rulebook.causes[cause].evidence,
        *rulebook.mechanisms[mechanism].evidence,
    ]
    names = {leaf.name for item in waiting for way in item.when for leaf in way}
    names |= {item.curve.over for item in waiting if item.curve is not None}
    while names:
        name = names.pop()
        if name in conditions:
            names |= {leaf.name for way in conditions[name].when for leaf in way}
        elif name not in found:
            found.add(name)
    return found


def _grounded(term: Term, facts: Mapping[str, Value]) -> bool:
    return term.needs_present is None or facts.get(term.needs_present) == "present"


def _possible(making: Maker, term: Term, facts: Mapping[str, Value]) -> list[tuple[Value, float]]:
    """The answers that do not contradict what is drawn already, with their shares."""
    answers = list(making.background[term.name])
    shape = facts.get("death_shape")
    if isinstance(shape, str) and term.name in ("deaths_share", "deaths_span_hours"):
        low, high = SHAPES[shape][0 if term.name == "deaths_share" else 1]
        answers = [(v, s) for v, s in answers if low <= float(v) <= high] or [(low, 1.0)]
    if term.name in DISTRESS and facts.get("survivors_normal") == "present":
        return [("absent", 1.0)]
    low_end = facts.get(NOT_BELOW.get(term.name, ""))
    high_end = facts.get(NOT_ABOVE.get(term.name, ""))
    if low_end is not None:
        answers = [(v, s) for v, s in answers if float(v) >= float(low_end)]
    if high_end is not None:
        answers = [(v, s) for v, s in answers if float(v) <= float(high_end)]
    return answers


def _drawn(
    rulebook: Rulebook,
    cause: str,
    mechanism: str,
    facts: Mapping[str, Value],
    name: str,
    answers: list[tuple[Value, float]],
    manner: Manner,
    source: random.Random,
) -> Value:
    weighed = []
    for value, share in answers:
        size = speaks_for(rulebook, cause, mechanism, {**facts, name: value})
        weighed.append((value, share, size))
    highest = max(size for _, _, size in weighed)
    return _one_of(
        [
            (value, share * 10.0 ** (manner.sharpness * (size - highest) / 10.0))
            for value, share, size in weighed
        ],
        source,
    )


def _one_of(answers: list[tuple[Value, float]], source: random.Random) -> Value:
    values = [value for value, _ in answers]
    return source.choices(values, weights=[max(share, 1e-12) for _, share in answers])[0]


def _observed(rulebook: Rulebook, facts: Mapping[str, Value]) -> dict[str, Observation]:
    """The facts as observations, with what the chemistry and the species make of them."""
    case = Case(case="invented", told=dict(facts))
    species = species_of(rulebook, _species(facts.get("species_group")))
    found = observe(case, rulebook.vocabulary, species, rulebook.companions, now=ASKED)
    return {item.name: item for item in found if item.origin != "estimated"}


def _species(group: Value | None) -> str | None:
    named = {"soft_water_dwarf": "soft-water-dwarf", "large_algae_eater": "larger-algae-eater"}
    return named.get(str(group))


def _told(
    rulebook: Rulebook,
    cause: str,
    mechanism: str,
    facts: Mapping[str, Value],
    manner: Manner,
    source: random.Random,
) -> tuple[str, ...]:
    """What the story gives away: how they died, and some facts a keeper would mention."""
    with_all = speaks_for(rulebook, cause, mechanism, facts)
    told = [name for name in ("death_shape",) if name in facts]
    worth: dict[str, float] = {}
    for name, value in facts.items():
        term = rulebook.vocabulary[name]
        if name in told or term.needs != "eyes" or value in ("absent", "none", "no", "unknown"):
            continue
        without = {n: v for n, v in facts.items() if n != name}
        worth[name] = with_all - speaks_for(rulebook, cause, mechanism, without)
    order = sorted(worth, key=lambda name: (-worth[name], name))
    if not manner.plain:
        middling = [name for name in order if worth[name] < worth[order[0]]] or order
        order = source.sample(middling, min(len(middling), manner.told))
    kept = order[: manner.told]
    for name in list(kept):
        ground = rulebook.vocabulary[name].needs_present
        if ground is not None and ground not in kept:
            kept.insert(kept.index(name), ground)
    return tuple(dict.fromkeys((*told, *kept)))


def _story(rulebook: Rulebook, who: str, kind: str, place: str, told: Mapping[str, Value]) -> str:
    lines = [f"{who} keeps dwarf shrimp in a {kind} ({place}) and asks for help. {who} says:"]
    for name, value in told.items():
        term = rulebook.vocabulary[name]
        lines.append(f"- {term.asks} {answer_text(term, value)}.")
    return "\n".join(lines)
