"""How many died where nobody counted: `all`, `all but one`, `most`, `about half of them`."""

from __future__ import annotations

from typing import Any

from diagnose.intake.habit_words import SHARES
from diagnose.intake.problems import Unreadable
from diagnose.intake.quantities import SHARE, read_count, read_quantity
from diagnose.intake.rough import spoken

ALL_BUT = ("all but ", "all except ", "everything but ", "all save ")
#: Words that are a share of all and not a number of animals.
_NO_SHARE_OF_ALL = frozenset(
    {"none", "nothing", "no", "a few", "some", "many", "a lot", "much", "a little", "little"}
)


def spread_rough_deaths(written: dict[str, Any]) -> dict[str, Any]:
    """The fields of `deaths` with a `dead` that is a part of all put where it belongs: `share`, or
    `left` for all but some. Raises Unreadable.
    """
    dead = written.get("dead")
    if not isinstance(dead, str):
        return written
    said = " ".join(dead.lower().split())
    for ending in (" of them", " of the shrimp", " the shrimp", " shrimp", " of all"):
        said = said.removesuffix(ending)
    rest = {key: value for key, value in written.items() if key != "dead"}
    for start in ALL_BUT:
        if said.startswith(start):
            try:
                return rest | {"left": read_count(said.removeprefix(start))}
            except Unreadable as error:
                raise Unreadable(error.problem, "Write `all but one`.", "dead") from None
    is_share = said.endswith(("%", "percent")) or (
        said not in _NO_SHARE_OF_ALL and spoken(SHARES, said) is not None
    )
    if not is_share or "share" in written:
        return written
    try:
        return rest | {"share": read_quantity(said, SHARE)}
    except Unreadable as error:
        raise Unreadable(error.problem, error.hint, "dead") from None
