"""The rulebook's own scores: counted right, told plainly, and calibrated on what they may be."""

from __future__ import annotations

import json
import math
import re
from dataclasses import replace
from datetime import date, datetime
from pathlib import Path

import numpy
import pytest
from sklearn.metrics import log_loss as reference_log_loss

from diagnose.audit.audit import Audit, audit
from diagnose.audit.calibration import (
    WEIGHTS_HOLD_WITHIN,
    at_temperature,
    calibrate,
    fit,
    log_loss,
    retold,
)
from diagnose.audit.exercise import (
    SEEN,
    TUNE,
    Exercise,
    Expected,
    published_cases,
    worked_cases,
)
from diagnose.audit.marks import calibration_error, marks, reliability
from diagnose.audit.stored_temperature import store, with_temperature
from diagnose.audit.trial import Trial, try_exercise
from diagnose.belief.belief import base_decibans, base_rate
from diagnose.cli import BAD_INPUT, main
from diagnose.inference.engine import Inference
from diagnose.inference.unknown import trace_without
from diagnose.rulebook.loading import load_rulebook
from diagnose.rulebook.places import bundled
from diagnose.rulebook.terms import Rulebook
from tests.supposed import any_observations, told
from tests.worked_files import worked_files

ASKED = datetime(2026, 3, 14, 22, 30)
#: Expected calibration error that is still good enough where beliefs err by being too humble.
MOST_ERROR = 0.12
PUBLISHED = Path(__file__).parent / "published"


@pytest.fixture(scope="session")
def exercises(rulebook: Rulebook) -> tuple[Exercise, ...]:
    return worked_cases(bundled("cases"), rulebook, now=ASKED)


@pytest.fixture(scope="session")
def trials(rulebook: Rulebook, exercises: tuple[Exercise, ...]) -> list[Trial]:
    return [try_exercise(rulebook, exercise)[0] for exercise in exercises]


@pytest.fixture(scope="session")
def audited(rulebook: Rulebook, exercises: tuple[Exercise, ...]) -> Audit:
    return audit(rulebook, (*exercises, *published_cases(PUBLISHED, rulebook, now=ASKED)))


def test_the_worked_cases_come_out_as_promised(audited: Audit) -> None:
    """Rules have been argued from all of them, so this says that nothing broke, not how good the
    rules are; for that see the reports. The channels are fitted on reports as well, so here what
    error of belief there is must be too little of it.
    """
    worked = audited.marks["worked"]
    assert worked.first >= 0.95
    assert worked.first_three == 1.0
    assert worked.belief <= worked.first
    assert worked.calibration_error_free <= MOST_ERROR


def test_about_a_third_of_the_cases_is_kept_apart(exercises: tuple[Exercise, ...]) -> None:
    apart = sum(exercise.split == SEEN for exercise in exercises)
    assert len(exercises) >= 90
    assert apart >= 0.3 * len(exercises)


def test_every_cause_and_mechanism_is_exercised(audited: Audit) -> None:
    assert audited.coverage.causes == ()
    assert audited.coverage.mechanisms == ()


def test_beliefs_over_all_causes_may_be_taken_at_their_word(audited: Audit) -> None:
    assert audited.marks[SEEN].calibration_error_all <= MOST_ERROR


def test_fitted_beliefs_err_on_the_humble_side(rulebook: Rulebook, trials: list[Trial]) -> None:
    """The temperature is fitted on the tune split, the error counted on the other. What error is
    left comes from too little belief, not too much: the ceiling for few facts holds beliefs down
    on purpose, however often they turn out right.
    """
    fitted = fit(rulebook, [t for t in trials if is_tune(t)])
    others = [t for t in trials if not is_tune(t)]
    found = marks([retold(at_temperature(rulebook, fitted), t) for t in others])
    at_three = marks([retold(at_temperature(rulebook, 3.0), t) for t in others])
    assert found is not None and at_three is not None
    assert found.belief <= found.first
    assert found.log_loss < at_three.log_loss


def is_tune(trial: Trial) -> bool:
    return trial.exercise.split == TUNE


# How the marks are counted.


