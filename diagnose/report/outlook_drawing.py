"""The outlook drawn in the terminal, 80 columns wide, readable without colour.

Needs plotext, imported only here and only when something is drawn.
"""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any, Final

from diagnose.report.outlook_answer import OutlookAnswer, Series

WIDTH: Final = 80
HEIGHT: Final = 13
MIDDLE, EDGE, LIMIT, CHANGED, NOW = "o", ".", "-", "x", "|"
READ, MEASURED = "*", "+"
#: In which drawing a reading is marked.
READ_IN: Final = {
    "temperature_c": "temperature_c",
    "oxygen_mg_l": "oxygen_dawn_mg_l",
    "tan_mg_l": "tan_mg_l",
    "nitrite_mg_l": "nitrite_mg_l",
    "nitrate_n_mg_l": "nitrate_mg_l",
}
WEEK: Final = 7
#: The frame in characters that every terminal and screen reader knows.
FRAME: Final = str.maketrans("┌┐└┘┬┴├┤┼─│", "+++++++++-|")
#: Quantities left to JSON and CSV: total ammonia is drawn by its harmful part.
NOT_DRAWN: Final = ("tan_mg_l",)
LEGEND: Final = (
    f"{MIDDLE} middle   {EDGE} eight of ten runs lie between   {LIMIT} limit   {NOW} now"
)


def drawing(answer: OutlookAnswer) -> Iterator[str]:
    """Lines of text: a chart for each quantity and the events by their letters."""
    import plotext

    legend = LEGEND + (f"   {CHANGED} changed" if answer.what_if else "")
    yield legend
    if answer.read or answer.measured:
        held = f"   {MEASURED} held against it" if answer.measured else ""
        yield f"{READ} read, as logged{held}"
    for one in answer.series:
        if one.name in NOT_DRAWN:
            continue
        yield ""
        unit = "C" if one.unit == "degC" else one.unit
        yield f"{one.title}{' (' + unit + ')' if unit else ''}"
        yield from _chart(plotext, one, answer)


def _chart(plotext: Any, one: Series, answer: OutlookAnswer) -> list[str]:
    days = [day.day for day in one.days]
    plotext.clear_figure()
    plotext.theme("clear")
    plotext.plotsize(WIDTH, HEIGHT)
    values = [v for day in one.days for v in (day.low, day.high)]
    values += [day.changed_high for day in one.days if day.changed_high is not None]
    values += [day.changed_low for day in one.days if day.changed_low is not None]
    values += [p.value for p in (*answer.measured, *answer.read) if READ_IN.get(p.name) == one.name]
    low, high = window(values, [edge.value for edge in one.limits])
    plotext.ylim(low, high)
    plotext.xlim(days[0], days[-1])
    plotext.xticks([day for day in days if day % WEEK == 0])
    plotext.plot([0, 0], [low, high], marker=NOW)
    for edge in one.limits:
        if low <= edge.value <= high:
            plotext.plot([days[0], days[-1]], [edge.value, edge.value], marker=LIMIT)
    plotext.plot(days, [day.low for day in one.days], marker=EDGE)
    plotext.plot(days, [day.high for day in one.days], marker=EDGE)
    coming = [day for day in one.days if day.changed_middle is not None]
    plotext.plot(days, [day.middle for day in one.days], marker=MIDDLE)
    if coming:
        middles = [day.changed_middle for day in coming]
        plotext.plot([day.day for day in coming], middles, marker=CHANGED)
    for mark, points in ((MEASURED, answer.measured), (READ, answer.read)):
        shown = [p for p in points if READ_IN.get(p.name) == one.name]
        shown = [p for p in shown if days[0] <= p.day <= days[-1] and low <= p.value <= high]
        if shown:
            plotext.scatter([p.day for p in shown], [p.value for p in shown], marker=mark)
    for event in answer.events:
        if days[0] <= event.day <= days[-1]:
            plotext.text(event.mark, x=event.day, y=low)
    drawn = plotext.uncolorize(plotext.build()).translate(FRAME)
    return [line.rstrip()[:WIDTH] for line in drawn.splitlines()]


def window(values: list[float], limits: list[float]) -> tuple[float, float]:
    """The span to draw: all values, and each limit unless it lies so far off that it would flatten
    them.
    """
    low, high = min(values), max(values)
    span = max(high - low, 0.05 * max(abs(high), 1e-6))
    for limit in limits:
        if low - 2.0 * span <= limit <= high + 2.0 * span:
            low, high = min(low, limit), max(high, limit)
    room = 0.05 * max(high - low, 0.05 * max(abs(high), 1e-6))
    return (low - room if low - room > 0.0 or low < 0.0 else 0.0), high + room
