"""No forbidden pair is ever printed: over all causes, their ways and pairs of situations, and over
every bundled case. The pairs are written down here, apart from the rules that keep to them.

Sources are named beside each pair; where none is, it is common practice, no source.
"""

from __future__ import annotations

import itertools
import json
import re
from collections.abc import Callable
from datetime import datetime
from pathlib import Path
from typing import Any

import pytest

from diagnose.advice.forbidden import called_for, known_values, withheld_among
from diagnose.advice.plan import Plan, conflict, plan
from diagnose.belief.belief import believe
from diagnose.bowl.what_if import read_what_if
from diagnose.cli import main
from diagnose.findings.observed_case import ObservedCase, observed_case
from diagnose.intake.case import Event
from diagnose.report.care_answer import care_answer, care_page
from diagnose.report.pages import page_markdown
from diagnose.report.stocking_answer import stocking_page
from diagnose.rulebook.places import bundled
from diagnose.rulebook.terms import Rulebook
from diagnose.stocking.ahead import inhabited
from diagnose.uses.care import care_of_case
from diagnose.uses.outlook import steps_of
from diagnose.uses.stocking import stocking_case, told_newcomers
from tests.advice_supposed import Values, believing, ids, plan_for, supposed, trace_of, trace_seen
from tests.stocking_jars import CLEAN, jar, observed

CHANGES = ("part-change-matched", "large-change-matched", "change-for-waste")
CATCHING = ("move-to-clean-water", "set-aside-the-sick", "lodge-half-elsewhere", "give-some-away")
RAISES_PH = (
    "add-air",
    "air-each-night",
    "raise-alkalinity-slowly",
    "keep-a-carbonate-store",
    "blend-in-tap-water",
    "unsoftened-tap",
)
#: What may be known beside the cause. Every pair of these that does not contradict itself is tried.
SITUATIONS: dict[str, Values] = {
    "acid-with-ammonia": {"ph": 6.2, "tan_mg_l": 3.0},
    "insect-spray": {"did_spray": "present", "spray_kind": "insects", "hours_from_spray": 2.0},
    "hair-spray": {"did_spray": "present", "spray_kind": "other", "hours_from_spray": 2.0},
    "paint-fumes": {"did_fumes": "present", "hours_from_fumes": 3.0},
    "hungry-young": {"bare_surfaces": "present", "died_sizes": "hatchlings_only"},
    "no-new-plants": {"did_new_plants": "absent"},
    "change-made-it-worse": {"change_helped": "worse"},
    "change-in-vain": {"change_helped": "no"},
    "air-in-vain": {"air_helped": "no"},
    "in-the-moult": {"half_cast_skin": "present"},
    "many-moult": {"mass_moult": "present"},
    "no-worms": {"nose_threads": "absent", "leg_worms": "absent"},
    "weak": {"lying_on_side": "present"},
    "remedy-at-work": {"did_medicine": "present", "label_warns_shrimp": "absent"},
    "tingle": {"tingle_in_water": "present"},
    "waste": {"tan_mg_l": 2.0, "ph": 7.9, "nitrite_mg_l": 1.0, "temperature_c": 24.0},
    "hot": {"temperature_c": 33.0},
    "cold": {"temperature_c": 8.0},
    "mild": {"temperature_c": 22.0},
    "calm": {"death_shape": "none", "losses": "none", "survivors_normal": "present"},
    "dying": {"death_shape": "all_at_once", "losses": "some"},
    "trickle": {"death_shape": "trickle", "losses": "some"},
    "conditioned": {"conditioner_use": "always"},
    "rain": {"water_source": "rain"},
    "nothing-electric": {"heater_state": "none", "filter_state": "none", "co2_feed": "none"},
    "too-heavy": {"volume_l": 60.0},
    "small": {"volume_l": 5.0},
    "food-stop-made-it-worse": {"tried_food_stop": "worse"},
    "at-the-surface": {"at_surface": "present"},
}
Rule = tuple[Callable[[Values], bool], tuple[str, ...]]


def known(**said: Any) -> Callable[[Values], bool]:
    """Whether all of this is known."""
    return lambda values: all(values.get(name) == value for name, value in said.items())


def acid_with_ammonia(values: Values) -> bool:
    return float(values.get("ph", 9.0)) < 6.6 and float(values.get("tan_mg_l", 0.0)) > 0.5


def waste(values: Values) -> bool:
    return float(values.get("tan_mg_l", 0.0)) > 1.0 or float(values.get("nitrite_mg_l", 0.0)) > 0.8


