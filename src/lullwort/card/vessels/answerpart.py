"""The question, the answer to it, what is dangerous, and why it is so."""

from __future__ import annotations

from collections.abc import Iterator

from lullwort.card.known.facts import BatchFacts, VesselFacts
from lullwort.card.pages.markup import batch_path, moment, part, prose, vessel_path
from lullwort.card.vessels.heardpart import heard_us
from lullwort.card.vessels.howfresh import WAITS, by_old_readings, waits
from lullwort.detector import MAY_BE_PACKAGED, NotedSince, Units, changes_when, noted_since
from lullwort.exporting import escaped
from lullwort.forecast import outlook, outlook_details
from lullwort.packaging_day import Sheet, strength_says
from lullwort.records import is_drill

__all__ = [
    "A_DRILL",
    "answer_part",
    "answer_word",
    "danger_part",
    "failing_part",
    "noted_html",
    "title_part",
    "why_part",
]


def failing_part(failing: str) -> str:
    """That the service can store nothing, before all else; nothing while it can."""
    says = (
        '<p class="danger" role="alert"><strong>Nothing is stored.</strong> '
        f"{escaped(failing.rstrip('.'))}. What stands here may be out of date: nothing that is sent counts until this "
        "is mended.</p>"
    )
    return part("failing", says if failing else "", kind="loud")


A_DRILL = "<b>A drill:</b> all its readings are invented."
"""Of a batch that says so itself, as HTML."""


def title_part(facts: BatchFacts, vessel: VesselFacts | None, sheet: Sheet) -> str:
    """Which batch it is, and the question."""
    batch = facts.batch
    where = f'<a href="{vessel_path(batch.vessel)}">{escaped(batch.vessel)}</a>'
    recipe = "" if batch.recipe is None else f" · {escaped(batch.recipe)}"
    over = ""
    if facts.refilled and vessel is not None and vessel.batch is not None:
        name = vessel.batch.batch.name
        over = (
            f'<p class="beside">This one is over: <a href="{batch_path(name)}">{escaped(name)}</a> is in the vessel '
            "now.</p>"
        )
    if is_drill(batch):
        over += f'<p class="beside">{A_DRILL}</p>'
    return part(
        "title", f'<p class="kind">Vessel {where}{recipe}</p><h1>May {escaped(sheet.title)} be packaged?</h1>{over}'
    )


def answer_word(facts: BatchFacts) -> str:
    """The answer in a word or two."""
    return "Over" if facts.over else MAY_BE_PACKAGED[facts.judged.verdict]


def danger_part(sheet: Sheet, batch: str) -> str:
    """What can hurt somebody; nothing where there is no danger but the usual one."""
    says = f'<p class="danger" role="note"><strong>Danger.</strong> {prose(sheet.danger, batch)}</p>'
    return part("danger", says if sheet.danger else "", kind="loud")


def answer_part(facts: BatchFacts, vessel: VesselFacts | None, units: Units, now_us: int) -> str:
    """The answer, since when it is so, as of when, and what was noted since, of which it does not know yet."""
    judged, sheets = facts.judged, facts.sheet
    said = f"{'was ' if facts.over else ''}{escaped(sheets.verdict)}"
    if sheets.packaged and facts.batch.packaged_us is not None:
        said += f" {moment(facts.batch.packaged_us, units)}"
    elif waits(facts, now_us):
        said = WAITS
    elif judged.since_us is not None:
        said += f" since {moment(judged.since_us, units)}"
    old = by_old_readings(facts, heard_us(facts, vessel), now_us)
    said += f", {old}" if old else ""
    spoken = f"{facts.batch.name}: {answer_word(facts)}, {judged.verdict}."
    as_of = "" if waits(facts, now_us) else f'<p class="beside">As of {moment(sheets.as_of_us, units)}.</p>'
    noted = noted_since(judged, now_us)
    if noted.undoes:
        spoken += f" {noted.says(units)}"
    return part(
        "answer",
        f'<p class="word{" old" if old else ""}" data-say="{escaped(spoken)}">{escaped(answer_word(facts))}</p>'
        f'<div><p class="verdict">{said}.</p>{as_of}</div>{noted_html(noted, units)}',
        kind="answer",
    )


def noted_html(noted: NotedSince, units: Units) -> str:
    """What was noted since; nothing where nothing was. It is as loud as a danger where it undoes a yes."""
    if not noted.events:
        return ""
    return f'<p class="{"danger" if noted.undoes else "since"}">{prose(noted.says(units))}</p>'


def why_part(facts: BatchFacts, sheet: Sheet, units: Units) -> str:
    """Why, what would change it, how strong it is so far, and what is foreseen."""
    name = facts.batch.name
    lines = "".join(f"<p>{prose(line, name)}</p>" for line in sheet.reasons if line)
    more = "".join(
        f"<dt>{escaped(head)}</dt><dd>{''.join(f'<p>{prose(line, name)}</p>' for line in says)}</dd>"
        for head, says in _beside(facts, units)
        if says
    )
    return part("why", lines + (f'<dl class="beyond">{more}</dl>' if more else ""), heading="Why")


def _beside(facts: BatchFacts, units: Units) -> Iterator[tuple[str, list[str]]]:
    """What else is known, by what it is about, a line each."""
    now, forecast = facts.judged.now, facts.forecast
    if facts.sheet.packaged or facts.over:
        return
    yield "What changes it", [changes_when(facts.judged.verdict, now, units)]
    if forecast is not None and now.first_sample is None:
        ahead = [outlook(forecast, units), *outlook_details(forecast, units, sealed=now.sealed is not None)]
        yield "Foreseen", [line for line in ahead if line]
    if strength := strength_says(facts.sheet.figures.get("abv"), now, units):
        yield "Strength", [strength]
