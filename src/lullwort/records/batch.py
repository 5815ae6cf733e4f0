"""What the brewer tells about a batch: when it was pitched, what is expected of it, and what was done to it."""

from __future__ import annotations

from typing import Literal, get_args

import msgspec

from lullwort.records.instrument import Instrument
from lullwort.records.packagingday import PackagingDay
from lullwort.records.sensortraits import GravityReported, SensorTraits

__all__ = [
    "ATTENUATION",
    "BESIDE_A_BATCH",
    "CAUTIONS",
    "EVENT_KINDS",
    "PLACE_C",
    "TOLERANCE_POINTS",
    "VOLUME_L",
    "Batch",
    "Caution",
    "Event",
    "EventKind",
    "GravityReported",
]

Caution = Literal["careful", "usual", "brisk"]
EventKind = Literal[
    "dry hop", "addition", "rouse", "warm", "crash", "seal", "moved", "sample", "forced test", "packaged", "remark"
]  # fmt: skip

CAUTIONS: tuple[Caution, ...] = get_args(Caution)
EVENT_KINDS: tuple[EventKind, ...] = get_args(EventKind)

ATTENUATION = (0.0, 1.25)
"""Apparent, as a share: dry beers lie above 1."""
PLACE_C, VOLUME_L, TOLERANCE_POINTS = (-5.0, 45.0), (0.1, 100_000.0), (0.2, 5.0)
"""[°C] [L] [points] What is taken of where beer ferments, of what a vessel holds, and of what gravity may move by."""

BESIDE_A_BATCH = ("events", "instruments", "sensors")
"""Fields of a batch that are no entry of its own, but kept beside it."""


class Event(msgspec.Struct, frozen=True, kw_only=True):
    """Something done to a batch at one instant.

    Attributes:
        at_us:   [µs since 1970-01-01 UTC].
        kind:    one of EVENT_KINDS; a remark is nothing that was done, only words worth remembering.
        points:  [gravity points = 0.001 SG] by which an addition raises the beer, below 0 for water; additions only.
        original_points: [points] by which it changes the original gravity, where that is not `points`: fruit brings
                 water, which raises the one and lowers the other; additions only.
        gravity: [SG] that a hydrometer showed in a degassed hand sample, or in a forced ferment test that has ended;
                 these only.
        brix:    [°Bx] that a refractometer showed of it, instead; samples only.
        temperature_c: [°C] of that sample when it was read; None where the instrument was at its own calibration
                 temperature, or the reading was corrected to it; these only. A refractometer corrects itself.
        instrument: name of the instrument, one of the batch's `instruments`; these only.
        calibrated_c: [°C] of an instrument that is not on record; None for the batch's reference; these only.
        note:    the brewer's own words.
    """

    at_us: int
    kind: EventKind
    points: float | None = None
    original_points: float | None = None
    gravity: float | None = None
    temperature_c: float | None = None
    instrument: str | None = None
    calibrated_c: float | None = None
    brix: float | None = None
    note: str = ""

    @property
    def points_of_original(self) -> float:
        """[points] By which what was put in changes the original gravity; 0 where nothing was."""
        return self.original_points if self.original_points is not None else self.points or 0.0

    @property
    def order(self) -> tuple[int, bool, str]:
        """Key for sorting: by time, and at one instant always in the same way, whatever is left out.

        A sample comes first there: who draws one and then puts something in notes both at one time.
        """
        return self.at_us, self.kind != "sample", repr(self)


class Batch(msgspec.Struct, frozen=True, kw_only=True):
    """One batch in one vessel. It owns that vessel's readings from `pitched_us` to `packaged_us` or the next pitch.

    Attributes:
        vessel, name:  ids. The name is unique in a book.
        pitched_us, packaged_us: [µs since 1970-01-01 UTC].
        original_gravity: [SG at reference_c] after the boil, before pitching; None where not entered. A sample dated
            at the pitch or before it stands for it then.
        expected_final_gravity: [SG] lowest and highest that would surprise nobody; None where not known.
        expected_attenuation: apparent, as fractions (0.70, 0.80); used where no final gravity is given.
        forced_test_gravity: [SG] where a forced ferment test of this wort ended; outranks the two above, and is
            outranked by one that is noted as an event, from then on.
        yeast_min_c, yeast_max_c: [°C] between which this yeast works.
        volume_l: [L] in the vessel.
        hold_window_h: [h] over which gravity must hold still, 24 to 168.
        tolerance: [SG] how much it may move meanwhile.
        caution: how sure the detector must be.
        gravity_reported: "corrected" where the sensor already compensates temperature.
        reference_c: [°C] to which gravity is referred.
        steady_temperature_c: [°C] of the vessel where the log gives no temperature.
        sensor_expansion_per_k: [1/K] cubic expansion of the float's body, 0 where it is not to be removed.
        reading_interval_h: [h] how often this log has a reading at best; coverage is counted in such steps.
        packaging_day: what is meant to be done on that day, and what was done; tells nothing of the beer.
        events: in time order.
        instruments: those on record; they outlast the batch and are kept apart from it, as are
        sensors: what is known of them.
    """

    vessel: str
    name: str
    pitched_us: int
    recipe: str | None = None
    packaged_us: int | None = None
    original_gravity: float | None = None
    expected_final_gravity: tuple[float, float] | None = None
    expected_attenuation: tuple[float, float] | None = None
    forced_test_gravity: float | None = None
    yeast_min_c: float | None = None
    yeast_max_c: float | None = None
    volume_l: float | None = None
    hold_window_h: int = 48
    tolerance: float = 0.001
    caution: Caution = "usual"
    gravity_reported: GravityReported = "uncorrected"
    reference_c: float = 20.0
    steady_temperature_c: float | None = None
    sensor_expansion_per_k: float = 0.0
    reading_interval_h: float = 1.0
    packaging_day: PackagingDay = PackagingDay()
    events: tuple[Event, ...] = ()
    instruments: tuple[Instrument, ...] = ()
    sensors: tuple[SensorTraits, ...] = ()
