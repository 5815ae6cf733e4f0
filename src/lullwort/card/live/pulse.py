"""What a page says of itself: as of when it is."""

from __future__ import annotations

from lullwort.detector import Units
from lullwort.exporting import escaped
from lullwort.records import format_utc

__all__ = ["pulse_html"]


def pulse_html(now_us: int, units: Units, address: str) -> str:
    """The line by which a reader without script knows how old the page is; the script says there that it is live."""
    return (
        f'<p class="pulse" id="pulse" data-zone="{escaped(units.zone or "UTC")}"><span>As of '
        f'<time datetime="{format_utc(now_us)}">{escaped(units.moment(now_us))}</time>.</span> '
        f'<a href="{escaped(address)}">Reload</a></p>'
    )
