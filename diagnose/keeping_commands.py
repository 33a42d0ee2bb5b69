"""The commands for keeping well: `stocking`, `care` and `mix`. Thin: parse, call, render."""

from __future__ import annotations

import argparse
import sys
from collections.abc import Callable
from dataclasses import dataclass
from datetime import datetime
from pathlib import Path
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from rich.console import Console

    from diagnose.intake.quantities import Measure
    from diagnose.report.pages import Page
    from diagnose.rulebook.terms import Rulebook

    Subcommands = argparse._SubParsersAction[argparse.ArgumentParser]

FORMATS = ("terminal", "json", "markdown")
GetRulebook = Callable[[argparse.Namespace], "Rulebook"]
GetConsole = Callable[[], "Console"]


def add_keeping_commands(
    commands: Subcommands,
    get_rulebook: GetRulebook,
    get_console: GetConsole,
    add_rulebook_option: Callable[[argparse.ArgumentParser], None],
) -> None:
    """Adds the three commands to the command line."""
    for command in (_add_stocking(commands), _add_care(commands)):
        add_rulebook_option(command)
        command.set_defaults(get_rulebook=get_rulebook, get_console=get_console)
    _add_mix(commands, get_console)


def _add_format(command: argparse.ArgumentParser) -> None:
    command.add_argument(
        "--format", choices=FORMATS, default="terminal", help="how to write the answer"
    )


def _add_stocking(commands: Subcommands) -> argparse.ArgumentParser:
    command = commands.add_parser(
        "stocking",
        help="say whether animals may be added now, how many, when and how",
        description="Answers whether animals may be added to a container: add now, wait, or do not "
        "add, with the reasons, the number, the date and the way in. Without FILE it asks.",
    )
    command.add_argument("file", metavar="FILE", type=Path, nargs="?", help="a case file")
    command.add_argument(
        "--add", metavar="ANIMALS", help="who is to come, as `8 adults` or `6 adults, 10 young`"
    )
    command.add_argument(
        "--species", metavar="NAME", help="which kind is to come (default: the kind that is there)"
    )
    command.add_argument(
        "--explain", metavar="RULE", help="show all about one rule of stocking, by its name"
    )
    command.add_argument(
        "--units", choices=("metric", "us"), help="units in the answer (default: the case file's)"
    )
    command.add_argument(
        "--no-outlook", action="store_true", help="leave out the container model's next weeks"
    )
    command.add_argument(
        "--answer-schema", action="store_true", help="print the JSON Schema of --format json"
    )
    _add_format(command)
    command.set_defaults(run=_stocking)
    return command


def _add_care(commands: Subcommands) -> argparse.ArgumentParser:
    command = commands.add_parser(
        "care",
        help="plan the week for one container: food, water, light, readings, young",
        description="The week that keeps this container well, with the reason for each line.",
    )
    command.add_argument("file", metavar="FILE", type=Path, nargs="?", help="a case file")
    command.add_argument(
        "--calendar", metavar="FILE.ics", type=Path, help="write the plan as a calendar file too"
    )
    command.add_argument(
        "--no-outlook", action="store_true", help="leave out the container model's next weeks"
    )
    command.add_argument(
        "--answer-schema", action="store_true", help="print the JSON Schema of --format json"
    )
    _add_format(command)
    command.set_defaults(run=_care)
    return command


def _write(page: Page, data: object, options: argparse.Namespace) -> int:
    from diagnose.report.answer import as_data
    from diagnose.report.pages import page_markdown, show_page

    if options.format == "json":
        return _print_json(as_data(data))
    if options.format == "markdown":
        sys.stdout.write(page_markdown(page))
        return 0
    show_page(page, options.get_console())
    return 0


def _print_json(data: object) -> int:
    import json

    print(json.dumps(data, indent=2, ensure_ascii=False))
    return 0


