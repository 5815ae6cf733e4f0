"""The page of a batch as a document for programs: fixed names, in SG, °C, litres, g/L, bar, and times in UTC."""

from __future__ import annotations

from typing import Any

import msgspec

from lullwort.cli.sealingdocument import limit_document, sealing_document
from lullwort.cli.showstrength import figures_document
from lullwort.cli.stillso import no_longer_document
from lullwort.detector import evidence, reason
from lullwort.packaging_day import Estimate, SheetFacts, TempAt
from lullwort.records import format_utc

__all__ = ["sheet_document"]


def sheet_document(facts: SheetFacts) -> dict[str, Any]:
    """Everything that the page tells; null where it is not known."""
    batch, rest = facts.batch, facts.seen.at_rest
    at_rest = None if rest is None or rest.warmest_c is None else TempAt(rest.warmest_c, rest.warmest_us)
    held = facts.closed.held
    proved_us = None if facts.proved is None else facts.proved.at_us
    return {
        "batch": batch.name,
        "vessel": batch.vessel,
        "recipe": batch.recipe,
        "as_of": format_utc(facts.as_of_us),
        "verdict": facts.verdict,
        "since": _at(facts.verdict_us),
        "reason": reason(facts.verdict, facts.seen),
        "no_longer": no_longer_document(facts.no_longer),
        "verdict_before_packaging": None if facts.before is None else facts.before.verdict,
        "proved": facts.proved is not None,
        "danger": facts.danger.any,
        "evidence": [
            {"check": c.check, "passed": c.passed, "value": c.value, "limit": c.limit, "unit": c.unit, "says": c.says}
            for c in evidence(facts.seen)
        ],
        "pitched_at": format_utc(batch.pitched_us),
        "activity_ended_at": _at(facts.rest_us),
        "ready_at": _at(proved_us),
        "packaged_at": _at(batch.packaged_us),
        "ready_foreseen_at": _at(
            None if facts.forecast is None or facts.forecast.ready is None else facts.forecast.ready.about_us
        ),
        "original_gravity": _sg(facts.original),
        "gravity": _sg(facts.gravity),
        "expected_final_gravity": None
        if facts.seen.expected is None
        else {"low": _one_sg(facts.seen.expected.low), "high": _one_sg(facts.seen.expected.high)},
        "strength": figures_document(facts.figures) if facts.figures else None,
        "temperatures": {
            "coldest": _temp(facts.coldest),
            "warmest": _temp(facts.warmest),
            "fermented_c": None if facts.fermented_c is None else round(facts.fermented_c, 2),
            "warmest_at_rest": _temp(at_rest),
        },
        "held_co2_g_l": None if held is None else {"value": round(held.about, 3), "upper": round(held.at_most, 3)},
        "to_prime_g": None if facts.closed.to_prime_g is None else round(facts.closed.to_prime_g, 1),
        **limit_document(facts.closed.limit),
        "sealed": sealing_document(facts.closed.sealing),
        "volume_l": batch.volume_l,
        "moved": None if facts.moved is None else {"volume_l": facts.moved.volume_l, "known_by": facts.moved.known_by},
        "packaging_day": msgspec.to_builtins(batch.packaging_day),
        "events": [
            {"at": format_utc(event.at_us), **msgspec.to_builtins(event)} for event in batch.events
        ],
        "told": [
            {"told_at": format_utc(t.at_us), "verdict": t.verdict, "verdict_at": format_utc(t.verdict_us)}
            for t in facts.told
        ],
    }  # fmt: skip


def _at(at_us: int | None) -> str | None:
    return None if at_us is None else format_utc(at_us)


def _one_sg(points: float) -> float:
    return round(1.0 + points / 1000.0, 6)


def _sg(points: Estimate | None) -> dict[str, float] | None:
    return None if points is None else {name: _one_sg(value) for name, value in points._asdict().items()}


def _temp(temp: TempAt | None) -> dict[str, Any] | None:
    return None if temp is None else {"temperature_c": round(temp.temp_c, 2), "at": format_utc(temp.at_us)}
