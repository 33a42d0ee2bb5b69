"""How soon a robot keeper gets to the right cause, against a fixed order; and how long it waits.

Run as `python tests/benchmarks/bench_session.py [MOST]` from the root of the project. Each robot
holds a worked case. `story`: it tells the case's story first. `plain no`: asked about something the
case does not mention, it says `no` in 70 % of such yes-no questions, as a keeper would who knows
that nothing of the kind was done or seen; otherwise `not sure`. The fixed orders put the same
opening and the same questions to the same keepers, as a questionnaire would, those that ask for
several things together included: by topic, or by what is worth most at the start.
"""

from __future__ import annotations

import sys
import time
from collections.abc import Callable
from dataclasses import replace
from pathlib import Path
from statistics import mean, median, quantiles

sys.path.insert(0, str(Path(__file__).resolve().parents[2]))

from diagnose.dialogue.belief_state import (
    BeliefState,
    Next,
    SessionRules,
    belief_state,
    next_question,
    offers,
    session_rules,
    weighed,
)
from diagnose.dialogue.state import EQUIPMENT, OPENING, TOGETHER, Given, Session, give
from diagnose.rulebook.loading import load_rulebook
from diagnose.rulebook.places import bundled
from diagnose.rulebook.terms import Rulebook
from tests.generated_keeper import learning
from tests.robot_keeper import ASKED, Keeper, fixed_order, keeper_of, talk_with
from tests.worked_files import worked_files

STEPS = (3, 5, 7, 9, 12, 14, 18, 24, 30)
FIXED_MOST = 140
Course = list[tuple[bool, bool, bool]]


def course(
    keeper: Keeper,
    rules: SessionRules,
    most: int,
    choose: Callable[[SessionRules, BeliefState], Next],
) -> Course:
    """After each answer: whether it told something, right cause first, right cause in three."""
    assert keeper.case.expect is not None
    right = set(keeper.case.expect.first)
    found: Course = []
    for turn in talk_with(keeper, rules, most=most, choose=choose):
        top = [s.cause for s in turn.seen.inferred.beliefs.standings[:3]]
        found.append((turn.told, top[0] in right, bool(right.intersection(top))))
    return found


def curve(courses: list[Course], title: str) -> None:
    """Prints accuracy by number of answers, all of them and only those that told something."""
    print(f"\n{title}: {len(courses)} cases, {mean(map(len, courses)):.1f} questions on average")
    print("answers      first   in three    telling answers only: first   in three")
    for step in STEPS:
        every = [c[:step][-1] for c in courses if c]
        telling = [_telling(c, step) for c in courses if c]
        print(
            f"{step:7d} {_share(e[1] for e in every):10.0%} {_share(e[2] for e in every):10.0%}"
            f" {_share(t[1] for t in telling):29.0%} {_share(t[2] for t in telling):10.0%}"
        )


def _telling(found: Course, step: int) -> tuple[bool, bool, bool]:
    held = (False, False, False)
    count = 0
    for turn in found:
        count += turn[0]
        if count > step:
            break
        held = turn
    return held


def _share(flags: object) -> float:
    listed = list(flags)  # type: ignore[call-overload]
    return sum(listed) / len(listed)


def needed(found: Course) -> int | None:
    """Answers until the right cause stands first and stays there; None if it never does."""
    stays = None
    for place, (_, first, _) in enumerate(found, start=1):
        stays = (stays or place) if first else None
    return stays


def orders(rules: SessionRules, rulebook: Rulebook) -> dict[str, tuple[str, ...]]:
    """The questionnaires: by topic in a sensible order, and by worth before anything is known."""
    topics, topic_of = list(rules.asking.topics), rules.asking.topic_of
    asked = [n for n, t in rulebook.vocabulary.items() if not t.derived and topic_of[n] in topics]
    by_topic: list[str] = sorted(asked, key=lambda n: topics.index(topic_of[n]))
    first_event = next(i for i, n in enumerate(by_topic) if topic_of[n] == "events")
    by_topic[first_event:first_event] = [TOGETHER + name for name in rules.asking.together]
    session = Session(ASKED, "jar")
    for name in OPENING:
        session = give(session, Given(name, (), "not sure"))
    checks = weighed(rules, belief_state(rules, session))
    names = [name for name, _ in sorted(offers(rules, session, checks), key=lambda o: -o[1])]
    worth = [name for name in names if not name.startswith(EQUIPMENT)]
    rest = [name for name in by_topic if name not in worth]
    return {"by topic": tuple(by_topic), "by worth at the start": (*worth, *rest)}


