"""What may be entered of a batch by options: each option, how its text is read, and the key that it fills."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

import click

from lullwort.cli.entrylimits import place_c, tolerance_sg, vessel_l
from lullwort.cli.packagingentry import OPTION_OF_PACKAGING_KEY, choice_options, done_options, packaging_entered
from lullwort.cli.values import gravity_range, gravity_sg, number, share_range
from lullwort.detector import value_range
from lullwort.errors import UsageError
from lullwort.faults import Faults
from lullwort.records import ATTENUATION, CAUTIONS
from lullwort.settings import Settings

__all__ = ["OPTION_OF_KEY", "dry_run_option", "entered_of", "entry_options"]


dry_run_option = click.option("--dry-run", is_flag=True, help="Check all that is given, and enter nothing.")


def entry_options(command: Callable[..., Any]) -> Callable[..., Any]:
    """What may be entered of a batch; the same when it is opened and when it is edited."""
    command = choice_options(done_options(command))
    for option in reversed((
        click.option("--recipe", help="Which recipe this is, to compare repeats."),
        click.option("--original-gravity", metavar="GRAVITY", help="After the boil, cooled, before pitching."),
        click.option(
            "--expected-final-gravity", metavar="GRAVITY", help="Where it should end: one, or '1.010 to 1.014'.",
        ),
        click.option("--expected-attenuation", metavar="PERCENT", help="Apparent, such as '70 to 80'."),
        click.option("--forced-test-gravity", metavar="GRAVITY", help="Where a forced ferment test of it ended."),
        click.option("--yeast-min", metavar="TEMPERATURE", help="Below this the yeast sleeps."),
        click.option("--yeast-max", metavar="TEMPERATURE", help="Above this the yeast suffers."),
        click.option("--steady-temperature", metavar="TEMPERATURE", help="Of the vessel, where the log gives none."),
        click.option("--volume", metavar="VOLUME", help="In the vessel: 19L, 5us gal or 4imp gal."),
        click.option("--hold-window", metavar="HOURS", help="Over which gravity must hold still: 24 to 168."),
        click.option(
            "--tolerance", metavar="GRAVITY", help="How much it may move meanwhile; 0.001SG, a point, if not given.",
        ),
        click.option(
            "--caution", type=click.Choice(CAUTIONS),
            help="How sure the detector must be. Of a thousand invented batches careful called at most 3 ready "
            "wrongly, usual 7, brisk 34; half of the others came within 80, 61 and 29 h of their end.",
        ),
        click.option(
            "--reported", type=click.Choice(["uncorrected", "corrected"]),
            help="Whether the sensor already corrects for temperature.",
        ),
        click.option("--reading-interval", metavar="HOURS", help="How often the log has a reading; 1 if not given."),
    )):  # fmt: skip
        command = option(command)
    return command


def _as_given(value: Any, _option: str, _settings: Settings) -> Any:
    return value


def _hours(text: str, option: str, _settings: Settings) -> int:
    hours = number(text, option)
    if not hours.is_integer():
        raise UsageError(f"{option} is {text!r}, expected a whole number of hours")
    return int(hours)


def _number(text: str, option: str, _settings: Settings) -> float:
    return number(text, option)


def _shares(text: str, option: str, settings: Settings) -> tuple[float, float]:
    found, (low, high) = share_range(text, option), ATTENUATION
    if low <= min(found) and max(found) <= high:
        return found
    within = value_range(*(settings.units.number(100.0 * end, 0) for end in ATTENUATION))
    raise UsageError(f"{option} is {text!r}, expected {within} %")


_READ: dict[str, tuple[str, Callable[[Any, str, Settings], Any]]] = {
    "--recipe": ("recipe", _as_given),
    "--original-gravity": ("original_gravity", gravity_sg),
    "--expected-final-gravity": ("expected_final_gravity", gravity_range),
    "--expected-attenuation": ("expected_attenuation", _shares),
    "--forced-test-gravity": ("forced_test_gravity", gravity_sg),
    "--yeast-min": ("yeast_min_c", place_c),
    "--yeast-max": ("yeast_max_c", place_c),
    "--steady-temperature": ("steady_temperature_c", place_c),
    "--volume": ("volume_l", vessel_l),
    "--hold-window": ("hold_window_h", _hours),
    "--tolerance": ("tolerance", tolerance_sg),
    "--caution": ("caution", _as_given),
    "--reported": ("gravity_reported", _as_given),
    "--reading-interval": ("reading_interval_h", _number),
}
"""For each option the key of a batches file that it fills, and what reads its value."""

OPTION_OF_KEY = {key: option for option, (key, _) in _READ.items()} | {
    "vessel": "VESSEL", "name": "--name", "pitched": "--pitched", "packaged": "--packaged",
    **OPTION_OF_PACKAGING_KEY,
}  # fmt: skip
"""What a key of a batches file is called on the command line."""


def entered_of(settings: Settings, given: dict[str, Any], faults: Faults) -> dict[str, Any]:
    """Options that were given, as the keys and values of a batches file; what is wrong goes to `faults`.

    Args:    given: by the names that click makes of the options; None where one was not given.
    """
    entered = {}
    for option, (key, read) in _READ.items():
        value = given[option.removeprefix("--").replace("-", "_")]
        if value is not None:
            with faults.each():
                entered[key] = read(value, option, settings)
    if day := packaging_entered(settings, given, faults):
        entered["packaging_day"] = day
    return entered
