"""The original gravity of `batch open` as it was read: a sample of the wort, which a later check corrects, too."""

from __future__ import annotations

from collections.abc import Callable
from datetime import datetime
from typing import Any

import click

from lullwort.cellarbook import open_book
from lullwort.cli.samplegiven import SampleGiven, brix_typed, sample_keys
from lullwort.errors import UsageError
from lullwort.settings import Settings

__all__ = ["wort_options", "wort_sample_of"]

_READ_AT, _WITH = "--original-gravity-read-at", "--original-gravity-with"


def wort_options(command: Callable[..., Any]) -> Callable[..., Any]:
    """How the original gravity was read."""
    command = click.option(_WITH, "wort_instrument", metavar="NAME", help="The instrument on record that read it.")(
        command
    )
    return click.option(
        _READ_AT, "wort_temperature", metavar="TEMPERATURE", help="Of the wort when it was read; corrected for it."
    )(command)


def wort_sample_of(settings: Settings, given: dict[str, Any], pitched_at: datetime) -> dict[str, Any]:
    """The sample of the wort as an entry of a batches file, and its options taken out of `given`.

    Nothing where the original gravity was entered as such. Raises UsageError.
    """
    temperature, instrument = given.pop("wort_temperature"), given.pop("wort_instrument")
    gravity = given["original_gravity"]
    if gravity is None:
        for option, value in ((_READ_AT, temperature), (_WITH, instrument)):
            if value is not None:
                raise UsageError(f"batch open: {option} goes with --original-gravity")
        return {}
    if temperature is None and instrument is None and brix_typed(gravity) is None:
        return {}
    given["original_gravity"] = None
    sample = SampleGiven(
        gravity, temperature, instrument, gravity_option="--original-gravity", temperature_option=_READ_AT
    )
    on_record: tuple[Any, ...] = ()
    if instrument is not None and settings.book.exists():
        with open_book(settings.book, create=False) as book:
            on_record = book.equipment.instruments()
    return {"event": [{"at": pitched_at, "kind": "sample", **sample_keys(sample, settings, on_record)}]}
