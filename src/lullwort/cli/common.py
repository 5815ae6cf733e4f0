"""Options and helpers that several commands share."""

from __future__ import annotations

import functools
import os
from collections.abc import Callable
from typing import Any

import click

from lullwort.collector import CsvOptions
from lullwort.settings import SETTINGS, Settings, load_settings

__all__ = ["as_json_option", "as_of_option", "csv_options", "log_options", "with_settings"]

_SAYS = {setting.name: f"{setting.says} ({setting.expects})." for setting in SETTINGS}


def with_settings(*names: str) -> Callable[[Callable[..., Any]], Callable[..., Any]]:
    """Give a command the options of these settings and, as its first argument, the settings of this run."""

    def decorate(command: Callable[..., Any]) -> Callable[..., Any]:
        @functools.wraps(command)
        def run(**kwargs: Any) -> Any:
            options = {name: kwargs.pop(f"setting_{name}") for name in names}
            settings: Settings = load_settings(os.environ, options)
            return command(settings, **kwargs)

        for name in reversed(names):
            says = _SAYS[name]
            run = click.option(f"--{name}", f"setting_{name}", metavar=name.upper(), help=says[0].upper() + says[1:])(
                run
            )
        return run

    return decorate


as_json_option = click.option("--json", "as_json", is_flag=True, help="Print one JSON document instead of text.")
as_of_option = click.option(
    "--as-of",
    metavar="TIME",
    help="Judge as if it were this moment (ISO 8601, or now). Default: the newest reading.",
)


def log_options(command: Callable[..., Any]) -> Callable[..., Any]:
    """The options that say how a log file is to be read."""
    for option in (
        click.option("--vessel", metavar="ID", help="The vessel of a log that has no column for it."),
        click.option("--decimal-comma", is_flag=True, help="Numbers in the log are written as 1,012."),
        click.option(
            "--log-temperature", type=click.Choice(["C", "F", "K"]), default="C", show_default=True,
            help="Unit of the log's temperatures.",
        ),
        click.option(
            "--log-gravity", type=click.Choice(["sg", "points", "plato", "kg_m3"]), default="sg", show_default=True,
            help="Unit of the log's gravities.",
        ),
    ):  # fmt: skip
        command = option(command)
    return command


def csv_options(settings: Settings, log: dict[str, Any]) -> CsvOptions:
    """How a log is to be read, from what `log_options` gave."""
    return CsvOptions(
        gravity_unit=log["log_gravity"],
        temperature_unit=log["log_temperature"],
        zone=settings.zone,
        decimal_comma=log["decimal_comma"],
        vessel=log["vessel"],
    )
