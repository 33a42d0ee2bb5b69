"""What an outlook says beside its drawing: limits passed, what is carried, young to take out."""

from __future__ import annotations

from diagnose.report.outlook_answer import LEAST_YOUNG, OutlookAnswer
from diagnose.report.pages import Page, PageLine, Section
from diagnose.report.wording import number, rounded

#: Weeks ahead that the page tells of; the data has more.
WEEKS_SHOWN = 4


def outlook_page(answer: OutlookAnswer) -> Page:
    """The outlook as a page of headings and lines."""
    first = answer.first
    if answer.what_if:
        first = (*first, f"Changed: {'; '.join(answer.what_if)}.")
    return Page(
        title=answer.case,
        note=f"asked {answer.asked_at}; two weeks back, four ahead",
        first=first,
        sections=(
            Section(
                "Not now",
                tuple(PageLine(f"{held.title}: {held.because}") for held in answer.withheld),
                "what the change comes to",
            ),
            Section("What was logged", _events(answer)),
            Section("How many it carries", _carries(answer), "grown ones, under these habits"),
            Section("Young to take out", young_to_go(answer)),
            Section("Held against what was measured", _against(answer)),
            Section("Take care", tuple(PageLine(c.text, lead="!") for c in answer.cautions)),
            Section("What this rests on", tuple(PageLine(text) for text in answer.assumptions)),
        ),
    )


def _events(answer: OutlookAnswer) -> tuple[PageLine, ...]:
    return tuple(
        PageLine(
            f"day {event.day}: {event.text}{' (supposed)' if event.supposed else ''}",
            lead=event.mark,
        )
        for event in answer.events
    )


def _carries(answer: OutlookAnswer) -> tuple[PageLine, ...]:
    carries = answer.carries
    lines = [
        PageLine(
            f"About {carries.middle:.0f}; {carries.low:.0f} to be on the safe side, "
            f"{carries.high:.0f} at best. The limit is {carries.limiting}."
        )
    ]
    if carries.trade > 0.0:
        lines.append(
            PageLine(f"Keepers have about {carries.trade:.0f} in such a container once mature.")
        )
    if round(carries.mature) > round(carries.middle):
        lines.append(PageLine(f"Once its film has grown in: about {carries.mature:.0f}."))
    if carries.measure is not None:
        lines.append(
            PageLine(
                f"What would narrow this most: find out {carries.measure} ({carries.instrument})."
            )
        )
    if carries.changed is not None:
        low, middle, _ = carries.changed
        lines.append(
            PageLine(f"With the change: about {middle:.0f}; {low:.0f} to be on the safe side.")
        )
    for move in carries.moves:
        way = "more" if move.adults > carries.middle else "fewer"
        lines.append(PageLine(f"With {move.change}: about {move.adults:.0f}, {way}."))
    return tuple(lines)


def young_to_go(answer: OutlookAnswer) -> tuple[PageLine, ...]:
    """How many young are to be taken out in the coming weeks."""
    hold = number(rounded(answer.hold_at, 3))
    weeks = answer.young_out[:WEEKS_SHOWN]
    taken = [week for week in weeks if week.middle >= LEAST_YOUNG]
    lines = [
        PageLine(f"Week {week.week}: about {week.middle:.0f} ({week.low:.0f} to {week.high:.0f}).")
        for week in taken
    ]
    if answer.full_in_weeks == 0.0:
        head = "The container is full already: grown ones have to move out, not only young."
    elif lines:
        head = f"To hold {hold}, take out at each weekly water change:"
    else:
        head = f"None need to go within these weeks to hold {hold}."
    if answer.full_in_weeks:
        head += f" Left alone, the container is full in about {answer.full_in_weeks:.0f} weeks."
    if answer.young_out_changed:
        all_now = sum(week.middle for week in weeks)
        then = sum(week.middle for week in answer.young_out_changed[:WEEKS_SHOWN])
        if round(then) != round(all_now):
            head += f" In all about {all_now:.0f}; with the change about {then:.0f}."
    return (PageLine(head), *lines)


def _against(answer: OutlookAnswer) -> tuple[PageLine, ...]:
    return tuple(
        PageLine(
            f"{one.title}: {one.inside} of {one.points} inside the band; the middle lies "
            f"{abs(one.bias):.2g} {one.unit} too {'high' if one.bias > 0.0 else 'low'} on average, "
            f"{one.error:.2g} off (root mean square); score {one.score:.2g}."
        )
        for one in answer.against
    )
