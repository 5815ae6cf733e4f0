"""Which stored readings cannot be about beer, and why: they stay on record and are passed over."""

from __future__ import annotations

from lullwort.records import Reading

__all__ = ["GRAVITY_RANGE", "TEMP_RANGE_C", "reason_to_pass_over"]

GRAVITY_RANGE = (0.975, 1.200)
"""[SG] A dry wine ends near 0.983 and the strongest worts start near 1.150; beyond is a fault of the sensor."""

TEMP_RANGE_C = (-5.0, 45.0)


def reason_to_pass_over(reading: Reading) -> str | None:
    """Why this reading says nothing about the beer; None if it may be used.

    >>> reason_to_pass_over(Reading("s", "v", 0, 0.0, 20.0))
    'gravity outside 0.975 to 1.200'
    """
    gravity, temp_c = reading.gravity, reading.temperature_c
    if gravity is None:
        return "no gravity"
    if not GRAVITY_RANGE[0] <= gravity <= GRAVITY_RANGE[1]:
        return f"gravity outside {GRAVITY_RANGE[0]:.3f} to {GRAVITY_RANGE[1]:.3f}"
    if temp_c is not None and not TEMP_RANGE_C[0] <= temp_c <= TEMP_RANGE_C[1]:
        return f"temperature outside {TEMP_RANGE_C[0]:g} to {TEMP_RANGE_C[1]:g} °C"
    return None