def test_marks_are_those_of_a_reference_library(trials: list[Trial]) -> None:
    """Log loss against scikit-learn's (F. Pedregosa and others 2011), with what is right and all
    else as the two outcomes; the rest by hand.
    """
    found = marks(trials)
    assert found is not None
    right = [[1.0 - t.belief_in_right, t.belief_in_right] for t in trials]
    reference = reference_log_loss(numpy.ones(len(trials)), numpy.array(right), labels=[0, 1])
    assert found.log_loss == pytest.approx(reference, rel=1e-9)
    assert found.first == sum(t.place == 1 for t in trials) / len(trials)
    assert found.reciprocal_rank == pytest.approx(sum(1 / t.place for t in trials) / len(trials))
    assert sum(b.count for b in found.reliability) == len(trials)


def test_a_sure_right_answer_costs_nothing_and_a_sure_wrong_one_most(trials: list[Trial]) -> None:
    trial = trials[0]
    first = trial.beliefs.standings[0]._replace(belief=1.0)
    rest = [s._replace(belief=0.0) for s in trial.beliefs.standings[1:]]
    sure = replace(trial, beliefs=trial.beliefs._replace(standings=(first, *rest), unexplained=0.0))
    for expected, brier, loss in ((first.cause, 0.0, 0.0), (rest[0].cause, 2.0, -math.log(1e-9))):
        exercise = replace(trial.exercise, expected=Expected(frozenset({expected})))
        told_so = replace(sure, exercise=exercise)
        assert told_so.brier == pytest.approx(brier)
        assert told_so.log_loss == pytest.approx(loss)


def test_beliefs_that_come_true_as_often_as_they_say_have_no_calibration_error() -> None:
    honest = [(0.75, True)] * 75 + [(0.75, False)] * 25 + [(0.25, True)] * 5 + [(0.25, False)] * 15
    assert calibration_error(reliability(honest)) == pytest.approx(0.0)
    boastful = [(0.95, True)] * 50 + [(0.95, False)] * 50
    assert calibration_error(reliability(boastful)) == pytest.approx(0.45)


# What is left out, knocked out and misled.


def test_a_case_without_an_observation_is_what_leaving_it_out_says(
    rulebook: Rulebook,
) -> None:
    """The short way of taking one observation out of a trace is the long way's equal."""
    for seed in range(12):
        observations = any_observations(rulebook, seed, most=25)
        inference = Inference(rulebook, [o.name for o in observations])
        trace = inference.run(observations)
        for gone in observations:
            rest = [o for o in observations if o.name != gone.name]
            short = trace_without(trace, gone.name, inference)
            long = Inference(rulebook, [o.name for o in rest]).run(rest)
            assert short.evidence == long.evidence
            assert short.conditions == long.conditions


def test_a_knock_out_row_is_what_diagnosing_without_it_says(
    rulebook: Rulebook, exercises: tuple[Exercise, ...]
) -> None:
    some = exercises[:10]
    found = {row.observation: row for row in audit(rulebook, some).knock_outs}
    for name in sorted(found)[::6]:
        pairs = [
            (
                try_exercise(rulebook, case)[0],
                try_exercise(rulebook, case.without(frozenset({name})))[0],
            )
            for case in some
            if any(o.name == name for o in case.observations)
        ]
        lost = [before.belief_in_right - after.belief_in_right for before, after in pairs]
        row = found[name]
        assert row.cases == len(pairs)
        assert row.right_without == sum(after.right for _, after in pairs)
        assert row.belief_lost == pytest.approx(sum(lost) / len(lost), abs=1e-12)


def test_knocking_out_what_settles_a_case_costs_belief(audited: Audit) -> None:
    rows = {row.observation: row for row in audited.knock_outs}
    assert rows["green_tuft"].belief_lost > 0.1
    assert all(row.cases > 0 for row in audited.knock_outs)


def test_leaving_out_an_observation_makes_it_unknown_everywhere(
    rulebook: Rulebook, exercises: tuple[Exercise, ...]
) -> None:
    without = audit(rulebook, exercises[:30], left_out=["death_shape"])
    assert "death_shape" in without.coverage.observations
    assert "death_shape" not in {row.observation for row in without.knock_outs}


