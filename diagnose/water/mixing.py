"""Mixing waters: changes, top-ups and evaporation.

What is conserved mixes in proportion: hardness, alkalinity, dissolved solids, chloride, nitrogen,
heat. pH is not conserved; `mixed_ph` goes by way of alkalinity and carbon. The balances are
definitions (conservation of mass and of heat), so they carry no citation.
"""

from __future__ import annotations

import math
from collections.abc import Iterable
from dataclasses import dataclass
from typing import Final

from diagnose.water.carbonate import inorganic_carbon_mmol_l, ph_from_inorganic_carbon
from diagnose.water.limits import share, within

LARGEST_VOLUME_L: Final = 10_000.0
LARGEST_VALUE: Final = 1e6
# Below this other buffers and the air decide the pH: an honest figure cannot be given.
# Common practice, no source.
LOWEST_ALKALINITY_FOR_PH_DKH: Final = 0.5
PH_RANGE_FOR_MIXING: Final = (5.5, 9.0)


@dataclass(frozen=True)
class Portion:
    """So many litres of water in which a conserved quantity has one value (any unit)."""

    volume_l: float
    value: float


@dataclass(frozen=True)
class Buffer:
    """What decides the pH of a carbonate water."""

    alkalinity_dkh: float
    ph: float
    temperature_c: float


def _plain(name: str, value: float) -> None:
    within(name, value, -LARGEST_VALUE, LARGEST_VALUE)


def mix(portions: Iterable[Portion]) -> float:
    """Value of a conserved quantity after portions of water are poured together.

    sum(V x) / sum(V)

    Parameters
    ----------
    portions : Iterable[Portion]
        Volumes [L] and values [any one unit]; temperatures in °C mix the same way.

    Returns
    -------
    float
        Value of the mixture [the same unit].

    Limits
    ------
    Each volume 0 to 10 000 L, together more than 0; nothing dissolves, falls out or is eaten.

    Raises
    ------
    OutOfRange
        If a volume is negative or there is no water at all.

    Examples
    --------
    Three litres at 8 dGH and one litre at 4 dGH.

    >>> mix([Portion(3, 8), Portion(1, 4)])
    7.0
    """
    kept = list(portions)
    for portion in kept:
        within("volume", portion.volume_l, 0.0, LARGEST_VOLUME_L, "L")
        _plain("value to be mixed", portion.value)
    volume_l = math.fsum(portion.volume_l for portion in kept)
    within("volume of all portions", volume_l, 1e-6, LARGEST_VOLUME_L, "L")
    # Weights that are normalised first keep the result between the ends even for tiny volumes.
    return math.fsum(portion.value * (portion.volume_l / volume_l) for portion in kept)


def after_change(old: float, new: float, share_new: float) -> float:
    """Value of a conserved quantity after one water change.

    old + share (new - old)

    Parameters
    ----------
    old, new : float
        Value in the container and in the water poured in [any one unit].
    share_new : float
        New water over all water after the change, 0 to 1 [-].

    Returns
    -------
    float
        Value after the change [the same unit].

    Examples
    --------
    >>> after_change(300, 100, 0.5)
    200.0
    """
    share("share of new water", share_new)
    _plain("value in the container", old)
    _plain("value in the new water", new)
    # Both ends are kept exactly, and nothing in between leaves them by rounding.
    return (1.0 - share_new) * old + share_new * new


def share_for_target(old: float, new: float, target: float) -> float:
    """Share of water to change so that one change brings a value to a target.

    (target - old) / (new - old)

    Parameters
    ----------
    old, new : float
        Value in the container and in the water poured in [any one unit].
    target : float
        Value wanted [the same unit].

    Returns
    -------
    float
        New water over all water after the change, 0 to 1 [-].

    Limits
    ------
    The target lies between the two (`OutOfRange` otherwise: no share reaches it).

    Examples
    --------
    >>> share_for_target(300, 100, 250)
    0.25
    """
    _plain("value in the container", old)
    _plain("value in the new water", new)
    within("target", target, min(old, new), max(old, new))
    if target == old:
        return 0.0
    return (target - old) / (new - old)


