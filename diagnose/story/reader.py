"""Reads a story: what its words plainly say of this container, and which words said nothing.

Questions, wishes, doubts, hearsay and what happened in other containers are no facts. Where two
statements about one thing do not agree, neither is read. The order of sentences matters only where
one counts its time from another (`two days later`).
"""

from __future__ import annotations

import re
from collections.abc import Callable, Iterable, Iterator, Mapping
from dataclasses import dataclass, replace
from datetime import datetime, timedelta
from typing import Any

from diagnose.intake import quantities as q
from diagnose.intake.amounts import read_amount, read_every, read_often
from diagnose.intake.meaning import known_as
from diagnose.intake.moments import hours_before_asking, read_moment
from diagnose.intake.names import CONTAINER_KINDS
from diagnose.intake.problems import Unreadable
from diagnose.intake.rough import ends, sum_of_counts
from diagnose.intake.written_readings import canonical_reading
from diagnose.rulebook.terms import Term
from diagnose.story.facts import EVENT_AT, OTHER, PART_OF, READING, SPECIES_IS, Told
from diagnose.story.lexicon import Lexicon, TimeWay, Way, marks_of
from diagnose.story.slots import SLOTS
from diagnose.story.words import Clause, Sentence, sentences

KINDS = known_as(CONTAINER_KINDS)
#: How many words before a statement a denial reaches.
DENIAL_REACHES = 6
#: How many words may lie between a statement and a time that belongs to it.
TIME_REACHES = 12
#: A list may go on after a comma for so many words, and be denied with its first.
LIST_WORDS = 3
#: Longer stories are read up to here.
LONGEST_READ = 20_000
_BESIDE = 4
#: Words after which the next thing that happened is told.
_NEXT_THING = frozenset(("and", "then", "after", "before"))
#: A detail of the event that was told of just before, or in the same sentence.
OF_SOME_EVENT = "event:"
#: A clause that gives the time of what was told just before it.
_THAT_WAS = re.compile(r" (?:that|this|all this|it all) (?:was|happened)\b")
_AFTER = frozenset(("after", "since", "following"))
_LEAST_UNREAD = 2
#: How far back a date is looked for.
_DAYS_OF_A_MONTH, _DAYS_OF_A_YEAR = 31, 366
#: Shorter spans since a moment told in words are too uncertain to be an age.
_SHORT_AGE_H = 48.0
#: Words before a span that the form's reader of moments has no use for.
_ROUGHLY = re.compile(
    r"^(?:almost|nearly|just under|just over|well over|over|under|more than|less than|at least|"
    r"at most|up to) "
)


@dataclass(frozen=True, slots=True)
class Reading:
    """What a stretch of a story means, and its words."""

    tells: tuple[tuple[str, Told], ...]
    words: str


@dataclass(frozen=True, slots=True)
class Story:
    """All that was read, in the order it was said; the clauses in which nothing was; and those set
    aside because they ask, wish, doubt or tell of something else.
    """

    readings: tuple[Reading, ...]
    unread: tuple[str, ...] = ()
    set_aside: tuple[str, ...] = ()

    def tells(self) -> tuple[tuple[str, Told], ...]:
        """Every fact."""
        return tuple(pair for reading in self.readings for pair in reading.tells)


@dataclass(frozen=True, slots=True)
class _Found:
    """One statement in a clause: its stretch of the clause's text, and what it tells."""

    clause: Clause
    place: tuple[int, int]
    start: int
    end: int
    tells: tuple[tuple[str, Told], ...]
    exempt: bool = False
    deaths: bool = False


@dataclass(frozen=True, slots=True)
class _When:
    """A time in a clause."""

    place: tuple[int, int]
    start: int
    end: int
    counts: str
    text: str
    that_was: bool = False


def read_story(
    text: str, lexicon: Lexicon, vocabulary: Mapping[str, Term], now: datetime | None = None
) -> Story:
    """What a story says. now: the time of asking, for times counted from an event with a date."""
    text = text[:LONGEST_READ]
    found: list[_Found] = []
    times: list[_When] = []
    aside: set[tuple[int, int]] = set()
    clauses: dict[tuple[int, int], Clause] = {}
    reacting: set[tuple[int, int]] = set()
    ended: set[tuple[int, int]] = set()
    lists = lexicon.lists
    for number, sentence in enumerate(
        sentences(text, lists["joints"], lists["subjects"], lists["abbreviations"], lexicon.spelt)
    ):
        for index, clause, stance in _stances(sentence, lexicon):
            place = (number, index)
            clauses[place] = clause
            if stance.aside:
                aside.add(place)
            if stance.reacts:
                reacting.add(place)
            if clause.joint in ("until", "till"):
                ended.add((number, index - 1))
            if not (stance.aside and not stance.certain_only):
                times += _times(clause, place, lexicon, stance.marks, now)
            found += _statements(clause, place, lexicon, vocabulary, stance)
    found = _tallied([one for one in found if one.tells or one.deaths])
    found = [replace(one, tells=_still(one, ended, vocabulary)) for one in found]
    tried = frozenset(event for term in vocabulary.values() for event in term.tried)
    since = {(n, i - 1) for (n, i), clause in clauses.items() if clause.joint == "since"}
    found = _with_times(found, times, reacting, since, now, tried)
    said = {one.place for one in found} | {when.place for when in times}
    unread = tuple(
        _slice(text, clause)
        for place, clause in clauses.items()
        if place not in said and place not in aside and _says_something(clause, lists["idle"])
    )
    found = [replace(one, tells=_by_event(one.tells, vocabulary)) for one in found]
    return Story(
        _agreeing(found, text),
        unread,
        tuple(_slice(text, clauses[place]) for place in clauses if place in aside - said),
    )


