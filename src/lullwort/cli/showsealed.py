"""What bottles closed today would come to, for people: the answer first, a table, and cautions."""

from __future__ import annotations

from typing import NamedTuple

import msgspec
from rich.console import Console
from rich.padding import Padding
from rich.table import Table

from lullwort.cli.values import now_us
from lullwort.cli.warmest import maybe_warmer, silent_says
from lullwort.detector import MAY_BE_PACKAGED, PACKAGED_UNPROVED, Judged, Units, value_range
from lullwort.explained import OURS, Explained
from lullwort.packaging_day import (
    ROOM_C,
    SEALING_TEMPS_C,
    Limit,
    Sealing,
    Today,
    closing_caution,
    limit_bar_of,
    no_longer_says,
    temp_rows,
)
from lullwort.records import Batch
from lullwort.standing import TOO_MUCH, co2_about, in_sealed_vessel, unsaid
from lullwort.units import co2_g_l_from_volumes

__all__ = ["SealedAnswer", "limit_explained", "sealed_lines", "show_table"]

_NARROW = 58
"""[columns] The table does not fit into less."""
_TEST_PRESSURE = 2.0
# So many times what its kind bears is the pressure of a test rather than a limit. Common practice, no source.


class SealedAnswer(NamedTuple):
    """All that is told: `bare` with no sugar added, `primed` with it, and `how` in words; None for the latter two where
    that is far more than any bottle holds, and nothing for `how` where nothing is planned or known of priming.
    `held_how` says by which option what it holds is known: "gauge", "stated", or nothing; `no_longer` as in
    `OfBatch`."""

    batch: Batch
    judged: Judged
    today: Today
    limit: Limit
    bare: Sealing | None
    how: str
    primed: Sealing | None
    held_how: str = ""
    no_longer: Judged | None = None

    @property
    def tables(self) -> list[tuple[str, Sealing]]:
        """Each that has numbers, with its heading."""
        both = ((self.how, self.primed), ("with no sugar added", self.bare))
        same = self.primed is not None and self.primed == self.bare
        shown = both[:1] if same else both
        return [
            (f"{how[:1].upper()}{how[1:]}:", each)
            for how, each in shown
            if how and each is not None and not each.beyond_all
        ]


def sealed_lines(answer: SealedAnswer, units: Units) -> tuple[list[str], list[str]]:
    """What is said before the tables, and after them."""
    judged, today = answer.judged, answer.today
    caution = closing_caution(answer.limit.container)
    as_of = units.moment(judged.told_by(now_us()).as_of_us)
    before = [f"{answer.batch.name} in vessel {answer.batch.vessel}, as of {as_of}: {judged.verdict}"]
    if judged.verdict == "packaged" and not judged.proved:
        before.append(f"DANGER: {PACKAGED_UNPROVED}")
    elif not judged.proved:
        before.append(
            f"May it be packaged?  {MAY_BE_PACKAGED[judged.verdict]}. What follows is what would come of it, and no "
            "leave to do so."
        )
    if answer.no_longer is not None:
        before.append(no_longer_says(answer.no_longer, units))
    if today.held is None:
        before.append(unsaid(today, units, "Sealed today"))
        return before, [caution]
    in_vessel = "" if answer.held_how else in_sealed_vessel(judged, today, units)
    if in_vessel:
        before.append(in_vessel)
    if warning := _test_pressure(answer.limit, units):
        before.append(warning)
    before.append(_headline(answer, units))
    before += [_limit(answer.limit, units), _counted(answer, units)]
    after = [caution]
    if not answer.how:
        after.insert(0, _BY_GAUGE if in_vessel and not answer.held_how else _NOT_PRIMED)
    return before, after


_BY_GAUGE = (
    "Priming is not counted in: what it may be is known once the vessel's gauge tells what the beer holds (--gauge "
    "1.1bar --beer-temperature 12C, both read once they have been steady for a day)."
)
_NOT_PRIMED = (
    "Priming is not counted in: state a target (--target 2.4volumes), or what went in (--primed 118g --priming-sugar "
    "sucrose)."
)


