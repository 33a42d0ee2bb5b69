"""What is wrong with a rule is found before it runs, with its line and the way to mend it."""

from __future__ import annotations

import json
import re
from functools import cache
from pathlib import Path

import pytest

from diagnose.audit.rulebook_check import check_rulebook
from diagnose.cli import BAD_INPUT, main
from diagnose.commands.rulebook import RULES_IN_ERROR
from diagnose.rulebook.checks.check import Finding
from diagnose.rulebook.checks.inspect import CHECKS, inspect
from diagnose.rulebook.places import bundled

BUNDLED = bundled("knowledge")
ENOUGH_CASES = dict.fromkeys((file.stem for file in BUNDLED.glob("causes/*.yaml")), 2)

#: A cause with nothing to object to. Each test spoils one thing about it.
CAUSE = """\
id: cat-at-the-jar
title: A cat that drinks from the jar
summary: A cat that drinks from the jar stirs it and takes what swims up.
works_through: [taken-or-lost]
base_rate: 0.005
base_source: common-practice
early_signs: [listless]
evidence:
  - id: ripples
    when: {surface_moved: present}
    weight: 3
    because: A cat that drinks moves the surface.
    source: common-practice
  - id: still
    when: {surface_moved: absent}
    weight: -4
    because: A cat leaves none behind.
    source: common-practice
looks_like:
  - {cause: escape-or-trapped, tell: Look on the floor for dry ones.}
confirm:
  - {check: surface_moved, finding: It ripples.}
now: [write-it-down]
prevent: [take-leftovers-out]
sources: [common-practice]
base_rate_no_losses: 0.005
"""
STEP = "{title: T, do: D., why: W., minutes: 1, harms_nothing: true}"
USED = "stop-feeding"


def spoilt(old: str, new: str) -> dict[str, str]:
    assert CAUSE.count(old) == 1, old
    return {"causes/cat-at-the-jar.yaml": CAUSE.replace(old, new)}


def without(key: str) -> dict[str, str]:
    """The cause without one of its keys and what belongs to it."""
    text = re.sub(rf"^{key}:.*\n(?:[ ].*\n)*", "", CAUSE, flags=re.MULTILINE)
    assert text != CAUSE
    return {"causes/cat-at-the-jar.yaml": text}


def argument(when: str, weight: str = "2", extra: str = "") -> dict[str, str]:
    """The cause with one more argument, at the top of its list."""
    more = (
        f"evidence:\n  - id: more\n    when: {when}\n    weight: {weight}\n"
        f"    because: It speaks.\n    source: common-practice\n{extra}"
    )
    return spoilt("evidence:\n", more)


def sign(text: str) -> dict[str, str]:
    """A vocabulary of one sign of one's own, and an argument that rests on it."""
    return {"vocabulary/mine.yaml": f"my_sign:\n  {text}\n", **argument("{my_sign: known}")}


def step(text: str, name: str = USED) -> dict[str, str]:
    return {"steps/mine.yaml": f"{name}:\n  {text}\n"}


def source(text: str) -> dict[str, str]:
    return {
        "sources/mine.yaml": f"mine: {text}\n",
        **spoilt("base_source: common-practice", "base_source: mine"),
    }


def ranking(old: str, new: str) -> dict[str, str]:
    text = (BUNDLED / "ranking.yaml").read_text(encoding="utf-8")
    changed, count = re.subn(old, new, text, flags=re.MULTILINE)
    assert count == 1
    return {"ranking.yaml": changed}


