"""How fast the bowl model runs, in one run on one machine.

Prints: 200 members over 42 days; the same for half and twice the days and members (cost should
grow in proportion); and the time per member against scipy's `solve_ivp` at equal accuracy.

Equal accuracy: a tight LSODA run is the truth. Of each solver's tolerances those are taken that
reach the accuracy of ours, and among these the fastest. Its steps are as free as the hourly
forcing allows: it is restarted at every hour, since the forcing jumps there. Both sides evaluate
the same rates. Run: python tests/benchmarks/bench_bowl.py
"""

from __future__ import annotations

import statistics
import sys
import time
from collections.abc import Callable
from pathlib import Path

sys.path.insert(0, str(Path(__file__).parents[2]))

import numpy as np

from diagnose.bowl import chemistry
from diagnose.bowl.capacity import capacity
from diagnose.bowl.estimates import estimates
from diagnose.bowl.routine import with_habits
from diagnose.bowl.simulate import Run, simulate
from tests.bowl_jars import (
    Reference,
    feeding_and_loss,
    integrate_outside,
    jar,
    members,
)

DAY = 24
ROUNDS = 5
COMPARED_DAYS = 5
JUDGED = range(chemistry.OXYGEN, chemistry.FILM + 1)


def seconds(run: Callable[[], object], rounds: int = ROUNDS) -> float:
    """Median wall time of a call."""
    taken = []
    for _ in range(rounds):
        start = time.perf_counter()
        run()
        taken.append(time.perf_counter() - start)
    return statistics.median(taken)


def model(days: int, count: int) -> Callable[[], Run]:
    """A run of a jar with its keeper's habits, two thirds of it to come."""
    bowl, drawn = jar(), members(count)
    past = -days * DAY // 3
    events = with_habits(bowl, (), past, past + days * DAY)
    return lambda: simulate(bowl, events, past, past + days * DAY, drawn)


def error(pools_mg: np.ndarray, truth: Reference) -> float:
    """Largest difference at any hour, as a share of the largest value the quantity reached."""
    worst = 0.0
    for row in JUDGED:
        theirs = truth.pools_mg[1:, row]
        off = np.abs(pools_mg[1:, row] - theirs).max() / np.abs(theirs).max()
        worst = max(worst, float(off))
    return worst


def compare() -> None:
    """Time per member of ours and of `solve_ivp` at the accuracy of ours."""
    bowl, one = jar(), members(1)
    hours = COMPARED_DAYS * DAY
    truth = integrate_outside(bowl, one, hours, rtol=1e-10, atol=1e-11)
    many = members(200)
    events = feeding_and_loss(bowl)
    ours = seconds(lambda: simulate(bowl, events, 0, hours, many)) / 200
    reached = error(simulate(bowl, events, 0, hours, one).pools_mg[:, :, 0], truth)
    print(f"ours: {1e3 * ours:.3f} ms a member for {COMPARED_DAYS} days, error {reached:.2e}")
    best: tuple[float, str] | None = None
    for method in ("RK23", "RK45", "LSODA"):
        for tolerance in (1e-2, 1e-3, 1e-4, 1e-5, 1e-6):

            def outside(method: str = method, tolerance: float = tolerance) -> Reference:
                return integrate_outside(bowl, one, hours, method, tolerance, 1e-3 * tolerance)

            off = error(outside().pools_mg, truth)
            if off <= max(reached, 1e-12):
                taken = seconds(outside, 3)
                name = f"{method}, rtol {tolerance:g}"
                print(f"  {name}: {1e3 * taken:.1f} ms, error {off:.2e}")
                if best is None or taken < best[0]:
                    best = taken, name
                break
    if best is None:
        print("No tolerance tried reached that accuracy.")
        return
    print(f"solve_ivp ({best[1]}) over ours, per member: {best[0] / ours:.0f} times")


def main() -> None:
    """Prints all figures."""
    base = seconds(model(42, 200))
    print(f"200 members x 42 days: {base:.2f} s")
    for days, count in ((21, 200), (84, 200), (42, 400), (42, 1600), (42, 3200)):
        taken = seconds(model(days, count), 3)
        work = days * count / (42 * 200)
        print(
            f"{count} members x {days} days: {taken:.2f} s, {taken / base:.2f} for {work:g} times"
        )
    past = model(21, 200)
    whole = seconds(lambda: estimates(past()))
    print(f"estimates for a triage (200 members x 21 days): {whole:.2f} s")
    print(f"capacity: {seconds(lambda: capacity(jar(), members(200)), 3):.2f} s")
    compare()


if __name__ == "__main__":
    main()