def _still(
    one: _Found, ended: set[tuple[int, int]], vocabulary: Mapping[str, Term]
) -> tuple[tuple[str, Told], ...]:
    """What a statement tells of now: of what was so `until ...` no sign, and not that none died."""
    if one.place not in ended:
        return one.tells
    return tuple(
        (name, value)
        for name, value in one.tells
        if (name, value) != ("deaths.dead", "0")
        and (name not in vocabulary or name.startswith("did_"))
    )


def _by_event(
    tells: tuple[tuple[str, Told], ...], vocabulary: Mapping[str, Term]
) -> tuple[tuple[str, Told], ...]:
    """Times of events and their details under the events' own names in the form."""
    named: list[tuple[str, Told]] = []
    for name, value in tells:
        for lead in (EVENT_AT, PART_OF):
            if name.startswith(lead):
                event, dot, part = name.removeprefix(lead).partition(".")
                term = vocabulary.get("did_" + event.replace("-", "_"))
                event = term.event if term is not None and term.event is not None else event
                name = f"{lead}{event}{dot}{part}"
        if not name.startswith(EVENT_AT) or _is_moment(str(value)):
            named.append((name, value))
    return tuple(named)


@dataclass(frozen=True, slots=True)
class _Stance:
    """How a clause is meant: set aside or told; of another container, so that only what is sure to
    speak of this one's neighbours is read; a question or a wish, of which only that is read which
    it takes for granted of this one; denied with the clause before it; a reaction to losses. marks:
    of its words; turns: those of the grammar that it can hold.
    """

    aside: bool
    certain_only: bool
    own_only: bool
    denied: bool
    reacts: bool
    marks: set[str]
    turns: Mapping[str, list[re.Pattern[str]]]


def _stances(sentence: Sentence, lexicon: Lexicon) -> Iterator[tuple[int, Clause, _Stance]]:
    first = sentence.clauses[0]
    asks = sentence.asks or _begins(first, lexicon.turns_in(_marks(first))["ask"])
    elsewhere = open_wish = denied = False
    for index, clause in enumerate(sentence.clauses):
        marks = _marks(clause)
        turns = lexicon.turns_in(marks)
        if _holds(clause.text, turns["mine"]):
            elsewhere = False
        if _holds(clause.text, turns["elsewhere"]):
            elsewhere = True
        wish = _holds(clause.text, turns["wish"]) or _begins(clause, turns["ask"])
        open_wish = open_wish or clause.joint in ("if", "whether", "unless")
        inherits = (
            denied
            and len(clause.words) <= LIST_WORDS
            and not _holds(clause.text, turns["fresh_subject"])
            and clause.joint in ("", "or", "nor")
        )
        denied = inherits or _last_denial(clause.text, turns) is not None
        yield (
            index,
            clause,
            _Stance(
                asks or wish or open_wish or elsewhere,
                elsewhere and not (asks or wish or open_wish),
                not elsewhere,
                inherits,
                _begins(clause, turns["react"]),
                marks,
                turns,
            ),
        )


def _begins(clause: Clause, patterns: Iterable[re.Pattern[str]]) -> bool:
    return any(pattern.match(clause.text) for pattern in patterns)


def _holds(text: str, patterns: Iterable[re.Pattern[str]]) -> bool:
    return any(pattern.search(text) for pattern in patterns)


def _marks(clause: Clause) -> set[str]:
    return marks_of(word.text for word in clause.words)


def _last_denial(text: str, turns: Mapping[str, list[re.Pattern[str]]]) -> int | None:
    """Where the last word that denies what follows ends, or None."""
    last = None
    for pattern in turns["deny"]:
        for match in pattern.finditer(text):
            last = match.end() if last is None else max(last, match.end())
    return last


def _denied(before: str, turns: Mapping[str, list[re.Pattern[str]]]) -> bool:
    """Whether a statement is denied by the words before it in its clause."""
    reach = "".join(f" {word}" for word in before.split()[-DENIAL_REACHES:])
    for pattern in turns["mere"]:
        reach = pattern.sub(" ", reach)
    return _last_denial(reach, turns) is not None


def _near_ways(marks: set[str], index: Mapping[str, tuple[tuple[int, Any], ...]]) -> list[Any]:
    """The ways whose every part some word can fit, in the order of the lexicon."""
    near = {
        number: way
        for mark in ("", *marks)
        for number, way in index.get(mark, ())
        if not any(map(marks.isdisjoint, way.needs))
    }
    return [near[number] for number in sorted(near)]


