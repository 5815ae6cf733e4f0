"""How a batch came to its verdict: each change with its reason, and the evidence as it stood then."""

from __future__ import annotations

from lullwort.card.pages.markup import moment, part, prose
from lullwort.card.vessels.ledger import evidence_then
from lullwort.detector import Change, Judged, Units, checks_turned, reason
from lullwort.exporting import escaped

__all__ = ["history_part"]


def history_part(judged: Judged, units: Units) -> str:
    """The part, the newest first; nothing before the first hour was judged."""
    before = [None, *(change.seen for change in judged.history)]
    rows = [
        _row(nth, change, checks_turned(was, change.seen), judged, units)
        for nth, (change, was) in enumerate(zip(judged.history, before, strict=False))
    ]
    body = f'<ol class="history" reversed>{"".join(reversed(rows))}</ol>' if rows else ""
    return part("history", body, heading="History")


def _row(nth: int, change: Change, turned: str, judged: Judged, units: Units) -> str:
    batch = judged.batch.name
    says = f"<p>{prose(reason(change.verdict, change.seen, units), batch)}</p>"
    return (
        f'<li><details id="was-{nth}"><summary><span><b>{escaped(change.verdict)}</b> '
        f"{moment(judged.told_as_of(change), units)}</span></summary>{says}"
        f'<p class="beside">{escaped(turned)}</p>{evidence_then(change.seen, units, batch)}</details></li>'
    )
