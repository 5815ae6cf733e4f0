"""The evidence behind a verdict, check by check: measured, limit, since when, why it matters, what would turn it."""

from __future__ import annotations

from lullwort.card.pages.markup import moment, part, prose
from lullwort.detector import (
    Check,
    Snapshot,
    Units,
    check_changes_when,
    check_figures,
    evidence,
    why_it_matters,
)
from lullwort.exporting import escaped
from lullwort.packaging_day import Sheet
from lullwort.records import HOUR_US

__all__ = ["evidence_then", "holds_html", "ledger_part"]


def ledger_part(sheet: Sheet, seen: Snapshot, units: Units, batch: str, *, over: bool) -> str:
    """The part; nothing before there is evidence of any kind.

    Args:    over: whether the beer is packaged, so that nothing can turn any more.
    """
    if not sheet.checks:
        return part("ledger", "")
    if _nothing(seen):
        return part("ledger", f"<p>{_NOTHING}</p>", heading=sheet.checks_head)
    rows = "".join(_row(check, seen, units, batch, over=over) for check in evidence(seen, units))
    said = _silent(seen, units) + ("" if seen.hand is not None else f'<p class="beside">{_PROVING}</p>')
    return part("ledger", f'{said}<ol class="ledger">{rows}</ol>', heading=sheet.checks_head)


def evidence_then(seen: Snapshot, units: Units, batch: str) -> str:
    """The same in short, as it stood at another time."""
    if _nothing(seen):
        return f'<p class="beside">{_NOTHING}</p>'
    rows = "".join(
        f"<li>{holds_html(check.passed)} <b>{escaped(check.check)}</b>. {prose(check.says, batch)}</li>"
        for check in evidence(seen, units)
    )
    return f'<ul class="then">{rows}</ul>'


_PROVING = (
    "Gravity must hold still for a number of proving hours: hours in which the beer was warm enough, was heard of, and "
    "nothing had been done to it. Others do not count."
)
_NOTHING = "Nothing could be measured, so the seven checks tell nothing."


def _nothing(seen: Snapshot) -> bool:
    return seen.level is None and seen.hand is None


def _silent(seen: Snapshot, units: Units) -> str:
    """That what was measured is of an earlier time; nothing while its sensor is heard."""
    if seen.hand is not None or seen.unseen_h is None or seen.passed["seen"]:
        return ""
    since = moment(seen.at_us - round(seen.unseen_h * HOUR_US), units)
    return f"<p>The sensor was heard last by {since}: what is said of the beer and its warmth is as of then.</p>"


def holds_html(passed: bool) -> str:
    """By a sign and a word, so that no colour is needed."""
    sign, word, kind = ("✓", "holds", "holds") if passed else ("✗", "does not hold", "fails")
    return f'<span class="{kind}"><span aria-hidden="true">{sign}</span> {word}</span>'


def _pair(measured: str, limit: str) -> str:
    return _cell("measured", measured) + _cell("limit", limit)


def _cell(term: str, says: str, kind: str = "") -> str:
    looks = f' class="{kind}"' if kind else ""
    return f"<div{looks}><dt>{term}</dt><dd>{says or '–'}</dd></div>"


def _row(check: Check, seen: Snapshot, units: Units, batch: str, *, over: bool) -> str:
    name = check.check
    called = name.replace(" ", "-")
    first, *others = ((escaped(each.measured), escaped(each.limit)) for each in check_figures(name, seen, units))
    cells = _pair(*first) + _cell("since", moment(seen.since_us[name], units), "since")
    cells += "".join(_pair(*other) for other in others)
    kind = "check" if check.passed else "check open"
    turns = "" if over else f"<p>{prose(check_changes_when(name, seen, units), batch)}</p>"
    return (
        f'<li class="{kind}"><div class="what"><h3>{escaped(name)}</h3><p>{holds_html(check.passed)}</p></div>'
        f'<dl class="figures">{cells}</dl><div class="seen"><p>{prose(check.says, batch)}</p>'
        f'<p class="beside">{prose(why_it_matters(name))}</p>'
        + (f'<details id="turns-{called}"><summary>What would turn it</summary>{turns}</details>' if turns else "")
        + "</div></li>"
    )
