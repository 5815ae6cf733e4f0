"""A plan for packaging day as it is shown, and as a document."""

from __future__ import annotations

from datetime import date
from typing import Any, NamedTuple

from rich.console import Console
from rich.padding import Padding
from rich.table import Table
from rich.text import Text

from lullwort.cli.shownunits import local_as_of, units_of
from lullwort.cli.stillso import no_longer_document
from lullwort.cli.warmest import silent_says
from lullwort.detector import MAY_BE_PACKAGED, Judged, Units, advice
from lullwort.packaging_day import (
    CONTAINERS,
    CRASH_DAYS,
    LABELS_FIRST,
    Circumstances,
    Dates,
    DaySpan,
    checklist,
    crash_says,
    estimated,
    filling_says,
    moved_says,
    no_longer_says,
    packaging_says,
    rest_says,
    stage_says,
    wish_says,
)
from lullwort.records import Batch, format_utc
from lullwort.settings import Settings

__all__ = ["PlanShown", "plan_document", "show_plan"]

_NARROW = 60
"""[columns] Beside a column of names too little is left for what they say."""


class PlanShown(NamedTuple):
    """What is planned: the batch with what is chosen for it, and whether its bottles are known or assumed.

    Where what was proved then is not so any more (`no_longer`), the check-list is that of the verdict that is.
    """

    batch: Batch
    judged: Judged
    dates: Dates
    of: Circumstances
    bottles_known: bool
    no_longer: Judged | None = None


def show_plan(plan: PlanShown, settings: Settings, out: Console, *, with_list: bool) -> None:
    """Print the plan; a batch that is packaged has nothing left but what comes after."""
    units, judged = units_of(settings), plan.judged
    where = f"{plan.batch.name} in vessel {plan.batch.vessel}, as of {local_as_of(judged, settings)}"
    out.print(Text(where, style="bold"))
    danger = "" if plan.of.danger is None else plan.of.danger.says(units)
    if danger and judged.verdict != "packaged":
        out.print(Text.assemble(("Danger. ", "bold"), danger))
    line = Text.assemble("May it be packaged?  ", (MAY_BE_PACKAGED[judged.verdict], "bold"), f" ({judged.verdict}).")
    out.print(line)
    if judged.verdict != "packaged" and (nothing := _nothing_may_ferment(plan)):
        out.print(Text(nothing, style="bold"))
    if plan.no_longer is not None:
        out.print(Text(no_longer_says(plan.no_longer, units), style="bold"))
    if judged.verdict != "packaged" and (silent := silent_says(judged.now, units)):
        out.print(silent)
    if judged.verdict == "packaged":
        if not danger:
            out.print("Nothing is left to plan.")
        out.print()
        _checklist(plan, units, out, with_list=with_list or bool(danger))
        return
    out.print()
    bottles = "kegs" if plan.of.container == "keg" else "bottles"
    _rows([("volume", _volume(plan, units)), (bottles, _bottles(plan, units)), *_days(plan, units)], out)
    if says := wish_says(plan.dates):
        out.print()
        out.print(Text(says, style="bold" if plan.dates.wish is not None and plan.dates.wish.refused else ""))
    ready = judged.verdict == "ready"
    # What is dangerous is not packaged, and what was to be done next then is not what is to be done now.
    if plan.no_longer is None and (not danger if ready else plan.dates.packaging is None):
        _next(advice(judged.verdict, judged.now, units, proved=judged.proved), out)
    out.print()
    _checklist(plan, units, out, with_list=with_list)
    if with_list:
        out.print()
    if plan.dates.packaging is not None and not (plan.dates.wish is not None and plan.dates.wish.refused):
        _command("For a calendar", f"lullwort export plan.ics --batch {plan.batch.name}{_as_planned(plan.dates)}", out)


def _as_planned(dates: Dates) -> str:
    """Options that plan the same days."""
    days = "" if dates.crash_days == CRASH_DAYS else f" --crash-days {dates.crash_days}"
    return days + ("" if dates.wish is None else f" --on {dates.wish.on.isoformat()}")


def _nothing_may_ferment(plan: PlanShown) -> str:
    container = CONTAINERS[plan.of.container]
    if container.volumes is not None:
        return ""
    return f"In {container.called} nothing may ferment: they burst. Fill them cold, and drink it within days."


def _volume(plan: PlanShown, units: Units) -> str:
    if plan.of.moved is None:
        return (
            f"Not known. How much the vessel holds is kept by `lullwort batch edit {plan.batch.name} --volume VOLUME`; "
            "--moved states what was moved, for a try."
        )
    return moved_says(plan.of.moved, units)


def _bottles(plan: PlanShown, units: Units) -> str:
    if plan.of.moved is None or plan.of.filling is None:
        return "Not known before the volume is."
    if plan.of.moved.volume_l <= 0.0:
        return "None."
    says = filling_says(plan.of.filling, plan.of.moved, units, keg=plan.of.container == "keg")
    if not plan.bottles_known:
        says.append("Assumed, for none are on record (--bottles).")
    return " ".join(says)


