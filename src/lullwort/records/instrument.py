"""A brewer's own instrument for hand samples: what is printed on it, and what a check in plain water showed."""

from __future__ import annotations

from typing import Literal, get_args

import msgspec

__all__ = ["DIVISIONS", "INSTRUMENT_KINDS", "UNCHECKED_SD", "Instrument", "InstrumentKind"]

InstrumentKind = Literal["hydrometer", "refractometer"]
INSTRUMENT_KINDS: tuple[InstrumentKind, ...] = get_args(InstrumentKind)

UNCHECKED_SD = 2.0
"""[points] By which a hydrometer reads wrong that nobody has checked, as a standard deviation. Common practice, no
source."""
_UNCHECKED_BRIX_SD = 0.3
# [°Bx] The same of a refractometer. Common practice, no source.
_READ_SD: dict[InstrumentKind, float] = {"hydrometer": 0.3, "refractometer": 0.1}
# Of one look: meniscus and parallax [points], a blurred line [°Bx]. Common practice, no source.
DIVISIONS: dict[InstrumentKind, float] = {"hydrometer": 2.0, "refractometer": 0.2}
"""Between two marks of an ordinary one: [points] and [°Bx]."""
_DIVISION_SHARE = 0.29
# Of a division: somewhere between two marks, all places alike, has the standard deviation 1 / sqrt(12).


class Instrument(msgspec.Struct, frozen=True, kw_only=True):
    """One hydrometer or refractometer. Its unit is points (0.001 SG), of a refractometer °Bx.

    Attributes:
        name:       id.
        kind:       one of INSTRUMENT_KINDS.
        calibrated_c: [°C] printed on it: at which it reads right. 20 °C, or 60 °F which is 15.56 °C. A refractometer
                    has that of the drop's temperature taken off by itself.
        division:   [its unit] between two marks.
        error:      [its unit] that it reads too high, as a check in plain water showed; 0 where there was none.
        checked_us: [µs since 1970-01-01 UTC] when it was checked last; None where it never was.
        wort_factor: °Bx that a refractometer shows of wort, over its °P; a hydrometer has no use for it.
    """

    name: str
    kind: InstrumentKind = "hydrometer"
    calibrated_c: float = 20.0
    division: float = 2.0
    error: float = 0.0
    checked_us: int | None = None
    wort_factor: float = 1.04  # of an ordinary instrument and wort; common practice, no source

    @property
    def read_sd(self) -> float:
        """[its unit] Uncertainty of one look at it, as a standard deviation: different each time.

        >>> round(Instrument(name="h").read_sd, 2)
        0.65
        """
        return float(((_DIVISION_SHARE * self.division) ** 2 + _READ_SD[self.kind] ** 2) ** 0.5)

    @property
    def error_sd(self) -> float:
        """[its unit] Uncertainty of its own error, as a standard deviation: the same in every reading."""
        if self.checked_us is not None:
            return self.read_sd
        return UNCHECKED_SD if self.kind == "hydrometer" else _UNCHECKED_BRIX_SD
