"""One quantity of a container's log over its days: values stand on their tips and are joined, the
comfortable range is shaded, and below it stands what was done (round) and who died (crossed).
"""

from __future__ import annotations

from collections.abc import Sequence
from datetime import datetime, timedelta

from diagnose.report.figures.svg import LETTER, ROW, WIDTH, Drawing
from diagnose.report.log_answer import CHANGED, DIED, OTHER, WHEN, LogAnswer, LogCourse, LogEntry
from diagnose.report.outlook_drawing import window
from diagnose.report.wording import number, rounded

#: Height of the field, room at its sides, and the significant digits at its edges.
FIELD, SIDE, DIGITS = 110.0, 8.0, 3
#: Values further apart than this are not joined: nobody knows what lay between.
NOT_JOINED = timedelta(days=7)
KEY = {
    CHANGED: "Full round mark: a change of water.",
    OTHER: "Ring: other things done.",
    DIED: "Crossed: a death.",
}
#: A course that hardly moves is spread over this share of its height.
LEAST_SPAN = 0.2
#: More values than this are a line alone, and told in words by their ends.
EACH_SHOWN = 40


def log_course(one: LogCourse, answer: LogAnswer, *, keyed: bool) -> str:
    """The course as SVG; answer: the log it is of, in the same units; keyed: explain its marks."""
    unit = "C" if one.unit == "degC" else one.unit
    since, until = (datetime.strptime(at, WHEN) for at in (answer.since, answer.until))
    points = [(datetime.strptime(point.at, WHEN), point.value) for point in one.points]
    values = [value for _, value in points]
    middle = (min(values) + max(values)) / 2
    least = LEAST_SPAN / 2 * abs(middle)
    low, high = window([*values, middle - least, middle + least], list(one.good or ()))
    drawing = Drawing(f"log-{one.name.replace('_', '-')}")
    drawing.words(_said(high, unit), 0.0, 0.0, "quiet")
    top = ROW

    def x(at: datetime) -> float:
        return SIDE + (WIDTH - 2 * SIDE) * ((at - since) / (until - since))

    def y(value: float) -> float:
        return top + FIELD * (high - value) / (high - low)

    if one.good is not None:
        floor, ceiling = max(low, one.good[0]), min(high, one.good[1])
        if floor < ceiling:
            drawing.box(0.0, y(ceiling), WIDTH, y(floor) - y(ceiling), "band")
    run = [points[0]]
    for point in [*points[1:], None]:
        if point is not None and point[0] - run[-1][0] <= NOT_JOINED:
            run.append(point)
            continue
        if len(run) > 1:
            drawing.path([(x(at), y(value)) for at, value in run], "middle")
        if point is not None:
            run = [point]
    if len(points) <= EACH_SHOWN:
        for at, value in points:
            drawing.diamond(x(at), y(value), "reading", 5.0)
    drawing.path([(0.0, top + FIELD), (WIDTH, top + FIELD)], "edge")
    drawing.height = top + FIELD + ROW / 4
    done = [(datetime.strptime(e.at, WHEN), e) for e in answer.entries if e.mark]
    middle = drawing.height + LETTER / 2
    for at, entry in done:
        if entry.mark == DIED:
            drawing.cross(x(at), middle, "died", 5.0)
        else:
            drawing.dot(x(at), middle, "for" if entry.mark == CHANGED else "ring", 5.0)
    row = middle + LETTER if done else drawing.height
    drawing.words(_said(low, unit), 0.0, row, "quiet")
    row = drawing.height
    drawing.words(f"{since:%Y-%m-%d}", 0.0, row, "quiet")
    drawing.words(f"{until:%Y-%m-%d}", WIDTH, row, "quiet", "end")
    if one.good is not None:
        drawing.lines(f"Shaded: {_range(one, unit)} suits them.", 0.0, WIDTH, "quiet")
    if keyed:
        for mark, text in KEY.items():
            if mark in {entry.mark for _, entry in done}:
                drawing.lines(text, 0.0, WIDTH, "quiet")
    return drawing.finished(one.title, _says(one, unit, points, done))


def in_short(one: LogCourse) -> str:
    """How many values, between which, and the last."""
    values = [point.value for point in one.points]
    unit = "C" if one.unit == "degC" else one.unit
    good = f"; {_range(one, unit)} suits them" if one.good is not None else ""
    return (
        f"{len(values)} values, {_said(min(values), unit)} to {_said(max(values), unit)}, last "
        f"{_said(values[-1], unit)}{good}."
    )


def _says(
    one: LogCourse,
    unit: str,
    points: Sequence[tuple[datetime, float]],
    done: Sequence[tuple[datetime, LogEntry]],
) -> str:
    said = [in_short(one)]
    if len(points) <= EACH_SHOWN:
        said += [f"{at:{WHEN}}: {_said(value, unit)}." for at, value in points]
    if done:
        said.append(f"{len(done)} things done or deaths are in the list of entries.")
    return " ".join(said)


def _range(one: LogCourse, unit: str) -> str:
    low, high = one.good or (0.0, 0.0)
    return f"{number(rounded(low, DIGITS))} to {_said(high, unit)}"


def _said(value: float, unit: str) -> str:
    return f"{number(rounded(value, DIGITS))} {unit}".rstrip()
