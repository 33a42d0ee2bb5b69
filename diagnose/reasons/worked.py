"""One worked number: what is said, and the bars that show it."""

from __future__ import annotations

from dataclasses import dataclass

from diagnose.report.wording import Preference, quantity, temperature_step

#: Shares below this are not told apart.
TOO_SMALL = 0.001


@dataclass(frozen=True, slots=True)
class Bar:
    """One bar of a drawing. mine: it stands for the container at hand."""

    label: str
    value: float
    shown: str
    mine: bool = False


@dataclass(frozen=True, slots=True)
class Worked:
    """A sum worked through: its name, the sentences that say it, bars to draw, and whose formula
    or figure it rests on.
    """

    id: str
    title: str
    says: tuple[str, ...]
    bars: tuple[Bar, ...]
    rests_on: str

    @property
    def longest(self) -> float:
        """The value of the longest bar; never 0."""
        return max((bar.value for bar in self.bars), default=0.0) or 1.0


def figure(value: float) -> str:
    """A number as it is said in a sentence: whole ones as they are, others to two digits, no
    exponent.
    """
    if value == round(value) or abs(value) >= 100.0:
        return f"{value:.0f}"
    rounded = float(f"{value:.2g}")
    return f"{rounded:.6f}".rstrip("0").rstrip(".")


def litres(volume_l: float, prefer: Preference) -> str:
    """A volume as the keeper says it."""
    return quantity(volume_l, "L", prefer)


def warmth(temperature_c: float, prefer: Preference) -> str:
    """A temperature as the keeper says it."""
    return quantity(temperature_c, "degC", prefer)


def step(difference_c: float, prefer: Preference) -> str:
    """A difference of temperatures as the keeper says it."""
    return temperature_step(difference_c, prefer)


def percent_of(share: float) -> str:
    """A share as percent, to two digits; one too small to matter is said to be under a tenth."""
    if 0.0 < share < TOO_SMALL:
        return f"under {figure(TOO_SMALL * 100)} %"
    return f"{figure(round(share * 100, 6))} %"


def count(value: float, one: str, many: str) -> str:
    """`1 animal`, `12 animals`."""
    return f"{figure(value)} {one if value == 1 else many}"


def hours(value_h: float) -> str:
    """A span as people say it: minutes below an hour, days from two days on."""
    if value_h < 1:
        return count(round(value_h * 60), "minute", "minutes")
    if value_h < 48:
        return count(float(f"{value_h:.2g}"), "hour", "hours")
    return count(float(f"{value_h / 24:.2g}"), "day", "days")


def near(values: tuple[float, ...], own: float, apart: float | None = None) -> tuple[float, ...]:
    """The values in order with one's own among them, in place of those close to it: nearer than
    `apart`, or than a tenth where that is not given.
    """
    kept = [
        value
        for value in values
        if abs(value - own) > (0.1 * max(abs(value), abs(own)) if apart is None else apart)
    ]
    return tuple(sorted((*kept, own)))
