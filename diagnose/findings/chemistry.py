"""What the chemistry makes of the numbers, and how far they lie outside the species' range.

Nothing is guessed: where a number is missing, what hangs on it stays unknown.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from typing import TYPE_CHECKING

from diagnose.findings.observation import Observation, Origin, observed
from diagnose.findings.readings import Sample, latest, nearest
from diagnose.findings.timeline import HOURS_PER_DAY, Timeline
from diagnose.intake.rough import image
from diagnose.water.limits import OutOfRange

if TYPE_CHECKING:
    from diagnose.findings.density import SpeciesProfile
    from diagnose.intake.case import Case

Known = Mapping[str, Observation]

#: pH and temperature belong to another reading if taken within two days of it.
SAME_WATER_H = 2 * HOURS_PER_DAY
#: A single temperature speaks of the first death only if taken within a day of it.
SAME_DAY_H = HOURS_PER_DAY
#: New water that much warmer or colder leaves the container at a temperature nobody read, degC.
MIXED_WATER_STEP_C = 3.0
#: Below this alkalinity, and over plant soil, acids other than carbonic hold the pH and alkalinity
#: tells nothing of the gas (common practice, no source).
LEAST_CARBONATE_DKH = 0.5
#: Range of the species, observation it is held against, and the names of too little and too much.
_RANGES = (
    ("ph", "ph", "ph_below_range", "ph_above_range"),
    ("gh_dgh", "gh_dgh", "gh_below_range_dgh", "gh_above_range_dgh"),
    ("kh_dkh", "kh_dkh", None, "kh_above_range_dkh"),
)


def solids_from_conductivity(case: Case, timeline: Timeline) -> list[Observation]:
    """Dissolved solids from the latest conductivity, by the usual factor of meters."""
    sample = latest(case, timeline, "conductivity")
    solids = None if sample is None else conductivity_as_solids(sample.value)
    if sample is None or solids is None:
        return []
    return [
        observed(
            "solids_mg_l",
            solids,
            "derived",
            f"from the conductivity; {sample.because}",
            statement=sample.statement,
        )
    ]


def conductivity_as_solids(us_cm_25: float) -> float | None:
    """Dissolved solids [mg/L] from conductivity at 25 degC; None beyond the formula's limits."""
    from diagnose.water.conductivity import dissolved_solids_mg_l

    try:
        return image(dissolved_solids_mg_l, us_cm_25)
    except OutOfRange:
        return None


def chemistry_observations(case: Case, timeline: Timeline, known: Known) -> list[Observation]:
    """Un-ionised ammonia, oxygen against saturation and free carbon dioxide.

    known: what was told, measured and derived so far. pH and temperature are taken from the
    readings nearest in time to the one that needs them, else as told.
    """
    found = [
        _unionised_ammonia(case, timeline, known),
        *_oxygen(case, timeline, known),
        _carbon_dioxide(case, timeline, known),
    ]
    return [item for item in found if item is not None]


def _unionised_ammonia(case: Case, timeline: Timeline, known: Known) -> Observation | None:
    total = known.get("tan_mg_l")
    if total is None or not isinstance(total.value, float):
        return None
    at = latest(case, timeline, "ammonia")
    if total.value == 0.0:
        return Observation(
            "nh3_mg_l", 0.0, "derived", "no ammonia was measured", statement=total.statement
        )
    ph = _beside(case, timeline, "ph", "ph", at)
    temperature = _beside(case, timeline, "temperature", "temperature_c", at)
    if ph is None or temperature is None:
        return None
    from diagnose.water.ammonia import unionised_ammonia_mg_l

    try:
        value = image(unionised_ammonia_mg_l, _number(total), ph, temperature)
    except OutOfRange:
        return None
    because = f"{total.value:.3g} mg/L total ammonia as N at pH {ph:.3g} and {temperature:.3g} C"
    return observed("nh3_mg_l", value, "derived", because, statement=total.statement)


def _oxygen(case: Case, timeline: Timeline, known: Known) -> Iterator[Observation]:
    from diagnose.water.oxygen import STANDARD_PRESSURE_MMHG, pressure_mmhg_at, saturation_mg_l

    amount, share = known.get("oxygen_mg_l"), known.get("oxygen_percent")
    if amount is None and share is None:
        return
    at = latest(case, timeline, "oxygen" if amount is not None else "oxygen_percent")
    temperature = _beside(case, timeline, "temperature", "temperature_c", at)
    if temperature is None:
        return
    height = case.container.altitude_m
    try:
        pressure = STANDARD_PRESSURE_MMHG if height is None else pressure_mmhg_at(height)
        saturation = image(lambda warmth: saturation_mg_l(warmth, pressure), temperature)
    except OutOfRange:
        return
    if share is None and amount is not None and isinstance(amount.value, float):
        because = f"{amount.value:.3g} mg/L of {saturation:.3g} mg/L at {temperature:.3g} C"
        percent = image(lambda oxygen, full: 100.0 * oxygen / full, _number(amount), saturation)
        yield observed("oxygen_percent", percent, "derived", because, statement=amount.statement)
    if amount is None and share is not None and isinstance(share.value, float):
        because = f"{share.value:.3g} % of {saturation:.3g} mg/L at {temperature:.3g} C"
        value = image(lambda part, full: part / 100.0 * full, _number(share), saturation)
        yield observed("oxygen_mg_l", value, "derived", because, statement=share.statement)


