"""What to do next, with the way to where it is done."""

from __future__ import annotations

from collections.abc import Iterator

from lullwort.card.facts import BatchFacts, VesselFacts
from lullwort.card.markup import batch_path, moment, part, prose, todo_links, vessel_path
from lullwort.detector import Units, Verdict
from lullwort.exporting import escaped
from lullwort.packaging_day import Sheet
from lullwort.records import HOUR_US, Batch

__all__ = ["goes_on_after", "next_part", "next_words"]

_GOES_ON_US = 24 * HOUR_US
"""[µs] A sensor may well be left on for some hours after its beer was packaged."""

_Link = tuple[str, str]


def next_words(sheet: Sheet) -> str:
    """What to do, without the commands that do it at a terminal."""
    return " ".join(line for line in sheet.next.splitlines() if not line.startswith("  "))


def next_part(facts: BatchFacts, vessel: VesselFacts | None, sheet: Sheet, units: Units) -> str:
    """The part; nothing where a danger says what is to be done."""
    said = "".join(_told(nth, *step, facts.batch) for nth, step in enumerate(_steps(sheet.next)))
    goes_on_us = None if vessel is None else goes_on_after(vessel)
    if goes_on_us is not None and not facts.refilled:
        said += (
            f"<p>The log of {escaped(facts.batch.vessel)} has gone on since {moment(goes_on_us, units)} without a "
            f"batch. If another beer is in it, open its batch.</p>"
        )
    return part("next", said + todo_links(_links(facts, on_its_own=goes_on_us is not None)), heading="What to do next")


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
        return f"<p>{prose(words)}</p>"
    links = dict.fromkeys(link for command in commands if (link := _link_of(command, batch)) is not None)
    lines = "\n".join(escaped(command) for command in commands)
    return (
        f"<p>{prose(words.removesuffix(':'))}{'.' if words.endswith(':') else ''}</p>{todo_links(links)}"
        f'<details id="next-{nth}"><summary>At a terminal</summary><pre><code>{lines}</code></pre></details>'
    )


def _link_of(command: str, batch: Batch) -> _Link | None:
    """The page that does what a command does; None where there is none."""
    if command.startswith("lullwort batch close "):
        return batch_path(batch.name, "close"), f"Close {batch.name}"
    if command.startswith("lullwort batch open "):
        return vessel_path(batch.vessel, "open"), f"Open another batch in {batch.vessel}"
    if command.startswith("lullwort note "):
        return batch_path(batch.name, "note"), "Note what was put in"
    return None


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
    if facts.refilled:
        return
    if on_its_own:
        yield vessel_path(facts.batch.vessel, "open"), "Open a batch"
    if facts.judged.now.split is None:
        for what in _WORTH_DOING[facts.judged.verdict]:
            yield batch_path(name, what), _SAYS[what]
