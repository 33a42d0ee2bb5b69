"""The places of a way of saying that numbers stand in: how each looks in plain words, and what it
says in the words that the case form reads.

Numbers are in figures or in words, exact or rough; the form's own readers of amounts and times make
quantities of them.
"""

from __future__ import annotations

import re
from collections.abc import Callable

UNITS_OF_NUMBER = {
    "zero": 0, "one": 1, "two": 2, "three": 3, "four": 4, "five": 5, "six": 6, "seven": 7,
    "eight": 8, "nine": 9, "ten": 10, "eleven": 11, "twelve": 12, "thirteen": 13, "fourteen": 14,
    "fifteen": 15, "sixteen": 16, "seventeen": 17, "eighteen": 18, "nineteen": 19,
}  # fmt: skip
TENS = {
    "twenty": 20, "thirty": 30, "forty": 40, "fourty": 40, "fifty": 50, "sixty": 60,
    "seventy": 70, "eighty": 80, "ninety": 90,
}  # fmt: skip
_UNITS = "|".join(sorted(UNITS_OF_NUMBER, key=len, reverse=True))
_TENS = "|".join(TENS)
#: Below this a bare water temperature is in degrees Celsius: no shrimp lives at 45 C, and a bowl at
#: 45 F would be said to be cold.
BARE_CELSIUS_BELOW = 45.0

_WORDED = rf"(?:(?:a|one) hundred|(?:{_TENS})(?: (?:{_UNITS}))?|{_UNITS})"
_FIGURE = r"(?:\d+(?:[.,]\d+)?|\.\d+)"
_ONE = rf"(?:{_FIGURE}|{_WORDED})"
_NEAR = (
    r"(?:about|around|roughly|approximately|approx|circa|ca|like|maybe|perhaps|probably|almost|"
    r"nearly|over|under|more than|less than|fewer than|at least|at most|up to|just under|just over"
    r"|only|another|exactly|some|a good|well over|between|from|other)"
)
_LOOSE = (
    r"(?:a couple(?: of)?|a pair of|quite a few|a few|several|half a dozen|a dozen|two dozen|"
    r"three dozen|dozens(?: of)?|a handful(?: of)?|hundreds(?: of)?|a lot of|lots of|many)"
)
#: `one a week` is no number of animals, and `2 litres` none either.
_NO_RATE = (
    r"(?! (?:a|an|per|each|every) (?:day|week|month|night|morning|fortnight|few)| ?%| percent|"
    r" (?:litres?|liters?|l|gallons?|gal|hours?|days?|weeks?|months?|years?|minutes?|degrees|ppm"
    r"|cm|inch|st|nd|rd|th)\b| [a-z]+ ago\b| (?:to|or) \d)"
)
COUNT = (
    rf"(?:{_NEAR} ){{0,2}}(?:{_ONE}(?: (?:to|or|and) {_ONE})?(?: dozen)?|{_LOOSE})"
    rf"(?: (?:or so|or more|plus|ish|odd))?{_NO_RATE}"
)
_AMOUNT = (
    rf"(?:{_NEAR} )?(?:{_ONE}(?: 1/2)?(?: (?:to|or) {_ONE})?|1/2|half an?|one and a half|"
    r"a quarter(?: of a)?|half|an?)(?: ish)?"
)
_TIME_UNIT = (
    r"(?:seconds?|mins?|minutes?|hours?|hrs?|h|days?|nights?|weeks?|wks?|fortnights?|months?|"
    r"mths?|years?|yrs?)"
)
_VOLUME_UNIT = (
    r"(?:l|litres?|liters?|ltrs?|(?<=\d\d\d )ml|us gallons?|gallons?|gals?|gal|quarts?|qts?|pints?|"
    r"cups?|"
    r"g(?= (?:tank|bowl|jar|vase|aquarium|cube|planted|nano|shrimp|setup|container|globe)))"
)
SPAN = (
    rf"(?:{_NEAR} )?(?:{_ONE} and a half|{_ONE}(?: 1/2)?(?: (?:to|or) {_ONE})?|half an?|"
    r"a couple(?: of)?|a couple more|a few(?: more)?|several|quite a few|an?) "
    rf"{_TIME_UNIT}(?: or so| and a half| or two)?"
)
SHARE = (
    rf"(?:{_NEAR} )?(?:{_FIGURE}(?: to {_FIGURE})? (?:%|percent|per cent)|\d ?/ ?\d|half|one half"
    r"|(?:a|one) third|(?:a|one) quarter|two thirds|three quarters|(?:a|one) fifth|nearly all"
    r"|almost all|most)"
)
_DEGREES, _SCALE = r"(?:degrees|degree|deg)", r"(?:c|f|celsius|fahrenheit)"
_FROM_TO = rf"(?:{_NEAR} )?{_FIGURE}(?: to {_FIGURE})?"
WARMTH = rf"{_FROM_TO}(?: {_DEGREES})?(?: {_SCALE})?"
WARMTH_SURE = rf"{_FROM_TO}(?: {_DEGREES}(?: {_SCALE})?| {_SCALE})"
READ_UNIT = r"(?:ppm|ppb|mg / l|mg/l|mg l|mg|dgh|dkh|us|degrees|degree|deg|%)"
VALUE = (
    rf"(?:(?:{_NEAR} )?(?:{_FIGURE}(?: (?:to|or) {_FIGURE})?|zero)(?: {READ_UNIT})?|undetectable|"
    r"none|nothing|nil|sky high|very high|high|very low|low|normal)"
)
_DAY_NAMES = r"(?:sunday|monday|tuesday|wednesday|thursday|friday|saturday|weekend)"
OFTEN = (
    rf"(?:(?:once|twice|{_ONE} (?:times|x)|{_ONE}) (?:a|per|each|every) "
    r"(?:day|week|fortnight|month)"
    r"|every (?:other |second |third )?(?:day|week|month|morning|evening|night)"
    rf"|every {_DAY_NAMES}|every (?:{_ONE}|couple of|few)(?: (?:to|or) {_ONE})? "
    r"(?:days|weeks|months)|(?:every|each) fortnight|each (?:other |second )?(?:day|week|month)"
    r"|daily|weekly|fortnightly|biweekly|bi weekly|monthly)"
)