def _carbon_dioxide(case: Case, timeline: Timeline, known: Known) -> Observation | None:
    alkalinity = known.get("kh_dkh")
    if alkalinity is None or not isinstance(alkalinity.value, float):
        return None
    if alkalinity.value < LEAST_CARBONATE_DKH or case.container.substrate == "soil":
        return None
    sample = latest(case, timeline, "ph")
    told = known.get("ph")
    ph = sample.value if sample is not None else told.said if told is not None else None
    temperature = _beside(case, timeline, "temperature", "temperature_c", sample)
    if not isinstance(ph, float) or temperature is None:
        return None
    from diagnose.water.carbonate import free_co2_mg_l

    try:
        value = image(free_co2_mg_l, _number(alkalinity), ph, temperature)
    except OutOfRange:
        return None
    because = f"KH {alkalinity.value:.3g}, pH {ph:.3g} and {temperature:.3g} C"
    return observed("co2_mg_l", value, "derived", because, statement=alkalinity.statement)


def _beside(
    case: Case, timeline: Timeline, what: str, name: str, at: Sample | None
) -> float | None:
    """The value of a reading in the same water at the same time; else what was told."""
    hours_ago = at.hours_ago if at is not None else 0.0
    found = nearest(case, timeline, what, hours_ago, SAME_WATER_H)
    if found is not None:
        return found.value
    told = case.told.get(name)
    if told is None or isinstance(told, str | bool):
        return None
    return told if isinstance(told, float) else float(told)


def _number(item: Observation) -> float:
    """The number of an observation, with all it may be."""
    said = item.said
    return 0.0 if isinstance(said, str) else said


def range_observations(
    case: Case, timeline: Timeline, known: Known, species: SpeciesProfile
) -> list[Observation]:
    """How far heat, cold, pH, hardness and alkalinity lie outside the comfortable range."""
    found = [*_warmth(case, timeline, known, species)]
    for key, name, below, above in _RANGES:
        item, comfortable = known.get(name), species.comfortable.get(key)
        if item is None or comfortable is None or not isinstance(item.value, float):
            continue
        low, high = comfortable
        because = f"{item.value:.3g} against {low:g} to {high:g}; {item.because}"
        if below is not None:
            short = image(lambda value: max(0.0, low - value), _number(item))  # noqa: B023
            found.append(observed(below, short, "derived", because, statement=item.statement))
        if above is not None:
            over = image(lambda value: max(0.0, value - high), _number(item))  # noqa: B023
            found.append(observed(above, over, "derived", because, statement=item.statement))
    return found


def _warmth(
    case: Case, timeline: Timeline, known: Known, species: SpeciesProfile
) -> Iterator[Observation]:
    comfortable = species.comfortable.get("temperature_c")
    if comfortable is None:
        return
    for name, extreme, warm in (
        ("heat_above_range_c", "temperature_max_c", True),
        ("cold_below_range_c", "temperature_min_c", False),
    ):
        values = {
            item.value: item
            for item in (known.get("temperature_c"), known.get(extreme))
            if item is not None and isinstance(item.value, float)
        }
        if not values:
            continue
        value = max(values) if warm else min(values)
        excess = value - comfortable[1] if warm else comfortable[0] - value
        # One mild hour does not tell how hot or cold another was; only a reading of the day of the
        # first death, or a log, can say that it was never out of range.
        if excess > 0 or extreme in known or _speaks_of_the_day(case, timeline, known):
            low, high = comfortable
            because = f"{value:.3g} C against {low:g} to {high:g} C; {values[value].because}"
            away = image(
                lambda told: max(0.0, told - high if warm else low - told),  # noqa: B023
                _number(values[value]),
            )
            yield observed(
                name, away, _origin(values[value]), because, statement=values[value].statement
            )


def _speaks_of_the_day(case: Case, timeline: Timeline, known: Known) -> bool:
    step = known.get("change_temperature_step_c")
    if step is not None and isinstance(step.value, float) and step.value >= MIXED_WATER_STEP_C:
        return False
    if known["temperature_c"].origin == "told":
        return True
    sample = latest(case, timeline, "temperature")
    if sample is None or timeline.died != "some":
        return sample is not None
    if timeline.first_death is None:
        return False
    first = timeline.hours_ago(timeline.first_death)
    return first is not None and abs(sample.hours_ago - first) <= SAME_DAY_H


def _origin(item: Observation) -> Origin:
    return "estimated" if item.origin == "estimated" else "derived"
