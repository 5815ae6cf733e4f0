"""A bank of small Kalman filters that separate the beer's fall from a floating sensor's wandering noise.

Each filter believes in one time constant `tau` of the tail and carries three numbers: the level of the beer g,
its slope s (positive = falling, per yeast hour) and the sensor's slow noise r. Per yeast hour f (hours weighted
by temperature; 0 while the yeast sleeps)::

    g ← g − s·tau·(1−a)    s ← s·a    r ← r·rho        with a = exp(−f/tau), rho = exp(−1/RED_TAU_H)
    y = g + r + white noise

so that s·tau is what is still to fall. No single tau fits all beers, and a beer may change its mind; so every few
hours a small share of belief is redrawn from a prior over tau while level and slope carry over (the pooled state flows
into every filter). This is the interacting-multiple-model estimator [Blom1988] with a transition matrix of rank one.

Plain floats on purpose: at six filters numpy would cost many times more than it saves.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, field
from functools import cache
from math import erfc, exp, sqrt

__all__ = ["RED_TAU_H", "TAUS_H", "TailBank"]

RED_TAU_H = 4.0
TAUS_H = tuple(10.0 * 1.98**i for i in range(6))
"""10 to 306 yeast hours: from a brisk ale to a strong one. Eight filters over the same span decide no better."""

_REDRAW_H = 6
_REDRAW = 1.0 - 0.98**_REDRAW_H
# Redrawn more often the verdicts are the same, for more work.
_LOG_TAUS = [math.log(tau) for tau in TAUS_H]
_PRIOR_LOG_SD = 1.5
_START_TAU_H = 40
_STUDENT_DF = 4.0
# Four, for its density is then squares and one root.
_RHO = math.exp(-1.0 / RED_TAU_H)


@cache
def tau_prior(centre_h: int) -> tuple[float, ...]:
    """Belief over TAUS_H: log-normal around `centre_h` [whole yeast hours], a factor of four and a half either way.

    >>> [round(p, 2) for p in tau_prior(40)]
    [0.14, 0.2, 0.22, 0.2, 0.15, 0.09]
    """
    raw = [exp(-0.5 * ((log_tau - math.log(centre_h)) / _PRIOR_LOG_SD) ** 2) for log_tau in _LOG_TAUS]
    total = sum(raw)
    return tuple(w / total for w in raw)


State = tuple[float, float, float, float, float, float, float, float, float]
"""Of one filter: g, s, r, then the covariance gg, gs, gr, ss, sr, rr."""


Pooled = tuple[float, float, float, float]
"""What the whole bank knows of the beer as the sensor sees it: level [points] and slope [points per yeast hour,
positive while it falls], then the variances of both."""


@dataclass
class TailBank:
    """Level, slope and points left of one batch, hour by hour. All gravities in points (0.001 SG).

    `start` once, then `predict` every hour and `correct` in hours that have a value. The numbers that it gives are
    those of the whole bank. O(1) memory.
    """

    prior_tau_h: float = _START_TAU_H
    """[yeast hours] around which belief is redrawn."""
    weights: list[float] = field(default_factory=lambda: list(tau_prior(_START_TAU_H)))
    states: list[State] = field(default_factory=list)
    _hours: int = 0
    _pooled: Pooled | None = None

    def start(self, level: float, level_sd: float, slope_sd: float, red_var: float) -> None:
        """Begin at `level` [points] with no slope known: `slope_sd` [points/h], `red_var` [points²]."""
        self.states = [(level, 0.0, 0.0, level_sd**2, 0.0, 0.0, slope_sd**2, 0.0, red_var)] * len(TAUS_H)
        self._pooled = None

    def predict(
        self, yeast_h: float, slope_noise_rel: float, slope_noise_floor: float, red_var: float
    ) -> tuple[float, float]:
        """One hour passes, `yeast_h` of them for the yeast.

        Args:
            slope_noise_rel: how much a slope may change an hour, as a share of itself.
            slope_noise_floor: [points/h] the least by which it may change.
            red_var: [points²] of the sensor's slow noise.

        Returns: what a sensor without white noise should read now [points], and the variance of that [points²].
        """
        self._hours += 1
        if self._hours % _REDRAW_H == 0:
            self._redraw()
        rho, rho_squared = _RHO, _RHO * _RHO
        red_noise = red_var * (1.0 - rho_squared)
        noise_rel = slope_noise_rel * yeast_h
        floor_var = slope_noise_floor * slope_noise_floor
        states: list[State] = []
        mean = square = 0.0
        for tau, w, (g, s, r, gg, gs, gr, ss, sr, rr) in zip(TAUS_H, self.weights, self.states, strict=True):
            a = exp(-yeast_h / tau)
            b = tau * (1.0 - a)
            noise = noise_rel * s
            g -= b * s
            r *= rho
            gg += b * (b * ss - 2.0 * gs)
            gs = a * (gs - b * ss)
            gr = rho * (gr - b * sr)
            rr = rho_squared * rr + red_noise
            states.append((g, a * s, r, gg, gs, gr, a * a * ss + noise * noise + floor_var, a * rho * sr, rr))
            seen = g + r
            mean += w * seen
            square += w * (gg + 2.0 * gr + rr + seen * seen)
        self.states, self._pooled = states, None
        return mean, square - mean * mean

    def _redraw(self) -> None:
        """A share of belief changes its time constant, level and slope carried over."""
        g0, s0, r0, c0, c1, c2, c3, c4, c5 = self._moments()
        weights: list[float] = []
        states: list[State] = []
        prior = tau_prior(round(self.prior_tau_h))
        for w, p, (g, s, r, gg, gs, gr, ss, sr, rr) in zip(self.weights, prior, self.states, strict=True):
            drawn = _REDRAW * p
            w = (1.0 - _REDRAW) * w + drawn
            weights.append(w)
            share = drawn / w
            k = 1.0 - share
            spread = share * k
            dg, ds, dr = g0 - g, s0 - s, r0 - r
            states.append(
                (
                    g + share * dg,
                    s + share * ds,
                    r + share * dr,
                    k * gg + share * c0 + spread * dg * dg,
                    k * gs + share * c1 + spread * dg * ds,
                    k * gr + share * c2 + spread * dg * dr,
                    k * ss + share * c3 + spread * ds * ds,
                    k * sr + share * c4 + spread * ds * dr,
                    k * rr + share * c5 + spread * dr * dr,
                )
            )
        self.weights, self.states, self._pooled = weights, states, None

    def correct(self, y: float, white_var: float) -> None:
        """Take up the hour's value `y` [points] with its white noise [points²]."""
        weights: list[float] = []
        states: list[State] = []
        total = g0 = s0 = gg0 = ss0 = 0.0
        for w, (g, s, r, gg, gs, gr, ss, sr, rr) in zip(self.weights, self.states, strict=True):
            e = y - g - r
            pg, ps, pr = gg + gr, gs + sr, gr + rr
            variance = pg + pr + white_var
            # Student's t, so that one odd hour does not decide between time constants.
            odd = 1.0 + e * e / (_STUDENT_DF * variance)
            w /= odd * odd * sqrt(odd * variance)
            weights.append(w)
            kg, ks, kr = pg / variance, ps / variance, pr / variance
            g += kg * e
            s += ks * e
            gg -= kg * pg
            ss -= ks * ps
            states.append((g, s, r + kr * e, gg, gs - kg * ps, gr - kg * pr, ss, sr - ks * pr, rr - kr * pr))
            # Pooled in passing, for every hour asks for it.
            total += w
            g0 += w * g
            s0 += w * s
            gg0 += w * (gg + g * g)
            ss0 += w * (ss + s * s)
        self.weights = [w / total for w in weights]
        level, slope = g0 / total, s0 / total
        self._pooled = (level, slope, gg0 / total - level * level, ss0 / total - slope * slope)
        self.states = states

    def shift(self, by: float, var: float) -> None:
        """Move the level by `by` [points], keeping the slope; `var` [points²] is how unsure the move is."""
        self.states = [(g + by, s, r, gg + var, gs, gr, ss, sr, rr) for g, s, r, gg, gs, gr, ss, sr, rr in self.states]
        self._pooled = None

    def loosen(self, slope_sd: float, level_sd: float) -> None:
        """Something was done to the beer: be less sure of slope [points/h] and level [points]."""
        level_var, slope_var = level_sd * level_sd, slope_sd * slope_sd
        self.states = [
            (g, s, r, gg + level_var, gs, gr, ss + slope_var, sr, rr) for g, s, r, gg, gs, gr, ss, sr, rr in self.states
        ]
        self._pooled = None

    @property
    def pooled(self) -> Pooled:
        """Level [points] and slope [points/h] over the whole bank, with their variances."""
        if self._pooled is None:
            g0 = s0 = gg0 = ss0 = 0.0
            for w, (g, s, _, gg, _, _, ss, _, _) in zip(self.weights, self.states, strict=True):
                g0 += w * g
                s0 += w * s
                gg0 += w * (gg + g * g)
                ss0 += w * (ss + s * s)
            self._pooled = (g0, s0, gg0 - g0 * g0, ss0 - s0 * s0)
        return self._pooled

    @property
    def level(self) -> float:
        """[points] Of the beer as the sensor sees it."""
        return self.pooled[0]

    @property
    def slope(self) -> float:
        """[points per yeast hour] Positive while it falls."""
        return self.pooled[1]

    @property
    def level_var(self) -> float:
        """[points²] How unsure the level is."""
        return self.pooled[2]

    @property
    def slope_var(self) -> float:
        """[points² per h²] How unsure the slope is."""
        return self.pooled[3]

    def left(self) -> float:
        """Expected points still to fall; never below zero."""
        return max(0.0, sum(w * x[1] * tau for w, x, tau in zip(self.weights, self.states, TAUS_H, strict=True)))

    def may_lose(self, points: float, chance: float) -> bool:
        """Whether more than `points` are still to fall with a probability above `chance`.

        >>> bank = TailBank()
        >>> bank.start(50.0, 1.0, 0.1, 0.1)
        >>> bank.may_lose(0.0, 0.499), bank.may_lose(0.0, 0.501)
        (True, False)
        """
        probability, twice = 0.0, 2.0 * chance
        for w, x, tau in zip(self.weights, self.states, TAUS_H, strict=True):
            probability += w * erfc((points / tau - x[1]) / sqrt(2.0 * x[6]))
            if probability > twice:  # the others can only add to it
                return True
        return False

    def left_upper(self, chance: float) -> float:
        """Points that are exceeded only with probability `chance` (0 to 0.5), to 0.01."""
        low, high = 0.0, 1.0
        while self.may_lose(high, chance) and high < 1024.0:
            low, high = high, 2.0 * high
        while high - low > 0.01:
            middle = 0.5 * (low + high)
            low, high = (middle, high) if self.may_lose(middle, chance) else (low, middle)
        return high

    def _moments(self) -> State:
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
        return g0, s0, r0, c0 - g0 * g0, c1 - g0 * s0, c2 - g0 * r0, c3 - s0 * s0, c4 - s0 * r0, c5 - r0 * r0
