"""All that the detector knows of a batch at the end of one hour: numbers only, from which words are made later."""

from __future__ import annotations

from typing import Literal, get_args

import msgspec

from lullwort.analysis import BEYOND_CALIBRATION, UNCALIBRATED, WHY_PASSED_OVER
from lullwort.detector.expected import ExpectedEnd
from lullwort.detector.handseen import ByHand, NextSample
from lullwort.detector.offset import OddOne, OffsetSource
from lullwort.detector.shifts import Shift
from lullwort.records import TemperatureAnswer, format_utc

__all__ = [
    "CHECKS",
    "ROSE",
    "VERDICTS",
    "AtRest",
    "CheckName",
    "Chilled",
    "Sealed",
    "Snapshot",
    "Split",
    "Verdict",
    "wants_calibration",
]

ROSE = "a rise in gravity"
"""By which the proof starts anew where the log alone shows that something was put in, or that the sensor moved."""

Verdict = Literal[
    "lag", "fermenting", "holding", "ready", "stalled", "too cold", "unclear", "moving again", "packaged"
]  # fmt: skip
VERDICTS: tuple[Verdict, ...] = get_args(Verdict)

CheckName = Literal[
    "flat", "little left", "where it should be", "warm enough", "undisturbed", "seen", "believable"
]  # fmt: skip
CHECKS: tuple[CheckName, ...] = get_args(CheckName)


class Chilled(msgspec.Struct, frozen=True):
    """What the cold hides.

    Attributes:
        at_us: [µs] when the beer was last warm, or its crash was noted.
        gravity: [points] of the beer then, the sensor's offset and scale mended.
        left, left_upper: [points] that were still to fall then; the second at most.
        by_expected: whether that is by where the beer should end; else by its own tail, exceeded with left_chance.
        awaited: "dry hop" or "addition" where one was made so shortly before that it need not have shown yet.
    """

    at_us: int
    gravity: float
    left: float
    left_upper: float
    by_expected: bool
    awaited: str


class AtRest(msgspec.Struct, frozen=True):
    """How warm the beer has been since its activity ended, which is when the verdict last left off telling of a fall.

    Attributes:
        since_us: [µs] when that was.
        warmest_c: [°C] the warmest hour since; None where no temperature is known.
        warmest_us: [µs] when it was first so warm.
        gravity_then: [points] of the beer in that hour; None where not known. What has fallen since made gas anew.
        from_fall: whether the log tells the beer's temperature without a gap from before the end of its fall on, so
            that it was no warmer.
        told_since_us: [µs] since when it tells it without a gap where that is later; None where it does not now.
    """

    since_us: int
    warmest_c: float | None
    warmest_us: int
    gravity_then: float | None
    from_fall: bool = True
    told_since_us: int | None = None


class Sealed(msgspec.Struct, frozen=True):
    """That the vessel was sealed, so that what has fermented since is in the beer.

    Attributes:
        gravity: [points] of the beer then, with what was added since; infinite where not known.
        lift: [points] by which pressure may lift the reading since; 0 once a hand sample has been taken.
        at_us: [µs] when that was.
        temp_c: [°C] of the beer then, which held as much gas as it does at that; None where not known.
    """

    gravity: float
    lift: float
    at_us: int = 0
    temp_c: float | None = None


class Split(msgspec.Struct, frozen=True):
    """That another batch seems to have begun in the log, and what would take the two apart; nothing does so by itself.

    Attributes:
        batch, vessel: names of the one that was entered, and of where it is.
        last_us, began_us: [µs] to when the sensor read the earlier beer, and from when on what a wort has.
        low, least: [points, as the sensor reads] to which the earlier had fallen, and the least read since.
        options: of `lullwort batch open`, for what holds of the sensor whatever it floats in.
    """

    batch: str
    vessel: str
    last_us: int
    began_us: int
    low: float
    least: float
    options: str

    @property
    def commands(self) -> tuple[str, str]:
        """What takes the two apart."""
        return (
            f"lullwort batch close batch:{self.batch} --packaged {format_utc(self.last_us)}",
            f"lullwort batch open {self.vessel} --pitched {format_utc(self.began_us)}{self.options}",
        )

    @property
    def addition_command(self) -> str:
        """What tells that it is the same beer after all, to which something was added."""
        return f"lullwort note batch:{self.batch} addition --at {format_utc(self.began_us)} --points POINTS"


