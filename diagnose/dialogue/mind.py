"""From what was told to what is believed, and from there to the next question. Pure but for a store
of what was reckoned before, which changes no result.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass, field
from pathlib import Path

from pydantic import ValidationError

from diagnose.belief.firmness import FIRM, firmness
from diagnose.belief.next_checks import LEAST_GAIN_BITS, SETTING_OUT_MINUTES, Check, overturning
from diagnose.dialogue.asking import Asking, load_asking
from diagnose.dialogue.state import (
    EQUIPMENT,
    TOGETHER,
    Session,
    equipment_at_hand,
    open_questions,
    opening_question,
)
from diagnose.dialogue.told_case import case_of
from diagnose.dialogue.worth import Reckoner, Thought, Value, reckoner, think, worths
from diagnose.findings import observe
from diagnose.findings.observation import Observation
from diagnose.intake.case import Case
from diagnose.intake.case_file import tells_something
from diagnose.intake.contradictions import contradictions
from diagnose.intake.yaml_document import spell_path
from diagnose.rulebook.species import species_of
from diagnose.rulebook.terms import Rulebook, Species
from diagnose.story.case_content import READINGS
from diagnose.story.lexicon import Lexicon, load_lexicon

#: A question below this many bits a minute is not worth its minute.
LEAST_WORTH = 0.012
#: The leading cause counts as settled from this belief on, when the order is firm as well and no
#: single answer of at least this chance would put another cause first.
SETTLED_BELIEF, UPSET_CHANCE = 0.80, 0.10
#: A look of so few minutes is asked for before anything is called firm, where an answer of at least
#: this chance would put another cause first.
QUICK_MINUTES, QUICK_UPSET_CHANCE = 1.0, 0.03
#: Fewer open things than this are asked one by one.
LEAST_TOGETHER = 3
EYES = "eyes"
VOLUME = "volume_l"


@dataclass
class Mind:
    """The rulebook with everything a session needs of it, built once."""

    rulebook: Rulebook
    asking: Asking
    lexicon: Lexicon
    reckon: Reckoner
    followed: dict[tuple[object, ...], tuple[Observation, ...]] = field(default_factory=dict)


@dataclass(frozen=True, slots=True)
class View:
    """What a session makes known, what is believed on it; `case` is None while nothing is told."""

    session: Session
    case: Case | None
    thought: Thought


@dataclass(frozen=True, slots=True)
class Next:
    """What comes next: a question, or the reason to stop. `checks`: the open questions as weighed,
    best first; empty in the opening.
    """

    question: str
    stop: str
    checks: tuple[Check, ...] = ()


def mind(rulebook: Rulebook, folders: Iterable[Path]) -> Mind:
    """All that a session thinks with. Raises ValueError for folders that do not say how to ask."""
    folders = tuple(folders)
    return Mind(
        rulebook,
        load_asking(folders, rulebook),
        load_lexicon(
            folders,
            rulebook.vocabulary,
            rulebook.species.values(),
            rulebook.companions.values(),
        ),
        reckoner(rulebook),
    )


def view(having: Mind, session: Session) -> View:
    """What is known and believed after the answers so far.

    Raises ValueError with a sentence when the answers cannot stand together in one case.
    """
    rulebook = having.rulebook
    try:
        case = case_of(session, rulebook.vocabulary)
    except ValidationError as error:
        wrong = error.errors()[0]
        place = ", ".join(map(str, wrong["loc"]))
        raise ValueError(f"{place}: {wrong['msg']}") from None
    clash = contradictions(case, session.started_at)
    if clash:
        first = clash[0]
        raise ValueError(f"{spell_path(first.path)}: {first.problem} {first.hint}".strip())
    told = tells_something(case)
    observations: tuple[Observation, ...] = ()
    if told:
        species = species_of(rulebook, case.stock.species, *case.stock.also_species)
        observations = observe(
            case, rulebook.vocabulary, species, rulebook.companions, now=session.started_at
        )
    thought = think(having.reckon, observations)
    return View(session, case if told else None, thought)


def next_question(having: Mind, seen: View) -> Next:
    """The question with the most expected information per minute, or why there is none to ask.

    The reckoner must have thought last on `seen`: call it right after `view`.
    """
    session = seen.session
    if session.pinned:
        return Next(session.pinned, "")
    opening = opening_question(session, having.asking)
    if opening:
        return Next(opening, "")
    checks = weighed(having, seen)
    if settled(having, seen, checks):
        quick = quick_upset(having, seen, checks)
        return Next(quick.name, "", checks) if quick is not None else Next("", "firm", checks)
    in_hand = [c for c in checks if _in_hand(having, session, c) and c.gain_bits >= LEAST_GAIN_BITS]
    if in_hand:
        return Next(max(in_hand, key=lambda c: (c.gain_bits, c.name)).name, "", checks)
    best = ("", 0.0)
    for name, worth in offers(having, session, checks):
        if worth > best[1]:
            best = (name, worth)
    if best[1] < LEAST_WORTH:
        return Next("", "nothing left", checks)
    return Next(best[0], "", checks)


def offers(
    having: Mind, session: Session, checks: tuple[Check, ...]
) -> Iterator[tuple[str, float]]:
    """Every question that could be put, with its bits per minute. What is remembered in one go
    counts together, for as long as enough of it is open; the gains are added up, which overrates
    them a little where they say the same.
    """
    for check in checks:
        if check.gain_bits >= LEAST_GAIN_BITS:
            yield _as_asked(having, session, check)
    gains = {check.name: check.gain_bits for check in checks}
    for item in having.asking.together.values():
        fresh = [gains[name] for name in item.of if name in gains]
        if len(fresh) >= LEAST_TOGETHER and TOGETHER + item.name not in session.answered():
            yield TOGETHER + item.name, sum(fresh) / (item.minutes + SETTING_OUT_MINUTES)


def weighed(having: Mind, seen: View) -> tuple[Check, ...]:
    """Every question that may still be asked with its expected information, best first."""
    known = seen.thought.trace.observations
    names = open_questions(having.rulebook, having.asking, seen.session, known)

    def follows(name: str, value: Value) -> tuple[Observation, ...]:
        return _follows(having, seen, name, value)

    return worths(having.reckon, seen.thought, names, follows)


def quick_upset(having: Mind, seen: View, checks: Iterable[Check]) -> Check | None:
    """The look of a minute or less that might put another cause first, if there is one."""
    quick = [c for c in checks if c.minutes <= QUICK_MINUTES and _needs(having, c) == EYES]
    upset = overturning(quick, seen.thought.beliefs.first.cause)
    return upset[0] if upset is not None and upset[1].chance >= QUICK_UPSET_CHANCE else None


def settled(having: Mind, seen: View, checks: Iterable[Check]) -> bool:
    """Whether the ranking is likely and robust, and no likely single answer would upset it; it is
    firm when no quick look might (`quick_upset`) either.
    """
    beliefs = seen.thought.beliefs
    first = beliefs.first
    if first.belief < SETTLED_BELIEF:
        return False
    if firmness(beliefs, having.rulebook.ranking).share < FIRM:
        return False
    upset = overturning(checks, first.cause)
    return upset is None or upset[1].chance < UPSET_CHANCE


def _needs(having: Mind, check: Check) -> str:
    return having.rulebook.vocabulary[check.name].needs


def _in_hand(having: Mind, session: Session, check: Check) -> bool:
    needs = _needs(having, check)
    return needs != EYES and equipment_at_hand(session, needs) is True


def _as_asked(having: Mind, session: Session, check: Check) -> tuple[str, float]:
    """The question to put for a check, and its bits per minute: what needs equipment is asked for
    by its equipment first, which most keepers do not have.
    """
    needs = _needs(having, check)
    item = having.asking.equipment.get(needs)
    can_tell = having.asking.can_tell.get(check.name, 1.0)
    if needs == EYES or item is None:
        return check.name, can_tell * check.worth
    minutes = SETTING_OUT_MINUTES + item.chance * check.minutes
    return EQUIPMENT + needs, can_tell * item.chance * check.gain_bits / minutes


def _follows(having: Mind, seen: View, name: str, value: Value) -> tuple[Observation, ...]:
    """What a number would make known besides itself: of a measurement how far it is out of the
    species' range and what the chemistry makes of it, of the litres how many animals live in each.
    """
    case = seen.case
    if case is None or isinstance(value, str) or not (name in READINGS or name == VOLUME):
        return ()
    known = seen.thought.trace.observations
    measured = tuple(
        (n, known[n].value) for n in sorted(known) if n in READINGS or n == "species_group"
    )
    herd = (case.stock, case.deaths) if name == VOLUME else case.stock.species
    key = (name, value, herd, measured)
    found = having.followed.get(key)
    if found is None:
        species: Species = species_of(having.rulebook, case.stock.species, *case.stock.also_species)
        if name == VOLUME:
            then_case = case.model_copy(
                update={"container": case.container.model_copy(update={"volume_l": value})}
            )
        else:
            then_case = case.model_copy(update={"told": {**case.told, name: value}})
        then = observe(
            then_case.model_copy(update={"asked": (*case.asked, name)}),
            having.rulebook.vocabulary,
            species,
            having.rulebook.companions,
            now=seen.session.started_at,
        )
        found = tuple(o for o in then if o.name not in known and o.name != name)
        having.followed[key] = found
    return found