def after_changes(old: float, new: float, share_new: float, times: int) -> float:
    """Value of a conserved quantity after several equal water changes.

    new + (old - new) (1 - share)^n

    Parameters
    ----------
    old, new : float
        Value in the container and in the water poured in [any one unit].
    share_new : float
        New water over all water at each change, 0 to 1 [-].
    times : int
        How many changes, 0 or more [-].

    Returns
    -------
    float
        Value after the last change [the same unit].

    Examples
    --------
    Two changes of half leave a quarter of what was there.

    >>> after_changes(80, 0, 0.5, 2)
    20.0
    """
    share("share of new water", share_new)
    within("number of changes", times, 0, 100_000)
    _plain("value in the container", old)
    _plain("value in the new water", new)
    return float(new + (old - new) * (1.0 - share_new) ** times)


def changes_for_target(old: float, new: float, share_new: float, target: float) -> int:
    """How many equal water changes bring a value at least to a target.

    n = ceil( ln((target - new) / (old - new)) / ln(1 - share) )

    Parameters
    ----------
    old, new : float
        Value in the container and in the water poured in [any one unit].
    share_new : float
        New water over all water at each change, more than 0 and at most 1 [-].
    target : float
        Value wanted, between old and new but not new itself unless all water is changed.

    Returns
    -------
    int
        Number of changes [-].

    Limits
    ------
    The target lies between the two (`OutOfRange` otherwise).

    Examples
    --------
    >>> changes_for_target(80, 0, 0.5, 20)
    2
    """
    within("share of new water", share_new, 1e-3, 1.0)
    reach = share_for_target(old, new, target)
    if reach == 0.0:
        return 0
    if share_new == 1.0:
        return 1
    within("share of the way to the new water", reach, 0.0, 1.0 - 1e-9)
    # A little slack, so that rounding does not ask for one change more than needed.
    return math.ceil(math.log1p(-reach) / math.log1p(-share_new) - 1e-9)


def concentrate_by_evaporation(
    value: float, volume_before_l: float, volume_after_l: float
) -> float:
    """Concentration after part of the water has evaporated and left its minerals behind.

    x V_before / V_after

    Parameters
    ----------
    value : float
        Concentration before [any unit per volume].
    volume_before_l, volume_after_l : float
        Water before and after [L].

    Returns
    -------
    float
        Concentration after [the same unit].

    Limits
    ------
    Not for gases, for temperature or for pH; nothing falls out. Water left: more than 0 and no
    more than before.

    Examples
    --------
    A fifth of the water gone: 8 dGH become 10.

    >>> concentrate_by_evaporation(8, 5, 4)
    10.0
    """
    within("concentration", value, 0.0, LARGEST_VALUE)
    within("volume before evaporation", volume_before_l, 1e-6, LARGEST_VOLUME_L, "L")
    within("volume after evaporation", volume_after_l, 1e-6, volume_before_l, "L")
    return value * volume_before_l / volume_after_l


def after_top_ups(value: float, top_up_value: float, share_evaporated: float, times: int) -> float:
    """Concentration after evaporated water was replaced several times, each time to the old mark.

    x + n e t: the minerals stay, and each top-up adds its own

    Parameters
    ----------
    value : float
        Concentration at the start, at the mark [any unit per volume].
    top_up_value : float
        Concentration of the water topped up with [the same unit]; 0 for distilled water.
    share_evaporated : float
        Water lost before each top-up, over the volume at the mark, 0 to 1 [-].
    times : int
        How many top-ups, 0 or more [-].

    Returns
    -------
    float
        Concentration at the mark after the last top-up [the same unit].

    Examples
    --------
    Ten top-ups of a tenth with tap water of 8 dGH add one whole fill of it.

    >>> after_top_ups(8, 8, 0.1, 10)
    16.0
    """
    within("concentration", value, 0.0, LARGEST_VALUE)
    within("concentration of the top-up water", top_up_value, 0.0, LARGEST_VALUE)
    share("share evaporated", share_evaporated)
    within("number of top-ups", times, 0, 100_000)
    return value + times * share_evaporated * top_up_value


