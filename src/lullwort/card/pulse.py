"""What a page says of itself: as of when it is, and whether the service that it comes from does its work."""

from __future__ import annotations

from lullwort.detector import Units
from lullwort.exporting import escaped
from lullwort.records import format_utc

__all__ = ["failing_html", "pulse_html"]


def pulse_html(now_us: int, units: Units) -> str:
    """The line by which a reader without script knows how old the page is; the script says there that it is live."""
    return (
        f'<p class="pulse" id="pulse" data-zone="{escaped(units.zone or "UTC")}"><span>As of '
        f'<time datetime="{format_utc(now_us)}">{escaped(units.moment(now_us))}</time>.</span> '
        '<a href="">Load anew</a></p>'
    )


def failing_html(why: str) -> str:
    """Why nothing can be stored; a part of the page that is empty while it can."""
    says = (
        f"<p><strong>Readings cannot be stored:</strong> {escaped(why)}. "
        "What is sent waits with its senders. The answers here are as of the last reading that could be kept.</p>"
    )
    return f'<div class="failing" id="failing" data-part="failing">{says if why else ""}</div>'
