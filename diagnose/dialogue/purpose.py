"""What a question would tell apart, for a keeper who wants to know before answering."""

from __future__ import annotations

from collections.abc import Iterator

from diagnose.belief.next_checks import Check
from diagnose.dialogue.belief_state import Next, SessionRules
from diagnose.dialogue.questions import Question
from diagnose.dialogue.state import EQUIPMENT, FIRST_BODY, OPENING, STORY, TOGETHER
from diagnose.report.answer import value_text
from diagnose.report.wording import percent

#: Answers of a chance below this are left out.
LEAST_CHANCE = 0.03
#: Of what is asked together, only so many are spoken of.
SPOKEN_OF = 2


def use_of(rules: SessionRules, coming: Next, asked: Question) -> Iterator[str]:
    """Which causes a question would tell apart."""
    if asked.name == STORY or asked.name in OPENING:
        yield "It is asked of everyone: it decides what must be done at once."
        return
    if asked.name == FIRST_BODY:
        yield "It puts what was done before in order: what comes after cannot be the cause."
        return
    names = asked_about(rules, asked)
    about = [check for check in coming.checks if check.name in names]
    if not about:
        yield "You asked for this question again; your new answer takes the place of the old one."
        return
    for check in sorted(about, key=lambda c: -c.gain_bits)[:SPOKEN_OF]:
        if check.name != asked.name:
            yield rules.rulebook.vocabulary[check.name].asks
        yield from _outcomes(rules, check)


def asked_about(rules: SessionRules, asked: Question) -> frozenset[str]:
    """The observations that a question is about."""
    if asked.name.startswith(TOGETHER):
        return frozenset(name for name, _ in asked.choices)
    if asked.name.startswith(EQUIPMENT):
        needs = asked.name.removeprefix(EQUIPMENT)
        return frozenset(n for n, t in rules.rulebook.vocabulary.items() if t.needs == needs)
    return frozenset({asked.name})


def _outcomes(rules: SessionRules, check: Check) -> Iterator[str]:
    term = rules.rulebook.vocabulary[check.name]
    for prospect in check.prospects:
        if prospect.chance < LEAST_CHANCE:
            continue
        words = {"present": "yes", "absent": "no"} if term.kind == "sign" else {}
        answer = words.get(str(prospect.answer)) or value_text(term, prospect.answer, "metric")
        title = rules.rulebook.causes[prospect.first].title
        yield f"If {answer}: first would be {title} ({percent(prospect.belief)})."
