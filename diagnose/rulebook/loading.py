"""Reads knowledge folders into a Rulebook, or says everything that is wrong with them.

A folder holds YAML only:
`vocabulary/`, `causes/`, `mechanisms/`, `steps/`, `cautions/`, `sources/`, `species/`,
`stocking/`, `numbers/` (any file names) and `conditions.yaml`, `companions.yaml`,
`stocking_facts.yaml`, `pointless.yaml`, `ranking.yaml`. Later folders are laid over earlier ones:
an entry with a known id replaces it.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping
from itertools import pairwise
from pathlib import Path
from typing import Any, TypeVar, get_args

import yaml

from diagnose.intake.told_readings import TOLD_WORDS
from diagnose.rulebook import requirements
from diagnose.rulebook.faults import Fault, RulebookError
from diagnose.rulebook.terms import (
    Bar,
    Cause,
    Caution,
    Channel,
    Companion,
    Condition,
    Confirmation,
    Evidence,
    FirstDo,
    Gate,
    Habit,
    Kin,
    Level,
    LookAlike,
    Mechanism,
    NeededFact,
    NextLook,
    Number,
    Peril,
    Pointless,
    Ranking,
    Rulebook,
    Source,
    Species,
    Step,
    Term,
    Way,
    Ways,
)

#: Folders whose files map an id to an entry, and folders with one entry a file.
MANY_A_FILE = ("vocabulary", "steps", "cautions", "sources", "stocking", "numbers")
ONE_A_FILE = ("causes", "mechanisms", "species")
#: Files at the top of the folder that map an id to an entry.
ONE_FILE = ("conditions", "stocking_facts", "pointless", "companions")
#: How soon to act: levels and perils, one below the other.
URGENCY = "urgency"
#: Files that other parts of the program read: the bowl model, the session, stories, warnings.
READ_ELSEWHERE = (
    "warnings",
    "bowl_parameters",
    "asking",
    "story_grammar",
    "story_lexicon",
    "portions",
)
MAX_FILE_BYTES = 1_000_000
#: A number of the numbers folder, named in a text.
NUMBER_NAMED = re.compile(r"\{([a-z][a-z0-9_]*)\}")
SPECIES_RANGES = (
    "brood_size",
    "brood_interval_days",
    "incubation_days",
    "days_to_maturity",
    "lifespan_months",
)
SPECIES_NUMBERS = (
    "adult_mass_mg",
    "juvenile_mass_mg",
    "hatchling_mass_mg",
    "juvenile_survival",
    "adult_monthly_survival",
    "female_share",
)

#: How long before the first death a cause can be seen coming; empty where nobody has said.
WARNINGS = ("weeks", "days", "hours", "none", "")

#: Units of a span of time in the vocabulary.
HOURS_PER_UNIT = {"h": 1.0, "d": 24.0}

#: How soon a keeper must act, most urgent first.
URGENCIES = ("within-the-hour", "today", "this-week", "watch")

#: The C reader where the machine has it: the same safe subset of YAML, ten times as fast.
_SafeLoader = getattr(yaml, "CSafeLoader", yaml.SafeLoader)
Entry = dict[str, Any]
Kept = TypeVar("Kept")


class Entries:
    """Raw entries of all folders by kind and id, each with the file it came from, and faults met
    so far.
    """

    def __init__(self) -> None:
        self.by_kind: dict[str, dict[str, tuple[str, Entry]]] = {
            kind: {}
            for kind in (*MANY_A_FILE, *ONE_A_FILE, *ONE_FILE, "ranking", "levels", "perils")
        }
        self.faults: list[Fault] = []
        self.of_this_folder: dict[tuple[str, str], str] = {}

    def add(self, kind: str, name: str, file: str, entry: Entry) -> None:
        """Keeps an entry; one of an earlier folder gives way, a second one of the same folder is
        a fault.
        """
        known = self.of_this_folder.get((kind, name))
        if known is not None:
            self.fault(file, (name,), f"`{name}` stands in {known} already.", "Keep one of them.")
        self.of_this_folder[kind, name] = file
        self.by_kind[kind][name] = (file, entry)

    def fault(self, file: str, path: tuple[str | int, ...], problem: str, mend: str = "") -> None:
        self.faults.append(Fault(file, path, problem, mend))


def knowledge_files(folder: Path) -> list[Path]:
    """Every YAML file of a knowledge folder, in a fixed order."""
    return sorted(folder.rglob("*.yaml"))


def load_rulebook(*folders: Path) -> Rulebook:
    """The rulebook of the given folders, later ones laid over earlier ones.

    Raises RulebookError listing every fault found.
    """
    entries = Entries()
    for folder in folders:
        files = knowledge_files(folder)
        entries.of_this_folder.clear()
        if not files:
            entries.fault(str(folder), (), "no rules here.", "Name a folder with YAML rules.")
        for path in files:
            _read_file(path, path.relative_to(folder), entries)
    rulebook = _build(entries)
    if entries.faults:
        raise RulebookError(tuple(entries.faults))
    return rulebook


def _read_file(path: Path, relative: Path, entries: Entries) -> None:
    file = relative.as_posix()
    if path.stat().st_size > MAX_FILE_BYTES:
        entries.fault(file, (), "the file is larger than 1 MB.", "Split it.")
        return
    try:
        document = _SafeLoader(path.read_text(encoding="utf-8")).get_single_data()
    except UnicodeDecodeError:
        entries.fault(file, (), "the file is not UTF-8 text.", "Save it as UTF-8.")
        return
    except yaml.YAMLError as error:
        mark = getattr(error, "problem_mark", None)
        line = f"line {mark.line + 1}: " if mark is not None else ""
        entries.fault(file, (), f"{line}not readable as YAML.", str(getattr(error, "problem", "")))
        return
    if not isinstance(document, dict):
        entries.fault(file, (), "the file holds no mapping.", "Start with `key: value` lines.")
        return
    kind = relative.parts[0] if len(relative.parts) > 1 else relative.stem
    if kind in ONE_A_FILE:
        name = str(document.get("id", ""))
        if name != relative.stem:
            entries.fault(
                file, ("id",), f"the id `{name}` is not the file's name.", "Make them equal."
            )
        entries.add(kind, name, file, document)
    elif kind in MANY_A_FILE or kind in ONE_FILE:
        for name, entry in document.items():
            if not isinstance(entry, dict):
                entries.fault(file, (str(name),), "not a mapping.", "Write `key: value` lines.")
                continue
            entries.add(kind, str(name), file, entry)
    elif kind == "ranking":
        entries.add(kind, "ranking", file, document)
    elif kind == URGENCY:
        for part in ("levels", "perils"):
            for name, entry in (document.get(part) or {}).items():
                entries.add(part, str(name), file, entry)
    elif kind not in READ_ELSEWHERE:
        entries.fault(file, (), "a file the rulebook does not know.", "See DEVELOPERS.md.")


class Fields:
    """Takes the fields of one entry out one by one, noting what is missing, misshapen or left
    over.
    """

    def __init__(
        self, entries: Entries, file: str, at: tuple[str | int, ...], entry: object
    ) -> None:
        self._entries, self._file, self._at = entries, file, at
        if not isinstance(entry, Mapping):
            entries.fault(file, at, "not a mapping.", "Write `key: value` lines.")
            entry = {}
        self._left: Entry = {str(key): value for key, value in entry.items()}

    def fault(self, key: str | int, problem: str, mend: str = "") -> None:
        self._entries.fault(self._file, (*self._at, key), problem, mend)

    def text(self, key: str, default: str | None = None) -> str:
        value = self._left.pop(key, default)
        if isinstance(value, str):
            return self._figures(key, " ".join(value.split()))
        self.fault(key, "missing, or not text.", "Write a sentence or a name.")
        return ""

    def _figures(self, key: str, text: str) -> str:
        """The text with each `{number}` of the numbers folder as its figure."""

        def figure(found: re.Match[str]) -> str:
            _, number = self._entries.by_kind["numbers"].get(found[1], ("", {}))
            if "value" not in number:
                self.fault(key, f"`{found[1]}` is no number.", "Name one of the numbers folder.")
                return found[0]
            return f"{number['value']:g}"

        return NUMBER_NAMED.sub(figure, text) if "{" in text else text

    def number(self, key: str, default: float | None = None) -> float:
        value = self._left.pop(key, default)
        if isinstance(value, int | float) and not isinstance(value, bool):
            return float(value)
        self.fault(key, "missing, or not a number.")
        return 0.0

    def has(self, key: str) -> bool:
        return key in self._left

    def hours(self, key: str) -> float | None:
        """A span written as `12 h` or `4 d`, in hours; None where there is none."""
        value = self._left.pop(key, None)
        if value is None:
            return None
        number, _, unit = str(value).partition(" ")
        if unit in HOURS_PER_UNIT and number.replace(".", "", 1).isdigit() and float(number) > 0:
            return float(number) * HOURS_PER_UNIT[unit]
        self.fault(key, f"`{value}` is no span of time.", "Write it as `12 h` or `4 d`.")
        return None

    def truth(self, key: str, default: bool | None = None) -> bool:
        value = self._left.pop(key, default)
        if isinstance(value, bool):
            return value
        self.fault(key, "missing, or neither true nor false.")
        return False

    def names(self, key: str, default: tuple[str, ...] | None = None) -> tuple[str, ...]:
        value = self._left.pop(key, default)
        if isinstance(value, list | tuple) and all(isinstance(item, str) for item in value):
            return tuple(value)
        self.fault(key, "missing, or not a list of names.")
        return ()

    def pair(self, key: str) -> tuple[float, float] | None:
        value = self._left.pop(key, None)
        if value is None:
            return None
        if isinstance(value, list) and len(value) == 2 and value[0] <= value[1]:
            return float(value[0]), float(value[1])
        self.fault(key, "not a range.", "Write [lowest, highest].")
        return None

    def raw(self, key: str) -> Any:
        return self._left.pop(key, None)

    def done(self) -> None:
        for key in self._left:
            self.fault(
                key, "an unknown key.", "Remove it, or see DEVELOPERS.md for its right name."
            )


def _build(entries: Entries) -> Rulebook:
    kinds = entries.by_kind

    def each(kind: str, *, in_order: bool = False) -> list[tuple[str, str, Fields]]:
        found = kinds[kind].items() if in_order else sorted(kinds[kind].items())
        ahead: tuple[str, ...] = (kind,) if in_order else ()
        return [
            (name, file, Fields(entries, file, () if kind in ONE_A_FILE else (*ahead, name), entry))
            for name, (file, entry) in found
        ]

    ranking = _ranking(entries)
    vocabulary = {
        name: _term(name, fields, _channel(name, file, ranking))
        for name, file, fields in each("vocabulary")
    }
    conditions_named = frozenset(kinds["conditions"])
    names = _Names(vocabulary, conditions_named, ranking.channels)
    conditions = _in_order(
        {name: _condition(name, fields, names) for name, _, fields in each("conditions")}, entries
    )
    names.learn_conditions(conditions.values())
    mechanisms = {name: _mechanism(name, fields, names) for name, _, fields in each("mechanisms")}
    causes = {name: _cause(name, fields, names) for name, _, fields in each("causes")}
    steps = {name: _step(name, fields, names) for name, _, fields in each("steps")}
    cautions = {name: _caution(name, fields) for name, _, fields in each("cautions")}
    sources = {name: _source(name, fields) for name, _, fields in each("sources")}
    species = {name: _species(name, fields) for name, _, fields in each("species")}
    stocking = {name: _gate(name, fields, names) for name, _, fields in each("stocking")}
    facts = {name: _needed(name, fields) for name, _, fields in each("stocking_facts")}
    numbers = {name: _number(name, fields) for name, _, fields in each("numbers")}
    pointless = {name: _pointless(name, fields) for name, _, fields in each("pointless")}
    levels = {name: _level(name, fields) for name, _, fields in each("levels", in_order=True)}
    perils = {
        name: _peril(name, fields, names) for name, _, fields in each("perils", in_order=True)
    }
    companions = {name: _companion(name, fields) for name, _, fields in each("companions")}
    where = {
        name: file
        for kind in (
            "vocabulary",
            "conditions",
            "mechanisms",
            "causes",
            "steps",
            "species",
            "stocking",
        )
        for name, (file, _) in kinds[kind].items()
    }
    rulebook = Rulebook(
        vocabulary,
        conditions,
        mechanisms,
        causes,
        steps,
        cautions,
        sources,
        species,
        levels,
        perils,
        ranking,
        where,
        stocking,
        facts,
        numbers,
        pointless,
        companions,
    )
    _check_names(rulebook, entries)
    return rulebook


class _Names:
    """The names that a requirement may use."""

    def __init__(
        self,
        vocabulary: dict[str, Term],
        conditions: frozenset[str],
        channels: tuple[Channel, ...],
    ) -> None:
        self.vocabulary, self.conditions = vocabulary, conditions
        self._channels = channels
        self._of_condition: dict[str, str] = {}

    def channel(self, when: Ways, over: str | None = None) -> str:
        """The channel of what a requirement rests on: of several, the one listed first."""
        used = {leaf.name for way in when for leaf in way} | ({over} if over else set())
        found = {
            self._of_condition.get(name) or self.vocabulary[name].channel
            for name in used
            if name in self._of_condition or name in self.vocabulary
        }
        return next((item.id for item in self._channels if item.id in found), "")

    def learn_conditions(self, conditions: Iterable[Condition]) -> None:
        """Keeps the channels of conditions, given in order, so that arguments can rest on them."""
        for condition in conditions:
            self._of_condition[condition.id] = self.channel(condition.when)


def _channel(name: str, file: str, ranking: Ranking) -> str:
    """The channel an observation belongs to, by its name, else by its file of the vocabulary; the
    last one for a file not named.
    """
    stem = Path(file).stem
    named = next((item.id for item in ranking.channels if name in item.names), None)
    named = named or next((item.id for item in ranking.channels if stem in item.files), None)
    return named or (ranking.channels[-1].id if ranking.channels else "")


def _term(name: str, fields: Fields, channel: str) -> Term:
    kind = fields.text("kind")
    if kind not in ("sign", "choice", "number"):
        fields.fault("kind", f"`{kind}` is not a kind.", "Use sign, choice or number.")
    choices = {str(key): str(text) for key, text in (fields.raw("choices") or {}).items()}
    base, answers = fields.raw("base"), fields.raw("answers")
    shares: tuple[tuple[str | float, float], ...] = ()
    if kind == "sign":
        share = float(base if base is not None else 0.5)
        shares = (("present", share), ("absent", 1.0 - share))
    elif kind == "choice":
        shares = tuple((str(word), float(share)) for word, share in (base or {}).items())
        if {str(word) for word, _ in shares} != set(choices):
            fields.fault("base", "needs a share for each choice and no other.")
    elif kind == "number":
        shares = tuple((float(value), float(share)) for value, share in (answers or ()))
        if not shares:
            fields.fault("answers", "missing.", "Give typical values with their shares.")
    if abs(sum(share for _, share in shares) - 1.0) > 0.011:
        fields.fault("base" if answers is None else "answers", "the shares do not add up to 1.")
    term = Term(
        name=name,
        kind=kind if kind in ("sign", "choice") else "number",  # type: ignore[arg-type]
        asks=fields.text("asks"),
        look=fields.text("look", ""),
        choices=choices,
        unit=fields.text("unit", ""),
        possible=fields.pair("possible"),
        plausible=fields.pair("plausible"),
        shares=shares,
        minutes=fields.number("minutes", 1.0),
        needs=fields.text("needs", "eyes"),
        event=fields.text("event", "") or None,
        derived=fields.truth("derived", False),
        needs_present=fields.text("needs_present", "") or None,
        channel=channel,
        also=fields.names("also", ()),
        said_as=_words_for(fields, "said_as", fields.raw("said_as")),
        implies={
            str(word): _words_for(fields, "implies", said)
            for word, said in (fields.raw("implies") or {}).items()
        },
        holds_h=fields.hours("holds"),
        matters_h=fields.hours("matters"),
        alike=fields.number("alike") if fields.has("alike") else None,
        tried=fields.names("tried", ()),
        said=_said(fields, kind),
        drawn=fields.text("drawn", ""),
    )
    said_as = {word for words in term.said_as for word in words.split("|")}
    for word in sorted({*said_as, *term.implies} - set(term.words)):
        fields.fault("said_as", f"`{word}` is no answer to it.", f"Use {', '.join(term.words)}.")
    fields.done()
    return term


def _words_for(fields: Fields, key: str, raw: object) -> dict[str, tuple[str, ...]]:
    """A mapping of a word to a list of words."""
    if raw is None:
        return {}
    if not isinstance(raw, Mapping) or not all(isinstance(said, list) for said in raw.values()):
        fields.fault(key, "not a mapping of words to lists.", "Write `word: [first, second]`.")
        return {}
    return {str(word): tuple(str(item) for item in said) for word, said in raw.items()}


def _companion(name: str, fields: Fields) -> Companion:
    kin, grown, young = (fields.text(key) for key in ("kin", "grown", "young"))
    if kin not in get_args(Kin):
        fields.fault("kin", f"`{kin}` is no kin.", f"Use {', '.join(get_args(Kin))}.")
    for key, habit in (("grown", grown), ("young", young)):
        if habit not in get_args(Habit):
            fields.fault(key, f"`{habit}` is no habit.", f"Use {', '.join(get_args(Habit))}.")
    companion = Companion(
        id=name,
        title=fields.text("title"),
        also=fields.names("also", ()),
        kin=kin,  # type: ignore[arg-type]
        grown=grown,  # type: ignore[arg-type]
        young=young,  # type: ignore[arg-type]
        size_mm=fields.pair("size_mm") or (0.0, 0.0),
        tells=fields.text("tells", ""),
        source=fields.text("source"),
    )
    if companion.size_mm[1] <= 0.0:
        fields.fault("size_mm", "missing, or no size.", "Write [smallest, largest] in mm.")
    fields.done()
    return companion


def _said(fields: Fields, kind: str) -> dict[str, tuple[float, float]]:
    """What words mean instead of a number: least and most for each."""
    raw = fields.raw("words") or {}
    if raw and kind != "number":
        fields.fault("words", "only a number is told by such words.")
    found = {}
    for word, interval in raw.items():
        if word not in TOLD_WORDS:
            fields.fault("words", f"`{word}` is no word for a number.", f"Use {TOLD_WORDS}.")
        elif not _is_interval(interval):
            fields.fault("words", f"`{word}` needs its least and its most.", "Write [0, 0.2].")
        else:
            found[str(word)] = (float(interval[0]), float(interval[1]))
    return found


def _is_interval(written: object) -> bool:
    return (
        isinstance(written, list)
        and len(written) == 2
        and all(isinstance(x, int | float) and not isinstance(x, bool) for x in written)
        and written[0] <= written[1]
    )


def _evidence(owner: str, raw: object, names: _Names, outer: Fields) -> tuple[Evidence, ...]:
    if not isinstance(raw, list) or not raw:
        outer.fault("evidence", "missing, or not a list.", "Give at least one argument.")
        return ()
    found = []
    for index, item in enumerate(raw):
        fields = Fields(outer._entries, outer._file, (*outer._at, "evidence", index), item)
        name = fields.text("id")
        when = _when(fields, names)
        excludes = fields.truth("excludes", False)
        weight, slope = fields.raw("weight"), None
        if excludes:
            if weight is not None:
                fields.fault("weight", "what excludes has no weight.", "Leave the weight out.")
            weight = 0.0
        if isinstance(weight, Mapping):
            try:
                slope = requirements.curve(weight, names.vocabulary)
            except requirements.BadRequirement as error:
                fields.fault("weight", str(error))
            weight = 0.0
        elif not isinstance(weight, int | float) or isinstance(weight, bool):
            fields.fault("weight", "missing, or not a number.", "Give decibans or a curve.")
            weight = 0.0
        found.append(
            Evidence(
                id=name,
                owner=owner,
                when=when,
                weight=float(weight),
                curve=slope,
                because=fields.text("because"),
                source=fields.text("source"),
                group=fields.text("group", "") or None,
                channel=names.channel(when, slope.over if slope is not None else None),
                excludes=excludes,
            )
        )
        fields.done()
    ids = [item.id for item in found]
    for name in sorted({name for name in ids if ids.count(name) > 1}):
        outer.fault("evidence", f"two arguments are called `{name}`.", "Rename one.")
    return tuple(sorted(found, key=lambda item: item.id))


def _when(fields: Fields, names: _Names) -> Ways:
    return _requirement("when", fields.raw("when"), fields, names)


def _requirement(key: str, raw: object, fields: Fields, names: _Names) -> Ways:
    try:
        return requirements.ways(raw, names.vocabulary, names.conditions)
    except requirements.BadRequirement as error:
        fields.fault(key, str(error))
        return ()


def _condition(name: str, fields: Fields, names: _Names) -> Condition:
    condition = Condition(
        id=name,
        title=fields.text("title"),
        when=_when(fields, names),
        because=fields.text("because"),
        source=fields.text("source"),
    )
    fields.done()
    return condition


def _mechanism(name: str, fields: Fields, names: _Names) -> Mechanism:
    fields.raw("id")
    mechanism = Mechanism(
        id=name,
        title=fields.text("title"),
        summary=fields.text("summary"),
        in_the_water=fields.text("in_the_water"),
        in_the_animal=fields.text("in_the_animal"),
        harmless=fields.truth("harmless", False),
        early_signs=fields.names("early_signs", ()),
        evidence=_evidence(name, fields.raw("evidence"), names, fields),
        worked_numbers=fields.names("worked_numbers", ()),
        next_look=_next_look(fields),
    )
    fields.done()
    return mechanism


def _next_look(outer: Fields) -> NextLook:
    raw = outer.raw("next_look")
    fields = Fields(outer._entries, outer._file, (*outer._at, "next_look"), raw or {})
    look = NextLook(
        when=fields.text("when", ""),
        works=fields.text("works", ""),
        otherwise=fields.text("otherwise", ""),
        vet=fields.text("vet", ""),
    )
    fields.done()
    return look


def _cause(name: str, fields: Fields, names: _Names) -> Cause:
    fields.raw("id")
    base_rates = []
    for key in ("base_rate", "base_rate_no_losses"):
        share = fields.number(key)
        if not 0.0 < share < 1.0:
            fields.fault(key, "not a share between 0 and 1.")
            share = 0.01
        base_rates.append(share)
    warning = fields.text("warning", "")
    if warning not in WARNINGS:
        fields.fault("warning", f"`{warning}` is no span.", "Use weeks, days, hours or none.")
    pairs: dict[str, list[Fields]] = {}
    for key in ("looks_like", "confirm"):
        raw = fields.raw(key) or []
        pairs[key] = [Fields(fields._entries, fields._file, (key, i), x) for i, x in enumerate(raw)]
    cause = Cause(
        id=name,
        title=fields.text("title"),
        summary=fields.text("summary"),
        works_through=fields.names("works_through"),
        base_rate=base_rates[0],
        base_rate_no_losses=base_rates[1],
        base_source=fields.text("base_source"),
        early_signs=fields.names("early_signs", ()),
        evidence=_evidence(name, fields.raw("evidence"), names, fields),
        looks_like=tuple(LookAlike(f.text("cause"), f.text("tell")) for f in pairs["looks_like"]),
        confirm=tuple(Confirmation(f.text("check"), f.text("finding")) for f in pairs["confirm"]),
        now=fields.names("now", ()),
        today=fields.names("today", ()),
        this_week=fields.names("this_week", ()),
        prevent=fields.names("prevent", ()),
        cautions=fields.names("cautions", ()),
        sources=fields.names("sources", ()),
        worked_numbers=fields.names("worked_numbers", ()),
        warning=warning,
        ways=tuple(_way(inner, names) for inner in _each(fields, "ways")),
    )
    for inner in (*pairs["looks_like"], *pairs["confirm"], fields):
        inner.done()
    return cause


def _way(fields: Fields, names: _Names) -> Way:
    way = Way(
        id=fields.text("id"),
        title=fields.text("title"),
        when=_when(fields, names),
        asks=fields.text("asks"),
        now=fields.names("now", ()),
        today=fields.names("today", ()),
        this_week=fields.names("this_week", ()),
        prevent=fields.names("prevent", ()),
    )
    fields.done()
    return way


def _step(name: str, fields: Fields, names: _Names) -> Step:
    harms_nothing = fields.truth("harms_nothing")
    vain = fields.raw("tried_in_vain")
    step = Step(
        id=name,
        title=fields.text("title"),
        do=fields.text("do"),
        why=fields.text("why"),
        minutes=fields.number("minutes"),
        harms_nothing=harms_nothing,
        drastic=fields.number("drastic", 0.0 if harms_nothing else 1.0),
        conflicts=fields.names("conflicts", ()),
        cautions=fields.names("cautions", ()),
        never_when=tuple(_bar(inner, names) for inner in _each(fields, "never_when")),
        first_do=tuple(_first_do(inner, names) for inner in _each(fields, "first_do")),
        saves=fields.number("saves", 0.0),
        people=fields.truth("people", False),
        computed=fields.text("computed", ""),
        tried_in_vain=_requirement("tried_in_vain", vain, fields, names) if vain else (),
    )
    fields.done()
    return step


def _each(fields: Fields, key: str) -> list[Fields]:
    """The entries of a list of mappings, each to be taken apart."""
    raw = fields.raw(key)
    if raw is None:
        return []
    if not isinstance(raw, list):
        fields.fault(key, "not a list.", "Write one `- {...}` line for each.")
        return []
    at = (*fields._at, key)
    return [Fields(fields._entries, fields._file, (*at, i), item) for i, item in enumerate(raw)]


def _bar(fields: Fields, names: _Names) -> Bar:
    bar = Bar(
        when=_when(fields, names),
        because=fields.text("because"),
        source=fields.text("source"),
        say=fields.truth("say", False),
    )
    fields.done()
    return bar


def _first_do(fields: Fields, names: _Names) -> FirstDo:
    when = fields.raw("when")
    first = FirstDo(
        step=fields.text("step"),
        when=_requirement("when", when, fields, names) if when is not None else (),
        because=fields.text("because"),
        source=fields.text("source"),
    )
    fields.done()
    return first


def _caution(name: str, fields: Fields) -> Caution:
    guards = fields.text("guards")
    if guards not in ("person", "animal", "wild"):
        fields.fault("guards", f"`{guards}` is nobody.", "Use person, animal or wild.")
    caution = Caution(
        id=name,
        text=fields.text("text"),
        guards=guards,  # type: ignore[arg-type]
        source=fields.text("source", "common-practice"),
    )
    fields.done()
    return caution


def _source(name: str, fields: Fields) -> Source:
    kind = fields.text("kind")
    if kind not in ("published", "common_practice", "memory"):
        fields.fault("kind", f"`{kind}` is no kind.", "Use published, common_practice or memory.")
    source = Source(
        id=name,
        kind=kind,  # type: ignore[arg-type]
        cite=fields.text("cite"),
        seen=fields.text("seen", ""),
        note=fields.text("note", ""),
    )
    fields.done()
    return source


def _species(name: str, fields: Fields) -> Species:
    fields.raw("id")
    ranges: dict[str, dict[str, tuple[float, float]]] = {}
    for key in ("comfortable", "survives"):
        raw = fields.raw(key)
        inner = Fields(fields._entries, fields._file, (key,), raw if raw is not None else {})
        found = {str(item): inner.pair(str(item)) for item in (raw or {})}
        ranges[key] = {item: pair for item, pair in found.items() if pair is not None}
    species = Species(
        id=name,
        title=fields.text("title"),
        latin=fields.names("latin"),
        also_called=fields.names("also_called", ()),
        group=fields.text("group"),
        comfortable=ranges["comfortable"],
        survives=ranges["survives"],
        numbers={key: fields.number(key) for key in SPECIES_NUMBERS},
        ranges={key: fields.pair(key) or (0.0, 0.0) for key in SPECIES_RANGES},
        breeds_in_fresh_water=fields.truth("breeds_in_fresh_water"),
        sources={str(key): str(value) for key, value in (fields.raw("sources") or {}).items()},
    )
    fields.done()
    return species


def _gate(name: str, fields: Fields, names: _Names) -> Gate:
    side = fields.text("side")
    if side not in ("forbid", "wait", "for"):
        fields.fault("side", f"`{side}` is no side.", "Use forbid, wait or for.")
    argument = {key: fields.raw(key) for key in ("when", "weight", "because", "source", "group")}
    raw = {"id": name, **{key: value for key, value in argument.items() if value is not None}}
    evidence = _evidence("stocking", [raw], names, fields)[0]
    low = min((y for _, y in evidence.curve.points), default=0.0) if evidence.curve else 0.0
    if evidence.weight < 0 or low < 0:
        fields.fault("weight", "below 0.", "The side says for or against; the weight how much.")
    days = fields.raw("passes_after_days")
    if days is not None and not isinstance(days, int | float):
        fields.fault("passes_after_days", "not a number of days.")
        days = None
    gate = Gate(
        id=name,
        side=side,  # type: ignore[arg-type]
        limit=fields.text("limit", "" if side == "for" else None),
        title=fields.text("title"),
        evidence=evidence,
        do=fields.text("do", "" if side == "for" else None),
        mends=_supposed(fields, "mends"),
        passes_after_days=float(days) if days is not None else None,
        since=fields.text("since", "") or None,
        cautions=fields.names("cautions", ()),
        steps=fields.names("steps", ()),
    )
    fields.done()
    return gate


def _supposed(fields: Fields, key: str) -> tuple[tuple[str, str | float], ...]:
    """Observations that are supposed: words, or numbers in the vocabulary's unit."""
    raw = fields.raw(key) or {}
    if not isinstance(raw, Mapping):
        fields.fault(key, "not a mapping.", "Write `observation: value` lines.")
        return ()
    return tuple(
        sorted(
            (str(name), float(value) if isinstance(value, int | float) else str(value))
            for name, value in raw.items()
        )
    )


