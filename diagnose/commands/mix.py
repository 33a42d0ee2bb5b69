"""`bowlside mix`: the arithmetic of waters alone."""

from __future__ import annotations

import argparse
from collections.abc import Callable
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

from diagnose.commands.options import METRIC, rulebook_of, take
from diagnose.commands.printing import print_page

if TYPE_CHECKING:
    from diagnose.commands.options import Subcommands
    from diagnose.intake.quantities import Measure
    from diagnose.rulebook.rates import Rates


def add(commands: Subcommands) -> None:
    command = commands.add_parser(
        "mix",
        help="reckon with waters: blend, change, thin a spill, dose minerals, free ammonia",
        description="The arithmetic alone. Write quantities with their units, as `8 dGH`, "
        "`250 mg/L`, `22 C`, `6 L`.",
    )
    command.set_defaults(parser=command)
    kinds = command.add_subparsers(title="reckonings", metavar="WHAT")

    def kind(name: str, text: str, run: Callable[[argparse.Namespace], int]) -> Any:
        found = kinds.add_parser(name, help=text, description=text[0].upper() + text[1:] + ".")
        take(found, "--rulebook", "--format", "--units", units=METRIC)
        found.set_defaults(run=run)
        return found

    found = kind("waters", "litres of two waters that together give a target", _mix_waters)
    found.add_argument("--first", required=True, help="the first water, as `16 dGH` or `12 C`")
    found.add_argument("--second", required=True, help="the second water, in the same kind of unit")
    found.add_argument("--target", required=True, help="what the whole is to have")
    found.add_argument("--volume", required=True, help="how much is wanted in all, as `6 L`")
    found = kind("change", "size of a water change that brings a value to a target", _mix_change)
    found.add_argument("--old", required=True, help="the container's value, as `80 mg/L`")
    found.add_argument("--new", required=True, help="the new water's value")
    found.add_argument("--target", required=True, help="the value wanted")
    found.add_argument("--volume", help="water in the container, to get litres")
    found.add_argument("--share", help="or: change this share each time, and count the changes")
    found = kind("spill", "what a spill leaves, and the changes that thin it", _mix_spill)
    found.add_argument("--amount", required=True, help="what fell in, as `200 mg` or `1 g`")
    found.add_argument("--volume", required=True, help="water in the container")
    found.add_argument("--limit", required=True, help="the most that may stay, as `0.5 mg/L`")
    found.add_argument("--share", default="50 %", help="share of each change (default: half)")
    found = kind("minerals", "salts that raise the hardness", _mix_minerals)
    found.add_argument("--from", dest="from_", required=True, help="hardness now, as `2 dGH`")
    found.add_argument("--to", required=True, help="hardness wanted")
    found.add_argument("--volume", required=True, help="how much water")
    found.add_argument(
        "--label",
        nargs=3,
        metavar=("MASS", "VOLUME", "DEGREES"),
        help="the product's own label: so much raises so much water by so many degrees",
    )
    found = kind("ammonia", "the free part of total ammonia, now and at another pH", _mix_ammonia)
    found.add_argument("--total", required=True, help="total ammonia as nitrogen, as `0.5 mg/L`")
    found.add_argument("--ph", required=True, help="pH now")
    found.add_argument("--temperature", required=True, help="water temperature, as `24 C`")
    found.add_argument("--ph-after", help="another pH to compare")


def _mix_waters(options: argparse.Namespace) -> int:
    from diagnose.mix.recipes import blend
    from diagnose.report.mix_pages import blend_page

    measure, (first, second, target) = _same_kind(
        ("--first", options.first), ("--second", options.second), ("--target", options.target)
    )
    volume = _quantity("--volume", options.volume, "VOLUME")
    found = blend(first, second, target, volume)
    page = blend_page(found, first, second, measure.unit, _pace(options), options.units)
    return print_page(page, _versioned(found), options)


def _mix_change(options: argparse.Namespace) -> int:
    from diagnose.mix.recipes import change_for_target
    from diagnose.report.mix_pages import change_page

    measure, (old, new, target) = _same_kind(
        ("--old", options.old), ("--new", options.new), ("--target", options.target)
    )
    volume = _quantity("--volume", options.volume, "VOLUME") if options.volume else None
    share = _quantity("--share", options.share, "SHARE") / 100.0 if options.share else None
    found = change_for_target(old, new, target, volume_l=volume, share_new=share)
    page = change_page(found, target, measure.unit, _pace(options), options.units)
    return print_page(page, _versioned(found), options)


