"""The alerts that stand of a vessel, in short."""

from __future__ import annotations

from collections.abc import Iterable, Iterator

from lullwort.card.facts import VesselFacts
from lullwort.card.markup import moment, part
from lullwort.detector import Units
from lullwort.exporting import escaped
from lullwort.records import OF_A_MOMENT, Alert

__all__ = ["alerts_part", "standing_alerts"]


def standing_alerts(vessel: VesselFacts) -> list[Alert]:
    """Those that are so now: none of a moment, and none of a batch that is over."""
    name = "" if vessel.batch is None else vessel.batch.batch.name
    return [each for each in vessel.alerts if each.kind not in OF_A_MOMENT and each.batch in ("", name)]


def alerts_part(vessel: VesselFacts | None, units: Units) -> str:
    """The part; nothing where none stands."""
    rows = "" if vessel is None else "".join(_rows(standing_alerts(vessel), units))
    return part("alerts", f'<ul class="alerts">{rows}</ul>' if rows else "", heading="Alerts")


def _rows(alerts: Iterable[Alert], units: Units) -> Iterator[str]:
    for alert in alerts:
        says = "".join(f"<p>{escaped(line)}</p>" for line in alert.says.splitlines() if not line.startswith("  "))
        yield (
            f'<li><details id="alert-{alert.key & (2**64 - 1):x}"><summary>{escaped(alert.title)}, since '
            f"{moment(alert.at_us, units)}</summary>{says}</details></li>"
        )