def _times(
    clause: Clause,
    place: tuple[int, int],
    lexicon: Lexicon,
    marks: set[str],
    now: datetime | None,
) -> list[_When]:
    found: list[tuple[re.Match[str], TimeWay]] = []
    for way in _near_ways(marks, lexicon.times_by_mark):
        found += [(match, way) for match in way.pattern.finditer(clause.text)]
    found.sort(key=lambda item: (item[0].start() - item[0].end(), item[0].start()))
    kept: list[_When] = []
    for match, way in found:
        if any(match.start() < when.end and when.start < match.end() for when in kept):
            continue
        says = _filled(way.says, match)
        if says is None:
            continue
        text, counts = str(says), way.counts
        if counts == "date":
            day = _day_of(text, now)
            if day is None:
                continue
            text, counts = day, "moment"
        if counts in ("moment", "since") and not _is_moment(text):
            text = _ROUGHLY.sub("about ", text)
            if not _is_moment(text):
                continue
        back = _THAT_WAS.match(clause.text) is not None
        kept.append(_When(place, match.start(), match.end(), counts, text, back))
    return sorted(kept, key=lambda when: when.start)


def _day_of(date: str, now: datetime | None) -> str | None:
    """A day of the month (`3`) or of the year (`3 may`), the last one before now, as days ago."""
    if now is None:
        return None
    day, _, month = date.partition(" ")
    for days in range(_DAYS_OF_A_YEAR):
        then = now - timedelta(days=days)
        if then.day == int(day) and month in ("", then.strftime("%B").lower()):
            return f"{days} days ago" if days else "today"
        if not month and days > _DAYS_OF_A_MONTH:
            return None
    return None


def _is_moment(text: str) -> bool:
    try:
        read_moment(text)
    except Unreadable:
        return False
    return True


def _filled(value: Any, match: re.Match[str]) -> Any:
    """A value with its slots filled by what stands in the text; None if a slot is empty."""
    if not isinstance(value, str) or "{" not in value:
        return value
    groups = match.groupdict()

    def fill(slot: re.Match[str]) -> str:
        name = slot[1]
        said = groups.get(name)
        if said is None:
            raise LookupError
        return SLOTS[name][1](said) if name in SLOTS else said

    try:
        return re.sub(r"\{(\w+)\}", fill, value)
    except LookupError:
        return None


def _statements(
    clause: Clause,
    place: tuple[int, int],
    lexicon: Lexicon,
    vocabulary: Mapping[str, Term],
    stance: _Stance,
) -> list[_Found]:
    matches: list[tuple[re.Match[str], Way]] = []
    for way in _near_ways(stance.marks, lexicon.by_mark):
        if stance.aside and not (
            (stance.certain_only and way.certain) or (stance.own_only and way.own)
        ):
            continue
        matches += [(match, way) for match in way.pattern.finditer(clause.text)]
    matches.sort(
        key=lambda item: (
            item[0].start() - item[0].end(),
            item[0].start(),
            not _hides(item[1]),
            -sum(said is not None for said in item[0].groups()),
            item[1].gaps,
        )
    )
    kept: list[tuple[re.Match[str], Way]] = []
    for match, way in matches:
        if any(
            (_lies_in(match, m) and _say_the_same_thing(w, way))
            or (_overlap(match, m) and _count_the_same_dead(w, way))
            or _share_a_number(m, match)
            for m, w in kept
        ):
            continue
        kept.append((match, way))
    found = []
    for match, way in kept:
        one = _statement(clause, place, match, way, lexicon, vocabulary, stance)
        if one is not None:
            found.append(one)
    if not stance.aside:
        found += _named(clause, place, lexicon, stance)
    return found


def _lies_in(one: re.Match[str], other: re.Match[str]) -> bool:
    return other.start() <= one.start() and one.end() <= other.end()


def _overlap(one: re.Match[str], other: re.Match[str]) -> bool:
    return one.start() < other.end() and other.start() < one.end()


def _count_the_same_dead(one: Way, other: Way) -> bool:
    """Whether both count the dead: two words for one body are no two bodies."""
    return any(
        {name for name, _ in way.means} & _SUMS
        and {name for name, _ in also.means} & (_SUMS | {"deaths.left", "deaths.told"})
        for way, also in ((one, other), (other, one))
    )


def _say_the_same_thing(longer: Way, shorter: Way) -> bool:
    """Whether two ways speak of one thing, so that the longer one says it better; a habit of
    changing water is no change of water.
    """
    names = {name for name, _ in longer.means}
    if (names | longer.hides) & {name for name, _ in shorter.means}:
        return True
    return _outdoes(longer, shorter)


def _hides(way: Way) -> bool:
    return bool(way.hides) or any(name in _OUTDONE for name, _ in way.means)