def test_a_case_that_expects_something_else_is_misled_and_says_by_what(
    rulebook: Rulebook,
) -> None:
    exercise = Exercise(
        "made-up", TUNE, False, Expected(frozenset({"old-age"})), (told("green_tuft", "present"),)
    )
    found = audit(rulebook, [exercise])
    (case,) = found.misled
    assert case.led == "green-tuft-growth" and case.expected == "old-age" and case.place > 1
    assert case.for_the_wrong[0].rule == "green-tuft-growth/tuft-seen"
    assert found.confusions[0].expected == "old-age"
    rows = {row.cause: row for row in found.by_cause}
    assert rows["old-age"].first == 0 and rows["green-tuft-growth"].wrongly_first == 1


# Calibration.


def test_a_temperature_touches_the_evidence_and_not_the_base_rates(
    rulebook: Rulebook, trials: list[Trial]
) -> None:
    hot = at_temperature(rulebook, 3.0)
    for trial in trials[:20]:
        for standing in retold(hot, trial).beliefs.standings:
            rate = base_rate(rulebook.causes[standing.cause], trial.beliefs.question)
            base = base_decibans(rate)
            before = trial.beliefs.of(standing.cause)
            assert standing.evidence_decibans == pytest.approx(before.evidence_decibans)
            assert standing.score == pytest.approx(base + before.evidence_decibans / 3.0)


def test_the_fitted_temperature_has_the_least_loss_nearby(
    rulebook: Rulebook, trials: list[Trial]
) -> None:
    """Found again by trying many temperatures one by one, against the same tempered targets."""
    tune = [t for t in trials if t.exercise.split == TUNE]
    hope = (sum(t.right for t in tune) + 1) / (sum(t.right for t in tune) + 2)

    def loss(temperature: float) -> float:
        book = at_temperature(rulebook, temperature)
        shares = [min(max(retold(book, t).belief_in_right, 1e-9), 1 - 1e-9) for t in tune]
        doubt = math.log(temperature) ** 2 / (2 * WEIGHTS_HOLD_WITHIN**2)
        return doubt - sum(hope * math.log(p) + (1 - hope) * math.log(1 - p) for p in shares)

    tried = [0.1 * 1.06**step for step in range(79)]
    assert fit(rulebook, tune) == pytest.approx(min(tried, key=loss), rel=0.07)


def test_calibration_sees_the_tune_split_alone_and_helps_on_what_it_has_not_seen(
    rulebook: Rulebook, trials: list[Trial]
) -> None:
    tune = [t for t in trials if t.exercise.split == TUNE]
    found = calibrate(rulebook, tune)
    assert found.cases == len(tune)
    assert sum(fold.cases for fold in found.folds) == len(tune)
    assert found.log_loss <= found.log_loss_at_one
    unseen = [t for t in trials if t.exercise.split == SEEN]
    assert log_loss(rulebook, unseen, found.temperature) <= log_loss(rulebook, unseen, 1.0)


def test_a_fitted_temperature_is_stored_with_date_and_figure_and_nothing_else_changes(
    rulebook: Rulebook, trials: list[Trial], tmp_path: Path
) -> None:
    found = calibrate(rulebook, [t for t in trials if t.exercise.split == TUNE])
    bundled_text = (bundled("knowledge") / "ranking.yaml").read_text(encoding="utf-8")
    before = re.sub(r"(?m)^temperature: [\d.]+", "temperature: 0.99", bundled_text)
    file = tmp_path / "ranking.yaml"
    file.write_text(before, encoding="utf-8")
    store(file, found, date(2026, 3, 14))
    after = file.read_text(encoding="utf-8")
    changed = [
        new for old, new in zip(before.splitlines(), after.splitlines(), strict=True) if old != new
    ]
    assert [line.split(":")[0] for line in changed] == ["temperature", "temperature_note"]
    ranking = load_rulebook(bundled("knowledge"), tmp_path).ranking
    assert ranking.temperature == pytest.approx(found.temperature, abs=0.005)
    assert "2026-03-14" in ranking.temperature_note
    assert with_temperature(after, found, date(2026, 3, 14)) == after


