"""What brewers type of carbonation, understood: carbon dioxide, pressure, weight."""

from __future__ import annotations

import re

from lullwort.cli.values import number
from lullwort.errors import UsageError
from lullwort.settings import Settings
from lullwort.units import MassUnit, PressureUnit, co2_g_l_from_volumes, to_bar, to_grams

__all__ = ["co2_g_l", "gauge_bar", "target_g_l", "unit_less_weight", "vessel_gauge_bar", "weight_g", "weights_meant"]


def co2_g_l(text: str, name: str, settings: Settings) -> float:
    """[g/L] Carbon dioxide in beer from `2.4`, `2,4 volumes`, `2.4vol`, `4.7g/L`; without a unit the settings' holds.

    Raises: UsageError, also for what no beer holds, with what was probably meant.

    >>> from pathlib import Path
    >>> settings = Settings(Path("b"), "sg", "C", None)
    >>> [round(co2_g_l(t, "--target", settings), 2) for t in ("2.4", "2,4 vol", "4.7g/L")]
    [4.74, 4.74, 4.7]
    """
    bare, in_volumes, stated = _parted_co2(text, name, settings)
    value = number(bare, name)
    g_l = co2_g_l_from_volumes(value) if in_volumes else value
    if not 0.0 <= g_l <= _CO2_MOST_G_L:
        meant = _co2_meant(value, bare, in_volumes=in_volumes, stated=stated)
        raise UsageError(f"{name} is {text!r}, expected {_CO2_SUCH}{meant}")
    return g_l


def target_g_l(text: str, name: str, settings: Settings) -> float:
    """[g/L] As `co2_g_l`, of what a beer is to hold when it is drunk.

    Raises: UsageError, also for a number without a unit that looks like one in the other unit: taken for volumes,
        what is meant in g/L would burst a bottle.
    """
    g_l = co2_g_l(text, name, settings)
    bare, in_volumes, stated = _parted_co2(text, name, settings)
    value = number(bare, name)
    if not stated and in_volumes and value > _VOLUMES_OF_A_BEER:
        raise UsageError(f"{name}: {bare} reads as g/L: write {bare}g/L, or {bare}volumes where volumes are meant")
    if not stated and not in_volumes and value < _G_L_OF_A_BEER:
        raise UsageError(f"{name}: {bare} reads as volumes: write {bare}volumes, or {bare}g/L where g/L is meant")
    return g_l


def _parted_co2(text: str, name: str, settings: Settings) -> tuple[str, bool, bool]:
    """Typed carbon dioxide: its number, whether that is in volumes, and whether it stated that itself."""
    found = _CO2.fullmatch(text.strip())
    if found is None:
        raise UsageError(f"{name} is {text!r}, expected {_CO2_SUCH}")
    stated = found["volumes"] is not None or found["g_l"] is not None
    return found["number"], found["volumes"] is not None or (not stated and settings.carbonation == "volumes"), stated


def _co2_meant(value: float, bare: str, *, in_volumes: bool, stated: bool) -> str:
    """What was probably meant by far too much: the other unit, a decimal mark that was left out, or a pressure."""
    if in_volumes and 0.0 <= value <= _CO2_MOST_G_L:
        return f"; {bare}g/L was probably meant"
    unit, low, high = ("volumes", 1.0, _VOLUMES_OF_A_BEER) if in_volumes else ("g/L", _G_L_OF_A_BEER, 10.0)
    likely = next((value / by for by in (10.0, 100.0, 1000.0) if low <= value / by <= high), None)
    if not stated and _PSI_OF_A_BEER[0] <= value <= _PSI_OF_A_BEER[1]:
        # Digits of a likelier target than 3 volumes are rather that without its mark.
        pressure = f"; if a pressure is meant ({bare}psi), tell how much carbon dioxide it stands for"
        if likely is None or likely > _LIKELY_VOLUMES:
            return pressure if in_volumes or likely is None else f"; {likely:g}{unit} was probably meant{pressure}"
    return "" if likely is None else f"; {likely:g}{unit} was probably meant"


_CO2_SUCH = "carbon dioxide such as 2.4volumes or 4.7g/L"
_CO2 = re.compile(
    r"(?P<number>[+-]?[0-9]*[.,]?[0-9]+)\s*(?:(?P<volumes>v|vols?\.?|volumes?)|(?P<g_l>g\s*/\s*l))?"
    r"(?:\s*(?:of\s+)?co2)?",
    re.IGNORECASE,
)
_CO2_MOST_G_L = 14.0
# Seven volumes: more than any bottled drink holds. Common practice, no source.
_VOLUMES_OF_A_BEER, _G_L_OF_A_BEER = 4.5, 2.9
# The liveliest wheat beers and the flattest cask ales. Common practice, no source.
_LIKELY_VOLUMES, _PSI_OF_A_BEER = 2.9, (8.0, 60.0)
# What most beers hold at most, and what a gauge shows of beer that is carbonated. Common practice, no source.


def gauge_bar(text: str, name: str, settings: Settings) -> float:
    """[bar, gauge] From `2`, `2bar`, `30 psi`, `200kPa`; without a unit the settings' holds. Raises UsageError.

    >>> from pathlib import Path
    >>> settings = Settings(Path("b"), "sg", "C", None)
    >>> [round(gauge_bar(t, "--gauge", settings), 2) for t in ("2", "30 psi", "200kPa")]
    [2.0, 2.07, 2.0]
    """
    found = _PRESSURE.fullmatch(text.strip())
    if found is None:
        raise UsageError(f"{name} is {text!r}, expected a pressure such as 1.8bar, 26psi or 180kPa")
    value = number(found["number"], name)
    bar = to_bar(value, _PRESSURES[(found["unit"] or settings.pressure).lower()])
    if not 0.0 <= bar <= _GAUGE_MOST_BAR:
        raise UsageError(
            f"{name} is {text!r}, expected a pressure above that of the air, such as 1.8bar, 26psi or "
            f"180kPa{_pressure_meant(value, found['number'])}"
        )
    return bar


