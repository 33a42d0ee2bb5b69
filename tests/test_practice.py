"""Practice: cases that teach, looking that costs, feedback that is fair, records that last."""

from __future__ import annotations

import csv
import io
import json
import random
from collections.abc import Iterable
from dataclasses import replace
from datetime import datetime
from pathlib import Path

import pytest

from diagnose.belief.belief import believe, counted, weigh
from diagnose.cli import BAD_INPUT, main
from diagnose.dialogue.expected_information import LookAhead, infer, look_ahead_over
from diagnose.inference.engine import Inference
from diagnose.practice.calibration import calibration, calibration_sentence, score_of
from diagnose.practice.exercise import Exercise, askable_names
from diagnose.practice.feedback import feedback
from diagnose.practice.invented import MANNERS, SHAPES, Maker, invent, maker
from diagnose.practice.paths import efficient_path, most_telling
from diagnose.practice.play import Play, look
from diagnose.practice.record import Result, csv_text, keep, kept
from diagnose.practice.sitting import Wanted, practise
from diagnose.practice.table import Voice
from diagnose.practice.weighing import conditions_met, speaks_for
from diagnose.practice.worked_exercises import exercise_of, next_worked, shelf
from diagnose.rulebook.places import bundled
from diagnose.rulebook.terms import Rulebook
from diagnose.story.lexicon import Lexicon, load_lexicon
from tests.worked_files import worked_files

KNOWLEDGE = bundled("knowledge")
LEVELS = sorted(MANNERS)
#: Made-up cases tried at each level.
TRIED = 334
#: Cases and minutes that the two players get: with more causes to tell apart than when the game was
#: new, ten minutes settle little for either. A third of the cases are played in the usual run.
PLAYED, MINUTES = 60, 20.0
NOW = datetime(2026, 5, 12, 18, 0)


@pytest.fixture(scope="module")
def making(rulebook: Rulebook) -> Maker:
    return maker(rulebook)


@pytest.fixture(scope="module")
def look_ahead(rulebook: Rulebook) -> LookAhead:
    return look_ahead_over(rulebook)


@pytest.fixture(scope="module")
def lexicon(rulebook: Rulebook) -> Lexicon:
    return load_lexicon(
        [KNOWLEDGE],
        rulebook.vocabulary,
        rulebook.species.values(),
        rulebook.companions.values(),
    )


MADE: dict[tuple[int, int], Exercise] = {}


def made(making: Maker, level: int, seed: int) -> Exercise:
    """The made-up case of a level and seed, made once for all tests that only read it."""
    if (level, seed) not in MADE:
        MADE[level, seed] = invent(making, level, seed)
    return MADE[level, seed]


def all_facts(exercise: Exercise) -> list[object]:
    return [*exercise.told.values(), *exercise.hidden.values()]


@pytest.mark.parametrize("tried", [20, pytest.param(TRIED, marks=pytest.mark.exhaustive)])
@pytest.mark.parametrize("level", LEVELS)
def test_the_engine_finds_what_a_case_was_made_from(
    rulebook: Rulebook, making: Maker, level: int, tried: int
) -> None:
    inference = Inference(rulebook, rulebook.vocabulary)
    missed = []
    for seed in range(tried):
        exercise = made(making, level, seed)
        beliefs = believe(rulebook, inference.run(all_facts(exercise)))  # type: ignore[arg-type]
        if beliefs.first.cause not in exercise.right:
            missed.append((seed, exercise.right[0], beliefs.first.cause))
    assert missed == []


@pytest.mark.parametrize("level", LEVELS)
def test_the_same_seed_makes_the_same_case(making: Maker, level: int) -> None:
    assert invent(making, level, 5) == made(making, level, 5)
    assert made(making, level, 5) != made(making, level, 6)


def test_made_up_facts_do_not_contradict_each_other(making: Maker) -> None:
    for seed in range(40):
        exercise = made(making, 1 + seed % 3, seed)
        facts = {n: o.value for n, o in {**exercise.told, **exercise.hidden}.items()}
        shape = facts.get("death_shape")
        share = facts.get("deaths_share")
        if isinstance(shape, str) and isinstance(share, float):
            low, high = SHAPES[shape][0]
            assert low <= share <= high
        if facts.get("survivors_normal") == "present":
            assert facts.get("twitching") != "present"


