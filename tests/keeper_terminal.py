"""A real pseudo-terminal with a keeper at it, and the screen as the keeper would see it."""

from __future__ import annotations

import os
import sys
import time
from pathlib import Path
from types import TracebackType

import pexpect
import pyte

ROOT = Path(__file__).resolve().parents[1]
PATIENCE_S = 20.0
#: What the prompt library sends when it is ready for a line (it turns bracketed paste on).
READY = "\x1b[?2004h"


class KeeperTerminal:
    """`bowlside triage` in a pseudo-terminal. `shown` is all that can be scrolled back to."""

    def __init__(
        self, home: Path, *options: str, columns: int = 80, rows: int = 30, **environment: str
    ) -> None:
        kept = {k: v for k, v in os.environ.items() if k in ("PATH", "LANG", "LC_ALL")}
        self.columns, self.rows = columns, rows
        self.screen = pyte.HistoryScreen(columns, rows, history=5000, ratio=0.5)
        self._stream = pyte.ByteStream(self.screen)
        self.raw = b""
        self._asked = 0
        self._child = pexpect.spawn(
            sys.executable,
            ["-m", "diagnose", "triage", *options],
            cwd=str(home),
            dimensions=(rows, columns),
            timeout=PATIENCE_S,
            env={
                **kept,
                "HOME": str(home),
                "XDG_STATE_HOME": str(home / "state"),
                "XDG_CACHE_HOME": str(home / "cache"),
                "PYTHONPATH": str(ROOT),
                "TERM": "xterm-256color",
                "PROMPT_TOOLKIT_NO_CPR": "1",
                **environment,
            },
        )

    def __enter__(self) -> KeeperTerminal:
        return self

    def __exit__(
        self,
        kind: type[BaseException] | None,
        error: BaseException | None,
        trace: TracebackType | None,
    ) -> None:
        self._child.close(force=True)

    @property
    def shown(self) -> str:
        above = [
            "".join(line[i].data for i in range(self.screen.columns)).rstrip()
            for line in self.screen.history.top
        ]
        return "\n".join([*above, *(line.rstrip() for line in self.screen.display)])

    def read(self, seconds: float = 0.1) -> bool:
        """Takes in what came; whether the program still runs."""
        try:
            data = self._child.read_nonblocking(65536, timeout=seconds)
        except pexpect.TIMEOUT:
            return True
        except pexpect.EOF:
            return False
        self.raw += data
        self._stream.feed(data)
        return True

    def until(self, text: str) -> str:
        """Waits until the screen shows a text, however it is broken into lines."""
        deadline = time.monotonic() + PATIENCE_S
        while text not in " ".join(self.shown.split()):
            alive = self.read()
            if not alive and text not in " ".join(self.shown.split()):
                raise AssertionError(f"ended without showing {text!r}:\n{self.shown}")
            if time.monotonic() > deadline:
                raise AssertionError(f"never showed {text!r}:\n{self.shown}")
        return self.shown

    def until_asked(self) -> None:
        """Waits for the next prompt."""
        deadline = time.monotonic() + PATIENCE_S
        while self.raw.count(READY.encode()) <= self._asked:
            if not self.read() or time.monotonic() > deadline:
                raise AssertionError(f"no prompt came:\n{self.shown}")
        self._asked = self.raw.count(READY.encode())

    def type(self, line: str) -> None:
        """Waits for the prompt and types a line."""
        self.until_asked()
        self._child.send(line.encode("utf-8", "surrogateescape") + b"\r")

    def press(self, keys: bytes) -> None:
        """Waits for the prompt and sends keys as they are."""
        self.until_asked()
        self._child.send(keys)

    def send(self, keys: bytes) -> None:
        self._child.send(keys)

    def resize(self, columns: int, rows: int) -> None:
        self._child.setwinsize(rows, columns)
        self.screen.resize(rows, columns)

    def kill(self) -> None:
        """Ends the program as a closed terminal or a power cut would: without a word."""
        import signal

        self._child.kill(signal.SIGKILL)
        self._child.wait()

    def ended(self) -> int:
        """Waits for the end and gives the exit code."""
        while self.read():
            pass
        self._child.close()
        return self._child.exitstatus if self._child.exitstatus is not None else -1
