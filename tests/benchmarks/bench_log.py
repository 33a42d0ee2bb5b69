"""What the log costs: a jot against `--help`, and the morning round as the shelf grows.

`python -m tests.benchmarks.bench_log` prints ratios measured in one run.
"""

from __future__ import annotations

import subprocess
import sys
import tempfile
import time
from datetime import datetime, timedelta
from pathlib import Path

from diagnose.log.entry import Jot
from diagnose.log.store import opened

DAYS, RUNS = 730, 3


def seconds(*arguments: str) -> float:
    """The best of some runs of the whole command."""
    best = float("inf")
    for _ in range(RUNS):
        start = time.perf_counter()
        subprocess.run(
            [sys.executable, "-m", "diagnose", *arguments], check=True, capture_output=True
        )
        best = min(best, time.perf_counter() - start)
    return best


def filled(file: Path, containers: int) -> None:
    """A shelf with two years of daily temperatures each."""
    now = datetime.now().replace(microsecond=0)
    days = [now - timedelta(days=day) for day in range(DAYS)]
    with opened(file) as store:
        for number in range(containers):
            jots = [Jot("reading", at, {"what": "temperature", "value": "22 C"}) for at in days]
            store.begin(f"jar-{number}", {"container": {"volume": "6 L"}}, jots, at=now, now=now)


def main() -> None:
    """Prints the ratios."""
    with tempfile.TemporaryDirectory() as folder:
        bare = seconds("--help")
        costs = []
        for containers in (25, 50, 100):
            log = Path(folder) / f"{containers}.log"
            filled(log, containers)
            costs.append((containers, seconds("round", "--log", str(log))))
        options = seconds("jot", "jar-0", "--log", str(log), "--reading", "temperature 22 C")
        words = seconds("jot", "--log", str(log), "jar-0", "changed 20 % of the water")
    print(f"--help {bare:.2f} s; a jot by options {options / bare:.1f} x it")
    print(f"a jot in words {words / bare:.1f} x it")
    for containers, cost in costs:
        each = 1000 * cost / containers
        print(f"round over {containers} containers: {cost:.2f} s, {each:.1f} ms each")


if __name__ == "__main__":
    main()
