"""What speaks for and against each cause, as a balance: against to the left of the middle and
striped, for to the right and solid.
"""

from __future__ import annotations

from diagnose.report.answer import Answer, Line, Ranked
from diagnose.report.figures.svg import LETTER, ROW, WIDTH, Drawing
from diagnose.report.wording import percent

#: Causes in the drawing; the list beside it has all.
CAUSES = 4
#: An argument is drawn no thinner than this; between two lies a gap.
THINNEST, GAP = 2.0, 1.5
TITLE = "What speaks for and against"


def balance(answer: Answer, name: str = "balance") -> str:
    """The balance of the first causes as SVG; empty where nothing was ranked."""
    shown = answer.ranking[:CAUSES]
    if not shown:
        return ""
    drawing = Drawing(name)
    heaviest = max(1.0, *(_sum(side) for one in shown for side in (one.for_, one.against)))
    most = max(len(side) for one in shown for side in (one.for_, one.against))
    scale = (WIDTH / 2 - most * (GAP + THINNEST)) / heaviest
    for place, one in enumerate(shown, start=1):
        drawing.lines(f"{place}. {one.title}: {percent(one.belief)}", 0.0, WIDTH, "strong")
        top = drawing.height
        _side(drawing, one.against, top, scale, -1)
        _side(drawing, one.for_, top, scale, 1)
        drawing.path([(WIDTH / 2, top - 2.0), (WIDTH / 2, top + LETTER + 2.0)], "axis")
        drawing.room(4.0)
        row = drawing.height
        drawing.words(f"against {_sum(one.against):.0f}", WIDTH / 2 - 8.0, row, "quiet", "end")
        drawing.words(f"for {_sum(one.for_):.0f}", WIDTH / 2 + 8.0, row, "quiet")
        drawing.room(ROW / 2)
    drawing.lines(f"None of these: {percent(answer.unexplained)}", 0.0, WIDTH)
    drawing.lines("Decibans: 10 make it ten times as likely.", 0.0, WIDTH, "quiet")
    says = [*(_says(one) for one in shown), f"None of these: {percent(answer.unexplained)}."]
    return drawing.finished(TITLE, " ".join(says))


def _side(
    drawing: Drawing, arguments: tuple[Line, ...], top: float, scale: float, way: int
) -> None:
    """Arguments side by side from the middle outwards; way: 1 to the right, -1 to the left."""
    out = GAP
    for argument in arguments:
        wide = max(THINNEST, abs(argument.weight) * scale)
        left = WIDTH / 2 + out if way > 0 else WIDTH / 2 - out - wide
        drawing.box(left, top, wide, LETTER, "for" if way > 0 else "against")
        out += wide + GAP


def _sum(arguments: tuple[Line, ...]) -> float:
    return sum(abs(argument.weight) for argument in arguments)


def _says(one: Ranked) -> str:
    return (
        f"{one.title}, {percent(one.belief)}: {_sum(one.for_):.0f} decibans for it in "
        f"{len(one.for_)} arguments, {_sum(one.against):.0f} against it in {len(one.against)}."
    )
