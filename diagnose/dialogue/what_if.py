"""After the answer: one thing otherwise, and how the ranking would stand. Nothing of it stays."""

from __future__ import annotations

from diagnose.dialogue.mind import View, next_question, view
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
from diagnose.dialogue.voices import STRONG, WARNING

#: How many open questions are offered besides those that were answered.
OPEN_OFFERED = 6
#: What ends it, besides an empty line.
ENDS = ("", "no", "none", "n", "not sure", "enough", "done", "pause", "quit")


def what_if(talk: Talk, seen: View) -> None:
    """Lets the keeper change any one thing and see the ranking move. Nothing of it is kept."""
    voice, having = talk.voice, talk.having
    coming = next_question(having, view(having, seen.session))
    asked_for = [g.question for g in seen.session.given if not g.question.startswith(BESIDES)]
    names = [name for name in asked_for if name != STORY]
    names += [c.name for c in coming.checks[:OPEN_OFFERED] if c.name not in names]
    while True:
        voice.say("", 0, "")
        voice.say("What if one thing were otherwise? Its number, or Enter to go on.", 0, STRONG)
        for place, name in enumerate(names, start=1):
            voice.say(f"{place}  {question(name, having.rulebook, having.asking).asks}", 2, "")
        typed = clean(voice.ask("what_if", (), ())).lower()[:LONGEST_ANSWER]
        if typed in ENDS:
            return
        if not typed.isdigit() or not 1 <= int(typed) <= len(names):
            voice.say(f"Type a number from 1 to {len(names)}, or just Enter.", 2, WARNING)
            continue
        asked = question(names[int(typed) - 1], having.rulebook, having.asking)
        put_question(voice, asked)
        reply = read_reply(
            voice.ask("what_if_answer", completions(asked), parts(asked)),
            asked,
            having.rulebook.vocabulary,
            seen.session.told(),
        )
        if isinstance(reply, Answered | NotSure):
            tells = reply.tells if isinstance(reply, Answered) else ()
            try:
                then = view(having, give(seen.session, Given(asked.name, tells, reply.said)))
            except ValueError as error:
                voice.say(f"That cannot be: {first_line(error)}", 2, WARNING)
                continue
            show_standing(talk, then, seen.thought.beliefs)
        elif isinstance(reply, Unclear):
            voice.say(reply.sentence, 2, WARNING)
