"""Where published sources contradict each other, or lead astray when read alone.

Each test names what it is held against. Where the sources speak of fish or of farmed crustaceans,
the step to a bowl of shrimp is ours. What was read only in a summary or remembered says so.
"""

from __future__ import annotations

import math

import pytest

from diagnose.advice.diagnosis import diagnose
from diagnose.belief.belief import Beliefs, believe, counted, weigh
from diagnose.findings.observation import Observation
from diagnose.inference.engine import Inference
from diagnose.rulebook.terms import Rulebook

SLIGHT, MODERATE, STRONG = 3.0, 6.0, 10.0  # decibans, as the rulebook's own page of words has them


def told(**findings: str | float) -> list[Observation]:
    """What is told of a container where some have died, as in all these sources."""
    return [
        Observation(name, value if isinstance(value, str) else float(value), "told", "told")
        for name, value in {"losses": "some", **findings}.items()
    ]


def beliefs(rulebook: Rulebook, **findings: str | float) -> Beliefs:
    observations = told(**findings)
    return believe(rulebook, Inference(rulebook, [o.name for o in observations]).run(observations))


def decibans(rulebook: Rulebook, owner: str, **findings: str | float) -> float:
    """What the findings say for (above 0) or against one mechanism or cause by its own rules,
    before it counts how they came to be told.
    """
    trace = Inference(rulebook, findings).run(told(**findings))
    weighed = weigh(trace, rulebook.ranking)
    return math.fsum(a.firing.decibans for a in counted(weighed.get(owner, [])))


def first_three(found: Beliefs) -> list[str]:
    return [standing.cause for standing in found.standings[:3]]


def test_the_largest_dying_first_hardly_speaks_of_suffocation_in_shrimp(
    rulebook: Rulebook,
) -> None:
    """1. Fish manuals: the largest suffocate first (Meyer and Barclay 1990, USFWS Resource
    Publication 177, table 3.1; Merck Veterinary Manual, environmental diseases of fish). Crayfish:
    no size was spared (hypoxic blackwater in the Murray, before-after-control-impact survey
    2010-2012). In an oxygen kill of small fish only small ones died, as only they were there.
    """
    large = decibans(rulebook, "suffocation", died_sizes="large_first")
    small = decibans(rulebook, "suffocation", died_sizes="small_first")
    assert 0.0 <= large < SLIGHT
    assert abs(small) <= SLIGHT


@pytest.mark.parametrize(
    ("sign", "mechanism"), [("pink_opaque", "infection"), ("died_at_moult", "failed-moult")]
)
def test_the_largest_die_first_of_other_things_too(
    rulebook: Rulebook, sign: str, mechanism: str
) -> None:
    """1. Medium and large crawfish died of a virus while small ones were well (LSU AgCenter, white
    spot in crawfish, since 2007); older crayfish died in and after moults (Emadi, thesis).
    """
    found = beliefs(rulebook, died_sizes="large_first", **{sign: "present"})
    assert found.first.mechanism == mechanism


def test_found_in_the_morning_says_less_than_well_at_night_and_dying_at_dawn(
    rulebook: Rulebook,
) -> None:
    """2. Deaths at night speak of oxygen (Meyer and Barclay 1990, table 3.1), but chlorine, carbon
    dioxide, heat and acid were found in the morning as well, as nobody looks at night (university
    statement on chlorinated water in a fish facility 2022; J. Lab. Anim. Sci. 5(1) 2022, acid).
    """
    dawn = decibans(rulebook, "suffocation", death_time="dawn")
    morning = decibans(rulebook, "suffocation", death_time="found_in_morning")
    assert dawn >= MODERATE
    assert 0.0 <= morning < SLIGHT


@pytest.mark.parametrize(
    ("cause", "findings"),
    [
        (
            "chlorine-in-tap",
            {"conditioner_use": "missed", "did_water_change": "present", "water_source": "tap"},
        ),
        ("co2-excess", {"co2_feed": "on", "did_co2_start": "present", "hours_from_co2_start": 10}),
        ("overheating", {"temperature_max_c": 33, "heat_above_range_c": 7}),
        ("ph-crash", {"ph": 4.5, "ph_below_range": 2, "kh_dkh": 0.2}),
    ],
)
def test_a_body_found_in_the_morning_does_not_hide_another_cause(
    rulebook: Rulebook, cause: str, findings: dict[str, str | float]
) -> None:
    """2. The same cases as above: each of these causes left its dead to be found in the morning."""
    found = beliefs(rulebook, death_time="found_in_morning", death_shape="all_at_once", **findings)
    assert found.first.cause == cause


