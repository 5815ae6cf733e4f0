"""A calibration and the solutions for it, as a brewer sees them and as a JSON document."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

import numpy as np
from rich.console import Console
from rich.padding import Padding
from rich.table import Table
from rich.text import Text

from lullwort.analysis import CalibrationFit, calibrated_sd, calibrated_sg
from lullwort.cli.calibrationpoints import shown_raw
from lullwort.cli.shownunits import local_time, units_of
from lullwort.detector import Units, value_range
from lullwort.records import Calibration, format_utc
from lullwort.science import Solution
from lullwort.settings import Settings

__all__ = ["fit_document", "show_fit", "show_solutions", "solutions_document"]

_GOOD, _FAIR = 1.0, 3.0
# [points] A hydrometer of common make is right to about one; three are what tells a wort's fall but not its end.
_DRY_END, _STRONG_START = 1.003, 1.055
_LOOKS = 5
_ENOUGH_POINTS = 0.5
# [points] by which weights may be off without being what limits a calibration.
_NARROW = 60
# [columns] Below that a table leaves columns out.


def show_fit(fit: CalibrationFit, sensor: str, settings: Settings, out: Console, *, kept: bool) -> None:
    """Print the curve: its points, what it is worth, and whether it is kept."""
    units, calibration = units_of(settings), fit.calibration
    order = len(calibration.coefficients) - 1
    out.print(
        Text(f"{sensor}: gravity from its {_name(calibration)}, a curve of order {order} through {len(fit.residuals)} "
             "points", style="bold")
    )  # fmt: skip
    out.print(Padding(_points_table(fit, units, out.width), (0, 0, 0, 2)))
    for says in _findings(fit, units):
        out.print(says)
    out.print(Text.assemble(("Verdict: ", "bold"), verdict_of(fit, units)))
    if kept:
        out.print(
            f"Kept with {sensor}, made {local_time(calibration.made_us, settings)}. Readings stay as they were "
            "reported, and all of them are judged by this curve."
        )
    else:
        out.print("Nothing is kept of it.")


def verdict_of(fit: CalibrationFit, units: Units) -> str:
    """What the curve is worth, in words."""
    worst = units.difference(fit.worst)
    if fit.odd_ones:
        which = f"point {fit.odd_ones[0] + 1}" if len(fit.odd_ones) == 1 else f"points {_listed(fit.odd_ones)}"
        return f"doubtful: measure {which} again, or leave out what does not go with the others."
    if fit.worst <= _GOOD:
        return f"good. It is sure to {worst} or better all along, about as a hydrometer is."
    more = " Two more points would make it surer." if fit.calibration.freedom < 3 else ""
    if fit.worst <= _FAIR:
        return (
            f"fair. It may be off by {worst}: enough for the fall and for whether it has stopped; let a hand sample "
            f"tell the level.{more}"
        )
    return f"poor. It may be off by {worst}: believe the trend at most, and measure more points."


def _findings(fit: CalibrationFit, units: Units) -> list[str]:
    calibration = fit.calibration
    chosen = len(calibration.coefficients) - 1
    orders = "; ".join(
        f"{tried.order}: {units.difference(tried.left_out)}"
        + (", taken" if tried.order == chosen else "" if tried.monotonic else ", turns back")
        for tried in fit.tried
    )
    raw = np.linspace(calibration.low, calibration.high, 3)
    sg, sd = calibrated_sg(calibration, raw), calibrated_sd(calibration, raw)
    along = ", ".join(
        f"{units.difference(float(s))} at {units.level((float(g) - 1.0) * 1000.0)}" for g, s in zip(sg, sd, strict=True)
    )
    lowest, highest = float(sg.min()), float(sg.max())
    says = [
        f"Order, by how far each point lies from the curve of the others (root mean square): {orders}.",
        f"The points lie {units.difference(calibration.sd)} about the curve (standard deviation). The curve itself is "
        f"sure to {along} (9 in 10).",
        f"It only {'rises' if sg[-1] > sg[0] else 'falls'} from {_raw(calibration, calibration.low, units)} to "
        f"{_raw(calibration, calibration.high, units)}, which is "
        f"{value_range(*(units.level((sg - 1.0) * 1000.0) for sg in (lowest, highest)))}. Beyond that it gives no "
        "gravity.",
    ]
    says += [
        f"Point {place + 1} lies {units.difference(abs(fit.left_out[place]))} from what the others say."
        for place in fit.odd_ones
    ]
    if lowest > _DRY_END:
        says.append("A beer that ends below its lowest gravity will give none there: measure in plain water, too.")
    if highest < _STRONG_START:
        says.append("A wort above its highest gravity will give none: measure in a stronger solution, too.")
    return says


def _points_table(fit: CalibrationFit, units: Units, width: int) -> Table:
    calibration = fit.calibration
    heads: tuple[str, ...] = ("point", _name(calibration), "gravity", "at", "off the curve", "off that of the others")
    rows: list[tuple[str, ...]] = [
        (
            f"{place + 1}", _raw(calibration, point.raw, units), units.level((point.gravity - 1.0) * 1000.0),
            units.temp(point.temperature_c), _signed(fit.residuals[place], units), _signed(fit.left_out[place], units),
        )
        for place, point in enumerate(calibration.points)
    ]  # fmt: skip
    narrow = width < _NARROW
    if narrow:
        heads = ("point", "raw", *_heads_with_units(units))
        rows = [tuple(map(_without_unit, (*row[:3], row[4]))) for row in rows]
    table = Table(box=None, padding=(0, 2, 0, 0), show_edge=False, header_style="underline")
    for head in heads:
        table.add_column(head, justify="right", no_wrap=narrow)
    for row in rows:
        table.add_row(*row)
    return table


def _heads_with_units(units: Units) -> tuple[str, str]:
    """Of gravities and of differences, where a narrow table tells their units once."""
    return f"gravity\n{units.level(0.0).partition(' ')[2] or 'SG'}", f"off\n{units.difference(0.0).partition(' ')[2]}"


def _without_unit(shown: str) -> str:
    return shown.partition(" ")[0]


def _signed(points: float, units: Units) -> str:
    shown = units.difference(points)
    is_nothing = not any(digit in shown for digit in "123456789")
    return shown.removeprefix("-") if is_nothing else shown if shown.startswith("-") else f"+{shown}"


def _name(calibration: Calibration) -> str:
    return "inclination" if calibration.of == "inclination" else "reported gravity"


def _raw(calibration: Calibration, raw: float, units: Units) -> str:
    return shown_raw(calibration.of, raw, units)


def _listed(places: Sequence[int]) -> str:
    return " and ".join(str(place + 1) for place in places)


def show_solutions(
    afresh: Sequence[Solution],
    stepwise: Sequence[Solution],
    sensor: str,
    scale_g: float,
    settings: Settings,
    out: Console,
) -> None:
    """Print the grams, each made afresh and all in one jar, and what to do with them."""
    units = units_of(settings)
    much, at = _amount(afresh[0].volume_l, units), units.temp(20.0, 0)
    out.print(
        Text(
            f"Sugar solutions for {sensor}, {much} each at {at}, by weight of white sugar and water",
            style="bold",
        )
    )
    out.print(Padding(_solutions_table(afresh, units, out.width), (0, 0, 0, 2)))
    out.print(
        f"Off: by how much the gravity may be where each weight is off by {units.mass(scale_g, 2)}"
        f"{_BESIDE[units.weight_unit]}."
    )
    widest = max(made.off_by for made in afresh)
    if widest > _ENOUGH_POINTS:
        out.print(
            f"With {_amount(widest / _ENOUGH_POINTS * afresh[0].volume_l, units)} of each that would be "
            f"{units.difference(_ENOUGH_POINTS)} at most."
        )
    out.print()
    water_g = stepwise[0].water_g
    out.print(Text(f"Or in one jar: {units.weight(water_g)} of water at first, then sugar for each step", style="bold"))
    out.print(Padding(_steps_table(stepwise, units, out.width), (0, 0, 0, 2)))
    out.print()
    out.print(
        f"Stir until all is dissolved, let it come to {at}, knock bubbles off the sensor, and take down what it "
        "reports once it rests. Hot syrup scalds: dissolve in lukewarm water."
    )
    out.print("Then write a line for each into a file such as points.csv, and calibrate:")
    inclined = "inclination,gravity,temperature"
    out.print(f"  {inclined}", soft_wrap=True)
    out.print(f"  lullwort calibrate {sensor} points.csv", soft_wrap=True)


_BESIDE = {"g": " (a mL of water is a g)", "oz": ""}


def _amount(volume_l: float, units: Units) -> str:
    return units.amount(volume_l, 2 if units.volume == "L" else 3)


def _solutions_table(made: Sequence[Solution], units: Units, width: int) -> Table:
    narrow = width < _NARROW
    gravity, off = _heads_with_units(units) if narrow else ("gravity", "off")
    table = Table(box=None, padding=(0, 2, 0, 0), show_edge=False, header_style="underline")
    for label in (gravity, "sugar", "water", off):
        table.add_column(label, justify="right")
    for one in made:
        level, off_by = units.level((one.gravity - 1.0) * 1000.0), units.difference(one.off_by)
        if narrow:
            level, off_by = _without_unit(level), _without_unit(off_by)
        table.add_row(level, units.weight(one.sugar_g), units.weight(one.water_g), off_by)
    return table


def _steps_table(made: Sequence[Solution], units: Units, width: int) -> Table:
    table = Table(box=None, padding=(0, 2, 0, 0), show_edge=False, header_style="underline")
    narrow = width < _NARROW
    for label in ("gravity", "add", "in all", *(() if narrow else ("makes", "off"))):
        table.add_column(label, justify="right", no_wrap=True)
    before = 0.0
    for one in made:
        more = () if narrow else (_amount(one.volume_l, units), units.difference(one.off_by))
        table.add_row(
            units.level((one.gravity - 1.0) * 1000.0),
            units.weight(one.sugar_g - before),
            units.weight(one.sugar_g),
            *more,
        )
        before = one.sugar_g
    return table


def fit_document(fit: CalibrationFit) -> dict[str, Any]:
    """Gravities in SG, differences in points, temperatures in °C, inclinations in degrees."""
    calibration = fit.calibration
    chosen = len(calibration.coefficients) - 1
    raw = np.linspace(calibration.low, calibration.high, _LOOKS)
    along = zip(raw, calibrated_sg(calibration, raw), calibrated_sd(calibration, raw), strict=True)
    return {
        "of": calibration.of,
        "reported": calibration.reported,
        "made_at": format_utc(calibration.made_us),
        "coefficients": list(calibration.coefficients),
        "middle": (calibration.low + calibration.high) / 2.0,
        "half_range": (calibration.high - calibration.low) / 2.0,
        "low": calibration.low,
        "high": calibration.high,
        "sd": round(calibration.sd, 4),
        "freedom": calibration.freedom,
        "points": [
            {
                "raw": point.raw, "gravity": round(point.gravity, 6), "temperature_c": point.temperature_c,
                "uncertainty": point.sd, "off": round(off, 4), "off_the_others": round(left_out, 4),
                "odd_one": place in fit.odd_ones,
            }
            for place, (point, off, left_out) in enumerate(
                zip(calibration.points, fit.residuals, fit.left_out, strict=True)
            )
        ],
        "orders": [
            {"order": t.order, "left_out": round(t.left_out, 4), "monotonic": t.monotonic, "taken": t.order == chosen}
            for t in fit.tried
        ],
        "uncertainty": [
            {"raw": round(float(r), 6), "gravity": round(float(g), 6), "points": round(float(s), 4)}
            for r, g, s in along
        ],
        "verdict": verdict_of(fit, Units()),
    }  # fmt: skip


def solutions_document(afresh: Sequence[Solution], stepwise: Sequence[Solution], scale_g: float) -> dict[str, Any]:
    """Grams, SG, litres, points."""

    def each(made: Sequence[Solution]) -> list[dict[str, float]]:
        return [{name: round(value, 4) for name, value in one._asdict().items()} for one in made]

    return {"scale_g": scale_g, "afresh": each(afresh), "one_jar": each(stepwise)}
