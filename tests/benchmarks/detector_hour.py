"""What the detector costs for each hour of a vessel, beside the bare filters at its heart.

    python tests/benchmarks/detector_hour.py [SEEDS]

The bare bank is the plainest program of that part: eight Kalman filters of level, slope and slow noise in plain floats,
a share of belief redrawn each hour with level and slope carried over. It is handed the hourly values; it screens
nothing, learns no noise, notices no step and decides nothing. The detector is handed readings and does all of that,
whole batches with all that is made ready for each. Both see every invented kind of batch in one process, in turns.
"""

from __future__ import annotations

import math
import sys
import time

from lullwort.analysis import HourGatherer
from lullwort.detector import judge
from lullwort.records import HOUR_US, Batch, VesselReadings
from lullwort.rehearsal import SCORED, invent
from turns import in_turns, tell

TAUS_H = [9.0 * 1.6**i for i in range(8)]
RHO = math.exp(-1.0 / 3.0)
WHITE_VAR, RED_VAR = 0.04, 0.1
REDRAW = 0.02
SLOPE_NOISE_REL, SLOPE_NOISE_FLOOR = 0.05, 0.0003
TURNS = 9


class BareBank:
    """For each time constant level, slope, slow noise and their covariance, and how much it is believed."""

    def __init__(self, level: float) -> None:
        logs = [math.log(tau / 40.0) for tau in TAUS_H]
        prior = [math.exp(-0.5 * (log / 0.7) ** 2) for log in logs]
        self.prior = [p / sum(prior) for p in prior]
        self.weights = list(self.prior)
        self.states = [[level, 0.0, 0.0, 2.25, 0.0, 0.0, 0.0225, 0.0, RED_VAR] for _ in TAUS_H]

    def hour(self, y: float) -> None:
        self.mix()
        self.predict()
        self.correct(y)

    def mix(self) -> None:
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
        c0, c1, c2, c3, c4, c5 = c0 - g0 * g0, c1 - g0 * s0, c2 - g0 * r0, c3 - s0 * s0, c4 - s0 * r0, c5 - r0 * r0
        for i, x in enumerate(self.states):
            drawn = REDRAW * self.prior[i]
            self.weights[i] = w = (1.0 - REDRAW) * self.weights[i] + drawn
            a = drawn / w
            k = 1.0 - a
            dg, ds, dr = g0 - x[0], s0 - x[1], r0 - x[2]
            x[0] += a * dg
            x[1] += a * ds
            x[2] += a * dr
            x[3] = k * x[3] + a * c0 + a * k * dg * dg
            x[4] = k * x[4] + a * c1 + a * k * dg * ds
            x[5] = k * x[5] + a * c2 + a * k * dg * dr
            x[6] = k * x[6] + a * c3 + a * k * ds * ds
            x[7] = k * x[7] + a * c4 + a * k * ds * dr
            x[8] = k * x[8] + a * c5 + a * k * dr * dr

    def predict(self) -> None:
        for tau, x in zip(TAUS_H, self.states, strict=True):
            g, s, r, gg, gs, gr, ss, sr, rr = x
            a = math.exp(-1.0 / tau)
            b = tau * (1.0 - a)
            x[0] = g - b * s
            x[1] = a * s
            x[2] = RHO * r
            x[3] = gg - 2.0 * b * gs + b * b * ss
            x[4] = a * (gs - b * ss)
            x[5] = RHO * (gr - b * sr)
            x[6] = a * a * ss + (SLOPE_NOISE_REL * s) ** 2 + SLOPE_NOISE_FLOOR**2
            x[7] = a * RHO * sr
            x[8] = RHO * RHO * rr + RED_VAR * (1.0 - RHO * RHO)

    def correct(self, y: float) -> None:
        for i, x in enumerate(self.states):
            g, s, r, gg, gs, gr, ss, sr, rr = x
            e = y - g - r
            pg, ps, pr = gg + gr, gs + sr, gr + rr
            variance = pg + pr + WHITE_VAR
            self.weights[i] *= variance**-0.5 * (1.0 + e * e / variance / 4.0) ** -2.5
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
        total = sum(self.weights)
        self.weights = [w / total for w in self.weights]


def bare_hour(series: list[list[float]]) -> float:
    """[s] of the bare bank for each hour."""
    began = time.perf_counter()
    for values in series:
        bank = BareBank(values[0])
        for y in values:
            bank.hour(y)
    return (time.perf_counter() - began) / sum(map(len, series))


def detector_hour(batches: list[tuple[Batch, VesselReadings]]) -> float:
    """[s] of the detector for each hour, from the pitch to the last reading."""
    began = time.perf_counter()
    for batch, readings in batches:
        assert judge(batch, readings).history, batch.name
    took = time.perf_counter() - began
    return took / sum((int(readings.at_us[-1]) - batch.pitched_us) // HOUR_US for batch, readings in batches)


def hourly_points(readings: VesselReadings) -> list[float]:
    """[points] of the hours that have a usable reading."""
    gatherer = HourGatherer()
    gatherer.add(readings)
    hours = gatherer.close(int(readings.at_us[-1]))
    return [(hour.gravity - 1.0) * 1000.0 for hour in hours if hour.gravity is not None]


def main(seeds: int = 2) -> None:
    invented = [invent(kind, seed) for kind in SCORED for seed in range(1, seeds + 1)]
    batches = [(one.batch, VesselReadings.of(one.readings)) for one in invented]
    series = [hourly_points(readings) for _, readings in batches]
    took = in_turns({"bare bank": lambda: bare_hour(series), "detector": lambda: detector_hour(batches)}, TURNS)
    print(f"{sum(map(len, series))} hours of {len(batches)} invented batches, time for each hour of a vessel")
    tell(took, "detector", "bare bank", at_most=1.5, unit="µs", scale=1e6)


if __name__ == "__main__":
    main(*map(int, sys.argv[1:]))
