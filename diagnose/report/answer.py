"""The answer to one case as plain data: the one thing that every format renders.

Its shape is versioned (`FORMAT`) and described by `answer_schema`. Field names that Python
reserves end in an underscore here and lose it in the JSON.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator
from dataclasses import dataclass, fields, is_dataclass
from typing import Any

from diagnose.advice.diagnosis import Diagnosis
from diagnose.advice.forbidden import Values, Withheld
from diagnose.advice.plan import LeftOut, PlannedStep
from diagnose.advice.sizes import size_of
from diagnose.advice.triage_first import StateReason
from diagnose.belief.belief import Argument, Standing
from diagnose.belief.next_checks import Check
from diagnose.bowl.measured_by import MEASURED_BY
from diagnose.findings.observation import Observation
from diagnose.inference.engine import Trace
from diagnose.report import wording
from diagnose.report.keepers_units import said_in
from diagnose.rulebook.terms import Rulebook, Term

FORMAT = "bowlside-answer/2"
#: Causes below this belief are left to --explain.
SHOWN_BELIEF = 0.01
SHOWN_CAUSES = 6
#: An argument that moves less than this is not heard.
HEARD_DECIBANS = 1.0
#: An estimate is given to so many digits.
ROUGH_DIGITS = 2
#: Endings of names that say the unit, which the value shows anyway.
UNIT_SUFFIXES = (
    "_mg_per_g_day",
    "_mg_l",
    "_g_per_l",
    "_per_l",
    "_c_per_h",
    "_percent",
    "_dgh",
    "_dkh",
    "_hours",
    "_days",
    "_c",
    "_l",
)
SIGN_WORDS = {"present": "yes", "absent": "no"}
#: Differences of temperature: shown without the offset of a thermometer scale.
TEMPERATURE_STEPS = frozenset(
    {
        "temperature_swing_c",
        "change_temperature_step_c",
        "heat_above_range_c",
        "cold_below_range_c",
        "newcomer_heat_c",
        "newcomer_cold_c",
    }
)


@dataclass(frozen=True, slots=True)
class Fact:
    """One observation: what was seen, in words, its origin and where it comes from."""

    name: str
    value: str | float
    unit: str
    text: str
    origin: str
    from_: str


@dataclass(frozen=True, slots=True)
class Line:
    """One argument for or against a cause: decibans, the reason, what it rests on and the rule's
    source.
    """

    rule: str
    weight: float
    strength: str
    because: str
    facts: tuple[Fact, ...]
    source: str
    cite: str


@dataclass(frozen=True, slots=True)
class Ranked:
    """A cause with its belief (share of 1), the mechanism it most likely worked through, and its
    arguments. way_is_shown: something speaks for the mechanism itself; else it is only
    possible. harmless: nothing harms them.
    """

    cause: str
    title: str
    summary: str
    belief: float
    word: str
    mechanism: str
    mechanism_title: str
    way_is_shown: bool
    harmless: bool
    for_: tuple[Line, ...]
    against: tuple[Line, ...]


@dataclass(frozen=True, slots=True)
class Also:
    """A second cause at work beside the main one."""

    cause: str
    title: str
    belief: float
    reason: str


@dataclass(frozen=True, slots=True)
class Threat:
    """What was told that can still do harm where all seems well: how likely it does, and the step
    that wards it off.
    """

    cause: str
    title: str
    belief: float
    reason: str
    step: str


@dataclass(frozen=True, slots=True)
class StepLine:
    """A step: when (now, today, this_week, prevent), what, how, why, minutes, for which causes,
    its cautions. size: how much of it, and what it will then read, where that can be reckoned.
    """

    id: str
    phase: str
    title: str
    do: str
    size: str
    why: str
    minutes: float
    causes: tuple[str, ...]
    cautions: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Dropped:
    """A step not advised, and the one it conflicts with."""

    title: str
    instead: str


@dataclass(frozen=True, slots=True)
class HeldBack:
    """A step that this case forbids, or that costs more than waiting, and the reason with its
    source. say: a keeper would do it unasked.
    """

    id: str
    title: str
    because: str
    source: str
    cite: str
    say: bool


@dataclass(frozen=True, slots=True)
class Question:
    """What would settle the steps against a cause: the observation, and how to ask for it."""

    cause: str
    name: str
    asks: str
    look: str


@dataclass(frozen=True, slots=True)
class Look:
    """When to look again, what shows that it works, what to do if not, and when to call a vet."""

    when: str
    works: str
    otherwise: str
    vet: str


@dataclass(frozen=True, slots=True)
class Outcome:
    """What one answer to a check would put first, with the belief it would then have."""

    answer: str
    chance: float
    first: str
    title: str
    belief: float


@dataclass(frozen=True, slots=True)
class CheckLine:
    """Something to find out: the question, how to look, minutes, equipment, gain in bits, what
    answers would do. drawn: what to look for on its drawing, where there is one.
    """

    name: str
    asks: str
    look: str
    minutes: float
    needs: str
    gain_bits: float
    outcomes: tuple[Outcome, ...]
    drawn: str


@dataclass(frozen=True, slots=True)
class CautionLine:
    """Something that could hurt a person, an animal or the wild."""

    id: str
    guards: str
    text: str


def caution_lines(rulebook: Rulebook, names: Iterable[str]) -> tuple[CautionLine, ...]:
    """The named cautions of a rulebook, each once, in the order named."""
    return tuple(
        CautionLine(name, rulebook.cautions[name].guards, rulebook.cautions[name].text)
        for name in dict.fromkeys(names)
    )


def state_lines(
    rulebook: Rulebook, reasons: Iterable[StateReason], prefer: wording.Preference = "metric"
) -> tuple[str, ...]:
    """What sends to triage first, each with what it rests on that was said or read."""
    lines = []
    for reason in reasons:
        known = [fact(rulebook, item, prefer).text for item in reason.rests_on if speaks(item)]
        lines.append(f"{reason.says} ({'; '.join(known)})" if known else reason.says)
    return tuple(lines)


#: Observations that only keep rules apart, and the value at which they tell a keeper nothing.
_QUIET_AT = {"deaths_past": "absent", "dawn_oxygen_measured": "absent", "empty_cycle": "none"}


def speaks(item: Observation) -> bool:
    """Whether an observation is worth showing to a keeper as what an answer rests on."""
    return _QUIET_AT.get(item.name) != item.value


@dataclass(frozen=True, slots=True)
class Firm:
    """How firm the order is: share of shaken runs, a word, the rival, and what single answer
    would overturn it.
    """

    share: float
    word: str
    rival: str
    overturned_by: str


@dataclass(frozen=True, slots=True)
class Guess:
    """An estimate of what nobody measured: in words with its band, and the equipment that would
    measure it. argues: whether it counts for or against one of the causes shown.
    """

    name: str
    value: float
    low: float
    high: float
    unit: str
    text: str
    measured_by: str
    argues: bool


@dataclass(frozen=True, slots=True)
class Answer:
    """The whole answer to one case. The beliefs of the ranking, `unexplained` and `left_out` (all
    causes not listed) add up to 1.
    """

    format: str
    case: str
    asked_at: str
    urgency: str
    urgency_text: str
    ranking: tuple[Ranked, ...]
    also_at_work: tuple[Also, ...]
    threats: tuple[Threat, ...]
    unexplained: float
    left_out: float
    firmness: Firm
    steps: tuple[StepLine, ...]
    not_advised: tuple[Dropped, ...]
    withheld: tuple[HeldBack, ...]
    deciding: tuple[Question, ...]
    next_look: Look
    checks: tuple[CheckLine, ...]
    cautions: tuple[CautionLine, ...]
    assumptions: tuple[str, ...]
    estimates: tuple[Guess, ...]
    observations: tuple[Fact, ...]


def answer(
    rulebook: Rulebook,
    diagnosis: Diagnosis,
    *,
    case: str,
    asked_at: str,
    assumptions: tuple[str, ...],
    prefer: wording.Preference = "metric",
) -> Answer:
    """The answer as data. `prefer` sets the units in sentences; numbers in fields stay in the
    vocabulary's units.
    """
    shown = [s for s in diagnosis.beliefs.standings if s.belief >= SHOWN_BELIEF][:SHOWN_CAUSES]
    ranking = tuple(ranked(rulebook, diagnosis.trace, standing, prefer) for standing in shown)
    found = Answer(
        format=FORMAT,
        case=wording.plain(case),
        asked_at=asked_at,
        urgency=diagnosis.plan.urgency,
        urgency_text=diagnosis.plan.says,
        ranking=ranking,
        also_at_work=tuple(_also(rulebook, s) for s in diagnosis.also_at_work),
        threats=tuple(_threat(rulebook, s) for s in diagnosis.threats),
        unexplained=diagnosis.beliefs.unexplained,
        left_out=max(0.0, 1.0 - diagnosis.beliefs.unexplained - math.fsum(s.belief for s in shown)),
        firmness=_firm(rulebook, diagnosis, prefer),
        steps=tuple(
            _step(rulebook, item, diagnosis.plan.values, prefer) for item in diagnosis.plan.steps
        ),
        not_advised=tuple(_dropped(item) for item in diagnosis.plan.left_out),
        withheld=tuple(held_back(rulebook, item) for item in diagnosis.plan.withheld),
        deciding=tuple(
            Question(
                item.cause,
                item.asks,
                rulebook.vocabulary[item.asks].asks,
                rulebook.vocabulary[item.asks].look,
            )
            for item in diagnosis.plan.deciding
        ),
        next_look=Look(*diagnosis.plan.next_look),
        checks=tuple(_check(rulebook, check, prefer) for check in diagnosis.checks),
        cautions=caution_lines(rulebook, diagnosis.plan.cautions),
        assumptions=tuple(wording.plain(text) for text in assumptions),
        estimates=tuple(_guesses(rulebook, diagnosis.trace, ranking, prefer)),
        observations=tuple(
            fact(rulebook, item, prefer) for _, item in sorted(diagnosis.trace.observations.items())
        ),
    )
    return said_in(found, prefer)


def ranked(
    rulebook: Rulebook, trace: Trace, standing: Standing, prefer: wording.Preference = "metric"
) -> Ranked:
    """One cause with everything that spoke for and against it."""
    cause = rulebook.causes[standing.cause]
    lines = [(a, _line(rulebook, trace, a, prefer)) for a in standing.arguments]
    found = Ranked(
        cause=cause.id,
        title=cause.title,
        summary=cause.summary,
        belief=standing.belief,
        word=wording.belief_word(standing.belief),
        mechanism=standing.mechanism,
        mechanism_title=rulebook.mechanisms[standing.mechanism].title,
        way_is_shown=standing.way_is_shown,
        harmless=rulebook.mechanisms[standing.mechanism].harmless,
        for_=tuple(line for argument, line in lines if argument.speaks_for),
        against=tuple(line for argument, line in lines if not argument.speaks_for),
    )
    return said_in(found, prefer)


def _line(rulebook: Rulebook, trace: Trace, argument: Argument, prefer: wording.Preference) -> Line:
    evidence = argument.evidence
    return Line(
        rule=evidence.key,
        weight=round(argument.decibans, 2),
        strength=wording.strength_word(argument.decibans),
        because=evidence.because,
        facts=tuple(fact(rulebook, o, prefer) for o in trace.rests_on(argument.firing)),
        source=evidence.source,
        cite=rulebook.sources[evidence.source].cite,
    )


def fact(rulebook: Rulebook, item: Observation, prefer: wording.Preference) -> Fact:
    """One observation as every answer shows it."""
    term = rulebook.vocabulary[item.name]
    text = f"{topic(term)}: {value_text(term, item.value, prefer)}"
    if item.band is not None:
        low, _, high = (value_text(term, bound, prefer) for bound in item.band)
        text += f" (estimate, between {low} and {high})"
    return Fact(item.name, item.value, term.unit, text, item.origin, wording.plain(item.because))


def topic(term: Term) -> str:
    """The observation's name in plain words."""
    name = term.name.removeprefix("did_")
    for suffix in UNIT_SUFFIXES:
        name = name.removesuffix(suffix)
    return name.replace("_", " ")


