"""What `--dry-run` shows of a log at a terminal: how it would be read, what that gives, what only a person can tell."""

from __future__ import annotations

import json
import shlex
import sys
from collections.abc import Iterable
from pathlib import Path

import click

from lullwort.cli.dryrundocument import dry_run_document
from lullwort.cli.lines import say
from lullwort.cli.shownunits import local_time
from lullwort.cli.triedlog import FirstRow, TriedLog, try_log
from lullwort.collector import Mapping, Proposal, VesselSurvey
from lullwort.counting import counted
from lullwort.detector import Units
from lullwort.settings import Settings

__all__ = ["show_dry_runs"]

_GAPS, _ASIDE = 5, 5
_UNITS = {
    "sg": "SG",
    "sg_1000": "SG x 1000",
    "points": "points",
    "plato": "°P",
    "kg_m3": "kg/m³",
    "C": "°C",
    "F": "°F",
    "K": "K",
    "V": "V",
}

_TO_STATE = {
    "columns": "--column ROLE=NAME",
    "vessel": "--vessel ID",
    "times": "--times FORM",
    "zone": "--zone ZONE",
    "gravity": "--log-gravity UNIT",
    "temperature": "--log-temperature UNIT",
    "battery": "--log-battery UNIT",
    "decimal": "--decimal-COMMA-OR-POINT",
}
"""For each field of a mapping that may be doubtful, what is to be stated, in a form that is refused as it stands."""


def show_dry_runs(paths: Iterable[Path], stated: Mapping, settings: Settings, *, as_json: bool = False) -> bool:
    """Show how each file would be read; tells whether nothing is doubtful and no row would be set aside."""
    if as_json:
        tried = [try_log(path, stated) for path in paths]
        click.echo(json.dumps({"files": list(map(dry_run_document, tried))}, indent=2, ensure_ascii=False))
        return all(not one.proposal.doubts and not one.set_aside for one in tried)
    doubtful, set_aside = list[str](), 0
    for nth, path in enumerate(paths):
        if nth:
            click.echo()
        one = try_log(path, stated)
        doubtful += [doubt.field for doubt in one.proposal.doubts]
        set_aside += len(one.set_aside)
        _show(one, settings)
    typed = [word for word in sys.argv[1:] if word not in ("--dry-run", "--as-proposed")]
    say(f"To read it so{', with what is doubtful stated in place of the capitals' if doubtful else ''}:")
    to_state = [_TO_STATE[field] for field in dict.fromkeys(doubtful)]
    # whole, for it is there to be copied
    click.echo(f"  {' '.join([shlex.join(['lullwort', *typed]), *to_state, '--as-proposed'])}")
    return not doubtful and not set_aside


def _show(tried: TriedLog, settings: Settings) -> None:
    """Show on standard output how the log would be read."""
    proposal = tried.proposal
    say(f"{tried.path}: how it would be read")
    if proposal.columns:
        for line in _reading(proposal):
            say(f"  {line}")
    for says in proposal.found:
        say(f"  found: {says}")
    for column in proposal.columns:
        say(f"  column {column}")
    if proposal.readable:
        _contents(tried, settings)
    if proposal.doubts:
        say("Doubtful, and not guessed:")
        for doubt in proposal.doubts:
            say(f"  {doubt}")
    if proposal.columns:
        say("In the settings, to be named by --mapping NAME:")
        for line in _as_settings(proposal):
            click.echo(f"  {line}")  # whole, for a table of the settings may not be broken


def _reading(proposal: Proposal) -> list[str]:
    mapping = proposal.mapping
    columns = "; ".join(f"{role} from {' and '.join(names)}" for role, names in mapping.columns.items())
    units = mapping.units
    gravity = "no gravity" if "gravity" in mapping.without else f"gravity in {_UNITS[units.gravity]}"
    temperature = (
        "no temperature" if "temperature" in mapping.without else f"temperature in {_UNITS[units.temperature]}"
    )
    return [
        *([f"columns: {columns}"] if columns else []),
        f"{gravity}, {temperature}, decimal {mapping.decimal or 'point'}, times {mapping.times or 'iso'}, "
        f"zone {mapping.zone or 'not stated'}",
    ]


def _contents(tried: TriedLog, settings: Settings) -> None:
    say("  first rows as understood" + ("" if tried.proposal.mapping.zone else ", offsets apart") + ":")
    for row in tried.first:
        say(f"    {_row(row, settings)}")
    for vessel, found in tried.vessels.items():
        for line in _vessel(vessel, found, settings):
            say(f"  {line}")
    for remark in tried.remarks:
        say(f"  {remark}")
    if tried.set_aside:
        say(f"  {counted(len(tried.set_aside), 'row')} would be set aside:")
        for aside in tried.set_aside[:_ASIDE]:
            say(f"    {aside}")


def _row(row: FirstRow, settings: Settings) -> str:
    gravity, temperature = (
        _value(value, unit, settings.units)
        for value, unit in ((row.gravity, row.units.gravity), (row.temperature, row.units.temperature))
    )
    return f"{local_time(row.at_us, settings)}  {row.vessel}  {gravity}  {temperature}"


def _value(value: float, unit: str, shown: Units) -> str:
    return "nothing" if value != value else f"{shown.short(value)} {_UNITS[unit]}"


def _vessel(vessel: str, found: VesselSurvey, settings: Settings) -> list[str]:
    shown = settings.units
    often = "" if found.step_s != found.step_s else f", usually every {shown.seconds(found.step_s)}"
    lines = [
        f"{vessel}: {counted(found.readings, 'reading')}, {local_time(found.first_us, settings)} to "
        f"{local_time(found.last_us, settings)}{often}"
    ]
    for name, (low, high) in (("gravity", found.gravity), ("temperature", found.temperature)):
        if low == low:
            lines.append(f"  {name} {shown.short(low)} to {shown.short(high)}")
    for from_us, to_us in found.gaps[:_GAPS]:
        lines.append(f"  gap of {shown.seconds((to_us - from_us) / 1e6)} from {local_time(from_us, settings)}")
    if len(found.gaps) > _GAPS:
        lines.append(f"  and {counted(len(found.gaps) - _GAPS, 'more gap')}")
    if found.repeated:
        lines.append(f"  {counted(found.repeated, 'reading')} at an instant that has another")
    if found.unsorted:
        lines.append("  not in order of time, which does no harm")
    return lines


def _as_settings(proposal: Proposal) -> list[str]:
    """The mapping as a table of the settings file; what is doubtful stands there as a question."""
    doubtful = {doubt.field for doubt in proposal.doubts}
    lines = ["[mapping.NAME]"]
    for name in proposal.mapping.__struct_fields__:
        value = getattr(proposal.mapping, name)
        if name in doubtful:
            lines.append(f"# {name} = ?")
        elif name == "columns":
            lines += [f"columns.{role} = {_toml(names)}" for role, names in value.items()]
        elif value != getattr(Mapping(), name):
            lines.append(f"{name} = {_toml(value)}")
    return lines


def _toml(value: object) -> str:
    if isinstance(value, bool):
        return "true" if value else "false"
    if isinstance(value, tuple):
        return f"[{', '.join(map(_toml, value))}]"
    if isinstance(value, str):
        escaped = value.replace("\\", "\\\\").replace('"', '\\"')
        return f'"{escaped}"'
    return str(value)