SPOILT: list[tuple[str, dict[str, str], str, int | None]] = [
    ("schema", {"causes/cat-at-the-jar.yaml": "id: cat-at-the-jar\n"}, "causes", None),
    ("unknown-name", spoilt("[taken-or-lost]", "[taken-or-lst]"), "causes", 4),
    ("unknown-name", argument("{lisless: present}"), "causes", 10),
    ("without-source", without("base_source"), "causes", None),
    ("key-twice", spoilt("base_rate:", "title: Again\nbase_rate:"), "causes", 5),
    ("nothing-for", spoilt("weight: 3", "weight: -3"), "causes", 8),
    ("nothing-against", spoilt("weight: -4", "weight: 4"), "causes", 8),
    (
        "mechanism-nothing-against",
        {
            "mechanisms/egg-loss.yaml": (BUNDLED / "mechanisms/egg-loss.yaml")
            .read_text(encoding="utf-8")
            .replace("weight: -", "weight: ")
            .replace(", -", ", ")
        },
        "mechanisms",
        None,
    ),
    ("no-look-alike", without("looks_like"), "causes", 1),
    ("look-alike-wrong", spoilt("escape-or-trapped", "cat-at-the-jar"), "causes", 19),
    ("no-confirmation", without("confirm"), "causes", 1),
    ("confirmation-unaskable", spoilt("{check: surface_moved", "{check: nh3_mg_l"), "causes", 21),
    ("confirmation-idle", spoilt("{check: surface_moved", "{check: at_surface"), "causes", 22),
    ("no-prevention", without("prevent"), "causes", 1),
    ("nothing-to-do", without("now"), "causes", 1),
    (
        "works-through-wrong",
        spoilt("[taken-or-lost]", "[taken-or-lost, taken-or-lost]"),
        "causes",
        4,
    ),
    ("few-worked-cases", spoilt("base_rate: ", "base_rate: "), "causes", 1),
    (
        "mechanism-without-case",
        {
            "mechanisms/clawed.yaml": (BUNDLED / "mechanisms/taken-or-lost.yaml")
            .read_text(encoding="utf-8")
            .replace("taken-or-lost", "clawed"),
            **spoilt("[taken-or-lost]", "[clawed]"),
        },
        "mechanisms",
        1,
    ),
    ("never-matches", argument("{all: [{listless: present}, {listless: absent}]}"), "causes", 10),
    ("never-matches", argument("{ph: {rising: [12, 13]}}"), "causes", 10),
    (
        "way-never-matches",
        argument("{any: [{listless: present}, {temperature_c: {falling: [1, 2]}}]}"),
        "causes",
        10,
    ),
    (
        "condition-never-holds",
        {
            "conditions.yaml": "odd: {title: T, when: {temperature_c: {rising: [42, 44]}}, "
            "because: B., source: memory}\n",
            **argument("{odd: holds}"),
        },
        "conditions",
        1,
    ),
    ("asks-for-nothing", argument("{ph: {rising: [1, 2]}}"), "causes", 10),
    ("same-rule-twice", argument("{surface_moved: absent}", "-4"), "causes", 19),
    (
        "counted-twice",
        {
            "mechanisms/taken-or-lost.yaml": (BUNDLED / "mechanisms/taken-or-lost.yaml")
            .read_text(encoding="utf-8")
            .replace(
                "evidence:\n",
                "evidence:\n  - {id: slow-ones, when: {listless: present}, weight: 2, "
                "because: B., source: memory}\n",
            ),
            **argument("{listless: present}"),
        },
        "causes",
        9,
    ),
    (
        "curve-not-monotone",
        argument("{ph: known}", "{over: ph, points: [[6, 0], [7, 4], [8, 1]]}"),
        "causes",
        11,
    ),
    (
        "curve-outside",
        argument("{ph: known}", "{over: ph, points: [[12, 0], [13, 4]]}"),
        "causes",
        11,
    ),
    ("says-nothing", argument("{listless: present}", "0"), "causes", 11),
    ("too-sure", argument("{listless: present}", "45"), "causes", 11),
    (
        "question-unanswerable",
        sign("{kind: choice, asks: Which?, choices: {a: a}, base: {a: 1}}"),
        "vocabulary",
        1,
    ),
    (
        "range-wrong",
        sign(
            "{kind: number, unit: cm, asks: How far?, possible: [0, 5], plausible: [0, 9], "
            "answers: [[1, 0.5], [2, 0.5]]}"
        ),
        "vocabulary",
        1,
    ),
    (
        "name-shape",
        argument(
            "{listless: present}",
            extra="  - {id: Not An Id, when: {at_surface: present}, weight: 1, because: B., "
            "source: memory}\n",
        ),
        "causes",
        14,
    ),
    ("early-sign-unseen", spoilt("[listless]", "[nh3_mg_l]"), "causes", 7),
    (
        "published-without-year",
        source('{kind: published, cite: "A, On cats and jars, J. Jars 1:2", seen: text}'),
        "sources",
        1,
    ),
    (
        "published-without-title",
        source('{kind: published, cite: "Cat 1999, Jars 3:4", seen: text}'),
        "sources",
        1,
    ),
    (
        "published-unseen",
        source('{kind: published, cite: "Cat 1999, On cats and jars, Jars 3:4"}'),
        "sources",
        1,
    ),
    ("base-rates-sum", spoilt("base_rate: 0.005", "base_rate: 0.95"), "ranking", None),
    ("number-without-reason", ranking(r"^(close_decibans: [\d.]+).*$", r"\1"), "ranking", None),
    (
        "temperature-unexplained",
        ranking(r"^temperature_note:.*$", 'temperature_note: ""'),
        "ranking",
        None,
    ),
    (
        "caution-missing",
        step(
            "{title: Siphon the bottom, do: Siphon it., why: W., minutes: 1, harms_nothing: true}"
        ),
        "steps",
        1,
    ),
    (
        "steps-at-odds",
        spoilt("now: [write-it-down]", "now: [part-change-matched, no-water-change-now]"),
        "causes",
        23,
    ),
    ("conflict-with-itself", step(STEP[:-1] + f", conflicts: [{USED}]}}"), "steps", 2),
    ("harmless-and-drastic", step(STEP[:-1] + ", drastic: 2}"), "steps", 2),
    (
        "step-twice",
        spoilt("now: [write-it-down]", "now: [write-it-down]\ntoday: [write-it-down]"),
        "causes",
        1,
    ),
    (
        "observation-unused",
        {"vocabulary/mine.yaml": "my_sign: {kind: sign, asks: Is it?, base: 0.2}\n"},
        "vocabulary",
        1,
    ),
    (
        "condition-unused",
        {
            "conditions.yaml": "odd: {title: T, when: {listless: present}, because: B., "
            "source: memory}\n"
        },
        "conditions",
        1,
    ),
    (
        "mechanism-unused",
        {
            "mechanisms/clawed.yaml": (BUNDLED / "mechanisms/taken-or-lost.yaml")
            .read_text(encoding="utf-8")
            .replace("taken-or-lost", "clawed")
        },
        "mechanisms",
        1,
    ),
    ("step-unused", step(STEP, "my-own-step"), "steps", 1),
    (
        "caution-unused",
        {"cautions/mine.yaml": "mind-the-cat: {text: Mind it., guards: person}\n"},
        "cautions",
        1,
    ),
    (
        "source-unused",
        {"sources/mine.yaml": "mine: {kind: memory, cite: Recalled.}\n"},
        "sources",
        1,
    ),
    ("text-empty", spoilt("because: A cat leaves none behind.", 'because: ""'), "causes", 17),
    ("text-shouts", spoilt("A cat leaves none behind.", "A cat leaves NONE behind."), "causes", 17),
    (
        "text-blames",
        spoilt("A cat leaves none behind.", "You should have shut the door."),
        "causes",
        17,
    ),
    (
        "text-too-long",
        spoilt("A cat leaves none behind.", "A cat leaves none. " * 12),
        "causes",
        17,
    ),
    ("text-no-sentence", spoilt("A cat leaves none behind.", "no cat leaves any"), "causes", 17),
]