def _outdoes(longer: Way, shorter: Way) -> bool:
    names = {name for name, _ in longer.means}
    return any(
        {name for name, _ in shorter.means} & outdone
        for habit, outdone in _OUTDONE.items()
        if any(name.startswith(habit) for name in names)
    )


#: Ways of saying something whose words, taken singly, would say something else: a habit is no one
#: time, snails at the surface are no shrimp there.
_OUTDONE = {
    "container.change_": {"did_water_change"},
    "container.topup": {"container.water_source"},
    "did_supplier_works": {"yellow_water", "cloudy_water"},
    "white_crust": {"at_surface"},
    "surface_film": {"at_surface"},
    "snails_state": {"at_surface", "leaving_water", "survivors_normal"},
    "fish_state": {"at_surface", "survivors_normal"},
    "paralysed": {"twitching"},
    "empty_gut": {"lying_on_side"},
    "deaths_go_on": {"did_new_animals"},
    "microcrustaceans_state": {"jumping", "racing"},
    "nose_threads": {"tiny_worms"},
    "did_air_added": {"did_new_hardscape"},
    "food_left_over": {"body_fuzz"},
    "other_containers": {"survivors_normal"},
    "young_seen": {"did_new_animals"},
}


def _share_a_number(one: re.Match[str], other: re.Match[str]) -> bool:
    """Whether two statements use the same figures: then only the longer one is meant."""
    for name in one.re.groupindex:
        for also in other.re.groupindex:
            if one.group(name) is None or other.group(also) is None:
                continue
            (a, b), (c, d) = one.span(name), other.span(also)
            if a < d and c < b:
                return True
    return False


def _statement(
    clause: Clause,
    place: tuple[int, int],
    match: re.Match[str],
    way: Way,
    lexicon: Lexicon,
    vocabulary: Mapping[str, Term],
    stance: _Stance,
) -> _Found | None:
    before = clause.text[: match.start()]
    if _holds(before, stance.turns["doubt"]) and not way.own:
        return None
    if _denies_inside(match, way, stance.turns):
        return None
    denied = stance.denied or _denied(before, stance.turns)
    again = _holds(clause.text, stance.turns["rates"])
    named = f"{match.group()}{_next_words(clause.text, match.end())}"
    others = _holds(named, stance.turns["not_shrimp"])
    tells: list[tuple[str, Told]] = []
    deaths = False
    for name, value in way.means:
        term = vocabulary.get(name)
        said = _filled(value, match)
        if said is None:
            continue
        if name in _SUMS and (again or others):
            deaths = deaths or again
            continue
        if denied:
            if name in _WITHOUT:
                tells.append((name, _WITHOUT[name]))
                continue
            if term is None or term.kind != "sign":
                return None
            if said == "absent" and (_denied(before, stance.turns) or not stance.denied):
                return None
            said = "absent"
        if name.startswith("reading") and name in match.re.groupindex:
            name = READING + lexicon.readings[match.group(name)]
            if " tap " in f"{clause.text} ":
                name += "@tap"
        elif name.startswith(READING) and " tap " in f"{clause.text} ":
            name += "@tap"
        elif name == "container.kind":
            said = KINDS.get(str(said), said)
        deaths = deaths or name.startswith("deaths.") or name == "deaths_share"
        if _can_stand(name, said):
            tells.append((name, said))
    tells = _all_but(tells)
    return _Found(clause, place, match.start(), match.end(), tuple(tells), False, deaths)


def _next_words(text: str, end: int) -> str:
    """The word or two that a row of words goes on with, up to one that begins something else."""
    following: list[str] = []
    for word in text[end:].split()[:2]:
        if word in _BEGIN_ANEW:
            break
        following.append(f" {word}")
    return "".join(following)


def _all_but(tells: list[tuple[str, Told]]) -> list[tuple[str, Told]]:
    """`All but one of the eleven` as ten dead of eleven; without the whole, as one left."""
    said = dict(tells)
    if _ALL_BUT not in said:
        return tells
    rest = [(name, value) for name, value in tells if name != _ALL_BUT]
    if "deaths.of" not in said:
        return [*rest, ("deaths.left", said[_ALL_BUT])]
    (low, high), (least, most) = (
        ends(q.read_count(said[name])) for name in ("deaths.of", _ALL_BUT)
    )
    if low < most:
        return []
    least_dead, most_dead = low - most, high - least
    dead = f"{least_dead:.0f}" if least_dead == most_dead else f"{least_dead:.0f}-{most_dead:.0f}"
    return [*rest, ("deaths.dead", dead)]


def _denies_inside(
    match: re.Match[str], way: Way, turns: Mapping[str, list[re.Pattern[str]]]
) -> bool:
    """Whether a denial stands in the words between those of the way itself and its amounts."""
    amounts = [match.span(name) for name in match.re.groupindex]
    for pattern in turns["deny"]:
        for denial in pattern.finditer(match.string, match.start(), match.end()):
            if set(denial.group().split()) <= way.words:
                continue
            if not any(a <= denial.start() + 1 and denial.end() <= b for a, b in amounts):
                return True
    return False


