"""One setting from the first question to the written case: begins or resumes, talks, shows the
answer, lets things be varied, and writes the case file.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, replace
from datetime import datetime
from pathlib import Path

from diagnose.dialogue.adapters import QUIET, STRONG, WARNING, Adapter
from diagnose.dialogue.belief_state import SessionRules, belief_state
from diagnose.dialogue.journal import Kept, keep, last_unfinished, new_file
from diagnose.dialogue.replies import clean
from diagnose.dialogue.state import Session, ask_again, opening_question
from diagnose.dialogue.talk import (
    Ended,
    Talk,
    converse,
    show_standing,
    told_besides,
    which_answer,
)
from diagnose.dialogue.told_case import case_of, case_text
from diagnose.dialogue.what_if import what_if
from diagnose.findings.observed_case import observed_text, with_estimates
from diagnose.intake.carried import is_page
from diagnose.intake.case_file import tells_something
from diagnose.report.wording import Preference
from diagnose.uses.triage import CaseAnswer, triage_case

DONE = 0
LONGEST_FILE_NAME = 120
#: What may be asked for once the answer is there.
AFTERWARDS = ("change", "what if", "more")
WHY_STOPPED = {
    "firm": "The picture is firm; more questions would hardly change it.",
    "nothing left": "Nothing more that could be asked now is worth its minute.",
    "enough": "Here is the answer with what is known.",
}


@dataclass(frozen=True)
class Setting:
    """What a session needs from outside: its rules, the adapter, the folder of kept sessions, the
    clock, how to show an answer, where to write the case (when None, somebody is asked), and the
    folder with the container model's parameters (None makes no estimates).
    """

    rules: SessionRules
    adapter: Adapter
    folder: Path | None
    now: Callable[[], datetime]
    show: Callable[[CaseAnswer], None]
    save: Path | None = None
    prefer: Preference | None = None
    ranges_in: Path | None = None


def answer_of(
    rules: SessionRules,
    session: Session,
    prefer: Preference | None = None,
    ranges_in: Path | None = None,
) -> CaseAnswer:
    """The answer to a session: that of the case file it writes.

    ranges_in: the folder with the container model's parameters; None makes no estimates.
    """
    text = case_text(session, rules.rulebook.vocabulary)
    observed = observed_text(
        text.encode("utf-8"), session.name, rules.rulebook, now=session.started_at
    )
    if ranges_in is not None:
        observed = with_estimates(rules.rulebook, observed, ranges_in, now=session.started_at)
    return triage_case(rules.rulebook, observed, prefer)


def hold_session(setting: Setting, *, resume: bool = False) -> int:
    """Holds one setting; returns the exit code. Raises ValueError when there is none to resume."""
    now = setting.now().replace(second=0, microsecond=0)
    kept = _kept(setting, resume=resume)
    if resume and kept is not None:
        session = kept.session
        _say_where_one_was(setting, kept)
    else:
        session = Session(now, f"jar-{now:%Y-%m-%d}")
        _welcome(setting, kept)
    file = _file(setting, session, kept if resume else None)
    talk = Talk(setting.rules, setting.adapter, _keeper(setting, file), setting.now)
    ended = converse(talk, session)
    if ended.why == "paused":
        return _paused(setting, ended, file)
    return _finish(setting, talk, ended, file)


def _kept(setting: Setting, *, resume: bool) -> Kept | None:
    if setting.folder is None:
        if resume:
            raise ValueError("There is no folder to keep sessions in. Start anew: bowlside triage.")
        return None
    kept = last_unfinished(setting.folder, setting.rules.rulebook.vocabulary)
    if resume and kept is None:
        raise ValueError("No unfinished session is kept. Start one: bowlside triage.")
    return kept


def _file(setting: Setting, session: Session, resumed: Kept | None) -> Path | None:
    if resumed is not None:
        return resumed.file
    return new_file(setting.folder, session) if setting.folder is not None else None


def _welcome(setting: Setting, kept: Kept | None) -> None:
    say = setting.adapter.say
    say("A few questions, one at a time, in the order that matters.", 0, STRONG)
    say(
        "`not sure` is a good answer. Type `help` for what else you can say, `enough` for the "
        "answer at any time. Every answer is kept at once.",
        0,
        "",
    )
    if kept is not None and setting.adapter.live:
        say(
            f"An unfinished session of {kept.session.started_at:%Y-%m-%d %H:%M} is kept; "
            "`bowlside triage --resume` goes on with it.",
            0,
            QUIET,
        )


def _say_where_one_was(setting: Setting, kept: Kept) -> None:
    session = kept.session
    count = len(session.given)
    setting.adapter.say(
        f"Going on with the session of {session.started_at:%Y-%m-%d %H:%M}. "
        f"{count} answer{'' if count == 1 else 's'} kept; `so far` lists them.",
        0,
        STRONG,
    )
    if not opening_question(session, setting.rules.asking):
        talk = Talk(setting.rules, setting.adapter, lambda s: None, setting.now)
        show_standing(talk, belief_state(setting.rules, session), None)


def _keeper(setting: Setting, file: Path | None) -> Callable[[Session], None]:
    """Keeps each answer on disk; a folder that cannot be written is said once, and no reason to
    stop.
    """
    failed: list[str] = []

    def keep_it(session: Session) -> None:
        if file is None or failed:
            return
        try:
            keep(session, file)
        except OSError as error:
            failed.append(str(error))
            setting.adapter.say(
                f"The answers cannot be kept in {file.parent} "
                f"({(error.strerror or 'unknown reason').lower()}). The session goes on without.",
                0,
                WARNING,
            )

    return keep_it


def _paused(setting: Setting, ended: Ended, file: Path | None) -> int:
    setting.adapter.say("", 0, "")
    if file is not None and file.exists():
        setting.adapter.say("Kept. `bowlside triage --resume` goes on from here.", 0, STRONG)
    else:
        setting.adapter.say("Nothing was answered, so nothing is kept.", 0, "")
    return DONE


def _finish(setting: Setting, talk: Talk, ended: Ended, file: Path | None) -> int:
    session, adapter = ended.seen.session, setting.adapter
    vocabulary = setting.rules.rulebook.vocabulary
    adapter.say("", 0, "")
    if not tells_something(case_of(session, vocabulary)):
        adapter.say(
            "Nothing was told that an answer could rest on. Look at the animals for a minute, and "
            "ask everyone what was done in the last two weeks; then start anew.",
            0,
            STRONG,
        )
        return DONE
    adapter.say(WHY_STOPPED[ended.why], 0, STRONG)
    unasked = adapter.unasked()
    if unasked:
        adapter.say(f"Answered but never asked, so not used: {', '.join(unasked)}.", 0, WARNING)
    result = _shown(setting, session)
    try:
        while adapter.live:
            ended, changed = _afterwards(talk, ended)
            if not changed:
                break
            session = ended.seen.session
            result = _shown(setting, session)
        saved = _write(setting, session, result)
    except (EOFError, KeyboardInterrupt):
        saved = False
        adapter.say("", 0, "")
    if adapter.live:
        _steps_again(adapter, result)
    if file is not None:
        try:
            keep(session, file, finished=True)
        except OSError:
            return DONE
        if not saved:
            adapter.say(f"The answers are kept in {file}.", 0, QUIET)
    return DONE


def _shown(setting: Setting, session: Session) -> CaseAnswer:
    setting.adapter.say("", 0, "")
    result = answer_of(setting.rules, session, setting.prefer, setting.ranges_in)
    setting.show(result)
    return result


def _afterwards(talk: Talk, ended: Ended) -> tuple[Ended, bool]:
    """What the keeper wants after the answer: nothing more, one thing tried otherwise, or an answer
    mended, which is kept; and whether that was done. Raises EOFError when nobody is there.
    """
    adapter = talk.adapter
    while True:
        adapter.say("", 0, "")
        adapter.say("Enter to finish.", 0, STRONG)
        adapter.say(
            "`change` mends an answer and reckons anew, `what if` tries one thing otherwise, "
            "`more` asks on; what else you know can be typed as it is.",
            2,
            QUIET,
        )
        typed = clean(adapter.ask("afterwards", AFTERWARDS, ()))
        word, _, rest = typed.lower().partition(" ")
        if word == "change":
            name = which_answer(talk, ended.seen.session, rest)
            if name:
                return _went_on(
                    converse(talk, ask_again(ended.seen.session, name), one_only=True)
                ), True
        elif word == "more":
            then = _went_on(converse(talk, ended.seen.session))
            if then.seen.session != ended.seen.session:
                return then, True
            adapter.say(WHY_STOPPED[then.why], 2, "")
        elif word == "what":
            what_if(talk, ended.seen)
        elif word in ("", "no", "n", "none", "done", "enough", "quit", "pause", "finish"):
            return ended, False
        else:
            ways = f"Type Enter, one of {', '.join(AFTERWARDS)}, or what else you know."
            seen = told_besides(talk, belief_state(talk.rules, ended.seen.session), typed, ways)
            if seen is not None:
                return Ended(seen, "enough"), True


def _went_on(ended: Ended) -> Ended:
    """The end of a further conversation. Raises EOFError if nobody was there any more."""
    if ended.why == "paused":
        raise EOFError
    return ended


def _steps_again(adapter: Adapter, result: CaseAnswer) -> None:
    """What to do now, once more and last, so that it is what stays on the screen."""
    steps = [step for step in result.answer.steps if step.phase == "now"]
    if steps:
        adapter.say("", 0, "")
        adapter.say("To do now:", 0, STRONG)
    for place, step in enumerate(steps, start=1):
        adapter.say(f"{place}  {step.title}", 2, "")


def _write(setting: Setting, session: Session, result: CaseAnswer) -> bool:
    """Writes the case file, or the page that carries it, where the keeper says, and tells how to
    ask again.
    """
    adapter = setting.adapter
    if setting.save is not None:
        _write_new(setting.save, _text_for(setting, session, result, setting.save))
        adapter.say(f"Written: {setting.save}.", 0, "")
        return True
    if not adapter.live:
        return False
    while True:
        adapter.say("", 0, "")
        adapter.say("Write all this down as a case file, or as a page to hand over?", 0, STRONG)
        adapter.say(
            f"a name: front-jar.yaml, or front-jar.html; Enter for {session.name}.yaml; no",
            2,
            QUIET,
        )
        typed = clean(adapter.ask("save", (), ()))
        if typed.lower() in ("no", "n", "none", "not sure"):
            return False
        name = f"{session.name}.yaml" if typed.lower() in ("", "y", "yes") else typed
        if len(name) > LONGEST_FILE_NAME:
            adapter.say(f"Keep the name below {LONGEST_FILE_NAME} characters.", 2, WARNING)
            continue
        known = name.lower().endswith((".yaml", ".yml")) or is_page(name)
        file = Path(name if known else f"{name}.yaml").expanduser()
        try:
            _write_new(file, _text_for(setting, session, result, file))
        except (ValueError, OSError) as error:
            adapter.say(_why_not(file, error), 2, WARNING)
            continue
        adapter.say(f"Written: {file}. `bowlside triage {file}` gives the same answer.", 0, "")
        return True


def _text_for(setting: Setting, session: Session, result: CaseAnswer, file: Path) -> str:
    """The page for a file of that ending, else the case file."""
    if is_page(file.name):
        from diagnose.uses.triage_page import triage_page

        return triage_page(result)
    return case_text(_named(session, file), setting.rules.rulebook.vocabulary)


def _why_not(file: Path, error: Exception) -> str:
    if isinstance(error, OSError):
        return f"{file}: cannot be written: {(error.strerror or 'unknown reason').lower()}."
    return str(error)


def _named(session: Session, file: Path) -> Session:
    """The session under the file's own name, as far as that is a plain one."""
    plain = "".join(c if c.isalnum() or c in "-_ " else "-" for c in file.stem).strip("-_ ")
    return replace(session, name=plain or session.name)


def _write_new(file: Path, text: str) -> None:
    """Writes a file that is not there yet. Raises ValueError when it is, or OSError."""
    try:
        with open(file, "x", encoding="utf-8") as stream:
            stream.write(text)
    except FileExistsError:
        raise ValueError(f"{file}: there is a file already; choose another name.") from None
