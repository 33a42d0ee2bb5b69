"""Who is asked: a terminal, a plain stream of lines, or a file of answers."""

from __future__ import annotations

import os
import re
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING, TextIO

from diagnose.session.state import DEAD, FIRST_BODY, LIVING, OVER, STORY

if TYPE_CHECKING:
    from rich.console import Console

NARROWEST, WIDEST = 30, 80
MAX_ANSWERS_BYTES = 1_000_000
#: Names that an answers file may use besides those of the vocabulary and `equipment:...`.
OPENING_NAMES = (STORY, DEAD, OVER, LIVING, FIRST_BODY)
_LINE = re.compile(r"(?P<name>[a-z][a-z0-9_]*(?::[a-z][a-z-]*)?)\s*:\s+(?P<typed>.*)")


@dataclass(frozen=True)
class Voice:
    """ask(name, prompt, words): the line typed for a question, with words offered for completion;
    raises EOFError when nobody will answer any more. say(text, indent, style): one paragraph.
    plain: no bars, one line a thing. live: somebody is there who may be asked what to do next.
    """

    ask: Callable[[str, str, Sequence[str]], str]
    say: Callable[[str, int, str], None]
    plain: bool
    live: bool


def terminal_voice(console: Console) -> Voice:
    """A person at a terminal, with line editing, history and completion."""
    from prompt_toolkit import PromptSession
    from prompt_toolkit.completion import WordCompleter
    from prompt_toolkit.formatted_text import AnyFormattedText

    prompts: PromptSession[str] = PromptSession(reserve_space_for_menu=4)

    def ask(name: str, prompt: str, words: Sequence[str]) -> str:
        shown: AnyFormattedText = [("", prompt)]
        return prompts.prompt(
            shown,
            completer=WordCompleter(list(words), ignore_case=True, sentence=True),
            complete_while_typing=False,
        )

    def say(text: str, indent: int, style: str) -> None:
        columns = os.get_terminal_size().columns if console.is_terminal else WIDEST
        console.width = max(NARROWEST, min(columns, WIDEST))
        _print(console, text, indent, style)

    return Voice(ask, say, plain=False, live=True)


def plain_voice(source: TextIO, console: Console) -> Voice:
    """Line by line from a stream, nothing redrawn: a pipe, a screen reader, a slow line."""

    def ask(name: str, prompt: str, words: Sequence[str]) -> str:
        console.file.write(prompt)
        console.file.flush()
        line = source.readline()
        if not source.isatty():
            console.file.write("\n")
        if not line:
            raise EOFError
        return line.rstrip("\r\n")

    return Voice(ask, lambda text, indent, style: _print(console, text, indent, ""), True, True)


def answers_voice(answers: dict[str, str], console: Console) -> Voice:
    """Plays answers in, by the name of the question; each is given once, and what has none is
    answered `not sure`.
    """
    left = dict(answers)

    def ask(name: str, prompt: str, words: Sequence[str]) -> str:
        typed = left.pop(name, "" if name == STORY else "not sure")
        console.file.write(f"{prompt}{typed}\n")
        return typed

    return Voice(ask, lambda text, indent, style: _print(console, text, indent, ""), True, False)


def _print(console: Console, text: str, indent: int, style: str) -> None:
    from rich.padding import Padding
    from rich.text import Text

    console.print(Padding(Text(text, style=style), (0, 0, 0, indent)), highlight=False)


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
