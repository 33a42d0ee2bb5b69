"""From a `when` as written in a rule to the few ways it can be met, and how far it is met.

A requirement is data: `{observation: test}`, `all`, `any`, `not`. It is brought into "any of
several ways, each all of its leaves" once, when the rulebook is loaded; `not` is pushed down to
the leaves, where it becomes the opposite test of a *known* value, so that ignorance never
satisfies anything.

Numbers are never compared hard: an edge rises or falls over a range, and how far a requirement is
met is a degree between 0 and 1 (least of `all`, most of `any`). Hence no threshold has a cliff.
"""

from __future__ import annotations

import itertools
import math
from collections.abc import Mapping
from typing import TYPE_CHECKING, Any

from diagnose.intake.rough import Either, Rough
from diagnose.rulebook.terms import Curve, Leaf, Ways

if TYPE_CHECKING:
    from collections.abc import Sequence

    from diagnose.rulebook.terms import Term

EDGES = {"rising": 2, "falling": 2, "between": 4}
MAX_WAYS = 64
#: So many even points stand for an interval in which a number lies.
POINTS_OF_A_SPAN = 9


class BadRequirement(ValueError):
    """A `when` or a curve that cannot be read; the message says what would be right."""


def ways(when: object, vocabulary: Mapping[str, Term], conditions: frozenset[str]) -> Ways:
    """All ways of meeting `when`, each a tuple of leaves sorted by name.

    Raises BadRequirement with one sentence that names the part and what would be right.
    """
    found = _ways(when, vocabulary, conditions, negated=False)
    if len(found) > MAX_WAYS:
        raise BadRequirement(f"it unfolds into {len(found)} ways; keep it below {MAX_WAYS}.")
    unique = {tuple(sorted(set(way), key=lambda leaf: (leaf.name, leaf.kind))) for way in found}
    return tuple(sorted(unique, key=repr))


def _ways(
    when: object, vocabulary: Mapping[str, Term], conditions: frozenset[str], *, negated: bool
) -> list[tuple[Leaf, ...]]:
    if not isinstance(when, Mapping) or not when:
        raise BadRequirement("a requirement is a mapping such as {white_ring: present}.")
    parts = [
        _part(str(key), value, vocabulary, conditions, negated=negated)
        for key, value in when.items()
    ]
    return _sum(parts) if negated else _product(parts)


def _part(
    key: str,
    value: object,
    vocabulary: Mapping[str, Term],
    conditions: frozenset[str],
    *,
    negated: bool,
) -> list[tuple[Leaf, ...]]:
    if key == "not":
        return _ways(value, vocabulary, conditions, negated=not negated)
    if key in ("all", "any"):
        if not isinstance(value, list) or not value:
            raise BadRequirement(f"`{key}` takes a list of requirements.")
        inner = [_ways(item, vocabulary, conditions, negated=negated) for item in value]
        return _product(inner) if (key == "all") != negated else _sum(inner)
    return _leaf(key, value, vocabulary, conditions, negated=negated)


def _sum(parts: Sequence[list[tuple[Leaf, ...]]]) -> list[tuple[Leaf, ...]]:
    return [way for part in parts for way in part]


def _product(parts: Sequence[list[tuple[Leaf, ...]]]) -> list[tuple[Leaf, ...]]:
    ways_so_far: list[tuple[Leaf, ...]] = [()]
    for part in parts:
        ways_so_far = [(*left, *right) for left in ways_so_far for right in part]
        if len(ways_so_far) > MAX_WAYS:
            raise BadRequirement(f"it unfolds into more than {MAX_WAYS} ways; split it.")
    return ways_so_far


def _leaf(
    name: str,
    test: object,
    vocabulary: Mapping[str, Term],
    conditions: frozenset[str],
    *,
    negated: bool,
) -> list[tuple[Leaf, ...]]:
    if name in conditions:
        if test != "holds":
            raise BadRequirement(f"`{name}` is a condition; write {{{name}: holds}}.")
        if negated:
            raise BadRequirement(
                f"`not` of the condition `{name}` would match ignorance; test observations instead."
            )
        return [(Leaf(name, "holds"),)]
    term = vocabulary.get(name)
    if term is None:
        raise BadRequirement(f"`{name}` is neither an observation nor a condition.")
    if test == "known":
        if negated:
            raise BadRequirement(f"`not known` of `{name}` would match ignorance.")
        return [(Leaf(name, "known"),)]
    if term.kind == "number":
        return [(leaf,) for leaf in _edges(name, test, negated=negated)]
    words = tuple(str(word) for word in test) if isinstance(test, list) else (str(test),)
    unknown = [word for word in words if word not in term.words]
    if unknown:
        raise BadRequirement(
            f"`{name}` cannot be {', '.join(unknown)}; it can be {', '.join(term.words)}."
        )
    if negated:
        words = tuple(word for word in term.words if word not in words)
        if not words:
            raise BadRequirement(f"`not` leaves no possible value of `{name}`.")
    return [(Leaf(name, "in", words=tuple(sorted(words))),)]