_PARTS = r"(?:morning|noon|midday|lunchtime|afternoon|evening|eve|night|nite|pm|am)"
#: A day of the week that a thing happened on; `the Monday class` and `every Monday` tell no time.
DAY = (
    r"(?<!every )(?<!each )(?<!until )(?:"
    rf"(?:monday|tuesday|wednesday|thursday|friday|saturday|sunday|mon|wed|thu|fri)s?(?: {_PARTS})?"
    rf"|(?:sat|sun) {_PARTS})(?! (?:class|course|group|evenings|mornings))"
)
_DAY_WORDS = {
    "mon": "monday", "wed": "wednesday", "thu": "thursday", "fri": "friday", "sat": "saturday",
    "sun": "sunday", "midday": "noon", "lunchtime": "noon", "eve": "evening", "nite": "night",
    "pm": "afternoon", "am": "morning",
}  # fmt: skip


def in_figures(text: str) -> str:
    """The number words of a text as figures: `twenty five` is 25; other words stay."""
    words, out, place = text.split(), [], 0
    while place < len(words):
        word = words[place]
        after = words[place + 1] if place + 1 < len(words) else ""
        if word in TENS and UNITS_OF_NUMBER.get(after, 0) in range(1, 10):
            out.append(str(TENS[word] + UNITS_OF_NUMBER[after]))
            place += 1
        elif word in TENS or word in UNITS_OF_NUMBER:
            out.append(str(TENS.get(word, UNITS_OF_NUMBER.get(word, 0))))
        elif word in ("a", "one") and after == "hundred":
            out.append("100")
            place += 1
        elif after == "dozen" and word in ("two", "three"):
            out.append("24" if word == "two" else "36")
            place += 1
        else:
            out.append(word)
        place += 1
    return " ".join(out)


_SHARE_WORDS = {
    "1 third": "a third",
    "1 quarter": "a quarter",
    "2 thirds": "two thirds",
    "3 quarters": "three quarters",
    "a fifth": "20 %",
    "1 half": "half",
}
_VALUE_WORDS = {
    "undetectable": "0",
    "nothing": "0",
    "nil": "0",
    "none": "0",
    "sky high": "very high",
}
_OFTEN_WORDS = {
    "each other": "every other",
    "each second": "every other",
    "each fortnight": "fortnightly",
    "each week": "weekly",
    "each month": "monthly",
    "every fortnight": "fortnightly",
    "bi weekly": "fortnightly",
    "biweekly": "fortnightly",
    "every third": "every 3",
    "every other month": "every 2 months",
    "every second month": "every 2 months",
    "couple of": "2",
}
_DROPPED = re.compile(
    r"\b(?:only|another|exactly|the first|some|all|a good|between|from|other|probably)\b ?"
)


