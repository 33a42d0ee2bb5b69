"""What the container model makes of things nobody measured, as observations with a band.

Only where the model knows what drives the thing: without the hours of sun it says nothing of the
day's swing, and where something rots that nobody weighed it says nothing of ammonia. Importing this
module imports numpy.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from datetime import datetime
from typing import TYPE_CHECKING, Final

from diagnose.bowl.bands import Band
from diagnose.bowl.description import BowlError
from diagnose.bowl.estimates import estimates
from diagnose.bowl.likelihood import weigh
from diagnose.bowl.modelled import ModelledCase
from diagnose.bowl.parameters import Range
from diagnose.bowl.routine import with_habits
from diagnose.bowl.simulate import simulate
from diagnose.findings.modelled_case import from_case
from diagnose.findings.observation import Observation

if TYPE_CHECKING:
    from diagnose.intake.case import Case
    from diagnose.intake.names import Term
    from diagnose.rulebook.terms import Species

#: Members are drawn from this seed: the same case gives the same estimates.
SEED: Final = 20260226
MEMBERS: Final = 60
#: Days before the asking that are modelled, more where the first death lies further back; before
#: that the container is taken to have been under its usual care. More days take more time, and ten
#: are enough to forget how the run began. A young container has had no usual care: it is modelled
#: from its first day.
DAYS_BACK, DAYS_BEFORE_DEATH, MOST_DAYS_BACK = 10, 5, 12
YOUNG_DAYS: Final = 42.0
HOURS_PER_DAY: Final = 24
#: A model that meets the readings no better than this (errors, root mean square) does not know what
#: goes on in this container, and is not heard.
WORST_MISFIT: Final = 3.0

#: What each estimate replaces: known already, it is not made.
REPLACES: Final[dict[str, tuple[str, ...]]] = {
    "oxygen_dawn_mg_l": ("oxygen_dawn_mg_l",),
    "temperature_max_c": ("temperature_max_c",),
    "temperature_min_c": ("temperature_min_c",),
    "temperature_swing_c": ("temperature_swing_c",),
    "tan_mg_l": ("tan_mg_l", "nh3_mg_l"),
    "nh3_mg_l": ("tan_mg_l", "nh3_mg_l"),
    "nh3_peak_mg_l": ("tan_mg_l", "nh3_mg_l"),
    "nitrite_mg_l": ("nitrite_mg_l",),
    "solids_rise_percent": ("solids_rise_percent",),
}
#: What must have been told before an estimate says anything, by the adapter's names.
NEEDS: Final[dict[str, tuple[str, ...]]] = {
    "temperature_max_c": ("sun", "room"),
    "temperature_min_c": ("sun", "room"),
    "temperature_swing_c": ("sun",),
    "solids_rise_percent": ("changes", "top-up", "age"),
}
WARMTH: Final = ("temperature_max_c", "temperature_min_c", "temperature_swing_c")
NITROGEN: Final = ("tan_mg_l", "nh3_mg_l", "nh3_peak_mg_l", "nitrite_mg_l")
#: Events of untold size that drive warmth.
DRIVE_WARMTH: Final = ("heat-wave", "cold-spell", "faulty-heater")
#: Signs that something rots, which nobody weighed: what was seen speaks, not the model.
ROT_SIGNS: Final = ("foul_smell", "egg_smell", "plants_melting", "algae_dying")
ROT_EVENTS: Final = ("algaecide", "medicine", "substrate-stirred", "new-substrate")
#: States of other animals of which a body may lie in the water.
BODIES_OF_OTHERS: Final = ("dead", "dying", "gone")
#: The model knows no other source of minerals than the tap.
MINERAL_SUBSTRATES: Final = ("soil", "limestone")


@dataclass(frozen=True, slots=True)
class Estimated:
    """Estimates as observations, and what was assumed for them; none with the reason why not."""

    observations: tuple[Observation, ...]
    assumed: tuple[str, ...]
    reason: str = ""


def estimated(
    case: Case,
    known: Mapping[str, Observation],
    vocabulary: Mapping[str, Term],
    species: Species,
    ranges: Mapping[str, Range],
    *,
    now: datetime,
    seed: int = SEED,
    members: int = MEMBERS,
) -> Estimated:
    """Estimates of everything worth knowing that `known` lacks and the case allows.

    Oxygen and warmth are of the day before the first death (before the asking, where nobody is
    told to have died), ammonia, nitrite and minerals of the time of asking; the peak of ammonia is
    since the last feed or death. Ammonia and nitrite are as N.
    """
    wanted = [name for name in REPLACES if name in vocabulary and not _known(name, known)]
    if not wanted:
        return Estimated((), ())
    found = from_case(case, species, now=now, days_back=_days_back(case, now))
    if not isinstance(found, ModelledCase):
        return Estimated((), (), found.reason)
    wanted = [name for name in wanted if _can_say(name, case, found)]
    if not wanted:
        return Estimated((), (), "What drives the water was not told.")
    try:
        return _run(found, wanted, ranges, seed, members)
    except BowlError as odd:
        return Estimated((), (), str(odd))


def _known(name: str, known: Mapping[str, Observation]) -> bool:
    return any(other in known for other in REPLACES[name])


def _days_back(case: Case, now: datetime) -> int:
    from diagnose.findings.timeline import timeline_of

    age = case.container.age_days
    if age is not None and age <= YOUNG_DAYS:
        return max(math.ceil(age), 1)
    timeline = timeline_of(case, now)
    if timeline.first_death is None:
        return DAYS_BACK
    ago = (timeline.hours_ago(timeline.first_death) or 0.0) / HOURS_PER_DAY
    return min(max(DAYS_BACK, round(ago) + DAYS_BEFORE_DEATH), MOST_DAYS_BACK)


def _can_say(name: str, case: Case, found: ModelledCase) -> bool:
    if not found.untold.isdisjoint(NEEDS.get(name, ())):
        return False
    if name in WARMTH:
        return found.forced.isdisjoint(DRIVE_WARMTH)
    if name in NITROGEN and case.container.substrate == "soil":
        return False
    if name == "solids_rise_percent":
        return case.container.substrate not in MINERAL_SUBSTRATES
    if name in NITROGEN or name == "oxygen_dawn_mg_l":
        return not _rots_unweighed(case)
    return True


def _rots_unweighed(case: Case) -> bool:
    """Whether something rots that nobody weighed: by sight, by what was done, or a body that was
    perhaps no shrimp's.
    """
    if any(sign in case.seen for sign in ROT_SIGNS):
        return True
    happened = {event.what for event in case.events}
    if not happened.isdisjoint(ROT_EVENTS):
        return True
    others = case.stock.others
    return any(other.state in BODIES_OF_OTHERS for other in others) or (
        "death-unnoticed" in happened and bool(others)
    )


def _run(
    found: ModelledCase,
    wanted: Iterable[str],
    ranges: Mapping[str, Range],
    seed: int,
    members: int,
) -> Estimated:
    drawn = found.members(ranges, seed, members)
    events = with_habits(
        found.bowl, found.events, found.first_hour, 1, found.silent, (found.log_from_hour, 0)
    )
    run = simulate(found.bowl, events, found.first_hour, 1, drawn)
    weighting = weigh(run, found.readings)
    if weighting.best_misfit > WORST_MISFIT:
        return Estimated((), (), "The container model does not meet what was measured.")
    death = found.first_death_hour
    # The day before the first death, or the first whole day of the run where that lies before it.
    then = 0 if death is None else max(death, found.first_hour + HOURS_PER_DAY)
    now = estimates(run, events, 0, weighting.weights)
    before = estimates(run, events, min(then, 0), weighting.weights)
    measured = len(found.readings)
    with_what = f", weighed by {measured} readings" if measured else ""
    observations = []
    for name in wanted:
        of_then = name in WARMTH or name == "oxygen_dawn_mg_l"
        band = (before if of_then else now)[name]
        at = "the day before the first death" if of_then and death is not None else "today"
        because = f"container model, {at}{with_what}"
        observations.append(Observation(name, band[1], "estimated", because, _plain(band)))
    return Estimated(tuple(observations), found.assumed)


def _plain(band: Band) -> Band:
    low, middle, high = band
    return max(low, 0.0), max(middle, 0.0), max(high, 0.0)
