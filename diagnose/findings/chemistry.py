"""What chemistry makes of the readings: un-ionised ammonia, oxygen of saturation, free CO2,
distance from the range.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping

from diagnose.findings.observation import Observation, Profile
from diagnose.intake.case import Case
from diagnose.water import ammonia, carbonate, chlorine, oxygen
from diagnose.water.limits import OutOfRange

#: pH below which alkalinity tests catch acids that are not carbonate, so CO2 from them means
#: nothing.
LEAST_KH_FOR_CO2_DKH = 0.5


def chemistry(case: Case, known: Mapping[str, Observation]) -> Iterator[Observation]:
    """Quantities that follow from two or three readings; none where one is missing or out of
    range.
    """
    for derive in (_free_ammonia, _oxygen_percent, _free_co2):
        try:
            yield from derive(case, known)
        except OutOfRange:
            continue
    yield from _chlorine_left(case, known)


def _number(known: Mapping[str, Observation], name: str) -> float | None:
    found = known.get(name)
    return found.value if found is not None and isinstance(found.value, float) else None


def _from(known: Mapping[str, Observation], *names: str) -> str:
    return "; ".join(known[name].because for name in names)


def _free_ammonia(case: Case, known: Mapping[str, Observation]) -> Iterator[Observation]:
    tan, ph, warm = (_number(known, n) for n in ("tan_mg_l", "ph", "temperature_c"))
    if tan is not None and ph is not None and warm is not None:
        value = ammonia.unionised_ammonia_mg_l(tan, ph, warm)
        because = f"from total ammonia, pH and temperature: {_from(known, 'tan_mg_l', 'ph')}"
        yield Observation("nh3_mg_l", value, "derived", because)


def _oxygen_percent(case: Case, known: Mapping[str, Observation]) -> Iterator[Observation]:
    found, warm = (_number(known, n) for n in ("oxygen_mg_l", "temperature_c"))
    if found is not None and warm is not None:
        pressure = oxygen.pressure_mmhg_at(case.container.altitude_m or 0.0)
        value = oxygen.percent_saturation(found, warm, pressure)
        because = _from(known, "oxygen_mg_l", "temperature_c")
        yield Observation("oxygen_percent", value, "derived", because)


def _free_co2(case: Case, known: Mapping[str, Observation]) -> Iterator[Observation]:
    kh, ph, warm = (_number(known, n) for n in ("kh_dkh", "ph", "temperature_c"))
    if kh is not None and kh >= LEAST_KH_FOR_CO2_DKH and ph is not None and warm is not None:
        value = carbonate.free_co2_mg_l(kh, ph, warm)
        because = f"from alkalinity, pH and temperature: {_from(known, 'kh_dkh', 'ph')}"
        yield Observation("co2_mg_l", value, "derived", because)


def _chlorine_left(case: Case, known: Mapping[str, Observation]) -> Iterator[Observation]:
    share = _number(known, "untreated_share_percent")
    tap = [r for r in case.readings if r.what == "chlorine" and r.where in ("tap", "new_water")]
    if share is not None and tap:
        strongest = max(tap, key=lambda r: r.value)
        value = chlorine.untreated_share_chlorine_mg_l(strongest.value, share / 100.0)
        because = f"tap chlorine {strongest.value:g} mg/L in {share:.0f} % of the water"
        yield Observation("estimated_chlorine_mg_l", value, "derived", because)


#: Reading -> (observation below the range, observation above it); None where nobody asks.
RANGES = {
    "ph": ("ph_below_range", "ph_above_range"),
    "gh_dgh": ("gh_below_range_dgh", "gh_above_range_dgh"),
    "kh_dkh": (None, "kh_above_range_dkh"),
}


def range_distances(species: Profile, known: Mapping[str, Observation]) -> Iterator[Observation]:
    """How far each reading lies outside the species' comfortable range; 0 inside it."""
    comfortable = species.comfortable
    for name, (below, above) in RANGES.items():
        value = _number(known, name)
        if value is None or name not in comfortable:
            continue
        low, high = comfortable[name]
        because = f"{known[name].because}; comfortable {low:g} to {high:g}"
        if below is not None:
            yield Observation(below, max(0.0, low - value), "derived", because)
        yield Observation(above, max(0.0, value - high), "derived", because)
    low, high = comfortable["temperature_c"]
    warm = [n for n in ("temperature_max_c", "temperature_c") if _number(known, n) is not None]
    cold = [n for n in ("temperature_min_c", "temperature_c") if _number(known, n) is not None]
    if warm:
        value = float(known[warm[0]].value)
        because = f"{known[warm[0]].because}; comfortable {low:g} to {high:g} C"
        yield Observation("heat_above_range_c", max(0.0, value - high), "derived", because)
    if cold:
        value = float(known[cold[0]].value)
        because = f"{known[cold[0]].because}; comfortable {low:g} to {high:g} C"
        yield Observation("cold_below_range_c", max(0.0, low - value), "derived", because)