class Snapshot(msgspec.Struct, frozen=True, kw_only=True):
    """The state of one batch at `at_us`; gravities in points (0.001 SG), times in µs, None where not known.

    Attributes:
        passed, since_us: per check of CHECKS whether it holds, and since when it has been so.
        level, level_sd: of the beer as the sensor sees it, corrected for temperature.
        offset: what the sensor reads too high at the gravity of water, from gravities measured by hand; 0 where there
            is none.
        offset_sd: by how much `gravity` may be off for what is not known of offset and scale, from what the brewer's
            instrument would read.
        still_sd: as `offset_sd`, of the beer before the vessel was sealed.
        drift_sd: of what the sensor may have drifted since it was last held against what was measured by hand, beyond
            what `offset_sd` counts; of a chilled beer until then.
        shifts: of the reading while the beer stood, the last of them, in order of time.
        sampled_us: when a hand sample that stands was taken last; None where none was.
        hand_error_sd: by how much that instrument itself may be off, in original gravity and samples alike; 0 where
            none was taken.
        offset_known_by: by what it is known, if it is not 0.
        scale, scale_sd: what the sensor's reading changes by while gravity changes by one point.
        samples: how many hand samples both rest on; 0 where none was taken, or none stands.
        odd_sample: the last hand sample that is left out, for the others and the sensor say otherwise.
        outvoted: whether hand samples agree against what the sensor said before them.
        disputed_from: by which a hand sample must differ from `gravity` to open a dispute; None where too little is
            known of the sensor.
        sampled_gravity: by the last hand sample alone, if that is of this rest.
        answer: by which the sensor answers to temperature, where that is known and taken off.
        original: points at pitch with additions, and whether it was measured by hand.
        original_sd: how sure a measured one is; 0 where it was not.
        tested_above: a forced test that ended no lower than the original gravity, and does not count.
        must_reach: gravity at or below which the beer is where it should be: the ceiling of `expected`, or lower where
            what was put in, or too much of the original gravity, has yet to ferment; None where no end is known.
        begun_fall: by which gravity must fall before fermentation is taken to have begun.
        ready_down_to: gravity below which the `ready` that stands is taken back; None where none stands.
        ready_gravity: gravity at which that `ready` was proved; None where none stands.
        moved, moved_upper: fall over one hold window at the present slope; with its uncertainty.
        moved_limit: what `moved_upper` may be.
        fell: fall over the proving hours of the window so far.
        left, left_upper: still to fall, and what it exceeds only with probability left_chance, as the caution has it;
            of a chilled beer what was so before the cold, else never more than `fermentable`.
        fermentable: all that is left above the driest beer of this wort, as strong as it may have been.
        main_fall: whether the main fall still runs, whose slope tells nothing of its end.
        counted_h, needed_h: proving hours since the last disturbance, and how many are needed.
        hop_watch_h: proving hours that are needed after a dry hop.
        agree_h, agree_needed_h: hours in a row for which all checks hold, and how many make `ready`.
        noted_cold: whether it counts as cold because a crash was noted, for the log gives no temperature.
        unseen_h: since the last usable reading.
        unseen_limit_h, silent_limit_h: beyond which `seen` fails, and beyond which nothing can be said.
        under_pressure: whether the vessel was sealed, so that its pressure may be what lifts the reading above the end.
        disagreement: by which the last hand sample lies above what the sensor said; 0 unless that is too much.
        start_disagreement: by which the sensor began above a measured original gravity; 0 unless too much.
        confirmed_us: when a hand sample last confirmed the `ready` that stands.
        passed_over, passed_over_mostly: readings passed over so far, and the commonest reason.
        untempered: the batch, where readings give its gravity but none could be corrected, since no temperature is
            known; empty otherwise.
        chilled: what the cold hides; None where it is warm, or was `ready` before.
        sealed: what the vessel's sealing shut in; None where none was noted.
        at_rest: how warm it has been since activity ended; None while it falls.
        proved_left: [points] of a beer that was chilled when it was `ready`, what was still to fall before the cold,
            about and at most: in the cold the sensor's tail tells nothing. None where it is warm, or was not ready.
        split: where another batch seems to have begun in this log.
        hand: what hand samples say, where they alone tell; the sensor's values are those of the samples then.
        first_sample: when one is worth an opening, where nothing has been measured since the pitch.
        same_h: for how long gravity and temperature have been exactly equal.
        rising_h: for how many hours it has risen for certain.
        restarted_us, restarted_by: since when proving hours count, and by what that is so.
        interrupted_us: end of a silence since then for which more are needed; None where there was none.
    """

    at_us: int
    passed: dict[CheckName, bool]
    since_us: dict[CheckName, int]
    level: float | None
    level_sd: float
    offset: float
    offset_sd: float
    still_sd: float
    drift_sd: float
    shifts: tuple[Shift, ...]
    sampled_us: int | None
    hand_error_sd: float
    offset_known_by: OffsetSource
    scale: float
    scale_sd: float
    samples: int
    odd_sample: OddOne | None
    outvoted: bool
    disputed_from: float | None
    sampled_gravity: float | None
    answer: TemperatureAnswer | None
    original: float | None
    original_measured: bool
    original_sd: float
    expected: ExpectedEnd | None
    tested_above: float | None
    must_reach: float | None
    begun_fall: float
    ready_down_to: float | None
    ready_gravity: float | None
    window_h: int
    moved: float
    moved_upper: float
    moved_limit: float
    fell: float
    tolerance: float
    left: float
    left_upper: float
    fermentable: float
    main_fall: bool
    left_chance: float
    left_limit: float
    counted_h: int
    needed_h: int
    hop_watch_h: int
    agree_h: int
    agree_needed_h: int
    restarted_by: str
    restarted_us: int
    temp_c: float | None
    yeast_min_c: float
    yeast_min_given: bool
    noted_cold: bool
    unseen_h: float | None
    unseen_limit_h: float
    silent_limit_h: float
    same_h: float
    rising: bool
    under_pressure: bool
    disagreement: float
    start_disagreement: float
    confirmed_us: int | None
    chilled: Chilled | None
    sealed: Sealed | None
    at_rest: AtRest | None
    split: Split | None
    passed_over: int
    passed_over_mostly: str | None
    hours_to_go: int | None
    proved_left: tuple[float, float] | None = None
    hand: ByHand | None = None
    first_sample: NextSample | None = None
    untempered: str = ""
    rising_h: int = 0
    interrupted_us: int | None = None

    @property
    def steady_temperature_command(self) -> str:
        """What enters the temperature that an `untempered` log lacks."""
        return f"lullwort batch edit batch:{self.untempered} --steady-temperature TEMPERATURE"

    @property
    def beer_c(self) -> float | None:
        """[°C] of the beer in its vessel, by the log or an entry: how warm a sample was in its jar is not that."""
        return self.temp_c if self.hand is None else self.hand.beer_c

    @property
    def gravity(self) -> float | None:
        """[points] of the beer, the sensor's offset and scale mended."""
        return None if self.level is None else self.gravity_of(self.level)

    def gravity_of(self, level: float) -> float:
        """[points] of a beer of which the sensor reads `level` [points]."""
        return (level - self.offset) / self.scale

    @property
    def reads_high(self) -> float:
        """[points] By which the sensor reads this beer too high."""
        return self.offset if self.gravity is None or self.scale == 1.0 else self.level_above(self.gravity)

    def level_above(self, gravity: float) -> float:
        """[points] By which the sensor reads a beer of `gravity` [points] too high."""
        return self.offset + (self.scale - 1.0) * gravity

    @property
    def lost(self) -> bool:
        """Whether the sensor has been silent for so long that nothing can be said of a beer that was not proved."""
        proved = self.ready_gravity is not None or self.chilled is not None
        return self.hand is None and self.unseen_h is not None and self.unseen_h > self.silent_limit_h and not proved

    @property
    def warm_gravity(self) -> float | None:
        """[points] As `gravity`, of a chilled beer what it was before: in the cold the sensor's own error grows.

        None once the sensor has been lost: what its tail would have done meanwhile nobody saw.
        """
        if self.lost:
            return None
        if self.chilled is not None:
            return self.chilled.gravity
        if self.ready_gravity is not None and not self.passed["warm enough"]:
            return self.ready_gravity
        return self.gravity

    @property
    def fallen_sealed(self) -> tuple[float, float] | None:
        """[points] Since the vessel was sealed, about and at most, infinite where not known; None where it was not."""
        if self.sealed is None or self.warm_gravity is None:
            return None
        fell = self.sealed.gravity - self.warm_gravity
        least, most = max(0.0, fell), max(0.0, fell + self.sealed.lift)
        return 0.5 * (least + most), most

    @property
    def frozen(self) -> bool:
        """Whether the sensor or its gateway repeats itself, and not since the beer was proved."""
        other = self.split is not None or self.disagreement or self.start_disagreement or self.rising
        kept = self.hand is not None or self.ready_gravity is not None or self.chilled is not None
        return self.level is not None and not (self.passed["believable"] or other or kept)

    @property
    def rises_least(self) -> float:
        """[points] by which the sensor rises over one hold window for certain; less than 0 where it need not rise."""
        return self.moved - 2.0 * self.moved_upper

    @property
    def gravity_sd(self) -> float:
        """[points] Uncertainty of `gravity`, offset and scale included."""
        return float((self.level_sd**2 + self.offset_sd**2) ** 0.5)


def wants_calibration(seen: Snapshot) -> bool:
    """Whether readings are passed over mostly because their sensor's calibration is missing or ends too soon."""
    return seen.passed_over_mostly in {WHY_PASSED_OVER[why] for why in (UNCALIBRATED, BEYOND_CALIBRATION)}
