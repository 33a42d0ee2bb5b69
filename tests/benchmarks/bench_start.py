"""Wall time of the whole command on a bundled case, against the bare imports it is built on.

Both are started in turn, many times, in one run; the ratio of the medians is what to quote. Both
may keep their compiled modules, as an installed program does.
Run: python tests/benchmarks/bench_start.py [CASE]
"""

from __future__ import annotations

import os
import statistics
import subprocess
import sys
import time
from pathlib import Path

ROUNDS = 21
#: The case of the README: no estimates are made for it.
README_CASE = "glaze-room-jar-after-new-moss.yaml"
BARE = (
    "import collections, collections.abc; collections.Mapping = collections.abc.Mapping; "
    "import experta, rich, pydantic, yaml"
)
#: What the libraries cost once they are used at all: a model of one field, and one printed line.
AT_WORK = (
    BARE
    + """
from pydantic import BaseModel
from rich.console import Console
class Jar(BaseModel):
    volume_l: float
Console().print(f"a jar of {Jar(volume_l=6.0).volume_l} L")
"""
)


def seconds(command: list[str]) -> float:
    """Wall time of one run of a command, output thrown away."""
    kept = {k: v for k, v in os.environ.items() if k != "PYTHONDONTWRITEBYTECODE"}
    start = time.perf_counter()
    subprocess.run(
        command, check=True, stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL, env=kept
    )
    return time.perf_counter() - start


def main() -> None:
    """Prints median wall times and their ratios to the bare imports."""
    cases = Path(__file__).parents[2] / "cases"
    case = sys.argv[1] if len(sys.argv) > 1 else str(cases / README_CASE)
    python = sys.executable
    commands = {
        "bare imports": [python, "-c", BARE],
        "libraries at work": [python, "-c", AT_WORK],
        "triage, terminal": [python, "-m", "diagnose", "triage", case],
        "triage, json": [python, "-m", "diagnose", "triage", case, "--format", "json"],
        "--help": [python, "-m", "diagnose", "--help"],
    }
    for command in commands.values():
        seconds(command)
    runs: dict[str, list[float]] = {name: [] for name in commands}
    for _ in range(ROUNDS):
        for name, command in commands.items():
            runs[name].append(seconds(command))
    bare = statistics.median(runs["bare imports"])
    for name, times in runs.items():
        median = statistics.median(times)
        print(f"{name:20} {median * 1000:7.1f} ms   {median / bare:5.2f} x bare imports")


if __name__ == "__main__":
    main()