@pytest.mark.parametrize(
    ("mechanism", "findings"),
    [
        ("nitrite-poisoning", {"nitrite_mg_l": 3}),
        ("carbon-dioxide-narcosis", {"co2_mg_l": 70, "co2_feed": "on"}),
        (
            "chlorine-burn",
            {"chlorine_mg_l": 0.5, "conditioner_use": "never", "did_water_change": "present"},
        ),
        ("suffocation", {"oxygen_mg_l": 1.2}),
    ],
)
def test_hanging_at_the_surface_does_not_tell_between_what_takes_the_breath(
    rulebook: Rulebook, mechanism: str, findings: dict[str, str | float]
) -> None:
    """3. Surface breathing is named for low oxygen, nitrite, carbon dioxide and chlorine alike
    (Merck Veterinary Manual, table of environmental diseases of fish): a reading decides.
    """
    found = beliefs(rulebook, at_surface="present", **findings)
    assert found.first.mechanism == mechanism


def test_nobody_at_the_surface_speaks_against_want_of_air(rulebook: Rulebook) -> None:
    """3. The sign is of use the other way: against causes without any sign of breathing."""
    nobody: dict[str, str | float] = {"at_surface": "absent", "leaving_water": "absent"}
    assert decibans(rulebook, "suffocation", **nobody) <= -MODERATE
    seen, silent = beliefs(rulebook, **nobody), beliefs(rulebook)
    suffocating = "still-night-oxygen"
    assert seen.of(suffocating).belief < silent.of(suffocating).belief


@pytest.mark.parametrize("sign", ["milky_muscle", "dark_gills", "soft_shell"])
def test_a_body_sign_with_many_reasons_convicts_nobody_alone(rulebook: Rulebook, sign: str) -> None:
    """4. White tail muscle follows stress, handling, viruses and microsporidia (Stentiford and Neil
    2000, J. Fish Dis. 23:251; NACA field guide, white tail); dark gills follow nitrite, ammonia,
    metals, bacteria and fungi; soft shells a dozen things (National Institute of Oceanography, Goa
    1998).
    """
    assert beliefs(rulebook, **{sign: "present"}).first.belief < 0.2


def test_spread_and_handling_tell_white_muscle_apart(rulebook: Rulebook) -> None:
    """4. White muscle from netting comes within hours and does not pass on (Stentiford and Neil
    2000; Momoyama and Matsuzato 1987, Fish Pathol. 22:69); a disease goes from one to the next.
    """
    netted = beliefs(
        rulebook,
        milky_muscle="present",
        did_netting="present",
        hours_from_netting=10,
        milky_spreads="absent",
    )
    spreading = beliefs(rulebook, milky_muscle="present", milky_spreads="present")
    assert netted.first.cause == "handling-injury"
    assert spreading.first.cause == "muscle-disease"


def test_no_copper_now_does_not_clear_the_brass_in_the_water(rulebook: Rulebook) -> None:
    """5. Fish went on dying for eleven hours after the copper had fallen to what is held safe
    (Cardeilhac and Hall 1977, Am. J. Vet. Res. 38:525).
    """
    brass: dict[str, str | float] = {"metal_in_water": "present", "death_shape": "burst"}
    assert "copper-or-metal" in first_three(beliefs(rulebook, copper_mg_l=0.0, **brass))
    cleared = decibans(rulebook, "metal-poisoning", copper_mg_l=0.0)
    convicts = decibans(rulebook, "metal-poisoning", copper_mg_l=0.1)
    assert -SLIGHT <= cleared < 0.0 < STRONG <= convicts


def test_good_oxygen_at_noon_does_not_clear_the_night(rulebook: Rulebook) -> None:
    """5. Oxygen is back by noon (Meyer and Barclay 1990, table 3.1: deaths at night and before
    sunrise).
    """
    found = beliefs(rulebook, oxygen_mg_l=8.0, death_time="dawn", at_surface="present")
    assert found.first.mechanism == "suffocation"


def test_no_chlorine_the_next_day_does_not_clear_an_untreated_change(rulebook: Rulebook) -> None:
    """5. A pulse is gone before it is measured: agencies find no agent and go by circumstance
    (Kansas Department of Wildlife and Parks, fish kills).
    """
    found = beliefs(
        rulebook,
        chlorine_mg_l=0.0,
        conditioner_use="never",
        water_source="tap",
        did_water_change="present",
        hours_from_water_change=5,
        death_shape="all_at_once",
    )
    assert found.first.cause == "chlorine-in-tap"


def test_a_little_copper_already_speaks_for_it(rulebook: Rulebook) -> None:
    """6. 0.015 to 0.05 mg/L killed sea urchins, far below what harms fish (Wynne, LaDouceur, Ryan
    2015, J. Zoo Wildl. Med. 46(3)).
    """
    assert decibans(rulebook, "metal-poisoning", copper_mg_l=0.033) >= MODERATE
    found = beliefs(rulebook, copper_mg_l=0.033, metal_in_water="present", death_shape="burst")
    assert found.first.cause == "copper-or-metal"


