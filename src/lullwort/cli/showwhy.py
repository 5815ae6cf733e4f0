"""A verdict with all that it rests on, as a brewer reads it: the answer, the checks, and how it came to this."""

from __future__ import annotations

from rich.console import Console
from rich.padding import Padding
from rich.text import Text

from lullwort.cli.show import show
from lullwort.cli.shownunits import local_time, units_of
from lullwort.detector import (
    Judged,
    Snapshot,
    changes_when,
    check_changes_when,
    checks_turned,
    evidence,
    reason,
)
from lullwort.settings import Settings
from lullwort.standing import Entry

__all__ = ["show_why"]


def show_why(entry: Entry, settings: Settings, out: Console, *, now_us: int) -> None:
    """Print one entry with each check and each change of its verdict. `now_us` as of `show`."""
    show([entry], settings, out, now_us=now_us, ledger=False)
    if entry.judged is None:
        return
    judged, units = entry.judged, units_of(settings)
    out.print(Text.assemble(("What changes it: ", "bold"), changes_when(judged.verdict, judged.now, units)))
    _checks(judged, settings, out)
    _history(judged, settings, out)


def _checks(judged: Judged, settings: Settings, out: Console) -> None:
    now, units = judged.now, units_of(settings)
    for check in evidence(now, units):
        out.print()
        holds = "holds" if check.passed else "does not hold"
        since = local_time(now.since_us[check.check], settings)
        _print(out, Text.assemble((check.check, "bold"), f": {holds}, since {since}"), 2)
        _print(out, check.says, 4)
        _print(out, check_changes_when(check.check, now, units), 4)


def _history(judged: Judged, settings: Settings, out: Console) -> None:
    units = units_of(settings)
    out.print()
    _print(out, "How it came to this:" if judged.history else "No hour of it has been judged yet.", 2)
    before: Snapshot | None = None
    for change in judged.history:
        out.print()
        _print(out, Text.assemble((change.verdict, "bold"), f" {local_time(judged.told_as_of(change), settings)}"), 2)
        _print(out, reason(change.verdict, change.seen, units), 4)
        _print(out, checks_turned(before, change.seen), 4)
        before = change.seen


def _print(out: Console, says: str | Text, indent: int) -> None:
    out.print(Padding(says, (0, 0, 0, indent)))
