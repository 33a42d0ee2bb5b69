"""Drawings of signs: each shows its sign where it is, and nowhere else another animal."""

from __future__ import annotations

import xml.etree.ElementTree as ElementTree
from collections import Counter
from pathlib import Path

import pytest

from diagnose.cli import BAD_INPUT, main
from diagnose.report.figures import jar, shrimp
from diagnose.report.figures.shrimp import HEIGHT, WIDTH, Box, Mark
from diagnose.report.figures.sign import drawn_signs, sign_of, sign_svg
from diagnose.rulebook.places import bundled
from diagnose.rulebook.terms import Rulebook

#: Signs that are a posture or a place: the whole animal is the sign.
POSTURES = {"lying_on_side", "at_surface", "pale_faded", "skins_found"}
IN_PLACE = [name for name in drawn_signs() if name not in POSTURES | {"survivors_normal"}]


def healthy_beside(name: str) -> tuple[Mark, ...]:
    return shrimp.healthy() if name in shrimp.SIGNS else jar.healthy()


def within(box: Box, where: Box) -> bool:
    return box[0] >= where[0] and box[1] >= where[1] and box[2] <= where[2] and box[3] <= where[3]


@pytest.mark.parametrize("name", IN_PLACE)
def test_a_sign_differs_from_the_healthy_one_where_it_is_and_nowhere_else(name: str) -> None:
    sign = sign_of(name)
    mine, healthy = Counter(sign.marks), Counter(healthy_beside(name))
    different = [*(mine - healthy), *(healthy - mine)]
    assert different, "a sign that looks like a healthy animal"
    assert [mark for mark in different if not within(mark.box, sign.where)] == []
    assert sign.turn == 0.0


@pytest.mark.parametrize("name", sorted(POSTURES))
def test_a_posture_turns_moves_or_changes_the_whole_animal(name: str) -> None:
    sign = sign_of(name)
    assert sign.turn or sign.move != (0.0, 0.0) or set(sign.marks) != set(shrimp.healthy())


def test_no_two_drawings_are_the_same() -> None:
    drawn = {name: str(sign_of(name)) for name in drawn_signs()}
    assert len(set(drawn.values())) == len(drawn)


def test_what_differs_is_no_matter_of_colour_alone() -> None:
    """Without its colours each kind of mark still differs from a plain shell: by its outline, its
    pattern, or by being there at all.
    """
    for name in IN_PLACE:
        sign = sign_of(name)
        healthy = {mark.d for mark in healthy_beside(name)}
        recoloured = [mark for mark in sign.marks if mark.d in healthy]
        kinds = {mark.kind for mark in recoloured} - {m.kind for m in healthy_beside(name)}
        assert kinds <= {"milky"}, name  # a broken outline, not a paler one


@pytest.mark.parametrize("name", drawn_signs())
def test_each_drawing_is_sound_and_says_what_to_look_for(name: str, rulebook: Rulebook) -> None:
    term = rulebook.vocabulary[name]
    assert len(term.drawn.split()) >= 8 and term.drawn.endswith(".")
    svg = sign_svg(name, term.asks, term.drawn)
    root = ElementTree.fromstring(svg)
    space = "{http://www.w3.org/2000/svg}"
    assert root.find(f"{space}title").text == term.asks  # type: ignore[union-attr]
    assert root.find(f"{space}desc").text == term.drawn  # type: ignore[union-attr]
    assert root.get("role") == "img" and "style=" not in svg and "href" not in svg
    for mark in sign_of(name).marks:
        x0, y0, x1, y1 = mark.box
        assert -2 <= x0 <= x1 <= WIDTH + 2 and -2 <= y0 <= y1 <= HEIGHT + 2, mark


def test_every_description_has_its_drawing(rulebook: Rulebook) -> None:
    described = {name for name, term in rulebook.vocabulary.items() if term.drawn}
    assert described == set(drawn_signs())


def test_hostile_words_stay_text() -> None:
    svg = sign_svg("white_ring", "<script>", "a & b </desc><g/>")
    assert "<script>" not in svg and "&lt;script&gt;" in svg
    ElementTree.fromstring(svg)


def test_a_sign_is_drawn_by_its_name_or_by_a_keepers_words(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    file = tmp_path / "sign.svg"
    assert main(["reasons", "white", "ring", "--picture", str(file)]) == 0
    assert "pale ring" in capsys.readouterr().out
    assert 'id="sign-white_ring-title"' in file.read_text("utf-8")
    for words, name in ((["milky"], "x.svg"), (["zzz"], "y.svg"), (["white", "ring"], "z.png")):
        wanted = 0 if words == ["milky"] else BAD_INPUT
        assert main(["reasons", *words, "--picture", str(tmp_path / name)]) == wanted
    assert "There are: at_surface" in " ".join(capsys.readouterr().err.split())


def test_the_handbook_shows_every_sign_and_early_signs_lead_there(
    rulebook: Rulebook, tmp_path: Path
) -> None:
    assert main(["reasons", "--handbook", str(tmp_path)]) == 0
    page = (tmp_path / "index.html").read_text("utf-8")
    for name in drawn_signs():
        assert f'id="sign-{name}"' in page
    assert page.count('href="#sign-') >= 10


def test_an_answers_page_shows_the_sign_that_is_to_be_looked_for(
    capsys: pytest.CaptureFixture[str],
) -> None:
    case = bundled("cases") / "worms-between-the-legs.yaml"
    assert main(["triage", str(case), "--format", "html", "--no-estimates"]) == 0
    page = capsys.readouterr().out
    assert '<figure class="sign"><svg' in page
