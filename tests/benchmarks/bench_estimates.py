"""What estimates do to diagnoses, and what they cost.

Accuracy: the worked cases with every reading removed, and once more with nothing left but the
container, its stock, its log and the deaths. Time: the whole command on one case with estimates and
without, in turn in one run.
Run: python tests/benchmarks/bench_estimates.py [CASE]
"""

from __future__ import annotations

import statistics
import subprocess
import sys
import time
from pathlib import Path

ROOT = Path(__file__).parents[2]
sys.path.insert(0, str(ROOT))

from diagnose.places import bundled  # noqa: E402
from diagnose.rulebook.loading import load_rulebook  # noqa: E402
from tests.stripped_cases import Fared, fared, log_loss, stripped, worked_files  # noqa: E402

ROUNDS = 7
#: A container of which enough is told for every estimate but the warmth.
CASE = "two-hundred-and-fifty-in-the-big-vase.yaml"


def accuracy(title: str, found: list[Fared]) -> None:
    """Prints first, first three, mean belief in what is right and log loss, without and with."""
    print(f"{title}: {len(found)} cases, {sum(f.estimated for f in found)} with estimates")
    for words, places, beliefs in (
        ("without", [f.place_without for f in found], [f.belief_without for f in found]),
        ("with", [f.place_with for f in found], [f.belief_with for f in found]),
    ):
        first = sum(p == 0 for p in places) / len(places)
        three = sum(p < 3 for p in places) / len(places)
        print(
            f"  {words:8} first {first:.1%}   first three {three:.1%}   "
            f"belief in what is right {statistics.mean(beliefs):.4f}   "
            f"log loss {log_loss(beliefs):.4f}"
        )


def seconds(*extra: str) -> float:
    """Wall time of one run of the command, output thrown away."""
    command = [sys.executable, "-m", "diagnose", "triage", *extra]
    start = time.perf_counter()
    subprocess.run(command, check=True, stdout=subprocess.DEVNULL, cwd=ROOT)
    return time.perf_counter() - start


def main() -> None:
    """Prints the accuracies and the times."""
    rulebook = load_rulebook(bundled("knowledge"))
    for title, also_seen in (("readings removed", False), ("only the log left", True)):
        found = [
            one
            for file in worked_files()
            if (one := fared(rulebook, stripped(rulebook, file, also_seen=also_seen), file))
        ]
        accuracy(title, found)
    case = sys.argv[1] if len(sys.argv) > 1 else str(bundled("cases") / CASE)
    runs: dict[str, list[float]] = {"without": [], "with": []}
    for _ in range(ROUNDS):
        runs["without"].append(seconds(case, "--no-estimates"))
        runs["with"].append(seconds(case))
    without, with_them = (statistics.median(runs[name]) for name in ("without", "with"))
    print(f"triage without estimates {without:.2f} s, with {with_them:.2f} s: "
          f"{with_them - without:+.2f} s (at most +1)")  # fmt: skip


if __name__ == "__main__":
    main()
