"""What is wrong with a rulebook, said so that whoever edits it can mend it."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class Fault:
    """One fault: the file, the path of keys inside it, what is wrong and how to mend it."""

    file: str
    path: tuple[str | int, ...]
    problem: str
    mend: str

    def __str__(self) -> str:
        place = ".".join(str(part) for part in self.path)
        where = f"{self.file}: {place}: " if place else f"{self.file}: "
        return f"{where}{self.problem} {self.mend}".strip()


class RulebookError(ValueError):
    """The rulebook cannot be used; `faults` lists every reason found."""

    def __init__(self, faults: tuple[Fault, ...]) -> None:
        self.faults = faults
        super().__init__("\n".join(str(fault) for fault in faults))
