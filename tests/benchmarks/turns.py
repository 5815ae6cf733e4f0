"""What the benchmarks share: an invented log, programs measured in turns, and ratios held against a goal."""

from __future__ import annotations

import statistics
import subprocess
import sys
import time
from collections.abc import Callable, Mapping, Sequence
from pathlib import Path

import numpy as np

__all__ = ["in_turns", "process_seconds", "tell", "write_log"]

Took = dict[str, list[float]]


def write_log(path: Path, rows: int, vessels: int, *, every_min: int = 1) -> int:
    """Write an invented log of ales, a reading every so many minutes of each vessel, in order of time.

    Returns: rows written, `rows` rounded down to as many for each vessel.
    """
    rng = np.random.default_rng(20260302)
    start = np.datetime64("2026-01-01T00:00:00")
    with path.open("w") as file:
        file.write("time,vessel,gravity,temperature\n")
        for i in range(rows // vessels):
            hour = i * every_min / 60.0
            level = 1.011 + 0.036 / (1.0 + np.exp((hour - 54.0) / 12.0)) + 0.003 * np.exp(-max(hour - 54.0, 0.0) / 40.0)
            gravity = level + rng.normal(0.0, 3e-4, vessels)
            temp_c = 20.0 + rng.normal(0.0, 0.1, vessels)
            time_utc = f"{start + np.timedelta64(i * every_min, 'm')}Z"
            file.writelines(
                f"{time_utc},vessel-{v:03d},{g:.4f},{t:.2f}\n"
                for v, (g, t) in enumerate(zip(gravity.tolist(), temp_c.tolist(), strict=True))
            )
    return rows // vessels * vessels


def process_seconds(words: Sequence[str | Path]) -> float:
    """Time [s] that Python takes with these arguments, from its start to its end; what it prints is dropped."""
    began = time.perf_counter()
    subprocess.run([sys.executable, *words], stdout=subprocess.DEVNULL, check=True)
    return time.perf_counter() - began


def in_turns(measures: Mapping[str, Callable[[], float]], turns: int) -> Took:
    """Each measure taken in turn with the others, so that a busy moment of the machine meets all of them."""
    took: Took = {name: [] for name in measures}
    for _ in range(turns):
        for name, measure in measures.items():
            took[name].append(measure())
    return took


def tell(took: Took, ours: str, other: str, *, at_most: float, unit: str, scale: float = 1.0) -> bool:
    """Print medians and the ratio turn by turn; tells whether its median is within the goal."""
    for name in (other, ours):
        times = [scale * t for t in took[name]]
        print(f"{name:22} {statistics.median(times):8.3f} {unit}  ({min(times):.3f} to {max(times):.3f})")
    ratios = [a / b for a, b in zip(took[ours], took[other], strict=True)]
    met = statistics.median(ratios) <= at_most
    print(
        f"ratio {statistics.median(ratios):.2f} ({min(ratios):.2f} to {max(ratios):.2f}); "
        f"goal: at most {at_most:g}, {'met' if met else 'NOT MET'}"
    )
    return met
