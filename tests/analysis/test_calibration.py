"""Curves that are known come out again; the order is what the points justify; what cannot be trusted is refused."""

from __future__ import annotations

import math
from collections.abc import Callable

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from lullwort.analysis import CalibrationFit, calibrate, calibrated_sd, calibrated_sg
from lullwort.analysis.calibration import _T_90
from lullwort.errors import RefusedError
from lullwort.records import CalibrationPoint, RawValue
from lullwort.science import sensor_reading

Curve = Callable[[float], float]
ANGLES = (25.0, 33.0, 41.0, 49.0, 57.0, 65.0)


def points(
    curve: Curve, raws: tuple[float, ...] = ANGLES, noise: tuple[float, ...] = ()
) -> tuple[CalibrationPoint, ...]:
    """Of a liquid at 20 °C each; `curve` and `noise` in points."""
    offs = noise or (0.0,) * len(raws)
    return tuple(
        CalibrationPoint(raw=raw, gravity=1.0 + (curve(raw) + off) / 1000.0)
        for raw, off in zip(raws, offs, strict=True)
    )


def line(angle: float) -> float:
    return 2.0 * (angle - 25.0)


def bent(angle: float) -> float:
    return 0.8 * (angle - 25.0) + 0.03 * (angle - 25.0) ** 2


def cubic(angle: float) -> float:
    u = (angle - 45.0) / 20.0
    return 35.0 + 25.0 * u + 5.0 * u**2 + 9.0 * u**3


def fitted(curve: Curve, *, of: RawValue = "inclination", **given: tuple[float, ...]) -> CalibrationFit:
    return calibrate(of, points(curve, **given), made_us=7)


@pytest.mark.parametrize(("curve", "order"), [(line, 1), (bent, 2), (cubic, 3)])
def test_an_exact_curve_comes_out_again_with_its_order(curve: Curve, order: int) -> None:
    fit = fitted(curve)
    assert len(fit.calibration.coefficients) - 1 == order
    between = np.linspace(25.0, 65.0, 41)
    truth = [1.0 + curve(float(a)) / 1000.0 for a in between]
    assert calibrated_sg(fit.calibration, between) == pytest.approx(truth, abs=1e-9)
    assert fit.worst == pytest.approx(0.0, abs=1e-6)
    assert fit.odd_ones == ()


@pytest.mark.parametrize("curve", [line, bent, cubic])
@pytest.mark.parametrize("seed", range(5))
def test_with_noise_the_curve_lies_within_its_uncertainty_nearly_everywhere(curve: Curve, seed: int) -> None:
    raws = tuple(np.linspace(25.0, 65.0, 12).tolist())
    noise = tuple(np.random.default_rng(seed).normal(0.0, 0.5, len(raws)).tolist())
    fit = fitted(curve, raws=raws, noise=noise)
    between = np.linspace(25.0, 65.0, 81)
    off = 1000.0 * (calibrated_sg(fit.calibration, between) - 1.0) - [curve(float(a)) for a in between]
    assert np.mean(np.abs(off) <= calibrated_sd(fit.calibration, between)) > 0.5
    assert np.abs(off).max() < 1.5
    assert fit.calibration.sd == pytest.approx(0.5, abs=0.35)


def test_of_few_points_no_order_is_tried_that_leaves_fewer_than_two_to_spare() -> None:
    assert [t.order for t in fitted(line, raws=(25.0, 45.0, 65.0)).tried] == [1]
    assert [t.order for t in fitted(line, raws=(25.0, 40.0, 50.0, 65.0)).tried] == [1, 2]
    assert [t.order for t in fitted(line).tried] == [1, 2, 3]
    eight = tuple(np.linspace(25.0, 65.0, 8).tolist())
    assert [t.order for t in fitted(line, raws=eight).tried] == [1, 2, 3, 4]
    repeated = (*ANGLES, *ANGLES)  # looking twice at six liquids does not make them twelve
    assert [t.order for t in fitted(line, raws=repeated).tried] == [1, 2, 3]


def test_beyond_the_points_it_gives_nothing() -> None:
    calibration = fitted(bent).calibration
    raw = np.array([24.999, 25.0, 65.0, 65.001, np.nan])
    assert np.isnan(calibrated_sg(calibration, raw)).tolist() == [True, False, False, True, True]


