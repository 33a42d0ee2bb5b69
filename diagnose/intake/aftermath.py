"""What followed after something was tried, how other animals are, and the season: words as keepers
write them.
"""

from __future__ import annotations

from diagnose.intake.problems import Unreadable

#: What keepers write for what followed, by what it means.
FOLLOWED_WORDS: dict[str, str] = {
    "helped": "helped",
    "better": "helped",
    "recovered": "helped",
    "improved": "helped",
    "stopped dying": "helped",
    "deaths stopped": "helped",
    "no more deaths": "helped",
    "nothing": "nothing",
    "no change": "nothing",
    "no effect": "nothing",
    "no help": "nothing",
    "died on": "nothing",
    "went on dying": "nothing",
    "deaths went on": "nothing",
    "worse": "worse",
    "got worse": "worse",
    "more died": "worse",
    "died at once": "worse",
    "helped for a while": "for a while",
    "helped at first": "for a while",
    "better for a while": "for a while",
    "better at first": "for a while",
    "helped for some hours": "for a while",
    "helped for hours": "for a while",
    "for a while": "for a while",
}
#: What keepers write for how the animals beside the shrimp are, by what it means.
STATE_WORDS: dict[str, str] = {
    **{word: word for word in ("fine", "breeding", "overturned", "gasping", "ill", "dying")},
    **{word: word for word in ("dead", "gone", "swarming")},
    "climbing out": "climbing_out",
    "climbed out": "climbing_out",
    "climbed to the top": "climbing_out",
    "climbing to the top": "climbing_out",
    "at the surface": "climbing_out",
    "crowding at the surface": "climbing_out",
    "alive": "fine",
    "active": "fine",
    "well": "fine",
    "healthy": "fine",
    "normal": "fine",
    "unharmed": "fine",
    "spawning": "breeding",
    "multiplying": "breeding",
    "on its back": "overturned",
    "upside down": "overturned",
    "sick": "ill",
    "poorly": "ill",
    "died": "dead",
    "all dead": "dead",
    "vanished": "gone",
}
#: What keepers write for those who alone died.
WHOM_WORDS: dict[str, str] = {
    **dict.fromkeys(("young", "young ones", "juveniles", "babies", "fry", "larvae"), "young"),
    **dict.fromkeys(("hatchlings", "newborns", "shrimplets", "small ones"), "young"),
    **dict.fromkeys(("grown", "grown ones", "adults", "old ones", "large ones"), "grown"),
    **dict.fromkeys(("one kind", "one species", "one of the kinds", "one sort"), "one_kind"),
}
#: Seasons and, for the northern half of the world, the months in them (meteorological quarters).
SEASON_WORDS: dict[str, str] = {
    "spring": "spring",
    "summer": "summer",
    "autumn": "autumn",
    "fall": "autumn",
    "winter": "winter",
    "march": "spring",
    "april": "spring",
    "may": "spring",
    "june": "summer",
    "july": "summer",
    "august": "summer",
    "september": "autumn",
    "october": "autumn",
    "november": "autumn",
    "december": "winter",
    "january": "winter",
    "february": "winter",
}
#: Words around a season that change nothing.
_AROUND = ("in", "last", "this", "late", "early", "mid", "the", "high", "deep", "of")


def read_followed(written: object) -> str:
    """What followed after something was tried: helped, nothing, worse, or help that passed (`for a
    while`). Raises Unreadable.
    """
    said = " ".join(str(written).lower().replace("_", " ").replace("-", " ").split())
    if said in FOLLOWED_WORDS:
        return FOLLOWED_WORDS[said]
    raise Unreadable(
        f"`{written}` does not say what followed.",
        "Write helped, nothing or worse; `helped for a while`, `no change`, `died on` will do too.",
    )


def read_state(written: object) -> str:
    """How the animals beside the shrimp are. Raises Unreadable."""
    said = " ".join(str(written).lower().replace("_", " ").replace("-", " ").split())
    if said in STATE_WORDS:
        return STATE_WORDS[said]
    raise Unreadable(
        f"`{written}` does not say how they are.",
        "Write fine, breeding, ill, climbing out, overturned, gasping, dying, dead, gone or "
        "swarming.",
    )


def read_whom(written: object) -> str:
    """Who alone died: the young, the grown ones or one kind. Raises Unreadable."""
    said = " ".join(str(written).lower().replace("_", " ").replace("-", " ").split())
    said = said.removesuffix(" only").removeprefix("only ").removeprefix("the ")
    if said in WHOM_WORDS:
        return WHOM_WORDS[said]
    raise Unreadable(f"`{written}` does not say who died.", "Write young, grown or one kind.")


def read_season(written: object) -> str:
    """The season, from its name or a month of the northern half of the world. Raises Unreadable."""
    said = str(written).lower().replace("-", " ").split()
    words = [word for word in said if word not in _AROUND]
    if len(words) == 1 and words[0] in SEASON_WORDS:
        return SEASON_WORDS[words[0]]
    raise Unreadable(
        f"`{written}` is neither a season nor a month.", "Write winter, or the month: August."
    )


def season_in(text: str) -> str | None:
    """The season that a time names by itself or by its month (`in August`); None if it does not."""
    words = text.lower().replace("-", " ").split()
    found = {SEASON_WORDS[word] for word in words if word in SEASON_WORDS and word != "may"}
    return found.pop() if len(found) == 1 else None
