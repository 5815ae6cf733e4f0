"""What one sensor reported at one instant, in common units, before anything is corrected."""

from __future__ import annotations

import msgspec

__all__ = ["Reading"]


class Reading(msgspec.Struct, frozen=True, gc=False):
    """One report of one sensor; its key is (sensor, at_us).

    Attributes:
        sensor:      id of the sensor.
        vessel:      id of the vessel it floated in.
        at_us:       [µs since 1970-01-01 UTC].
        gravity:     [SG] as the sensor gave it, temperature not yet corrected here; None if it gave none.
        temperature_c: [°C] of the liquid; None if it gave none.
        inclination: [degrees] None if it gave none.
    """

    sensor: str
    vessel: str
    at_us: int
    gravity: float | None
    temperature_c: float | None
    inclination: float | None = None