def vessel_gauge_bar(text: str, name: str, settings: Settings) -> float:
    """[bar, gauge] As `gauge_bar`, of the gauge of a vessel with beer in it.

    Raises: UsageError, also for a number without a unit that is likelier one in another unit.
    """
    bar, found = gauge_bar(text, name, settings), _PRESSURE.fullmatch(text.strip())
    assert found is not None
    if found["unit"] or not bar or _OF_A_VESSEL_BAR[0] <= bar <= _OF_A_VESSEL_BAR[1]:
        return bar
    bare = found["number"]
    fits = [
        unit
        for unit in _PRESSURES.values()
        if unit != settings.pressure and _LIKELY_BAR[0] <= to_bar(number(bare, name), unit) <= _LIKELY_BAR[1]
    ]
    if not fits:
        return bar
    likely = " or ".join(f"{bare}{unit}" for unit in fits)
    raise UsageError(
        f"{name}: {bare} reads as {' or '.join(fits)}: write {likely}, or {bare}{settings.pressure} where "
        f"{settings.pressure} is meant"
    )


_OF_A_VESSEL_BAR, _LIKELY_BAR = (0.25, 5.0), (0.3, 4.0)
# [bar] What the gauge of a vessel with beer may show, and what it most often does. Common practice, no source.


def _pressure_meant(value: float, bare: str) -> str:
    """In which units that many would be a pressure for a bottle."""
    fits = [unit for unit in _PRESSURES.values() if 0.5 <= to_bar(value, unit) <= _GAUGE_MOST_BAR]
    return f"; {' or '.join(f'{bare}{unit}' for unit in fits)} was probably meant" if fits else ": is its unit right?"


_PRESSURE = re.compile(r"(?P<number>[+-]?[0-9]*[.,]?[0-9]+)\s*(?:(?P<unit>bar|psi|kpa)g?)?", re.IGNORECASE)
_PRESSURES: dict[str, PressureUnit] = {"bar": "bar", "psi": "psi", "kpa": "kPa"}
_GAUGE_MOST_BAR = 20.0
# No bottle or vessel for beer at home bears more. Common practice, no source.


def weight_g(text: str, name: str, settings: Settings) -> float:
    """[g] Weight from `118`, `118g`, `0,12 kg`, `4.2oz`, `1lb`; without a unit the settings' holds. Raises UsageError.

    >>> from pathlib import Path
    >>> [round(weight_g(t, "--primed", Settings(Path("b"), "sg", "C", None)), 1) for t in ("118", "0,12kg", "4 oz")]
    [118.0, 120.0, 113.4]
    """
    found = _WEIGHT.fullmatch(text.strip())
    if found is None:
        raise UsageError(f"{name} is {text!r}, expected a weight such as 118g or 4.2oz{_no_weight(text)}")
    return to_grams(number(found["number"], name), _WEIGHTS[(found["unit"] or settings.weight).lower()])


def unit_less_weight(text: str, settings: Settings) -> bool:
    """Whether a typed weight has no unit, or a mark that may part thousands: `1.180g` where the mark is a comma."""
    found = _WEIGHT.fullmatch(text.strip())
    if found is None or not found["unit"]:
        return True
    thousands = "." if settings.decimal == "comma" else ","
    return re.fullmatch(rf"[0-9]{{1,3}}{re.escape(thousands)}[0-9]{{3}}", found["number"]) is not None


def weights_meant(text: str, least_g: float, most_g: float) -> list[str]:
    """How a typed weight would have to be written to lie between these [g]: in another unit, or without its mark."""
    found = _WEIGHT.fullmatch(text.strip())
    assert found is not None
    bare, unit = found["number"], found["unit"] or ""
    if unit:
        whole = re.sub("[.,]", "", bare)
        return [f"{whole}{unit}"] if least_g <= to_grams(float(whole), _WEIGHTS[unit.lower()]) <= most_g else []
    units: tuple[MassUnit, ...] = ("g", "oz", "lb", "kg")
    return [f"{bare}{each}" for each in units if least_g <= to_grams(number(bare, "weight"), each) <= most_g]


def _no_weight(text: str) -> str:
    """What to do with what begins as a weight, or is a volume."""
    if re.search(r"\b(cups?|spoons?|tea ?spoons?|table ?spoons?|tbsp|tsp)\b", text, re.IGNORECASE):
        return ": a cup or a spoon is no measure of weight, so weigh it"
    if re.fullmatch(r"[0-9.,]+\s*(ml|l|.*gal.*)", text.strip(), re.IGNORECASE):
        return ", not a volume: wort is weighed, too"
    begins = re.match(r"([0-9]*[.,]?[0-9]+\s*(?:g|kg|oz|lbs?))\s+(?:of\s+)?[a-z]", text.strip(), re.IGNORECASE)
    return f", alone: {begins[1]}; what it is of is told apart" if begins else ""


_WEIGHT = re.compile(
    r"(?P<number>[0-9]*[.,]?[0-9]+)\s*(?P<unit>g|grams?|kg|oz\.?|ounces?|lbs?|pounds?)?", re.IGNORECASE
)
_WEIGHTS: dict[str, MassUnit] = {
    "g": "g", "gram": "g", "grams": "g", "kg": "kg", "oz": "oz", "oz.": "oz", "ounce": "oz", "ounces": "oz",
    "lb": "lb", "lbs": "lb", "pound": "lb", "pounds": "lb",
}  # fmt: skip