def test_the_right_hardness_is_not_yet_the_right_salts(rulebook: Rulebook) -> None:
    """7. Small crustaceans died in remade water of the usual hardness until bromide and other salts
    were put right (Smith and others 1997, Environ. Toxicol. Chem. 16:1229; Borgmann 1996).
    """
    moults: dict[str, str | float] = {
        "gh_dgh": 7.0,
        "gh_below_range_dgh": 0.0,
        "died_at_moult": "present",
        "death_shape": "trickle",
    }
    remade = beliefs(rulebook, water_source="remineralised", **moults)
    tap = beliefs(rulebook, water_source="tap", **moults)
    assert remade.first.cause == "missing-ions"
    assert "missing-ions" not in first_three(tap)


def test_it_never_harmed_before_is_no_evidence(rulebook: Rulebook) -> None:
    """8. Routines that had always been harmless killed once the supplier changed its disinfectant
    (published case histories; read in summary only). Conditioner as always does not outweigh works
    on the mains and neighbours' containers dying.
    """
    found = beliefs(
        rulebook,
        conditioner_use="always",
        water_source="tap",
        did_water_change="present",
        hours_from_water_change=8,
        did_supplier_works="present",
        other_containers="also_dying",
        death_shape="all_at_once",
    )
    assert found.first.cause == "tap-water-changed"


def test_no_change_in_the_log_does_not_exclude_new_water(rulebook: Rulebook) -> None:
    """9. New water came in by a float valve and by backflow when nobody had changed any (published
    case histories; read in summary only): chlorine that was measured counts for more than a log
    without a change, and a top-up brings it too.
    """
    measured = beliefs(
        rulebook, chlorine_mg_l=0.5, did_water_change="absent", death_shape="all_at_once"
    )
    assert measured.first.mechanism == "chlorine-burn"
    topped_up = beliefs(
        rulebook,
        did_topup="present",
        hours_from_topup=6,
        conditioner_use="never",
        water_source="tap",
        racing="present",
        death_shape="all_at_once",
    )
    assert topped_up.first.cause == "chlorine-in-tap"


def test_nitrite_below_an_infection_is_shown_with_it(rulebook: Rulebook) -> None:
    """10. Bacterial ulcers came after weeks of nitrite, and both needed an answer (high mortality
    in zebrafish 1999, Contemp. Top. Lab. Anim. Sci. 38(3)).
    """
    found = diagnose(
        rulebook,
        told(
            nitrite_mg_l=3.0,
            container_age_days=42,
            rust_spots="present",
            pink_opaque="present",
            death_shape="trickle",
        ),
    )
    shown = [found.beliefs.first, *found.also_at_work]
    assert {s.mechanism for s in shown} >= {"infection", "nitrite-poisoning"}


def test_what_rotted_and_what_it_did_are_told_apart(rulebook: Rulebook) -> None:
    """10. Low oxygen does not end the inquiry: what lies behind it may be elsewhere (Meyer and
    Barclay 1990, page 16).
    """
    found = beliefs(
        rulebook, plants_melting="present", at_surface="present", oxygen_mg_l=1.5, planting="dense"
    )
    assert found.first.mechanism == "suffocation"
    assert {"planting-died-back", "decay-oxygen-crash"} & set(first_three(found))


def test_a_rescue_that_fails_does_not_exclude_a_poison(rulebook: Rulebook) -> None:
    """11. Of lobsters that had left a bath of insecticide and were put in clean water, a third to a
    half lived (Abgrall and others 2000, Aquaculture 181:1).
    """
    poisoned: dict[str, str | float] = {
        "did_new_plants": "present",
        "twitching": "present",
        "snails_state": "fine",
    }
    before = beliefs(rulebook, **poisoned)
    after = beliefs(rulebook, change_helped="no", **poisoned)
    assert before.first.cause == after.first.cause == "insecticide"
    for mechanism in ("nerve-poisoning", "metal-poisoning", "chemical-poisoning"):
        assert decibans(rulebook, mechanism, change_helped="no") > -SLIGHT, mechanism


def test_snails_that_live_do_not_exclude_heat(rulebook: Rulebook) -> None:
    """12. Snails lived through 40 C that killed the rest (published case histories; read in summary
    only).
    """
    found = beliefs(
        rulebook,
        snails_state="fine",
        temperature_max_c=40,
        heat_above_range_c=14,
        death_shape="all_at_once",
    )
    assert found.first.cause == "overheating"