def _plain(text: str) -> str:
    """Figures, without words that say nothing about the number, and `or so` put in front."""
    said = _DROPPED.sub("", in_figures(text)).strip()
    said = re.sub(r"\blike\b", "about", said)
    said = re.sub(r"(?<=\d) 1/2\b", ".5", said).replace(" .5", ".5")
    said = re.sub(r"^half an?\b", "0.5", said)
    said = re.sub(r"^1/2\b", "0.5", said)
    found = re.fullmatch(r"(.+?) (?:or so|ish|odd)", said)
    if found is not None:
        said = f"about {found[1].removeprefix('about ')}"
    said = said.replace(" plus", " or more")
    twice = re.fullmatch(
        r"(?:about|maybe|perhaps) (about|over|under|at least|nearly|almost) (.+)", said
    )
    return f"{twice[1]} {twice[2]}" if twice is not None else said


def count(text: str) -> str:
    """A number of animals, for the form's reader of counts."""
    said = re.sub(r"^(a couple|a handful|dozens|hundreds|a pair) of$", r"\1", _plain(text))
    return re.sub(r"^(?:a lot of|lots of)$", "lots", said).replace(" and ", " to ")


def volume(text: str) -> str:
    """A volume with its unit."""
    said = re.sub(r"^an? ", "1 ", re.sub(r"^half\b", "0.5", _plain(text))).replace("0.5 a ", "0.5 ")
    said = re.sub(r"(\d+) and a half\b", lambda m: f"{m[1]}.5", said).replace(
        "a quarter of a", "0.25"
    )
    said = re.sub(r" (?:ltrs?|litres?|liters?)$", " L", said)
    return re.sub(r" (?:g|gals?)$", " gal", said).replace(" qts", " qt").replace(" l", " L")


def span(text: str) -> str:
    """A span of time with its unit, as `3 weeks`."""
    said = _plain(text)
    said = re.sub(r"(\S+) and a half (\w+)", lambda m: f"{_half_more(m[1])} {m[2]}", said)
    said = re.sub(r"^an? (\w+) and a half$", r"1.5 \1s", said)
    said = re.sub(r"^(?:an?|1) (\w+) or (?:two|2)$", r"1 to 2 \1s", said)
    said = said.replace("a couple more", "2").replace("a few more", "a few")
    said = re.sub(r"\b(?:several|a few|quite a few)\b", lambda m: m[0], said)
    said = re.sub(r"^a couple(?: of)? ", "2 ", said)
    said = re.sub(r"\bnights?$", "days", said)
    said = re.sub(r"\b(?:wks?)$", "weeks", said)
    said = re.sub(r"\b(?:mths?)$", "months", said)
    said = re.sub(r"\b(?:yrs?)$", "years", said)
    said = re.sub(r"\b(?:hrs?)$", "hours", said)
    said = re.sub(r"\b(?:mins)$", "minutes", said)
    found = re.fullmatch(r"(.*?)(\S+) fortnights?", said)
    if found is not None:
        said = (
            f"{found[1]}2 weeks" if found[2] in ("a", "1") else f"{found[1]}{found[2]} fortnights"
        )
    return re.sub(r"^an? ", "1 ", said)


def _half_more(number: str) -> str:
    return f"{float(number) + 0.5:g}" if number.replace(".", "", 1).isdigit() else "1.5"


def share(text: str) -> str:
    """A share of a whole."""
    said = _plain(text).replace("per cent", "%").replace("percent", "%")
    parts = re.fullmatch(r"(.*?)(\d) ?/ ?(\d)", said)
    if parts is not None and parts[3] != "0":
        return f"{parts[1]}{100 * int(parts[2]) / int(parts[3]):.3g} %"
    return _replaced(said, _SHARE_WORDS)


def warmth(text: str) -> str:
    """A temperature with its unit; one without is Fahrenheit where no water could be so warm."""
    said = _plain(text)
    said = re.sub(r" (?:degrees|degree|deg)", "", said)
    said = re.sub(r" (?:celsius|c)$", " C", said)
    said = re.sub(r" (?:fahrenheit|f)$", " F", said)
    if said[-1] in "CF":
        return said
    last = re.findall(r"\d+(?:[.,]\d+)?", said)[-1].replace(",", ".")
    return f"{said} {'C' if float(last) < BARE_CELSIUS_BELOW else 'F'}"


def value(text: str) -> str:
    """What a kit or meter showed."""
    said = _plain(text).replace("mg / l", "mg/L").replace("mg l", "mg/L").replace("mg/l", "mg/L")
    said = re.sub(r" mg$", " mg/L", said)
    said = re.sub(r" (?:degrees|degree|deg)$", "", said)
    words = {
        "undetectable": "0",
        "nothing": "none",
        "nil": "0",
        "none": "0",
        "sky high": "very high",
    }
    return words.get(said, said)