def fresh_vapour(values: Values) -> bool:
    return any(
        values.get(f"did_{name}") == "present" and float(values.get(f"hours_from_{name}", 99)) < 12
        for name in ("spray", "fumes")
    )


FORBIDDEN: dict[str, Rule] = {
    # Merck Veterinary Manual 2023: harmful share of ammonia rises about tenfold with a unit of pH;
    # PetMD 2012 (fish): never one large change to hard water.
    "raising pH over ammonia": (
        acid_with_ammonia,
        (*RAISES_PH, *CHANGES, "weekly-matched-change"),
    ),
    # Pest-control firms' sheets: the pump must not draw from the air of the room.
    "air out of a sprayed room": (
        fresh_vapour,
        ("add-air", "air-each-night", "move-water-gently"),
    ),
    "fasting the starving": (known(bare_surfaces="present"), ("stop-feeding",)),
    "taking out what never came": (known(did_new_plants="absent"), ("take-out-new-plants",)),
    "what made it worse": (
        known(change_helped="worse"),
        (*CHANGES, "move-to-clean-water", "thin-acid-ammonia"),
    ),
    "fasting that made it worse": (known(tried_food_stop="worse"), ("stop-feeding",)),
    "catching in the moult": (known(half_cast_skin="present"), (*CATCHING, "salt-dip")),
    "catching in a mass moult": (known(mass_moult="present"), (*CATCHING, "salt-dip")),
    # My Fish Vet: no remedy before the water was tested and the cause is known.
    "a dip without worms": (known(nose_threads="absent", leg_worms="absent"), ("salt-dip",)),
    "a dip for the weak": (known(lying_on_side="present"), ("salt-dip",)),
    "carbon beside a remedy": (
        known(did_medicine="present", label_warns_shrimp="absent"),
        ("add-carbon",),
    ),
    # OSSTF Ontario: plugs first.
    "a pump in live water": (known(tingle_in_water="present"), ("add-air",)),
    # University of Florida IFAS: feed is the main source of ammonia.
    "food over ammonia": (waste, ("dust-food-for-young", "no-water-change-now")),
    "warming what is hot": (lambda v: float(v.get("temperature_c", 9)) > 30, ("warm-slowly",)),
    "cooling what is cold": (lambda v: float(v.get("temperature_c", 30)) < 15, ("cool-slowly",)),
    "bodies of nobody": (known(death_shape="none"), ("remove-bodies",)),
    "conditioner over conditioner": (known(conditioner_use="always"), ("dose-conditioner-now",)),
    "conditioner in rain": (known(water_source="rain"), ("dose-conditioner-now",)),
    "what is not there": (
        known(heater_state="none", co2_feed="none"),
        ("unplug-doubtful-heater", "turn-co2-off"),
    ),
    "lifting sixty litres": (lambda v: float(v.get("volume_l", 1)) > 30, ("carry-to-clean-air",)),
}


def faults(values: Values, found: Plan) -> list[str]:
    """What is wrong with a plan when this is known."""
    steps = ids(found)
    wrong = [
        f"{name}: {step}"
        for name, (holds, forbidden) in FORBIDDEN.items()
        if holds(values)
        for step in forbidden
        if step in steps
    ]
    now = [item.step for item in found.steps if item.phase == "now"]
    if len(now) > 5:
        wrong.append(f"{len(now)} steps at once")
    people = [step.people for step in now]
    if people != sorted(people, reverse=True):
        wrong.append("people are not first")
    if fresh_vapour(values) and now:
        if now[0].id not in ("people-and-pets-out", "hands-out-power-off"):
            wrong.append(f"{now[0].id} before the room")
        if "people-and-pets-out" not in steps:
            wrong.append("nobody is sent out of the room")
    if values.get("tingle_in_water") == "present":
        if now[0].id not in ("hands-out-power-off", "people-and-pets-out"):
            wrong.append(f"{now[0].id} before the power")
        if "hands-out-power-off" not in steps:
            wrong.append("nobody switches off")
    for one, other in itertools.combinations([item.step for item in found.steps], 2):
        if conflict(one, other):
            wrong.append(f"{one.id} against {other.id}")
    sampled = steps.index("keep-water-sample") if "keep-water-sample" in steps else 0
    wrong += [
        f"{late} before the sample"
        for late in ("part-change-matched", "large-change-matched", "move-to-clean-water")
        if late in steps and steps.index(late) < sampled
    ]
    if found.urgency in ("this-week", "watch"):
        wrong += [f"{s.id} though there is no hurry" for s in now if s.drastic >= 2]
    return wrong


