"""A bank of small Kalman filters that separate the beer's fall from a floating sensor's wandering noise.

Each filter believes in one time constant `tau` of the tail and carries three numbers: the level of the beer g,
its slope s (positive = falling, per yeast hour) and the sensor's slow noise r. Per yeast hour f (hours weighted
by temperature; 0 while the yeast sleeps)::

    g ← g − s·tau·(1−a)    s ← s·a    r ← r·rho        with a = exp(−f/tau), rho = exp(−1/RED_TAU_H)
    y = g + r + white noise

so that s·tau is what is still to fall. No single tau fits all beers, and a beer may change its mind; so each hour a
small share of belief is redrawn from a prior over tau while level and slope carry over (the pooled state flows into
every filter). This is the interacting-multiple-model estimator [Blom1988] with a transition matrix of rank one.

Plain floats on purpose: at eight filters numpy would cost many times more than it saves.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, field

__all__ = ["RED_TAU_H", "TAUS_H", "TailBank"]

RED_TAU_H = 4.0
TAUS_H = tuple(10.0 * 1.63**i for i in range(8))
"""10 to 306 yeast hours: from a brisk ale to a strong one; ratio 1.63 keeps neighbours hard to tell apart."""

_REDRAW = 0.02
_PRIOR_LOG_SD = 0.7
_START_TAU_H = 40.0
_STUDENT_DF = 4.0
_RHO = math.exp(-1.0 / RED_TAU_H)


def tau_prior(centre_h: float) -> list[float]:
    """Belief over TAUS_H: log-normal around `centre_h` [yeast hours], a factor of two either way.

    >>> [round(p, 2) for p in tau_prior(40.0)]
    [0.04, 0.12, 0.24, 0.28, 0.2, 0.09, 0.02, 0.0]
    """
    raw = [math.exp(-0.5 * (math.log(tau / centre_h) / _PRIOR_LOG_SD) ** 2) for tau in TAUS_H]
    total = sum(raw)
    return [w / total for w in raw]


@dataclass
class TailBank:
    """Level, slope and points left of one batch, hour by hour. All gravities in points (0.001 SG).

    `start` once, then `predict` every hour and `correct` in hours that have a value; `pool` is implied. The
    public numbers (`level`, `slope`, and their variances) are those of the whole bank. O(1) memory.
    """

    level: float = 0.0
    slope: float = 0.0
    level_var: float = 0.0
    slope_var: float = 0.0
    red_var: float = 0.0
    prior: list[float] = field(default_factory=lambda: tau_prior(_START_TAU_H))
    weights: list[float] = field(default_factory=lambda: tau_prior(_START_TAU_H))
    states: list[list[float]] = field(default_factory=list)
    """Per filter: g, s, r, then the covariance gg, gs, gr, ss, sr, rr."""

    def start(self, level: float, level_sd: float, slope_sd: float, red_var: float) -> None:
        """Begin at `level` [points] with no slope known: `slope_sd` [points/h], `red_var` [points²]."""
        self.states = [
            [level, 0.0, 0.0, level_sd**2, 0.0, 0.0, slope_sd**2, 0.0, red_var] for _ in TAUS_H
        ]  # fmt: skip
        self._pool()

    def predict(self, yeast_h: float, slope_noise_rel: float, slope_noise_floor: float, red_var: float) -> None:
        """One hour passes, `yeast_h` of them for the yeast.

        Args:
            slope_noise_rel: how much a slope may change an hour, as a share of itself.
            slope_noise_floor: [points/h] the least by which it may change.
            red_var: [points²] of the sensor's slow noise.
        """
        self._redraw()
        red_noise = red_var * (1.0 - _RHO * _RHO)
        for tau, x in zip(TAUS_H, self.states, strict=True):
            a = math.exp(-yeast_h / tau)
            b = tau * (1.0 - a)
            g, s, r, gg, gs, gr, ss, sr, rr = x
            noise = slope_noise_rel * s * yeast_h
            x[0] = g - b * s
            x[1] = a * s
            x[2] = _RHO * r
            x[3] = gg - 2.0 * b * gs + b * b * ss
            x[4] = a * (gs - b * ss)
            x[5] = _RHO * (gr - b * sr)
            x[6] = a * a * ss + noise * noise + slope_noise_floor * slope_noise_floor
            x[7] = a * _RHO * sr
            x[8] = _RHO * _RHO * rr + red_noise
        self._pool()

    def innovation(self, y: float, white_var: float) -> tuple[float, float]:
        """How far `y` [points] lies from the prediction, and the variance [points²] that it should have."""
        expected = variance = 0.0
        for w, x in zip(self.weights, self.states, strict=True):
            e = x[0] + x[2]
            expected += w * e
            variance += w * (x[3] + 2.0 * x[5] + x[8] + e * e)
        return y - expected, variance - expected * expected + white_var

    def correct(self, y: float, white_var: float) -> None:
        """Take up the hour's value `y` [points] with its white noise [points²]."""
        weights = self.weights
        total = 0.0
        for i, x in enumerate(self.states):
            g, s, r, gg, gs, gr, ss, sr, rr = x
            e = y - g - r
            pg, ps, pr = gg + gr, gs + sr, gr + rr
            variance = pg + pr + white_var
            e2 = e * e / variance
            # Student's t, so that one odd hour does not decide between time constants.
            weights[i] *= variance**-0.5 * (1.0 + e2 / _STUDENT_DF) ** (-0.5 * (_STUDENT_DF + 1.0))
            total += weights[i]
            kg, ks, kr = pg / variance, ps / variance, pr / variance
            x[0] = g + kg * e
            x[1] = s + ks * e
            x[2] = r + kr * e
            x[3] = gg - kg * pg
            x[4] = gs - kg * ps
            x[5] = gr - kg * pr
            x[6] = ss - ks * ps
            x[7] = sr - ks * pr
            x[8] = rr - kr * pr
        self.weights = [max(w / total, 1e-9) for w in weights]
        self._pool()

    def shift(self, by: float, var: float) -> None:
        """Move the level by `by` [points], keeping the slope; `var` [points²] is how unsure the move is."""
        for x in self.states:
            x[0] += by
            x[3] += var
        self._pool()

    def loosen(self, slope_sd: float, level_sd: float) -> None:
        """Something was done to the beer: be less sure of slope [points/h] and level [points]."""
        for x in self.states:
            x[3] += level_sd * level_sd
            x[6] += slope_sd * slope_sd
        self._pool()

    def left(self) -> float:
        """Expected points still to fall; never below zero."""
        return max(0.0, sum(w * x[1] * tau for w, x, tau in zip(self.weights, self.states, TAUS_H, strict=True)))

    def chance_left_over(self, points: float) -> float:
        """Probability that more than `points` are still to fall.

        >>> bank = TailBank()
        >>> bank.start(50.0, 1.0, 0.1, 0.1)
        >>> round(bank.chance_left_over(0.0), 6)
        0.5
        """
        chance = 0.0
        for w, x, tau in zip(self.weights, self.states, TAUS_H, strict=True):
            z = (points - x[1] * tau) / (tau * math.sqrt(x[6]))
            chance += w * 0.5 * math.erfc(z / math.sqrt(2.0))
        return chance

    def left_upper(self, chance: float) -> float:
        """Points that are exceeded only with probability `chance` (0 to 0.5), to 0.01."""
        low, high = 0.0, 1.0
        while self.chance_left_over(high) > chance and high < 1024.0:
            low, high = high, 2.0 * high
        while high - low > 0.01:
            middle = 0.5 * (low + high)
            low, high = (middle, high) if self.chance_left_over(middle) > chance else (low, middle)
        return high

    def _redraw(self) -> None:
        """Let a share of belief change its time constant, level and slope carried over."""
        g0, s0, r0, c0, c1, c2, c3, c4, c5 = self._pooled
        keep = 1.0 - _REDRAW
        weights, prior = self.weights, self.prior
        for i, x in enumerate(self.states):
            drawn = _REDRAW * prior[i]
            weights[i] = w = keep * weights[i] + drawn
            a = drawn / w
            dg, ds, dr = g0 - x[0], s0 - x[1], r0 - x[2]
            k = 1.0 - a
            spread = a * k
            x[0] += a * dg
            x[1] += a * ds
            x[2] += a * dr
            x[3] = k * x[3] + a * c0 + spread * dg * dg
            x[4] = k * x[4] + a * c1 + spread * dg * ds
            x[5] = k * x[5] + a * c2 + spread * dg * dr
            x[6] = k * x[6] + a * c3 + spread * ds * ds
            x[7] = k * x[7] + a * c4 + spread * ds * dr
            x[8] = k * x[8] + a * c5 + spread * dr * dr

    def _pool(self) -> None:
        g0 = s0 = r0 = c0 = c1 = c2 = c3 = c4 = c5 = 0.0
        for w, (g, s, r, gg, gs, gr, ss, sr, rr) in zip(self.weights, self.states, strict=True):
            g0 += w * g
            s0 += w * s
            r0 += w * r
            c0 += w * (gg + g * g)
            c1 += w * (gs + g * s)
            c2 += w * (gr + g * r)
            c3 += w * (ss + s * s)
            c4 += w * (sr + s * r)
            c5 += w * (rr + r * r)
        c0 -= g0 * g0
        c3 -= s0 * s0
        self._pooled = (g0, s0, r0, c0, c1 - g0 * s0, c2 - g0 * r0, c3, c4 - s0 * r0, c5 - r0 * r0)
        self.level, self.slope, self.level_var, self.slope_var = g0, s0, c0, c3
        self.red_var = self._pooled[8]