def overlay(folder: Path, files: dict[str, str]) -> Path:
    for name, text in files.items():
        (folder / name).parent.mkdir(parents=True, exist_ok=True)
        (folder / name).write_text(text, encoding="utf-8")
    return folder


def found_in(folder: Path, files: dict[str, str], worked: int = 0) -> list[Finding]:
    """What the checks say of rules laid over the bundled ones."""
    cases = {**ENOUGH_CASES, "cat-at-the-jar": worked}
    findings = inspect((BUNDLED, overlay(folder, files)), cases)
    return [finding for finding in findings if finding not in of_the_bundled()]


@cache
def of_the_bundled() -> frozenset[Finding]:
    """What there is to mend in the bundled rules themselves, if anything."""
    return frozenset(inspect((BUNDLED,), ENOUGH_CASES))


def test_a_sound_cause_of_ones_own_passes_every_check(tmp_path: Path) -> None:
    assert found_in(tmp_path, {"causes/cat-at-the-jar.yaml": CAUSE}, worked=2) == []


@pytest.mark.parametrize(
    ("check", "files", "where", "line"), SPOILT, ids=[f"{i}-{s[0]}" for i, s in enumerate(SPOILT)]
)
def test_each_fault_is_found_at_its_line(
    check: str, files: dict[str, str], where: str, line: int | None, tmp_path: Path
) -> None:
    found = [finding for finding in found_in(tmp_path, files) if finding.check == check]
    assert found, "the check should object"
    assert any(f.file.startswith(where) and (line is None or f.line == line) for f in found), found
    assert all(f.says.endswith(".") and f.mend.endswith(".") for f in found)


