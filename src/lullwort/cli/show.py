"""What a brewer sees at the terminal: the answer first, then what to do, then the evidence."""

from __future__ import annotations

from rich.console import Console
from rich.padding import Padding
from rich.table import Table
from rich.text import Text

from lullwort.cli.document import NO_BATCH
from lullwort.cli.shownunits import local_time, units_of
from lullwort.detector import (
    BEGUN_ANEW,
    MAY_BE_PACKAGED,
    Judged,
    Units,
    evidence,
    noted_since,
    reason,
    two_day_rule,
    why_passed_over,
)
from lullwort.forecast import Forecast, moved_by, outlook, outlook_details
from lullwort.packaging_day import strength_says, strength_so_far
from lullwort.settings import Settings
from lullwort.standing import Entry, sealed_now

__all__ = ["show"]

_NARROW = 60
"""[columns] Beside a column of the checks' names too little is left for what was seen."""


def show(
    entries: list[Entry],
    settings: Settings,
    out: Console,
    *,
    now_us: int,
    brief: bool = False,
    ledger: bool = True,
) -> None:
    """Print each entry; without `ledger` leave its evidence out, and with `brief` of the forecast's details, too, all
    but why it has moved. `now_us` [µs] is when it is told."""
    units = units_of(settings)
    for i, entry in enumerate(entries):
        if i:
            out.print()
        if entry.judged is None or entry.batch is None:
            out.print(Text(f"Vessel {entry.vessel}", style="bold"))
            out.print(f"May it be packaged?  Cannot tell. {NO_BATCH}")
            continue
        _answer(entry, entry.judged, units, settings, out, now_us=now_us, brief=brief)
        if ledger and not brief:
            _ledger(entry.judged, units, settings, out)


def _answer(
    entry: Entry, judged: Judged, units: Units, settings: Settings, out: Console, *, now_us: int, brief: bool
) -> None:
    now, verdict = judged.now, judged.verdict
    assert entry.batch is not None
    where = f"{entry.batch.name} in vessel {entry.vessel}, as of {local_time(judged.as_of_us, settings)}"
    out.print(Text(where, style="bold"))
    since = "" if judged.since_us is None else f" since {local_time(judged.since_us, settings)}"
    line = Text("May it be packaged?  ")
    line.append(MAY_BE_PACKAGED[verdict], style="bold")
    line.append(f" ({verdict}{since}).")
    out.print(line)
    noted = noted_since(judged, now_us)
    if noted.events:
        out.print(Text(noted.says(units), style="bold" if noted.undoes else ""))
    out.print(reason(verdict, now, units))
    if rule := two_day_rule(verdict, now):
        out.print(rule)
    if now.gravity is not None and verdict != "packaged" and now.split is None:
        out.print(sealed_now(judged, units))
    if says := strength_says(strength_so_far(now), now, units):
        out.print(says)
    if entry.forecast is not None and now.first_sample is None:
        _forecast(entry.forecast, units, out, brief=brief, sealed=now.sealed is not None)
    _next(BEGUN_ANEW if noted.undoes else entry.next_says(units), out)
    if entry.without_batch_after_us is not None:
        after = local_time(entry.without_batch_after_us, settings)
        out.print(f"The log of {entry.vessel} goes on after {after} without a batch: open it with")
        out.print(f"  lullwort batch open {entry.vessel} --pitched TIME", soft_wrap=True)


def _forecast(forecast: Forecast, units: Units, out: Console, *, brief: bool, sealed: bool) -> None:
    if says := outlook(forecast, units):
        out.print(Text.assemble(("Forecast: ", "bold"), says))
    for line in [moved_by(forecast)] if brief else outlook_details(forecast, units, sealed=sealed):
        if line:
            out.print(Padding(line, (0, 0, 0, 2)))


def _next(says: str, out: Console) -> None:
    for nth, line in enumerate(says.splitlines()):
        text = Text.assemble(("" if nth else "Next: ", "bold"), line)
        # A command stays whole: half of it, copied, may be another command.
        out.print(text, soft_wrap=line.startswith("  "))


def _ledger(judged: Judged, units: Units, settings: Settings, out: Console) -> None:
    table = Table(box=None, padding=(0, 2, 0, 0), show_edge=False, header_style="underline")
    table.add_column("holds?", no_wrap=True)
    if narrow := out.width < _NARROW:
        table.add_column("check: what was seen", overflow="fold")
    else:
        table.add_column("check", no_wrap=True)
        table.add_column("what was seen", overflow="fold")
    for check in evidence(judged.now, units):
        seen = (f"{check.check}: {check.says}",) if narrow else (check.check, check.says)
        table.add_row("yes" if check.passed else "no", *seen)
    out.print()
    out.print(Padding(table, (0, 0, 0, 2)))
    changes = ", ".join(f"{c.verdict} {local_time(judged.told_as_of(c), settings)}" for c in judged.history)
    passed = sum(judged.passed_over.values())
    reasons = sorted(judged.passed_over.items())
    why = "".join(f"; {count} {why_passed_over(reason_, units, count)}" for reason_, count in reasons)
    out.print()
    out.print(Padding(f"History: {changes or 'none yet'}.", (0, 0, 0, 2)))
    conflicts = f", {judged.conflicts} left out because they contradict each other" if judged.conflicts else ""
    out.print(Padding(f"Readings: {judged.used} used, {passed} passed over{why}{conflicts}.", (0, 0, 0, 2)))