def test_harder_levels_tell_less(making: Maker) -> None:
    told = {n: sum(len(made(making, n, seed).told) for seed in range(20)) for n in LEVELS}
    known = {n: sum(len(made(making, n, seed).hidden) for seed in range(20)) for n in LEVELS}
    assert told[1] > told[3] and known[1] > known[2] > known[3]


def test_a_level_that_is_not_there_is_said_so(making: Maker) -> None:
    with pytest.raises(ValueError, match="levels are 1, 2, 3"):
        invent(making, 4, 1)


def test_facts_are_weighed_as_the_engine_weighs_them(rulebook: Rulebook, making: Maker) -> None:
    inference = Inference(rulebook, rulebook.vocabulary)
    for seed in range(6):
        exercise = made(making, 1 + seed % 3, seed)
        observations = {
            n: replace(o, asked=True) for n, o in {**exercise.told, **exercise.hidden}.items()
        }
        trace = inference.run(observations.values())
        facts = {name: found.value for name, found in observations.items()}
        degrees = {name: firing.degree for name, firing in trace.conditions.items()}
        assert conditions_met(rulebook, facts) == pytest.approx(degrees)
        weighed = weigh(trace, rulebook.ranking)
        for cause in rulebook.causes.values():
            for mechanism in cause.works_through:
                joined = [*weighed.get(cause.id, ()), *weighed.get(mechanism, ())]
                expected = sum(argument.decibans for argument in counted(joined))
                found = speaks_for(rulebook, cause.id, mechanism, facts)
                assert found == pytest.approx(expected, abs=1e-9), (cause.id, mechanism)


def player(
    rulebook: Rulebook, look_ahead: LookAhead, exercise: Exercise, source: random.Random | None
) -> tuple[float, bool]:
    """Plays for some minutes, by the most telling look or, with a source, at random: belief in the
    cause then, and whether it leads.
    """
    play = Play(exercise)
    while True:
        open_names = askable_names(rulebook, exercise, set(play.known) | set(play.looked))
        name = source.choice(open_names) if source else most_telling(look_ahead, play, open_names)
        if name is None:
            break
        after, _ = look(play, rulebook, name)
        if after.minutes > MINUTES:
            break
        play = after
    inferred = infer(look_ahead, play.known.values())
    first = inferred.beliefs.first.cause
    return inferred.shares[exercise.right[0]], first in exercise.right


@pytest.mark.parametrize("played", [20, pytest.param(PLAYED, marks=pytest.mark.exhaustive)])
def test_who_asks_what_tells_most_beats_who_asks_at_random(
    rulebook: Rulebook, look_ahead: LookAhead, making: Maker, played: int
) -> None:
    exercises = [made(making, 2, seed) for seed in range(played)]
    keen = [player(rulebook, look_ahead, e, None) for e in exercises]
    idle = [
        player(rulebook, look_ahead, e, random.Random(seed)) for seed, e in enumerate(exercises)
    ]
    belief = [sum(b for b, _ in found) / len(found) for found in (keen, idle)]
    right = [sum(r for _, r in found) / len(found) for found in (keen, idle)]
    assert belief[0] >= 1.5 * belief[1], belief
    assert right[0] >= right[1] + 0.1, right


def test_looking_costs_minutes_and_asking_twice_does_not(rulebook: Rulebook, making: Maker) -> None:
    exercise = made(making, 2, 1)
    name = sorted(n for n in exercise.hidden if not rulebook.vocabulary[n].derived)[0]
    once, found = look(Play(exercise), rulebook, name)
    again, same = look(once, rulebook, name)
    assert once.minutes > rulebook.vocabulary[name].minutes
    assert again == once and found == same
    assert found is not None and found == replace(exercise.hidden[name], asked=True)


def test_what_nobody_knows_costs_nothing_and_tells_nothing(
    rulebook: Rulebook, making: Maker
) -> None:
    exercise = made(making, 3, 1)
    name = next(n for n in rulebook.vocabulary if n not in exercise.hidden | exercise.told)
    play, found = look(Play(exercise), rulebook, name)
    assert found is None and play.minutes == 0.0 and play.known == exercise.told


