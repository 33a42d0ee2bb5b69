"""The sum about current that leaks into the water."""

from __future__ import annotations

from diagnose.mix.recipes import SALT_MG_PER_DGH_L
from diagnose.reasons.setting import Setting
from diagnose.reasons.worked import Bar, Worked, figure
from diagnose.water.conductivity import us_cm_25_from_dissolved_solids

#: Mains voltage of most countries [V], and a wet body from hand to foot [ohm] (from memory).
MAINS_V, WET_BODY_OHM = 230.0, 1500.0
#: What hurts and what may kill [mA] (hobby page; common practice).
HURTS_MA, MAY_KILL_MA = 10.0, 50.0
MA_PER_A = 1000.0
#: The water between the fault and the hand: a hand's breadth long, and as wide each way [m].
PATH_M = 0.1
US_CM_PER_S_M = 10_000.0


def hand_current_ma(gh_dgh: float) -> float:
    """Current from a fault through a hand's breadth of water and a body, by Ohm's law [mA].

    U / (R body + 1 / (s d)), s the conductivity that the hardness alone gives [S/m], d the path.

    >>> round(hand_current_ma(8.0))
    125
    """
    us_cm = us_cm_25_from_dissolved_solids(gh_dgh * SALT_MG_PER_DGH_L)
    water_ohm = 1.0 / (us_cm / US_CM_PER_S_M * PATH_M)
    return MAINS_V / (WET_BODY_OHM + water_ohm) * MA_PER_A


def current_through_a_hand(at: Setting) -> Worked:
    """What flows through a wet hand at mains voltage, against what hurts and what may kill."""
    flows = hand_current_ma(at.gh_dgh)
    return Worked(
        "current-through-a-hand",
        "Current through a wet hand",
        (
            f"{figure(MAINS_V)} V through a hand's breadth of water of {figure(at.gh_dgh)} dGH and "
            f"a wet body drive {figure(flows)} mA, {figure(flows / MAY_KILL_MA)} times what may "
            "kill.",
        ),
        (
            Bar("hurts", HURTS_MA, f"{figure(HURTS_MA)} mA", False),
            Bar("may kill", MAY_KILL_MA, f"{figure(MAY_KILL_MA)} mA", False),
            Bar("a wet hand", flows, f"{figure(flows)} mA", True),
        ),
        "Ohm's law; resistance and limits from memory",
    )
