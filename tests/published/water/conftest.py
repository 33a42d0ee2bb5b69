"""How a figure of ours is held against a printed one."""

from __future__ import annotations

from collections.abc import Callable

import pytest

Meets = Callable[..., None]


def half_a_unit_in_the_last_place(printed: str) -> float:
    """Half of the last digit that was printed: 0.00005 for 0.0381, 0.5 for 17."""
    decimals = len(printed.partition(".")[2])
    return 0.5 * 10.0**-decimals


def meets_printed(ours: float, printed: str, tolerance: str = "") -> None:
    """Assert that `ours` rounds to `printed`, or is within a stated tolerance.

    `tolerance` is a number in the printed unit, or a share such as "0.015 relative".
    """
    expected = float(printed)
    if tolerance.endswith(" relative"):
        allowed = abs(expected) * float(tolerance.removesuffix(" relative"))
    elif tolerance:
        allowed = float(tolerance)
    else:
        allowed = half_a_unit_in_the_last_place(printed)
    slack = 1e-9 * max(1.0, abs(expected))  # a tie is a tie, whatever binary makes of it
    difference = abs(ours - expected)
    assert difference <= allowed + slack, f"ours {ours:.8g}, printed {printed}, allowed {allowed:g}"


@pytest.fixture
def meets() -> Meets:
    return meets_printed
