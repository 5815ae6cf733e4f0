"""All vessels, the one that needs somebody first."""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence
from typing import NamedTuple

from lullwort.card.known.facts import BatchFacts, VesselFacts
from lullwort.card.pages.markup import first_sentence, moment, part, prose, todo_links, vessel_path
from lullwort.card.vessels.alertspart import alerts_line
from lullwort.card.vessels.answerpart import A_DRILL, failing_part, noted_html
from lullwort.card.vessels.heardpart import heard_last
from lullwort.card.vessels.howfresh import WAITS, by_old_readings, waits
from lullwort.card.vessels.nextpart import goes_on_after, next_words
from lullwort.counting import counted
from lullwort.detector import MAY_BE_PACKAGED, Units, Verdict, noted_since
from lullwort.exporting import escaped
from lullwort.forecast import outlook
from lullwort.packaging_day import next_of, reasons_of
from lullwort.records import HOUR_US, is_drill

__all__ = ["overview"]

_WORST_FIRST: tuple[Verdict, ...] = (
    "moving again", "stalled", "unclear", "too cold", "ready", "holding", "fermenting", "lag", "packaged",
)  # fmt: skip
_UNDER_WAY: tuple[Verdict, ...] = ("holding", "fermenting", "lag")
_LONG_US = 14 * 24 * HOUR_US
"""[µs] What was packaged before that is no news any more."""


class _Group(NamedTuple):
    """Vessels that stand together: what is said above them, and of one or several of them; by their verdicts, but for
    those that can hurt somebody."""

    heading: str
    says: str
    say: str
    verdicts: tuple[Verdict, ...]


_DANGER = _Group("Danger", "can hurt somebody", "can hurt somebody", ())
_GROUPS = (
    _DANGER,
    _Group("Needs somebody", "needs somebody", "need somebody", ("moving again", "stalled", "unclear", "too cold")),
    _Group("May be packaged", "may be packaged", "may be packaged", ("ready",)),
    _Group("Under way", "under way", "under way", _UNDER_WAY),
    _Group("Packaged", "packaged", "packaged", ("packaged",)),
)


def overview(vessels: Sequence[VesselFacts], units: Units, now_us: int, *, failing: str = "") -> list[str]:
    """The content of its page, as HTML.

    Args:    now_us:  [µs] by which a batch has been packaged long ago.
             failing: why the service cannot store anything.
    """
    ranked = sorted(vessels, key=_rank)
    long_ago = [facts for facts in ranked if _packaged_before(facts, now_us - _LONG_US)]
    shown = [facts for facts in ranked if facts not in long_ago]
    groups = "".join(_group(group, shown, units, now_us) for group in _GROUPS)
    return [
        failing_part(failing),
        part("title", f'<h1>May it be packaged?</h1><p class="beside">{_in_short(shown)}</p>'),
        part("vessels", groups),
        part("first", "" if vessels else _FIRST, heading="What to do first"),
        part("open", todo_links([("/open", "Open a batch")]) if vessels else ""),
        part("long-ago", _long_ago(long_ago, units), heading="Packaged long ago"),
    ]


def _verdict(facts: VesselFacts) -> Verdict:
    return "unclear" if facts.batch is None else facts.batch.judged.verdict


def _dangerous(facts: VesselFacts) -> bool:
    return facts.batch is not None and facts.batch.sheet.danger.any


def _group_of(facts: VesselFacts) -> _Group:
    if _dangerous(facts):
        return _DANGER
    return next(group for group in _GROUPS if _verdict(facts) in group.verdicts)


def _rank(facts: VesselFacts) -> tuple[bool, int, str]:
    """What can hurt somebody first, whatever its verdict; then by that."""
    return not _dangerous(facts), _WORST_FIRST.index(_verdict(facts)), facts.vessel


def _packaged_before(facts: VesselFacts, before_us: int) -> bool:
    """Whether it was, and nothing is to be done about it any more."""
    if facts.batch is None or _verdict(facts) != "packaged":
        return False
    if _dangerous(facts) or goes_on_after(facts) is not None:
        return False
    return (facts.batch.batch.packaged_us or 0) < before_us


def _in_short(shown: Sequence[VesselFacts]) -> str:
    """The whole cellar in a line, as HTML; what can hurt somebody by name, ahead of all counts."""
    if not shown:
        return "Nothing is in the cellar."
    counts = Counter(_group_of(facts) for facts in shown)
    said = [f"{counts[group]} {group.says if counts[group] == 1 else group.say}" for group in _GROUPS if counts[group]]
    return f"{_dangers(shown)}{counted(len(shown), 'vessel')}: {', '.join(said)}."


def _dangers(shown: Sequence[VesselFacts]) -> str:
    links = ", ".join(
        f'<a href="{vessel_path(facts.vessel)}">{escaped(facts.vessel)}</a>' for facts in shown if _dangerous(facts)
    )
    return f'<strong class="danger">Danger: {links}.</strong> ' if links else ""