def value_text(term: Term, value: str | float, prefer: wording.Preference) -> str:
    """A value of an observation as a keeper says it."""
    if isinstance(value, str):
        return SIGN_WORDS[value] if term.kind == "sign" else term.choices.get(value, value)
    if term.name in TEMPERATURE_STEPS:
        return wording.temperature_step(value, prefer)
    return wording.quantity(value, term.unit, prefer)


def _guesses(
    rulebook: Rulebook, trace: Trace, ranking: tuple[Ranked, ...], prefer: wording.Preference
) -> Iterator[Guess]:
    """Estimates of the container model that an instrument would replace."""
    argue = {
        found.name
        for one in ranking
        for line in (*one.for_, *one.against)
        if abs(line.weight) >= HEARD_DECIBANS
        for found in line.facts
    }
    for name, item in sorted(trace.observations.items()):
        if item.origin != "estimated" or item.band is None or name not in MEASURED_BY:
            continue
        if isinstance(item.value, str):
            continue
        words, instrument = MEASURED_BY[name]
        term = rulebook.vocabulary[name]
        rough = (wording.rounded(bound, ROUGH_DIGITS) for bound in item.band)
        low, middle, high = (value_text(term, bound, prefer) for bound in rough)
        text = f"{words}: about {middle}, between {low} and {high}"
        yield Guess(
            name,
            item.value,
            item.band[0],
            item.band[2],
            term.unit,
            text,
            instrument,
            name in argue,
        )


