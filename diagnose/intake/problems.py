"""What is wrong with a case file, said so that the person who wrote it can mend it."""

from __future__ import annotations

from dataclasses import dataclass

#: More problems than this in one file are counted, not listed: the first ones usually explain the
#: rest.
LISTED_PROBLEMS = 20


class Unreadable(ValueError):
    """One value that cannot be read: what is wrong, and what would be right. It knows no file or
    line.

    `part` is the key or the number of the entry inside the value, where only that part is wrong.
    """

    def __init__(self, problem: str, hint: str = "", part: str | int | None = None) -> None:
        self.problem, self.hint, self.part = problem, hint, part
        super().__init__(f"{problem} {hint}".strip())


@dataclass(frozen=True)
class CaseError(ValueError):
    """One problem of one file: where it is, what is wrong and what would be right.

    `line` counts from 1; None when the problem belongs to the file as a whole. `field` is written
    as a keeper would find it: `readings, entry 2, value`.
    """

    file: str
    line: int | None
    field: str
    problem: str
    hint: str = ""

    def __str__(self) -> str:
        place = [self.file]
        if self.line is not None:
            place.append(f"line {self.line}")
        if self.field:
            place.append(self.field)
        return f"{', '.join(place)}: {self.problem} {self.hint}".strip()


class CaseErrors(ValueError):
    """Every problem found in a case and its log.

    `problems` is never empty; str() is one line for each.
    """

    def __init__(self, problems: tuple[CaseError, ...]) -> None:
        self.problems = problems
        lines = [str(problem) for problem in problems[:LISTED_PROBLEMS]]
        if len(problems) > LISTED_PROBLEMS:
            lines.append(f"... and {len(problems) - LISTED_PROBLEMS} more problems like these.")
        super().__init__("\n".join(lines))
