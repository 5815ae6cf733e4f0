"""`lullwort alerts`: what was told and still stands, what was told lately, and what somebody has seen of it."""

from __future__ import annotations

import json
from typing import Any

import click

from lullwort.alerts import TOLD_TO_NOBODY
from lullwort.cellarbook import DeliveryState, Posted, open_book
from lullwort.cli.common import as_json_option, with_settings
from lullwort.cli.lines import say
from lullwort.cli.shownunits import local_time
from lullwort.cli.values import now_us
from lullwort.records import format_utc
from lullwort.settings import Settings
from lullwort.standing import standing_alerts

__all__ = ["alerts"]

_RECENT = 20


@click.command(short_help="List what was told and still stands, and say what has been seen.")
@click.option(
    "--seen", "names", metavar="ALERT", multiple=True, help="Say that this one has been seen; may be repeated."
)
@click.option(
    "--last", "limit", metavar="N", type=click.IntRange(1, 1000), default=_RECENT, show_default=True,
    help="How many of the recent ones are listed.",
)  # fmt: skip
@as_json_option
@with_settings("book", "zone")
def alerts(settings: Settings, names: tuple[str, ...], limit: int, as_json: bool) -> None:
    """List the alerts of the service: those that stand first, then the recent ones, and how far each has come.

    ALERT is the name that stands before it, or its first digits. One that has been seen stays on record, stands as
    long as what it says is so, and is delivered all the same; it no longer stands out on the card. When it is so
    again, that is another alert.

    Exit 0: listed, and put down. Exit 1: no such alert; of several named nothing is put down after it.
    """
    with open_book(settings.book, create=False) as book:
        for name in names:
            posted = book.outbox.see(name, now_us())
            say(f"{posted.name} {posted.alert.title}: {_seen(posted, settings)}", err=as_json)
        if names and not as_json:
            return
        standing = standing_alerts(book)
        recent = book.outbox.recent(limit)
    if as_json:
        document = {"standing": list(map(_document, standing)), "recent": list(map(_document, recent))}
        click.echo(json.dumps(document, indent=2, ensure_ascii=False))
        return
    if not settings.alert_targets:
        say(TOLD_TO_NOBODY)
    say("Standing:" if standing else "No alerts.")
    for posted in standing:
        _say_alert(posted, settings)
    say("Lately, newest first:" if recent else "Nothing was ever told.")
    for posted in recent:
        _say_alert(posted, settings)


def _say_alert(posted: Posted, settings: Settings) -> None:
    alert = posted.alert
    say(f"  {posted.name}  {local_time(alert.at_us, settings)}  {alert.title} ({_seen(posted, settings)})")
    for line in alert.says.splitlines():
        say(f"    {line}")
    for delivery in posted.deliveries:
        say(f"    {_delivery(delivery, settings)}")


def _seen(posted: Posted, settings: Settings) -> str:
    return "not seen yet" if posted.seen_us is None else f"seen {local_time(posted.seen_us, settings)}"


def _delivery(state: DeliveryState, settings: Settings) -> str:
    if state.delivered_us is not None:
        return f"{state.target}: delivered {local_time(state.delivered_us, settings)}"
    why = f" ({state.error})" if state.error else ""
    if state.next_us is None:
        return f"{state.target}: given up{why}"
    return f"{state.target}: not delivered yet{why}, next try {local_time(state.next_us, settings)}"


def _document(posted: Posted) -> dict[str, Any]:
    alert = posted.alert
    return {
        "name": posted.name, "kind": alert.kind, "about": alert.about, "on": alert.on, "at": format_utc(alert.at_us),
        "vessel": alert.vessel or None, "batch": alert.batch or None, "sensor": alert.sensor or None,
        "urgent": alert.urgent, "title": alert.title, "says": alert.says, "data": alert.data,
        "seen_at": _utc(posted.seen_us),
        "deliveries": [
            {
                "target": state.target, "tries": state.tries, "delivered_at": _utc(state.delivered_us),
                "next_at": _utc(state.next_us), "error": state.error,
            }
            for state in posted.deliveries
        ],
    }  # fmt: skip


def _utc(at_us: int | None) -> str | None:
    return None if at_us is None else format_utc(at_us)