def _headline(answer: SealedAnswer, units: Units) -> str:
    """The answer in a sentence: how much, and up to which temperature the bound stays within the limit."""
    called = answer.limit.container.called
    how = answer.how or "with no sugar added"
    main = answer.primed if answer.how else answer.bare
    when = "As it was packaged" if answer.judged.verdict == "packaged" else "Sealed today"
    begins = f"{when} in {called}, {how}"
    if main is None or main.beyond_all:
        return f"{begins}: {TOO_MUCH}"
    what = f"{begins}: {co2_about(main, units)}"
    left = answer.today.left
    if left.may_wake:
        what += f", if it ferments on where it stands (up to {units.difference(left.at_most)})"
    coldest, warmest = SEALING_TEMPS_C[0], SEALING_TEMPS_C[-1]
    if main.holds_to_c is None:
        if main.at[0].about_bar > main.limit.bar:
            return f"{what}. That is more than they bear, even at {units.temp(coldest, 0)}: they would burst."
        return f"{what}. That may be more than they bear even at {units.temp(coldest, 0)}: they may burst."
    if main.holds_to_c >= warmest:
        return f"{what}. Even at most they bear it up to {units.temp(warmest, 0)}, and warmer is not reckoned."
    says = f"{what}. Even at most they bear it up to {units.temp_down(main.holds_to_c)}; kept warmer they may burst"
    if main.holds_to_c < ROOM_C:
        says += ", and so they may in an ordinary room"
    return f"{says}."


def _test_pressure(limit: Limit, units: Units) -> str:
    """That a limit which was stated can hardly be one."""
    kind, usual_bar = limit.container, limit_bar_of(limit.container)
    if not limit.stated or limit.bar <= _TEST_PRESSURE * usual_bar:
        return ""
    return (
        f"{units.gauge(limit.bar)} is far above the {units.gauge(usual_bar)} that {kind.called} are taken to bear in "
        "use: what new ones stand in a test is no limit, and what follows is only as good as that figure."
    )


def _limit(limit: Limit, units: Units) -> str:
    kind = limit.container
    if limit.stated:
        return (
            f"Their own limit is {units.gauge(limit.bar)}; `at most` counts the air that is shut in with the beer, and "
            "a headspace of 3 %."
        )
    assert kind.volumes is not None
    called = f"{kind.called[:1].upper()}{kind.called[1:]}"
    return (
        f"{called} are taken to bear {units.co2(co2_g_l_from_volumes(kind.volumes))}, which at "
        f"{units.temp(ROOM_C, 0)} is {units.gauge(limit.bar)} ({kind.source.partition(';')[0]}); --container names "
        "others, --container-limit states a maker's limit."
    )


def limit_explained(limit: Limit, units: Units) -> Explained:
    """Where this very limit comes from; its numbers have a decimal point, as all formulas do before they are shown."""
    shown, kind = msgspec.structs.replace(units, decimal="point"), limit.container
    if limit.stated or kind.volumes is None:
        return Explained("their limit here", f"{shown.gauge(limit.bar)}, as it was stated", OURS)
    lower = shown.co2(co2_g_l_from_volumes(kind.volumes))
    of = lower
    if kind.up_to_volumes is not None:
        of = f"the lower end of {value_range(lower, shown.co2(co2_g_l_from_volumes(kind.up_to_volumes)))}"
    bar = shown.gauge(limit.bar)
    return Explained(f"what {kind.called} bear", f"{of}, which at {shown.temp(ROOM_C, 0)} comes to {bar}", kind.source)


def _counted(answer: SealedAnswer, units: Units) -> str:
    held, left = answer.today.held, answer.today.left
    assert held is not None
    by = ", as stated" if answer.held_how == "stated" else ""
    if answer.held_how == "gauge" and held.warmest_c is not None:
        by = f" by its gauge at {units.temp(held.warmest_c)}"
    elif not answer.held_how and not held.by_pressure and held.warmest_c is not None:
        when = "the warmest that was stated"
        if held.warmest_us is not None:
            when = f"the warmest since it came to rest ({units.moment(held.warmest_us)})"
        elif held.warmest_c == answer.judged.now.beer_c:
            when = "its temperature now"
        by = f" by {units.temp(held.warmest_c)}, {when}"
    says = (
        f"Counted in: it holds {co2_about(held, units)} now{by}; {units.difference(left.about)} would still ferment, "
        f"at most {units.difference(left.at_most)}."
    )
    if held.warmest_us is None:
        return says
    now = answer.judged.now
    silent = "" if answer.judged.verdict == "packaged" else silent_says(now, units)
    return " ".join(part for part in (says, maybe_warmer(now, units), silent) if part)


def show_table(sealing: Sealing, units: Units, out: Console) -> None:
    """Print the pressure at each temperature beside the limit; where it may be exceeded a word says so."""
    rows = temp_rows(sealing, units)
    if out.width < _NARROW:
        for row in rows:
            out.print(Padding(f"{row.kept_at}: {row.about}, at most {row.at_most}", (0, 0, 0, 2)))
            out.print(Padding(f"margin {row.margin}{', ' if row.word else ''}{row.word}", (0, 0, 0, 4)))
        return
    table = Table(box=None, padding=(0, 2, 0, 0), show_edge=False, header_style="underline")
    for head in ("kept at", "about", "at most", "limit", "margin", ""):
        table.add_column(head, no_wrap=True, justify="right" if head else "left")
    for row in rows:
        table.add_row(*row)
    out.print(Padding(table, (0, 0, 0, 2)))
