"""The figures of a beer, as a table for people and as a document for programs."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping
from typing import Any, NamedTuple

from rich.console import Console
from rich.padding import Padding
from rich.table import Table

from lullwort.decimalmark import with_mark
from lullwort.detector import Units, value_range
from lullwort.errors import OutOfRangeError
from lullwort.packaging_day import ENERGY_ML, RULES_EXPLAINED, Estimate, Gravities
from lullwort.science import abv_duty, abv_times_105

__all__ = ["FOR_ONESELF", "figures_document", "rules_beside", "show_figures"]

FOR_ONESELF = "These figures are for yourself, not for a label or for duty."


class _Row(NamedTuple):
    key: str
    label: str
    shown: Callable[[float, Units], str]


def _level(points: float, units: Units) -> str:
    return units.level(points)


def _plato(extract: float, units: Units) -> str:
    return f"{units.number(extract, 2)} °P"


def _by_weight(extract: float, units: Units) -> str:
    return f"{units.number(extract, 2)} g/100 g"


def _per_cent(value: float, units: Units) -> str:
    return f"{units.number(value, 2)} %"


def _share(value: float, units: Units) -> str:
    return f"{units.number(100.0 * value, 1)} %"


def _kcal(value: float, units: Units) -> str:
    return f"{units.number(value, 0)} kcal"


_ROWS = (
    _Row("original_gravity", "original gravity", _level),
    _Row("final_gravity", "final gravity", _level),
    _Row("abv", "alcohol by volume", _per_cent),
    _Row("abw", "alcohol by weight", _per_cent),
    _Row("original_extract", "original extract", _plato),
    _Row("apparent_extract", "apparent extract", _plato),
    _Row("real_extract", "real extract", _by_weight),
    _Row("apparent_attenuation", "apparent attenuation", _share),
    _Row("real_attenuation", "real attenuation", _share),
    *(_Row(f"kcal_{ml}_ml", f"energy in {ml} mL", _kcal) for ml in ENERGY_ML),
)
_NARROW = 66
"""[columns] A table does not fit into less."""


def show_figures(figures: Mapping[str, Estimate], units: Units, out: Console) -> None:
    """Print each figure with its range."""
    lines = _lines(figures, units)
    if out.width < _NARROW:
        for label, value, span in lines:
            out.print(Padding(label, (0, 0, 0, 2)))
            out.print(Padding(f"{value} ({span})" if span else value, (0, 0, 0, 4)))
        return
    table = Table(box=None, padding=(0, 2, 0, 0), show_edge=False, header_style="underline")
    for head in ("", "value", "9 in 10"):
        table.add_column(head, no_wrap=True)
    for line in lines:
        table.add_row(*line)
    out.print(Padding(table, (0, 0, 0, 2)))


def _lines(figures: Mapping[str, Estimate], units: Units) -> Iterator[tuple[str, str, str]]:
    for key, label, shown in _ROWS:
        if units.gravity == "plato" and key in ("original_extract", "apparent_extract"):
            continue  # the gravities are these already
        value, low, high = (shown(x, units) for x in figures[key])
        span = value_range(low, high) if low != high else ""
        if key.startswith("kcal"):
            value += f", {units.number(figures[key.replace('kcal', 'kj')].value, 0)} kJ"
        yield label, value, span


def figures_document(figures: Mapping[str, Estimate]) -> dict[str, Any]:
    """The same with fixed names; gravities in SG, extracts in °P or g/100 g, attenuations as fractions."""
    return {name: _rounded(name, estimate) for name, estimate in figures.items()}


def _rounded(name: str, estimate: Estimate) -> dict[str, float]:
    if name.endswith("_gravity"):
        return {key: round(1.0 + value / 1000.0, 6) for key, value in estimate._asdict().items()}
    return {key: round(value, 4) for key, value in estimate._asdict().items()}


def rules_beside(gravities: Gravities, units: Units) -> Iterator[str]:
    """What the short formulas say of the same gravities, where they hold."""
    gravity = 1.0 + gravities.original / 1000.0, 1.0 + gravities.final / 1000.0
    for explained, rule in zip(RULES_EXPLAINED, (abv_times_105, abv_duty), strict=True):
        try:
            yield f"by the {with_mark(explained.figure, units.decimal)} {units.number(rule(*gravity), 2)} %"
        except OutOfRangeError:
            continue
