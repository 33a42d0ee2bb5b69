"""Recipes for water: exact balances of mass, with units in the names."""

from __future__ import annotations

from dataclasses import dataclass

from diagnose.water import atomic_weights as atoms
from diagnose.water.ammonia import nh3_from_n_mg_l, unionised_fraction
from diagnose.water.hardness import MG_L_CACO3_PER
from diagnose.water.limits import share, within
from diagnose.water.mixing import after_change, changes_for_target, share_for_target

LARGEST_VOLUME_L = 10_000.0
LARGEST_VALUE = 1e6
MMOL_L_PER_DGH = MG_L_CACO3_PER["dGH"] / atoms.CACO3
#: g/mol of the salts that raise hardness, with their water of crystallisation.
GYPSUM = atoms.CA + atoms.S + 4 * atoms.O + 2 * (2 * atoms.H + atoms.O)
EPSOM_SALT = atoms.MG + atoms.S + 4 * atoms.O + 7 * (2 * atoms.H + atoms.O)
CALCIUM_CHLORIDE_DIHYDRATE = atoms.CA + 2 * atoms.CL + 2 * (2 * atoms.H + atoms.O)
MG_PER_G = 1000.0
#: What three parts calcium sulfate and one part magnesium sulfate, by moles and without their
#: water of crystallisation, add to dissolved solids for one degree, mg/L.
SALT_MG_PER_DGH_L = MMOL_L_PER_DGH * (0.75 * atoms.CA + 0.25 * atoms.MG + atoms.S + 4 * atoms.O)


@dataclass(frozen=True, slots=True)
class Blend:
    """Two waters poured together: litres of each, and what the whole then holds."""

    first_l: float
    second_l: float
    value: float


@dataclass(frozen=True, slots=True)
class Thinning:
    """What a spill leaves, and the changes that bring it down (all values in mg/L)."""

    spilt_mg_l: float
    changes: int
    share: float
    left_mg_l: float


@dataclass(frozen=True, slots=True)
class Minerals:
    """Salts that raise hardness by a step, g, each alone, and the mixture of three parts calcium
    to one of magnesium by moles. by_label_g: by the product's own label, if told.
    """

    rise_dgh: float
    gypsum_g: float
    calcium_chloride_g: float
    epsom_salt_g: float
    mixed_gypsum_g: float
    mixed_epsom_salt_g: float
    by_label_g: float | None


@dataclass(frozen=True, slots=True)
class FreeAmmonia:
    """The free share (0 to 1) of total ammonia and the free ammonia, mg/L as N and as NH3."""

    ph: float
    temperature_c: float
    free_share: float
    free_n_mg_l: float
    free_nh3_mg_l: float


def blend(first: float, second: float, target: float, volume_l: float) -> Blend:
    """Litres of two waters that together give a volume with a target value.

    V2 = V (target - first) / (second - first). Any conserved quantity: hardness, alkalinity,
    dissolved solids, temperature. Raises OutOfRange where the target is not between the two.

    >>> blend(16, 0, 8, 6)
    Blend(first_l=3.0, second_l=3.0, value=8.0)
    """
    within("volume", volume_l, 1e-6, LARGEST_VOLUME_L, "L")
    part = share_for_target(first, second, target)
    return Blend(volume_l * (1.0 - part), volume_l * part, after_change(first, second, part))


