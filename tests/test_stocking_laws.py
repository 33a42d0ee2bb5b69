"""Laws of the verdict that no rule may break."""

from __future__ import annotations

from dataclasses import replace

from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from diagnose.intake.case import Case
from diagnose.rulebook.species import species_of
from diagnose.rulebook.terms import Rulebook
from diagnose.stocking.judgement import VERDICTS
from diagnose.stocking.prospect import Newcomers
from diagnose.stocking.readiness import Readiness, readiness
from tests.stocking_jars import CLEAN, NOW, jar, may_come, observed

PLANTING = ("none", "sparse", "moderate", "dense")
SPECIES = ("cherry shrimp", "bee shrimp", "Amano shrimp")
few = settings(
    max_examples=30, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture]
)


def rank(verdict: str) -> int:
    """0 for add now, 2 for do not add."""
    return VERDICTS.index(verdict)  # type: ignore[arg-type]


@st.composite
def jars(draw: st.DrawFn) -> Case:
    """Jars good and bad, well and badly known."""
    readings = {
        "ammonia": draw(st.sampled_from([0.0, 0.0, 0.15, 0.8])),
        "nitrite": draw(st.sampled_from([0.0, 0.0, 0.05, 0.4])),
        "temperature": draw(st.sampled_from([16.0, 20.0, 22.0, 26.5, 31.0])),
        "gh": draw(st.sampled_from([2.0, 5.0, 8.0, 14.0, 20.0])),
    }
    for name in draw(st.sets(st.sampled_from(sorted(CLEAN)), max_size=1)):
        del readings[name]
    seen = draw(
        st.sets(st.sampled_from(["cloudy_water", "food_left_over", "young_thrive"]), max_size=1)
    )
    return jar(
        readings=readings,
        stock={"adults": draw(st.integers(0, 12)), "juveniles": draw(st.integers(0, 8))},
        case={"seen": tuple(sorted(seen)) + draw(st.sampled_from([(), ("survivors_normal",)]))},
        volume_l=draw(st.floats(0.6, 40)),
        age_days=draw(st.floats(0, 200)),
        planting=draw(st.sampled_from(PLANTING)),
        substrate=draw(st.sampled_from(["inert", "soil"])),
        substrate_age_days=draw(st.floats(0, 90)),
    )


numbers = st.integers(1, 60)
kinds = st.sampled_from(SPECIES)


@few
@given(case=jars(), fewer=numbers, more=numbers, kind=kinds)
def test_adding_more_animals_never_improves_a_verdict(
    rulebook: Rulebook, case: Case, fewer: int, more: int, kind: str
) -> None:
    fewer, more = sorted((fewer, more))
    small, large = may_come(rulebook, case, fewer, kind), may_come(rulebook, case, more, kind)
    assert rank(small.judgement.verdict) <= rank(large.judgement.verdict)


def better(case: Case, **box: object) -> Case:
    return case.model_copy(update={"container": case.container.model_copy(update=box)})


@few
@given(case=jars(), number=numbers, kind=kinds, factor=st.floats(1.0, 8.0))
def test_more_water_never_worsens_a_verdict(
    rulebook: Rulebook, case: Case, number: int, kind: str, factor: float
) -> None:
    larger = better(case, volume_l=factor * (case.container.volume_l or 0.0))
    before, after = may_come(rulebook, case, number, kind), may_come(rulebook, larger, number, kind)
    assert rank(after.judgement.verdict) <= rank(before.judgement.verdict)
    assert after.now >= before.now


@few
@given(case=jars(), number=numbers, kind=kinds, steps=st.integers(1, 3))
def test_more_plants_never_worsen_a_verdict(
    rulebook: Rulebook, case: Case, number: int, kind: str, steps: int
) -> None:
    now = PLANTING.index(case.container.planting or "none")
    greener = better(case, planting=PLANTING[min(now + steps, 3)])
    before = may_come(rulebook, case, number, kind)
    after = may_come(rulebook, greener, number, kind)
    assert rank(after.judgement.verdict) <= rank(before.judgement.verdict)
    assert after.now >= before.now