def _needed(name: str, fields: Fields) -> NeededFact:
    needed = NeededFact(
        id=name,
        any_of=fields.names("any_of"),
        assume=_supposed(fields, "assume"),
        because=fields.text("because"),
    )
    fields.done()
    return needed


def _number(name: str, fields: Fields) -> Number:
    points = fields.raw("points") or []
    if any(left[0] >= right[0] for left, right in pairwise(points)):
        fields.fault("points", "the first of each pair must rise.")
    number = Number(
        id=name,
        value=fields.number("value", 0.0 if points else None),
        unit=fields.text("unit", ""),
        between=fields.pair("between"),
        points=tuple((float(x), float(y)) for x, y in points),
        because=fields.text("because"),
        source=fields.text("source"),
    )
    fields.done()
    return number


def _level(name: str, fields: Fields) -> Level:
    if name not in URGENCIES:
        fields.fault("level", f"`{name}` is no level.", f"Use {', '.join(URGENCIES)}.")
    level = Level(
        id=name,
        says=fields.text("says"),
        waiting=fields.number("waiting"),
        now=fields.names("now", ()),
        today=fields.names("today", ()),
        source=fields.text("source"),
    )
    fields.done()
    return level


def _peril(name: str, fields: Fields, names: _Names) -> Peril:
    level = fields.text("level")
    if level not in URGENCIES:
        fields.fault("level", f"`{level}` is no level.", f"Use {', '.join(URGENCIES)}.")
    peril = Peril(
        id=name,
        level=level,
        when=_when(fields, names),
        says=fields.text("says"),
        steps=fields.names("steps", ()),
        estimated=fields.truth("estimated", False),
        calmed=fields.truth("calmed", False),
        instead_of=fields.names("instead_of", ()),
        look=fields.text("look", ""),
        source=fields.text("source"),
    )
    fields.done()
    return peril


