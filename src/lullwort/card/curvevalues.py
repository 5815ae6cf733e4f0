"""Values of the card's curve in words: moment by moment for its script, day by day as a table."""

from __future__ import annotations

import json
from collections import Counter
from collections.abc import Sequence
from functools import lru_cache
from itertools import groupby

from lullwort.card.curvecontent import CurveContent
from lullwort.card.curvedrawing import gravity_span
from lullwort.card.curvemoments import Moment, passed_says
from lullwort.detector import Units, value_range
from lullwort.exporting import escaped
from lullwort.plaintext import plain_text

__all__ = ["days_table", "moments_json"]

_MOST = 480
"""More moments than a picture has room for are thinned out; those at which something happened stay."""
_DAY_US = 86_400_000_000
_IN_THE_COLD = "read in the cold, not believed"


def moments_json(content: CurveContent, moments: Sequence[Moment], units: Units) -> str:
    """For each moment how far right and how far down it lies, both in ten-thousandths of the field of gravity (down
    null where no gravity is known), when it was, and what is known of it."""
    low, high = gravity_span(content, units)
    from_us, to_us = content.ends_us
    every = max(1, -(-len(moments) // _MOST))
    rows = []
    for number, at in enumerate(moments):
        if number % every and not (at.happened or at.passed or at.aside):
            continue
        right = round(10_000 * (at.at_us - from_us) / (to_us - from_us))
        share = (high - at.gravity) / (high - low)
        down = None if at.gravity != at.gravity else round(10_000 * min(max(share, 0.0), 1.0))
        rows.append([right, down, _told(at.at_us, units.zone)[0], _known(at, units)])
    return json.dumps(rows, ensure_ascii=False, separators=(",", ":"))


def days_table(moments: Sequence[Moment], pitched_us: int, units: Units) -> str:
    """The table as HTML, a row for each of the brewer's days."""
    rows = []
    for day, group in groupby(moments, lambda at: _told(at.at_us, units.zone)[1]):
        of_day = list(group)
        last = next((at for at in reversed(of_day) if at.gravity == at.gravity), None)
        temps = [at.temp for at in of_day if at.temp == at.temp]
        passed: Counter[str] = sum((at.passed for at in of_day if at.passed), Counter())
        aside = sum(at.aside for at in of_day)
        happened = [words for at in of_day for words in at.happened]
        happened += [passed_says(passed)] if passed else []
        happened += [f"{aside} set aside"] if aside else []
        since = (of_day[-1].at_us - pitched_us) // _DAY_US
        cells = [
            "" if last is None else f"{units.shown_level(last.gravity)} <small>({_range(last, units)})</small>",
            _temps(temps, units),
            escaped("; ".join(happened)),
        ]
        rows.append(
            f'<tr><th scope="row">{day} <small>day {since}</small></th>'
            + "".join(f"<td>{cell}</td>" for cell in cells)
            + "</tr>"
        )
    head = "".join(
        f'<th scope="col">{name}</th>' for name in ("day", "gravity at its end", "temperature", "what happened")
    )
    return f"<table><thead><tr>{head}</tr></thead><tbody>{''.join(rows)}</tbody></table>"


@lru_cache(maxsize=16_384)
def _told(at_us: int, zone: str | None) -> tuple[str, str]:
    """A moment, and the day that it belongs to: midnight ends one, and begins none. Each is asked for at every drawing,
    and naming months takes a third of the time of it."""
    units = Units(zone=zone)
    return units.day_and_time(at_us), units.day(at_us - 1)


def _known(at: Moment, units: Units) -> str:
    said = []
    if at.gravity == at.gravity:
        said.append(f"gravity {units.shown_level(at.gravity)} ({_range(at, units)})")
    if at.raw_low == at.raw_low:
        said.append(f"read {value_range(units.shown_level(at.raw_low), units.shown_level(at.raw_high))}")
    if at.temp == at.temp:
        said.append(f"{units.number(at.temp, 1)} °{units.temperature}")
    said += map(plain_text, at.happened)
    if at.passed:
        said.append(passed_says(at.passed))
    if at.aside:
        said.append(f"{at.aside} set aside")
    return "; ".join(said)


def _range(at: Moment, units: Units) -> str:
    return _IN_THE_COLD if at.low != at.low else value_range(units.shown_level(at.low), units.shown_level(at.high))


def _temps(temps: Sequence[float], units: Units) -> str:
    if not temps:
        return ""
    return value_range(units.number(min(temps), 1), f"{units.number(max(temps), 1)} °{units.temperature}")
