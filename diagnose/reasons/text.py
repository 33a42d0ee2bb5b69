"""Pages, overview, search and comparison as plain lines of at most 80 columns, without colour."""

from __future__ import annotations

import re
import textwrap
from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from textwrap import shorten

from diagnose.reasons.apart import Comparison
from diagnose.reasons.overview import Group
from diagnose.reasons.page import NOTHING_TO_DO, Page, TellApart, not_when
from diagnose.reasons.search import Hit
from diagnose.reasons.worked import Worked
from diagnose.rulebook.terms import Source, Step

WIDTH = 80
#: No page is longer, at 80 columns.
MOST_LINES = 70
BAR = 30
PHASE_WORDS = {
    "now": "At once",
    "today": "Later today",
    "this_week": "This week",
    "prevent": "Prevent",
}
KIND_WORDS = {
    "published": "Published",
    "common_practice": "Common practice, no source",
    "memory": "From memory",
}
#: Look-alikes told in full before anything else is shortened, and on the longest pages.
ALIKE_IN_FULL, LEAST_ALIKE = 4, 2


def wrap(text: str, width: int, first: str = "", rest: str = "") -> list[str]:
    """Lines of a text; names with a hyphen stay whole, so that they can be typed as shown."""
    return textwrap.wrap(
        text, width, initial_indent=first, subsequent_indent=rest, break_on_hyphens=False
    )


@dataclass(frozen=True, slots=True)
class _Fit:
    """How much of a page is told in full: look-alikes, the drawing of a second sum, where to look
    for early signs, empty lines between its parts; bars: how many reasons not to
    take a step; tight: signs and checks run on in paragraphs,
    and a sum is told in one sentence. Cautions are never shortened.
    """

    alike: int
    second_drawing: bool = True
    looks: bool = True
    airy: bool = True
    tight: bool = False
    bars: int = 9


def page_lines(page: Page, width: int = WIDTH) -> list[str]:
    """The page. What does not fit is shortened: what is left out stands on the pages it names, or
    in the handbook. Cautions, sums, checks and steps are always there.
    """
    lines: list[str] = []
    for fit in _fits(len(page.look_alikes)):
        lines = _page(page, width, fit)
        if len(lines) <= MOST_LINES:
            break
    return lines


def _fits(alike: int) -> Iterator[_Fit]:
    """From all of it to the least that a page may be."""
    for most in range(alike, ALIKE_IN_FULL, -1):
        yield _Fit(most)
    few = min(alike, ALIKE_IN_FULL)
    yield _Fit(few)
    yield _Fit(few, bars=1)
    yield _Fit(few, second_drawing=False, bars=1)
    yield _Fit(few, second_drawing=False, looks=False, bars=1)
    for most in range(few, LEAST_ALIKE - 1, -1):
        yield _Fit(most, second_drawing=False, looks=False, airy=False, bars=1)
    for most in range(few, -1, -1):
        for bars in (1, 0):
            yield _Fit(most, second_drawing=False, looks=False, airy=False, tight=True, bars=bars)


def _page(page: Page, width: int, fit: _Fit) -> list[str]:
    gap = [""] if fit.airy else []
    lines = [f"{page.title}  ({page.id})"[:width]]
    if page.kind == "cause":
        harms = ", then ".join(link.title.lower() for link in page.linked[:2])
        lines += wrap(f"{page.often}; can be seen coming: {page.warning}; harms by {harms}.", width)
    else:
        lines += wrap(f"Brought about by: {', '.join(link.id for link in page.linked)}.", width)
    lines += ["", *wrap(page.summary, width)]
    lines += _item("In the water: ", page.in_the_water, width)
    lines += _item("In the animal: ", page.in_the_animal, width)
    listed = _run_on if fit.tight else _listed
    if page.worked:
        lines += [*gap, f"In numbers, for {page.setting.name}"[:width]]
    for place, item in enumerate(page.worked):
        if place == 0 or fit.second_drawing:
            lines += _worked(item, width, 1 if fit.tight else len(item.says))
        else:
            lines += _hang("  ", _brief(item), width)
    if page.taken:
        taken = f"Not told, so taken from the demo's jar: {', '.join(page.taken)}."
        lines += _hang("  ", taken, width)
    lines += [*gap, "Early signs"]
    lines += listed([f"{s.asks} {s.look}" if fit.looks else s.asks for s in page.early], width)
    lines.append("What confirms it")
    lines += listed(page.confirm, width)
    lines += [*gap, "What to do"]
    lines += _to_do(page, width)
    at_once = [step for phase, steps in page.steps if phase == "now" for step in steps]
    for text in not_when(at_once)[: fit.bars]:
        lines += _item("  Not when: ", text, width)
    if page.look_alikes:
        lines += [*gap, "Looks like it, and how to tell"]
        lines += _alike(page.look_alikes, fit.alike, width)
    if page.cautions:
        lines += [*gap, "Take care"]
        lines += _listed(page.cautions, width, "!")
    return [*lines, *gap, *_sources(page.sources, width)]


def _to_do(page: Page, width: int) -> list[str]:
    lines: list[str] = []
    told: set[str] = set()
    for phase, steps in (*page.steps, ("prevent", page.prevent)):
        fresh = [step for step in steps if step.id not in told]
        told |= {step.id for step in fresh}
        if fresh:
            lines += _item(f"  {PHASE_WORDS[phase]}: ", _titles(fresh), width)
        elif steps:
            lines.append(f"  {PHASE_WORDS[phase]}: the same, again.")
    if page.kind == "mechanism":
        lines.append("  Then: what the cause behind it needs; see its page.")
    return lines or [f"  {NOTHING_TO_DO}"]


