"""The rulebook compiled to CLIPS, an independent rule engine (NASA, public domain; from Python
through clipspy).

It shares nothing with `diagnose.inference` but the rulebook: the matching, the chaining of
conditions, the degrees and the curves are all CLIPS's own, written out here from the rulebook's
definition of them.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from itertools import pairwise

import clips

from diagnose.findings.observation import Observation
from diagnose.rulebook.terms import Condition, Curve, Evidence, Leaf, Rulebook

FUNCTIONS = """
(deffunction ramp (?x ?a ?b) (max 0.0 (min 1.0 (/ (- ?x ?a) (- ?b ?a)))))
(deffunction rising (?x ?a ?b) (ramp ?x ?a ?b))
(deffunction falling (?x ?a ?b) (- 1.0 (ramp ?x ?a ?b)))
(deffunction between (?x ?a ?b ?c ?d) (min (ramp ?x ?a ?b) (- 1.0 (ramp ?x ?c ?d))))
"""
FIRED = "(deftemplate fired (slot key) (slot degree) (slot estimated) (slot decibans))"


@dataclass(frozen=True, slots=True)
class Fired:
    """What fired: its degree, whether it rests on an estimate, its decibans (0 for a condition)."""

    degree: float
    estimated: bool
    decibans: float


class ClipsRulebook:
    """A CLIPS environment that holds every rule of a rulebook."""

    def __init__(self, rulebook: Rulebook) -> None:
        self._environment = clips.Environment()
        for construct in program(rulebook):
            self._environment.build(construct)
        self._fired = self._environment.find_template("fired")

    def run(self, observations: Iterable[Observation]) -> dict[str, Fired]:
        """Everything that fires, by key; the strongest way of each argument, as the rulebook
        wants it: met furthest, and rather measured than estimated.
        """
        environment = self._environment
        environment.reset()
        for item in observations:
            template = environment.find_template(f"known-{item.name}")
            template.assert_fact(
                value=float(item.value) if not isinstance(item.value, str) else item.value,
                estimated=clips.Symbol("TRUE" if item.origin == "estimated" else "FALSE"),
            )
        environment.run()
        found: dict[str, Fired] = {}
        for fact in self._fired.facts():
            new = Fired(fact["degree"], fact["estimated"] == "TRUE", fact["decibans"])
            old = found.get(fact["key"])
            if old is None or (new.degree, not new.estimated) > (old.degree, not old.estimated):
                found[fact["key"]] = new
        return found


def program(rulebook: Rulebook) -> Iterator[str]:
    """The constructs, one by one, in an order in which each knows what it names."""
    yield from FUNCTIONS.strip().splitlines()
    yield FIRED
    for name in (*rulebook.vocabulary, *rulebook.conditions):
        yield f"(deftemplate known-{name} (slot value) (slot estimated))"
    arguments: list[Condition | Evidence] = [*rulebook.conditions.values(), *rulebook.evidence()]
    for number, argument in enumerate(arguments):
        curve = argument.curve if isinstance(argument, Evidence) else None
        if curve is not None:
            yield f"(deffunction curve-{number} (?x) {_curve(curve)})"
        for way_number, way in enumerate(argument.when):
            yield _rule(f"rule-{number}-{way_number}", argument, way, curve, f"curve-{number}")


def _rule(
    name: str,
    argument: Condition | Evidence,
    way: tuple[Leaf, ...],
    curve: Curve | None,
    curve_function: str,
) -> str:
    leaves = list(way)
    if curve is not None and all(leaf.name != curve.over for leaf in leaves):
        leaves.append(Leaf(curve.over, "known"))
    patterns = " ".join(_pattern(leaf, i) for i, leaf in enumerate(leaves))
    degree = " ".join(_degree(leaf, f"?v{i}") for i, leaf in enumerate(leaves))
    estimates = " ".join(f"(eq ?e{i} TRUE)" for i in range(len(leaves)))
    bind = f"(bind ?degree (min 1.0 {degree})) (bind ?estimated (or FALSE {estimates}))"
    if isinstance(argument, Condition):
        key, weight = argument.id, "0.0"
        more = f"(assert (known-{key} (value ?degree) (estimated ?estimated)))"
    else:
        key, more = argument.key, ""
        weight = repr(argument.weight)
        if curve is not None:
            place = next(i for i, leaf in enumerate(leaves) if leaf.name == curve.over)
            weight = f"({curve_function} ?v{place})"
    fired = (
        f'(assert (fired (key "{key}") (degree ?degree) (estimated ?estimated) '
        f"(decibans (* {weight} ?degree))))"
    )
    return f"(defrule {name} {patterns} => {bind} {fired} {more})"


def _pattern(leaf: Leaf, place: int) -> str:
    value = f"?v{place}"
    if leaf.kind == "in":
        value += "&" + "|".join(f'"{word}"' for word in leaf.words)
    elif leaf.kind != "known":
        value += f"&:(> {_degree(leaf, value)} 0.0)"
    return f"(known-{leaf.name} (value {value}) (estimated ?e{place}))"


def _degree(leaf: Leaf, value: str) -> str:
    if leaf.kind in ("in", "known"):
        return "1.0"
    if leaf.kind == "holds":
        return value
    return f"({leaf.kind} {value} {' '.join(map(repr, leaf.edges))})"


def _curve(curve: Curve) -> str:
    """Nested ifs: linear between the points, flat outside."""
    points = curve.points
    text = repr(points[-1][1])
    for (x0, y0), (x1, y1) in reversed(list(pairwise(points))):
        line = f"(+ {y0!r} (/ (* (- {y1!r} {y0!r}) (- ?x {x0!r})) (- {x1!r} {x0!r})))"
        text = f"(if (<= ?x {x1!r}) then {line} else {text})"
    return f"(if (<= ?x {points[0][0]!r}) then {points[0][1]!r} else {text})"