def test_every_check_has_a_fault_that_it_finds() -> None:
    by_the_loader = {"schema", "unknown-name", "without-source", "key-twice"}
    assert {check for check, *_ in SPOILT} == {check.id for check in CHECKS} | by_the_loader


def test_checks_have_names_of_their_own_and_a_way_to_mend() -> None:
    ids = [check.id for check in CHECKS]
    assert len(ids) == len(set(ids)) >= 40
    assert all(re.fullmatch(r"[a-z]+(-[a-z]+)*", name) for name in ids)
    assert all(check.mend.endswith(".") for check in CHECKS)


def test_the_bundled_rulebook_needs_no_mending() -> None:
    from datetime import datetime

    checked = check_rulebook(
        None, (), bundled=BUNDLED, cases=bundled("cases"), now=datetime(2026, 3, 14)
    )
    assert [f"{f.file}:{f.line} {f.check} {f.entry}: {f.says}" for f in checked.findings] == []


def test_rules_of_ones_own_are_checked_with_their_lines_and_exit_1(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    mine = str(overlay(tmp_path, argument("{listless: present}", "45")))
    assert main(["rulebook", "check", "--rulebook", mine]) == RULES_IN_ERROR
    shown = capsys.readouterr().out
    assert "causes/cat-at-the-jar.yaml:11: error too-sure" in shown
    assert main(["rulebook", "check", mine, "--format", "json"]) == RULES_IN_ERROR
    told = json.loads(capsys.readouterr().out)
    assert told["errors"] == 1
    assert {f["check"] for f in told["findings"]} == {"too-sure", "few-worked-cases"}


def test_advice_alone_is_no_error(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    mine = str(overlay(tmp_path, {"causes/cat-at-the-jar.yaml": CAUSE}))
    assert main(["rulebook", "check", mine]) == 0
    assert "few-worked-cases" in capsys.readouterr().out


def test_rules_that_are_no_yaml_are_named_and_run_nothing(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    harm = tmp_path / "harm"
    text = f"a: !!python/object/apply:pathlib.Path.touch [!!python/name:{harm}]\n"
    mine = overlay(
        tmp_path / "mine", {"steps/mine.yaml": text, "causes/x.yaml": "id: [", "y.yaml": ""}
    )
    assert main(["rulebook", "check", str(mine)]) == RULES_IN_ERROR
    shown = capsys.readouterr().out
    assert "steps/mine.yaml" in shown and "causes/x.yaml" in shown and "y.yaml" in shown
    assert not harm.exists()


def test_a_folder_that_is_none_is_one_sentence(capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["rulebook", "check", "no-such-rules"]) == BAD_INPUT
    assert "no-such-rules" in capsys.readouterr().err