def _ranking(entries: Entries) -> Ranking:
    file, entry = entries.by_kind["ranking"].get("ranking", ("ranking.yaml", {}))
    fields = Fields(entries, file, (), entry)
    ranking = Ranking(
        channels=_channels(fields),
        excluded_decibans=fields.number("excluded_decibans"),
        unexplained_share=fields.number("unexplained_share"),
        unexplained_share_no_losses=fields.number("unexplained_share_no_losses"),
        always_open_share=fields.number("always_open_share"),
        temperature=fields.number("temperature"),
        temperature_note=fields.text("temperature_note"),
        estimate_factor=fields.number("estimate_factor"),
        estimate_against_factor=fields.number("estimate_against_factor"),
        estimate_most_decibans=fields.number("estimate_most_decibans"),
        estimates_unheard_by=fields.names("estimates_unheard_by"),
        lesser_mechanism_decibans=fields.number("lesser_mechanism_decibans"),
        humble_ceiling=fields.number("humble_ceiling"),
        humble_facts=fields.number("humble_facts"),
        full_voice_decibans=fields.number("full_voice_decibans"),
        also_at_work_decibans=fields.number("also_at_work_decibans"),
        also_at_work_score=fields.number("also_at_work_score"),
        threat_decibans=fields.number("threat_decibans"),
        threat_belief=fields.number("threat_belief"),
        close_decibans=fields.number("close_decibans"),
        shake_weight_share=fields.number("shake_weight_share"),
        shake_base_decibans=fields.number("shake_base_decibans"),
        shakes=int(fields.number("shakes")),
    )
    fields.done()
    return ranking


