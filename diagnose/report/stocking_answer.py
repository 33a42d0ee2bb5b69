"""The answer about adding stock as plain data, and as a page."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, timedelta

from diagnose.acclimation.plan import AcclimationPlan
from diagnose.advice.forbidden import Values, before, withheld_among
from diagnose.advice.triage_first import StateReason
from diagnose.report.acclimation_page import acclimation_sections
from diagnose.report.answer import (
    CautionLine,
    Fact,
    HeldBack,
    Line,
    caution_lines,
    fact,
    held_back,
    speaks,
    state_lines,
    topic,
    value_text,
)
from diagnose.report.keepers_units import said_in
from diagnose.report.pages import Page, PageLine, Section, section
from diagnose.report.wording import Preference, number, plain, strength_word
from diagnose.rulebook.terms import Gate, Rulebook
from diagnose.stocking.company import SENTENCES
from diagnose.stocking.judgement import FACTS, Judgement, Met, Verdict
from diagnose.stocking.outlook import Outlook
from diagnose.stocking.readiness import Readiness

FORMAT = "bowlside-stocking/2"
#: Cautions every answer about adding carries.
ALWAYS = ("never-release", "wash-hands-and-cover-wounds", "electricity-near-water")
VERDICT_SENTENCES: dict[Verdict, str] = {
    "add now": "Add now: they may come.",
    "wait": "Wait: not yet.",
    "do not add": "Do not add: these animals and this container do not go together.",
}
#: Verdicts, the most welcome first.
VERDICTS = tuple(VERDICT_SENTENCES)
#: Below this oxygen in the middle of the band the outlook asks for a measurement (keepers act at
#: 2 mg/L and aim at 5; half of the crustaceans reviewed show harm below 3.2).
DAWN_OXYGEN_TO_CHECK_MG_L = 3.2
REASONS_SHOWN, NOTED_SHOWN, FOR_SHOWN = 5, 2, 3
#: Fewer than two found no colony.
FOUNDERS = 2
FITTED = (
    "What is usual against it is forbidden here (below). Run `bowlside triage` on this case: its "
    "steps are fitted to it."
)
TRIAGE_SAYS = (
    "Run `bowlside triage` on this case. It says what to change and how much; nobody comes before "
    "that is over."
)


@dataclass(frozen=True, slots=True)
class Reason:
    """A gate that is shut or half shut, or an argument for: weight in decibans as it counted."""

    side: str
    shut: bool
    limit: str
    title: str
    line: Line
    do: str


@dataclass(frozen=True, slots=True)
class ToMeasure:
    """A fact that is missing: what to find out, how, and why it matters."""

    fact: str
    asks: str
    look: str
    minutes: float
    needs: str
    because: str


@dataclass(frozen=True, slots=True)
class StockingAnswer:
    """The whole answer.

    number_now: the most that may be added now; of these number_within_measure keep all together
    within the keepers' measure a litre, and number_with_room leave room for the young of the coming
    weeks (None where not reckoned). number_later: how many once all is mended and what is
    unknown turns out well; None where something cannot be mended. earliest: an ISO date, empty
    where waiting alone does not help; ask_again: when to ask again with new readings, empty with
    "add now". triage_first: why triage comes before all of this. to_do: what to do until then, in
    order; withheld: steps that it came to and that the case forbids. acclimation: only with
    "add now".
    """

    format: str
    case: str
    asked_at: str
    species: str
    adults: int
    juveniles: int
    verdict: Verdict
    limit: str
    triage_first: tuple[str, ...]
    to_do: tuple[str, ...]
    withheld: tuple[HeldBack, ...]
    number_now: int
    number_within_measure: int
    number_with_room: int | None
    number_later: int | None
    later_after: tuple[str, ...]
    earliest: str
    ask_again: str
    reasons: tuple[Reason, ...]
    for_: tuple[Reason, ...]
    balance: float
    measure: tuple[ToMeasure, ...]
    company: tuple[str, ...]
    outlook: Outlook | None
    acclimation: AcclimationPlan | None
    cautions: tuple[CautionLine, ...]
    assumptions: tuple[str, ...]
    observations: tuple[Fact, ...]


def stocking_answer(
    rulebook: Rulebook,
    ready: Readiness,
    plan: AcclimationPlan | None,
    outlook: Outlook | None,
    *,
    triage: tuple[StateReason, ...],
    values: Values,
    with_room: int | None,
    ask_of_sun: bool,
    today: date,
    case: str,
    asked_at: str,
    assumptions: tuple[str, ...],
    prefer: Preference = "metric",
) -> StockingAnswer:
    """The answer as data. plan: the way in, if they may come. ask_of_sun: it stands at a window,
    and nobody said how much sun falls in. values: what is known of those that live there, and may
    forbid a step. `prefer` sets the units in sentences.
    """
    judged = ready.judgement
    names = [*ALWAYS, *(name for met in judged.shut for name in met.gate.cautions)]
    if plan is not None and plan.stale:
        names.append("acid-water-and-ammonia")
    known = judged.trace.observations
    asked = [name for met in judged.against for name in met.gate.steps]
    found = StockingAnswer(
        format=FORMAT,
        case=plain(case),
        asked_at=asked_at,
        species=ready.newcomers.species.title,
        adults=ready.newcomers.adults,
        juveniles=ready.newcomers.juveniles,
        verdict=judged.verdict,
        limit=ready.limit,
        triage_first=state_lines(rulebook, triage, prefer),
        to_do=_to_do(rulebook, judged, triage, values),
        withheld=tuple(
            held_back(rulebook, item) for item in withheld_among(rulebook, asked, values)
        ),
        number_now=ready.now,
        number_within_measure=ready.within_measure,
        number_with_room=with_room,
        number_later=ready.later,
        later_after=tuple(
            text for gate in ready.mend if (text := _allowed(rulebook, gate, values))
        ),
        earliest=ready.earliest.isoformat() if ready.earliest is not None else "",
        ask_again=_ask_again(rulebook, ready, triage, today),
        reasons=tuple(_reason(rulebook, ready, met, values, prefer) for met in judged.against),
        for_=tuple(_reason(rulebook, ready, met, values, prefer) for met in judged.for_),
        balance=round(judged.balance, 2),
        measure=(*_measure(rulebook, ready), *(_sun(rulebook) if ask_of_sun else ())),
        company=_company(ready),
        outlook=outlook,
        acclimation=plan,
        cautions=caution_lines(rulebook, names),
        assumptions=tuple(plain(text) for text in assumptions),
        observations=tuple(fact(rulebook, known[name], prefer) for name in sorted(known)),
    )
    return said_in(found, prefer)


def _reason(
    rulebook: Rulebook, ready: Readiness, met: Met, values: Values, prefer: Preference
) -> Reason:
    evidence = met.gate.evidence
    line = Line(
        rule=evidence.key,
        weight=round(met.decibans, 2),
        strength=strength_word(met.decibans),
        because=evidence.because,
        facts=tuple(
            fact(rulebook, item, prefer)
            for item in ready.judgement.trace.rests_on(met.firing)
            if speaks(item)
        ),
        source=evidence.source,
        cite=rulebook.sources[evidence.source].cite,
    )
    do = _allowed(rulebook, met.gate, values)
    return Reason(met.gate.side, met.shut, met.gate.limit, met.gate.title, line, do)


def _allowed(rulebook: Rulebook, gate: Gate, values: Values) -> str:
    """What to do about a gate; empty where the case forbids a step of it."""
    return "" if withheld_among(rulebook, gate.steps, values) else gate.do


def _to_do(
    rulebook: Rulebook, judged: Judgement, triage: tuple[StateReason, ...], values: Values
) -> tuple[str, ...]:
    """What to do about the shut gates, heaviest first, each after what must come before it. While
    triage comes first it alone says what to change and how much: two commands never give two sizes.
    """
    if judged.verdict == "add now":
        return ()
    if triage:
        return (TRIAGE_SAYS,)
    found: dict[str, None] = {}
    for gate in (met.gate for met in judged.shut):
        do = _allowed(rulebook, gate, values)
        if not do:
            found |= {FITTED: None} if gate.do else {}
            continue
        if values:
            steps = (rulebook.steps[name] for name in gate.steps)
            found |= {
                f"{first.title}.": None
                for step in steps
                for first in before(rulebook, step, values)
            }
        found |= {do: None}
    return tuple(found)


def _ask_again(
    rulebook: Rulebook, ready: Readiness, triage: tuple[StateReason, ...], today: date
) -> str:
    """The day to ask again: that on which waiting opens every gate, else a week from now."""
    if ready.judgement.verdict == "add now":
        return ""
    week = today + timedelta(days=round(rulebook.numbers["ask_again_days"].value))
    if ready.earliest is None or triage:
        return week.isoformat()
    return max(ready.earliest, today).isoformat()


def _measure(rulebook: Rulebook, ready: Readiness) -> tuple[ToMeasure, ...]:
    """What is unknown, the question to answer it by first."""
    found = []
    for needed in ready.judgement.unknown:
        askable = [
            term for name in needed.any_of if not (term := rulebook.vocabulary[name]).derived
        ]
        if needed.id == "stock-counted":
            asks, look, minutes, needs = "How many shrimp live there?", "", 2.0, "eyes"
        elif askable:
            term = askable[0]
            asks, look, minutes, needs = term.asks, term.look, term.minutes, term.needs
        else:
            continue
        found.append(
            ToMeasure(needed.id, asks, look, minutes, needs.replace("-", " "), needed.because)
        )
    return tuple(found)


def _sun(rulebook: Rulebook) -> tuple[ToMeasure, ...]:
    """The question about sun, for a container at a window of which nobody told."""
    term = rulebook.vocabulary["sun"]
    needs = term.needs.replace("-", " ")
    why = rulebook.stocking["heat-to-come"].evidence.because
    return (ToMeasure("sun", term.asks, term.look, term.minutes, needs, why),)


def _company(ready: Readiness) -> tuple[str, ...]:
    known = ready.judgement.trace.observations
    lines = []
    for name in ("company", "shrimp_company"):
        item = known.get(name)
        if item is None:
            continue
        sentence = SENTENCES.get(item.value)  # type: ignore[call-overload]
        if sentence is not None:
            lines.append(sentence)
    species = ready.newcomers.species
    if not species.breeds_in_fresh_water:
        lines.append("They do not breed in fresh water: their larvae need the sea.")
    return tuple(lines)


def stocking_page(answer: StockingAnswer, prefer: Preference = "metric") -> Page:
    """The answer as a page. prefer: the units of the way in."""
    shut = [reason for reason in answer.reasons if reason.shut]
    waits, troubled = answer.verdict == "wait", bool(answer.triage_first)
    half = [reason for reason in answer.reasons if not reason.shut and not troubled]
    speaks_for = () if troubled else answer.for_[:FOR_SHOWN]
    return Page(
        title=answer.case,
        note=f"asked {answer.asked_at}" if answer.asked_at else "",
        first=(VERDICT_SENTENCES[answer.verdict], *_summary(answer)),
        sections=(
            section("Triage comes first", answer.triage_first),
            Section(
                "What to do until then" if waits else "What would have to change",
                tuple(
                    PageLine(text, lead=f"{number}.")
                    for number, text in enumerate((*answer.to_do, *_test_again(answer)), start=1)
                ),
            ),
            Section(
                "Not now",
                tuple(PageLine(f"{held.title}: {held.because}") for held in answer.withheld),
            ),
            Section(
                "Why not now" if waits else "Why not",
                tuple(_against(reason) for reason in shut[:REASONS_SHOWN]),
                "heaviest first",
            ),
            Section(
                "Worth finding out" if answer.verdict == "add now" else "Measure or find out first",
                tuple(
                    PageLine(f"{item.asks} ({item.minutes:g} min)", below=(item.because,))
                    for item in answer.measure
                ),
            ),
            Section(
                "Not in the way, but noted",
                tuple(
                    PageLine(f"{r.title}. {r.line.because}", below=(r.do,) if r.do else ())
                    for r in half[:NOTED_SHOWN]
                ),
            ),
            Section(
                "What speaks for it",
                tuple(
                    PageLine(f"{r.title}. {r.line.because}", lead=f"{r.line.strength:<6}")
                    for r in speaks_for
                ),
            ),
            section("With those that live there", answer.company),
            *(() if waits or troubled else (_outlook_section(answer),)),
            *(acclimation_sections(answer.acclimation, prefer) if answer.acclimation else ()),
            Section("Take care", tuple(PageLine(c.text, lead="!") for c in answer.cautions)),
            section("What this rests on", answer.assumptions),
        ),
    )


def _summary(answer: StockingAnswer) -> list[str]:
    asked = _animals(answer.adults, answer.juveniles)
    stage = "grown ones" if answer.adults or not answer.juveniles else "young ones"
    lines = [f"Asked for: {asked}, {answer.species}."]
    what = {
        FACTS: "What is short: facts.",
        "": "",
    }.get(answer.limit, f"What limits it: {answer.limit}.")
    lines.append(f"{what} Number that may be added now: {answer.number_now} {stage}.".strip())
    if 0 < answer.number_within_measure < answer.number_now:
        lines.append(
            f"Up to {answer.number_within_measure} of these keep to the usual one to two grown "
            "ones a litre. For more, measure oxygen before light (5 mg/L or more) first."
        )
    if answer.number_with_room is not None and answer.number_with_room < answer.number_now:
        lines.append(_room_for_young(answer.number_with_room, answer.outlook))
    if answer.number_later is not None and answer.number_later > answer.number_now:
        lines.append(f"Once that is put right: up to {answer.number_later} {stage}.")
    if answer.triage_first and answer.verdict != "add now":
        lines.append("Triage comes first: run `bowlside triage` on this case.")
    elif answer.verdict != "add now" and answer.earliest:
        lines.append(f"Not before {answer.earliest}, and after a test on that day.")
    elif answer.verdict == "wait":
        lines.append(
            f"Waiting alone is not enough: do what stands below, and ask again on "
            f"{answer.ask_again} with new readings."
        )
    return lines


def _room_for_young(number: int, found: Outlook | None) -> str:
    weeks = f"the next {found.weeks} weeks" if found is not None else "the coming weeks"
    if number >= FOUNDERS:
        left = f"Room for the young of {weeks} is left by {number} of them. With those asked for"
    else:
        left = f"However few come, young fill it within {weeks}. With those asked for"
    some = f"about {found.young_out[1]:.0f} " if found is not None else ""
    return f"{left} {some}young must go out in time: find them a home first."


def _test_again(answer: StockingAnswer) -> tuple[str, ...]:
    if answer.verdict != "wait":
        return ()
    return (
        f"On {answer.ask_again} test ammonia, nitrite and temperature again, write them into the "
        "case, and ask again.",
    )


def _animals(adults: int, juveniles: int) -> str:
    parts = []
    if adults or not juveniles:
        parts.append(f"{adults} grown")
    if juveniles:
        parts.append(f"{juveniles} young")
    return " and ".join(parts)


def _against(reason: Reason) -> PageLine:
    known = "; ".join(
        f"{item.text} ({item.from_})" if item.origin == "derived" else item.text
        for item in reason.line.facts
    )
    lead = f"{reason.line.strength:<6}"
    return PageLine(f"{reason.title}. {reason.line.because}", lead, (f"Known: {known}.",))


def _outlook_section(answer: StockingAnswer) -> Section:
    found = answer.outlook
    if found is None:
        return Section("The weeks after", ())
    low, middle, high = found.dawn_oxygen_mg_l
    lines = [
        PageLine(
            f"Lowest oxygen before light: about {middle:.1f} mg/L (between {low:.1f} and "
            f"{high:.1f})."
        ),
        PageLine(
            f"Highest free ammonia: about {_trace(found.nh3_mg_l[1])} mg/L as N (between "
            f"{_trace(found.nh3_mg_l[0])} and {_trace(found.nh3_mg_l[2])})."
        ),
        PageLine(
            f"Animals then: about {found.animals[1]:.0f} (between {found.animals[0]:.0f} and "
            f"{found.animals[2]:.0f}); it carries about {found.carries:.0f} grown ones."
        ),
    ]
    if middle < DAWN_OXYGEN_TO_CHECK_MG_L:
        lines.append(
            PageLine(
                "The model fears for the oxygen: measure it before light, or give air at "
                "night, before you add anybody."
            )
        )
    if found.full_in_weeks[1] is not None:
        lines.append(
            PageLine(
                f"Young counted, it passes that number in about {found.full_in_weeks[1]:.0f} "
                f"weeks: about {found.young_out[1]:.0f} young must go out by week {found.weeks}."
            )
        )
    return Section(
        f"The next {found.weeks} weeks with them in",
        tuple(lines),
        "estimates by the container model, no part of the verdict",
    )


def _trace(mg_l: float) -> str:
    """A small concentration, without digits nobody can measure."""
    return number(round(mg_l, 3)) if mg_l >= 0.0005 else "0.000"


def explained(answer: StockingAnswer, rule: str, rulebook: Rulebook) -> Page:
    """Everything about one rule: whether it fired, how far, on what it rests, and its source.

    Raises ValueError with the nearest names for a rule nobody wrote.
    """
    gate = rulebook.stocking.get(rule.removeprefix("stocking/"))
    if gate is None:
        from difflib import get_close_matches

        near = get_close_matches(rule, rulebook.stocking, n=3, cutoff=0.4)
        known = ", ".join(near) if near else ", ".join(sorted(rulebook.stocking)[:6]) + " ..."
        raise ValueError(f"No rule about stocking is called '{rule}'. Try {known}.")
    found = [r for r in (*answer.reasons, *answer.for_) if r.line.rule == gate.evidence.key]
    names = sorted({leaf.name for way in gate.evidence.when for leaf in way})
    terms = [rulebook.vocabulary[name] for name in names if name in rulebook.vocabulary]
    if not found:
        first = "It has nothing to say here."
    elif gate.side == "for":
        first = f"It speaks for adding, with {found[0].line.weight:g} decibans."
    else:
        state = "shut" if found[0].shut else "partly met, but not shut"
        first = f"It is {state}, with {found[0].line.weight:g} decibans against adding."
    source = rulebook.sources[gate.evidence.source]
    forbidden = tuple(
        f"{held.title}: {held.because}" for held in answer.withheld if held.id in gate.steps
    )
    facts = tuple(
        f"{item.text}  ({item.origin}: {item.from_})" for r in found for item in r.line.facts
    )
    return Page(
        title=gate.title,
        note=f"rule {gate.evidence.key}, side: {gate.side}",
        first=(first, gate.evidence.because),
        sections=(
            section("It rests on", facts),
            section("It asks about", tuple(f"{topic(t)}: {t.asks}" for t in terms)),
            section("What to do", (gate.do,) if gate.do and not forbidden else ()),
            section("Not now", forbidden),
            section(
                "Once mended it would read",
                tuple(
                    f"{topic(rulebook.vocabulary[name])}: "
                    f"{value_text(rulebook.vocabulary[name], value, 'metric')}"
                    for name, value in gate.mends
                ),
            ),
            section("Source", (f"{source.cite}. {source.note}".strip(),)),
        ),
    )