#: What a denial says of a part of the container.
_WITHOUT = {"container.filter": "none", "container.heater": "none", "container.lid": "open"}
_BEGIN_ANEW = frozenset(
    ("and", "but", "or", "the", "my", "our", "in", "on", "of", "with", "while", "plus", "also")
)
#: Where one of these is told, somebody died, whatever a sentence says of other times.
_TELL_OF_DEATHS = frozenset(
    {"deaths.first", "deaths.over", "deaths.share", "death_course", "deaths_go_on"}
)
#: All that died, whatever was counted before; all but so many of those named with it.
_TOTAL, _ALL_BUT = "deaths.total", "deaths.but"
#: A count told after one of deaths, by its place.
_THEN = "deaths.then"
#: Sums that what happens again and again does not tell.
_SUMS = frozenset({"deaths.dead", "deaths.more", _THEN, _TOTAL})
_COUNTED = SLOTS["n"][0]
#: Food, plants and gear that bear an animal's name.
_OF_ANIMALS = (
    r"(?! (?:grass|foods?|flakes?|pellets?|wafers?|nets?|bags?|bowls?|tanks?|shops?|weed))"
)
_LOOKS = r"(?:small|little|big|adult|tiny|baby|few|male|female|red|blue)"


def _named(
    clause: Clause, place: tuple[int, int], lexicon: Lexicon, stance: _Stance
) -> list[_Found]:
    """Kinds of shrimp and other animals that are named."""
    found = []
    text = clause.text
    for match in _name_pattern(lexicon, "species").finditer(text):
        before = text[: match.start()]
        if stance.denied or _denied(before, stance.turns):
            continue
        name = lexicon.species[match["name"]]
        tells: tuple[tuple[str, Told], ...] = ((SPECIES_IS + name, name),)
        found.append(_Found(clause, place, match.start(), match.end(), tells, True))
    for match in _name_pattern(lexicon, "animals").finditer(text):
        before = text[: match.start()]
        if stance.denied or _denied(before, stance.turns) or _holds(before, stance.turns["doubt"]):
            continue
        animal = lexicon.animals[match["name"]]
        told: list[tuple[str, Told]] = [(OTHER + animal.id, match["name"])]
        if match["n"] is not None:
            number = SLOTS["n"][1](match["n"])
            if _can_stand("count", number):
                told.append((f"{OTHER}{animal.id}.count", number))
        found.append(_Found(clause, place, match.start(), match.end(), tuple(told), True))
    return found


_NAME_PATTERNS: dict[tuple[int, str], re.Pattern[str]] = {}


def _name_pattern(lexicon: Lexicon, kind: str) -> re.Pattern[str]:
    key = (id(lexicon), kind)
    if key not in _NAME_PATTERNS:
        names = getattr(lexicon, kind)
        body = "|".join(sorted(map(re.escape, names), key=len, reverse=True)) or r"(?!)"
        plain = rf" (?P<name>{body})(?= |$){_OF_ANIMALS}"
        lead = rf"(?:(?: (?P<n>{_COUNTED}))(?: {_LOOKS})?)?" if kind == "animals" else ""
        _NAME_PATTERNS[key] = re.compile(lead + plain)
    return _NAME_PATTERNS[key]


def _with_times(
    found: list[_Found],
    times: list[_When],
    reacting: set[tuple[int, int]],
    before_since: set[tuple[int, int]],
    now: datetime | None,
    tried: frozenset[str],
) -> list[_Found]:
    """The statements with the times that belong to them, in the order of the story. before_since:
    the clauses that go on with `since`.
    """
    found = sorted(found, key=lambda one: (one.place, one.start))
    by_place: dict[tuple[int, int], list[_When]] = {}
    for when in times:
        by_place.setdefault(when.place, []).append(when)
    since = {
        (number, index): by_place[number, index + 1][0]
        for number, index in before_since
        if (number, index + 1) in by_place
    }
    filled = {one.place for one in found}
    dated = {one.place for one in found if one.deaths or _events(one)}
    dying_in = {one.place[0] for one in found if one.deaths}
    telling = _Telling([], None, {}, False)
    for one in found:
        extra: list[tuple[str, Told]] = []
        near = None
        if one.deaths or _events(one) or _since(one):
            beside = [other for other in found if other.place == one.place and other is not one]
            near = _when_of(one, by_place, filled, dated, beside)
        if _events(one):
            at = _event_time(one, near, one.place[0] in dying_in, reacting, telling, now)
            if at is not None:
                extra += [(EVENT_AT + name, at) for name in _events(one)]
                telling.times[len(telling.done)] = at
            telling.last_event = len(telling.done)
        elif _since(one):
            extra += _how_long(one, since.get(one.place, near), now)
        elif one.deaths and not _later_ones(one):
            began = near if near is not None else since.get(one.place)
            extra += [] if began is None else _first_death(began, telling, now)
        telling.dying = telling.dying or one.deaths
        tells = tuple(pair for pair in one.tells if pair[0] not in _SINCE)
        telling.done.append(replace(one, tells=(*tells, *extra)))
    return [replace(one, tells=_of_events(one, found, tried)) for one in telling.done]