@few
@given(case=jars(), number=numbers, kind=kinds, days=st.floats(0, 150))
def test_more_maturity_never_worsens_a_verdict(
    rulebook: Rulebook, case: Case, number: int, kind: str, days: float
) -> None:
    box = case.container
    older = better(
        case,
        age_days=(box.age_days or 0.0) + days,
        substrate_age_days=(box.substrate_age_days or 0.0) + days,
    )
    before, after = may_come(rulebook, case, number, kind), may_come(rulebook, older, number, kind)
    assert rank(after.judgement.verdict) <= rank(before.judgement.verdict)
    assert after.now >= before.now


@few
@given(case=jars(), number=numbers, kind=kinds, young=st.booleans())
def test_the_number_offered_is_exactly_the_largest_that_may_come(
    rulebook: Rulebook, case: Case, number: int, kind: str, young: bool
) -> None:
    def asked(count: int) -> str:
        adults, juveniles = (0, count) if young else (count, 0)
        return may_come(rulebook, case, adults, kind, juveniles).judgement.verdict

    offered = may_come(rulebook, case, 0 if young else number, kind, number if young else 0).now
    assert offered == 0 or asked(offered) == "add now"
    assert asked(offered + 1) != "add now"


@few
@given(case=jars(), number=numbers)
def test_the_order_of_what_is_told_never_changes_the_answer(
    rulebook: Rulebook, case: Case, number: int
) -> None:
    turned = case.model_copy(update={"readings": case.readings[::-1] * 2, "seen": case.seen[::-1]})
    one, other = may_come(rulebook, case, number), may_come(rulebook, turned, number)
    assert (one.judgement.verdict, one.limit, one.now, one.later, one.earliest) == (
        other.judgement.verdict,
        other.limit,
        other.now,
        other.later,
        other.earliest,
    )


@few
@given(case=jars(), number=st.integers(1, 20))
def test_on_the_earliest_day_they_may_come_and_not_the_day_before(
    rulebook: Rulebook, case: Case, number: int
) -> None:
    """If all that is shut only needs time. What is not age is taken as it is told, and what it
    carries follows the age of its film: the account of a day to come is reckoned on that day.
    """
    plain = case.model_copy(update={"seen": ("survivors_normal",)})
    species = species_of(rulebook, "cherry shrimp")
    newcomers = Newcomers(species, "cherry shrimp", number)

    def judged(jar_then: Case) -> Readiness:
        known = {o.name: o for o in observed(rulebook, jar_then).observations}
        return readiness(rulebook, jar_then, known, newcomers, asked_at=NOW)

    found = judged(plain)
    if found.earliest is None or found.judgement.unknown:
        return
    if found.place.known["empty_cycle"].value != "none":
        return  # what its readings will be by then is not a matter of age
    days = (found.earliest - NOW.date()).days

    def after(days: int) -> str:
        box = plain.container
        older = better(
            plain,
            age_days=(box.age_days or 0.0) + days,
            substrate_age_days=(box.substrate_age_days or 0.0) + days,
        )
        return judged(older).judgement.verdict

    assert after(days) == "add now"
    assert days == 0 or after(days - 1) != "add now"


@few
@given(case=jars(), number=numbers)
def test_a_missing_fact_is_never_answered_with_add_now(
    rulebook: Rulebook, case: Case, number: int
) -> None:
    for name in CLEAN:
        thinner = case.model_copy(
            update={"readings": tuple(r for r in case.readings if r.what != name)}
        )
        found = may_come(rulebook, thinner, number)
        assert found.judgement.verdict != "add now" and found.now == 0


def test_what_the_newcomers_are_called_does_not_matter_only_what_they_are(
    rulebook: Rulebook,
) -> None:
    case = jar()
    species = species_of(rulebook, "cherry shrimp")
    known = {o.name: o for o in observed(rulebook, case).observations}
    answers = {
        readiness(
            rulebook, case, known, replace(Newcomers(species, None, 8), named=name), asked_at=NOW
        ).now
        for name in ("cherry shrimp", "Neocaridina davidi", "fire red", None)
    }
    assert len(answers) == 1