def _days(plan: PlanShown, units: Units) -> list[tuple[str, str]]:
    dates = plan.dates
    named = [
        ("warm rest", rest_says(dates, units, sealed=plan.of.pressed)),
        ("crash start", crash_says(dates, units)),
        ("packaging day", packaging_says(dates)),
    ]
    return [(name, says) for name, says in named if says]


def _rows(rows: list[tuple[str, str]], out: Console) -> None:
    if out.width < _NARROW:
        for name, says in rows:
            out.print(Text.assemble((f"{name}: ", "bold"), says))
        return
    table = Table(box=None, padding=(0, 2, 0, 0), show_edge=False, show_header=False)
    table.add_column(no_wrap=True, style="bold")
    table.add_column(overflow="fold")
    for row in rows:
        table.add_row(*(Text(cell) for cell in row))
    out.print(Padding(table, (0, 0, 0, 2)))


def _checklist(plan: PlanShown, units: Units, out: Console, *, with_list: bool) -> None:
    """The list, or the command that shows it."""
    if with_list:
        _steps(plan, units, out)
    else:
        _command("Check-list", f"lullwort plan {plan.batch.name} --checklist", out)


def _steps(plan: PlanShown, units: Units, out: Console) -> None:
    stage = None
    out.print(Text.assemble(("Check-list. ", "bold"), LABELS_FIRST))
    for step in checklist(plan.of, units):
        if step.stage != stage:
            stage = step.stage
            out.print()
            out.print(Text(stage_says(stage, plan.of.crash_days), style="bold"))
        table = Table(box=None, padding=(0, 1, 0, 0), show_edge=False, show_header=False)
        table.add_column(no_wrap=True)
        table.add_column(overflow="fold")
        table.add_row(Text("[ ]"), Text(step.says))
        out.print(Padding(table, (0, 0, 0, 2)))


def _next(says: str, out: Console) -> None:
    out.print()
    for nth, line in enumerate(says.splitlines()):
        out.print(Text.assemble(("" if nth else "Next: ", "bold"), line), soft_wrap=line.startswith("  "))


def _command(what: str, command: str, out: Console) -> None:
    """A command stays whole, on a line of its own where it would not fit."""
    if len(what) + len(command) + 2 <= out.width:
        out.print(f"{what}: {command}")
        return
    out.print(f"{what}:")
    out.print(f"  {command}", soft_wrap=True)


def plan_document(plan: PlanShown) -> dict[str, Any]:
    """For other programs: litres, grams, days in the settings' zone, words in metric units."""
    of, dates, plain = plan.of, plan.dates, Units()
    moved = None
    if of.moved is not None:
        _, low, high = estimated(of.moved.volume_l, of.moved.sd_l)
        moved = {
            "litres": of.moved.volume_l, "low": round(max(0.0, low), 6), "high": round(high, 6),
            "losses": of.moved.losses_l, "known_by": of.moved.known_by, "range_holds": 0.9,
        }  # fmt: skip
    return {
        "batch": plan.batch.name,
        "vessel": plan.batch.vessel,
        "as_of": format_utc(plan.judged.as_of_us),
        "verdict": plan.judged.verdict,
        "no_longer": no_longer_document(plan.no_longer),
        "container": of.container,
        "moved": moved,
        "bottles": _filling_document(plan),
        "dates": {
            "crash_days": dates.crash_days,
            "warm_rest": _span_document(dates.rest),
            "crash_start": _span_document(dates.crash),
            "packaging_day": _span_document(dates.packaging),
            "cold_since": None if dates.cold_since_us is None else format_utc(dates.cold_since_us),
            "unsaid": dates.unsaid,
            "wished": _wish_document(dates),
            "range_holds": 0.8,
        },
        "checklist": [
            {"when": stage_says(step.stage, of.crash_days), "says": step.says} for step in checklist(of, plain)
        ],
    }


def _filling_document(plan: PlanShown) -> dict[str, Any] | None:
    filling = plan.of.filling
    if filling is None:
        return None
    return {
        "assumed": not plan.bottles_known,
        "lots": [
            {
                "litres": lot.volume_l, "there": lot.there, "filled": lot.filled, "fewest": lot.fewest,
                "most": lot.most, "sanitised": lot.sanitised,
            }
            for lot in filling.lots
        ],
        "filled": filling.filled,
        "fewest": filling.fewest,
        "most": filling.most,
        "left_over_litres": filling.left_l,
        "missing": 0 if filling.more is None else filling.more.count,
        "missing_most": filling.more_most,
        "range_holds": 0.9,
    }  # fmt: skip


def _span_document(span: DaySpan | None) -> dict[str, str] | None:
    return None if span is None else {name: _iso(day) for name, day in span._asdict().items()}


def _iso(day: date) -> str:
    return day.isoformat()


def _wish_document(dates: Dates) -> dict[str, Any] | None:
    wish = dates.wish
    if wish is None:
        return None
    return {
        "on": _iso(wish.on), "crash_start": _iso(wish.crash_on), "stands": wish.stands, "refused": wish.refused,
    }  # fmt: skip