def _channels(outer: Fields) -> tuple[Channel, ...]:
    found = []
    for name, raw in (outer.raw("channels") or {}).items():
        fields = Fields(outer._entries, outer._file, ("channels", name), raw)
        found.append(
            Channel(
                id=str(name),
                files=fields.names("files", ()),
                names=fields.names("names", ()),
                supports=fields.number("supports"),
                opposes=fields.number("opposes"),
                asked=fields.number("asked"),
                no_losses=fields.number("no_losses"),
            )
        )
        fields.text("because")
        fields.done()
    return tuple(found)


def _pointless(name: str, fields: Fields) -> Pointless:
    ends = fields.raw("from"), fields.raw("to")
    low, high = (float(end) if isinstance(end, int | float) else None for end in ends)
    words = fields.names("is", ())
    if not words and (low is None or high is None):
        fields.fault("is", "nothing to compare with.", "Give `is: [word]`, or `from` and `to`.")
    found = Pointless(
        id=name,
        ground=fields.text("if"),
        words=words,
        low=1.0 if low is None else low,
        high=0.0 if high is None else high,
        drop=fields.names("drop"),
    )
    fields.done()
    return found


def _in_order(conditions: dict[str, Condition], entries: Entries) -> dict[str, Condition]:
    """Conditions sorted so that each comes after those it builds on; a circle is a fault."""
    ordered: dict[str, Condition] = {}
    waiting = dict(conditions)
    while waiting:
        ready = [
            name
            for name, condition in waiting.items()
            if not any(leaf.name in waiting for way in condition.when for leaf in way)
        ]
        if not ready:
            file = entries.by_kind["conditions"][next(iter(waiting))][0]
            entries.fault(file, tuple(waiting), "these conditions build on each other in a circle.")
            break
        for name in ready:
            ordered[name] = waiting.pop(name)
    return ordered