def pairs() -> list[tuple[str, Values]]:
    """Each situation, and each two that do not contradict each other."""
    alone = list(SITUATIONS.items())
    both = []
    for (one, first), (other, second) in itertools.combinations(alone, 2):
        if all(first[name] == second[name] for name in first.keys() & second.keys()):
            both.append((f"{one}+{other}", {**first, **second}))
    return [("nothing", {}), *alone, *both]


def way_values(rulebook: Rulebook, cause: str) -> list[tuple[str, Values]]:
    """What tells each way of a cause, and nothing at all."""
    found: list[tuple[str, Values]] = [("", {})]
    for way in rulebook.causes[cause].ways:
        leaves = way.when[0]
        told = {leaf.name: leaf.words[0] for leaf in leaves if leaf.kind == "in"}
        if len(told) == len(leaves):
            found.append((way.id, told))
    return found


def test_no_forbidden_pair_over_causes_ways_and_pairs_of_situations(rulebook: Rulebook) -> None:
    wrong = []
    tried = 0
    for name, values in pairs():
        trace = trace_of(rulebook, values)
        for cause in rulebook.causes:
            found = plan(rulebook, trace, believing(rulebook, cause, 0.8))
            wrong += [f"{cause}, {name}: {fault}" for fault in faults(values, found)]
            tried += 1
    assert tried > 10_000
    assert not wrong, wrong[:20]


def test_no_forbidden_pair_by_whatever_way_it_came(rulebook: Rulebook) -> None:
    wrong = []
    for cause in rulebook.causes:
        for (way, told), (name, values) in itertools.product(
            way_values(rulebook, cause), SITUATIONS.items()
        ):
            if way and all(told[k] == values[k] for k in told.keys() & values.keys()):
                both = {**values, **told}
                found = plan_for(rulebook, both, cause)
                wrong += [f"{cause} by {way}, {name}: {fault}" for fault in faults(both, found)]
    assert not wrong, wrong[:20]


def test_a_way_that_was_told_gives_its_own_steps_and_no_other(rulebook: Rulebook) -> None:
    sprayed = {**SITUATIONS["insect-spray"], "did_new_plants": "absent"}
    by_spray = ids(plan_for(rulebook, sprayed, "insecticide"))
    by_plants = ids(plan_for(rulebook, {"did_new_plants": "present"}, "insecticide"))
    assert "carry-to-clean-air" in by_spray and "take-out-new-plants" not in by_spray
    assert "take-out-new-plants" in by_plants and "people-and-pets-out" not in by_plants


def test_an_untold_way_is_asked_for(rulebook: Rulebook) -> None:
    found = plan_for(rulebook, {"death_shape": "all_at_once"}, "insecticide")
    assert found.deciding and found.deciding[0].cause == "insecticide"
    assert not plan_for(rulebook, {"did_spray": "present"}, "insecticide").deciding


ASKED = datetime(2026, 11, 25)
REPORTED = sorted((Path(__file__).parent / "published" / "reported").glob("r*.yaml"))


def every_case() -> list[Path]:
    """The bundled cases and those that keepers reported."""
    return [*sorted(bundled("cases").rglob("*.yaml")), *REPORTED]


def test_no_forbidden_pair_in_any_bundled_or_reported_case(rulebook: Rulebook) -> None:
    wrong = []
    files = every_case()
    for file in files:
        seen = observed_case(file, rulebook, now=ASKED)
        values = {item.name: item.value for item in seen.observations}
        trace = trace_seen(rulebook, seen.observations)
        found = plan(rulebook, trace, believe(rulebook, trace))
        wrong += [f"{file.stem}: {fault}" for fault in faults(values, found)]
    assert len(files) > 300 and len(REPORTED) >= 100
    assert not wrong, wrong


def barred(values: Values) -> set[str]:
    """The steps that are forbidden when this is known."""
    return {s for holds, steps in FORBIDDEN.values() if holds(values) for s in steps}


