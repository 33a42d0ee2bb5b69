"""What estimates do to diagnoses, and what they cost.

Accuracy: the worked cases with every reading removed, then with half of what was told forgotten as
well, then with nothing left but the container, stock, log and deaths; and how often estimates
meet the readings they were not given. Time: the whole command on one case with estimates and
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

from diagnose.audit.readings_removed import LEFT, Pair, met, pairs  # noqa: E402
from diagnose.rulebook.loading import load_rulebook  # noqa: E402
from diagnose.rulebook.places import bundled  # noqa: E402
from tests.worked_files import ASKED  # noqa: E402

ROUNDS = 7
#: A container of which enough is told for every estimate but the warmth.
CASE = "two-hundred-and-fifty-in-the-big-vase.yaml"


def accuracy(title: str, found: list[Pair]) -> None:
    """Prints first, first three, mean belief in what is right and log loss, without and with."""
    print(f"{title}: {len(found)} cases, {sum(one.estimated for one in found)} with estimates")
    for words, trials in (
        ("without", [one.without for one in found]),
        ("with", [one.with_estimates for one in found]),
    ):
        print(
            f"  {words:8} first {statistics.mean(t.right for t in trials):.1%}   "
            f"first three {statistics.mean(t.place <= 3 for t in trials):.1%}   "
            f"belief in what is right {statistics.mean(t.belief_in_right for t in trials):.4f}   "
            f"log loss {statistics.mean(t.log_loss for t in trials):.4f}"
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
    folders = (bundled("cases"), bundled("knowledge"))
    tried = {left: list(pairs(rulebook, *folders, now=ASKED, left=left)) for left in LEFT}
    for left, found in tried.items():
        accuracy(f"Readings removed, left: {left}", found)
    for one in met(rulebook, bundled("cases"), tried["all"], now=ASKED):
        print(f"  {one.name:20} {one.within} of {one.measured} readings met, "
              f"{one.above} above, {one.below} below")  # fmt: skip
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
