"""The options that several commands share, and what they stand for."""

from __future__ import annotations

import argparse
import os
import sys
from pathlib import Path
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from diagnose.log.as_case import LoggedFile
    from diagnose.rulebook.terms import Rulebook

    Subcommands = argparse._SubParsersAction[argparse.ArgumentParser]

#: Every shared option, as argparse takes it. A command names those it takes.
SHARED: dict[str, dict[str, Any]] = {
    "file": {
        "metavar": "FILE",
        "type": Path,
        "nargs": "?",
        "help": "a case file, or the name of a logged container",
    },
    "--rulebook": {
        "metavar": "DIR",
        "type": Path,
        "action": "append",
        "default": [],
        "help": "a folder of your own rules, laid over the bundled ones",
    },
    "--format": {
        "choices": ("terminal", "json", "markdown", "html"),
        "default": "terminal",
        "help": "how to write the answer",
    },
    "--units": {
        "choices": ("metric", "us"),
        "help": "units in the answer (default: the case file's)",
    },
    "--answer-schema": {
        "action": "store_true",
        "help": "print the JSON Schema of --format json",
    },
    "--log": {
        "metavar": "LOG",
        "type": Path,
        "help": "the log to use (default: one in your data folder)",
    },
    "--no-outlook": {
        "action": "store_true",
        "help": "leave out the container model's next weeks",
    },
    "cases": {
        "metavar": "CASES",
        "type": Path,
        "nargs": "?",
        "help": "a folder of worked cases (default: the bundled ones)",
    },
}

#: How `--units` is taken by what has no case that says which it is told in.
METRIC = {"default": "metric", "help": "units in the answer (default: metric)"}


def take(command: argparse.ArgumentParser, *names: str, **otherwise: dict[str, Any]) -> None:
    """Adds shared options to a command; `otherwise` replaces parts of one, by its bare name."""
    for name in names:
        changed = otherwise.get(name.strip("-").replace("-", "_"), {})
        command.add_argument(name, **{**SHARED[name], **changed})


def rulebook_of(options: argparse.Namespace) -> Rulebook:
    """The bundled rulebook with the user's folders laid over it, kept ready in the user's cache."""
    from diagnose.rulebook.compiled import rulebook_of as compiled
    from diagnose.rulebook.places import bundled

    cache = os.environ.get("XDG_CACHE_HOME") or os.path.join(os.path.expanduser("~"), ".cache")
    keep_in = Path(cache) / "bowlside" / "rulebook.json" if not options.rulebook else None
    return compiled((bundled("knowledge"), *options.rulebook), keep_in)


def folders_of(options: argparse.Namespace) -> tuple[Path, ...]:
    """The folders of rules: the bundled one, and the user's laid over it."""
    from diagnose.rulebook.places import bundled

    return (bundled("knowledge"), *options.rulebook)


def told_text(file: str) -> tuple[bytes, str]:
    """The bytes of a text in plain words and a name for it; `-` is what comes in by a pipe."""
    if file == "-":
        return sys.stdin.buffer.read(), "story"
    return Path(file).read_bytes(), Path(file).stem


def log_file(options: argparse.Namespace) -> Path:
    """The log that is meant: the one named, else that in the user's data folder."""
    from platformdirs import user_data_path

    named: Path | None = options.log
    return named or user_data_path("bowlside", appauthor=False) / "shelf.log"


def case_file(options: argparse.Namespace, file: Path) -> Path | LoggedFile:
    """A case file, or a logged container of that name in its place. A file goes first."""
    if file.exists() or file.suffix or len(file.parts) > 1 or not log_file(options).exists():
        return file
    from datetime import datetime

    from diagnose.log.store import opened
    from diagnose.uses.log import logged_file

    with opened(log_file(options), create=False) as store:
        return logged_file(store, str(file), now=datetime.now())


def state_folder(name: str) -> Path:
    """Where the program keeps what it wrote for this user."""
    state = os.environ.get("XDG_STATE_HOME") or os.path.join(
        os.path.expanduser("~"), ".local", "state"
    )
    return Path(state) / "bowlside" / name
