"""Ink and paper have the contrast that reading takes."""

from __future__ import annotations

import re

import pytest

from lullwort.exporting import INKS


def luminance(colour: str) -> float:
    """Relative luminance of #rrggbb, as WCAG 2.2 defines it (Terms, "relative luminance")."""
    parts = (int(colour[at : at + 2], 16) / 255.0 for at in (1, 3, 5))
    red, green, blue = (part / 12.92 if part <= 0.04045 else ((part + 0.055) / 1.055) ** 2.4 for part in parts)
    return 0.2126 * red + 0.7152 * green + 0.0722 * blue


def contrast(one: str, other: str) -> float:
    """As WCAG 2.2 defines it (Terms, "contrast ratio")."""
    dark, light = sorted((luminance(one), luminance(other)))
    return (light + 0.05) / (dark + 0.05)


LIGHT, DARK = (
    dict(re.findall(r"--([a-z]+):(#[0-9a-f]{6})", half)) for half in INKS.split("@media(prefers-color-scheme:dark)")
)


@pytest.mark.parametrize("scheme", [LIGHT, DARK], ids=["light", "dark"])
@pytest.mark.parametrize("ink", ["ink", "quiet", "danger"])
@pytest.mark.parametrize("paper", ["paper", "desk", "held"])
def test_every_ink_can_be_read_on_every_paper(scheme: dict[str, str], ink: str, paper: str) -> None:
    # WCAG 2.2, 1.4.3 Contrast (Minimum), level AA: at least 4.5.
    assert contrast(scheme[ink], scheme[paper]) >= 4.5


@pytest.mark.parametrize("scheme", [LIGHT, DARK], ids=["light", "dark"])
def test_rules_and_edges_of_fields_can_be_seen(scheme: dict[str, str]) -> None:
    # WCAG 2.2, 1.4.11 Non-text Contrast, level AA: at least 3.
    for line in ("rule", "quiet"):
        assert contrast(scheme[line], scheme["paper"]) >= 3.0
