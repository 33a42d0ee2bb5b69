"""From what was told to what is believed, and from there to the next question. Pure but for a store
of what was computed before, which changes no result.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass, field
from pathlib import Path

from pydantic import ValidationError

from diagnose.belief.firmness import FIRM, firmness
from diagnose.belief.next_checks import LEAST_GAIN_BITS, SETTING_OUT_MINUTES, Check, overturning
from diagnose.dialogue.asking import Asking, load_asking
from diagnose.dialogue.expected_information import (
    Inferred,
    LookAhead,
    Value,
    expected_information,
    infer,
    look_ahead_over,
)
from diagnose.dialogue.state import (
    EQUIPMENT,
    TOGETHER,
    Session,
    equipment_at_hand,
    open_questions,
    opening_question,
)
from diagnose.dialogue.told_case import case_of
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
LEAST_BITS_A_MINUTE = 0.012
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
class SessionRules:
    """The rulebook with everything a session needs of it, built once."""

    rulebook: Rulebook
    asking: Asking
    lexicon: Lexicon
    look_ahead: LookAhead
    followed: dict[tuple[object, ...], tuple[Observation, ...]] = field(default_factory=dict)


@dataclass(frozen=True, slots=True)
class BeliefState:
    """What a session makes known, what is believed on it; `case` is None while nothing is told."""

    session: Session
    case: Case | None
    inferred: Inferred


@dataclass(frozen=True, slots=True)
class Next:
    """What comes next: a question, or the reason to stop. `checks`: the open questions as weighed,
    best first; empty in the opening.
    """

    question: str
    stop: str
    checks: tuple[Check, ...] = ()


def session_rules(rulebook: Rulebook, folders: Iterable[Path]) -> SessionRules:
    """What a session needs of the rulebook. Raises ValueError for folders that lack the asking."""
    folders = tuple(folders)
    return SessionRules(
        rulebook,
        load_asking(folders, rulebook),
        load_lexicon(
            folders,
            rulebook.vocabulary,
            rulebook.species.values(),
            rulebook.companions.values(),
        ),
        look_ahead_over(rulebook),
    )


def belief_state(rules: SessionRules, session: Session) -> BeliefState:
    """What is known and believed after the answers so far.

    Raises ValueError with a sentence when the answers cannot stand together in one case.
    """
    rulebook = rules.rulebook
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
    inferred = infer(rules.look_ahead, observations)
    return BeliefState(session, case if told else None, inferred)


def next_question(rules: SessionRules, seen: BeliefState) -> Next:
    """The question with the most expected information per minute, or why there is none to ask.

    The look_ahead_over must have inferred last on `seen`: call it right after `view`.
    """
    session = seen.session
    if session.pinned:
        return Next(session.pinned, "")
    opening = opening_question(session, rules.asking)
    if opening:
        return Next(opening, "")
    checks = weighed(rules, seen)
    if settled(rules, seen, checks):
        quick = quick_upset(rules, seen, checks)
        return Next(quick.name, "", checks) if quick is not None else Next("", "firm", checks)
    in_hand = [c for c in checks if _in_hand(rules, session, c) and c.gain_bits >= LEAST_GAIN_BITS]
    if in_hand:
        return Next(max(in_hand, key=lambda c: (c.gain_bits, c.name)).name, "", checks)
    best = ("", 0.0)
    for name, worth in offers(rules, session, checks):
        if worth > best[1]:
            best = (name, worth)
    if best[1] < LEAST_BITS_A_MINUTE:
        return Next("", "nothing left", checks)
    return Next(best[0], "", checks)


def offers(
    rules: SessionRules, session: Session, checks: tuple[Check, ...]
) -> Iterator[tuple[str, float]]:
    """Every question that could be put, with its bits per minute. What is remembered in one go
    counts together, for as long as enough of it is open; the gains are added up, which overrates
    them a little where they say the same.
    """
    for check in checks:
        if check.gain_bits >= LEAST_GAIN_BITS:
            yield _as_asked(rules, session, check)
    gains = {check.name: check.gain_bits for check in checks}
    for item in rules.asking.together.values():
        fresh = [gains[name] for name in item.of if name in gains]
        if len(fresh) >= LEAST_TOGETHER and TOGETHER + item.name not in session.answered():
            yield TOGETHER + item.name, sum(fresh) / (item.minutes + SETTING_OUT_MINUTES)


def weighed(rules: SessionRules, seen: BeliefState) -> tuple[Check, ...]:
    """Every question that may still be asked with its expected information, best first."""
    known = seen.inferred.trace.observations
    names = open_questions(rules.rulebook, rules.asking, seen.session, known)

    def follows(name: str, value: Value) -> tuple[Observation, ...]:
        return _follows(rules, seen, name, value)

    return expected_information(rules.look_ahead, seen.inferred, names, follows)


def quick_upset(rules: SessionRules, seen: BeliefState, checks: Iterable[Check]) -> Check | None:
    """The look of a minute or less that might put another cause first, if there is one."""
    quick = [c for c in checks if c.minutes <= QUICK_MINUTES and _needs(rules, c) == EYES]
    upset = overturning(quick, seen.inferred.beliefs.first.cause)
    return upset[0] if upset is not None and upset[1].chance >= QUICK_UPSET_CHANCE else None


def settled(rules: SessionRules, seen: BeliefState, checks: Iterable[Check]) -> bool:
    """Whether the ranking is likely and robust, and no likely single answer would upset it; it is
    firm when no quick look might (`quick_upset`) either.
    """
    beliefs = seen.inferred.beliefs
    first = beliefs.first
    if first.belief < SETTLED_BELIEF:
        return False
    if firmness(beliefs, rules.rulebook.ranking).share < FIRM:
        return False
    upset = overturning(checks, first.cause)
    return upset is None or upset[1].chance < UPSET_CHANCE


def _needs(rules: SessionRules, check: Check) -> str:
    return rules.rulebook.vocabulary[check.name].needs


def _in_hand(rules: SessionRules, session: Session, check: Check) -> bool:
    needs = _needs(rules, check)
    return needs != EYES and equipment_at_hand(session, needs) is True


def _as_asked(rules: SessionRules, session: Session, check: Check) -> tuple[str, float]:
    """The question to put for a check, and its bits per minute: what needs equipment is asked for
    by its equipment first, which most keepers do not have.
    """
    needs = _needs(rules, check)
    item = rules.asking.equipment.get(needs)
    can_tell = rules.asking.can_tell.get(check.name, 1.0)
    if needs == EYES or item is None:
        return check.name, can_tell * check.bits_a_minute
    minutes = SETTING_OUT_MINUTES + item.chance * check.minutes
    return EQUIPMENT + needs, can_tell * item.chance * check.gain_bits / minutes


def _follows(
    rules: SessionRules, seen: BeliefState, name: str, value: Value
) -> tuple[Observation, ...]:
    """What a number would make known besides itself: of a measurement how far it is out of the
    species' range and what the chemistry makes of it, of the litres how many animals live in each.
    """
    case = seen.case
    if case is None or isinstance(value, str) or not (name in READINGS or name == VOLUME):
        return ()
    known = seen.inferred.trace.observations
    measured = tuple(
        (n, known[n].value) for n in sorted(known) if n in READINGS or n == "species_group"
    )
    herd = (case.stock, case.deaths) if name == VOLUME else case.stock.species
    key = (name, value, herd, measured)
    found = rules.followed.get(key)
    if found is None:
        species: Species = species_of(rules.rulebook, case.stock.species, *case.stock.also_species)
        if name == VOLUME:
            then_case = case.model_copy(
                update={"container": case.container.model_copy(update={"volume_l": value})}
            )
        else:
            then_case = case.model_copy(update={"told": {**case.told, name: value}})
        then = observe(
            then_case.model_copy(update={"asked": (*case.asked, name)}),
            rules.rulebook.vocabulary,
            species,
            rules.rulebook.companions,
            now=seen.session.started_at,
        )
        found = tuple(o for o in then if o.name not in known and o.name != name)
        rules.followed[key] = found
    return found