def given_in(rulebook: Rulebook, seen: ObservedCase) -> tuple[int, set[str], list[str]]:
    """What stocking and care give of what is forbidden: how many gates and tasks were looked at,
    the steps that they withhold, and what is wrong.
    """
    forbidden = barred({item.name: item.value for item in seen.observations})
    newcomers = told_newcomers(seen.case, rulebook, add="4 adults")
    found = stocking_case(rulebook, seen, newcomers, now=ASKED, with_outlook=False)
    gates = {gate.evidence.key: gate for gate in rulebook.stocking.values()}
    wrong, withheld = [], {held.id for held in found.withheld}
    said = page_markdown(stocking_page(found)).replace("\\", "")
    for reason in found.reasons:
        gate = gates[reason.line.rule]
        if forbidden & set(gate.steps):
            wrong += [gate.id] if reason.do or gate.do in found.to_do or gate.do in said else []
            wrong += [f"{gate.id} in silence"] if not forbidden & withheld else []
    looked_at = len(found.reasons)
    for held in found.withheld:
        wrong += [f"{held.id} not said"] if held.because not in said else []
    if seen.case.container.volume_l:
        week = care_of_case(rulebook, seen, now=ASKED, with_outlook=False)
        answer = care_answer(rulebook, week, case="a case")
        said = page_markdown(care_page(answer)).replace("\\", "")
        wrong += [task.topic for task in week.tasks if not forbidden.isdisjoint(task.steps)]
        wrong += [held.id for held in answer.withheld if held.because not in said]
        withheld |= {held.id for held in answer.withheld}
        looked_at += len(week.tasks)
    return looked_at, withheld, wrong


@pytest.mark.parametrize("stride", [3, pytest.param(1, marks=pytest.mark.exhaustive)])
def test_stocking_and_care_give_no_forbidden_step_in_any_case(
    rulebook: Rulebook, stride: int
) -> None:
    looked_at, wrong = 0, []
    for file in every_case()[::stride]:
        seen = observed_case(file, rulebook, now=ASKED)
        if inhabited(seen.case):
            number, _, faulty = given_in(rulebook, seen)
            looked_at += number
            wrong += [f"{file.stem}: {fault}" for fault in faulty]
    assert looked_at > 1000 / stride
    assert not wrong, wrong


@pytest.mark.parametrize(
    ("readings", "told", "withheld"),
    [
        ({"ammonia": 1.0, "ph": 6.2}, {}, {"change-for-waste"}),
        ({"ammonia": 0.4, "ph": 5.6}, {}, {"raise-alkalinity-slowly"}),
        ({"nitrate": 120.0}, {"told": {"change_helped": "worse"}}, {"large-change-matched"}),
        ({"nitrate": 10.0}, {"told": {"change_helped": "worse"}}, {"part-change-matched"}),
        ({}, {"seen": ("mass_moult",)}, {"give-some-away"}),
    ],
)
def test_what_forbids_a_step_forbids_it_before_adding_and_in_the_week(
    rulebook: Rulebook, readings: dict[str, float], told: dict[str, Any], withheld: set[str]
) -> None:
    bowl = jar(
        stock={"species": "cherry shrimp", "adults": 6 if readings else 45},
        readings=CLEAN | readings,
        case=told,
    )
    _, held, wrong = given_in(rulebook, observed(rulebook, bowl))
    assert withheld <= held
    assert not wrong, wrong


@pytest.mark.parametrize("name", ["acid-with-ammonia", "change-made-it-worse", "in-the-moult"])
@pytest.mark.parametrize("said", ["change 50 % once a week", "change 25 % twice a week"])
@pytest.mark.parametrize(
    "more", [(), ("keep the surface moving", "feed nothing", "remove 4 young")]
)
def test_a_what_if_names_what_the_case_forbids(
    rulebook: Rulebook, name: str, said: str, more: tuple[str, ...]
) -> None:
    values = SITUATIONS[name]
    asked = steps_of(read_what_if((said, *more)))
    state = known_values(trace_seen(rulebook, supposed(values)))
    held = {item.step.id for item in withheld_among(rulebook, asked, state)}
    assert held == barred(values) & set(asked)


def test_what_was_told_comes_before_a_change_in_the_week_and_in_a_what_if(
    rulebook: Rulebook,
) -> None:
    """After works on the main, tap water waits until it is known to be good: common practice, no
    source. A usual week asks for no sample of the water; a rescue does.
    """
    stock = {"species": "cherry shrimp", "adults": 6}
    works = jar(stock=stock, readings=CLEAN, case={"events": (Event(what="supplier-works"),)})
    usual = jar(stock=stock, readings=CLEAN)
    hold_back = rulebook.steps["hold-back-tap-water"].title
    for case, wanted in ((works, [hold_back]), (usual, [])):
        seen = observed(rulebook, case)
        week = care_of_case(rulebook, seen, now=ASKED, with_outlook=False)
        topics = [task.what for task in week.tasks if task.topic == "before that"]
        assert [what.partition(".")[0] for what in topics] == wanted
        told = known_values(trace_seen(rulebook, seen.observations))
        names = steps_of(read_what_if(("change 50 % once a week",)))
        assert [item.step.title for item in called_for(rulebook, names, told)] == wanted


