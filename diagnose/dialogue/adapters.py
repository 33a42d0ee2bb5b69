"""Who is asked: a terminal, a plain stream of lines, or a file of answers."""

from __future__ import annotations

import os
import re
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING, TextIO

from diagnose.dialogue.state import DEAD, FIRST_BODY, LIVING, OVER, STORY, STORY_RIGHT

if TYPE_CHECKING:
    from rich.console import Console

NARROWEST, WIDEST = 30, 80
MAX_ANSWERS_BYTES = 1_000_000
#: Names that an answers file may use besides those of the vocabulary and `equipment:...`.
OPENING_NAMES = (STORY, STORY_RIGHT, DEAD, OVER, LIVING, FIRST_BODY)
PROMPT = "> "
STRONG, QUIET, WARNING = "bold", "dim", "yellow"
_LINE = re.compile(r"(?P<name>[a-z][a-z0-9_]*(?::[a-z][a-z-]*)?)\s*:\s+(?P<typed>.*)")


@dataclass(frozen=True)
class Adapter:
    """ask(name, words, several): the line typed for a question; words are offered for completion,
    several names the choices of which more than one may hold. Raises EOFError when nobody will
    answer any more. say(text, indent, style): one paragraph. plain: no bars, one line a thing.
    live: somebody is there who may be asked what to do next. unasked: names that had an answer
    ready and were never asked.
    """

    ask: Callable[[str, Sequence[str], Sequence[str]], str]
    say: Callable[[str, int, str], None]
    plain: bool
    live: bool
    unasked: Callable[[], tuple[str, ...]] = tuple


def terminal_adapter(console: Console) -> Adapter:
    """A person at a terminal, with line editing, history and completion."""
    from prompt_toolkit import PromptSession
    from prompt_toolkit.completion import WordCompleter

    prompts: PromptSession[str] = PromptSession(reserve_space_for_menu=4)

    def ask(name: str, words: Sequence[str], several: Sequence[str]) -> str:
        return prompts.prompt(
            PROMPT,
            completer=WordCompleter(list(words), ignore_case=True, sentence=True),
            complete_while_typing=False,
        )

    def say(text: str, indent: int, style: str) -> None:
        columns = os.get_terminal_size().columns if console.is_terminal else WIDEST
        console.width = max(NARROWEST, min(columns, WIDEST))
        _print(console, text, indent, style)

    return Adapter(ask, say, plain=False, live=True)


def plain_adapter(source: TextIO, console: Console) -> Adapter:
    """Line by line from a stream, nothing redrawn: a pipe, a screen reader, a slow line."""

    def ask(name: str, words: Sequence[str], several: Sequence[str]) -> str:
        console.file.write(PROMPT)
        console.file.flush()
        line = source.readline()
        if not source.isatty():
            console.file.write("\n")
        if not line:
            raise EOFError
        return line.rstrip("\r\n")

    return Adapter(
        ask, lambda text, indent, style: _print(console, text, indent, ""), plain=True, live=True
    )


def answers_adapter(answers: dict[str, str], console: Console) -> Adapter:
    """Plays answers in, by the name of the question; each is given once, and what has none is
    answered `not sure`.
    """
    left = dict(answers)

    def ask(name: str, words: Sequence[str], several: Sequence[str]) -> str:
        typed = left.pop(name, None)
        if typed is None:
            typed = "" if name == STORY else _from_parts(left, several)
        console.file.write(f"{PROMPT}{typed}\n")
        return typed

    return Adapter(
        ask,
        lambda text, indent, style: _print(console, text, indent, ""),
        plain=True,
        live=False,
        unasked=lambda: tuple(left),
    )


def _from_parts(left: dict[str, str], several: Sequence[str]) -> str:
    """The answer to a choice of several, from answers to its parts."""
    said = {name: left.pop(name).lower() for name in several if name in left}
    places = {name: str(place) for place, name in enumerate(several, start=1)}
    yes = [places[name] for name, word in said.items() if word in ("y", "yes", "present")]
    no = [places[name] for name, word in said.items() if word in ("n", "no", "absent")]
    return " ".join([*yes, *(["not", *no] if no else [])]) or "not sure"


def _print(console: Console, text: str, indent: int, style: str) -> None:
    from rich.text import Text

    for line in Text(text, style=style).wrap(console, console.width - indent):
        line.rstrip()
        console.print(Text(" " * indent).append_text(line), highlight=False, no_wrap=True)


def read_answers(file: Path, names: Sequence[str]) -> dict[str, str]:
    """A file of answers: one `name: what you would type` a line, `#` before a remark.

    Raises ValueError with the line, what is wrong and what would be right.
    """
    if file.stat().st_size > MAX_ANSWERS_BYTES:
        raise ValueError(f"{file}: larger than 1 MB, and that is no file of answers.")
    try:
        text = file.read_bytes().decode("utf-8-sig")
    except UnicodeDecodeError:
        raise ValueError(f"{file}: not UTF-8 text. Save it as UTF-8.") from None
    answers: dict[str, str] = {}
    for number, line in enumerate(text.splitlines(), start=1):
        if not line.strip() or line.lstrip().startswith("#"):
            continue
        found = _LINE.fullmatch(line.strip())
        if found is None:
            raise ValueError(
                f"{file}, line {number}: no answer. Write `name: what you would type`, "
                f"as `{DEAD}: 3 of 12`."
            )
        name = found["name"]
        if name not in names:
            raise ValueError(f"{file}, line {number}: {_unknown(name, names)}")
        if name in answers:
            raise ValueError(f"{file}, line {number}: `{name}` is answered twice. Keep one.")
        answers[name] = found["typed"].strip()
    return answers


def _unknown(name: str, names: Sequence[str]) -> str:
    from difflib import get_close_matches

    near = get_close_matches(name, names, n=2)
    hint = (
        f"Did you mean {' or '.join(f'`{n}`' for n in near)}?"
        if near
        else ("`bowlside case schema` lists the names under `told`.")
    )
    return f"no question is called `{name}`. {hint}"