def test_a_file_without_a_temperature_is_left_alone(
    rulebook: Rulebook, trials: list[Trial], tmp_path: Path
) -> None:
    found = calibrate(rulebook, trials[:20])
    file = tmp_path / "ranking.yaml"
    file.write_text("shakes: 200\n", encoding="utf-8")
    with pytest.raises(ValueError, match="temperature"):
        store(file, found, date(2026, 3, 14))
    assert file.read_text(encoding="utf-8") == "shakes: 200\n"
    assert [f.name for f in tmp_path.iterdir()] == ["ranking.yaml"]


# The commands.


@pytest.fixture
def some_cases(tmp_path: Path) -> Path:
    """A small folder of worked cases, six of each split, so that a command is quick."""
    for split in ("tune", "seen"):
        of_split = [f for f in worked_files() if f"split: {split}" in f.read_text("utf-8")]
        for file in of_split[:6]:
            (tmp_path / file.name).write_bytes(file.read_bytes())
    return tmp_path


@pytest.fixture(autouse=True)
def own_cache(tmp_path_factory: pytest.TempPathFactory, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("XDG_CACHE_HOME", str(tmp_path_factory.mktemp("cache")))


def test_the_audit_is_told_in_80_columns(
    some_cases: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    assert main(["rulebook", "audit", str(some_cases), "--published", str(PUBLISHED)]) == 0
    shown = capsys.readouterr().out
    assert max(map(len, shown.splitlines())) <= 80
    for part in ("published cases", "isled", "Knocked out", "ECE", "What no case exercises"):
        assert part in shown


def test_the_audit_for_a_program_holds_every_part(
    some_cases: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    command = ["rulebook", "audit", str(some_cases), "--leave-out", "ph", "--format", "json"]
    assert main(command) == 0
    found = json.loads(capsys.readouterr().out)
    wanted = "marks by_cause confusions misled coverage knock_outs left_out temperature"
    assert set(wanted.split()) <= set(found)
    assert found["left_out"] == ["ph"]
    assert found["marks"]["worked"]["cases"] == 12


@pytest.mark.parametrize(("name", "start"), [("a.svg", b"<?xml"), ("a.png", b"\x89PNG")])
def test_the_audit_draws_a_picture_that_is_the_same_each_time(
    some_cases: Path, tmp_path: Path, name: str, start: bytes, capsys: pytest.CaptureFixture[str]
) -> None:
    pytest.importorskip("matplotlib")
    drawn = []
    for _ in range(2):
        assert main(["rulebook", "audit", str(some_cases), "--picture", str(tmp_path / name)]) == 0
        drawn.append((tmp_path / name).read_bytes())
    assert drawn[0] == drawn[1] and drawn[0].startswith(start)


def test_calibrating_prints_the_fit_and_writes_only_where_told(
    some_cases: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    before = (bundled("knowledge") / "ranking.yaml").read_bytes()
    assert main(["rulebook", "calibrate", str(some_cases), "--folds", "3"]) == 0
    assert "Fitted temperature" in capsys.readouterr().out
    file = tmp_path / "ranking.yaml.copy"
    file.write_bytes(before)
    command = ["rulebook", "calibrate", str(some_cases), "--folds", "3", "--write", str(file)]
    assert main(command) == 0
    assert file.read_bytes() != before
    assert (bundled("knowledge") / "ranking.yaml").read_bytes() == before


@pytest.mark.parametrize(
    ("words", "said"),
    [
        (["audit", "no-such-folder"], "no-such-folder"),
        (["audit", "--leave-out", "deth_shape"], "death_shape"),
        (["audit", "--published", "no-such-folder"], "no-such-folder"),
        (["audit", "--picture", "picture.txt"], ".svg or .png"),
        (["calibrate", "--folds", "1"], "folds"),
        (["calibrate", "--write", "no-such-folder/ranking.yaml"], "no-such-folder"),
    ],
)
def test_what_cannot_be_done_is_one_sentence(
    words: list[str], said: str, capsys: pytest.CaptureFixture[str]
) -> None:
    assert main(["rulebook", *words]) == BAD_INPUT
    message = capsys.readouterr().err
    assert said in message and "Traceback" not in message


def test_cases_that_expect_nothing_cannot_be_scored(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    (tmp_path / "a.yaml").write_text("case: a\nseen: [listless]\n", encoding="utf-8")
    assert main(["rulebook", "audit", str(tmp_path)]) == BAD_INPUT
    assert "expect" in capsys.readouterr().err
