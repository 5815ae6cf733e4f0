"""A sensor's calibration from liquids of known gravity: which curve the points justify, and when none is given."""

from __future__ import annotations

from typing import NamedTuple

import numpy as np

from lullwort.analysis.nocurve import NoCurveError
from lullwort.analysis.polyfit import PolynomialFit, fit_polynomial, polynomial, prediction_sd, turning_places
from lullwort.errors import OutOfRangeError
from lullwort.explained import OURS, Explained
from lullwort.records import Calibration, CalibrationPoint, GravityReported, RawValue
from lullwort.science import sensor_reading
from lullwort.units import FloatArray

__all__ = [
    "CALIBRATION_EXPLAINED",
    "CalibrationFit",
    "OrderTried",
    "calibrate",
    "calibrated_sd",
    "calibrated_sg",
    "gravity_felt",
]

_PLACES = 2
# [points] A hundredth is no difference between two orders; of equal ones the lower is taken.
_HIGHEST_ORDER, _WITH_MANY, _MANY = 3, 4, 8
_SAME_RAW_POINTS = 5.0
# By which gravities at one raw value may differ and still be two looks at one liquid.
_LEAST_SPAN = 10.0
# [points] From less than that no curve over the range of a beer can be told.
_BEND_FACTOR, _BEND_POINTS = 2.0, 2.0
_ODD_ONE_POINTS = 2.0
_SHARES_OF_SPAN = 8.0
# A span of gravities that is not so many times the scatter about the curve shows no curve at all.
_T_ODD = (509.3, 28.3, 12.0, 8.1, 6.5, 5.7, 5.2, 4.9, 4.6, 4.4, 4.3, 4.2, 4.1, 4.0, 4.0, 3.9, 3.9, 3.8, 3.8, 3.8)
# Of Student's t for 1 to 20 degrees of freedom, which of eight points one exceeds by chance once in a hundred tables.
_CHOSEN = 1.15
# By how much wider than of a curve whose order is known: measured, see DEVELOPERS.md.
_T_90 = (
    6.314, 2.920, 2.353, 2.132, 2.015, 1.943, 1.895, 1.860, 1.833, 1.812, 1.796, 1.782, 1.771, 1.761, 1.753, 1.746,
    1.740, 1.734, 1.729, 1.725,
)  # fmt: skip
# 95 % points of Student's t for 1 to 20 degrees of freedom, so that 90 % lie within; beyond that the normal's.
_NORMAL_90 = 1.645

CALIBRATION_EXPLAINED = (
    Explained(
        "curve",
        "gravity = c0 + c1 u + c2 u² + ..., u = (raw - middle) / half the range, by least squares, each point weighed "
        "by 1 / its own variance where that is stated",
        OURS,
    ),
    Explained(
        "cross-validation",
        "each point from the curve of the others, its residual / (1 - its leverage); the order with the least mean "
        "square is taken if it only rises or only falls",
        OURS,
    ),
    Explained(
        "uncertainty",
        "1.15, for the order was chosen by the same points, times Student's t for the degrees of freedom, times the "
        "square root of u' C u, C the covariance of the coefficients; 9 in 10 sure",
        OURS,
    ),
    Explained(
        "gravity at another temperature than 20 °C",
        "what a float feels: density of the sugar solution at its temperature over that of water at 20 °C",
        "Bubnik1995, Tanaka2001",
    ),
)


class OrderTried(NamedTuple):
    """One order: how far [points, root mean square] a point lies from the curve of the others, and whether that only
    rises or falls."""

    order: int
    left_out: float
    monotonic: bool


class CalibrationFit(NamedTuple):
    """A calibration with all that tells how good it is.

    Attributes:
        calibration: what is kept.
        residuals: [points] of each point, gravity minus curve.
        left_out:  [points] of each point from the curve of the others.
        tried:     every order that the points allow.
        odd_ones:  places of points that do not go with the others, by far.
        worst:     [points] the widest half of the 90 % range within the calibration's range.
    """

    calibration: Calibration
    residuals: tuple[float, ...]
    left_out: tuple[float, ...]
    tried: tuple[OrderTried, ...]
    odd_ones: tuple[int, ...]
    worst: float