def test_a_curve_that_would_turn_gives_way_to_another_order_that_is_nearly_as_good() -> None:
    noise = (0.7, -1.0, -1.6, -2.9, -0.4, 1.2)
    fit = calibrate("inclination", points(lambda a: 0.3 * (a - 25.0), noise=noise), made_us=0)
    best = min(fit.tried, key=lambda tried: tried.left_out)
    assert (best.monotonic, len(fit.calibration.coefficients) - 1 == best.order) == (False, False)
    assert np.all(np.diff(calibrated_sg(fit.calibration, np.linspace(25.0, 65.0, 401))) > 0.0)


def test_points_that_bend_back_are_refused_and_named() -> None:
    hill = (0.0, 20.0, 40.0, 60.0, 42.0, 18.0)
    bending = tuple(CalibrationPoint(raw=a, gravity=1.0 + p / 1000.0) for a, p in zip(ANGLES, hill, strict=True))
    with pytest.raises(RefusedError, match=r"turns at 4\d.*points? .*\(at 65\).* make it turn"):
        calibrate("inclination", bending, made_us=0)


@pytest.mark.parametrize(
    ("raws", "gravities", "says"),
    [
        ((25.0,), (1.0,), "^one point tells no curve"),
        ((25.0, 65.0), (1.0, 1.08), "2 points tell no curve: three at different raw values"),
        ((25.0, 25.0, 65.0), (1.0, 1.001, 1.08), "of which 1 repeat a raw value"),
        (
            (25.0, 40.0, 40.0, 65.0),
            (1.0, 1.03, 1.05, 1.08),
            r"points 2 \(at 40\) and 3 \(at 40\) have the same raw value",
        ),
        ((25.0, 40.0, 65.0), (1.030, 1.033, 1.036), "span 6.0 points"),
        ((25.0, 40.0, 50.0, 65.0, 70.0), (1.0, 1.08, 1.01, 1.07, 1.03), "points"),
    ],
)
def test_points_that_tell_no_curve_are_refused_in_a_sentence(
    raws: tuple[float, ...], gravities: tuple[float, ...], says: str
) -> None:
    given_points = tuple(CalibrationPoint(raw=r, gravity=g) for r, g in zip(raws, gravities, strict=True))
    with pytest.raises(RefusedError, match=says):
        calibrate("inclination", given_points, made_us=0)


def test_a_reported_gravity_that_falls_as_gravity_rises_is_refused() -> None:
    falling = tuple(CalibrationPoint(raw=1.08 - g / 1000.0, gravity=1.0 + g / 1000.0) for g in (0.0, 20.0, 40.0, 60.0))
    with pytest.raises(RefusedError, match="is it an inclination"):
        calibrate("gravity", falling, made_us=0)
    assert calibrate("inclination", falling, made_us=0).calibration.coefficients[1] < 0.0  # an angle may


def test_a_point_that_does_not_go_with_the_others_is_named() -> None:
    raws = tuple(np.linspace(25.0, 65.0, 9).tolist())
    noise = [0.1, -0.2, 0.1, 0.2, -0.1, 0.1, -0.2, 0.1, 0.0]
    assert fitted(bent, raws=raws, noise=tuple(noise)).odd_ones == ()
    noise[3] = 9.0
    fit = fitted(bent, raws=raws, noise=tuple(noise))
    assert fit.odd_ones == (3,)
    assert fit.left_out[3] == pytest.approx(9.0, abs=1.5)


def test_points_are_weighed_by_what_is_stated_of_them() -> None:
    loose = points(line, noise=(0.0, 0.0, 6.0, 0.0, 0.0, 0.0))
    stated = tuple(
        CalibrationPoint(raw=p.raw, gravity=p.gravity, sd=5.0 if i == 2 else 0.2) for i, p in enumerate(loose)
    )
    at = np.array([41.0])
    off = [abs(1000.0 * (calibrated_sg(calibrate("inclination", p, made_us=0).calibration, at)[0] - 1.0) - 32.0)
           for p in (loose, stated)]  # fmt: skip
    assert off[1] < 0.05 < off[0]


