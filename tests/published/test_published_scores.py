"""How practice is scored, against the papers that define it and against another program."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st
from sklearn.metrics import brier_score_loss

from diagnose.practice.calibration import brier, calibration

answers = st.lists(
    st.tuples(st.integers(0, 20).map(lambda n: n / 20), st.booleans()), min_size=2, max_size=60
)


@pytest.mark.parametrize(
    ("confidence", "right", "score"),
    [
        # Definition: G. W. Brier 1950, Mon. Weather Rev. 78:1-3 (from memory), half form.
        (1.0, True, 0.0),
        (1.0, False, 1.0),
        (0.7, True, 0.09),
        (0.3, True, 0.49),
        (0.5, False, 0.25),
    ],
)
def test_the_score_is_the_squared_distance_from_what_came(
    confidence: float, right: bool, score: float
) -> None:
    assert brier(confidence, right) == pytest.approx(score)


@given(answers)
def test_the_mean_is_that_of_another_program(given_answers: list[tuple[float, bool]]) -> None:
    """scikit-learn, `brier_score_loss` (a published library; computed, not copied)."""
    came = [right for _, right in given_answers]
    said = [confidence for confidence, _ in given_answers]
    expected = brier_score_loss(came, said, pos_label=True)
    assert calibration(given_answers).brier == pytest.approx(expected)


@given(answers)
def test_the_parts_add_up_to_the_score(given_answers: list[tuple[float, bool]]) -> None:
    """A. H. Murphy 1973, J. Appl. Meteorol. 12:595-600 (from memory): three parts."""
    found = calibration(given_answers)
    parts = found.reliability - found.resolution + found.uncertainty
    assert found.brier == pytest.approx(parts, abs=1e-12)


@pytest.mark.parametrize("confidence", [-0.1, 1.1, float("nan")])
def test_no_share_of_a_hundred_is_no_confidence(confidence: float) -> None:
    with pytest.raises(ValueError, match="between 0 and 1"):
        brier(confidence, True)
