"""After the answer: one thing otherwise, and how the ranking would stand. Nothing of it stays."""

from __future__ import annotations

from diagnose.dialogue.adapters import STRONG, WARNING
from diagnose.dialogue.belief_state import BeliefState, belief_state, next_question
from diagnose.dialogue.questions import question
from diagnose.dialogue.replies import LONGEST_ANSWER, Answered, NotSure, Unclear, clean, read_reply
from diagnose.dialogue.state import BESIDES, STORY, Given, give
from diagnose.dialogue.talk import (
    Talk,
    completions,
    first_line,
    parts,
    put_question,
    show_standing,
)

#: How many open questions are offered besides those that were answered.
OPEN_OFFERED = 6
#: What ends it, besides an empty line.
ENDS = ("", "no", "none", "n", "not sure", "enough", "done", "pause", "quit")


def what_if(talk: Talk, seen: BeliefState) -> None:
    """Lets the keeper change any one thing and see the ranking move. Nothing of it is kept."""
    adapter, rules = talk.adapter, talk.rules
    coming = next_question(rules, belief_state(rules, seen.session))
    asked_for = [g.question for g in seen.session.given if not g.question.startswith(BESIDES)]
    names = [name for name in asked_for if name != STORY]
    names += [c.name for c in coming.checks[:OPEN_OFFERED] if c.name not in names]
    while True:
        adapter.say("", 0, "")
        adapter.say("What if one thing were otherwise? Its number, or Enter to go on.", 0, STRONG)
        for place, name in enumerate(names, start=1):
            adapter.say(f"{place}  {question(name, rules.rulebook, rules.asking).asks}", 2, "")
        typed = clean(adapter.ask("what_if", (), ())).lower()[:LONGEST_ANSWER]
        if typed in ENDS:
            return
        if not typed.isdigit() or not 1 <= int(typed) <= len(names):
            adapter.say(f"Type a number from 1 to {len(names)}, or just Enter.", 2, WARNING)
            continue
        asked = question(names[int(typed) - 1], rules.rulebook, rules.asking)
        put_question(adapter, asked)
        reply = read_reply(
            adapter.ask("what_if_answer", completions(asked), parts(asked)),
            asked,
            rules.rulebook.vocabulary,
            seen.session.told(),
        )
        if isinstance(reply, Answered | NotSure):
            tells = reply.tells if isinstance(reply, Answered) else ()
            try:
                then = belief_state(rules, give(seen.session, Given(asked.name, tells, reply.said)))
            except ValueError as error:
                adapter.say(f"That cannot be: {first_line(error)}", 2, WARNING)
                continue
            show_standing(talk, then, seen.inferred.beliefs)
        elif isinstance(reply, Unclear):
            adapter.say(reply.sentence, 2, WARNING)