def test_the_worked_cases_are_told_as_their_keepers_told_them(
    rulebook: Rulebook, lexicon: Lexicon
) -> None:
    levels = set()
    for file in worked_files():
        exercise = exercise_of(file, rulebook, lexicon)
        assert exercise is not None, file.stem
        levels.add(exercise.level)
        assert exercise.hidden and set(exercise.right) <= set(rulebook.causes)
        assert not set(exercise.told) & set(exercise.hidden)
    assert levels == {1, 2, 3}


def test_no_case_comes_again_before_all_were_seen(
    rulebook: Rulebook, lexicon: Lexicon, tmp_path: Path
) -> None:
    for file in worked_files()[:6]:
        (tmp_path / file.name).write_bytes(file.read_bytes())
    having = shelf(tmp_path, lexicon)
    seen: dict[str, int] = {}
    for _ in range(12):
        exercise = next_worked(having, rulebook, None, 11, seen)
        assert exercise is not None
        seen[exercise.id] = seen.get(exercise.id, 0) + 1
        assert max(seen.values()) - min(seen.get(f.stem, 0) for f in having.files) <= 1
    assert set(seen.values()) == {2}


def test_a_class_with_one_seed_gets_one_order(rulebook: Rulebook, lexicon: Lexicon) -> None:
    having = shelf(bundled("cases"), lexicon)
    firsts = {
        seed: [next_worked(having, rulebook, None, seed, {}) for _ in range(2)] for seed in range(4)
    }
    assert all(a == b for a, b in firsts.values())
    assert len({a.id for a, _ in firsts.values() if a}) > 1


def test_feedback_says_what_would_have_settled_it(
    rulebook: Rulebook, look_ahead: LookAhead, lexicon: Lexicon
) -> None:
    file = bundled("cases") / "front-window-bowl-in-the-july-heat.yaml"
    exercise = exercise_of(file, rulebook, lexicon)
    assert exercise is not None
    wrong = feedback(rulebook, look_ahead, Play(exercise), {"insecticide": 0.9})
    assert (wrong.verdict, wrong.cause, wrong.is_right) == ("wrong", "overheating", False)
    assert wrong.score > 0.8
    assert wrong.settled is not None and wrong.settled[2] > wrong.settled[1]
    assert wrong.settled[0] in exercise.hidden
    part = feedback(rulebook, look_ahead, Play(exercise), {"still-night-oxygen": 0.5})
    assert part.verdict == "at work" and not part.is_right
    right = feedback(rulebook, look_ahead, Play(exercise), {"overheating": 0.8})
    assert right.is_right and right.score < 0.03


def test_an_efficient_path_leads_towards_the_cause(
    rulebook: Rulebook, look_ahead: LookAhead, making: Maker
) -> None:
    walked = 0
    for seed in range(8):
        exercise = made(making, 2, seed)
        play = Play(exercise)
        belief = infer(look_ahead, play.known.values()).shares[exercise.right[0]]
        for step in efficient_path(rulebook, look_ahead, exercise):
            play, found = look(play, rulebook, step.name)
            assert found is not None and step.minutes == pytest.approx(play.minutes)
            now = infer(look_ahead, play.known.values()).shares[exercise.right[0]]
            assert now > belief
            belief = now
            walked += 1
    assert walked >= 8


def test_over_confidence_is_told_gently() -> None:
    assert "After 7 more cases" in calibration_sentence(calibration([(0.9, False)] * 3))
    assert "surer" in calibration_sentence(calibration([(0.9, n % 2 == 0) for n in range(20)]))
    assert "more than you claim" in calibration_sentence(calibration([(0.4, True)] * 20))
    assert "fits" in calibration_sentence(calibration([(0.8, n % 5 != 0) for n in range(20)]))


def test_who_was_always_wrong_is_never_told_that_confidence_fits() -> None:
    assert "fits" not in calibration_sentence(calibration([(0.0, False)] * 17))


def test_only_shares_one_believes_score_best() -> None:
    source = random.Random(4)
    names = [f"cause-{n}" for n in range(12)]
    sums = dict.fromkeys(("honest", "base rates", "never", "half", "sure", "random"), 0.0)
    for _ in range(1500):
        raw = [source.random() ** 4 for _ in names]
        true = {name: size / sum(raw) for name, size in zip(names, raw, strict=True)}
        first = max(true, key=lambda name: true[name])
        (cause,) = source.choices(names, weights=list(true.values()))
        answers = {
            "honest": true,
            "base rates": dict.fromkeys(names, 1 / 12),
            "never": {first: 0.0},
            "half": {first: 0.5},
            "sure": {first: 1.0},
            "random": {source.choice(names): source.random()},
        }
        for player_name, shares in answers.items():
            sums[player_name] += score_of(shares, [cause], len(names))
    assert min(sums, key=lambda name: sums[name]) == "honest", sums