def _group(group: _Group, shown: Sequence[VesselFacts], units: Units, now_us: int) -> str:
    members = [facts for facts in shown if _group_of(facts) is group]
    if not members:
        return ""
    rows = "".join(_row(facts, units, now_us) for facts in members)
    return f'<h2>{escaped(group.heading)}</h2><ol class="vessels">{rows}</ol>'


class _Told(NamedTuple):
    """The words of one row; all but the answer is HTML."""

    batch: str
    answer: str
    verdict: str
    why: str
    ahead: str
    noted: str = ""
    aloud: str = ""
    old: bool = False


def _row(facts: VesselFacts, units: Units, now_us: int) -> str:
    told = _NO_BATCH if facts.batch is None else _told(facts.batch, facts, units, now_us)
    if facts.batch is None:
        told = told._replace(ahead=f'<a href="{vessel_path(facts.vessel, "open")}">Open its batch</a>')
    spoken = f"{facts.vessel}: {told.answer}, {_verdict(facts)}.{told.aloud}"
    name = f'<h3><a href="{vessel_path(facts.vessel)}">{escaped(facts.vessel)}</a></h3>'
    word = f'<p class="word{" old" if told.old else ""}">{escaped(told.answer)}</p>'
    return (
        f'<li class="vessel" data-say="{escaped(spoken)}"><div class="who">{name}{told.batch}</div>'
        f'<div class="says">{word}<p class="verdict">{told.verdict}</p></div>'
        f'<div class="more">{told.noted}<p>{told.why}</p><p class="ahead">{told.ahead}</p>{alerts_line(facts, units)}'
        f'<p class="beside">{heard_last(facts.heard_us, units, facts.batch)}</p></div></li>'
    )


_NO_BATCH = _Told("", "Cannot tell", "no batch", "It has readings, but no batch is open for them.", "")


def _told(batch: BatchFacts, facts: VesselFacts, units: Units, now_us: int) -> _Told:
    recipe = "" if batch.batch.recipe is None else f" {escaped(batch.batch.recipe)}"
    drill = f". {A_DRILL}" if is_drill(batch.batch) else ""
    since_us = batch.judged.since_us
    since = "" if since_us is None else f" since {moment(since_us, units, shown=units.day_and_time(since_us))}"
    if batch.sheet.packaged:
        since = since.replace(" since", "", 1)
    verdict = WAITS if waits(batch, now_us) else f"{escaped(batch.judged.verdict)}{since}"
    old = by_old_readings(batch, facts.heard_us, now_us)
    noted = noted_since(batch.judged, now_us)
    return _Told(
        f'<p class="beside">{escaped(batch.batch.name)}{recipe}{drill}</p>',
        MAY_BE_PACKAGED[batch.judged.verdict],
        f"{verdict}, {old}" if old else verdict,
        prose(first_sentence(reasons_of(batch.sheet, units)[0]), batch.batch.name),
        _ahead(batch, facts, units),
        noted_html(noted, units),
        f" {noted.says(units)}" if noted.undoes else "",
        bool(old),
    )


def _ahead(batch: BatchFacts, facts: VesselFacts, units: Units) -> str:
    """What comes next: a danger, the forecast, or what to do."""
    if danger := batch.sheet.danger.says(units):
        return f'<strong class="danger">Danger. {prose(danger, batch.batch.name)}</strong>'
    if goes_on_after(facts) is not None:
        return f'Its log goes on without a batch: <a href="{vessel_path(facts.vessel, "open")}">open one</a>.'
    forecast = batch.forecast if batch.judged.verdict in _UNDER_WAY else None
    if forecast is not None and forecast.ready is not None and batch.judged.now.first_sample is None:
        return prose(first_sentence(outlook(forecast, units)))
    return prose(next_words(next_of(batch.sheet, units)), batch.batch.name)


def _long_ago(members: Sequence[VesselFacts], units: Units) -> str:
    rows = "".join(
        f'<li><a href="{vessel_path(facts.vessel)}">{escaped(facts.vessel)}</a> {escaped(facts.batch.batch.name)}, '
        f"packaged {moment(facts.batch.batch.packaged_us, units)}</li>"
        for facts in members
        if facts.batch is not None and facts.batch.batch.packaged_us is not None
    )
    return f'<ul class="others">{rows}</ul>' if rows else ""


_FIRST = (
    "<p>Here stands, for every vessel, whether its beer may be packaged. For that it must know of a batch, and hear of "
    "its gravity:</p><ol><li>Let a sensor send to the broker, folder or address that the settings name, or "
    '<a href="/import">import a log</a> that you have. Its vessel then shows here.</li><li>'
    '<a href="/open">Open the batch</a> in that vessel: when it was pitched, and its original gravity.</li>'
    '<li>Without a sensor, <a href="/open">open the batch</a> first, then enter hand samples.</li></ol>'
    '<details id="first-terminal"><summary>At a terminal</summary>'
    "<pre><code>lullwort batch open VESSEL --pitched TIME\n"
    "lullwort backfill LOG</code></pre></details>"
)