#: What a share of the water or a volume can belong to.
_HAVE_A_SHARE = frozenset({"water-change", "topup"})
#: Since when something is, and the field of the form that holds for how long.
_SINCE = {"container.since": "container.age", "stock.since": "stock.kept"}


def _since(one: _Found) -> list[str]:
    return [_SINCE[name] for name, _ in one.tells if name in _SINCE]


def _how_long(one: _Found, when: _When | None, now: datetime | None) -> list[tuple[str, Told]]:
    """How long ago a moment is that stands with the words, if that is known and not short."""
    if when is None or when.counts != "moment" or now is None:
        return []
    try:
        hours = hours_before_asking(read_moment(when.text), asked_at=now, first_death=None)
    except Unreadable:
        return []
    if hours is None or hours < _SHORT_AGE_H:
        return []
    return [(name, f"about {hours / 24.0:.0f} days") for name in _since(one)]


def _of_events(
    one: _Found, found: list[_Found], tried: frozenset[str]
) -> tuple[tuple[str, Told], ...]:
    """What a statement tells; a detail of no event named (`that helped`) is one of the nearest
    told in its sentence, else of the last before it, and nothing where there is none. Only what is
    tried against losses helps or does not.
    """
    tells: list[tuple[str, Told]] = []
    for name, value in one.tells:
        if not name.startswith(OF_SOME_EVENT):
            tells.append((name, value))
            continue
        part = name.removeprefix(OF_SOME_EVENT)
        fit = {"followed": tried, "share": _HAVE_A_SHARE, "volume": _HAVE_A_SHARE}.get(part)
        asked = [f for f in found if fit is None or fit & set(_events(f))]
        here = [f for f in asked if f.place[0] == one.place[0] and _events(f)]
        before = [f for f in asked if (f.place, f.start) < (one.place, one.start) and _events(f)]
        near = [f for f in here if f in before][-1:] or before[-1:] or here[:1]
        tells += [(f"{PART_OF}{event}.{part}", value) for f in near for event in _events(f)[:1]]
    return tuple(tells)


def _tallied(found: list[_Found]) -> list[_Found]:
    """A count that only its place makes one of deaths (`Tuesday three`) is of further ones where
    deaths were told just before it, in its sentence or the last, and no count elsewhere.
    """
    dying = {(one.place, one.start) for one in found if one.deaths and _THEN not in dict(one.tells)}
    kept = []
    for one in found:
        if _THEN not in dict(one.tells):
            kept.append(one)
        elif any(
            one.place[0] - place[0] in (0, 1) and (place, at) < (one.place, one.start)
            for place, at in dying
        ):
            more = tuple(("deaths.more" if n == _THEN else n, v) for n, v in one.tells)
            kept.append(replace(one, tells=more))
    return kept


@dataclass(slots=True)
class _Telling:
    """A story as far as it was gone through: its statements, which of them was the last event, the
    times of events, and whether deaths were spoken of.
    """

    done: list[_Found]
    last_event: int | None
    times: dict[int, str]
    dying: bool


def _events(one: _Found) -> list[str]:
    return [
        name.removeprefix("did_").replace("_", "-")
        for name, value in one.tells
        if name.startswith("did_") and value == "present"
    ]


def _later_ones(one: _Found) -> bool:
    """Whether it tells of nobody, of further deaths or of those left: none is the first."""
    told = dict(one.tells)
    return (
        ("deaths.dead", "0") in one.tells
        or "deaths.more" in told
        or ("deaths.left" in told and "deaths.dead" not in told)
    )


def _first_death(near: _When, telling: _Telling, now: datetime | None) -> list[tuple[str, Told]]:
    """The time of the first death from the time told with it; a span counted from something done
    is put beside that, where its own time is not known.
    """
    if near.counts in ("moment", "since"):
        return [("deaths.first", near.text)] if _from_asking(near.text) else []
    if near.counts != "later" or telling.last_event is None:
        return []
    then = telling.times.get(telling.last_event)
    event = telling.done[telling.last_event]
    if then is None:
        at = f"{near.text} before the first death"
        pairs = tuple((EVENT_AT + name, at) for name in _events(event))
        telling.done[telling.last_event] = replace(event, tells=(*event.tells, *pairs))
        telling.times[telling.last_event] = at
        return []
    first = _ago(then, near.text, now) if now is not None else None
    return [("deaths.first", first)] if first is not None else []