def day(text: str) -> str:
    """A day of the week, with the part of the day where that was told."""
    words = [word.removesuffix("s") if word.endswith("days") else word for word in text.split()]
    return " ".join(["on", *(_DAY_WORDS.get(word, word) for word in words)])


def often(text: str) -> str:
    """How often something is done, for the form's reader of intervals."""
    said = re.sub(rf"every {_DAY_NAMES}", "weekly", in_figures(text))
    said = re.sub(r"(?:every|each) (?:morning|evening|night)|each day", "daily", said)
    said = _replaced(said, _OFTEN_WORDS)
    said = re.sub(r"every few (\w+)", r"a few \1", said)
    return re.sub(r"(\d+|once|twice)(?: times| x)? (?:per|each|every) ", r"\1 a ", said)


def _replaced(said: str, words: dict[str, str]) -> str:
    for word, other in words.items():
        said = said.replace(word, other)
    return said


#: A time of the clock, of no day in particular.
_CLOCK = (
    rf"(?:half past |quarter past |quarter to )?(?:\d{{1,2}}(?::\d\d)?|{_UNITS}) ?"
    r"(?:am|pm|a m|p m|o ?clock|oclock|in the (?:morning|afternoon|evening)|at night|this morning|"
    r"this evening|tonight)"
)


_MONTHS = (
    r"(?:january|february|march|april|may|june|july|august|september|october|november|december)"
)
_DATE = (
    rf"(?:(?:the )?\d{{1,2}} (?:st|nd|rd|th)(?: of)?(?: {_MONTHS})?|\d{{1,2}} {_MONTHS}"
    rf"|{_MONTHS} (?:the )?\d{{1,2}}(?: (?:st|nd|rd|th))?(?! \d))"
)


def date(text: str) -> str:
    """A day of the month, and the month's name where that was told: `3`, `3 may`."""
    number, month = re.search(r"\d+", text), re.search(_MONTHS, text)
    return f"{number.group() if number else '0'} {month.group() if month else ''}".strip()


#: name: how it looks in plain words, and what makes of it what the form reads.
SLOTS: dict[str, tuple[str, Callable[[str], str]]] = {
    "n": (COUNT, count),
    "m": (COUNT, count),
    "volume": (rf"{_AMOUNT} {_VOLUME_UNIT}", volume),
    "span": (SPAN, span),
    "litres": (
        rf"(?<!per )(?<!every )(?<!each )(?:{_NEAR} )?"
        rf"(?:half an?|1/2|{_ONE}(?: and a half| 1/2)?(?: (?:to|or) {_ONE})?) {_VOLUME_UNIT}",
        volume,
    ),
    "share": (SHARE, share),
    "warmth": (WARMTH, warmth),
    "warmth_sure": (WARMTH_SURE, warmth),
    "value": (VALUE, value),
    "often": (OFTEN, often),
    "day": (DAY, day),
    "clock": (_CLOCK, _plain),
    "date": (_DATE, date),
    "size": (rf"(?:{_NEAR} )?{_ONE} (?:cm|mm|inch|inches)", _plain),
}
#: The mark of a text that holds a figure or a number word, and these words.
NUMBER, NUMBER_WORDS = "#", frozenset((*UNITS_OF_NUMBER, *TENS, "hundred"))
_UNIT_MARKS = frozenset("=l lit ltr =ml =us gal qua qts =qt pin cup =g".split())  # noqa: SIM905
#: For each slot the marks (see `lexicon.marks_of`) of words of which a text that fits it holds one.
MARKS: dict[str, frozenset[str]] = {
    **dict.fromkeys(
        ("n", "m"),
        frozenset((NUMBER, "few", "cou", "pai", "sev", "doz", "han", "hun", "lot", "man")),
    ),
    **dict.fromkeys(("volume", "litres"), _UNIT_MARKS),
    "span": frozenset(
        "sec min hou =h hrs =hr day nig wee wk wks for mon mth yea yrs =yr".split()  # noqa: SIM905
    ),
    "share": frozenset((NUMBER, "%", "per", "hal", "thi", "qua", "fif", "=all", "mos")),
    **dict.fromkeys(("warmth", "warmth_sure", "size", "clock", "date"), frozenset((NUMBER,))),
    "value": frozenset((NUMBER, "und", "non", "not", "nil", "sky", "ver", "hig", "low", "nor")),
    "often": frozenset(
        (NUMBER, "onc", "twi", "eve", "eac", "dai", "wee", "for", "biw", "bi", "mon")
    ),
    "day": frozenset(("mon", "tue", "wed", "thu", "fri", "sat", "sun")),
}