def _also(rulebook: Rulebook, standing: Standing) -> Also:
    title = rulebook.causes[standing.cause].title
    own = [a for a in standing.arguments if a.speaks_for and a.evidence.owner == standing.cause]
    return Also(standing.cause, title, standing.belief, own[0].evidence.because if own else "")


def _threat(rulebook: Rulebook, standing: Standing) -> Threat:
    cause = rulebook.causes[standing.cause]
    own = [a for a in standing.arguments if a.speaks_for and a.evidence.owner == standing.cause]
    steps = (*cause.prevent, *cause.this_week, *cause.today)
    step = rulebook.steps[steps[0]].title if steps else ""
    reason = own[0].evidence.because if own else ""
    return Threat(cause.id, cause.title, standing.belief, reason, step)


def _firm(rulebook: Rulebook, diagnosis: Diagnosis, prefer: wording.Preference) -> Firm:
    overturn = ""
    if diagnosis.overturn is not None:
        name, value, first = diagnosis.overturn
        term = rulebook.vocabulary[name]
        overturn = (
            f"{term.asks} If the answer were '{value_text(term, value, prefer)}', "
            f"'{rulebook.causes[first].title}' would come first."
        )
    rival = diagnosis.firmness.rival
    return Firm(
        share=diagnosis.firmness.share,
        word=diagnosis.firmness.word,
        rival=rulebook.causes[rival].title if rival else "",
        overturned_by=overturn,
    )


