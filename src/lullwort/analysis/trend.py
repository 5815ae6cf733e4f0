"""The beer's level, slope and points left from hourly values, with honest uncertainty."""

from __future__ import annotations

import math
from dataclasses import dataclass, field

from lullwort.analysis.bank import TAUS_H, TailBank
from lullwort.analysis.noise import SensorNoise
from lullwort.analysis.steps import LiftWatch, Misfit, StepWatch

__all__ = ["Trend"]

_START_SLOPE_SD = 0.15
_MAIN_NOISE_REL, _TAIL_NOISE_REL = 0.30, 0.03
_MAIN_NOISE_FLOOR, _RESTLESS_NOISE_FLOOR, _TAIL_NOISE_FLOOR = 0.06, 0.005, 0.0001
_TAIL_SHARE_OF_PEAK = 0.30
_LEAST_PEAK = 0.1
_TAU_SHARE, _TAU_LEAST_H = 0.8, 40.0
_SPARSE_H = 4
_SPEEDING_UP = 0.01
_TEMP_SENSITIVITY = 0.15


@dataclass
class Trend:
    """Streaming trend of one batch in points (0.001 SG); one `hour` a clock hour. O(1) memory.

    `positive slope` means falling, in points per yeast hour. Nothing is known before the first value:
    `started` says so.
    """

    bank: TailBank = field(default_factory=TailBank)
    noise: SensorNoise = field(default_factory=SensorNoise)
    steps: StepWatch = field(default_factory=StepWatch)
    lifts: LiftWatch = field(default_factory=LiftWatch)
    started: bool = False
    peak_slope: float = 0.0
    since_peak_h: float = 0.0
    """[yeast hours] since the fall was steepest."""
    in_main_fall: bool = True
    trough: float = math.inf
    """[points/h] the least slope since the main fall, one standard deviation added."""
    since_value_h: int = 0
    _misfit_after_h: int = 0
    restless_h: int = 0
    """[h] for which the slope may still take up speed, because of what was done to the beer."""
    last_step: Misfit | None = None
    """Set in the hour in which three misfits were understood, None otherwise."""
    last_lifted: bool = False
    """Whether the last hours fitted, but lay above the trend one after the other: something has lifted the reading."""
    last_used: bool = False
    """Whether the last hour's value was taken up."""

    def hour(self, y: float | None, yeast_h: float, temp_moved_k: float) -> None:
        """One clock hour.

        Args:
            y: [points] the hour's corrected value, None if it had none.
            yeast_h: [h] what the hour was worth to the yeast; 0 while it sleeps.
            temp_moved_k: [K] by how much the temperature moved since the hour before.
        """
        self.last_step, self.last_lifted, self.last_used = None, False, False
        if not self.started:
            if y is not None:
                self.bank.start(y, 1.5, _START_SLOPE_SD, self.noise.red_var)
                self.started = self.last_used = True
                self.noise.update(y, curved=True)
            return
        bank, noise = self.bank, self.noise
        self._note_phase()
        self.since_peak_h += yeast_h
        # A tail that has lasted long may last long: the tail of a beer is a sum of exponentials or worse, so what is
        # left to expect grows with what has passed. The redrawn share of belief follows it.
        bank.prior_tau_h = min(max(_TAU_SHARE * self.since_peak_h, _TAU_LEAST_H), TAUS_H[-1])
        white_var, red_var = noise.variances()
        expected, variance = bank.predict(
            yeast_h,
            _MAIN_NOISE_REL if self.in_main_fall else _TAIL_NOISE_REL,
            self._slope_noise_floor(yeast_h),
            red_var,
        )
        self.since_value_h += 1
        if self.restless_h:
            self.restless_h -= 1
        if y is None:
            noise.update(None, curved=True)
            return
        apart_h, self.since_value_h = self.since_value_h, 0
        # A float's own answer to temperature is not known, so a moving temperature makes its value less telling.
        white_var += (_TEMP_SENSITIVITY * temp_moved_k) ** 2
        innovation = y - expected
        sd = math.sqrt(variance + white_var)
        if self.steps.fits(innovation, sd):
            if not self.in_main_fall:
                self.last_lifted = self.lifts.add(innovation / sd)
            self._take(y, white_var)
            return
        if self.in_main_fall and apart_h >= _SPARSE_H:
            # Values this far apart in a fall cannot confirm each other in time: follow each.
            self._note_slope((self.bank.level - y) / apart_h)
            self.bank.loosen(abs(innovation) / apart_h, abs(innovation))
            self._take(y, white_var)
            return
        if self.steps.at_rest:
            self._misfit_after_h = apart_h
        misfit = self.steps.add(innovation)
        if misfit is not None and misfit.points < 0.0 and self._misfit_after_h >= _SPARSE_H:
            # What lies lower after hours unseen may have fallen there: only a float that was watched has stepped.
            misfit = misfit._replace(kind="ramp")
        if misfit is None:
            self.noise.update(None, curved=True)
            return
        self._understand(misfit)
        self._take(y, white_var)

    def _take(self, y: float, white_var: float) -> None:
        self.last_used = True
        self.bank.correct(y, white_var)
        self.noise.update(y, curved=self.in_main_fall)

    def loosen(self, slope_sd: float, level_sd: float) -> None:
        """Be less sure of slope [points/h] and level [points]: something was done to the beer or the sensor."""
        if self.started:
            self.bank.loosen(slope_sd, level_sd)

    def shift(self, points: float, sd: float) -> None:
        """The level moved by `points`, give or take `sd`, and the slope did not."""
        self.bank.shift(points, sd * sd)

    def begin_anew(self, restless_h: int = 0) -> None:
        """Another fall may begin, within `restless_h` [h]; how long the last one took says nothing of its tail."""
        self.since_peak_h = 0.0
        self.restless_h = max(self.restless_h, restless_h)

    def fell_unseen(self, ago_h: float) -> None:
        """The main fall was over before the first value, and began no longer than `ago_h` [h] ago."""
        self.peak_slope, self.since_peak_h = max(self.peak_slope, _LEAST_PEAK), ago_h

    def _understand(self, misfit: Misfit) -> None:
        self.noise.forget()
        self.lifts.reset()
        if misfit.kind == "bump" and not (self.in_main_fall and misfit.points < 0.0):
            self.last_step = misfit
            self.bank.shift(misfit.points, 0.5**2)
        else:
            if not self.in_main_fall:
                self.last_step = misfit
                self.begin_anew()
            self.bank.loosen(max(0.05, misfit.spread / 2.0), abs(misfit.points))

    def _slope_noise_floor(self, yeast_h: float) -> float:
        if self.in_main_fall:
            return _MAIN_NOISE_FLOOR
        return (_RESTLESS_NOISE_FLOOR if self.restless_h else _TAIL_NOISE_FLOOR) / max(1.0, yeast_h)

    def _note_trough(self, slope: float, sd: float) -> None:
        """Notice a fall that takes up speed after it had nearly stopped: its tail counts from then on."""
        if slope + sd < self.trough:
            self.trough = slope + sd
        if slope - 2.0 * sd > self.trough + _SPEEDING_UP:
            self.trough = slope
            self.begin_anew()

    def _note_slope(self, slope: float) -> None:
        if slope > self.peak_slope:
            self.peak_slope, self.since_peak_h = slope, 0.0

    def _note_phase(self) -> None:
        _, slope, _, slope_var = self.bank.pooled
        sd = math.sqrt(slope_var)
        if slope > self.peak_slope and sd < 0.5 * slope:
            self._note_slope(slope)
        if self.in_main_fall:
            self.trough = math.inf
            self.lifts.reset()
        else:
            self._note_trough(slope, sd)
        self.in_main_fall = self.peak_slope < _LEAST_PEAK or slope > _TAIL_SHARE_OF_PEAK * self.peak_slope
