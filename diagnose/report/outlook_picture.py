"""The outlook as a clean figure, SVG or PNG.

Needs matplotlib, which comes with the extra `pictures`; it is imported only here and only when a
picture is asked for.
"""

from __future__ import annotations

from importlib.util import find_spec
from pathlib import Path
from typing import Any, Final

from diagnose.report.outlook_answer import OutlookAnswer, Series
from diagnose.report.outlook_drawing import READ_IN

SUFFIXES: Final = (".svg", ".png")
WIDTH_INCHES: Final = 11.0
ROW_INCHES: Final = 2.4
COLUMNS: Final = 2
DOTS_PER_INCH: Final = 120


def must_be_drawable(file: Path) -> None:
    """Raises ValueError for a name that ends in neither .svg nor .png, for a folder that is not
    there, and without matplotlib.
    """
    if file.suffix.lower() not in SUFFIXES:
        raise ValueError(f"{file}: a picture ends in .svg or .png.")
    if not file.parent.is_dir():
        raise ValueError(f"{file}: there is no such folder to draw into.")
    if find_spec("matplotlib") is None:
        raise ValueError("A picture needs matplotlib: install bowlside with its extra `pictures`.")


def draw_outlook(answer: OutlookAnswer, file: Path) -> None:
    """Writes the picture; the same outlook gives the same bytes. Raises as `must_be_drawable`."""
    must_be_drawable(file)
    import matplotlib
    from matplotlib.figure import Figure

    rows = -(-len(answer.series) // COLUMNS)
    with matplotlib.rc_context(
        {"svg.hashsalt": "bowlside", "svg.fonttype": "none", "text.usetex": False,
         "text.parse_math": False}
    ):  # fmt: skip
        figure = Figure(
            figsize=(WIDTH_INCHES, ROW_INCHES * rows), dpi=DOTS_PER_INCH, layout="constrained"
        )
        places = list(figure.subplots(rows, COLUMNS, sharex=True).flat)
        for one, axes in zip(answer.series, places, strict=False):
            _panel(one, answer, axes)
        for axes in places[len(answer.series) :]:
            axes.set_axis_off()
        title = answer.case if not answer.what_if else f"{answer.case}: {'; '.join(answer.what_if)}"
        figure.suptitle(title)
        suffix = file.suffix.lower()
        metadata: dict[str, Any] = {"Date": None} if suffix == ".svg" else {"Software": None}
        figure.savefig(file, format=suffix[1:], metadata=metadata)


def _panel(one: Series, answer: OutlookAnswer, axes: Any) -> None:
    days = [day.day for day in one.days]
    axes.fill_between(
        days, [d.low for d in one.days], [d.high for d in one.days], color="0.85", linewidth=0
    )
    axes.plot(days, [d.middle for d in one.days], color="black", label="as it is kept")
    coming = [day for day in one.days if day.changed_middle is not None]
    if coming:
        after = [day.day for day in coming]
        axes.plot(
            after, [d.changed_middle for d in coming], color="tab:blue", linestyle="--",
            label="changed",
        )  # fmt: skip
        for edge in ("changed_low", "changed_high"):
            axes.plot(
                after, [getattr(d, edge) for d in coming], color="tab:blue", linestyle=":",
                linewidth=0.8,
            )  # fmt: skip
    low, high = axes.get_ylim()
    for limit in one.limits:
        if low - (high - low) <= limit.value <= high + (high - low):
            axes.axhline(limit.value, color="tab:red", linestyle="-.", linewidth=0.8)
            axes.annotate(limit.text, (days[0], limit.value), fontsize=6, va="bottom")
    for points, mark in ((answer.measured, "+"), (answer.read, "*")):
        shown = [p for p in points if READ_IN.get(p.name) == one.name]
        if shown:
            axes.plot(
                [p.day for p in shown], [p.value for p in shown], mark, color="tab:green",
                label="held against it" if mark == "+" else "read",
            )  # fmt: skip
    axes.axvline(0, color="0.4", linewidth=0.8)
    for event in answer.events:
        if days[0] <= event.day <= days[-1]:
            axes.annotate(
                event.mark, (event.day, 0.01), xycoords=("data", "axes fraction"), fontsize=7,
                ha="center",
            )  # fmt: skip
    unit = "C" if one.unit == "degC" else one.unit
    axes.set_title(f"{one.title}{' (' + unit + ')' if unit else ''}", fontsize=9)
    axes.set_xlabel("days from the asking", fontsize=7)
    axes.tick_params(labelsize=7)
    if coming:
        axes.legend(fontsize=6)
