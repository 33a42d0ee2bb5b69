"""How long it takes to read a case file, to observe it, and to infer from it.

Run as `python -m tests.benchmarks.bench_findings` from the root of the project. Each worked case is
taken five times and its quickest run counts; the ratios are to the inference of the same run.
"""

from __future__ import annotations

import time
from collections.abc import Callable
from statistics import mean

from diagnose.findings.observed_case import observed_in
from diagnose.inference.engine import Inference
from diagnose.intake.case_file import read_case
from diagnose.rulebook.loading import load_rulebook
from diagnose.rulebook.places import bundled
from tests.observed import ASKED_AT
from tests.worked_files import worked_files

RUNS = 5


def quickest(work: Callable[[], object]) -> float:
    """Seconds of the quickest of five runs."""
    times = []
    for _ in range(RUNS):
        start = time.perf_counter()
        work()
        times.append(time.perf_counter() - start)
    return min(times)


def main() -> None:
    """Prints the mean time of each step over the worked cases, and its ratio to inference."""
    rulebook = load_rulebook(bundled("knowledge"))
    read, observe, infer = [], [], []
    for file in worked_files():
        data = file.read_bytes()

        def reading(data: bytes = data, name: str = file.name) -> object:
            return read_case(data, name, ASKED_AT, vocabulary=rulebook.vocabulary)

        case = read_case(data, file.name, ASKED_AT, vocabulary=rulebook.vocabulary)
        found = observed_in(case, rulebook, now=case.asked_at or ASKED_AT)
        names = [item.name for item in found]
        read.append(quickest(reading))
        observe.append(quickest(lambda case=case: observed_in(case, rulebook, now=ASKED_AT)))
        infer.append(quickest(lambda n=names, f=found: Inference(rulebook, n).run(f)))
    base = mean(infer)
    for title, taken in (("reading", read), ("observing", observe), ("inference", infer)):
        spent = mean(taken)
        print(f"{title:10s} {1000 * spent:7.2f} ms a case, {spent / base:5.2f} x inference")


if __name__ == "__main__":
    main()