def _stocking(options: argparse.Namespace) -> int:
    if options.answer_schema:
        from diagnose.report.stocking_answer import FORMAT, StockingAnswer
        from diagnose.report.versioned import schema_of

        return _print_json(schema_of(StockingAnswer, FORMAT))
    from diagnose.case_observed import observed_case, observed_text
    from diagnose.case_stocking import stocking_case, told_newcomers
    from diagnose.report.stocking_answer import explained, stocking_page

    now = datetime.now()
    rulebook = options.get_rulebook(options)
    if options.file is None:
        from diagnose.stocking.short_session import ask_for_case

        if not sys.stdin.isatty():
            raise ValueError(
                'Name a case file: bowlside stocking FILE --add "8 adults". Without one it asks, '
                "and nobody sits at this end to answer."
            )
        text, options.add, options.species = ask_for_case(
            rulebook.vocabulary, input, print, add=options.add, species=options.species
        )
        observed = observed_text(text.encode("utf-8"), "your answers", rulebook, now=now)
    else:
        observed = observed_case(options.file, rulebook, now=now)
    newcomers = told_newcomers(observed.case, rulebook, add=options.add, species=options.species)
    answer = stocking_case(
        rulebook,
        observed,
        newcomers,
        now=now,
        prefer=options.units,
        with_outlook=not options.no_outlook and not options.explain,
    )
    if options.explain:
        page = explained(answer, options.explain, rulebook)
        return _write(page, page, options)
    return _write(stocking_page(answer), answer, options)


def _care(options: argparse.Namespace) -> int:
    if options.answer_schema:
        from diagnose.report.care_answer import FORMAT, CareAnswer
        from diagnose.report.versioned import schema_of

        return _print_json(schema_of(CareAnswer, FORMAT))
    if options.file is None:
        raise ValueError(
            "Name a case file: bowlside care FILE. `bowlside case new FILE` starts one."
        )
    from diagnose.case_care import care_of_case
    from diagnose.case_observed import observed_case
    from diagnose.report.care_answer import care_answer, care_page

    now = datetime.now()
    rulebook = options.get_rulebook(options)
    observed = observed_case(options.file, rulebook, now=now)
    plan = care_of_case(rulebook, observed, now=now, with_outlook=not options.no_outlook)
    title = observed.case.title or observed.case.case
    answer = care_answer(rulebook, plan, case=title)
    code = _write(care_page(answer), answer, options)
    if options.calendar is not None:
        from diagnose.care.calendar import calendar

        options.calendar.write_bytes(calendar(plan, title, now=now))
        print(f"Written: {options.calendar}.", file=sys.stderr)
    return code


def _add_mix(commands: Subcommands, get_console: GetConsole) -> None:
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
        _add_format(found)
        found.set_defaults(run=run, get_console=get_console)
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
    return _write(blend_page(found, first, second, measure.unit), _versioned(found), options)


def _mix_change(options: argparse.Namespace) -> int:
    from diagnose.mix.recipes import change_for_target
    from diagnose.report.mix_pages import change_page

    measure, (old, new, target) = _same_kind(
        ("--old", options.old), ("--new", options.new), ("--target", options.target)
    )
    volume = _quantity("--volume", options.volume, "VOLUME") if options.volume else None
    share = _quantity("--share", options.share, "SHARE") / 100.0 if options.share else None
    found = change_for_target(old, new, target, volume_l=volume, share_new=share)
    return _write(change_page(found, target, measure.unit), _versioned(found), options)


def _mix_spill(options: argparse.Namespace) -> int:
    from diagnose.mix.recipes import thinning
    from diagnose.report.mix_pages import spill_page

    found = thinning(
        _quantity("--amount", options.amount, "MASS"),
        _quantity("--volume", options.volume, "VOLUME"),
        _quantity("--limit", options.limit, "CONCENTRATION"),
        _quantity("--share", options.share, "SHARE") / 100.0,
    )
    return _write(spill_page(found), _versioned(found), options)


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
    return _write(minerals_page(found, volume_l), _versioned(found), options)


def _mix_ammonia(options: argparse.Namespace) -> int:
    from diagnose.mix.recipes import free_ammonia
    from diagnose.report.mix_pages import ammonia_page

    total = _quantity("--total", options.total, "CONCENTRATION")
    warm = _quantity("--temperature", options.temperature, "TEMPERATURE")
    asked = [options.ph, *([options.ph_after] if options.ph_after else [])]
    found = tuple(free_ammonia(total, _quantity("--ph", ph, "PH"), warm) for ph in asked)
    return _write(ammonia_page(total, found), _versioned(*found), options)


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
