"""The alerts that stand of a vessel, in short."""

from __future__ import annotations

import re
from collections.abc import Iterable

from lullwort.card.known.facts import VesselFacts
from lullwort.card.pages.commandlinks import page_of_command
from lullwort.card.pages.markup import command_html, ended, moment, part, prose
from lullwort.cellarbook import Posted
from lullwort.detector import Units
from lullwort.exporting import escaped
from lullwort.records import Alert

__all__ = ["alerts_line", "alerts_part", "alerts_path", "said"]

_LEADS_HERE = re.compile(r" ?`lullwort verdict` says what was seen\.")
# What would lead from elsewhere to what these pages show.


def alerts_part(vessel: VesselFacts | None, units: Units) -> str:
    """The part; nothing where none stands. What nobody has seen stands out, the rest is one small line."""
    alerts = () if vessel is None else vessel.alerts
    unseen = "".join(_unseen(posted, units) for posted in alerts if posted.seen_us is None)
    shown = f'<ul class="alerts">{unseen}</ul>' if unseen else ""
    return part("alerts", shown + _seen(alerts, units), heading="Alerts")


def _unseen(posted: Posted, units: Units) -> str:
    alert = posted.alert
    says = "".join(f"<p>{said(line, alert)}</p>" for line in alert.says.splitlines() if not line.startswith("  #"))
    return (
        f'<li><details id="alert-{posted.name}"><summary><span>{escaped(alert.title)}, since '
        f"{moment(alert.at_us, units)}</span></summary>{says}"
        f'<p><a href="{alerts_path(posted)}">Say that you have seen it</a></p></details></li>'
    )


def _seen(alerts: Iterable[Posted], units: Units) -> str:
    said = [
        f'<a href="{alerts_path(posted)}">{escaped(posted.alert.title)}</a>, seen {_day(posted.seen_us, units)}'
        for posted in alerts
        if posted.seen_us is not None
    ]
    return f'<p class="beside">Still so: {"; ".join(said)}</p>' if said else ""


def alerts_line(vessel: VesselFacts, units: Units) -> str:
    """The same in one line, for a list of vessels."""
    unseen = ", ".join(
        f"{escaped(posted.alert.kind)} since {_day(posted.alert.at_us, units)}"
        for posted in vessel.alerts
        if posted.seen_us is None
    )
    seen = ", ".join(
        f"{escaped(posted.alert.kind)}, seen {_day(posted.seen_us, units)}"
        for posted in vessel.alerts
        if posted.seen_us is not None
    )
    loud = f'<p class="alert"><b>Alert:</b> {unseen}</p>' if unseen else ""
    return loud + (f'<p class="beside">Still so: {seen}</p>' if seen else "")


def _day(at_us: int, units: Units) -> str:
    return moment(at_us, units, shown=units.day_and_time(at_us))


def said(line: str, alert: Alert) -> str:
    """A line of an alert as HTML; one that is a command as the page that does it, if one does."""
    if not line.startswith("  "):
        return prose(_LEADS_HERE.sub("", line), alert.batch)
    page = page_of_command(line.strip(), alert.batch)
    return (
        ended(command_html(line.strip()))
        if page is None
        else f'<a href="{escaped(page.address)}">{escaped(page.act)}</a>'
    )


def alerts_path(posted: Posted) -> str:
    """Where an alert stands among all of them."""
    return f"/alerts#alert-{posted.name}"