def _edges(name: str, test: object, *, negated: bool) -> list[Leaf]:
    if not isinstance(test, Mapping) or len(test) != 1:
        raise BadRequirement(
            f"`{name}` is a number; write {{rising: [a, b]}}, {{falling: [a, b]}}, "
            "{between: [a, b, c, d]} or known."
        )
    ((kind, raw),) = test.items()
    count = EDGES.get(str(kind))
    if count is None:
        raise BadRequirement(f"`{name}`: `{kind}` is not one of rising, falling, between.")
    if not isinstance(raw, list) or len(raw) != count or not all(_is_number(x) for x in raw):
        raise BadRequirement(f"`{name}`: `{kind}` takes {count} numbers.")
    edges = tuple(float(x) for x in raw)
    if any(left > right for left, right in itertools.pairwise(edges)):
        raise BadRequirement(f"`{name}`: the numbers of `{kind}` must not fall.")
    if edges[0] == edges[1] or edges[-2] == edges[-1]:
        raise BadRequirement(f"`{name}`: an edge needs width; {edges} would be a cliff.")
    if not negated:
        return [Leaf(name, str(kind), edges=edges)]  # type: ignore[arg-type]
    if kind == "rising":
        return [Leaf(name, "falling", edges=edges)]
    if kind == "falling":
        return [Leaf(name, "rising", edges=edges)]
    return [Leaf(name, "falling", edges=edges[:2]), Leaf(name, "rising", edges=edges[2:])]


def _is_number(value: object) -> bool:
    return isinstance(value, int | float) and not isinstance(value, bool)


def curve(weight: object, vocabulary: Mapping[str, Term]) -> Curve:
    """The curve written as `{over: observation, points: [[x, decibans], ...]}`.

    Raises BadRequirement where the observation is no number or the points do not rise in x.
    """
    if not isinstance(weight, Mapping) or set(weight) != {"over", "points"}:
        raise BadRequirement("a weight is a number, or {over: observation, points: [[x, w], ...]}.")
    over = str(weight["over"])
    term = vocabulary.get(over)
    if term is None or term.kind != "number":
        raise BadRequirement(f"a curve runs over a numeric observation; `{over}` is none.")
    raw: Any = weight["points"]
    if not isinstance(raw, list) or len(raw) < 2:
        raise BadRequirement("a curve needs at least two points [x, decibans].")
    points = []
    for point in raw:
        if not isinstance(point, list) or len(point) != 2 or not all(map(_is_number, point)):
            raise BadRequirement("each point of a curve is [x, decibans].")
        points.append((float(point[0]), float(point[1])))
    if any(left[0] >= right[0] for left, right in itertools.pairwise(points)):
        raise BadRequirement("the x of a curve's points must rise from point to point.")
    return Curve(over, tuple(points))


def even_points(number: Rough) -> tuple[float, ...]:
    """Values of equal weight, from one end of what a number may be to the other; the bound alone
    where an end is open.
    """
    low, high = number.low, number.high
    if math.isinf(low) or math.isinf(high):
        return (float(number),)
    steps = POINTS_OF_A_SPAN - 1
    return tuple(low + (high - low) * step / steps for step in range(steps + 1))


def decibans(curve: Curve, x: float) -> float:
    """The curve's weight at x: linear between points, flat outside, decibans. Of a rough number it
    is the weight of the mean likelihood ratio over all it may be.
    """
    if isinstance(x, Rough):
        ratios = [10.0 ** (decibans(curve, point) / 10.0) for point in even_points(x)]
        return 10.0 * math.log10(math.fsum(ratios) / len(ratios))
    points = curve.points
    if x <= points[0][0]:
        return points[0][1]
    for (x0, y0), (x1, y1) in itertools.pairwise(points):
        if x <= x1:
            return y0 + (y1 - y0) * (x - x0) / (x1 - x0)
    return points[-1][1]


def degree(leaf: Leaf, value: str | float) -> float:
    """How far a known value meets a leaf, from 0 to 1. For `holds` the value is the condition's
    degree. Of a value that was left open it is the mean over all it may be.
    """
    if leaf.kind == "known":
        return 1.0
    if isinstance(value, Rough):
        points = even_points(value)
        return math.fsum(degree(leaf, point) for point in points) / len(points)
    if leaf.kind == "in":
        if isinstance(value, Either):
            return sum(word in leaf.words for word in value.words) / len(value.words)
        return 1.0 if value in leaf.words else 0.0
    if isinstance(value, str):
        return 0.0
    if leaf.kind == "holds":
        return value
    edges = leaf.edges
    if leaf.kind == "rising":
        return _ramp(value, edges[0], edges[1])
    if leaf.kind == "falling":
        return 1.0 - _ramp(value, edges[0], edges[1])
    return min(_ramp(value, edges[0], edges[1]), 1.0 - _ramp(value, edges[2], edges[3]))


def met(ways: Ways, values: Mapping[str, str | float]) -> float:
    """How far a requirement is met by known values: most of its ways, least of each way's leaves.

    A way that needs a value nobody knows is not met.
    """
    degrees = [
        min(degree(leaf, values[leaf.name]) for leaf in way)
        for way in ways
        if all(leaf.name in values for leaf in way)
    ]
    return max(degrees, default=0.0)


def _ramp(x: float, start: float, end: float) -> float:
    return min(1.0, max(0.0, (x - start) / (end - start)))
