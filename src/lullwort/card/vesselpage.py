"""One vessel: whether its beer may be packaged, why, and what comes next."""

from __future__ import annotations

from lullwort.card.curvepart import curve_part
from lullwort.card.curvespan import WHOLE, CurveSpan
from lullwort.card.facts import BatchFacts, VesselFacts
from lullwort.detector import MAY_BE_PACKAGED, Units, reason
from lullwort.exporting import escaped

__all__ = ["batch_page", "vessel_page"]


def vessel_page(facts: VesselFacts, units: Units, span: CurveSpan = WHOLE) -> list[str]:
    """The content of its page, as HTML."""
    if facts.batch is None:
        return [f"<h1>{escaped(facts.vessel)}</h1>", "<p>Cannot tell: it has readings, but no batch.</p>"]
    return batch_page(facts.batch, units, span)


def batch_page(facts: BatchFacts, units: Units, span: CurveSpan = WHOLE) -> list[str]:
    """The content of the page of a batch, over or not; `span` of its curve."""
    judged = facts.judged
    return [
        f"<h1>{escaped(facts.batch.name)}</h1>",
        f'<p class="answer">May it be packaged? <b>{escaped(MAY_BE_PACKAGED[judged.verdict])}</b></p>',
        f"<p>{escaped(reason(judged.verdict, judged.now, units))}</p>",
        curve_part(facts, units, span),
    ]
