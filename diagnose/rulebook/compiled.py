"""A rulebook kept ready: the validated objects as one JSON file, so that the next start need not
read YAML.

The file is only ever a copy. It carries a fingerprint of the YAML it came from (names, sizes,
times) and of the program; when that differs, or the file is missing or unreadable, the YAML is
read again.
"""

from __future__ import annotations

import json
import os
from dataclasses import fields
from pathlib import Path
from typing import Any

from diagnose import __version__
from diagnose.rulebook.terms import (
    Bar,
    Cause,
    Caution,
    Channel,
    Companion,
    Condition,
    Confirmation,
    Curve,
    Evidence,
    FirstDo,
    Gate,
    Leaf,
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

#: Raised by one whenever the shape of the stored objects changes.
SHAPE = 16


def fingerprint(folders: tuple[Path, ...]) -> str:
    """What the rulebook of these folders depends on: program, shape, and each file's name, size
    and time.
    """
    parts = [__version__, str(SHAPE)]
    for folder in folders:
        for directory, subfolders, names in os.walk(folder):
            subfolders.sort()
            for name in sorted(names):
                if name.endswith(".yaml"):
                    found = os.stat(os.path.join(directory, name))
                    parts.append(f"{directory}/{name}:{found.st_size}:{found.st_mtime_ns}")
    return "|".join(parts)


def rulebook_of(folders: tuple[Path, ...], keep_in: Path | None) -> Rulebook:
    """The rulebook of the folders: from the kept copy when it is current, else read anew and kept.

    keep_in is the file of the copy, or None to keep none. Raises RulebookError as `load_rulebook`
    does.
    """
    mark = fingerprint(folders)
    if keep_in is not None:
        kept = _kept(keep_in, mark)
        if kept is not None:
            return kept
    from diagnose.rulebook.loading import load_rulebook

    rulebook = load_rulebook(*folders)
    if keep_in is not None:
        _keep(rulebook, keep_in, mark)
    return rulebook


def _kept(file: Path, mark: str) -> Rulebook | None:
    try:
        stored = json.loads(file.read_bytes())
        if stored["mark"] != mark:
            return None
        return unpack(stored["rulebook"])
    except (OSError, ValueError, TypeError, KeyError, IndexError):
        return None


def _keep(rulebook: Rulebook, file: Path, mark: str) -> None:
    """Writes the copy beside and moves it into place; a folder that cannot be written is no
    fault.
    """
    try:
        file.parent.mkdir(parents=True, exist_ok=True)
        beside = file.with_name(f"{file.name}.{os.getpid()}")
        beside.write_text(json.dumps({"mark": mark, "rulebook": pack(rulebook)}), encoding="utf-8")
        beside.replace(file)
    except OSError:
        return


def pack(rulebook: Rulebook) -> dict[str, Any]:
    """The rulebook as plain lists and mappings."""
    packed: dict[str, Any] = {}
    for item in fields(Rulebook):
        value = getattr(rulebook, item.name)
        if item.name in ("where",):
            packed[item.name] = value
        elif item.name == "ranking":
            packed[item.name] = list(value)
        else:
            packed[item.name] = list(value.values())
    return packed


def unpack(packed: dict[str, Any]) -> Rulebook:
    """The rulebook that `pack` was given. Raises TypeError or IndexError on a foreign shape."""
    terms = [_term(row) for row in packed["vocabulary"]]
    conditions = [Condition(r[0], r[1], _ways(r[2]), r[3], r[4]) for r in packed["conditions"]]
    mechanisms = [_mechanism(row) for row in packed["mechanisms"]]
    causes = [_cause(row) for row in packed["causes"]]
    steps = [_step(row) for row in packed["steps"]]
    species = [
        Species(
            r[0],
            r[1],
            tuple(r[2]),
            tuple(r[3]),
            r[4],
            _pairs(r[5]),
            _pairs(r[6]),
            r[7],
            _pairs(r[8]),
            *r[9:],
        )
        for r in packed["species"]
    ]
    return Rulebook(
        vocabulary={term.name: term for term in terms},
        conditions={item.id: item for item in conditions},
        mechanisms={item.id: item for item in mechanisms},
        causes={item.id: item for item in causes},
        steps={item.id: item for item in steps},
        cautions={r[0]: Caution(*r) for r in packed["cautions"]},
        sources={r[0]: Source(*r) for r in packed["sources"]},
        species={item.id: item for item in species},
        levels={row[0]: _level(row) for row in packed["levels"]},
        perils={row[0]: _peril(row) for row in packed["perils"]},
        ranking=_ranking(packed["ranking"]),
        where=packed["where"],
        stocking={row[0]: _gate(row) for row in packed["stocking"]},
        stocking_facts={row[0]: _needed(row) for row in packed["stocking_facts"]},
        numbers={row[0]: _number(row) for row in packed["numbers"]},
        pointless={r[0]: _pointless(r) for r in packed["pointless"]},
        companions={r[0]: _companion(r) for r in packed["companions"]},
    )


def _companion(row: list[Any]) -> Companion:
    name, title, also, kin, grown, young, size, tells, source = row
    return Companion(name, title, tuple(also), kin, grown, young, tuple(size), tells, source)


def _pointless(row: list[Any]) -> Pointless:
    name, ground, words, low, high, drop = row
    return Pointless(name, ground, tuple(words), low, high, tuple(drop))


def _ranking(row: list[Any]) -> Ranking:
    """Lists of names come back as tuples."""
    channels, *rest = row
    values: list[Any] = [tuple(value) if isinstance(value, list) else value for value in rest]
    return Ranking(
        tuple(Channel(r[0], tuple(r[1]), tuple(r[2]), *r[3:]) for r in channels), *values
    )


def _ways(rows: list[Any]) -> Ways:
    return tuple(
        [
            tuple(
                [Leaf(name, kind, tuple(words), tuple(edges)) for name, kind, words, edges in way]
            )
            for way in rows
        ]
    )


def _arguments(rows: list[Any]) -> tuple[Evidence, ...]:
    return tuple(
        [
            Evidence(
                name,
                owner,
                _ways(when),
                weight,
                Curve(curve[0], tuple(map(tuple, curve[1]))) if curve else None,
                because,
                *rest,
            )
            for name, owner, when, weight, curve, because, *rest in rows
        ]
    )


def _term(row: list[Any]) -> Term:
    name, kind, asks, look, choices, unit, possible, plausible, shares, *rest = row
    (
        minutes,
        needs,
        event,
        derived,
        ground,
        channel,
        also,
        said_as,
        implies,
        holds_h,
        matters_h,
        alike,
        tried,
        said,
        drawn,
    ) = rest
    return Term(
        name,
        kind,
        asks,
        look,
        choices,
        unit,
        tuple(possible) if possible else None,
        tuple(plausible) if plausible else None,
        tuple(map(tuple, shares)),
        minutes,
        needs,
        event,
        derived,
        ground,
        channel,
        also=tuple(also),
        said_as={word: tuple(said) for word, said in said_as.items()},
        implies={
            word: {other: tuple(words) for other, words in said.items()}
            for word, said in implies.items()
        },
        holds_h=holds_h,
        matters_h=matters_h,
        alike=alike,
        tried=tuple(tried),
        said=_pairs(said),
        drawn=drawn,
    )


def _cause(row: list[Any]) -> Cause:
    name, title, summary, through, rate, calm_rate, source, early, arguments = row[:9]
    like, confirm = row[9:11]
    now, today, this_week, prevent, cautions, sources, numbers = map(tuple, row[11:18])
    return Cause(
        name,
        title,
        summary,
        tuple(through),
        rate,
        calm_rate,
        source,
        tuple(early),
        _arguments(arguments),
        tuple(LookAlike(*pair) for pair in like),
        tuple(Confirmation(*pair) for pair in confirm),
        now,
        today,
        this_week,
        prevent,
        cautions,
        sources,
        numbers,
        row[18],
        tuple(_way(way) for way in row[19]),
    )


def _way(row: list[Any]) -> Way:
    name, title, when, asks, now, today, this_week, prevent = row
    phases = (tuple(now), tuple(today), tuple(this_week), tuple(prevent))
    return Way(name, title, _ways(when), asks, *phases)


def _mechanism(row: list[Any]) -> Mechanism:
    name, title, summary, water, animal, harmless, early, arguments, numbers, look = row
    return Mechanism(
        name,
        title,
        summary,
        water,
        animal,
        harmless,
        tuple(early),
        _arguments(arguments),
        tuple(numbers),
        NextLook(*look),
    )


def _step(row: list[Any]) -> Step:
    *plain, conflicts, cautions, bars, before, saves, people, computed, vain = row
    name, title, do, why, minutes, harmless, drastic = plain
    return Step(
        name,
        title,
        do,
        why,
        minutes,
        harmless,
        drastic,
        tuple(conflicts),
        tuple(cautions),
        tuple(Bar(_ways(when), because, source, say) for when, because, source, say in bars),
        tuple(FirstDo(step, _ways(when), *rest) for step, when, *rest in before),
        saves,
        people,
        computed,
        _ways(vain),
    )


def _level(row: list[Any]) -> Level:
    name, says, waiting, now, today, source = row
    return Level(name, says, waiting, tuple(now), tuple(today), source)


def _peril(row: list[Any]) -> Peril:
    name, level, when, says, steps, estimated, calmed, instead_of, look, source = row
    ways, shadowed = _ways(when), tuple(instead_of)
    return Peril(name, level, ways, says, tuple(steps), estimated, calmed, shadowed, look, source)


def _gate(row: list[Any]) -> Gate:
    name, side, limit, title, evidence, do, mends, days, since, cautions, steps = row
    return Gate(
        name,
        side,
        limit,
        title,
        _arguments([evidence])[0],
        do,
        tuple(map(tuple, mends)),
        days,
        since,
        tuple(cautions),
        tuple(steps),
    )


def _needed(row: list[Any]) -> NeededFact:
    name, any_of, assume, because = row
    return NeededFact(name, tuple(any_of), tuple(map(tuple, assume)), because)


def _number(row: list[Any]) -> Number:
    name, value, unit, between, points, because, source = row
    pair = (between[0], between[1]) if between else None
    return Number(name, value, unit, pair, tuple(map(tuple, points)), because, source)


def _pairs(found: dict[str, list[float]]) -> dict[str, tuple[float, float]]:
    return {name: (low, high) for name, (low, high) in found.items()}