def test_shares_that_are_none_are_refused() -> None:
    for shares in ({"a": 1.1}, {"a": -0.1}, {"a": 0.6, "b": 0.5}):
        with pytest.raises(ValueError, match="100 %"):
            score_of(shares, ["a"], 5)


def test_several_causes_share_an_answer(rulebook: Rulebook, tmp_path: Path) -> None:
    lines = ["?", "name old-age 70, overheating 60", "name old-age 60, overheating 30%"]
    done, shown = sitting(rulebook, tmp_path, lines)
    (found,) = kept(tmp_path)
    assert done == 1 and found.named == "old-age" and found.confidence_percent == 60
    assert "more than 100 %" in shown


def result(case: str = "a-jar", **changes: object) -> Result:
    fields: dict[str, object] = {
        "when": "2026-05-12T18:00:00",
        "learner": "Wen, of the glaze room",
        "case": case,
        "origin": "worked",
        "level": 2,
        "named": "old-age",
        "cause": "old-age",
        "confidence_percent": 70.0,
        "right": True,
        "minutes": 6.5,
        "looks": 4,
        "score": 0.09,
    }
    return Result(**{**fields, **changes})  # type: ignore[arg-type]


def test_results_are_kept_and_read_back_as_csv(tmp_path: Path) -> None:
    first, second = result(), result("another", right=False, learner='"quoted"')
    keep(tmp_path / "new", first)
    keep(tmp_path / "new", second)
    assert kept(tmp_path / "new") == (first, second)
    rows = list(csv.DictReader(io.StringIO(csv_text((first, second)))))
    assert [row["right"] for row in rows] == ["yes", "no"]
    assert kept(tmp_path / "nothing") == ()


@pytest.mark.parametrize(
    "damage",
    ["a,b\n1,2\n", "right,when\nyes,no\n", "{header}x,y\n", "{header}" + ",".join("x" * 12)],
)
def test_a_results_file_somebody_spoilt_is_named_with_its_line(tmp_path: Path, damage: str) -> None:
    header = csv_text(())
    (tmp_path / "results.csv").write_text(damage.replace("{header}", header), encoding="utf-8")
    with pytest.raises(ValueError, match=r"results\.csv: line \d"):
        kept(tmp_path)


def typed(lines: Iterable[str]) -> tuple[Voice, list[str]]:
    """A learner who types these lines and then goes away, and what is shown."""
    waiting, shown = list(lines), []

    def ask(prompt: str) -> str:
        shown.append(prompt)
        if not waiting:
            raise EOFError
        return waiting.pop(0)

    return Voice(ask, shown.append), shown


def sitting(
    rulebook: Rulebook, tmp_path: Path, lines: Iterable[str], **wanted: object
) -> tuple[int, str]:
    fields: dict[str, object] = {
        "level": None,
        "fresh": False,
        "rounds": 1,
        "seed": 3,
        "learner": "me",
    }
    voice, shown = typed(lines)
    done = practise(
        rulebook,
        [KNOWLEDGE],
        bundled("cases"),
        tmp_path,
        Wanted(**{**fields, **wanted}),  # type: ignore[arg-type]
        voice,
        lambda: NOW,
    )
    assert max(len(line) for line in shown) <= 80
    return done, "\n".join(shown)


@pytest.mark.parametrize("fresh", [False, True])
def test_a_sitting_from_story_to_record(rulebook: Rulebook, tmp_path: Path, fresh: bool) -> None:
    lines = ["temperature", "1", "known", "causes", "99", "", "name old-age", "lots", "70 %"]
    done, shown = sitting(rulebook, tmp_path, lines, fresh=fresh)
    (found,) = kept(tmp_path)
    assert done == 1 and found.confidence_percent == 70 and found.named == "old-age"
    assert "How sure are you" in shown and "no share of a hundred" in shown
    assert "There is no question of that number" in shown
    assert "Score of this answer" in shown and "Your record: 1 done" in shown


def test_who_leaves_keeps_no_result(rulebook: Rulebook, tmp_path: Path) -> None:
    for lines in (["leave"], []):
        done, shown = sitting(rulebook, tmp_path, lines)
        assert done == 0 and "Nothing is kept" in shown
    assert kept(tmp_path) == ()


