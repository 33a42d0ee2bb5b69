"""How much of keepers' stories is read, on those the lexicon was made on (both halves of the first
sixty), and what the one runs on stories held back came to.
"""

from __future__ import annotations

import json

import pytest

from tests.stories.score import FOLDER, GROUPS, READ_BEFORE, Marks, figures, judged, run

#: Three points under what is reached on these stories: floors for the lexicon, no measure of how it
#: does on others. Issue 13 asks of stories held back 70 %, 65 % of each kind, 97 % and 85 %.
READ, RIGHT, RIGHT_WITH_JUDGED, SAME_CAUSE = 0.81, 0.97, 0.96, 0.82
READ_OF_EACH = {
    "counts": 0.81, "kinds": 0.86, "litres": 0.91, "times": 0.62, "events": 0.87,
    "details": 0.76, "signs": 0.83, "habits": 0.80, "readings": 0.85,
}  # fmt: skip


@pytest.fixture(scope="module")
def marks() -> list[Marks]:
    return [found for part in READ_BEFORE for found, _ in run(part)]


def test_told_facts_are_read_of_every_kind(marks: list[Marks]) -> None:
    found = figures(marks, judged())
    assert found["stories"] == 60
    assert found["read"] >= READ
    for group in GROUPS:
        read, told = map(int, found["read_by_group"][group].split(" of "))
        assert read >= READ_OF_EACH[group] * told, group


def test_what_is_read_is_right(marks: list[Marks]) -> None:
    """Also what the hand-made forms leave out is judged, and none of it is new."""
    found = figures(marks, judged())
    assert found["beyond"]["not_judged"] == 0, [(m.name, m.beyond) for m in marks]
    assert found["right"] >= RIGHT
    assert found["right_with_judged"] >= RIGHT_WITH_JUDGED


def test_the_first_cause_is_that_of_the_hand_made_form(marks: list[Marks]) -> None:
    other = [m.name for m in marks if m.first_by_hand != m.first_read]
    assert len(other) <= (1.0 - SAME_CAUSE) * len(marks), other


def test_the_scorer_tells_right_from_wrong() -> None:
    one = Marks("x", found=["counts: dead = 3"], missed=["signs: racing = present"])
    one.agreeing, one.wrong, one.beyond = ["counts: dead = 3"], ["litres: volume = 5"], ["a: b"]
    found = figures([one], {"x": {"wrong": ["a: b"]}})
    assert found["read"] == 0.5 and found["right"] == 0.5
    assert found["right_with_judged"] == pytest.approx(1 / 3, abs=1e-3)
    assert found["read_by_group"]["signs"] == "0 of 1"


RUNS = [("held_run.json", 30), ("held_run_2.json", 40), ("held_run_3.json", 20)]


@pytest.mark.parametrize(("file", "stories"), RUNS)
def test_the_one_run_on_stories_held_back_is_kept_as_it_came(file: str, stories: int) -> None:
    """The figures fall short of what the stories built on reach, and of what was asked: 53 %, then
    58 and 58 % read, 94 % right. They are kept, not mended; each run had stories nobody had built
    on. Ten of the second were mended afterwards, where form and text differed.
    """
    kept = json.loads((FOLDER / file).read_text("utf-8"))
    assert kept["stories"] == len(kept["each"]) == stories
    assert set(kept["read_by_group"]) == set(GROUPS)
    told = [int(said.split(" of ")[1]) for said in kept["read_by_group"].values()]
    read = [int(said.split(" of ")[0]) for said in kept["read_by_group"].values()]
    assert sum(told) == kept["facts_told"]
    assert sum(read) / sum(told) == pytest.approx(kept["read"], abs=1e-3)