def _when_of(
    one: _Found,
    by_place: Mapping[tuple[int, int], list[_When]],
    filled: set[tuple[int, int]],
    dated: set[tuple[int, int]],
    beside_it: list[_Found],
) -> _When | None:
    """The time that belongs to a statement: the nearest in its clause, one that fills the clause
    before or after it, one of a clause that says `that was ...`, or one told earlier in the
    sentence of nothing else that happened. What was done may share the only time of a sentence.
    """
    here = by_place.get(one.place, [])
    if _events(one) and any(when.counts != "since" for when in here):
        here = [when for when in here if when.counts != "since"]
    elif one.deaths:
        here = [when for when in here if not _spans_another(when, one, beside_it)]
    if here:

        def far(when: _When) -> tuple[int, int]:
            if when.end <= one.start:
                gap = one.clause.text[when.end : one.start]
            elif when.start >= one.end:
                gap = one.clause.text[one.end : when.start]
            else:
                gap = ""
            words = gap.split()
            return (len(words) + _BESIDE * len(_NEXT_THING & set(words)), when.start)

        best = min(here, key=far)
        return best if far(best)[0] <= TIME_REACHES else None
    number, index = one.place
    for beside in ((number, index - 1), (number, index + 1)):
        if beside not in filled and len(by_place.get(beside, [])) == 1:
            return by_place[beside][0]
    for after in ((number, index + 1), (number + 1, 0)):
        told = by_place.get(after, [])
        if len(told) == 1 and told[0].that_was:
            return told[0]
    for earlier in range(index - 1, -1, -1):
        if by_place.get((number, earlier)):
            only = by_place[number, earlier]
            busy = (number, earlier) in dated and not _events(one)
            return only[0] if len(only) == 1 and not busy and only[0].counts == "moment" else None
    if _events(one):
        told = [when for place, row in by_place.items() if place[0] == number for when in row]
        return told[0] if len(told) == 1 and told[0].counts == "moment" else None
    return None


def _spans_another(when: _When, one: _Found, others: list[_Found]) -> bool:
    """Whether a span (`for ten days`) is rather of something else that was done in the clause."""

    def far(other: _Found) -> int:
        return max(when.start - other.end, other.start - when.end, 0)

    return when.counts == "since" and any(
        _events(other) and far(other) < far(one) for other in others
    )


def _event_time(
    one: _Found,
    near: _When | None,
    sentence_dies: bool,
    reacting: set[tuple[int, int]],
    telling: _Telling,
    now: datetime | None,
) -> str | None:
    if near is None:
        lead = one.clause.text[: one.start].split()[-_BESIDE:]
        if sentence_dies and (_AFTER & set(lead) or one.clause.joint in _AFTER):
            return "before the deaths"
        return "after the deaths began" if one.place in reacting and telling.dying else None
    if near.counts == "moment":
        return near.text
    if near.counts == "before":
        return f"{near.text} before the first death"
    if near.counts != "later":
        return None
    if sentence_dies and near.place == one.place and near.end <= one.start:
        gap = one.clause.text[near.end : one.start].split()
        if len(gap) <= _BESIDE and "after" in one.clause.text[near.start : one.start].split():
            return f"{near.text} before the first death"
    if telling.last_event in telling.times and now is not None and telling.last_event is not None:
        return _ago(telling.times[telling.last_event], near.text, now)
    return f"{near.text} after the first death" if telling.dying else None


def _from_asking(text: str) -> bool:
    return read_moment(text).kind not in ("from_first_death", "beside_deaths")


def _ago(then: str, later: str, now: datetime) -> str | None:
    """The time a span after another one, as `3 days ago`; None if that is not known or to come."""
    try:
        hours = hours_before_asking(read_moment(then), asked_at=now, first_death=None)
        span = float(q.read_quantity(later, q.HOURS))
    except Unreadable:
        return None
    if hours is None or hours - span < 0.0:
        return None
    left = hours - span
    return f"{left / 24.0:.0f} days ago" if left >= 36.0 else f"{max(1.0, left):.0f} hours ago"


def _says_something(clause: Clause, idle: frozenset[str]) -> bool:
    words = [w.text for w in clause.words if w.text not in idle and not w.text.isdigit()]
    return len(words) >= _LEAST_UNREAD


def _slice(text: str, clause: Clause) -> str:
    return " ".join(text[clause.words[0].start : clause.words[-1].end].split())


def _reader(measure: q.Measure) -> Callable[[Any], Any]:
    return lambda said: q.read_quantity(said, measure)


#: What reads each field of the form.
_READERS: dict[str, Callable[[Any], Any]] = {
    "deaths.over": _reader(q.HOURS),
    "deaths.share": _reader(q.SHARE),
    "deaths.first": read_moment,
    "container.volume": _reader(q.VOLUME),
    "container.age": _reader(q.DAYS),
    "container.substrate_age": _reader(q.DAYS),
    "container.light": _reader(q.HOURS_OF_DAY),
    "container.room_temperature": _reader(q.ROOM_TEMPERATURE),
    "container.change_share": _reader(q.SHARE),
    "container.change_volume": _reader(q.VOLUME),
    "container.change_every": lambda said: read_every(said, "metric"),
    "container.water_depth": _reader(q.LENGTH),
    "stock.kept": _reader(q.DAYS),
    "stock.feeding.times": read_often,
    "stock.feeding.per_feed": read_amount,
    "stock.feeding.eaten_within": _reader(q.HOURS),
    "share": _reader(q.SHARE),
    "volume": _reader(q.VOLUME),
    "temperature": _reader(q.TEMPERATURE),
}
_COUNTS = frozenset(
    {
        "dead",
        "more",
        "then",
        "total",
        "but",
        "of",
        "left",
        "adults",
        "females",
        "males",
        "berried",
        "juveniles",
        "hatchlings",
        "count",
        "times",
    }
)


