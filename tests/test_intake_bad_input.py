"""Every file in bad_input is answered with the message beside it, and nothing else happens."""

from __future__ import annotations

from datetime import datetime
from pathlib import Path

import pytest
import yaml
from hypothesis import given, settings
from hypothesis import strategies as st

from diagnose.intake.case import Case, Container, Deaths, Event, Feeding, Reading, Stock
from diagnose.intake.case_file import read_case
from diagnose.intake.names import Term
from diagnose.intake.problems import CaseErrors
from diagnose.intake.validation_faults import written_names
from diagnose.rulebook.terms import Term as RulebookTerm

FOLDER = Path(__file__).parent / "bad_input"
NOW = datetime(2026, 3, 20, 18, 0)
FILES = sorted(FOLDER.glob("*.yaml"))


def _vocabulary() -> dict[str, Term]:
    words: dict[str, Term] = {}
    for path in sorted((FOLDER.parents[1] / "knowledge" / "vocabulary").glob("*.yaml")):
        for name, entry in yaml.safe_load(path.read_text("utf-8")).items():
            words[name] = RulebookTerm(
                name=name,
                kind=entry["kind"],
                asks="",
                look="",
                choices=entry.get("choices", {}),
                unit=entry.get("unit", ""),
                possible=entry.get("possible"),
                plausible=None,
                shares=(),
                minutes=1,
                needs="",
                event=entry.get("event"),
                derived=False,
                needs_present=None,
                channel="",
            )
    return words


VOCABULARY = _vocabulary()


def answer_to(path: Path) -> str:
    """What a keeper is told about the file."""
    with pytest.raises(CaseErrors) as caught:
        read_case(
            path.read_bytes(),
            path.name,
            NOW,
            open_beside=lambda name: (FOLDER / name).read_bytes(),
            vocabulary=VOCABULARY,
        )
    return str(caught.value)


@pytest.mark.parametrize("path", FILES, ids=lambda path: path.stem)
def test_a_bad_file_gets_its_message(path: Path) -> None:
    before = path.read_bytes()
    assert answer_to(path) == path.with_suffix(".message").read_text("utf-8").rstrip("\n")
    assert path.read_bytes() == before


@pytest.mark.parametrize("path", FILES, ids=lambda path: path.stem)
def test_a_message_is_made_of_sentences_a_terminal_can_show(path: Path) -> None:
    for line in answer_to(path).splitlines():
        assert line.isprintable()
        assert line.endswith((".", "?"))


def test_a_file_of_ten_megabytes_is_refused_unread() -> None:
    with pytest.raises(CaseErrors, match=r"10\.0 MB, more than the 1 MB"):
        read_case(b"a" * 10_000_000, "huge.yaml", NOW)


@pytest.mark.parametrize("opening", [b"[", b"- ", b"{a: ", b"? "])
def test_endless_nesting_is_refused(opening: bytes) -> None:
    with pytest.raises(CaseErrors, match=r"nested too deeply|not readable as YAML"):
        read_case(b"case: " * (opening == b"[") + opening * 100_000, "deep.yaml", NOW)


def test_a_byte_order_mark_does_no_harm() -> None:
    case = read_case(b"\xef\xbb\xbfcase: kiln-room\nseen: [racing]\n", "kiln.yaml", NOW)
    assert case.seen == ("racing",)


def test_many_problems_are_counted_not_listed() -> None:
    rows = "".join("  - {what: ph, value: 99}\n" for _ in range(50))
    with pytest.raises(CaseErrors) as caught:
        read_case(f"case: jar\nreadings:\n{rows}".encode(), "jar.yaml", NOW)
    assert len(caught.value.problems) == 50
    assert str(caught.value).endswith("... and 30 more problems like these.")


def answered(data: bytes) -> None:
    """The file is read, or refused in words; anything else is a fault of this program."""
    try:
        read_case(data, "any.yaml", NOW, vocabulary=VOCABULARY)
    except CaseErrors as error:
        assert error.problems
        assert all(problem.problem for problem in error.problems)


@settings(max_examples=150, deadline=None)
@given(st.binary(max_size=200) | st.text(max_size=200).map(lambda text: text.encode()))
def test_any_bytes_are_answered(data: bytes) -> None:
    answered(data)


KEYS = sorted(
    {
        name
        for model in (Case, Container, Deaths, Event, Feeding, Reading, Stock)
        for name in written_names(model)
    }
)
VALUES = st.one_of(
    st.none(),
    st.booleans(),
    st.integers(-5, 200),
    st.floats(),
    st.sampled_from(["6 L", "half", "2 days ago", "at the first death", "ph", "spray", "yes"]),
    st.text(max_size=8),
)
ANYTHING = st.recursive(
    VALUES,
    lambda inner: (
        st.lists(inner, max_size=3) | st.dictionaries(st.sampled_from(KEYS), inner, max_size=4)
    ),
    max_leaves=12,
)


@settings(max_examples=200, deadline=None)
@given(st.dictionaries(st.sampled_from(KEYS), ANYTHING, max_size=8))
def test_any_mixture_of_fields_is_answered(fields: dict[str, object]) -> None:
    answered(yaml.safe_dump({"case": "jar", **fields}, allow_unicode=True).encode())