def _mix_spill(options: argparse.Namespace) -> int:
    from diagnose.mix.recipes import thinning
    from diagnose.report.mix_pages import spill_page

    found = thinning(
        _quantity("--amount", options.amount, "MASS"),
        _quantity("--volume", options.volume, "VOLUME"),
        _quantity("--limit", options.limit, "CONCENTRATION"),
        _quantity("--share", options.share, "SHARE") / 100.0,
    )
    return print_page(spill_page(found), _versioned(found), options)


def _mix_minerals(options: argparse.Namespace) -> int:
    from diagnose.mix.recipes import minerals
    from diagnose.report.mix_pages import minerals_page

    label: dict[str, float] = {}
    if options.label is not None:
        mass, volume, degrees = options.label
        label = {
            "label_g": _quantity("--label", mass, "MASS") / 1000.0,
            "label_l": _quantity("--label", volume, "VOLUME"),
            "label_dgh": _quantity("--label", degrees, "GENERAL_HARDNESS"),
        }
    volume_l = _quantity("--volume", options.volume, "VOLUME")
    found = minerals(
        _quantity("--from", options.from_, "GENERAL_HARDNESS"),
        _quantity("--to", options.to, "GENERAL_HARDNESS"),
        volume_l,
        **label,
    )
    return print_page(
        minerals_page(found, volume_l, _pace(options), options.units), _versioned(found), options
    )


def _mix_ammonia(options: argparse.Namespace) -> int:
    from diagnose.mix.recipes import free_ammonia
    from diagnose.report.mix_pages import ammonia_page

    total = _quantity("--total", options.total, "CONCENTRATION")
    warm = _quantity("--temperature", options.temperature, "TEMPERATURE")
    asked = [options.ph, *([options.ph_after] if options.ph_after else [])]
    found = tuple(free_ammonia(total, _quantity("--ph", ph, "PH"), warm) for ph in asked)
    return print_page(ammonia_page(total, found, options.units), _versioned(*found), options)


def _pace(options: argparse.Namespace) -> Rates:
    from diagnose.rulebook.rates import rates

    return rates(rulebook_of(options))


@dataclass(frozen=True, slots=True)
class MixAnswer:
    """What `mix --format json` prints: its version and the figures, units in their names."""

    format: str
    results: tuple[object, ...]


def _versioned(*found: object) -> MixAnswer:
    return MixAnswer("bowlside-mix/1", found)


def _quantity(option: str, written: str, measure: str) -> float:
    from diagnose.intake import quantities as q

    found: Measure = getattr(q, measure)
    return _read(option, written, found)


def _read(option: str, written: str, measure: Measure) -> float:
    from diagnose.intake.problems import Unreadable
    from diagnose.intake.quantities import read_quantity

    try:
        return read_quantity(written, measure)
    except Unreadable as error:
        raise ValueError(f"{option}: {error}") from None


def _same_kind(*written: tuple[str, str]) -> tuple[Measure, list[float]]:
    """The measure that all of them are of, told by their units, and their values."""
    from diagnose.intake import quantities as q
    from diagnose.intake.problems import Unreadable

    # mg/L alone means a concentration; hardness in mg/L is written `mg/L CaCO3`.
    kinds = (q.CONCENTRATION, q.GENERAL_HARDNESS, q.CARBONATE_HARDNESS, q.CONDUCTIVITY)
    for measure in (*kinds, q.TEMPERATURE):
        own = measure.unit.lower()
        try:
            units = [q.split_number(text, "quantity", "8 dGH")[1].lower() for _, text in written]
        except Unreadable as error:
            raise ValueError(f"{written[0][0]}: {error}") from None
        if all(unit == own or (unit and unit in measure.units) for unit in units) and any(units):
            return measure, [_read(option, text, measure) for option, text in written]
    options = ", ".join(option for option, _ in written)
    raise ValueError(
        f"{options}: these are not of one kind. Write each with the same kind of unit: dGH, dKH, "
        "mg/L, uS/cm or C."
    )
