from __future__ import annotations

import numpy as np
import pytest

from lullwort.analysis import SensorNoise
from lullwort.analysis.bank import RED_TAU_H


def sensor(hours: int, white_sd: float, red_sd: float, seed: int) -> list[float]:
    rng = np.random.default_rng(seed)
    rho = float(np.exp(-1.0 / RED_TAU_H))
    red, values = rng.normal(0.0, red_sd), []
    for _ in range(hours):
        red = rho * red + rng.normal(0.0, red_sd * np.sqrt(1.0 - rho * rho))
        values.append(11.0 + red + rng.normal(0.0, white_sd))
    return values


@pytest.mark.parametrize(("white_sd", "red_sd"), [(0.1, 0.3), (0.5, 0.5), (0.2, 1.0)])
def test_total_noise_is_learned_and_mostly_told_apart(white_sd: float, red_sd: float) -> None:
    whites, reds = [], []
    for seed in range(12):
        noise = SensorNoise()
        for y in sensor(300, white_sd, red_sd, seed):
            noise.update(y, curved=False)
        whites.append(noise.white_var)
        reds.append(noise.red_var)
    assert np.mean(whites) + np.mean(reds) == pytest.approx(white_sd**2 + red_sd**2, rel=0.35)
    assert np.mean(reds) == pytest.approx(red_sd**2, rel=0.45, abs=0.02)


def test_one_outlier_hardly_moves_it() -> None:
    calm, hit = SensorNoise(), SensorNoise()
    for i, y in enumerate(sensor(120, 0.1, 0.2, 3)):
        calm.update(y, curved=False)
        hit.update(y + (50.0 if i == 60 else 0.0), curved=False)
    assert hit.white_var + hit.red_var < 2.0 * (calm.white_var + calm.red_var)


def test_a_run_of_equal_coarse_values_keeps_the_floor_of_its_resolution() -> None:
    noise = SensorNoise(resolution=1.0)
    for _ in range(300):
        noise.update(11.0, curved=False)
    assert noise.red_var == pytest.approx(1.0 / 12.0)


def test_differences_across_a_jump_are_forgotten() -> None:
    noise = SensorNoise()
    for _ in range(50):
        noise.update(11.0, curved=False)
    before = noise.red_var, noise.white_var
    noise.forget()
    noise.update(17.0, curved=False)
    assert (noise.red_var, noise.white_var) == before


def test_hours_without_a_value_teach_nothing() -> None:
    noise = SensorNoise()
    before = noise.red_var
    for _ in range(20):
        noise.update(None, curved=False)
    assert noise.red_var == before
