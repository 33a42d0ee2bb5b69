"""Sums about oxygen, carbon dioxide and warmth."""

from __future__ import annotations

import math

from diagnose.reasons.setting import Setting
from diagnose.reasons.worked import (
    Bar,
    Worked,
    figure,
    hours,
    litres,
    near,
    percent_of,
    step,
    warmth,
)
from diagnose.water import carbonate, heat, mixing, oxygen

WARM_STEPS_C = (16.0, 20.0, 24.0, 28.0, 32.0)
#: A patch of sun on the glass, W that end up in the water (from memory: a hand's breadth squared at
#: several hundred watts a square metre).
SUN_PATCH_W = 8.0
SMALL_L, LARGE_L = 2.0, 8.0
DEPTHS_CM = (8.0, 15.0, 25.0, 35.0)
CM_PER_M, HOURS_PER_DAY = 100.0, 24.0
#: Water straight from a cold pipe in winter, °C (common practice, no source).
COLD_PIPE_C = 8.0
SHARES = (0.1, 0.25, 0.5, 0.8)
#: A drop within the hour that is safe (common practice, no source).
SAFE_STEP_C = 2.0
#: Steps nearer than this to one's own are left out of a drawing.
PH_APART, WARM_APART_C = 0.25, 1.5
PH_STEPS = (6.0, 6.4, 6.8, 7.2, 7.6)
#: Free carbon dioxide above which shrimp slow down, mg/L (common practice, no source).
NUMBING_CO2_MG_L = 35.0


def air_in_warm_water(at: Setting) -> Worked:
    """How much oxygen full water holds, by temperature."""
    held = {
        t: oxygen.saturation_mg_l(t) for t in near(WARM_STEPS_C, at.temperature_c, WARM_APART_C)
    }
    cool, hot = oxygen.saturation_mg_l(WARM_STEPS_C[1]), oxygen.saturation_mg_l(WARM_STEPS_C[-1])
    return Worked(
        "air-in-warm-water",
        "Warm water holds less air",
        (
            f"Full of air, water of {warmth(at.temperature_c, at.prefer)} holds "
            f"{figure(held[at.temperature_c])} mg/L of oxygen.",
            f"From {warmth(WARM_STEPS_C[1], at.prefer)} to {warmth(WARM_STEPS_C[-1], at.prefer)} "
            f"it loses {percent_of(1 - hot / cool)} of that, just when all that lives in it "
            "breathes "
            "faster.",
        ),
        tuple(
            Bar(warmth(t, at.prefer), value, f"{figure(value)} mg/L", t == at.temperature_c)
            for t, value in held.items()
        ),
        "Benson and Krause, as used by the USGS 2011, published",
    )


def still_night(at: Setting) -> Worked:
    """How long a still surface takes to make up half of what is missing, by depth."""
    velocity_m_d = oxygen.transfer_velocity_m_d(at.temperature_c)

    def half_h(depth_cm: float) -> float:
        return math.log(2.0) * depth_cm / CM_PER_M / velocity_m_d * HOURS_PER_DAY

    mine = half_h(at.depth_cm)
    return Worked(
        "still-night",
        "How slowly still water fills up with air",
        (
            f"At {warmth(at.temperature_c, at.prefer)} a still, open surface over "
            f"{figure(at.depth_cm)} cm of water needs at least {hours(mine)} to make up half of "
            "the "
            "oxygen that is missing.",
            "All that lives in it uses oxygen through the whole night. Moved water fills up "
            "faster, "
            "so air is the first help.",
        ),
        tuple(
            Bar(f"{figure(d)} cm deep", half_h(d), hours(half_h(d)), d == at.depth_cm)
            for d in near(DEPTHS_CM, at.depth_cm)
        ),
        "Cole and Caraco 1998 (at second hand); a lake in no wind, so a bowl is slower still",
    )


