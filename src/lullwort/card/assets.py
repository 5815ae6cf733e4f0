"""The style and the script of the card, named by what is in them, so that a browser may keep them for good."""

from __future__ import annotations

import hashlib
from importlib import resources

from lullwort.exporting import CURVE_STYLE

__all__ = ["ASSETS", "SCRIPT_PATH", "STYLE_PATH"]


def _text(name: str) -> str:
    return resources.files("lullwort.card").joinpath("assets", name).read_text(encoding="utf-8")


def _path(stem: str, suffix: str, content: str) -> str:
    return f"/assets/{stem}.{hashlib.sha256(content.encode()).hexdigest()[:12]}.{suffix}"


_STYLE = f"{_text('card.css')}{CURVE_STYLE}\n"
_SCRIPT = _text("card.js")

STYLE_PATH = _path("card", "css", _STYLE)
SCRIPT_PATH = _path("card", "js", _SCRIPT)

ASSETS = {STYLE_PATH: ("text/css", _STYLE), SCRIPT_PATH: ("text/javascript", _SCRIPT)}
"""Media type and content by path."""
