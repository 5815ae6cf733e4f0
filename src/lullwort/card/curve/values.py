"""Values of the card's curve: moment by moment in columns for its script, day by day as a table."""

from __future__ import annotations

import json
from collections import Counter
from functools import lru_cache
from itertools import groupby

import numpy as np
from numpy.typing import NDArray

from lullwort.card.curve.content import CurveContent
from lullwort.card.curve.moments import Moments, passed_says
from lullwort.detector import Units, value_range
from lullwort.exporting import escaped
from lullwort.plaintext import plain_text
from lullwort.units import FloatArray

__all__ = ["days_table", "moments_json"]

_MOST = 480
"""More moments than a picture has room for are thinned out; those at which something happened stay."""
_DAY_US = 86_400_000_000
_IN_THE_COLD = "read in the cold, not believed"

Column = list[int | None]


def moments_json(content: CurveContent, moments: Moments, units: Units, edges: tuple[float, float]) -> str:
    """What is known of each moment, a column for each kind of it; the script makes words of the one that is read.

    Numbers are whole ones of the last place that is shown, each as what it is more than the one before, null where not
    known: so they take a third of the bytes and a tenth of the time of words.

    Args:    edges: what the lower and upper edge of the field of gravity stand for.

    Returns: an object of
        right, down: how far right and down it lies, in ten-thousandths of the field of gravity;
        days, clock: [a day and how many moments it has], minutes since its midnight;
        gravity, under, over: smoothed, and how far its range goes either way, null for what is not believed;
        least, more: the least that was read, and how much more the most is;
        temp: temperature;
        said: by its place what happened at a moment, in words;
        level, degrees, cold: how 0 is written of either, and what is said of what is not believed.
    """
    kept = np.arange(len(moments.at_us))
    if len(kept) > _MOST:
        every = -(-len(kept) // _MOST)
        apart = sorted({*moments.happened, *moments.passed, *moments.aside})
        kept = np.union1d(kept[::every], np.array(apart, dtype=np.int64))
    at_us = moments.at_us[kept]
    from_us, to_us = content.ends_us
    told = [_told(each, units.zone) for each in at_us.tolist()]
    level, degrees = units.shown_level(0.0), f"{units.number(0.0, 1)} °{units.temperature}"
    by, warm_by = _places(level), _places(degrees)
    gravity, low, high, least, most = (
        np.rint(each[kept] * by)
        for each in (moments.gravity, moments.low, moments.high, moments.raw_low, moments.raw_high)
    )
    shares = (edges[1] - moments.gravity[kept]) / (edges[1] - edges[0])
    columns = {
        "right": _steps(np.rint(10_000.0 * (at_us - from_us) / (to_us - from_us))),
        "down": _steps(np.rint(10_000.0 * np.clip(shares, 0.0, 1.0))),
        "days": [[day, sum(1 for _ in of_day)] for day, of_day in groupby(told, lambda each: each[0])],
        "clock": _steps(np.array([minutes for _, minutes, _ in told], dtype=np.float64)),
        "gravity": _steps(gravity),
        "under": _steps(gravity - low),
        "over": _steps(high - gravity),
        "least": _steps(least),
        "more": _steps(most - least),
        "temp": _steps(np.rint(moments.temp[kept] * warm_by)),
        "said": {place: words for place, at in enumerate(kept.tolist()) if (words := _said(moments, at))},
        "level": level,
        "degrees": degrees,
        "cold": _IN_THE_COLD,
    }
    return json.dumps(columns, ensure_ascii=False, separators=(",", ":"))


def days_table(moments: Moments, pitched_us: int, units: Units) -> str:
    """The table as HTML, a row for each of the brewer's days."""
    days = [day for _, _, day in (_told(at_us, units.zone) for at_us in moments.at_us.tolist())]
    rows, begin = [], 0
    for day, group in groupby(days):
        places = range(begin, begin + sum(1 for _ in group))
        begin = places.stop
        known = np.flatnonzero(~np.isnan(moments.gravity[places.start : places.stop]))
        passed: Counter[str] = sum((moments.passed[at] for at in places if at in moments.passed), Counter())
        aside = sum(moments.aside[at] for at in places if at in moments.aside)
        happened = [words for at in places if at in moments.happened for words in moments.happened[at]]
        happened += [passed_says(passed)] if passed else []
        happened += [f"{aside} set aside"] if aside else []
        since = (int(moments.at_us[places[-1]]) - pitched_us) // _DAY_US
        cells = [
            _last(moments, places.start + int(known[-1]), units) if len(known) else "",
            _temps(moments.temp[places.start : places.stop], units),
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
def _told(at_us: int, zone: str | None) -> tuple[str, int, str]:
    """Of a moment its day, its minutes since midnight, and the day that it belongs to: midnight ends one, and begins
    none. Each is asked for at every drawing, and naming months takes a third of the time of it."""
    units = Units(zone=zone)
    day, _, clock = units.day_and_time(at_us).rpartition(" ")
    return day, 60 * int(clock[:2]) + int(clock[3:]), units.day(at_us - 1)


def _places(shown: str) -> float:
    """By what a number is to be multiplied to be whole, from how 0 is written."""
    return float(10 ** (len(shown.partition(" ")[0]) - len("0.")))


def _steps(values: FloatArray) -> Column:
    known = np.flatnonzero(~np.isnan(values))
    if len(known) == len(values):
        return list(np.diff(values, prepend=0.0).astype(np.int64).tolist())
    column: Column = [None] * len(values)
    for place, step in zip(known.tolist(), np.diff(values[known], prepend=0.0).astype(np.int64).tolist(), strict=True):
        column[place] = step
    return column


def _said(moments: Moments, at: int) -> str:
    said = list(map(plain_text, moments.happened.get(at, ())))
    if at in moments.passed:
        said.append(passed_says(moments.passed[at]))
    if at in moments.aside:
        said.append(f"{moments.aside[at]} set aside")
    return "; ".join(said)


def _last(moments: Moments, at: int, units: Units) -> str:
    gravity, low, high = (float(each[at]) for each in (moments.gravity, moments.low, moments.high))
    span = _IN_THE_COLD if low != low else value_range(units.shown_level(low), units.shown_level(high))
    return f"{units.shown_level(gravity)} <small>({span})</small>"


def _temps(temps: NDArray[np.float64], units: Units) -> str:
    known = temps[~np.isnan(temps)]
    if not len(known):
        return ""
    low, high = (units.number(float(each), 1) for each in (known.min(), known.max()))
    return value_range(low, f"{high} °{units.temperature}")
