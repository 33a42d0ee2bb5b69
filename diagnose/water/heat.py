"""Warmth that water stores: why little water swings more than much."""

from __future__ import annotations

from typing import Final

from diagnose.water.limits import within

#: Heat that one litre of fresh water takes up per degree [kJ/(L K)], at 20 °C and sea level (from
#: memory of handbook tables: 4.18 kJ/(kg K) and 0.998 kg/L).
KJ_PER_LITRE_K: Final = 4.17
KJ_PER_WATT_HOUR: Final = 3.6


def warming_c_per_h(power_w: float, volume_l: float) -> float:
    """How fast water warms while heat goes in and none goes out.

    dT/dt = P / (c V)

    Parameters
    ----------
    power_w : float
        Heat that goes into the water [W]; negative when it loses heat.
    volume_l : float
        Water [L].

    Returns
    -------
    float
        Rise of temperature [°C/h].

    Limits
    ------
    -10 000 to 10 000 W, 0.05 to 10 000 L. Losses to the room are left out, so it holds for the
    first minutes only; for a whole day use the container model.

    Examples
    --------
    Ten watts on two litres and on eight: four times as fast.

    >>> round(warming_c_per_h(10, 2), 2), round(warming_c_per_h(10, 8), 2)
    (4.32, 1.08)
    """
    within("heat", power_w, -10_000.0, 10_000.0, "W")
    within("volume", volume_l, 0.05, 10_000.0, "L")
    return power_w * KJ_PER_WATT_HOUR / (KJ_PER_LITRE_K * volume_l)
