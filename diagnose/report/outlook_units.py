"""An outlook in the keeper's units, for everything that draws it; its data keep the program's."""

from __future__ import annotations

from dataclasses import replace

from diagnose.report.outlook_answer import AgainstLine, Day, MeasuredPoint, OutlookAnswer, Series
from diagnose.report.wording import Preference, fahrenheit

#: Degrees Fahrenheit in a degree Celsius.
F_PER_C = 9 / 5


def shown_in(answer: OutlookAnswer, prefer: Preference) -> OutlookAnswer:
    """The outlook with its temperatures in F for who prefers US units; nothing else in it has
    another unit there.
    """
    if prefer != "us":
        return answer
    return replace(
        answer,
        series=tuple(_series(one) if one.unit == "degC" else one for one in answer.series),
        against=tuple(_against(one) if one.unit == "degC" else one for one in answer.against),
        measured=tuple(_point(one) for one in answer.measured),
        read=tuple(_point(one) for one in answer.read),
    )


def _series(one: Series) -> Series:
    return replace(
        one,
        unit="F",
        limits=tuple(replace(edge, value=fahrenheit(edge.value)) for edge in one.limits),
        days=tuple(_day(day) for day in one.days),
    )


def _day(day: Day) -> Day:
    def turned(value: float | None) -> float | None:
        return None if value is None else fahrenheit(value)

    return Day(
        day.day,
        fahrenheit(day.low),
        fahrenheit(day.middle),
        fahrenheit(day.high),
        turned(day.changed_low),
        turned(day.changed_middle),
        turned(day.changed_high),
    )


def _against(one: AgainstLine) -> AgainstLine:
    return replace(
        one,
        unit="F",
        bias=F_PER_C * one.bias,
        error=F_PER_C * one.error,
        score=F_PER_C * one.score,
    )


def _point(one: MeasuredPoint) -> MeasuredPoint:
    if one.name != "temperature_c":
        return one
    return replace(
        one,
        value=fahrenheit(one.value),
        low=fahrenheit(one.low),
        middle=fahrenheit(one.middle),
        high=fahrenheit(one.high),
    )
