"""Style, script and mark of the card, named by what is in them, so that a browser may keep them for good."""

from __future__ import annotations

import hashlib
from importlib import resources

from lullwort.exporting import CURVE_STYLE, INKS

__all__ = ["ASSETS", "ICON_PATH", "SCRIPT_PATH", "STYLE_PATH"]

_STYLES = "card.css", "forms.css", "files.css", "curve.css", "live.css"
_SCRIPTS = "address.js", "live.js", "curve.js"


def _text(name: str) -> str:
    return resources.files("lullwort.card").joinpath("assets", name).read_text(encoding="utf-8")


def _path(suffix: str, content: str) -> str:
    return f"/assets/card.{hashlib.sha256(content.encode()).hexdigest()[:12]}.{suffix}"


_STYLE = "\n".join([INKS, CURVE_STYLE, *map(_text, _STYLES)])
_SCRIPT = "\n".join(map(_text, _SCRIPTS))
_ICON = _text("card.svg")

STYLE_PATH = _path("css", _STYLE)
SCRIPT_PATH = _path("js", _SCRIPT)
ICON_PATH = _path("svg", _ICON)

ASSETS = {
    STYLE_PATH: ("text/css", _STYLE),
    SCRIPT_PATH: ("text/javascript", _SCRIPT),
    ICON_PATH: ("image/svg+xml", _ICON),
}
"""Media type and content by path."""