def calibrate(
    of: RawValue, points: tuple[CalibrationPoint, ...], *, made_us: int, reported: GravityReported = "uncorrected"
) -> CalibrationFit:
    """The calibration that these points justify.

    Args:    reported: as in `Calibration`. An inclination is uncorrected always.
    Raises:  NoCurveError in a sentence that names the points at fault where no curve can be trusted.

    >>> angles = (25.0, 35.0, 45.0, 55.0, 65.0)
    >>> points = tuple(CalibrationPoint(raw=a, gravity=1.0 + (a - 25.0) / 500.0) for a in angles)
    >>> fit = calibrate("inclination", points, made_us=0)
    >>> len(fit.calibration.coefficients), calibrated_sg(fit.calibration, np.array([30.0])).round(6).tolist()
    (2, [1.01])
    """
    raw = np.array([point.raw for point in points])
    felt = (np.array([gravity_felt(of, point, reported) for point in points]) - 1.0) * 1000.0
    _refuse_too_little(raw, felt, of)
    low, high = float(raw.min()), float(raw.max())
    x = (2.0 * raw - low - high) / (high - low)
    sds = [point.sd for point in points]
    stated = np.array([0.0 if sd is None else sd for sd in sds]) if None not in sds else None
    fits = [fit_polynomial(x, felt, order, stated) for order in _orders(raw)]
    scores = [float(np.sqrt(np.mean(fit.left_out**2))) for fit in fits]
    shown = [round(score, _PLACES) for score in scores]
    rises = [not turning_places(fit.coefficients) for fit in fits]
    best = min(range(len(fits)), key=shown.__getitem__)
    chosen = min((i for i in range(len(fits)) if rises[i]), key=shown.__getitem__)
    if scores[chosen] > max(_BEND_FACTOR * scores[best], scores[best] + _BEND_POINTS):
        raise _bends(fits[best], fits[chosen], raw, felt, of)
    fit = fits[chosen]
    _refuse_no_curve(fit, raw, felt, of)
    calibration = Calibration(
        of=of,
        reported=reported,
        coefficients=tuple((fit.coefficients / 1000.0 + np.eye(1, fit.order + 1)[0]).tolist()),
        covariance=tuple(tuple(row) for row in (fit.covariance / 1e6).tolist()),
        low=low,
        high=high,
        sd=fit.sd,
        freedom=fit.freedom,
        points=points,
        made_us=made_us,
    )
    along = np.linspace(-1.0, 1.0, 101)
    return CalibrationFit(
        calibration,
        tuple(fit.residuals.tolist()),
        tuple(fit.left_out.tolist()),
        tuple(OrderTried(f.order, s, r) for f, s, r in zip(fits, scores, rises, strict=True)),
        _odd_ones(fit, stated),
        _t_90(fit.freedom) * float(prediction_sd(fit.covariance, along).max()),
    )


def gravity_felt(of: RawValue, point: CalibrationPoint, reported: GravityReported) -> float:
    """[SG] What the curve is to give for this point: see `Calibration`.

    Raises: NoCurveError for a liquid that is no sugar solution between 0 and 40 °C.
    """
    try:
        return (
            point.gravity
            if reported == "corrected"
            else float(sensor_reading(None, point.gravity, point.temperature_c, reference_c=20.0))
        )
    except OutOfRangeError as exc:
        raise NoCurveError(of, f"a point at {{raw}}: {exc}", raws={"raw": point.raw}) from exc


def calibrated_sg(calibration: Calibration, raw: FloatArray) -> FloatArray:
    """[SG] of raw values, NaN beyond the calibration's points: nothing is extrapolated."""
    return np.where(
        (raw >= calibration.low) & (raw <= calibration.high),
        polynomial(np.array(calibration.coefficients), _scaled(calibration, raw)),
        np.nan,
    )


def calibrated_sd(calibration: Calibration, raw: FloatArray) -> FloatArray:
    """[points] By how much the curve itself may be wrong there, with 9 in 10: half of that range."""
    sd = prediction_sd(np.array(calibration.covariance), _scaled(calibration, raw))
    return 1000.0 * _t_90(calibration.freedom) * sd


def _scaled(calibration: Calibration, raw: FloatArray) -> FloatArray:
    low, high = calibration.low, calibration.high
    return (2.0 * raw - low - high) / (high - low)


def _orders(raw: FloatArray) -> range:
    """Two points more than the order, each at a raw value of its own."""
    different = len(np.unique(raw))
    return range(1, min(_WITH_MANY if different >= _MANY else _HIGHEST_ORDER, different - 2) + 1)


def _refuse_too_little(raw: FloatArray, felt: FloatArray, of: RawValue) -> None:
    different = len(np.unique(raw))
    if different < 3:
        same = f", of which {len(raw) - different} repeat a raw value" if different < len(raw) else ""
        few = "one point tells" if len(raw) == 1 else f"{len(raw)} points{same} tell"
        raise NoCurveError(
            of,
            f"{few} no curve: three at different raw values are the least, five over the range of your beers are good",
        )
    order = np.lexsort((felt, raw))
    for first, second in zip(order[:-1].tolist(), order[1:].tolist(), strict=True):
        if raw[first] == raw[second] and felt[second] - felt[first] > _SAME_RAW_POINTS:
            raise NoCurveError(
                of,
                f"{_named([first, second])} have the same raw value, and gravities {{apart}} apart: did the sensor "
                "move freely, and is each in its row?",
                apart={"apart": float(felt[second] - felt[first])},
                raws=_raws(raw),
            )
    if (span := float(np.ptp(felt))) < _LEAST_SPAN:
        raise NoCurveError(
            of,
            "the gravities span {span}, which tells little of a beer's fall: take solutions from plain water to above "
            "your original gravities",
            apart={"span": span},
        )


