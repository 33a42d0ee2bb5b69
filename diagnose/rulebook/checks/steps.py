"""Checks of what keepers are told to do: with the caution it needs, and never against itself."""

from __future__ import annotations

import itertools
import re
from collections.abc import Iterable

from diagnose.rulebook.checks.check import At, Check, Problem
from diagnose.rulebook.checks.subject import Subject

#: What a step speaks of, and the cautions of which it then needs one.
#: Sources: the owner's list of usual cautions; common practice, no source.
NEEDS_CAUTION: tuple[tuple[str, str, tuple[str, ...]], ...] = (
    (
        "draws water through a hose",
        r"\bsiphon\w*|\b(draw|suck|drain)\w*\b[^.]*\bhose\b|\bhose\b[^.]*\b(start|draw|suck)\w*",
        ("no-mouth-siphoning",),
    ),
    (
        "handles electrical things near water",
        r"\bheaters?\b|\bair ?stones?\b|\bair ?pumps?\b|\bunplug\w*|\bplug in\b|\bcables?\b"
        r"|\bfan\b(?! out)",
        ("electricity-near-water",),
    ),
    (
        "handles bodies",
        r"\bbod(y|ies) out\b|\blift bodies\b|\bdead animals?\b",
        ("wash-hands-and-cover-wounds",),
    ),
    (
        "speaks of medicine",
        r"\bmedicines?\b|\bantibiotics?\b|\bmedicat\w+|\bwormer\b|\bdewormer\b",
        ("medicine-only-with-vet",),
    ),
    (
        "speaks of bleach or a disinfectant",
        r"\bbleach\w*|\bdisinfect\w*",
        ("chemicals-apart",),
    ),
    (
        "speaks of acid, lye or a pH adjuster",
        r"\bacids?\b(?! water)|\blye\b|\bpH adjusters?\b",
        ("no-acids-or-lyes", "acid-water-and-ammonia"),
    ),
    (
        "speaks of ending a life",
        r"\bhumane\w*|\beuthan\w+|\bput down\b",
        ("humane-end",),
    ),
    (
        "handles a gas bottle",
        r"\bgas bottles?\b|\bgas cylinders?\b",
        ("gas-bottle",),
    ),
    (
        "gives animals, plants or their water away",
        r"\bgive away\b|\bthrow (them|it) away\b|\bdispose\b|\brehome\w*|\brelease\b",
        ("never-release",),
    ),
)


def _caution_missing(subject: Subject) -> Iterable[Problem]:
    for step in subject.rulebook.steps.values():
        text = f"{step.title} {step.do}"
        for what, pattern, any_of in NEEDS_CAUTION:
            found = re.search(pattern, text, re.IGNORECASE)
            if found is not None and not set(any_of) & set(step.cautions):
                yield Problem(
                    At("steps", step.id, ("cautions",)),
                    f"the step {what} (`{found.group(0)}`) and lacks `{any_of[0]}`.",
                )


def _at_odds(subject: Subject) -> Iterable[Problem]:
    """Two steps of one cause that conflict would leave the keeper with half of its advice."""
    steps = subject.rulebook.steps
    for cause in subject.rulebook.causes.values():
        for phase in ("now", "today"):
            for one, other in itertools.combinations(getattr(cause, phase), 2):
                if other in steps[one].conflicts or one in steps[other].conflicts:
                    yield Problem(
                        At("causes", cause.id, (phase,)), f"`{one}` and `{other}` conflict."
                    )


def _conflicts_with_itself(subject: Subject) -> Iterable[Problem]:
    for step in subject.rulebook.steps.values():
        if step.id in step.conflicts:
            yield Problem(At("steps", step.id, ("conflicts",)), "it conflicts with itself.")


def _drastic_at_once(subject: Subject) -> Iterable[Problem]:
    for step in subject.rulebook.steps.values():
        if step.harms_nothing and step.drastic > 0:
            yield Problem(
                At("steps", step.id, ("drastic",)), "it harms nothing and yet is drastic."
            )


def _twice(subject: Subject) -> Iterable[Problem]:
    """Once now or today; what is repeated in the week may stand there again."""
    for cause in subject.rulebook.causes.values():
        named = [*cause.now, *cause.today]
        for name in sorted({name for name in named if named.count(name) > 1}):
            yield Problem(At("causes", cause.id), f"the step `{name}` is advised twice.")


CHECKS = (
    Check(
        "caution-missing",
        "error",
        "Add the caution to the step's `cautions`; it then shows wherever the step does.",
        _caution_missing,
    ),
    Check(
        "steps-at-odds",
        "error",
        "Keep the one that is safer for this cause.",
        _at_odds,
    ),
    Check(
        "conflict-with-itself",
        "error",
        "Name only other steps.",
        _conflicts_with_itself,
    ),
    Check(
        "harmless-and-drastic",
        "error",
        "A step safe whatever the cause has drastic 0; else harms_nothing is false.",
        _drastic_at_once,
    ),
    Check(
        "step-twice",
        "error",
        "Advise it once, where it comes first.",
        _twice,
    ),
)