@pytest.mark.parametrize("belief", [0.22, 0.3])
def test_a_guess_on_a_calm_container_warrants_nothing_drastic(
    rulebook: Rulebook, belief: float
) -> None:
    calm = SITUATIONS["calm"]
    for cause in rulebook.causes:
        found = plan_for(rulebook, calm, cause, belief)
        drastic = {i.step.id for i in found.steps if i.phase != "prevent" and i.step.drastic >= 1}
        assert not drastic, cause


def test_one_told_spray_warrants_clean_water_at_once(rulebook: Rulebook) -> None:
    """1.6 of the guidance: move survivors to clean water; the doses are parts per billion (grass
    shrimp, Ecotoxicol. Environ. Saf. 64:122, 2006).
    """
    values = {**SITUATIONS["calm"], **SITUATIONS["insect-spray"]}
    assert "move-to-clean-water" in ids(plan_for(rulebook, values, "nothing-wrong"), "now", "today")


def test_what_was_tried_in_vain_goes_down(rulebook: Rulebook) -> None:
    dying = SITUATIONS["dying"]
    before = plan_for(rulebook, dying, "still-night-oxygen")
    after = plan_for(rulebook, {**dying, "air_helped": "no"}, "still-night-oxygen")
    assert "add-air" in ids(before, "now")
    assert "add-air" not in ids(after, "now")


def test_each_withheld_step_has_its_reason_and_a_source(rulebook: Rulebook) -> None:
    for step in rulebook.steps.values():
        for bar in step.never_when:
            assert len(bar.because.split()) >= 3 and bar.because.endswith("."), step.id
            assert bar.source in rulebook.sources


def test_no_step_names_a_remedy_that_kills_shrimp(rulebook: Rulebook) -> None:
    """University of Florida IFAS FA165: copper doses for fish kill most invertebrates; Kentucky
    State University 2006: prawns bear about 5 to 10 mg/L of peroxide, pond recipes give 150.
    """
    remedies = r"formalin|malachite|levamisole|fenbendazole|copper (sulfate|remedy)|peroxide"
    for step in rulebook.steps.values():
        assert not re.search(remedies, f"{step.title} {step.do}", re.IGNORECASE), step.id


SHOWN = ["glaze-room-jar-after-new-moss", "fly-spray-in-the-throwing-room", "old-jar-turned-sour"]


@pytest.mark.parametrize(
    "path",
    [
        *(bundled("cases") / f"{case}.yaml" for case in SHOWN),
        *(pytest.param(file, marks=pytest.mark.exhaustive) for file in every_case()[::12]),
    ],
    ids=lambda path: path.stem,
)
def test_terminal_json_and_markdown_agree(
    path: Path, capsys: pytest.CaptureFixture[str], tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv("XDG_CACHE_HOME", str(tmp_path))
    file = str(path)

    def said(*options: str) -> str:
        assert main(["triage", file, *options]) == 0
        return capsys.readouterr().out

    answer = json.loads(said("--format", "json"))
    plain = " ".join(said("--all").split())
    page = " ".join(said("--format", "markdown").replace("\\", "").split())
    for step in answer["steps"]:
        assert step["title"] in plain and step["title"] in page
    for held in answer["withheld"]:
        assert held["because"] in page
        if held["say"]:
            assert held["because"] in plain
        assert held["id"] not in {step["id"] for step in answer["steps"]}


@pytest.mark.parametrize("stride", [4, pytest.param(1, marks=pytest.mark.exhaustive)])
def test_a_short_answer_fits_sixty_lines_and_keeps_peoples_cautions(
    rulebook: Rulebook, stride: int
) -> None:
    import io

    from rich.console import Console

    from diagnose.report.terminal import MOST_LINES, show
    from diagnose.uses.triage import triage_file

    for file in sorted(bundled("cases").rglob("*.yaml"))[::stride]:
        shown = io.StringIO()
        answer = triage_file(file, rulebook, now=datetime(2026, 11, 25)).answer
        show(answer, Console(file=shown, width=80))
        assert shown.getvalue().count("\n") <= MOST_LINES == 60, file.stem
        page = " ".join(shown.getvalue().split())
        now = {name for step in answer.steps if step.phase == "now" for name in step.cautions}
        for caution in answer.cautions:
            if caution.guards == "person" and caution.id in now:
                assert caution.text in page, (file.stem, caution.id)


def test_supposed_values_are_what_they_say(rulebook: Rulebook) -> None:
    """The situations above use the vocabulary's own words."""
    for values in SITUATIONS.values():
        for item in supposed(values):
            term = rulebook.vocabulary[item.name]
            assert not term.words or item.value in term.words