def _refuse_no_curve(fit: PolynomialFit, raw: FloatArray, felt: FloatArray, of: RawValue) -> None:
    ends = polynomial(fit.coefficients, np.array([-1.0, 1.0]))
    rise = float(ends[1] - ends[0])
    if abs(rise) < _SHARES_OF_SPAN * fit.sd and fit.sd > 1.0:
        if _keep_direction(raw, felt):
            why = (
                f"{len(raw)} points are too few for how the curve bends: they keep their direction, but lie {{sd}} "
                f"about every curve that does. Measure more points, near {_named(_farthest(fit))} above all"
            )
        else:
            why = (
                f"the points scatter by {{sd}} about every curve that only rises or falls, {_named(_farthest(fit))} "
                "most: gravity does not follow the raw value. Are the columns in their places, and the rows each of "
                "one solution?"
            )
        raise NoCurveError(of, why, apart={"sd": fit.sd}, raws=_raws(raw))
    if of == "gravity" and rise < 0.0:
        raise NoCurveError(
            of, "what the sensor reports falls as gravity rises, which no gravity does; is it an inclination?"
        )


def _bends(best: PolynomialFit, chosen: PolynomialFit, raw: FloatArray, felt: FloatArray, of: RawValue) -> NoCurveError:
    """Names the points that lie farthest from any curve that keeps its direction, unless they keep one themselves."""
    turning = {f"turn{nth}": _raw_at(at, raw) for nth, at in enumerate(turning_places(best.coefficients))}
    turns = ", ".join(f"{{{name}}}" for name in turning)
    if _keep_direction(raw, felt):
        why = (
            f"{len(raw)} points are too few for how the curve bends: through these it turns at {turns}, though they "
            "keep their direction. Measure more points, there above all"
        )
    else:
        why = (
            f"the points bend: the curve through them turns at {turns}, where one raw value would mean two gravities. "
            f"It is {_named(_farthest(chosen))} that make it turn, up to {{worst}} from what the others say: measure "
            "there again, or leave out what lies beyond"
        )
    worst = float(np.abs(chosen.left_out).max())
    return NoCurveError(of, why, apart={"worst": worst}, raws={**_raws(raw), **turning})


def _odd_ones(fit: PolynomialFit, stated: FloatArray | None) -> tuple[int, ...]:
    """Points whose distance from the curve of the others is beyond chance, by the scatter of those others."""
    if fit.freedom < 2:
        return ()
    weight = np.ones(len(fit.residuals)) if stated is None else np.mean(1.0 / stated**2) * stated**2
    own = fit.residuals * fit.left_out / weight
    others = (fit.freedom * fit.sd**2 - own) / (fit.freedom - 1)
    # A scatter of nothing is chance or an invented table; a third of a point is what mixing leaves.
    studentized = np.sqrt(np.maximum(own, 0.0) / np.maximum(others, 0.1))
    limit = _T_ODD[min(fit.freedom - 1, len(_T_ODD)) - 1]
    odd = (studentized > limit) & (np.abs(fit.left_out) > _ODD_ONE_POINTS)
    return tuple(np.flatnonzero(odd).tolist())


def _keep_direction(raw: FloatArray, felt: FloatArray) -> bool:
    steps = np.diff(felt[np.argsort(raw)])
    return bool(np.all(steps > 0.0) or np.all(steps < 0.0))


def _farthest(fit: PolynomialFit) -> list[int]:
    """Places of at most three points that lie farthest from the curve of the others."""
    far = np.abs(fit.left_out)
    return sorted([place for place in np.argsort(-far).tolist() if far[place] > 0.5 * far.max()][:3])


def _raws(raw: FloatArray) -> dict[str, float]:
    """Raw values by the names that `_named` gives them."""
    return {f"p{place + 1}": value for place, value in enumerate(raw.tolist())}


def _named(places: list[int]) -> str:
    """Points by their numbers, with their raw values as `NoCurveError` is to fill them in."""
    each = [f"{place + 1} (at {{p{place + 1}}})" for place in places]
    return f"point {each[0]}" if len(each) == 1 else f"points {', '.join(each[:-1])} and {each[-1]}"


def _raw_at(x: float, raw: FloatArray) -> float:
    return float(raw.min() + (x + 1.0) / 2.0 * np.ptp(raw))


def _t_90(freedom: int) -> float:
    return _CHOSEN * (_T_90[freedom - 1] if freedom <= len(_T_90) else _NORMAL_90)