def _titles(steps: Iterable[Step]) -> str:
    titles = [step.title for step in steps]
    return "; ".join(titles) + "." if titles else ""


def _item(lead: str, text: str, width: int) -> list[str]:
    return _hang(lead, text, width, "  ")


def _hang(lead: str, text: str, width: int, rest: str | None = None) -> list[str]:
    return wrap(text, width, lead, " " * len(lead) if rest is None else rest)


def _listed(texts: Iterable[str], width: int, mark: str = "-") -> list[str]:
    return [line for text in texts for line in _hang(f"{mark} ", text, width)]


def _run_on(texts: Iterable[str], width: int) -> list[str]:
    return _hang("  ", " ".join(texts), width)


def _worked(item: Worked, width: int, sentences: int) -> list[str]:
    lines = [f"  {item.title}."]
    lines += _hang("  ", " ".join(item.says[:sentences]), width)
    return [*lines, *bars(item), *_hang("  Rests on: ", item.rests_on + ".", width, "  ")]


def _brief(item: Worked) -> str:
    return f"{item.title}. {item.says[0]} Rests on: {item.rests_on}."


def bars(item: Worked) -> list[str]:
    """The drawing: one line a bar, the longest `BAR` characters; `>` marks one's own container."""
    left = max((len(bar.label) for bar in item.bars), default=0)
    lines = []
    for bar in item.bars:
        size = round(BAR * max(0.0, bar.value) / item.longest)
        full = "#" * size if size or bar.value <= 0 else "|"
        own = ">" if bar.mine else " "
        lines.append(f"  {own} {bar.label:>{left}}  {full:<{BAR}}  {bar.shown}".rstrip())
    return lines


def _alike(pairs: tuple[TellApart, ...], full: int, width: int) -> list[str]:
    lines: list[str] = []
    for pair in pairs[:full]:
        tell = pair.theirs or f"not that one, if: {pair.ours}"
        lines += _hang(f"- {pair.id}: ", tell, width, "  ")
    more = [pair.id for pair in pairs[full:]]
    if more:
        lines += _hang("- also: ", ", ".join(more) + ".", width, "  ")
    return lines


def _sources(sources: tuple[Source, ...], width: int) -> list[str]:
    by_kind: dict[str, list[str]] = {}
    for source in sources:
        by_kind.setdefault(source.kind, []).append(_short(source))
    texts = []
    for kind, cites in by_kind.items():
        names = f": {'; '.join(cites)}" if kind == "published" else ""
        texts.append(f"{KIND_WORDS[kind]}{names}.")
    return _hang("Sources. ", " ".join(texts), width, "  ")


def _short(source: Source) -> str:
    """Authors and year, and how much of it was read where that is not the text itself."""
    found = re.match(r"(.{3,60}?\b(?:1[89]|20)\d\d)", source.cite)
    who = found[1] if found else shorten(source.cite, 44, placeholder=" ...")
    authors = who.split(", ")
    if found and len(authors) > 2:
        who = f"{authors[0]} and others {who[-4:]}"
    return who if source.seen in ("text", "") else f"{who} ({source.seen})"


def overview_lines(groups: Iterable[Group], width: int = WIDTH) -> list[str]:
    """The map: cause, what it does, how early, what is seen first; commonest first."""
    columns = (24, 23, 6, max(12, width - 24 - 23 - 6 - 3))
    lines = [
        "What kills shrimp in small containers: cause, how it harms, how early it can be",
        "seen, and what is seen first. `bowlside reasons NAME` opens a page.",
    ]
    for group in groups:
        lines += ["", f"{group.word[0].upper()}{group.word[1:]}"]
        for row in group.rows:
            cells = [
                wrap(text, size) or [""]
                for text, size in zip(
                    (row.cause, row.mechanism, row.warning, ", ".join(row.seen)),
                    columns,
                    strict=True,
                )
            ]
            for number in range(max(map(len, cells))):
                parts = [
                    f"{cell[number] if number < len(cell) else '':<{size}}"
                    for cell, size in zip(cells, columns, strict=True)
                ]
                lines.append(" ".join(parts).rstrip())
    return lines


def hit_lines(words: str, hits: tuple[Hit, ...], width: int = WIDTH) -> list[str]:
    """What was found for some words, best first, each with the sentence that matched."""
    if not hits:
        return wrap(
            f"Nothing in the rulebook speaks of `{words}`. Try one word for what you see, what "
            "you do, or a cause; `bowlside reasons` alone shows all causes.",
            width,
        )
    lines = [f"What the rulebook says of `{words}`"[:width], ""]
    for hit in hits:
        lines.append(f"{hit.id}  {hit.title}"[:width])
        lines += _hang("    ", hit.reason, width)
    return [*lines, "", "`bowlside reasons NAME` opens the page of a name on the left."]


def comparison_lines(found: Comparison, width: int = WIDTH) -> list[str]:
    """Two causes side by side: what marks each."""
    half = (width - 3) // 2

    def rows(left: str, right: str) -> list[str]:
        a, b = wrap(left, half) or [""], wrap(right, half) or [""]
        return [
            f"{a[i] if i < len(a) else '':<{half}} | {b[i] if i < len(b) else ''}".rstrip()
            for i in range(max(len(a), len(b)))
        ]

    lines = rows(found.left.title, found.right.title)
    lines.append(f"{'-' * half}-+-{'-' * half}")
    lines += rows(found.left.tell, found.right.tell)
    for left, right in zip(found.left.marks, found.right.marks, strict=True):
        lines += ["", *rows(left, right)] if left or right else []
    lines += ["", "What to look at, most telling first"]
    return lines + _listed(found.look_at, width)
