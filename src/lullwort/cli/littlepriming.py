"""A weight of priming that is far too little, which most often is one in another unit."""

from __future__ import annotations

from lullwort.cli.gasvalues import unit_less_weight, weight_g, weights_meant
from lullwort.errors import UsageError
from lullwort.records import PackagingDay
from lullwort.settings import Settings

__all__ = ["refuse_little_priming"]

_LEAST_G_L, _MOST_G_L = 0.5, 15.0
# [g/L] Of sugar. Below it carbonates nothing; the liveliest beers take less than the other. Common practice, no source.
_OF_WORT = 10.0
# So much more of wort does the same.


def refuse_little_priming(text: str | None, day: PackagingDay, volume_l: float | None, settings: Settings) -> None:
    """Raise UsageError for what was typed as --primed, without a unit or with a mark that may part thousands, where it
    is hardly anything for the beer there is; with its unit it is believed.

    Args:    day: with it. volume_l: [L] in the vessel; None where neither this nor what was moved is known.
    """
    beer_l = volume_l if day.moved_l is None else day.moved_l
    if text is None or beer_l is None or not day.primed_g or not unit_less_weight(text, settings):
        return
    more = _OF_WORT if day.sugar == "reserved-wort" else 1.0
    if weight_g(text, "--primed", settings) >= more * _LEAST_G_L * beer_l:
        return
    units = settings.units
    meant = weights_meant(text, more * _LEAST_G_L * beer_l, more * _MOST_G_L * beer_l)
    write = f"write {' or '.join(meant)}, or " if meant else "write "
    typed = text.strip()
    bare = f"{typed}{settings.weight}" if typed[-1].isdigit() else f"{units.short(day.primed_g, 3)}g"
    raise UsageError(
        f"--primed is {text!r}, that is {units.weight(day.primed_g)} for {units.amount(beer_l)} of beer, hardly "
        f"anything: {write}{bare} where that is meant"
    )
