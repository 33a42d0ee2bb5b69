"""The typed objects of the rulebook. Data only: no reading of files and no inference here.

They are named tuples because every start of the command makes all of these classes and some
thousand of their objects: both take a fifth of the time that frozen dataclasses need.

Weights are decibans: ten times the decimal logarithm of a likelihood ratio
(I. J. Good 1985, Weight of evidence: a brief survey, Bayesian Statistics 2:249-270).
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from types import MappingProxyType
from typing import Final, Literal, NamedTuple

TestKind = Literal["in", "known", "rising", "falling", "between", "holds"]
#: What an animal beside the shrimp does to them.
Habit = Literal["harmless", "eats", "unknown"]
#: Which animals a companion counts among.
Kin = Literal[
    "snail",
    "mussel",
    "fish",
    "crustacean",
    "small",
    "worm",
    "flatworm",
    "leech",
    "parasite",
    "shrimp",
    "insect",
    "vertebrate",
]
#: Between the ids of kinds that live together, in the id of what suits them all.
SEVERAL_KINDS = "+"
NOTHING_SAID: Final[Mapping[str, tuple[str, ...]]] = MappingProxyType({})
NOTHING_IMPLIED: Final[Mapping[str, Mapping[str, tuple[str, ...]]]] = MappingProxyType({})


class Leaf(NamedTuple):
    """One test of one observation or condition.

    kind: `in` (value is one of `words`), `known` (any value), `rising` / `falling` / `between`
    (soft edges over `edges`, in the observation's unit) or `holds` (a condition, with its own
    degree).
    """

    name: str
    kind: TestKind
    words: tuple[str, ...] = ()
    edges: tuple[float, ...] = ()


#: A requirement in its simplest form: any of several ways, each way all of its leaves.
Ways = tuple[tuple[Leaf, ...], ...]


class Curve(NamedTuple):
    """Decibans over a numeric observation: linear between `points`, flat outside."""

    over: str
    points: tuple[tuple[float, float], ...]


class Evidence(NamedTuple):
    """One argument of a cause or mechanism (its `owner`), for (positive) or against (negative).

    channel: how such things come to be told, see `Channel`. excludes: how far it holds, the harm
    cannot have come this way, whatever else speaks for it (its weight is then 0).
    """

    id: str
    owner: str
    when: Ways
    weight: float
    curve: Curve | None
    because: str
    source: str
    group: str | None
    channel: str
    excludes: bool

    @property
    def key(self) -> str:
        """The name under which traces and tests cite it: owner/id."""
        return f"{self.owner}/{self.id}"


class Condition(NamedTuple):
    """A state of the container that rules infer and other rules build on."""

    id: str
    title: str
    when: Ways
    because: str
    source: str


class Term(NamedTuple):
    """One observation of the vocabulary: what it may be, how to ask for it and what it costs.

    `shares` are the answers expected among losses in small unfiltered containers, with their
    shares; for a number they are typical values. `event` names the log entry that answers it.
    also: what keepers call it (of an event: the event). said_as: what keepers say for a choice, or
    for one of several (`part|full`), which stays open.
    implies: what an answer says of other questions, as the words these may then have. holds_h: for
    how many hours a reading says how the water is. matters_h: how long before the first harm one
    can still have to do with it. alike: how far two readings may be apart and still say the same.
    tried: the log entries that, done after the first harm, ask what followed. said: what
    keepers mean by a word instead of the number (`high`), least and most. drawn: where there is a
    drawing of it, what to look for on that.
    """

    name: str
    kind: Literal["sign", "choice", "number"]
    asks: str
    look: str
    choices: dict[str, str]
    unit: str
    possible: tuple[float, float] | None
    plausible: tuple[float, float] | None
    shares: tuple[tuple[str | float, float], ...]
    minutes: float
    needs: str
    event: str | None
    derived: bool
    needs_present: str | None
    channel: str
    also: tuple[str, ...] = ()
    said_as: Mapping[str, tuple[str, ...]] = NOTHING_SAID
    implies: Mapping[str, Mapping[str, tuple[str, ...]]] = NOTHING_IMPLIED
    holds_h: float | None = None
    matters_h: float | None = None
    alike: float | None = None
    tried: tuple[str, ...] = ()
    said: dict[str, tuple[float, float]] = {}  # noqa: RUF012
    drawn: str = ""

    @property
    def words(self) -> tuple[str, ...]:
        """The values a sign or choice may take; empty for a number."""
        if self.kind == "sign":
            return ("present", "absent")
        return tuple(self.choices)


class Companion(NamedTuple):
    """An animal beside the shrimp: what it does to grown and to young ones, its size (mm), and
    what its distress tells. kin: which animals it counts among.
    """

    id: str
    title: str
    also: tuple[str, ...]
    kin: Kin
    grown: Habit
    young: Habit
    size_mm: tuple[float, float]
    tells: str
    source: str


class LookAlike(NamedTuple):
    """Another cause that would look the same, and how to tell it apart."""

    cause: str
    tell: str


class Confirmation(NamedTuple):
    """An observation that settles a cause, and the finding that does so."""

    check: str
    finding: str


class NextLook(NamedTuple):
    """When to look again, what shows that it works, what to do if not, and when to call a vet."""

    when: str
    works: str
    otherwise: str
    vet: str


class Way(NamedTuple):
    """One way in which a cause comes about, and the steps for it alone. asks: the observation that
    tells this way from the others.
    """

    id: str
    title: str
    when: Ways
    asks: str
    now: tuple[str, ...]
    today: tuple[str, ...]
    this_week: tuple[str, ...]
    prevent: tuple[str, ...]


class Mechanism(NamedTuple):
    """What physically harms the animals. harmless: nothing does, the animals are well.

    worked_numbers: which sums of `diagnose.reasons` make it plain.
    """

    id: str
    title: str
    summary: str
    in_the_water: str
    in_the_animal: str
    harmless: bool
    early_signs: tuple[str, ...]
    evidence: tuple[Evidence, ...]
    worked_numbers: tuple[str, ...] = ()
    next_look: NextLook = NextLook("", "", "", "")


class Cause(NamedTuple):
    """What brings a mechanism about, and a keeper can change.

    warning: how long before the first death an attentive keeper can see it coming (`weeks`, `days`,
    `hours`, `none`; empty: not said). worked_numbers: which sums of `diagnose.reasons` make it
    plain. ways: how it comes about, where the steps differ by it; the others serve every way.
    """

    id: str
    title: str
    summary: str
    works_through: tuple[str, ...]
    base_rate: float
    base_rate_no_losses: float
    base_source: str
    early_signs: tuple[str, ...]
    evidence: tuple[Evidence, ...]
    looks_like: tuple[LookAlike, ...]
    confirm: tuple[Confirmation, ...]
    now: tuple[str, ...]
    today: tuple[str, ...]
    this_week: tuple[str, ...]
    prevent: tuple[str, ...]
    cautions: tuple[str, ...]
    sources: tuple[str, ...]
    worked_numbers: tuple[str, ...] = ()
    warning: str = ""
    ways: tuple[Way, ...] = ()


class Bar(NamedTuple):
    """When a step must not be taken, and why. say: a keeper would do it unasked, so even a short
    answer says so.
    """

    when: Ways
    because: str
    source: str
    say: bool = False


class FirstDo(NamedTuple):
    """A step that comes before another one, wherever `when` is met (always, if there is none)."""

    step: str
    when: Ways
    because: str
    source: str


class Step(NamedTuple):
    """Something to do. drastic: 0 cannot hurt, up to 3 for a large upset; of two that conflict
    while two causes are close, the less drastic one is advised. never_when: what forbids it, or
    makes it pointless. first_do: what must come before it. saves: what it saves in the first hour,
    0 (nothing) to 10 (most of the animals). people: it keeps people and pets from harm. computed:
    which sum of `diagnose.advice.sizes` says how much. tried_in_vain: what tells that it was done
    and did not help.
    """

    id: str
    title: str
    do: str
    why: str
    minutes: float
    harms_nothing: bool
    drastic: float
    conflicts: tuple[str, ...]
    cautions: tuple[str, ...]
    never_when: tuple[Bar, ...] = ()
    first_do: tuple[FirstDo, ...] = ()
    saves: float = 0.0
    people: bool = False
    computed: str = ""
    tried_in_vain: Ways = ()


class Level(NamedTuple):
    """How soon to act. waiting: what waiting costs, 0 to 1, against which a drastic step is
    weighed. now, today: steps that are safe whatever the cause.
    """

    id: str
    says: str
    waiting: float
    now: tuple[str, ...]
    today: tuple[str, ...]
    source: str


class Peril(NamedTuple):
    """What is known, or reckoned, to kill soon. steps: what lowers it, the most telling first.
    estimated: whether what is only reckoned counts. calmed: an answer in which the animals are
    well turns it off. instead_of: perils that it shows to be less urgent than they look.
    look: the mechanism whose next look fits.
    """

    id: str
    level: str
    when: Ways
    says: str
    steps: tuple[str, ...]
    estimated: bool
    calmed: bool
    instead_of: tuple[str, ...]
    look: str
    source: str


class Caution(NamedTuple):
    """Something that could hurt a person, an animal or the wild."""

    id: str
    text: str
    guards: Literal["person", "animal", "wild"]
    source: str = "common-practice"


class Source(NamedTuple):
    """Where a statement comes from: published (with citation), common practice, or memory."""

    id: str
    kind: Literal["published", "common_practice", "memory"]
    cite: str
    seen: str
    note: str


class Species(NamedTuple):
    """The profile of one kind of shrimp: ranges (low, high), sizes, broods. Units are in the
    names.
    """

    id: str
    title: str
    latin: tuple[str, ...]
    also_called: tuple[str, ...]
    group: str
    comfortable: dict[str, tuple[float, float]]
    survives: dict[str, tuple[float, float]]
    numbers: dict[str, float]
    ranges: dict[str, tuple[float, float]]
    breeds_in_fresh_water: bool
    sources: dict[str, str]

    @property
    def kinds(self) -> tuple[str, ...]:
        """The kinds it speaks of: more than one where several live together."""
        return tuple(self.id.split(SEVERAL_KINDS))

    @property
    def adult_mass_mg(self) -> float:
        """Fresh mass of a grown animal, mg."""
        return self.numbers["adult_mass_mg"]

    @property
    def juvenile_mass_mg(self) -> float:
        """Fresh mass of a half-grown animal, mg."""
        return self.numbers["juvenile_mass_mg"]

    @property
    def hatchling_mass_mg(self) -> float:
        """Fresh mass of a newly hatched animal, mg."""
        return self.numbers["hatchling_mass_mg"]


class Channel(NamedTuple):
    """How one sort of thing comes to be told, and what that is worth.

    An argument for a cause counts `supports` times its weight, one against it `opposes` times.
    `asked` replaces `supports` for what was only told on being asked, and `no_losses` where nobody
    is known to have died. files: the files of the vocabulary whose observations are of this sort;
    names: observations of other files that are.
    """

    id: str
    files: tuple[str, ...]
    names: tuple[str, ...]
    supports: float
    opposes: float
    asked: float
    no_losses: float


class Ranking(NamedTuple):
    """The few numbers that govern how evidence becomes belief; each with its reason in the file."""

    channels: tuple[Channel, ...]
    excluded_decibans: float
    unexplained_share: float
    unexplained_share_no_losses: float
    always_open_share: float
    temperature: float
    temperature_note: str
    estimate_factor: float
    estimate_against_factor: float
    estimate_most_decibans: float
    estimates_unheard_by: tuple[str, ...]
    lesser_mechanism_decibans: float
    humble_ceiling: float
    humble_facts: float
    full_voice_decibans: float
    also_at_work_decibans: float
    also_at_work_score: float
    threat_decibans: float
    threat_belief: float
    close_decibans: float
    shake_weight_share: float
    shake_base_decibans: float
    shakes: int


class Gate(NamedTuple):
    """One rule about adding stock.

    side: `forbid` (these animals and this container do not go together), `wait` (it will pass or
    can be mended first) or `for` (speaks for adding). limit: what it says is short, in one word.
    evidence carries when, weight (decibans, always positive) and source. mends: the observations
    there would be once it is mended. passes_after_days: how long it lasts by itself, counted from
    the event that the observation `since` dates (hours ago), else from the asking. steps: the steps
    that `do` comes to; what forbids one of them forbids it.
    """

    id: str
    side: Literal["forbid", "wait", "for"]
    limit: str
    title: str
    evidence: Evidence
    do: str
    mends: tuple[tuple[str, str | float], ...]
    passes_after_days: float | None
    since: str | None
    cautions: tuple[str, ...]
    steps: tuple[str, ...]


class NeededFact(NamedTuple):
    """Something that must be known before stock may be added: any one of `any_of` will do.

    assume: what it is taken to be when asked how many could be added if all else is well.
    """

    id: str
    any_of: tuple[str, ...]
    assume: tuple[tuple[str, str | float], ...]
    because: str


class Number(NamedTuple):
    """A number with a meaning that a keeper may change: value, unit, range, reason and source."""

    id: str
    value: float
    unit: str
    between: tuple[float, float] | None
    points: tuple[tuple[float, float], ...]
    because: str
    source: str


class Pointless(NamedTuple):
    """When questions are beside the point: `drop`, once `ground` is one of `words`, or a number
    from `low` to `high`.
    """

    id: str
    ground: str
    words: tuple[str, ...]
    low: float
    high: float
    drop: tuple[str, ...]

    def holds(self, value: str | float) -> bool:
        """Whether a known value of the ground makes the questions pointless."""
        if isinstance(value, str):
            return value in self.words
        return self.low <= value <= self.high


@dataclass(frozen=True, slots=True)
class Rulebook:
    """All knowledge, validated: every name that is used is defined."""

    vocabulary: dict[str, Term]
    conditions: dict[str, Condition]
    mechanisms: dict[str, Mechanism]
    causes: dict[str, Cause]
    steps: dict[str, Step]
    cautions: dict[str, Caution]
    sources: dict[str, Source]
    species: dict[str, Species]
    levels: dict[str, Level]
    perils: dict[str, Peril]
    ranking: Ranking
    where: dict[str, str] = field(default_factory=dict)
    stocking: dict[str, Gate] = field(default_factory=dict)
    stocking_facts: dict[str, NeededFact] = field(default_factory=dict)
    numbers: dict[str, Number] = field(default_factory=dict)
    pointless: dict[str, Pointless] = field(default_factory=dict)
    companions: dict[str, Companion] = field(default_factory=dict)

    def evidence(self) -> tuple[Evidence, ...]:
        """Every argument of every cause and mechanism, in a fixed order."""
        of_causes = (item for cause in self.causes.values() for item in cause.evidence)
        of_mechanisms = (item for found in self.mechanisms.values() for item in found.evidence)
        return (*of_causes, *of_mechanisms)