def test_other_containers_may_be_spared_by_their_plumbing(rulebook: Rulebook) -> None:
    """12. Fish on another pipe lived while those on chlorinated water died (published case
    histories; read in summary only): a jar from another bucket proves little.
    """
    found = beliefs(
        rulebook,
        other_containers="fine",
        conditioner_use="missed",
        water_source="tap",
        did_water_change="present",
        hours_from_water_change=4,
        death_shape="all_at_once",
    )
    assert found.first.cause == "chlorine-in-tap"


def test_shrimp_that_live_do_not_exclude_the_gas_that_killed_the_fish(rulebook: Rulebook) -> None:
    """12. Fish died of carbon dioxide while the shrimp beside them showed nothing (common practice,
    no source: keepers' reports).
    """
    found = beliefs(
        rulebook,
        fish_kept="present",
        fish_state="dead",
        survivors_normal="present",
        co2_feed="on",
        did_co2_start="present",
        hours_from_co2_start=12,
    )
    assert found.first.cause == "co2-excess"


def test_snails_and_fish_dying_too_argues_against_a_shrimp_disease(rulebook: Rulebook) -> None:
    """13. A crayfish plague was ruled out because other animals lay dead as well (Sherston Avon
    1998, Environment Agency statements as reported).
    """
    alone = beliefs(rulebook, pink_opaque="present", death_shape="burst")
    together = beliefs(
        rulebook,
        pink_opaque="present",
        death_shape="burst",
        snails_state="dead",
        fish_kept="present",
        fish_state="dead",
    )
    for disease in ("bacterial-infection", "imported-disease", "muscle-disease"):
        assert together.of(disease).belief < alone.of(disease).belief, disease


def test_only_shrimp_dying_does_not_prove_a_disease(rulebook: Rulebook) -> None:
    """13. Insecticides take arthropods and leave the rest (bifenthrin and grass shrimp 2008; the
    same Sherston Avon case, in which insecticide was found).
    """
    found = beliefs(
        rulebook,
        death_shape="all_at_once",
        snails_state="fine",
        fish_kept="present",
        fish_state="fine",
    )
    assert found.first.cause == "insecticide"
    diseases = ("bacterial-infection", "imported-disease", "muscle-disease")
    assert all(found.of(name).belief < found.first.belief / 4.0 for name in diseases)


def test_what_feeds_on_a_body_is_weak_evidence_of_why_it_died(rulebook: Rulebook) -> None:
    """14. Ciliates, gregarines and second infections were found in bodies that something else had
    killed (Vermeersch and others, Dis. Aquat. Org., for bacteria in dead muscle; the rest read in
    summary only).
    """
    for scavenged in ({"bodies": "eaten"}, {"bodies": "eaten", "hydra_planaria": "present"}):
        found = beliefs(rulebook, death_shape="single", **scavenged)
        assert found.of("predation").belief < 0.2
        assert found.of("imported-disease").belief < 0.05
    lain = beliefs(rulebook, cotton_tufts="present", did_death_unnoticed="present")
    fresh = beliefs(rulebook, cotton_tufts="present")
    assert lain.of("fungus-on-wounds").score < fresh.of("fungus-on-wounds").score - SLIGHT


def test_two_living_explanations_are_both_shown(rulebook: Rulebook) -> None:
    """15. Where investigators disputed a kill to the end, two causes stood (a contested published
    case; read in summary only): the cat's flea drops, and the conditioner that was forgotten.
    """
    found = diagnose(
        rulebook,
        told(
            did_pet_treatment="present",
            hours_from_pet_treatment=24,
            did_water_change="present",
            hours_from_water_change=5,
            conditioner_use="missed",
            water_source="tap",
            death_shape="all_at_once",
            twitching="present",
            racing="present",
        ),
    )
    shown = {found.beliefs.first.cause, *(s.cause for s in found.also_at_work)}
    assert shown >= {"insecticide", "chlorine-in-tap"}
    assert found.beliefs.first.belief < 0.95


def test_want_of_minerals_takes_one_now_and_then_not_all_at_once(rulebook: Rulebook) -> None:
    """16. The Merck table writes sudden death under behaviour and no acute mortality beside it: it
    means single animals, over time (Merck Veterinary Manual, environmental diseases of fish, lack
    of minerals).
    """
    soft: dict[str, str | float] = {
        "gh_dgh": 0.7,
        "gh_below_range_dgh": 5.3,
        "water_source": "mineral_free",
    }
    belief = {
        shape: beliefs(rulebook, death_shape=shape, **soft).of("too-soft").belief
        for shape in ("single", "trickle", "all_at_once")
    }
    assert belief["single"] > 0.3 and belief["trickle"] > 0.3
    assert belief["all_at_once"] < 0.15
