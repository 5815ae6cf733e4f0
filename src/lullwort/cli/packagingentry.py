"""What may be entered of packaging day by options: what is meant to be done, and what was done."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

import click

from lullwort.cli.bottlelots import BOTTLES, bottle_lots
from lullwort.cli.containervalues import container_limit_bar, container_name
from lullwort.cli.values import co2_g_l, volume_l, weight_g
from lullwort.records import CONTAINER_NAMES, SUGAR_NAMES
from lullwort.settings import Settings

__all__ = ["OPTION_OF_PACKAGING_KEY", "choice_options", "done_options", "packaging_entered"]


def choice_options(command: Callable[..., Any]) -> Callable[..., Any]:
    """What is meant to be done on packaging day."""
    for option in reversed((
        click.option("--target", metavar="CO2", help="Carbon dioxide that the beer should hold: 2.4volumes or 4.7g/L."),
        click.option(
            "--container", metavar="KIND", help=f"What it will be closed in: {', '.join(CONTAINER_NAMES)}.",
        ),
        click.option(
            "--container-limit", metavar="PRESSURE|CO2",
            help="What this very container bears, as its maker states: 3.5bar, 50psi, or 4.5volumes at 20 °C.",
        ),
        click.option("--priming-sugar", type=click.Choice(SUGAR_NAMES), help="What it will be primed with."),
        click.option("--losses", metavar="VOLUME", help="That stays behind. Default: a tenth, at most 1.9 L."),
        click.option("--bottles", metavar=BOTTLES, help="Bottles there are to fill; a size alone: as many as needed."),
    )):  # fmt: skip
        command = option(command)
    return command


def done_options(command: Callable[..., Any]) -> Callable[..., Any]:
    """What was measured and done on packaging day."""
    for option in reversed((
        click.option("--moved", metavar="VOLUME", help="Beer that was moved off the sediment, as measured."),
        click.option("--primed", metavar="WEIGHT", help="Priming that was put in: 118g or 4.2oz."),
        click.option("--filled", metavar=BOTTLES, help="Bottles that were filled."),
    )):  # fmt: skip
        command = option(command)
    return command


def _as_given(value: Any, _option: str, _settings: Settings) -> Any:
    return value


def _lots(text: str, option: str, settings: Settings) -> list[list[float]]:
    return [[lot.volume_l, lot.count] for lot in bottle_lots(text, option, settings)]


_READ: dict[str, tuple[str, Callable[[Any, str, Settings], Any]]] = {
    "--target": ("target_g_l", co2_g_l),
    "--container": ("container", container_name),
    "--container-limit": ("limit_bar", container_limit_bar),
    "--priming-sugar": ("sugar", _as_given),
    "--losses": ("losses_l", volume_l),
    "--bottles": ("bottles", _lots),
    "--moved": ("moved_l", volume_l),
    "--primed": ("primed_g", weight_g),
    "--filled": ("filled", _lots),
}
"""For each option the key of packaging day in a batches file that it fills, and what reads its value."""

OPTION_OF_PACKAGING_KEY = {key: option for option, (key, _) in _READ.items()}


def packaging_entered(settings: Settings, given: dict[str, Any]) -> dict[str, Any]:
    """Options that were given, as keys and values of packaging day in a batches file. Raises UsageError.

    Args:    given: by the names that click makes of the options; None where one was not given, or there is none.
    """
    entered = {}
    for option, (key, read) in _READ.items():
        value = given.get(option.removeprefix("--").replace("-", "_"))
        if value is not None:
            entered[key] = read(value, option, settings)
    return entered
