"""What to do next, with the way to where it is done."""

from __future__ import annotations

from collections.abc import Iterator

from lullwort.card.known.facts import BatchFacts, VesselFacts
from lullwort.card.pages.commandlinks import page_of_command
from lullwort.card.pages.markup import batch_path, moment, part, prose, todo_links, vessel_path
from lullwort.card.vessels.howfresh import waits
from lullwort.detector import Units, Verdict
from lullwort.exporting import escaped
from lullwort.packaging_day import Sheet
from lullwort.records import HOUR_US, Batch

__all__ = ["goes_on_after", "next_part", "next_words"]

_GOES_ON_US = 24 * HOUR_US
"""[µs] A sensor may well be left on for some hours after its beer was packaged."""

_Link = tuple[str, str]


def next_words(says: str) -> str:
    """What to do first, without the commands that do it at a terminal."""
    return next((_ended(words) for words, _ in _steps(says)), "")


def next_part(facts: BatchFacts, vessel: VesselFacts | None, sheet: Sheet, units: Units, now_us: int) -> str:
    """The part; no words where a danger says what is to be done."""
    if facts.over:
        closes = todo_links([(batch_path(facts.batch.name, "close"), f"Close {facts.batch.name}")])
        says = "<p>It was never closed, and another batch is in its vessel. If it was packaged, enter when.</p>"
        return part("next", says + closes, heading="What to do next")
    said = "".join(_told(nth, *step, facts.batch) for nth, step in enumerate(_steps(sheet.next)))
    if waits(facts, now_us):
        said += _HOW_TO_SEND.format(vessel=escaped(facts.batch.vessel))
    if sheet.danger and not said:
        said = "<p>What the danger above says comes before all else.</p>"
    goes_on_us = None if vessel is None or facts.refilled else goes_on_after(vessel)
    if goes_on_us is not None:
        said += (
            f"<p>The log of {escaped(facts.batch.vessel)} has gone on since {moment(goes_on_us, units)} without a "
            f"batch. If another beer is in it, open its batch.</p>"
        )
    return part("next", said + todo_links(_links(facts, on_its_own=goes_on_us is not None)), heading="What to do next")


_HOW_TO_SEND = (
    "<p>A sensor sends to the broker, the address or the folder that the settings name. It says itself that it floats "
    "in <b>{vessel}</b>, or the settings say so below [sensor.NAME]; without either its vessel goes by its own name. "
    'A log that is there already <a href="/import">is imported</a>.</p>'
)


def goes_on_after(vessel: VesselFacts) -> int | None:
    """When [µs] the last batch of a vessel was packaged, if its log goes on for a day or more after that."""
    packaged_us = None if vessel.batch is None else vessel.batch.batch.packaged_us
    if packaged_us is None or vessel.heard_us is None or vessel.heard_us < packaged_us + _GOES_ON_US:
        return None
    return packaged_us


def _steps(says: str) -> Iterator[tuple[str, list[str]]]:
    """Each passage with the commands that follow on it."""
    words, commands = "", list[str]()
    for line in says.splitlines():
        if line.startswith("  "):
            commands.append(line.strip())
            continue
        if words:
            yield words, commands
        words, commands = line, []
    if words:
        yield words, commands


def _told(nth: int, words: str, commands: list[str], batch: Batch) -> str:
    if not commands:
        return f"<p>{prose(words, batch.name)}</p>"
    pages = [page for command in commands if (page := page_of_command(command, batch.name)) is not None]
    typed = f"<pre><code>{escaped(chr(10).join(commands))}</code></pre>"
    if pages:
        links = todo_links(dict.fromkeys((page.address, page.act) for page in pages))
        typed = f'{links}<details id="next-{nth}"><summary>At a terminal</summary>{typed}</details>'
    else:
        typed = f"<p>No page does this, but a command at a terminal:</p>{typed}"
    return f"<p>{prose(_ended(words), batch.name)}</p>{typed}"


def _ended(words: str) -> str:
    """Without the colon before a command, which stands elsewhere here."""
    return f"{words[:-1]}." if words.endswith(":") else words


_SAMPLE, _NOTE, _CLOSE, _SHEET = "sample", "note", "close", "sheet"
_SAYS = {
    _SAMPLE: "Enter a hand sample",
    _NOTE: "Note what was done",
    _CLOSE: "Close it once it is packaged",
    _SHEET: "Get its batch sheet",
}
_WORTH_DOING: dict[Verdict, tuple[str, ...]] = {
    "lag": (_NOTE,),
    "fermenting": (_NOTE, _SAMPLE),
    "holding": (_NOTE, _SAMPLE),
    "ready": (_SAMPLE, _CLOSE, _SHEET),
    "stalled": (_SAMPLE, _NOTE),
    "too cold": (_NOTE, _SAMPLE),
    "unclear": (_SAMPLE, _NOTE),
    "moving again": (_NOTE, _SAMPLE),
    "packaged": (_SHEET,),
}


def _links(facts: BatchFacts, *, on_its_own: bool) -> Iterator[_Link]:
    name = facts.batch.name
    if on_its_own:
        yield vessel_path(facts.batch.vessel, "open"), "Open a batch"
    if facts.judged.now.split is None:
        now = facts.judged.now
        confirmed = now.hand is not None or now.confirmed_us is not None
        for what in _WORTH_DOING[facts.judged.verdict]:
            if what == _SAMPLE and facts.judged.verdict == "ready" and confirmed:
                continue
            yield batch_path(name, what), _SAYS[what]
