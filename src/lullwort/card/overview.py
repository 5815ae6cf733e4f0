"""All vessels, the one that needs somebody first."""

from __future__ import annotations

from collections.abc import Sequence

from lullwort.card.facts import VesselFacts
from lullwort.detector import MAY_BE_PACKAGED, Units, Verdict, reason
from lullwort.exporting import escaped

__all__ = ["overview"]

_WORST_FIRST: tuple[Verdict, ...] = (
    "moving again", "stalled", "unclear", "too cold", "ready", "holding", "fermenting", "lag", "packaged",
)  # fmt: skip


def overview(vessels: Sequence[VesselFacts], units: Units) -> list[str]:
    """The content of its page, as HTML."""
    rows = [_row(facts, units) for facts in sorted(vessels, key=_rank)]
    return [
        "<h1>May it be packaged?</h1>",
        f'<ol class="vessels">{"".join(rows)}</ol>' if rows else "<p>Nothing yet.</p>",
    ]


def _rank(facts: VesselFacts) -> tuple[int, str]:
    verdict: Verdict = "unclear" if facts.batch is None else facts.batch.judged.verdict
    return _WORST_FIRST.index(verdict), facts.vessel


def _row(facts: VesselFacts, units: Units) -> str:
    name = escaped(facts.vessel)
    if facts.batch is None:
        return (
            f'<li><h2><a href="/vessel/{name}">{name}</a></h2><p>Cannot tell: it has readings, but no batch.</p></li>'
        )
    judged = facts.batch.judged
    says = reason(judged.verdict, judged.now, units)
    return (
        f'<li><h2><a href="/vessel/{name}">{name}</a></h2><p><b>{escaped(MAY_BE_PACKAGED[judged.verdict])}</b> '
        f"({escaped(judged.verdict)}). {escaped(says)}</p></li>"
    )