def _step(
    rulebook: Rulebook, item: PlannedStep, values: Values, prefer: wording.Preference
) -> StepLine:
    step = item.step
    return StepLine(
        id=step.id,
        phase=item.phase,
        title=step.title,
        do=step.do,
        size=size_of(rulebook, step, values, prefer),
        why=step.why,
        minutes=step.minutes,
        causes=item.causes,
        cautions=step.cautions,
    )


def held_back(rulebook: Rulebook, item: Withheld) -> HeldBack:
    """A withheld step as data."""
    cite = rulebook.sources[item.source].cite
    return HeldBack(item.step.id, item.step.title, item.because, item.source, cite, item.say)


def _dropped(item: LeftOut) -> Dropped:
    return Dropped(item.step.title, item.instead.title)


def _check(rulebook: Rulebook, check: Check, prefer: wording.Preference) -> CheckLine:
    term = rulebook.vocabulary[check.name]
    return CheckLine(
        name=check.name,
        asks=term.asks,
        look=term.look,
        minutes=check.minutes,
        needs=term.needs.replace("-", " "),
        gain_bits=round(check.gain_bits, 4),
        outcomes=tuple(
            Outcome(
                value_text(term, p.answer, prefer),
                round(p.chance, 4),
                p.first,
                rulebook.causes[p.first].title,
                round(p.belief, 4),
            )
            for p in check.prospects
        ),
        drawn=term.drawn,
    )


def not_now(answer: Answer) -> list[tuple[str, str]]:
    """What a keeper would do unasked and should not: the titles of the steps, and the reason."""
    by_reason: dict[str, list[str]] = {}
    for item in answer.withheld:
        if item.say:
            by_reason.setdefault(item.because, []).append(item.title)
    return [("; ".join(titles), because) for because, titles in by_reason.items()]


def as_data(item: Any) -> Any:
    """The answer as lists, mappings, texts and numbers, ready for JSON."""
    if is_dataclass(item) and not isinstance(item, type):
        return {f.name.rstrip("_"): as_data(getattr(item, f.name)) for f in fields(item)}
    if isinstance(item, tuple | list):
        return [as_data(part) for part in item]
    return item


def answer_schema() -> dict[str, Any]:
    """The JSON Schema of an answer in JSON."""
    from pydantic import TypeAdapter

    schema = TypeAdapter(Answer).json_schema()
    for part in (schema, *schema.get("$defs", {}).values()):
        part["properties"] = {k.rstrip("_"): v for k, v in part["properties"].items()}
        part["required"] = [name.rstrip("_") for name in part["required"]]
        part["additionalProperties"] = False
    schema["$schema"] = "https://json-schema.org/draft/2020-12/schema"
    schema["properties"]["format"] = {"const": FORMAT}
    return schema