def warm_and_cool(at: Setting) -> Worked:
    """How fast the same patch of sun warms little water and much."""
    rates = {v: heat.warming_c_per_h(SUN_PATCH_W, v) for v in near((SMALL_L, LARGE_L), at.volume_l)}
    small = heat.warming_c_per_h(SUN_PATCH_W, SMALL_L)
    large = heat.warming_c_per_h(SUN_PATCH_W, LARGE_L)
    return Worked(
        "warm-and-cool",
        "Little water swings fast",
        (
            f"A patch of sun that puts {figure(SUN_PATCH_W)} watts into the water warms "
            f"{litres(at.volume_l, at.prefer)} by {step(rates[at.volume_l], at.prefer)} in the "
            "first "
            "hour.",
            f"{litres(SMALL_L, at.prefer)} swing {figure(small / large)} times as fast as "
            f"{litres(LARGE_L, at.prefer)}: the heat is the same, the water to share it is not. "
            "They "
            "cool as fast when the sun goes.",
        ),
        tuple(
            Bar(
                litres(v, at.prefer),
                rate,
                f"{step(rate, at.prefer)} an hour",
                v == at.volume_l,
            )
            for v, rate in rates.items()
        ),
        "heat that water stores: handbook value from memory; losses left out",
    )


def cold_bucket(at: Setting) -> Worked:
    """How far a share of cold water cools the whole."""
    ends = {
        share: mixing.after_change(at.temperature_c, COLD_PIPE_C, share)
        for share in near(SHARES, at.change_share)
    }
    mine = ends[at.change_share]
    safe = mixing.share_for_target(
        at.temperature_c, COLD_PIPE_C, max(COLD_PIPE_C, at.temperature_c - SAFE_STEP_C)
    )
    return Worked(
        "cold-bucket",
        "A bucket of cold water",
        (
            f"Change {percent_of(at.change_share)} of {litres(at.volume_l, at.prefer)} for water "
            "of "
            f"{warmth(COLD_PIPE_C, at.prefer)}, and {warmth(at.temperature_c, at.prefer)} becomes "
            f"{warmth(mine, at.prefer)} within minutes.",
            f"To stay within {step(SAFE_STEP_C, at.prefer)} no more than {percent_of(safe)} of "
            "such "
            "water may go in. Warm it first.",
        ),
        tuple(
            Bar(
                f"{percent_of(share)} changed",
                abs(at.temperature_c - end),
                f"{step(abs(at.temperature_c - end), at.prefer)} step",
                share == at.change_share,
            )
            for share, end in ends.items()
        ),
        "mixing of heat; cold tap water: common practice, no source",
    )


def co2_and_ph(at: Setting) -> Worked:
    """How much free carbon dioxide a pH stands for, at this alkalinity."""
    free = {
        ph: carbonate.free_co2_mg_l(at.kh_dkh, ph, at.temperature_c)
        for ph in near(PH_STEPS, at.ph, PH_APART)
    }
    rest = carbonate.co2_air_equilibrium_mg_l(at.temperature_c)
    limit_ph = carbonate.ph_at_co2(at.kh_dkh, NUMBING_CO2_MG_L, at.temperature_c)
    return Worked(
        "co2-and-ph",
        "What the pH tells about the gas",
        (
            f"At {figure(at.kh_dkh)} degrees of alkalinity pH {figure(at.ph)} means about "
            f"{figure(free[at.ph])} mg/L of carbon dioxide. Air alone leaves {figure(rest)} mg/L.",
            f"Near {figure(NUMBING_CO2_MG_L)} mg/L shrimp slow down. Here that is pH "
            f"{figure(limit_ph)}, if nothing else makes the water sour.",
        ),
        tuple(
            Bar(f"pH {figure(ph)}", value, f"{figure(value)} mg/L", ph == at.ph)
            for ph, value in free.items()
        ),
        "Plummer and Busenberg 1982 (as found in public codes); where harm starts: common practice",
    )
