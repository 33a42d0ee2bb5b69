"""The grammar and the lexicon of stories, from YAML, as patterns over plain words.

A way of saying is a row of words: `a|b` either word, `word*` any ending, `word?` may be missing,
`...` up to four words between, `<group>` a word of a named group of the grammar, `<group>*` any
number of them, `^` the beginning of the clause and `$` its end, `{slot}` a place for a number (see
`slots`), `{reading}`, `{species}`, `{animal}` a name.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from functools import cache
from pathlib import Path
from typing import Any

import yaml

from diagnose.intake.meaning import folded
from diagnose.intake.problems import Unreadable
from diagnose.intake.written_readings import reading_name
from diagnose.rulebook.terms import Companion, Species, Term
from diagnose.story.slots import MARKS, NUMBER, NUMBER_WORDS, SLOTS

GRAMMAR, LEXICON = "story_grammar.yaml", "story_lexicon.yaml"
#: Lists of ways to turn the sense of a clause, and plain lists of words, named for what they do.
TURNS = (
    "deny", "mere", "doubt", "wish", "ask", "elsewhere", "mine", "react", "fresh_subject", "rates",
    "not_shrimp",
)  # fmt: skip
LISTS = (
    *TURNS, "joints", "subjects", "abbreviations", "idle", "not_misspelt", "not_company",
    "not_species", "not_signs",
)  # fmt: skip
_SafeLoader = getattr(yaml, "CSafeLoader", yaml.SafeLoader)
#: Words of fewer letters are never taken for another word misspelt: too many are real words.
SHORTEST_MISSPELT = 6
_ENDS = {"...": r"(?: \S+){0,4}?", "^": r"^", "$": r"$"}
_PREFIX = 3
#: A word that texts are full of counts as so many others.
_OFTEN = 30
#: Fields of the form that a way may fill, by their place in it.
FIELDS = frozenset(
    """
    deaths.dead deaths.more deaths.then deaths.total deaths.but deaths.of deaths.left
    deaths.share deaths.over deaths.first deaths.told
    container.kind container.volume container.age container.filter container.heater
    container.planting container.floating_cover container.substrate container.substrate_age
    container.light container.sun container.window container.lid container.co2
    container.water_source container.conditioner container.topup container.surface_moved
    container.room_temperature container.change_share container.change_volume
    container.change_every container.outdoor container.placement container.season
    container.water_depth container.since stock.since stock.adults stock.females stock.males
    stock.berried stock.juveniles stock.hatchlings stock.kept stock.species stock.feeding.times
    stock.feeding.per_feed stock.feeding.eaten_within reading reading2 reading3
    """.split()  # noqa: SIM905
)
#: Details of something done that a way may tell.
EVENT_PARTS = frozenset(
    {
        "share",
        "volume",
        "temperature",
        "conditioner",
        "dose",
        "count",
        "times",
        "followed",
        "harm_each_time",
    }
)


#: For each part of a way that cannot be missing, the marks of words of which a text must hold one.
Needs = tuple[frozenset[str], ...]


@dataclass(frozen=True, slots=True)
class Way:
    """One way to say something: its pattern, the words it is made of, what it means. certain: it
    speaks of other containers; own: it takes something of this one for granted, also in a question;
    hides: what its words do not mean, though some of them would alone.
    """

    source: str
    needs: Needs
    words: frozenset[str]
    means: tuple[tuple[str, Any], ...]
    certain: bool
    own: bool = False
    hides: frozenset[str] = frozenset()

    @property
    def gaps(self) -> int:
        """How many of its parts stand for any words: of two ways the one with fewer is meant."""
        return self.source.count(_ENDS["..."])

    @property
    def pattern(self) -> re.Pattern[str]:
        """Compiled when it is first needed: most never are."""
        return _compiled(self.source)


@dataclass(frozen=True, slots=True)
class TimeWay:
    """One way to say when: its pattern, the moment as the form reads it, and from what it counts:
    `moment` the time itself, `later` a span after what was told before it, `before` a span before
    the first death, `over` how long something took.
    """

    source: str
    needs: Needs
    counts: str
    says: str

    @property
    def pattern(self) -> re.Pattern[str]:
        """Compiled when it is first needed."""
        return _compiled(self.source)


@dataclass(frozen=True, slots=True)
class Turn:
    """Words that turn the sense of a clause, and the list of the grammar that holds them."""

    name: str
    source: str
    needs: Needs

    @property
    def pattern(self) -> re.Pattern[str]:
        """Compiled when it is first needed."""
        return _compiled(self.source)


@dataclass(frozen=True)
class Lexicon:
    """All there is to read with. `by_mark` and `times_by_mark` find the ways that a clause can
    hold, by the marks of its words.
    """

    lists: Mapping[str, frozenset[str]]
    turns_by_mark: Mapping[str, tuple[tuple[int, Turn], ...]]
    by_mark: Mapping[str, tuple[tuple[int, Way], ...]]
    times_by_mark: Mapping[str, tuple[tuple[int, TimeWay], ...]]
    readings: Mapping[str, str]
    species: Mapping[str, str]
    animals: Mapping[str, Companion]
    known: frozenset[str]
    spelling: Mapping[str, str]
    targets: Mapping[str, tuple[str, ...]]
    seen: dict[str, str] = field(default_factory=dict)

    def turns_in(self, marks: set[str]) -> dict[str, list[re.Pattern[str]]]:
        """The turns that a clause with these marks can hold, by the list that they are of."""
        found: dict[str, list[re.Pattern[str]]] = {name: [] for name in TURNS}
        for mark in ("", *marks):
            for _, turn in self.turns_by_mark.get(mark, ()):
                if not any(map(marks.isdisjoint, turn.needs)):
                    found[turn.name].append(turn.pattern)
        return found

    def spelt(self, word: str) -> str:
        """The word as it is spelt right, if that is plain: one letter off a longer known one."""
        if word in self.spelling:
            return self.spelling[word]
        if len(word) < SHORTEST_MISSPELT or word in self.known:
            return word
        if word not in self.seen:
            if len(self.seen) > 10_000:
                self.seen.clear()
            self.seen[word] = self._nearest(word)
        return self.seen[word]

    def _nearest(self, word: str) -> str:
        from rapidfuzz.distance import OSA

        near = {
            target
            for target in self.targets.get(word[0], ())
            if abs(len(target) - len(word)) <= 1 and OSA.distance(word, target, score_cutoff=1) <= 1
        }
        return near.pop() if len(near) == 1 else word


def load_lexicon(
    folders: Iterable[Path],
    vocabulary: Mapping[str, Term],
    species: Iterable[Species],
    companions: Iterable[Companion],
) -> Lexicon:
    """The grammar and all ways of the folders; later folders add to earlier ones.

    Raises ValueError naming the file and the entry at fault.
    """
    lists: dict[str, set[str]] = {name: set() for name in LISTS}
    groups: dict[str, str] = {}
    spelling: dict[str, str] = {}
    readings: dict[str, str] = {}
    time_entries: list[tuple[str, Any]] = []
    entries: list[tuple[str, Any]] = []
    for folder in folders:
        for name in (GRAMMAR, LEXICON):
            file = folder / name
            if not file.is_file():
                continue
            content = _mapping_of(file)
            for key, value in content.items():
                at = f"{file}: {key}"
                if key in LISTS:
                    lists[key].update(str(word) for word in _list(at, value))
                elif key == "groups":
                    groups |= {str(k): _group(f"{at}, {k}", v) for k, v in value.items()}
                elif key == "spelling":
                    spelling |= {str(k): str(v) for k, v in value.items()}
                elif key == "readings":
                    for what, words in value.items():
                        readings |= {str(word): _reading(at, str(what)) for word in words}
                elif key == "times":
                    time_entries += [(f"{at}, entry {n}", e) for n, e in enumerate(value, 1)]
                elif key == "ways":
                    entries += [(f"{at}, entry {n}", e) for n, e in enumerate(value, 1)]
                else:
                    raise ValueError(f"{at}: no part of a grammar or a lexicon.")
    kinds = _species_names(species, lists["not_species"])
    animals = _animal_names(companions, lists["not_company"])
    jars = [word.replace("+", " ") for word in groups.get("kind", "").split("|") if word]
    names: dict[str, Iterable[str]] = {
        **dict.fromkeys(("reading", "reading2", "reading3"), readings),
        "species": kinds,
        "animal": animals,
        "jar": jars,
    }
    build = _Builder(groups, names)
    ways: list[Way] = []
    for at, entry in entries:
        if not isinstance(entry, dict) or not {"says", "means"} <= set(entry) <= {
            "says", "means", "certain", "own", "hides",
        }:  # fmt: skip
            raise ValueError(f"{at}: write {{says: [...], means: {{name: value}}}}.")
        hides = frozenset(map(str, _list(at, entry.get("hides", []))))
        for name in hides:
            if name not in FIELDS and name not in vocabulary:
                raise ValueError(f"{at}: `{name}` is neither in the vocabulary nor a field.")
        means = tuple(
            (str(n), _meaning(at, str(n), v, vocabulary)) for n, v in entry["means"].items()
        )
        for way in map(str, entry["says"]):
            pattern, needs = build.pattern(at, way)
            words = frozenset(re.findall(r"[a-z0-9]+", build.spelled_out(way)))
            sure = bool(entry.get("certain")), bool(entry.get("own"))
            ways.append(Way(pattern, needs, words, means, *sure, hides))
    for way, means in _from_vocabulary(vocabulary, lists["not_signs"]):
        pattern, needs = build.pattern("vocabulary", way)
        words = frozenset(way.replace("~", "").split())
        ways.append(Way(pattern, needs, words, means, False))
    times: list[TimeWay] = []
    for at, entry in time_entries:
        if not isinstance(entry, dict) or set(entry) != {"says", "counts", "as"}:
            raise ValueError(f"{at}: write {{says: [...], counts: moment, as: ...}}.")
        for way in map(str, entry["says"]):
            pattern, needs = build.pattern(at, way)
            times.append(TimeWay(pattern, needs, str(entry["counts"]), str(entry["as"])))
    turned = [
        Turn(name, *build.pattern("grammar", words))
        for name in TURNS
        for words in sorted(lists[name])
    ]
    known = frozenset(build.words) | {w for name in (*kinds, *animals) for w in name.split()}
    for words in lists.values():
        known |= {part for word in words for part in word.split()}
    known |= frozenset(spelling.values())
    targets: dict[str, set[str]] = {}
    for word in known:
        if len(word) >= SHORTEST_MISSPELT and word.isalpha():
            targets.setdefault(word[0], set()).add(word)
    inflected = {w + e for w in known for e in ("s", "ed", "ing", "d", "es", "er", "ly")}
    return Lexicon(
        {name: frozenset(words) for name, words in lists.items()},
        _index(turned, lists["idle"]),
        _index(ways, lists["idle"]),
        _index(times, lists["idle"]),
        readings,
        kinds,
        animals,
        known | inflected | lists["not_misspelt"],
        spelling,
        {letter: tuple(sorted(words)) for letter, words in targets.items()},
    )


def _index(ways: list[Any], common: Iterable[str]) -> dict[str, tuple[tuple[int, Any], ...]]:
    """The ways by the marks of that part of each that the fewest texts will fit."""
    often = {NUMBER, *(_mark(word, True) for word in common), *(word[:_PREFIX] for word in common)}

    def fits(marks: frozenset[str]) -> int:
        return len(marks) + _OFTEN * len(marks & often)

    found: dict[str, list[tuple[int, Any]]] = {}
    for place, way in enumerate(ways):
        for mark in min(way.needs, key=fits, default=("",)):
            found.setdefault(mark, []).append((place, way))
    return {mark: tuple(items) for mark, items in found.items()}


def marks_of(words: Iterable[str]) -> set[str]:
    """The marks of the words of a text: their first letters, short words as they are, and that
    there is a figure or a number word.
    """
    marks: set[str] = set()
    for word in words:
        marks |= {word[:length] for length in range(1, _PREFIX + 1)}
        if len(word) <= _PREFIX:
            marks.add(f"={word}")
        if word[0].isdigit() or word[0] == "." or word in NUMBER_WORDS:
            marks.add(NUMBER)
    return marks


def _mark(word: str, whole: bool) -> str:
    """The mark that a text with this word bears."""
    return f"={word}" if whole and len(word) <= _PREFIX else word[:_PREFIX]


def _alternatives(names: Iterable[str]) -> str:
    return "|".join(sorted(map(re.escape, names), key=len, reverse=True)) or r"(?!)"


def _species_names(species: Iterable[Species], left_out: set[str]) -> dict[str, str]:
    found: dict[str, str] = {}
    for kind in species:
        for name in (*kind.latin, *kind.also_called):
            said = folded(name)
            if said not in left_out:
                found[said] = name
                for other in (f"{said}s", said.replace("shrimp", "shrimps")):
                    found.setdefault(other, name)
    return found


def _animal_names(companions: Iterable[Companion], left_out: set[str]) -> dict[str, Companion]:
    found: dict[str, Companion] = {}
    for animal in companions:
        if animal.kin == "shrimp":
            continue
        for name in (animal.id, *animal.also):
            said = folded(name)
            for form in (said, f"{said}s"):
                if form not in left_out:
                    found.setdefault(form, animal)
    return found


def _from_vocabulary(
    vocabulary: Mapping[str, Term], left_out: set[str]
) -> Iterable[tuple[str, tuple[tuple[str, Any], ...]]]:
    """The words that keepers have for signs and for what is done: the same in a story, in any
    ending, but for those that mean too many other things there.
    """
    for name, term in vocabulary.items():
        if term.kind != "sign" or term.derived:
            continue
        for word in term.also:
            said = folded(word)
            if said not in left_out and (term.event is None or " " in said):
                yield " ".join(f"{part}~" for part in said.split()), ((name, "present"),)


class _Builder:
    """Makes patterns of ways, and remembers the words they use."""

    def __init__(self, groups: Mapping[str, str], names: Mapping[str, Iterable[str]]) -> None:
        self._groups, self._names = groups, names
        self._tokens: dict[str, tuple[str, frozenset[str]]] = {}
        self.words: set[str] = set()

    def spelled_out(self, way: str) -> str:
        return re.sub(r"<(\w+)>", lambda m: self._groups.get(m[1], ""), way)

    def pattern(self, at: str, way: str) -> tuple[str, Needs]:
        """The pattern over plain words, and what a text must hold for it to fit."""
        parts: list[str] = []
        needs: dict[frozenset[str], None] = {}
        for token in way.split():
            if token in _ENDS:
                parts.append(_ENDS[token])
                continue
            many, optional = token.endswith(">*"), token.endswith("?")
            token = token.removesuffix("?").removesuffix("*") if many else token.removesuffix("?")
            if token not in self._tokens:
                self._tokens[token] = self._token(at, token)
            body, marks = self._tokens[token]
            if many:
                parts.append(f"(?: {body})*?")
            elif optional:
                parts.append(f"(?: {body})?")
            else:
                parts.append(f" {body}")
                needs[marks] = None
        if not parts:
            raise ValueError(f"{at}: an empty way of saying something.")
        return "".join(parts) + r"(?= |$)", tuple(sorted(needs, key=len))

    def _token(self, at: str, token: str) -> tuple[str, frozenset[str]]:
        if token.startswith("{") and token.endswith("}"):
            name = token[1:-1]
            if name in SLOTS:
                return f"(?P<{name}>{SLOTS[name][0]})", MARKS[name]
            if name in self._names:
                return f"(?P<{name}>{_alternatives(self._names[name])})", frozenset(
                    _mark(said.split()[0], True) for said in self._names[name]
                )
            raise ValueError(f"{at}: there is no slot `{token}`.")
        for group in re.findall(r"<(\w+)>", token):
            if group not in self._groups:
                raise ValueError(f"{at}: there is no group `<{group}>` in the grammar.")
            token = token.replace(f"<{group}>", self._groups[group])
        if re.fullmatch(r"[\w'/%|*~+]+", token) is None:
            raise ValueError(f"{at}: `{token}` is no word of a way. See the top of the grammar.")
        if not all(word.strip("*~+") for word in token.split("|")):
            raise ValueError(f"{at}: `{token}` holds an empty word.")
        marks, bodies = set(), []
        for word in token.split("|"):
            plain = word.rstrip("*~").replace("+", " ")
            if word.endswith("~"):
                bodies.append(_inflected(plain))
            else:
                bodies.append(
                    re.escape(plain).replace(r"\ ", " ") + (r"\w*" if word.endswith("*") else "")
                )
            first, *more = plain.split()
            marks.add(_mark(first, bool(more) or word[-1] not in "*~"))
            self.words.update((first, *more))
        return f"(?:{'|'.join(bodies)})", frozenset(marks)


def _inflected(word: str) -> str:
    stem = word.removesuffix("e") if word.endswith("e") else word
    if len(word) < 4:
        return re.escape(word) + "s?"
    return rf"{re.escape(stem)}(?:e|es|s|ed|d|ing)?"


@cache
def _compiled(pattern: str) -> re.Pattern[str]:
    return re.compile(pattern)


def _meaning(at: str, name: str, value: object, vocabulary: Mapping[str, Term]) -> Any:
    if name in FIELDS or name.startswith("reading:"):
        return value
    if name.startswith("of:"):
        event, _, part = name.removeprefix("of:").rpartition(".")
        kinds = {term.event for term in vocabulary.values() if term.event}
        if event in kinds and part in EVENT_PARTS:
            return value
        raise ValueError(f"{at}: `{name}` is no part of an event.")
    if name.removeprefix("event:") in EVENT_PARTS:
        return value
    term = vocabulary.get(name)
    if term is None:
        raise ValueError(f"{at}: `{name}` is neither in the vocabulary nor a field of the form.")
    if term.kind == "number":
        if isinstance(value, int | float | str) and not isinstance(value, bool):
            return value
        raise ValueError(f"{at}: `{name}` is a number; `{value}` is none.")
    if str(value) not in term.words:
        raise ValueError(f"{at}: `{name}` can be {', '.join(term.words)}, not `{value}`.")
    return str(value)


def _reading(at: str, what: str) -> str:
    try:
        return reading_name(what)
    except Unreadable as error:
        raise ValueError(f"{at}: {error.problem}") from None


def _group(at: str, value: object) -> str:
    return "|".join(str(word).replace(" ", "+") for word in _list(at, value))


def _list(at: str, value: object) -> list[Any]:
    if not isinstance(value, list):
        raise ValueError(f"{at}: not a list. Write [one, other].")
    return value


def _mapping_of(file: Path) -> dict[str, Any]:
    """A YAML file that holds a mapping. Raises ValueError with the file and line."""
    try:
        content = _SafeLoader(file.read_text(encoding="utf-8")).get_single_data()
    except (yaml.YAMLError, UnicodeDecodeError) as error:
        mark = getattr(error, "problem_mark", None)
        line = f", line {mark.line + 1}" if mark is not None else ""
        raise ValueError(f"{file}{line}: not readable as YAML text in UTF-8.") from None
    if not isinstance(content, dict):
        raise ValueError(f"{file}: holds no mapping. Start with `key: value` lines.")
    return content
