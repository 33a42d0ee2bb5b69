"""The weeks of an outlook as a band for each quantity, with its limits, what was read and what
happened: the middle is a line, eight of ten runs lie in the shaded band, a limit is dashed, the
changed weeks are dotted, readings stand on their tip.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator

from diagnose.report.figures.svg import LETTER, ROW, WIDTH, Drawing, text_width
from diagnose.report.outlook_answer import MeasuredPoint, OutlookAnswer, Series
from diagnose.report.outlook_drawing import NOT_DRAWN, READ_IN, WEEK, window
from diagnose.report.wording import number, rounded

#: Height of the field that a course is drawn in, and room above it.
FIELD, ABOVE = 140.0, 6.0
#: Significant digits of the numbers at the edges of a field.
DIGITS = 3


def bands(answer: OutlookAnswer) -> Iterator[tuple[str, str]]:
    """A heading and a drawing for each quantity of the outlook, in the answer's own order."""
    for one in answer.series:
        if one.name not in NOT_DRAWN and one.days:
            unit = "C" if one.unit == "degC" else one.unit
            yield f"{one.title}{f' ({unit})' if unit else ''}", _band(one, answer, unit)


def _band(one: Series, answer: OutlookAnswer, unit: str) -> str:
    points = [p for p in (*answer.read, *answer.measured) if READ_IN.get(p.name) == one.name]
    days = [day.day for day in one.days]
    points = [point for point in points if days[0] <= point.day <= days[-1]]
    values = [value for day in one.days for value in (day.low, day.high)]
    values += [
        value
        for day in one.days
        for value in (day.changed_low, day.changed_high)
        if value is not None
    ]
    values += [point.value for point in points]
    low, high = window(values, [edge.value for edge in one.limits])
    drawing = Drawing(f"band-{one.name.replace('_', '-')}")
    drawing.words(_said(high, unit), 0.0, 0.0, "quiet")
    top = ROW + ABOVE

    def x(day: float) -> float:
        return 4.0 + (WIDTH - 8.0) * (day - days[0]) / max(1, days[-1] - days[0])

    def y(value: float) -> float:
        return top + FIELD * (high - value) / (high - low)

    upper = [(x(day.day), y(day.high)) for day in one.days]
    lower = [(x(day.day), y(day.low)) for day in reversed(one.days)]
    drawing.path([*upper, *lower], "band", closed=True)
    drawing.path([(x(0), top), (x(0), top + FIELD)], "now")
    for edge in one.limits:
        if low <= edge.value <= high:
            drawing.path([(x(days[0]), y(edge.value)), (x(days[-1]), y(edge.value))], "limit")
    drawing.path([(x(day.day), y(day.middle)) for day in one.days], "middle")
    changed = [
        (x(day.day), y(day.changed_middle)) for day in one.days if day.changed_middle is not None
    ]
    if changed:
        drawing.path(changed, "changed")
    for point in points:
        drawing.diamond(x(point.day), y(point.value), "reading")
    drawing.path([(x(days[0]), top + FIELD), (x(days[-1]), top + FIELD)], "edge")
    drawing.words(_said(low, unit), 0.0, top + FIELD + ABOVE, "quiet")
    marks = top + FIELD + ABOVE + ROW
    marks += ROW * _events(drawing, answer, days, x, marks)
    for day in days:
        if day % WEEK == 0:
            text = "now" if day == 0 else f"{day:+d}"
            half = text_width(text) / 2
            middle = min(max(x(day), half), WIDTH - half)
            drawing.words(text, middle, marks, "quiet", "middle")
    drawing.room(ABOVE)
    for text in _key(one, points, unit, (low, high), changed=bool(changed)):
        drawing.lines(text, 0.0, WIDTH, "quiet")
    return drawing.finished(one.title, _says(one, points, unit))


def _events(
    drawing: Drawing, answer: OutlookAnswer, days: list[int], x: Callable[[float], float], y: float
) -> bool:
    """The letters of events at their days, where there is room; whether there are any."""
    by_day: dict[int, str] = {}
    for event in answer.events:
        if days[0] <= event.day <= days[-1]:
            by_day.setdefault(event.day, event.mark)
    right = -LETTER
    for day, mark in sorted(by_day.items()):
        if x(day) - right >= LETTER:
            drawing.words(mark, x(day), y, "", "middle")
            right = x(day)
    return bool(by_day)


def _key(
    one: Series,
    points: list[MeasuredPoint],
    unit: str,
    shown: tuple[float, float],
    *,
    changed: bool,
) -> Iterator[str]:
    yield "Days from the asking. Band: 8 of 10 runs."
    for edge in one.limits:
        drawn = shown[0] <= edge.value <= shown[1]
        mark = "Dashed" if drawn else "Limit, not in sight"
        yield f"{mark}, {_said(edge.value, unit)}: {edge.text}."
    if changed:
        yield "Dotted: with the change."
    if points:
        yield "On their tips: what was read."


def _says(one: Series, points: list[MeasuredPoint], unit: str) -> str:
    said = [
        f"Day {day.day}: {_said(day.middle, unit)}, between {_said(day.low, unit)} and "
        f"{_said(day.high, unit)}"
        + (
            f"; with the change {_said(day.changed_middle, unit)}."
            if day.changed_middle is not None
            else "."
        )
        for day in one.days
        if day.day % WEEK == 0
    ]
    said += [f"Limit {_said(edge.value, unit)}: {edge.text}." for edge in one.limits]
    said += [f"Read on day {point.day:.0f}: {_said(point.value, unit)}." for point in points]
    return " ".join(said)


def _said(value: float, unit: str) -> str:
    return f"{number(rounded(value, DIGITS))} {unit}".rstrip()
