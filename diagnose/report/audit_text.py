"""The audit of a rulebook, for a person at a terminal and for a program."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import asdict
from typing import Any

from diagnose.audit.audit import Audit
from diagnose.audit.calibration import Calibration
from diagnose.audit.channels import ChannelFit
from diagnose.audit.exercise import PUBLISHED, SEEN, TUNE
from diagnose.audit.marks import Bin, Marks
from diagnose.audit.misled import Misled, Weighed
from diagnose.audit.readings_removed import LEFT, Left, Met, groups
from diagnose.audit.reported import OpenMarks, Reported, ReportedMarks
from diagnose.audit.shares import Share
from diagnose.report.pages import Page, PageLine, Section

#: Rows of cells; the first names the columns.
Table = list[tuple[str, ...]]
FORMAT = "bowlside-rulebook-audit/1"
#: What each group of cases is called.
GROUPS = {
    TUNE: "tune split",
    SEEN: "seen split",
    "worked": "both splits",
    PUBLISHED: "published cases",
}
REPORTED_GROUPS = {
    "reported": "a cause was named",
    "nothing_wrong": "nothing was wrong",
    "both": "both",
}
#: What is left where readings are removed.
LEFT_WORDS: dict[Left, str] = {
    "all": "no readings",
    "half": "half forgotten",
    "log": "only the log",
}
#: Rows of the knock-out table on a terminal; JSON has all.
KNOCK_OUTS_SHOWN = 20
NAMES_SHOWN = 12
BAR_WIDTH = 20


def as_data(found: Audit) -> dict[str, Any]:
    """Everything, for a program."""
    data = asdict(found)
    reported = data.pop("reported")
    if reported is not None:
        data["marks"] |= reported["marks"]
        data["words"], data["outcomes"] = reported["words"], reported["outcomes"]
    return {"format": FORMAT, **data}


def calibration_as_data(found: Calibration) -> dict[str, Any]:
    """The fit with its folds, for a program."""
    return {"format": "bowlside-rulebook-calibration/1", **asdict(found)}


def channels_as_data(found: ChannelFit) -> dict[str, Any]:
    """The factors of the channels, for a program."""
    return {"format": "bowlside-rulebook-channels/1", **asdict(found)}


def channel_lines(found: ChannelFit) -> list[str]:
    """The factors of the channels, and what cross-validation says of them."""
    lines = [f"Fitted on {found.cases} cases, worked and reported ones weighing alike."]
    lines += [
        f"  {name}: for {factor['supports']:.2f}, against {factor['opposes']:.2f}, "
        f"for where nobody died {factor['no_losses']:.2f}"
        for name, factor in found.factors.items()
    ]
    lines.append(
        f"Log loss on cases a fit had not seen ({found.folds} folds by author): "
        f"{found.log_loss:.3f}, at the present factors {found.log_loss_now:.3f}."
    )
    return lines


def audit_page(found: Audit) -> Page:
    """The audit as a page for a person."""
    first = "What keepers really reported, and how the rules do on worked cases."
    if found.left_out:
        first = f"Taken as unknown throughout: {', '.join(found.left_out)}."
    return Page("Audit of the rulebook", (first,), tuple(_sections(found)))


def _sections(found: Audit) -> Iterator[Section]:
    if found.reported is not None:
        yield _part(
            "What keepers really reported",
            tuple(_reported_words(found.reported)),
            _reported(found.reported),
        )
    if not found.marks:
        return
    yield _part(
        "How often the rules are right", tuple(_marks_explained(found)), _marks(found.marks)
    )
    if found.met:
        yield _part("What estimates are worth", (), _worth_of_estimates(found.marks))
        yield _part(
            "How often an estimate met the reading it was not given",
            (
                "A reading counts as met within the span of eight of ten runs, give or take the "
                "error of a keeper's reading.",
            ),
            _met(found.met),
        )
    for group in (SEEN, TUNE, PUBLISHED):
        mark = found.marks.get(group)
        if mark is not None:
            yield _part(
                f"First causes of the {GROUPS[group]}: believed, and right",
                tuple(_reliability(mark.reliability)),
            )
    yield _part("Causes that are missed or lead wrongly", (), _causes(found))
    wrong = [c for c in found.confusions if c.expected != c.led]
    yield _part("Taken for another", tuple(f"{c.expected} -> {c.led}: {c.cases}" for c in wrong))
    misled = tuple(_misled(case) for case in found.misled)
    yield Section("Misled", misled or (PageLine("No case was misled.", lead=""),))
    yield _part("What no case exercises", tuple(_coverage(found)))
    yield _part(
        "Knocked out: what it costs when one observation is unknown", (), _knock_outs(found)
    )


def _part(heading: str, texts: tuple[str, ...], table: Table | None = None) -> Section:
    lines = tuple(PageLine(text, lead="") for text in texts)
    return Section(heading, lines, table=tuple(table or ()))


def _marks_explained(found: Audit) -> Iterator[str]:
    yield from _intervals(found.marks)
    yield (
        "first, top 3: share of cases with an expected cause first, and among the first "
        "three. MRR: mean of 1/place. Brier, log loss: 0 is best; an answer that is sure and "
        "wrong costs most. ECE: mean gap between belief in the first cause and how often it is "
        "right; free: without the cases whose belief the ceiling for few facts holds down "
        f"({_held_down(found.marks)}); all: over every cause of every case."
    )
    yield f"Beliefs at temperature {found.temperature:g}: {found.temperature_note}."


def _marks(groups: dict[str, Marks]) -> Table:
    table = _table("", "cases", "first", "top 3", "MRR", "Brier", "log loss", "ECE", "free", "all")
    for name, title in GROUPS.items():
        mark = groups.get(name)
        if mark is not None:
            table.append(
                (
                    title,
                    str(mark.cases),
                    f"{mark.first:.0%}",
                    f"{mark.first_three:.0%}",
                    f"{mark.reciprocal_rank:.2f}",
                    f"{mark.brier:.3f}",
                    f"{mark.log_loss:.3f}",
                    f"{mark.calibration_error:.3f}",
                    f"{mark.calibration_error_free:.3f}",
                    f"{mark.calibration_error_all:.3f}",
                )
            )
    return table


def _intervals(groups: dict[str, Marks]) -> Iterator[str]:
    yield "95 % intervals (Wilson):"
    for name, title in GROUPS.items():
        mark = groups.get(name)
        if mark is not None:
            first, three = _interval(mark.first_interval), _interval(mark.first_three_interval)
            yield f"{title}: first {first}, top 3 {three}"


def _reported(found: Reported) -> Table:
    table = _table("", "reports", "first", "95 %", "top 3", "95 %", "Brier", "ECE")
    for key, title in REPORTED_GROUPS.items():
        mark = found.marks.get(key)
        if isinstance(mark, ReportedMarks):
            table.append(
                (
                    title,
                    str(mark.n),
                    f"{mark.first:.0%}",
                    _interval(mark.first_interval),
                    f"{mark.first_three:.0%}",
                    _interval(mark.first_three_interval),
                    f"{mark.brier:.3f}",
                    f"{mark.calibration_error:.3f}",
                )
            )
    return table


def _interval(share: Share) -> str:
    return f"{share.low:.0%}-{share.high:.0%}"


def _reported_words(found: Reported) -> Iterator[str]:
    left_open = found.marks.get("open")
    if isinstance(left_open, OpenMarks):
        yield (
            f"{left_open.n} reports stayed open: mean belief in the first cause "
            f"{left_open.belief_in_first:.0%}."
        )
    for called in found.words:
        yield f"Called {called.word}: {called.n}, of these {called.right:.0%} right."
    yield (
        "first: the accepted causes together are believed most. Brier of the first; ECE over five "
        "bins of equal count; intervals by Wilson."
    )


def _worth_of_estimates(found: dict[str, Marks]) -> Table:
    table = _table("", "cases", "first", "top 3", "log loss")
    for left in LEFT:
        for name, title in zip(groups(left), (LEFT_WORDS[left], "  estimated"), strict=True):
            mark = found.get(name)
            if mark is not None:
                table.append(
                    (
                        title,
                        str(mark.cases),
                        f"{mark.first:.1%}",
                        f"{mark.first_three:.1%}",
                        f"{mark.log_loss:.3f}",
                    )
                )
    return table


def _met(found: tuple[Met, ...]) -> Table:
    table = _table("", "readings", "met", "above", "below")
    for one in found:
        table.append((one.name, str(one.measured), str(one.within), str(one.above), str(one.below)))
    return table


def _held_down(groups: dict[str, Marks]) -> str:
    return ", ".join(
        f"{mark.held_down} of the {GROUPS[name]}"
        for name, mark in groups.items()
        if name in (TUNE, SEEN, PUBLISHED)
    )


def _reliability(bins: tuple[Bin, ...]) -> Iterator[str]:
    for found in bins:
        right = "#" * round(found.right * BAR_WIDTH)
        yield (
            f"{found.low:4.0%} to {found.high:4.0%}  {found.count:3} cases  believed "
            f"{found.belief:4.0%}  right {found.right:4.0%}  {right}"
        )


def _causes(found: Audit) -> Table:
    table = _table("cause", "cases", "first", "top 3", "wrongly first")
    for row in found.by_cause:
        if row.first < row.cases or row.wrongly_first:
            table.append(
                (
                    row.cause,
                    str(row.cases),
                    str(row.first),
                    str(row.first_three),
                    str(row.wrongly_first),
                )
            )
    fine = sum(row.first == row.cases and not row.wrongly_first for row in found.by_cause)
    table.append((f"{fine} other causes", "", "all", "all", "0"))
    return table


def _misled(case: Misled) -> PageLine:
    return PageLine(
        f"{case.case} ({GROUPS.get(case.split, case.split)})",
        lead="",
        below=(
            f"{case.led} ({case.led_belief:.0%}) led;",
            f"{case.expected} ({case.expected_belief:.0%}) came {_place(case.place)}, "
            f"{case.behind_decibans:.1f} decibans behind",
            *_arguments("for what led:", case.for_the_wrong),
            *_arguments("against what was right:", case.against_the_right),
        ),
    )


def _arguments(title: str, arguments: tuple[Weighed, ...]) -> Iterator[str]:
    for argument in arguments:
        yield f"{title} {argument.rule} {argument.decibans:+.1f}"


def _place(place: int) -> str:
    return {1: "first", 2: "second", 3: "third"}.get(place, f"in place {place}")


def _coverage(found: Audit) -> Iterator[str]:
    cover = found.coverage
    for title, names, in_all in (
        ("causes", cover.causes, cover.causes_in_all),
        ("mechanisms", cover.mechanisms, cover.mechanisms_in_all),
        ("observations", cover.observations, cover.observations_in_all),
        ("conditions", cover.conditions, cover.conditions_in_all),
        ("rules", cover.rules, cover.rules_in_all),
    ):
        more = f", and {len(names) - NAMES_SHOWN} more" if len(names) > NAMES_SHOWN else ""
        listed = f": {', '.join(names[:NAMES_SHOWN])}{more}" if names else ""
        yield f"{len(names)} of {in_all} {title}{listed}"


def _knock_outs(found: Audit) -> Table:
    table = _table("observation", "known in", "right with", "without", "belief lost")
    for row in found.knock_outs[:KNOCK_OUTS_SHOWN]:
        table.append(
            (
                row.observation,
                str(row.cases),
                str(row.right_with),
                str(row.right_without),
                f"{row.belief_lost:.0%}",
            )
        )
    left = len(found.knock_outs) - KNOCK_OUTS_SHOWN
    if left > 0:
        idle = sum(
            row.right_with == row.right_without and abs(row.belief_lost) < 0.005
            for row in found.knock_outs
        )
        table.append((f"{left} more; {idle} change nothing", "", "", "", ""))
    return table


def _table(*titles: str) -> Table:
    return [titles]


def calibration_lines(found: Calibration, present: float) -> list[str]:
    """The fit and what cross-validation says of it."""
    lines = [f"Fitted temperature: {found.temperature:.2f} on {found.cases} cases (tune split)."]
    lines += [
        f"  fold {index}: {fold.cases} cases held out, fitted {fold.temperature:.2f}, log loss "
        f"{fold.log_loss:.3f}"
        for index, fold in enumerate(found.folds, start=1)
    ]
    lines += [
        f"Log loss on cases a fit had not seen: {found.log_loss:.3f}.",
        f"At the present temperature {present:g}: {found.log_loss_now:.3f}; at 1: "
        f"{found.log_loss_at_one:.3f}.",
    ]
    if found.temperature < 1.0:
        lines.append(
            "Below 1, beliefs are sharper than the weights say. Worked cases are clearer than "
            "life: look at the published cases in `bowlside rulebook audit` before you keep it."
        )
    return lines
