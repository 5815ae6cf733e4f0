"""Alerts in short, on the pages of vessels."""

from __future__ import annotations

from collections.abc import Sequence

from lullwort.cellarbook import Posted
from lullwort.detector import Units
from lullwort.exporting import escaped

__all__ = ["alerts_part", "seen_says"]


def alerts_part(alerts: Sequence[Posted], units: Units, *, part: str = "alerts") -> str:
    """Those that stand: what nobody has seen yet stands out, the others are small; empty where there are none.

    Args:   part: name of the part of the page, and its id.
    """
    if not alerts:
        return ""
    unseen = "".join(_unseen(posted, units) for posted in alerts if posted.seen_us is None)
    seen = "".join(_seen(posted, units) for posted in alerts if posted.seen_us is not None)
    return (
        f'<section class="alerts" data-part="{part}" id="{part}" aria-label="Alerts">'
        + (f'<ul class="unseen-alerts">{unseen}</ul>' if unseen else "")
        + (f'<ul class="seen-alerts">{seen}</ul>' if seen else "")
        + "</section>"
    )


def _unseen(posted: Posted, units: Units) -> str:
    alert = posted.alert
    mark = "Urgent" if alert.urgent else "Alert"
    return (
        f'<li class="alert"><b class="mark">{mark}</b> <a href="/alerts#alert-{escaped(posted.name)}">'
        f"{escaped(alert.title)}</a> <small>since {escaped(units.moment(alert.at_us))}</small></li>"
    )


def _seen(posted: Posted, units: Units) -> str:
    return (
        f'<li><small><a href="/alerts#alert-{escaped(posted.name)}">{escaped(posted.alert.title)}</a>, '
        f"{escaped(seen_says(posted, units))}</small></li>"
    )


def seen_says(posted: Posted, units: Units) -> str:
    """When somebody has seen it."""
    return "not seen yet" if posted.seen_us is None else f"seen {units.moment(posted.seen_us)}"
