"""What was told: the alerts that stand, the recent ones, and how far each has come."""

from __future__ import annotations

from collections.abc import Sequence

from lullwort.alerts import TOLD_TO_NOBODY
from lullwort.card.pages.fields import TOKEN_FIELD
from lullwort.card.pages.markup import moment, part, vessel_path
from lullwort.card.vessels.alertspart import said
from lullwort.cellarbook import DeliveryState, Posted
from lullwort.detector import Units
from lullwort.exporting import escaped
from lullwort.records import OF_A_MOMENT

__all__ = ["alerts_page"]

_WHAT_SEEN_MEANS = (
    "An alert that you have seen stays on record, and stands as long as what it says is so, but is small on the pages "
    "of the vessels. It is delivered all the same: that you saw it here does not say that it reached the others. "
    "When it is so again, that is another alert."
)


def alerts_page(
    standing: Sequence[Posted], recent: Sequence[Posted], token: str, units: Units, targets: Sequence[str]
) -> list[str]:  # fmt: skip
    """The content of its page, as HTML; of those that stand, the ones nobody has seen come first.

    Args:   token:   of the visitor.
            targets: where alerts go.
    """
    first = sorted(standing, key=lambda posted: posted.seen_us is not None)
    names = {posted.name for posted in standing}
    others = [posted for posted in recent if posted.name not in names]
    return [
        "<h1>Alerts</h1>",
        "" if targets else f"<p>{escaped(TOLD_TO_NOBODY)}</p>",
        part("standing", _items(first, token, units), heading="Standing") if standing else "<p>No alerts.</p>",
        f'<p class="beside">{_WHAT_SEEN_MEANS}</p>' if standing else "",
        part("recent", _items(others, "", units), heading="Lately") if others else "",
    ]


def _items(alerts: Sequence[Posted], token: str, units: Units) -> str:
    return f'<ol class="told-alerts">{"".join(_item(posted, token, units) for posted in alerts)}</ol>'


def _item(posted: Posted, token: str, units: Units) -> str:
    alert, name = posted.alert, escaped(posted.name)
    asks = bool(token) and posted.seen_us is None
    says = "".join(f"<p>{said(line, alert)}</p>" for line in alert.says.splitlines() if not line.startswith("  #"))
    sent = "".join(f"<li>{escaped(_delivery(state, units))}</li>" for state in posted.deliveries)
    vessel = f'<a href="{vessel_path(alert.vessel)}">{escaped(alert.vessel)}</a>, ' if alert.vessel else ""
    of = "" if alert.kind in OF_A_MOMENT else "since " if alert.on else "over since "
    kind = ' class="asks"' if asks else ""
    seen = "" if posted.seen_us is None else f", seen {moment(posted.seen_us, units)}"
    return (
        f'<li id="alert-{name}"{kind}>'
        f"<h3>{'<b>Urgent:</b> ' if asks and alert.urgent else ''}{escaped(alert.title)}</h3>"
        f'<p class="beside">{vessel}{of}{moment(alert.at_us, units)}{seen}</p>{says}'
        + (f'<ul class="sent">{sent}</ul>' if sent else '<p class="beside">Shown here only.</p>')
        + (_button(posted, token) if asks else "")
        + "</li>"
    )


def _button(posted: Posted, token: str) -> str:
    name = escaped(posted.name)
    return (
        f'<form method="post" action="/alerts/{name}/seen"><input type="hidden" name="{TOKEN_FIELD}" '
        f'value="{escaped(token)}" autocomplete="off"><button type="submit">I have seen it<span class="unseen">: '
        f"{escaped(posted.alert.title)}</span></button></form>"
    )


_TO = {"push": "by push", "webhook": "to the webhook", "broker": "at the broker"}


def _delivery(state: DeliveryState, units: Units) -> str:
    """When it was told to whom, or why not."""
    to = _TO.get(state.target, state.target)
    if state.delivered_us is not None:
        return f"Told {to} {units.moment(state.delivered_us)}"
    why = f": {state.error}" if state.error else ""
    if state.next_us is None:
        return f"Not told {to}, and given up{why}"
    tries = f" after {state.tries} tries" if state.tries > 1 else ""
    return f"Not told {to} yet{tries}{why}; next try {units.moment(state.next_us)}"