def test_what_was_stated_is_not_undercut_by_points_that_lie_well_by_chance() -> None:
    stated = tuple(CalibrationPoint(raw=p.raw, gravity=p.gravity, sd=1.0) for p in points(line))
    fit = calibrate("inclination", stated, made_us=0)
    assert fit.calibration.sd == pytest.approx(1.0)
    assert fit.worst > 1.0


def test_a_liquid_at_another_temperature_is_what_a_float_feels_in_it() -> None:
    warm = tuple(CalibrationPoint(raw=line(a), gravity=1.0 + line(a) / 1000.0, temperature_c=30.0) for a in ANGLES)
    uncorrected = calibrate("inclination", warm, made_us=0).calibration
    felt = [sensor_reading(None, p.gravity, 30.0) for p in warm]
    assert calibrated_sg(uncorrected, np.array([p.raw for p in warm])) == pytest.approx(felt, abs=3e-5)
    corrected = calibrate("gravity", points(lambda g: 1000.0 * (g - 1.0), raws=(1.0, 1.02, 1.04, 1.06)), made_us=0,
                          reported="corrected").calibration  # fmt: skip
    assert calibrated_sg(corrected, np.array([1.03])) == pytest.approx([1.03], abs=1e-9)


def test_students_t_is_that_of_a_library() -> None:
    from scipy.stats import t as student  # here, for it takes a second to load, in every process of the tests

    # scipy.stats, an implementation of others; the table has three decimals.
    assert pytest.approx([student.ppf(0.95, n) for n in range(1, len(_T_90) + 1)], abs=0.0005) == _T_90
    assert 1.645 <= student.ppf(0.95, 21) < _T_90[-1]


@pytest.mark.no_cover
@given(
    st.floats(0.5, 2.0), st.floats(-0.4, 0.4), st.floats(-0.3, 0.3), st.sampled_from([1.0, -1.0]),
    st.floats(25.0, 65.0),
)  # fmt: skip
def test_raw_to_gravity_and_back_is_where_one_began(a: float, b: float, c: float, sign: float, at: float) -> None:
    def curve(angle: float) -> float:
        u = (angle - 45.0) / 20.0
        return 40.0 + sign * 20.0 * a * (u + b * u**2 + c * u**3)

    slopes = [1.0 + 2.0 * b * u + 3.0 * c * u**2 for u in np.linspace(-1.0, 1.0, 101)]
    if min(slopes) < 0.05:
        return
    calibration = fitted(curve).calibration
    wanted = calibrated_sg(calibration, np.array([at]))[0]
    raw = np.linspace(25.0, 65.0, 40_001)
    back = raw[np.argmin(np.abs(calibrated_sg(calibration, raw) - wanted))]
    assert back == pytest.approx(at, abs=2e-3)


@pytest.mark.no_cover
@given(st.floats(1e-3, 1e3), st.floats(-500.0, 500.0), st.lists(st.floats(-2.0, 2.0), min_size=6, max_size=6))
def test_the_unit_of_the_raw_values_changes_nothing(scale: float, shift: float, noise: list[float]) -> None:
    in_degrees = points(cubic, noise=tuple(noise))
    in_others = tuple(CalibrationPoint(raw=scale * p.raw + shift, gravity=p.gravity) for p in in_degrees)
    fits = [calibrate("inclination", given_points, made_us=0) for given_points in (in_degrees, in_others)]
    assert fits[0].calibration.coefficients == pytest.approx(fits[1].calibration.coefficients, abs=1e-7)
    assert [math.isclose(a, b, abs_tol=1e-4) for a, b in zip(fits[0].left_out, fits[1].left_out, strict=True)]


@pytest.mark.parametrize("gravities", [(0.0, 1.0, 2.0, 15.0, 80.0), (0.0, 5.0, 10.0, 60.0, 80.0)])
def test_too_few_points_for_how_the_curve_bends_are_refused_and_more_are_asked_for(
    gravities: tuple[float, ...],
) -> None:
    steep = tuple(
        CalibrationPoint(raw=a, gravity=1.0 + p / 1000.0)
        for a, p in zip((25.0, 35.0, 45.0, 55.0, 65.0), gravities, strict=True)
    )
    with pytest.raises(RefusedError, match=r"5 points are too few .* Measure more points"):
        calibrate("inclination", steep, made_us=0)
