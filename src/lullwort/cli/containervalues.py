"""Containers and what they bear, as brewers type them."""

from __future__ import annotations

import difflib
import re

from lullwort.cli.gasvalues import co2_g_l, gauge_bar
from lullwort.errors import UsageError
from lullwort.packaging_day import CONTAINERS, limit_bar_from_volumes
from lullwort.records import CONTAINER_NAMES, ContainerName
from lullwort.settings import Settings
from lullwort.units import co2_volumes_from_g_l

__all__ = ["container_limit_bar", "container_name"]

_CALLED: dict[str, ContainerName] = {
    "swing-top": "reused-glass", "one-way": "reused-glass", "champagne": "sparkling-wine", "pet": "plastic",
}  # fmt: skip
"""Other names of the trade for the same."""
_PERHAPS: dict[str, ContainerName] = {
    "glass": "brown-glass", "bottle": "brown-glass", "beer-bottle": "brown-glass", "brown-bottle": "brown-glass",
    "belgian": "thick-glass", "heavy-glass": "thick-glass", "returnable": "thick-glass", "cava": "sparkling-wine",
    "plastic-bottle": "plastic", "cask": "keg", "minikeg": "keg", "jug": "growler",
}  # fmt: skip
"""What may be meant, which is only asked: a word may stand for glass that bears less."""
_NEAR = 0.6


def container_name(text: str, option: str, _settings: Settings) -> ContainerName:
    """The kind of container that is called so. Raises UsageError for an unknown one, with the nearest."""
    typed = re.sub(r"[\s_]+", "-", text.strip().lower())
    kinds: dict[str, ContainerName] = {**dict(zip(CONTAINER_NAMES, CONTAINER_NAMES, strict=True)), **_CALLED}
    if typed in kinds:
        return kinds[typed]
    kinds |= _PERHAPS
    near = difflib.get_close_matches(typed, kinds, n=1, cutoff=_NEAR)
    meant = [f"did you mean {kinds[word]}? ({CONTAINERS[kinds[word]].says}); else " for word in near]
    hint = f"{''.join(meant)}expected one of {', '.join(CONTAINER_NAMES)}"
    raise UsageError(f"{option} is {text!r}, which is not known; {hint}")


def container_limit_bar(text: str, option: str, settings: Settings) -> float:
    """[bar, gauge] What a container bears, from `3.5bar`, `50psi`, or from `4.5volumes` or `9g/L` at 20 °C.

    Without a unit it is a pressure in the settings' unit. Raises UsageError, with what was probably meant.

    >>> from pathlib import Path
    >>> settings = Settings(Path("b"), "sg", "C", None)
    >>> [round(container_limit_bar(t, "--container-limit", settings), 1) for t in ("3.5", "50psi", "4,5 volumes")]
    [3.5, 3.4, 5.2]
    """
    if _OF_GAS.search(text.strip()):
        return round(limit_bar_from_volumes(co2_volumes_from_g_l(co2_g_l(text, option, settings))), 4)
    found = _BARE.fullmatch(text.strip())
    if found is None:
        raise UsageError(f"{option} is {text!r}, expected what it bears, such as 3.5bar, 50psi or 4.5volumes")
    if not found["unit"] and settings.pressure == "bar" and float(found["number"].replace(",", ".")) > _MOST_BAR:
        bare = found["number"]
        meant = "psi" if float(bare.replace(",", ".")) < _LIKELY_KPA else "kPa"
        raise UsageError(f"{option} is {text!r}, and no container bears as many bar: was {bare}{meant} meant?")
    return gauge_bar(text, option, settings)


_OF_GAS = re.compile(r"(?<![a-z])(v|vols?|volumes?|g\s*/\s*l)$", re.IGNORECASE)
_BARE = re.compile(r"(?P<number>[0-9]*[.,]?[0-9]+)\s*(?P<unit>bar|psi|kpa)?", re.IGNORECASE)
_MOST_BAR, _LIKELY_KPA = 20.0, 150.0
