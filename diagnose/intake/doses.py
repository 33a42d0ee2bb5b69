"""How much of a product was dosed, against its label: `twice the label`, `a capful`, `2 drops`."""

from __future__ import annotations

import re
from typing import Any, Literal, get_args

from diagnose.intake.problems import Unreadable

DoseWord = Literal[
    "below_label", "as_label", "above_label", "far_above_label", "more_than_before", "unmeasured"
]
#: From this many times the label a dose is far above it (convention of this program, no source).
FAR_ABOVE = 3.0
DOSE_SCHEMA: dict[str, Any] = {
    "type": "string",
    "description": "How much of a product, against what its label says.",
    "examples": ["as the label says", "twice the label", "half the label", "a capful", "2 drops"],
}
_TIMES = {"half": 0.5, "twice": 2.0, "double": 2.0, "triple": 3.0, "thrice": 3.0}

# Patterns are kept as text: `re` compiles one when it is first needed, and most never are.
_LABEL = (
    r"(?: (?:of )?(?:the )?(?:label|usual|recommended|normal|labelled|full|stated)?(?: dose)?)?"
)
_FACTOR = (
    r"(?P<times>half|a half|twice|double|triple|thrice|a quarter|a third|\d+(?:[.,]\d+)?"
    r"|three|four|five|ten)(?: ?(?:times|x))?" + _LABEL
)
_BARE_NUMBER = r"\d+(?:[.,]\d+)?"
_PERCENT = r"(?P<percent>\d+) ?%" + _LABEL
_BY_WORD: tuple[tuple[DoseWord, str], ...] = (
    (
        "far_above_label",
        r".*\b(?:far|way|much|many times|well|massive\w*|hugely?)\b"
        r".*\b(?:above|over|more|too much|overdos\w+|label)\b.*|a whole (?:bottle|pack).*",
    ),
    (
        "more_than_before",
        r"(?:a (?:little|bit) )?more than (?:before|usual|last time|always)|increased|raised",
    ),
    (
        "below_label",
        r".*\b(?:less than|below|under|underdos\w+|too little)\b.*|reduced|a little less",
    ),
    (
        "above_label",
        r".*\b(?:above|over|more than|too much|overdos\w+|generous\w*|extra|exceed\w*)\b.*",
    ),
    (
        "as_label",
        r"(?:as |by |per |according to )?(?:the |on the )?(?:label|instructions?|leaflet"
        r"|directions?|usual|normal|recommended|full|measured|correct)(?: says| said| dose| one)?"
        r"|exact(?:ly)?(?: dose)?|as (?:recommended|told|directed|prescribed|usual|always|before)"
        r"|as the \w+ says?",
    ),
    (
        "unmeasured",
        r".*\b(?:capfuls?|caps?|drops?|squirts?|splash\w*|pumps?|spoons?|teaspoons?|pinch\w*"
        r"|tablets?|sachets?|ml|g|mg|sticks?|unmeasured|by eye|estimated|unknown|guess\w*"
        r"|not measured)\b.*",
    ),
)


def read_dose(written: object) -> DoseWord:
    """How much was dosed against the label; `unmeasured` where only caps, drops or millilitres were
    told, of which nobody here knows what the label asks. Raises Unreadable.
    """
    right = (
        "Write `as the label says`, `twice the label`, `half the label`, `a capful` or `2 drops`."
    )
    if isinstance(written, bool) or not isinstance(written, str | int | float):
        raise Unreadable(f"`{written}` is not a dose.", right)
    said = " ".join(str(written).lower().replace("-", " ").split())
    for word in get_args(DoseWord):
        if said.replace(" ", "_") == word:
            return word  # type: ignore[no-any-return]
    factor = re.fullmatch(_FACTOR, said)
    percent = re.fullmatch(_PERCENT, said)
    if percent is not None:
        return _against(float(percent["percent"]) / 100.0)
    if factor is not None and not re.fullmatch(_BARE_NUMBER, said):
        return _against(_times(factor["times"]))
    for word, pattern in _BY_WORD:
        if re.fullmatch(pattern, said):
            return word
    raise Unreadable(f"`{written}` does not say how much against the label.", right)


def _times(word: str) -> float:
    few = {"a half": 0.5, "a quarter": 0.25, "a third": 1.0 / 3.0, "three": 3.0, "four": 4.0}
    known = {**_TIMES, **few, "five": 5.0, "ten": 10.0}
    return known[word] if word in known else float(word.replace(",", "."))


def _against(times: float) -> DoseWord:
    if times < 1.0:
        return "below_label"
    if times == 1.0:
        return "as_label"
    return "above_label" if times < FAR_ABOVE else "far_above_label"