def settled_by_routine(
    new: float, share_new: float, top_up_value: float, share_evaporated: float
) -> float:
    """Concentration that a steady routine of top-ups and water changes settles at.

    x = new + t e (1 - s) / s, right after a change; in each round a share e evaporates and is
    topped up with t, then a share s is changed for new water

    Parameters
    ----------
    new : float
        Concentration of the change water [any unit per volume].
    share_new : float
        New water over all water at each change, 0.001 to 1 [-].
    top_up_value : float
        Concentration of the water topped up with [the same unit].
    share_evaporated : float
        Water lost between two changes, over the volume at the mark [-]; may exceed 1.

    Returns
    -------
    float
        Concentration right after a change, once it no longer moves [the same unit].

    Examples
    --------
    Half changed weekly, a tenth evaporated in between, all with tap water of 8 dGH.

    >>> round(settled_by_routine(8, 0.5, 8, 0.1), 2)
    8.8
    """
    within("share of new water", share_new, 1e-3, 1.0)
    within("concentration of the change water", new, 0.0, LARGEST_VALUE)
    within("concentration of the top-up water", top_up_value, 0.0, LARGEST_VALUE)
    within("share evaporated", share_evaporated, 0.0, 100.0)
    return new + top_up_value * share_evaporated * (1.0 - share_new) / share_new


def mixed_ph(old: Buffer, new: Buffer, share_new: float) -> float:
    """PH right after two carbonate waters are mixed, before the air has its say [1]_.

    Alkalinity, inorganic carbon and temperature mix in proportion; the pH is the one at which the
    mixed alkalinity holds the mixed carbon.

    Parameters
    ----------
    old, new : Buffer
        Alkalinity [dKH], pH [-] and temperature [°C] of the container and of the water poured in.
    share_new : float
        New water over all water after the change, 0 to 1 [-].

    Returns
    -------
    float
        pH [-]. Within hours it drifts towards what the air and the planting make of it.

    Limits
    ------
    Both waters 0.5 to 25 dKH, pH 5.5 to 9, 0 to 40 °C: with less alkalinity, other buffers (peat,
    soil, phosphate) decide, and `OutOfRange` is raised rather than a figure invented. Within
    0.005 of PHREEQC for sodium-bicarbonate waters (four mixtures tried).

    Examples
    --------
    The mixture lies nearer to the carbon-rich water than the middle of the two pH values.

    >>> round(mixed_ph(Buffer(4, 6.4, 22), Buffer(4, 8.2, 22), 0.5), 2)
    6.7

    References
    ----------
    .. [1] Stumm, W., Morgan, J. J. 1996. Aquatic Chemistry (from memory): alkalinity and total
       carbon are conserved on mixing, pH is not.
    """
    share("share of new water", share_new)
    for water in (old, new):
        within("alkalinity", water.alkalinity_dkh, LOWEST_ALKALINITY_FOR_PH_DKH, 25.0, "dKH")
        within("pH", water.ph, *PH_RANGE_FOR_MIXING)
    carbon = after_change(_carbon_mmol_l(old), _carbon_mmol_l(new), share_new)
    alkalinity_dkh = after_change(old.alkalinity_dkh, new.alkalinity_dkh, share_new)
    temperature_c = after_change(old.temperature_c, new.temperature_c, share_new)
    return ph_from_inorganic_carbon(alkalinity_dkh, carbon, temperature_c)


def _carbon_mmol_l(water: Buffer) -> float:
    return inorganic_carbon_mmol_l(water.alkalinity_dkh, water.ph, water.temperature_c)