def _can_stand(name: str, said: Any) -> bool:
    """Whether the form can read what a fact says."""
    try:
        if name.startswith(READING):
            what = name.removeprefix(READING).partition("@")[0]
            canonical_reading({"what": what, "value": said}, "metric")
            return True
        if name == "deaths.told":
            return False
        reader = _READERS.get(name)
        last = name.rpartition(".")[2]
        if reader is None and name.startswith(PART_OF):
            reader = _READERS.get(last)
        if reader is None and last in _COUNTS:
            reader = q.read_count
        if reader is not None:
            reader(said)
    except Unreadable:
        return False
    return True


def _agreeing(found: list[_Found], text: str) -> tuple[Reading, ...]:
    """Each thing once; what is told in two ways that do not agree is left out, except that more
    deaths than were told before are the newer count, and further ones are added.
    """
    values: dict[str, dict[str, Told]] = {}
    for one in found:
        for name, value in one.tells:
            values.setdefault(name, {})[_sense(name, value)] = value
    settled: dict[str, Told | None] = {}
    for name, ways in values.items():
        settled[name] = next(iter(ways.values())) if len(ways) == 1 else _reconciled(name, ways)
    if _TOTAL in values:
        settled["deaths.dead"] = max(
            values[_TOTAL].values(), key=lambda value: ends(q.read_count(value))[1]
        )
    elif "deaths.more" in values:
        more = [value for one in found for name, value in one.tells if name == "deaths.more"]
        counts = [q.read_count(value) for value in more]
        base = [] if settled.get("deaths.dead") is None else [q.read_count(settled["deaths.dead"])]
        low, high = ends(sum_of_counts(*counts))
        if len(counts) == 1 or not base or ends(base[0]) != (low, high):
            low, high = ends(sum_of_counts(*base, *counts))
        settled["deaths.dead"] = f"{low:.0f}" if low == high else f"{low:.0f}-{high:.0f}"
    if _outdated(settled):
        settled["deaths.dead"] = None
    if settled.get("deaths.share") == "all" and "deaths.of" not in settled:
        settled["deaths.dead"] = None
    if str(settled.get("deaths.dead")) == "0":
        known = {name for name, value in settled.items() if value is not None}
        if _TELL_OF_DEATHS & known or {"deaths.left", "deaths.of"} <= known:
            settled["deaths.dead"] = None
        else:
            settled["deaths.left"] = None
    kept: list[Reading] = []
    said_before: set[str] = set()
    for one in found:
        shown_here: list[tuple[str, Told]] = []
        for name, _ in one.tells:
            shown = "deaths.dead" if name in ("deaths.more", _TOTAL) else name
            settles = settled.get(shown)
            if settles is not None and shown not in said_before:
                shown_here.append((shown, settles))
                said_before.add(shown)
        if shown_here:
            first, last = one.clause.span(one.start, one.end)
            words = one.clause.words[first:last]
            spoken = " ".join(text[words[0].start : words[-1].end].split()) if words else ""
            kept.append(Reading(tuple(shown_here), spoken))
    return tuple(kept)


def _outdated(settled: Mapping[str, Told | None]) -> bool:
    """Whether fewer dead are told than are missing by now: an earlier count."""
    left, dead = settled.get("deaths.left"), settled.get("deaths.dead")
    herd = settled.get("deaths.of") or settled.get("stock.adults")
    if left is None or dead is None or herd is None:
        return False
    missing = ends(q.read_count(herd))[0] - ends(q.read_count(left))[1]
    return ends(q.read_count(dead))[1] < missing


def _sense(name: str, value: Told) -> str:
    """What a fact says, so that the same said in two ways counts once."""
    reader = _READERS.get(name)
    if reader is None and name.rpartition(".")[2] in _COUNTS:
        reader = q.read_count
    if reader is None or name == "deaths.first":
        return str(value)
    try:
        return repr(reader(value))
    except Unreadable:
        return str(value)


#: Who forgot it once uses it at other times, and who never uses it also did without it then.
_CONDITIONED = ("never", "missed")


def _reconciled(name: str, said: Mapping[str, Told]) -> Told | None:
    if name == "container.conditioner":
        return next((said[word] for word in _CONDITIONED if {word} < said.keys()), None)
    if name in ("deaths.dead", "deaths.of", "deaths.share", "stock.adults"):
        reader = q.read_count if name != "deaths.share" else _READERS["deaths.share"]
        return max(said.values(), key=lambda value: ends(reader(value))[1])
    if name == "deaths.first":
        return max(said.values(), key=_hours_ago)
    return None


#: Any time of asking will do to put times told `ago` in order.
_SOME_TIME = datetime(2000, 1, 2, 12)


def _hours_ago(value: Told) -> float:
    return hours_before_asking(read_moment(value), asked_at=_SOME_TIME, first_death=None) or 0.0
