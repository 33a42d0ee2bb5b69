"""A shelf of containers as plain data, and as a table and a page: who needs eyes first on top."""

from __future__ import annotations

from dataclasses import dataclass

from diagnose.report.answer import Answer
from diagnose.report.pages import Page, PageLine, Section
from diagnose.report.wording import Preference, percent

FORMAT = "bowlside-shelf/1"
TITLE = "The shelf"


@dataclass(frozen=True, slots=True)
class Jar:
    """One container of a shelf: its file, and its answer or the problem that leaves none.

    due: readings that should be taken again. counted: who was there, in words. temperatures and
    counts: hours before the asking and degC, or animals left, oldest first. prefer: the units of
    its texts. page: its own page, empty where none was asked for; link: where that is written, seen
    from the shelf's page.
    """

    file: str
    problem: str = ""
    answer: Answer | None = None
    due: tuple[str, ...] = ()
    counted: str = ""
    temperatures: tuple[tuple[float, float], ...] = ()
    counts: tuple[tuple[float, float], ...] = ()
    prefer: Preference = "metric"
    page: str = ""
    link: str = ""


@dataclass(frozen=True, slots=True)
class JarLine:
    """One line of JSON: the container's file, and its answer or what is wrong with the file."""

    format: str
    file: str
    problem: str
    due: tuple[str, ...]
    answer: Answer | None


def jar_line(jar: Jar) -> JarLine:
    """What JSON says of a container."""
    return JarLine(FORMAT, jar.file, jar.problem, jar.due, jar.answer)


def most_urgent_first(jars: list[Jar], levels: list[str]) -> list[Jar]:
    """Files that cannot be read first, then by urgency and how sure the first cause is.

    levels: names of urgency, the most urgent first.
    """

    def place(jar: Jar) -> tuple[int, float, str]:
        if jar.answer is None:
            return (-1, 0.0, jar.file)
        belief = jar.answer.ranking[0].belief if jar.answer.ranking else 0.0
        return (levels.index(jar.answer.urgency), -belief, jar.file)

    return sorted(jars, key=place)


def shelf_page(jars: list[Jar]) -> Page:
    """All containers in one table, and below it what is due and what could not be read."""
    rows: list[tuple[str, ...]] = [("file", "act", "likeliest cause", "belief")]
    rows += [_row(jar) for jar in jars]
    return Page(
        title=TITLE,
        first=(summary(jars),),
        sections=(
            Section("Most urgent first", (), table=tuple(rows)),
            Section(
                "Due for a reading",
                tuple(PageLine(f"{jar.file}: {', '.join(jar.due)}") for jar in jars if jar.due),
            ),
            Section(
                "Could not be read", tuple(PageLine(jar.problem) for jar in jars if jar.problem)
            ),
        ),
    )


def summary(jars: list[Jar]) -> str:
    """How many containers there are, and what the most urgent asks for."""
    read = [jar.answer for jar in jars if jar.answer is not None]
    number = f"{len(jars)} container{'' if len(jars) == 1 else 's'}."
    return f"{number} The most urgent: {read[0].case}. {read[0].urgency_text}" if read else number


def first_cause(answer: Answer) -> str:
    """The likeliest cause, and what else is at work."""
    if not answer.ranking:
        return "nothing told that argues for a cause"
    also = "".join(f"; also {item.title}" for item in answer.also_at_work[:1])
    return f"{answer.ranking[0].title}{also}"


def _row(jar: Jar) -> tuple[str, ...]:
    answer = jar.answer
    if answer is None:
        return (jar.file, "", "could not be read, see below", "")
    belief = percent(answer.ranking[0].belief) if answer.ranking else ""
    act = answer.urgency.replace("-", " ")
    return (jar.file, act, first_cause(answer), belief)