def thinning(
    spilt_mg: float, volume_l: float, limit_mg_l: float, share_new: float, new_mg_l: float = 0.0
) -> Thinning:
    """The changes of an equal share after which a spill is at most at a limit.

    spilt / V, then left = new + (spilt/V - new) (1 - share)^n. What plants, gravel and bodies took
    up is not counted. Raises OutOfRange where the limit is not above the new water's own value.

    >>> thinning(120, 6, 5, 0.5)
    Thinning(spilt_mg_l=20.0, changes=2, share=0.5, left_mg_l=5.0)
    """
    within("amount spilt", spilt_mg, 0.0, LARGEST_VALUE, "mg")
    within("volume", volume_l, 1e-6, LARGEST_VOLUME_L, "L")
    share("share of new water", share_new)
    spilt = spilt_mg / volume_l
    if spilt <= limit_mg_l:
        return Thinning(spilt, 0, share_new, spilt)
    times = changes_for_target(spilt, new_mg_l, share_new, limit_mg_l)
    left = new_mg_l + (spilt - new_mg_l) * (1.0 - share_new) ** times
    return Thinning(spilt, times, share_new, left)


def minerals(
    now_dgh: float,
    target_dgh: float,
    volume_l: float,
    *,
    label_g: float | None = None,
    label_l: float | None = None,
    label_dgh: float | None = None,
) -> Minerals:
    """Salts that raise the hardness of so much water, by stoichiometry: 0.1783 mmol/L a degree.

    The label of a product says: so many g raise so many L by so many degrees. Raises OutOfRange
    where the target lies below what there is.

    >>> round(minerals(0, 6, 10).gypsum_g, 2)
    1.84
    """
    within("volume", volume_l, 1e-6, LARGEST_VOLUME_L, "L")
    within("hardness now", now_dgh, 0.0, LARGEST_VALUE, "dGH")
    within("hardness wanted", target_dgh, now_dgh, 150.0, "dGH")
    rise = target_dgh - now_dgh
    moles = rise * MMOL_L_PER_DGH * volume_l / MG_PER_G
    by_label = None
    if label_g is not None and label_l is not None and label_dgh is not None:
        within("litres on the label", label_l, 1e-6, LARGEST_VOLUME_L, "L")
        within("degrees on the label", label_dgh, 1e-6, 150.0, "dGH")
        by_label = label_g * (volume_l / label_l) * (rise / label_dgh)
    return Minerals(
        rise_dgh=rise,
        gypsum_g=moles * GYPSUM,
        calcium_chloride_g=moles * CALCIUM_CHLORIDE_DIHYDRATE,
        epsom_salt_g=moles * EPSOM_SALT,
        mixed_gypsum_g=0.75 * moles * GYPSUM,
        mixed_epsom_salt_g=0.25 * moles * EPSOM_SALT,
        by_label_g=by_label,
    )


def free_ammonia(tan_mg_l: float, ph: float, temperature_c: float) -> FreeAmmonia:
    """Free ammonia of a total [mg/L as N] at a pH and temperature (Emerson et al. 1975)."""
    part = unionised_fraction(ph, temperature_c)
    within("total ammonia", tan_mg_l, 0.0, 1000.0, "mg/L as N")
    free = tan_mg_l * part
    return FreeAmmonia(ph, temperature_c, part, free, nh3_from_n_mg_l(free))


@dataclass(frozen=True, slots=True)
class ChangeSize:
    """One change of a share (0 to 1, litres if the volume is known), or several of a given share,
    and the value they leave.
    """

    share: float
    litres: float | None
    changes: int
    value: float


def change_for_target(
    old: float,
    new: float,
    target: float,
    *,
    volume_l: float | None = None,
    share_new: float | None = None,
) -> ChangeSize:
    """The water change that brings a conserved value to a target.

    One change of share (target - old) / (new - old); or, if the share is given, as many as are
    needed. Raises OutOfRange where the target does not lie between the two.

    >>> change_for_target(80, 0, 20, volume_l=6)
    ChangeSize(share=0.75, litres=4.5, changes=1, value=20.0)
    >>> change_for_target(80, 0, 20, share_new=0.5).changes
    2
    """
    part = share_for_target(old, new, target) if share_new is None else share_new
    times = 1 if share_new is None else changes_for_target(old, new, share_new, target)
    left = new + (old - new) * (1.0 - part) ** times
    return ChangeSize(part, None if volume_l is None else volume_l * part, times, left)
