"""What is noted while a case is read for the container model."""

from __future__ import annotations

from dataclasses import dataclass, field

from diagnose.bowl.modelled import Widened


@dataclass
class Notes:
    """What was assumed and left open while a case is read for the container model.

    assumed: sentences. untold: short names of what is not known. forced: kinds of events whose size
    nobody told. widened: parameters to draw more widely.
    """

    assumed: list[str] = field(default_factory=list)
    untold: set[str] = field(default_factory=set)
    forced: set[str] = field(default_factory=set)
    widened: Widened = field(default_factory=dict)

    def assume(self, name: str, sentence: str) -> None:
        self.untold.add(name)
        self.assumed.append(sentence)
