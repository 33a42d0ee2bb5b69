"""A picture of the audit: the reliability curve and the confusion table, as SVG or PNG.

Needs matplotlib, which comes with the extra `pictures`; it is imported only here and only when a
picture is asked for.
"""

from __future__ import annotations

from pathlib import Path
from typing import Any

from diagnose.audit.audit import Audit
from diagnose.audit.exercise import SEEN, TUNE

SUFFIXES = (".svg", ".png")
#: One row of the confusion table, in inches, and the least height of the whole picture.
ROW_INCHES, LEAST_INCHES = 0.17, 4.5
WIDTH_INCHES = 15.0
DOTS_PER_INCH = 110


def must_be_drawable(file: Path) -> None:
    """Raises ValueError for a file name that ends in neither .svg nor .png, for a folder that is
    missing, and where matplotlib is.
    """
    from importlib.util import find_spec

    if file.suffix.lower() not in SUFFIXES:
        raise ValueError(f"{file}: a picture ends in .svg or .png.")
    if not file.absolute().parent.is_dir():
        raise ValueError(f"{file}: there is no such folder to draw into.")
    if find_spec("matplotlib") is None:
        raise ValueError("A picture needs matplotlib: install bowlside with its extra `pictures`.")


def draw(found: Audit, file: Path) -> None:
    """Writes the picture to the file; the same audit gives the same bytes.

    Raises ValueError as `must_be_drawable` does.
    """
    must_be_drawable(file)
    import matplotlib
    from matplotlib.figure import Figure

    suffix = file.suffix.lower()
    names = sorted({c.expected for c in found.confusions} | {c.led for c in found.confusions})
    height = max(LEAST_INCHES, ROW_INCHES * len(names) + 2.5)
    with matplotlib.rc_context({"svg.hashsalt": "bowlside", "svg.fonttype": "none"}):
        figure = Figure(figsize=(WIDTH_INCHES, height), dpi=DOTS_PER_INCH, layout="constrained")
        left, right = figure.subplots(1, 2, width_ratios=(1.0, 1.6))
        _reliability(found, left)
        _confusion(found, names, right)
        metadata: dict[str, Any] = {"Date": None} if suffix == ".svg" else {"Software": None}
        figure.savefig(file, format=suffix[1:], metadata=metadata)


def _reliability(found: Audit, axes: Any) -> None:
    axes.plot([0, 1], [0, 1], color="0.6", linestyle=":", label="beliefs at their word")
    for split, marker, dash in ((TUNE, "o", "--"), (SEEN, "s", "-")):
        mark = found.marks.get(split)
        if mark is None:
            continue
        beliefs = [b.belief for b in mark.reliability]
        right = [b.right for b in mark.reliability]
        label = f"{split} split ({mark.cases} cases, ECE {mark.calibration_error:.3f})"
        axes.plot(beliefs, right, marker=marker, linestyle=dash, color="black", label=label)
        for each in mark.reliability:
            axes.annotate(
                str(each.count),
                (each.belief, each.right),
                textcoords="offset points",
                xytext=(5, -11),
                fontsize=7,
            )
    axes.set(
        xlim=(0, 1),
        ylim=(-0.03, 1.05),
        xlabel="belief in the first cause",
        ylabel="share of cases in which it was right",
        title="Reliability (numbers: cases in the bin)",
    )
    axes.set_box_aspect(1)
    axes.legend(loc="lower right", fontsize=8)


def _confusion(found: Audit, names: list[str], axes: Any) -> None:
    index = {name: i for i, name in enumerate(names)}
    counts = [[0] * len(names) for _ in names]
    for each in found.confusions:
        counts[index[each.expected]][index[each.led]] = each.cases
    axes.imshow(counts, cmap="Greys", aspect="equal", vmin=0)
    most = max((max(row) for row in counts), default=0)
    for i, row in enumerate(counts):
        for j, count in enumerate(row):
            if count:
                shade = "white" if count > most / 2 else "black"
                axes.text(j, i, str(count), ha="center", va="center", fontsize=6, color=shade)
    axes.set_xticks(range(len(names)), names, rotation=90, fontsize=6)
    axes.set_yticks(range(len(names)), names, fontsize=6)
    axes.set(xlabel="came first", ylabel="expected", title="Worked cases: expected against first")
