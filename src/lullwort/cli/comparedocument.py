"""The JSON document of a comparison: fixed names that other programs rely on."""

from __future__ import annotations

import json
from collections.abc import Iterable
from typing import Any

from lullwort.cli.explaining import as_documents
from lullwort.cli.repeats import Beside
from lullwort.explained import Explained
from lullwort.forecast import Compared, Known, TraitName, Traits, likeness_says
from lullwort.records import format_utc
from lullwort.standing import Repeat

__all__ = ["compared_document"]

_UNITS: dict[TraitName, str] = {
    "lag": "h", "steepest fall": "points/day", "three quarters": "h", "tail": "h", "end": "SG", "ready": "h",
}  # fmt: skip


def compared_document(beside: Beside, explained: Iterable[Explained] = ()) -> str:
    """The whole document; gravities in SG, temperatures in °C, times in UTC, hours since the pitch; if given, how the
    figures come about."""
    asked, seen = beside.asked, beside.likeness
    document: dict[str, Any] = {
        "batch": asked.batch.name,
        "vessel": asked.batch.vessel,
        "recipe": asked.batch.recipe,
        "as_of": format_utc(asked.judged.as_of_us),
        "as_before": seen.as_before,
        "says": list(likeness_says(seen)),
        "warmer_k": round(seen.warmer_k, 2),
        "compared": [_compared(one) for one in seen.compared],
        "traits": _traits(asked),
        "earlier": [_traits(repeat) for repeat in beside.earlier],
    }
    if told := as_documents(explained):
        document["explained"] = told
    return json.dumps(document, indent=2, ensure_ascii=False)


def _compared(one: Compared) -> dict[str, Any]:
    value = {name: _in_unit(one.trait, getattr(one, name)) for name in ("value", "least", "most", "low", "high")}
    return {
        "trait": one.trait, "unit": _UNITS[one.trait], **value, "still_open": one.still_open, "batches": one.batches,
        "as_before": one.as_before,
    }  # fmt: skip


def _traits(repeat: Repeat) -> dict[str, Any]:
    of: Traits = repeat.traits
    known: dict[TraitName, Known | None] = {
        "lag": of.lag_h, "steepest fall": of.steepest, "three quarters": of.gone_h, "tail": of.tail_h, "end": of.end,
        "ready": of.ready_h,
    }  # fmt: skip
    return {
        "batch": repeat.batch.name,
        "pitched": format_utc(repeat.batch.pitched_us),
        "verdict": repeat.judged.verdict,
        "temperature": None if of.temperature_c is None else round(of.temperature_c, 2),
        "steepest_at": None if of.steepest_at_h is None else round(of.steepest_at_h, 1),
        **{
            name.replace(" ", "_"): None
            if trait is None
            else {
                "value": _in_unit(name, trait.value),
                "sd": round(trait.sd / 1000.0, 5) if name == "end" else round(trait.sd, 2),
                "unit": _UNITS[name],
            }
            for name, trait in known.items()
        },
    }


def _in_unit(name: TraitName, value: float) -> float:
    return round(1.0 + value / 1000.0, 5) if name == "end" else round(value, 2)
