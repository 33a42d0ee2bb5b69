"""Ratios of three engines on the same rules and the same observations, in one run.

typed against stock: our matcher against experta's own, both on a network of all rules, so that
only the matching differs. engine against CLIPS: what is shipped (a network of the rules that the
known observations can reach, built anew for each case, which is how the command uses it, and
all rules built once) against CLIPS holding all rules.

Everything is timed in turns, the worked cases and some generated ones; medians of the rounds.
Run: python -m tests.benchmarks.bench_inference [ROUNDS]
"""

from __future__ import annotations

import statistics
import sys
import time
from collections.abc import Callable
from datetime import datetime

from diagnose.findings.observation import Observation
from diagnose.findings.observed_case import observed_case
from diagnose.inference.engine import Inference
from diagnose.inference.experta_door import ReteMatcher
from diagnose.rulebook.loading import load_rulebook
from diagnose.rulebook.places import bundled
from tests.clips_rulebook import ClipsRulebook
from tests.supposed import any_observations
from tests.worked_files import worked_files

ROUNDS, GENERATED = 5, 32
ASKED = datetime(2026, 3, 14, 22, 30)
#: The stock matcher is slow; it is given the first of the cases only, and so is its rival.
FOR_THE_STOCK_MATCHER = 16

Case = list[Observation]


def seconds_a_case(run: Callable[[Case], object], cases: list[Case]) -> float:
    """Wall time of one pass over the cases, per case."""
    start = time.perf_counter()
    for case in cases:
        run(case)
    return (time.perf_counter() - start) / len(cases)


def main() -> None:
    """Prints medians and the two ratios."""
    rounds = int(sys.argv[1]) if len(sys.argv) > 1 else ROUNDS
    rulebook = load_rulebook(bundled("knowledge"))
    worked = [
        list(observed_case(file, rulebook, now=ASKED).observations) for file in worked_files()
    ]
    cases = [*worked, *(any_observations(rulebook, seed) for seed in range(GENERATED))]
    few = cases[:FOR_THE_STOCK_MATCHER]
    typed = Inference(rulebook, rulebook.vocabulary)
    stock = Inference(rulebook, rulebook.vocabulary, matcher=ReteMatcher)
    clips = ClipsRulebook(rulebook)

    def as_shipped(case: Case) -> object:
        return Inference(rulebook, [item.name for item in case]).run(case)

    lanes: dict[str, tuple[Callable[[Case], object], list[Case]]] = {
        "stock matcher, all rules": (stock.run, few),
        "typed matcher, all rules (same cases)": (typed.run, few),
        "typed matcher, all rules": (typed.run, cases),
        "reachable rules, built each time": (as_shipped, cases),
        "CLIPS, all rules": (clips.run, cases),
    }
    times: dict[str, list[float]] = {name: [] for name in lanes}
    for run, some in lanes.values():
        seconds_a_case(run, some[:4])
    for _ in range(rounds):
        for name, (run, some) in lanes.items():
            times[name].append(seconds_a_case(run, some))
    median = {name: statistics.median(found) for name, found in times.items()}
    print(f"{len(rulebook.evidence())} rules, {len(cases)} cases, {rounds} rounds")
    for name, seconds in median.items():
        print(f"{name:40} {seconds * 1000:8.2f} ms a case")
    faster = median["stock matcher, all rules"] / median["typed matcher, all rules (same cases)"]
    print(f"typed matcher: {faster:.1f} times as fast as the stock one")
    for name in ("typed matcher, all rules", "reachable rules, built each time"):
        slower = median[name] / median["CLIPS, all rules"]
        print(f"{name}: {slower:.1f} times the time of CLIPS")


if __name__ == "__main__":
    main()