def _check_names(rulebook: Rulebook, entries: Entries) -> None:
    """Every name that is used must be defined somewhere."""
    kinds = entries.by_kind

    def need(kind: str, owner: str, key: str, names: tuple[str, ...], defined: object) -> None:
        file = kinds[kind][owner][0] if owner in kinds[kind] else f"{kind}.yaml"
        at = () if kind in ONE_A_FILE else (owner,)
        for name in names:
            if name not in defined:  # type: ignore[operator]
                entries.fault(file, (*at, key), f"`{name}` is defined nowhere.", "Mend the name.")

    for cause in rulebook.causes.values():
        for key in ("now", "today", "this_week", "prevent"):
            need("causes", cause.id, key, getattr(cause, key), rulebook.steps)
            for way in cause.ways:
                need("causes", cause.id, "ways", getattr(way, key), rulebook.steps)
        asked = tuple(way.asks for way in cause.ways)
        need("causes", cause.id, "ways", asked, rulebook.vocabulary)
        need("causes", cause.id, "works_through", cause.works_through, rulebook.mechanisms)
        need("causes", cause.id, "cautions", cause.cautions, rulebook.cautions)
        need("causes", cause.id, "sources", (*cause.sources, cause.base_source), rulebook.sources)
        need("causes", cause.id, "early_signs", cause.early_signs, rulebook.vocabulary)
        need(
            "causes",
            cause.id,
            "looks_like",
            tuple(x.cause for x in cause.looks_like),
            rulebook.causes,
        )
        need(
            "causes",
            cause.id,
            "confirm",
            tuple(x.check for x in cause.confirm),
            rulebook.vocabulary,
        )
    for kind, owners in (("causes", rulebook.causes), ("mechanisms", rulebook.mechanisms)):
        for owner in owners.values():
            used = tuple(sorted({item.source for item in owner.evidence}))
            need(kind, owner.id, "evidence", used, rulebook.sources)
    for mechanism in rulebook.mechanisms.values():
        need("mechanisms", mechanism.id, "early_signs", mechanism.early_signs, rulebook.vocabulary)
    for gate in rulebook.stocking.values():
        supposed = tuple(observation for observation, _ in gate.mends)
        since = (gate.since,) if gate.since else ()
        need("stocking", gate.id, "source", (gate.evidence.source,), rulebook.sources)
        need("stocking", gate.id, "cautions", gate.cautions, rulebook.cautions)
        need("stocking", gate.id, "steps", gate.steps, rulebook.steps)
        need("stocking", gate.id, "mends", (*supposed, *since), rulebook.vocabulary)
    for fact in rulebook.stocking_facts.values():
        supposed = tuple(observation for observation, _ in fact.assume)
        need("stocking_facts", fact.id, "any_of", (*fact.any_of, *supposed), rulebook.vocabulary)
    for beside in rulebook.pointless.values():
        need("pointless", beside.id, "drop", (beside.ground, *beside.drop), rulebook.vocabulary)
    for number in rulebook.numbers.values():
        need("numbers", number.id, "source", (number.source,), rulebook.sources)
    for condition in rulebook.conditions.values():
        need("conditions", condition.id, "source", (condition.source,), rulebook.sources)
    for step in rulebook.steps.values():
        need("steps", step.id, "conflicts", step.conflicts, rulebook.steps)
        need("steps", step.id, "cautions", step.cautions, rulebook.cautions)
        before = tuple(item.step for item in step.first_do)
        need("steps", step.id, "first_do", before, rulebook.steps)
        cited = (*(bar.source for bar in step.never_when), *(one.source for one in step.first_do))
        need("steps", step.id, "source", cited, rulebook.sources)
    for companion in rulebook.companions.values():
        need("companions", companion.id, "source", (companion.source,), rulebook.sources)
    for term in rulebook.vocabulary.values():
        for said in term.implies.values():
            need("vocabulary", term.name, "implies", tuple(said), rulebook.vocabulary)
            for other, words in said.items():
                of_other = rulebook.vocabulary.get(other)
                known_words = of_other.words if of_other is not None else ()
                need("vocabulary", term.name, "implies", words, known_words)
        if term.needs_present is not None:
            need(
                "vocabulary", term.name, "needs_present", (term.needs_present,), rulebook.vocabulary
            )
    for level in rulebook.levels.values():
        need("levels", level.id, "now", (*level.now, *level.today), rulebook.steps)
        need("levels", level.id, "source", (level.source,), rulebook.sources)
    for peril in rulebook.perils.values():
        need("perils", peril.id, "level", (peril.level,), rulebook.levels)
        look = (peril.look,) if peril.look else ()
        need("perils", peril.id, "look", look, rulebook.mechanisms)
        need("perils", peril.id, "instead_of", peril.instead_of, rulebook.perils)
        need("perils", peril.id, "steps", peril.steps, rulebook.steps)
        need("perils", peril.id, "source", (peril.source,), rulebook.sources)
    unheard = rulebook.ranking.estimates_unheard_by
    known = (*rulebook.mechanisms, *rulebook.causes)
    need("ranking", "ranking", "estimates_unheard_by", unheard, known)