def test_a_misspelt_cause_is_answered_with_near_names(rulebook: Rulebook, tmp_path: Path) -> None:
    _, shown = sitting(rulebook, tmp_path, ["name chlorin 60", "name qqqq", "leave"])
    assert "chlorine-in-tap" in shown and "`causes` shows all names" in " ".join(shown.split())


def test_a_hint_names_a_look_that_tells_and_costs_minutes(
    rulebook: Rulebook, tmp_path: Path
) -> None:
    _, shown = sitting(rulebook, tmp_path, ["hint", "1", "name old-age 20", "leave"])
    assert "[5 min]" in shown and "    Nobody can say." not in shown
    (found,) = kept(tmp_path)
    assert found.minutes > 5.0 and len(found.asked.split()) == 1


def test_a_wrong_name_may_be_mended_once_and_the_mean_of_both_scores_counts(
    rulebook: Rulebook, tmp_path: Path
) -> None:
    sitting(rulebook, tmp_path / "asked", ["name old-age 100", "leave"])
    (wrong,) = kept(tmp_path / "asked")
    assert not wrong.right
    lines = ["name old-age 100", f"name {wrong.cause} 100", "name old-age 100"]
    _, shown = sitting(rulebook, tmp_path / "mended", lines)
    (mended,) = kept(tmp_path / "mended")
    assert mended.right and mended.score == pytest.approx(0.5 * wrong.score)
    assert shown.count("Score of this answer") == 1


def test_a_class_is_summed_up_weakest_first_as_a_page_and_as_data(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    def done(learner: str, cause: str, score: float, asked: str) -> Result:
        right = score < 0.5
        return Result(
            "2026-05-12T18:00:00", learner, "c", "worked", 1, cause, cause, 70.0, right, 10.0,
            len(asked.split()), score, asked,
        )  # fmt: skip

    for result in (
        done("Wen", "old-age", 0.1, "bodies death_time"),
        done("Wen", "overheating", 0.8, "bodies"),
        done("Ida", "old-age", 0.3, ""),
    ):
        keep(tmp_path, result)
    where = ["practice", "--results", "--keep-in", str(tmp_path)]

    def said(*options: str) -> str:
        assert main([*where, *options]) == 0
        return capsys.readouterr().out

    rows = json.loads(said("--by", "cause", "--format", "json"))
    assert [(r["what"], r["answers"]) for r in rows] == [("overheating", 1), ("old-age", 2)]
    assert rows[1]["right"] == 1.0 and rows[1]["score"] == pytest.approx(0.2)
    assert [r["what"] for r in json.loads(said("--by", "learner", "--format", "json"))] == [
        "Wen",
        "Ida",
    ]
    questions = said("--by", "question", "--format", "markdown")
    assert "What do the bodies look like?" in questions
    assert "<table" in said("--by", "learner", "--format", "html")
    assert said("--by", "learner", "--learner", "Ida").count("Wen") == 0
    assert main(["practice", "--by", "cause", "--keep-in", str(tmp_path)]) == BAD_INPUT


def test_several_rounds_give_different_cases(rulebook: Rulebook, tmp_path: Path) -> None:
    lines = ["name gas-bubbles 20", "leave"] * 3
    for fresh in (False, True):
        done, _ = sitting(rulebook, tmp_path / str(fresh), lines, rounds=3, fresh=fresh)
        assert done == 3 and len({r.case for r in kept(tmp_path / str(fresh))}) == 3


def test_the_command_prints_results_and_refuses_nonsense(
    tmp_path: Path, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr("sys.stdin", io.StringIO("name old-age 40\n"))
    where = ["--keep-in", str(tmp_path)]
    assert main(["practice", "--seed", "3", "--learner", "Wen", *where]) == 0
    capsys.readouterr()
    assert main(["practice", "--results", *where]) == 0
    rows = list(csv.DictReader(io.StringIO(capsys.readouterr().out)))
    assert [row["learner"] for row in rows] == ["Wen"]
    assert main(["practice", "--rounds", "0", *where]) == BAD_INPUT
    assert main(["practice", "--cases", str(tmp_path), *where]) == BAD_INPUT
    assert "no cases here" in " ".join(capsys.readouterr().err.split())
