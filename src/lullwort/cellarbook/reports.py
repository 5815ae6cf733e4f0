"""Single reports, where readings are not enough: those that contradict each other, and those to be taken elsewhere."""

from __future__ import annotations

from collections.abc import Iterator
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from lullwort.cellarbook.comparable import QUANTITIES
from lullwort.cellarbook.keys import key_name
from lullwort.cellarbook.streams import SensorRecord
from lullwort.records import COMMON_UNITS, Block
from lullwort.units import FloatArray

__all__ = ["Contradiction", "Report", "contradictions_in", "distinct_reports"]


class Report(NamedTuple):
    """What one import says of a sensor at one instant; None where it leaves a quantity out.

    Attributes:
        imported, place: name of the import, and where what it imported was found.
        gravity: [SG] temperature_c: [°C] inclination: [degrees] battery_v: [V] battery_percent: [%] signal: [dBm]
    """

    imported: str
    place: str
    vessel: str
    gravity: float | None
    temperature_c: float | None
    inclination: float | None
    battery_v: float | None
    battery_percent: float | None
    signal: float | None


class Contradiction(NamedTuple):
    """An instant [µs] of a sensor of which reports differ: all of them, each once for every import that has it."""

    sensor: str
    at_us: int
    reports: tuple[Report, ...]


def contradictions_in(record: SensorRecord, vessel: str) -> Iterator[Contradiction]:
    """Contradicted instants at which one of the reports is of `vessel`, in order of time."""
    agreement = record.agreement
    here = np.flatnonzero(agreement.contradicted & agreement.with_any(record.in_vessel(vessel)))
    ends = np.append(agreement.starts[1:], len(agreement.order))
    for at_us, start, end in zip(
        agreement.at_us()[here].tolist(), agreement.starts[here].tolist(), ends[here].tolist(), strict=True
    ):
        said = {_report(record, place) for place in agreement.order[start:end].tolist()}
        yield Contradiction(record.sensor, at_us, tuple(sorted(said, key=repr)))


def _report(record: SensorRecord, place: int) -> Report:
    origin = record.origins[record.origin[place]]
    values = record.agreement.reports.values[:, place].tolist()
    return Report(
        key_name(origin.imported), origin.place, origin.vessel, *(None if v != v else v for v in values)
    )  # NaN: not given


def distinct_reports(record: SensorRecord, vessel: str | None) -> Iterator[Block]:
    """One report of each instant, put together from all that agree, and every different one where they do not.

    A Block in common units for each unit of battery, in order of time. What gives battery in both is told with the
    volts; the other block then has nothing but its percent.

    Args:    vessel: only what places the sensor there; None: whatever there is.
    """
    agreement = record.agreement
    agreed, differing = ~agreement.contradicted, agreement.differing()
    at_us = np.concatenate([agreement.at_us()[agreed], agreement.reports.at_us[differing]])
    code = np.concatenate([agreement.vessel()[agreed], agreement.reports.vessel[differing]])
    values = np.concatenate([agreement.together()[:, agreed], agreement.reports.values[:, differing]], axis=1)
    wanted = np.argsort(at_us, kind="stable")
    if vessel is not None:
        wanted = wanted[np.isin(code[wanted], [i for i, name in enumerate(record.vessels) if name == vessel])]
    at_us, code, values = at_us[wanted], code[wanted], values[:, wanted]
    volts, percent = (~np.isnan(values[QUANTITIES.index(quantity)]) for quantity in ("battery V", "battery %"))
    # What gives no battery goes with whatever unit the sensor has.
    with_volts = volts | ~percent if volts.any() or not percent.any() else volts
    if with_volts.any():
        yield _block(record, at_us[with_volts], code[with_volts], values[:, with_volts], "battery V")
    others = ~with_volts | percent
    if others.any():
        values[np.ix_([QUANTITIES.index(q) for q in QUANTITIES if q != "battery %"], volts & percent)] = np.nan
        yield _block(record, at_us[others], code[others], values[:, others], "battery %")


def _block(
    record: SensorRecord, at_us: NDArray[np.int64], code: NDArray[np.int64], values: FloatArray, battery: str
) -> Block:
    used, codes = np.unique(code, return_inverse=True)
    column = dict(zip(QUANTITIES, values, strict=True))
    return Block(
        sensors=(record.sensor,),
        vessels=tuple(record.vessels[i] for i in used.tolist()),
        sensor_codes=np.zeros(len(at_us), dtype=np.int32),
        vessel_codes=codes.astype(np.int32),
        at_us=at_us,
        gravity=column["gravity"],
        temperature=column["temperature"],
        inclination=column["inclination"],
        battery=column[battery],
        signal=column["signal"],
        line=np.zeros(len(at_us), dtype=np.int64),
        units=COMMON_UNITS if battery == "battery V" else COMMON_UNITS._replace(battery="%"),
    )
