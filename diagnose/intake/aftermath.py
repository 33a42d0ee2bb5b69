"""What followed after something was tried, and the season: words as keepers write them."""

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
    """What followed after something was tried: helped, nothing or worse. Raises Unreadable."""
    said = " ".join(str(written).lower().replace("_", " ").replace("-", " ").split())
    if said in FOLLOWED_WORDS:
        return FOLLOWED_WORDS[said]
    raise Unreadable(
        f"`{written}` does not say what followed.",
        "Write helped, nothing or worse; `recovered`, `no change`, `died on` are fine too.",
    )


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
