"""Options and helpers that several commands share."""

from __future__ import annotations

import functools
import os
from collections.abc import Callable
from pathlib import Path
from typing import Any

import click

from lullwort.collector import OPTIONAL, Mapping, checked_mapping
from lullwort.errors import UsageError
from lullwort.settings import SETTINGS, Settings, load_settings

__all__ = ["SHOWN", "as_json_option", "as_of_option", "log_options", "mapping_of", "with_settings"]

_BY_NAME = {setting.name: setting for setting in SETTINGS}
SHOWN = ("gravity", "temperature", "zone", "volume", "carbonation", "pressure", "weight", "decimal")
"""The settings of how values are shown and taken, for `with_settings`."""


def with_settings(*names: str) -> Callable[[Callable[..., Any]], Callable[..., Any]]:
    """Give a command the options of these settings and, as its first argument, the settings of this run."""

    def decorate(command: Callable[..., Any]) -> Callable[..., Any]:
        @functools.wraps(command)
        def run(**kwargs: Any) -> Any:
            options = {name: kwargs.pop(f"setting_{name}") for name in names}
            settings: Settings = load_settings(os.environ, options)
            return command(settings, **kwargs)

        for name in reversed(names):
            setting = _BY_NAME[name]
            says = f"{setting.says[0].upper()}{setting.says[1:]} ({setting.expects})."
            run = click.option(setting.flag, f"setting_{name}", metavar=name.upper(), help=says)(run)
        return run

    return decorate


as_json_option = click.option("--json", "as_json", is_flag=True, help="Print one JSON document instead of text.")
as_of_option = click.option(
    "--as-of",
    metavar="TIME",
    help="Judge as if it were this moment (ISO 8601, or now). Default: the newest reading.",
)


_LOG_OPTIONS = (
    click.option("--mapping", "saved", metavar="NAME", help="A mapping saved in the settings; options overrule it."),
    click.option(
        "--column", "columns", metavar="ROLE=NAME", multiple=True,
        help="The log's own name of a column, or #3 for its third. ROLE: time (twice for date and time of day), "
        "vessel, gravity, temperature, sensor, battery, signal or inclination.",
    ),
    click.option(
        "--without", metavar="ROLE", multiple=True, type=click.Choice(OPTIONAL),
        help="The log has no such column, or it is not to be read.",
    ),
    click.option(
        "--times", type=click.Choice(["iso", "ymd", "dmy", "mdy", "unix", "unix-ms", "serial", "serial-1904"]),
        help="How times are written: ISO 8601, the order of year, month and day, seconds or milliseconds since 1970, "
        "spreadsheet days. Default: iso.",
    ),
    click.option(
        "--log-gravity", "gravity", type=click.Choice(["sg", "sg_1000", "points", "plato", "brix", "kg_m3", "g_l"]),
        help="Unit of the log's gravities; sg_1000 is 1052 for 1.052, brix is of a hydrometer. Default: sg.",
    ),
    click.option(
        "--log-temperature", "temperature", type=click.Choice(["C", "F", "K"]),
        help="Unit of the log's temperatures. Default: C.",
    ),
    click.option(
        "--log-battery", "battery", type=click.Choice(["V", "%"]), help="Unit of the log's battery. Default: V."
    ),
    click.option(
        "--make-ids", is_flag=True, help="Make ids of the log's names of vessels and sensors: Bucket 1 is bucket-1.",
    ),
    click.option(
        "--decimal-comma/--decimal-point", "decimal_comma", default=None,
        help="Mark in the log's numbers. Default: point.",
    ),
    click.option(
        "--delimiter", type=click.Choice(["comma", "semicolon", "tab", "bar", "blanks"]),
        help="What stands between the log's fields. Default: as the header shows.",
    ),
    click.option(
        "--encoding", type=click.Choice(["utf-8", "utf-16", "windows-1252"]), help="Of the log's text. Default: utf-8.",
    ),
    click.option(
        "--header/--no-header", "header", default=None,
        help="Whether the log's first line names its columns. Default: it does.",
    ),
    click.option("--skip-lines", metavar="N", type=click.IntRange(0), help="Lines of the log before its header."),
    click.option("--missing", metavar="VALUE", multiple=True, help="Stands for nothing in the log, as -999 or NA."),
    click.option("--vessel", metavar="ID", help="The vessel of a log that has no column for it."),
    click.option(
        "--as-proposed", is_flag=True, help="Where nothing is stated, read each log as --dry-run proposes."
    ),
    click.option("--dry-run", is_flag=True, help="Show how each log would be read, and do nothing."),
    click.option(
        "--set-aside", "set_aside_file", metavar="FILE", type=click.Path(path_type=Path, dir_okay=False),
        help="Write the rows that are no readings to this CSV file, with the reason for each.",
    ),
)  # fmt: skip


def log_options(command: Callable[..., Any]) -> Callable[..., Any]:
    """The options that say how log files are to be read, as keywords `log`; see `mapping_of`."""

    @functools.wraps(command)
    def run(*args: Any, **kwargs: Any) -> Any:
        log = {name: kwargs.pop(name) for name in _LOG_KEYS}
        return command(*args, log=log, **kwargs)

    for option in reversed(_LOG_OPTIONS):
        run = option(run)
    return run


_STATED = ("times", "gravity", "temperature", "battery", "delimiter", "encoding", "skip_lines", "vessel", "header")
_OPTION_OF_KEY = {
    "columns": "--column", "without": "--without", "missing": "--missing", "vessel": "--vessel", "zone": "--zone",
}  # fmt: skip
"""What those keys of a mapping are called on the command line whose values click does not check."""
_LOG_KEYS = (*_STATED, "saved", "columns", "without", "missing", "decimal_comma", "make_ids")


def mapping_of(settings: Settings, log: dict[str, Any]) -> Mapping:
    """What is stated of a log: by what `log_options` gave, by the mapping that it names, by the settings."""
    saved = Mapping()
    if log["saved"] is not None:
        if log["saved"] not in settings.mappings:
            known = ", ".join(settings.mappings) or "none"
            raise UsageError(f"--mapping is {log['saved']!r}, expected one saved in the settings ({known})")
        saved = settings.mappings[log["saved"]]
    stated: dict[str, Any] = {name: log[name] for name in _STATED if log[name] is not None}
    if log["columns"]:
        stated["columns"] = _columns(log["columns"])
    for name in ("without", "missing"):
        if log[name]:
            stated[name] = log[name]
    if log["decimal_comma"] is not None:
        stated["decimal"] = "comma" if log["decimal_comma"] else "point"
    if log["make_ids"]:
        stated["make_ids"] = True
    if settings.zone is not None and (saved.zone is None or settings.zone_by_option):
        stated["zone"] = settings.zone
    return checked_mapping("options", stated, _OPTION_OF_KEY).over(saved)


def _columns(given: tuple[str, ...]) -> dict[str, list[str]]:
    columns: dict[str, list[str]] = {}
    for text in given:
        role, equals, name = text.partition("=")
        if not equals or not name:
            raise UsageError(f"--column is {text!r}, expected ROLE=NAME such as gravity=Density")
        columns.setdefault(role, []).append(name)
    return columns
