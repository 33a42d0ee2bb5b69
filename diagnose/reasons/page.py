"""One page a cause or mechanism, put together from the rulebook, in the order to read it."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

from diagnose.reasons.setting import Setting
from diagnose.reasons.sums import taken_for, worked
from diagnose.reasons.worked import Worked
from diagnose.rulebook.terms import Cause, Evidence, Mechanism, Rulebook, Source, Step

#: Least share of all losses for each word, commonest first. The shares are the rulebook's base
#: rates over their sum.
OFTEN_WORDS = (
    (0.045, "very common"),
    (0.018, "common"),
    (0.009, "now and then"),
    (0.0, "rare"),
)
#: How long before the first death it can be seen, by the rulebook's `warning` (there: common
#: practice, no source).
WARNING_WORDS = {
    "weeks": "weeks before",
    "days": "days before",
    "hours": "hours before",
    "none": "no warning",
    "": "not known",
}
NOTHING_TO_DO = "Nothing. What is well should be left alone."
#: Steps shown for a mechanism: those that most of its causes share.
SHARED_STEPS = 2
ARGUMENTS_FOR = 3
#: Mechanisms that are told apart from each one, unless they are nearer to others still.
MOST_ALIKE = 3
PHASES = ("now", "today", "this_week")


@dataclass(frozen=True, slots=True)
class TellApart:
    """Something this page could be confused with. theirs: what marks the other; ours: what marks
    this one, as the other's page says it. One of the two may be empty, never both.
    """

    id: str
    title: str
    theirs: str
    ours: str
    share: float


@dataclass(frozen=True, slots=True)
class Sign:
    """An early sign by its name, as a question, and where to look for it."""

    name: str
    asks: str
    look: str


@dataclass(frozen=True, slots=True)
class Link:
    """Another page."""

    id: str
    title: str


@dataclass(frozen=True, slots=True)
class Page:
    """Everything that is said of one cause or mechanism.

    linked: for a cause its mechanisms, likeliest first; for a mechanism its causes, commonest
    first. often, warning: words (empty for a mechanism). steps: by phase. early: what to look
    for. taken: what the sums rest on and nobody told.
    """

    id: str
    kind: str
    title: str
    summary: str
    often: str
    warning: str
    linked: tuple[Link, ...]
    in_the_water: str
    in_the_animal: str
    worked: tuple[Worked, ...]
    taken: tuple[str, ...]
    early: tuple[Sign, ...]
    confirm: tuple[str, ...]
    steps: tuple[tuple[str, tuple[Step, ...]], ...]
    prevent: tuple[Step, ...]
    look_alikes: tuple[TellApart, ...]
    cautions: tuple[str, ...]
    sources: tuple[Source, ...]
    setting: Setting


def page_names(rulebook: Rulebook) -> tuple[str, ...]:
    """Every cause, then every mechanism that has a page."""
    return (*rulebook.causes, *rulebook.mechanisms)


def page_of(rulebook: Rulebook, name: str, at: Setting) -> Page:
    """The page of that cause or mechanism, its numbers worked through for `at`.

    Raises KeyError for a name the rulebook does not have, ValueError for a sum it does not have.
    """
    if name in rulebook.causes:
        return _cause_page(rulebook, rulebook.causes[name], at)
    return _mechanism_page(rulebook, rulebook.mechanisms[name], at)


def share_of_losses(rulebook: Rulebook, cause: str) -> float:
    """The base rate of a cause over the sum of all."""
    total = sum(item.base_rate for item in rulebook.causes.values())
    return rulebook.causes[cause].base_rate / total


def often_word(share: float) -> str:
    """How often, in words."""
    return next(word for least, word in OFTEN_WORDS if share >= least)


def _cause_page(rulebook: Rulebook, cause: Cause, at: Setting) -> Page:
    first = rulebook.mechanisms[cause.works_through[0]]
    phases = tuple((phase, _steps(rulebook, _by_any_way(cause, phase))) for phase in PHASES)
    prevent = _steps(rulebook, _by_any_way(cause, "prevent"))
    every_step = (*(s for _, steps in phases for s in steps), *prevent)
    return Page(
        id=cause.id,
        kind="cause",
        title=cause.title,
        summary=cause.summary,
        often=often_word(share_of_losses(rulebook, cause.id)),
        warning=WARNING_WORDS[cause.warning],
        linked=tuple(Link(m, rulebook.mechanisms[m].title) for m in cause.works_through),
        in_the_water=first.in_the_water,
        in_the_animal=first.in_the_animal,
        worked=_worked(rulebook, cause.id, cause.worked_numbers, at),
        taken=taken_for(cause.worked_numbers, at),
        early=_early(rulebook, cause.early_signs),
        confirm=tuple(item.finding for item in cause.confirm),
        steps=phases,
        prevent=prevent,
        look_alikes=look_alikes(rulebook, cause.id),
        cautions=_cautions(rulebook, cause.cautions, every_step),
        sources=_sources(rulebook, (*cause.sources, cause.base_source), cause.evidence),
        setting=at,
    )


def _by_any_way(cause: Cause, phase: str) -> tuple[str, ...]:
    """The steps of a cause by whatever way it came."""
    own = (name for way in cause.ways for name in getattr(way, phase))
    return tuple(dict.fromkeys((*own, *getattr(cause, phase))))


def not_when(steps: Iterable[Step]) -> tuple[str, ...]:
    """What forbids these steps although a keeper would take them unasked, each reason once."""
    by_reason: dict[str, str] = {}
    for step in steps:
        for bar in step.never_when:
            if bar.say:
                by_reason.setdefault(bar.because, step.title)
    return tuple(f"{title}: {because}" for because, title in by_reason.items())


def _mechanism_page(rulebook: Rulebook, mechanism: Mechanism, at: Setting) -> Page:
    causes = sorted(
        (c for c in rulebook.causes.values() if mechanism.id in c.works_through),
        key=lambda c: (-c.base_rate, c.id),
    )
    nearest = [c for c in causes if c.works_through[0] == mechanism.id] or causes
    phases = (("now", _shared(rulebook, nearest, "now")),)
    prevent = _shared(rulebook, nearest, "prevent")
    every_step = (*(s for _, steps in phases for s in steps), *prevent)
    return Page(
        id=mechanism.id,
        kind="mechanism",
        title=mechanism.title,
        summary=mechanism.summary,
        often="",
        warning="",
        linked=tuple(Link(c.id, c.title) for c in causes),
        in_the_water=mechanism.in_the_water,
        in_the_animal=mechanism.in_the_animal,
        worked=_worked(rulebook, mechanism.id, mechanism.worked_numbers, at),
        taken=taken_for(mechanism.worked_numbers, at),
        early=_early(rulebook, mechanism.early_signs),
        confirm=tuple(item.because for item in strongest_for(mechanism.evidence, ARGUMENTS_FOR)),
        steps=phases,
        prevent=prevent,
        look_alikes=_alike_mechanisms(rulebook, mechanism),
        cautions=_cautions(rulebook, (), every_step),
        sources=_sources(rulebook, (), mechanism.evidence),
        setting=at,
    )


def look_alikes(rulebook: Rulebook, cause: str) -> tuple[TellApart, ...]:
    """Causes that either page says are confused, commonest first: so the relation is mutual."""
    ours = {x.cause: x.tell for x in rulebook.causes[cause].looks_like}
    theirs = {
        other.id: x.tell
        for other in rulebook.causes.values()
        for x in other.looks_like
        if x.cause == cause
    }
    found = [
        TellApart(
            name,
            rulebook.causes[name].title,
            ours.get(name, ""),
            theirs.get(name, ""),
            rulebook.causes[name].base_rate,
        )
        for name in {*ours, *theirs}
    ]
    return tuple(sorted(found, key=lambda x: (not x.theirs, -x.share, x.id)))


def _alike_mechanisms(rulebook: Rulebook, mechanism: Mechanism) -> tuple[TellApart, ...]:
    """Mechanisms most like this one, each with the strongest sign of its own, most alike first.

    Two are alike by the early signs they share and by the pairs of their causes that are confused.
    A pair is kept when it is among the most alike of either, so that the relation is mutual.
    """
    alike = {one.id: _alikeness(rulebook, one) for one in rulebook.mechanisms.values()}
    nearest = {
        name: sorted(found, key=lambda other: (-found[other], other))[:MOST_ALIKE]
        for name, found in alike.items()
    }
    own = _mark(mechanism, ())
    kept = [
        TellApart(other.id, other.title, _mark(other, mechanism.early_signs), own, float(size))
        for other in rulebook.mechanisms.values()
        if (size := alike[mechanism.id].get(other.id, 0))
        and (other.id in nearest[mechanism.id] or mechanism.id in nearest[other.id])
    ]
    return tuple(sorted(kept, key=lambda x: (-x.share, x.id)))


def _alikeness(rulebook: Rulebook, one: Mechanism) -> dict[str, int]:
    """How much each other mechanism is like this one."""
    confused = _confused_mechanisms(rulebook, one.id)
    signs = set(one.early_signs)
    return {
        other.id: len(signs.intersection(other.early_signs)) + confused.get(other.id, 0)
        for other in rulebook.mechanisms.values()
        if other.id != one.id
    }


def _confused_mechanisms(rulebook: Rulebook, mechanism: str) -> dict[str, int]:
    """How many pairs of confused causes join this mechanism with each other one, by the mechanism
    that each cause works through first.
    """
    pairs = {
        frozenset((cause.id, other.cause))
        for cause in rulebook.causes.values()
        for other in cause.looks_like
    }
    found: dict[str, int] = {}
    for pair in pairs:
        through = [rulebook.causes[name].works_through[0] for name in pair]
        if mechanism in through and len(set(through)) > 1:
            other = next(name for name in through if name != mechanism)
            found[other] = found.get(other, 0) + 1
    return found


def _mark(mechanism: Mechanism, beside: Iterable[str]) -> str:
    """The strongest argument for a mechanism that does not rest on the signs they share."""
    arguments = strongest_for(mechanism.evidence, len(mechanism.evidence))
    unshared = [a for a in arguments if names_of(a).isdisjoint(beside)]
    return (unshared or arguments)[0].because


def names_of(evidence: Evidence) -> set[str]:
    """The observations and conditions that an argument looks at."""
    return {leaf.name for way in evidence.when for leaf in way}


def size_of(evidence: Evidence) -> float:
    """The most an argument can say for its owner, decibans; negative if it only speaks against."""
    if evidence.curve is not None:
        return max(y for _, y in evidence.curve.points)
    return evidence.weight


def strongest_for(evidence: Iterable[Evidence], most: int) -> tuple[Evidence, ...]:
    """The arguments that can speak loudest for something, one of each group."""
    found: list[Evidence] = []
    groups: set[str] = set()
    for item in sorted(evidence, key=lambda e: (-size_of(e), e.id)):
        if size_of(item) > 0 and item.group not in groups:
            found.append(item)
            if item.group is not None:
                groups.add(item.group)
    return tuple(found[:most])


def _worked(
    rulebook: Rulebook, owner: str, names: tuple[str, ...], at: Setting
) -> tuple[Worked, ...]:
    asked_by = rulebook.where.get(owner, owner)
    return tuple(worked(name, at, asked_by) for name in names)


def _early(rulebook: Rulebook, names: Iterable[str]) -> tuple[Sign, ...]:
    terms = [rulebook.vocabulary[name] for name in names]
    return tuple(Sign(term.name, term.asks, term.look) for term in terms)


def _steps(rulebook: Rulebook, names: Iterable[str]) -> tuple[Step, ...]:
    """The steps by their names, those that keep people from harm first."""
    found = (rulebook.steps[name] for name in names)
    return tuple(sorted(found, key=lambda step: not step.people))


def _shared(rulebook: Rulebook, causes: list[Cause], phase: str) -> tuple[Step, ...]:
    """The steps that the causes of a mechanism share most, weighed by how common each cause is."""
    weights: dict[str, float] = {}
    for cause in causes:
        for name in getattr(cause, phase):
            weights[name] = weights.get(name, 0.0) + cause.base_rate
    kept = sorted(weights, key=lambda name: (-weights[name], name))[:SHARED_STEPS]
    clear: list[str] = []
    for name in kept:
        conflicts = rulebook.steps[name].conflicts
        if not any(k in conflicts or name in rulebook.steps[k].conflicts for k in clear):
            clear.append(name)
    return _steps(rulebook, clear)


def _cautions(rulebook: Rulebook, own: Iterable[str], steps: Iterable[Step]) -> tuple[str, ...]:
    names = dict.fromkeys((*own, *(name for step in steps for name in step.cautions)))
    return tuple(rulebook.cautions[name].text for name in names)


def _sources(
    rulebook: Rulebook, own: Iterable[str], evidence: Iterable[Evidence]
) -> tuple[Source, ...]:
    names = {*own, *(item.source for item in evidence)}
    kinds = ("published", "common_practice", "memory")
    found = [rulebook.sources[name] for name in names]
    return tuple(sorted(found, key=lambda s: (kinds.index(s.kind), s.id)))