def waits(keepers: list[Keeper], rules: SessionRules) -> None:
    """Prints the time from an answer to the next question, by the clock and of the processor (the
    same on a machine that does nothing else).
    """
    for title, clock in (("clock", time.perf_counter), ("processor", time.process_time)):
        taken: list[float] = []
        for keeper in keepers:
            taken += _waits_of(keeper, rules, clock)
        print(
            f"Next question after an answer, {title}: median {median(taken):.0f} ms, "
            f"19 of 20 within {quantiles(taken, n=20)[-1]:.0f} ms, slowest {max(taken):.0f} ms "
            f"({len(taken)} questions, bound 150 ms)"
        )


def _waits_of(keeper: Keeper, rules: SessionRules, clock: Callable[[], float]) -> list[float]:
    """Milliseconds from each answer to the question after it, in one session."""
    taken: list[float] = []
    started = clock()

    def timed(mind_: SessionRules, seen: BeliefState) -> Next:
        nonlocal started
        coming = next_question(mind_, seen)
        taken.append(1000.0 * (clock() - started))
        started = clock()
        return coming

    for _ in talk_with(keeper, rules, most=14, choose=timed):
        pass
    return taken


def honesty(rules: SessionRules) -> None:
    """Prints expected against realised information over made-up keepers: how far beliefs moved, and
    how much was gained about the cause that was true. The second falls behind the first where the
    beliefs are surer than the chances of answers warrant.
    """
    learnt = [step for seed in range(120) for step in learning(rules.look_ahead, seed, 12)]
    expected, moved, truth = (
        mean(step.expected for step in learnt),
        mean(step.moved for step in learnt),
        mean(step.about_truth for step in learnt),
    )
    print(
        f"\nExpected information {expected:.3f} bits a question; beliefs moved by {moved:.3f} bits "
        f"({moved / expected - 1:+.0%}); gained about the true cause {truth:.3f} bits "
        f"({truth / expected - 1:+.0%}), {len(learnt)} questions of made-up keepers"
    )


def main() -> None:
    """Prints curves, the comparison with fixed orders, waiting times and honesty."""
    most = int(sys.argv[1]) if len(sys.argv) > 1 else 30
    rulebook = load_rulebook(bundled("knowledge"))
    rules = session_rules(rulebook, [bundled("knowledge")])
    silent = [keeper_of(f, rulebook) for f in worked_files()]
    robots = {
        "story": [replace(k, tells_story=True) for k in silent],
        "story, plain no": [replace(k, tells_story=True, denies_share=0.7) for k in silent],
        "no story": silent,
    }
    waits(robots["story"][::4], rules)
    for title, keepers in robots.items():
        courses = [course(k, rules, most, next_question) for k in keepers]
        curve(courses, f"Robot: {title}")
        if title == "story":
            tests = [
                c
                for k, c in zip(keepers, courses, strict=True)
                if k.case.expect is not None and k.case.expect.split == "test"
            ]
            curve(tests, "Of these, the cases kept for testing")
        if title == "no story":
            continue
        for order, names in orders(rules, rulebook).items():
            fixed = [course(k, rules, FIXED_MOST, fixed_order(names)) for k in keepers]
            both = [
                (a, b)
                for ours, theirs in zip(courses, fixed, strict=True)
                if (a := needed(ours)) is not None and (b := needed(theirs)) is not None
            ]
            ours, theirs = mean(a for a, _ in both), mean(b for _, b in both)
            print(
                f"Until the right cause stands first for good, {len(both)} cases where both get "
                f"there: {ours:.1f} answers, in a fixed order {order} {theirs:.1f} "
                f"({ours / theirs:.0%})"
            )
    honesty(rules)


if __name__ == "__main__":
    main()
