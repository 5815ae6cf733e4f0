"""The units that a browser has chosen, kept by itself; what it never chose is as the service's settings have it."""

from __future__ import annotations

from collections.abc import Mapping
from urllib.parse import parse_qsl, urlencode

import msgspec
from starlette.requests import HTTPConnection
from starlette.responses import Response

from lullwort.settings import SETTINGS, Setting, Settings

__all__ = ["CHOSEN", "as_text", "choose", "chosen_settings", "unit_options"]

COOKIE = "lullwort-units"
_KEPT_S = 400 * 24 * 3600
"""[s] No browser keeps one longer (RFC 6265bis, "Max-Age")."""
_MOST_LETTERS = 400

CHOSEN = tuple(setting for setting in SETTINGS if setting.name != "book")
"""The settings that each browser may choose for itself."""


def chosen_settings(request: HTTPConnection, settings: Settings) -> Settings:
    """The settings for whoever asks: each that was chosen and may be, the others as the service has them.

    Where no zone was ever stated it is UTC, in which moments are shown then.
    """
    found = _values(dict(parse_qsl(request.cookies.get(COOKIE, "")[:_MOST_LETTERS])))
    return msgspec.structs.replace(settings, **{"zone": settings.zone or "UTC", **found})


def unit_options(settings: Settings) -> list[str]:
    """The options by which a command takes what is typed, and tells it, as a page of these settings shows it."""
    return [f"{setting.flag}={as_text(setting, settings)}" for setting in CHOSEN]


def as_text(setting: Setting, settings: Settings) -> str:
    """The value of a setting as it would be entered."""
    return str(getattr(settings, setting.name) or "").replace(" ", "-")


def choose(answer: Response, chosen: Mapping[str, str], *, secure: bool) -> None:
    """Let the browser keep these texts by name of the setting; scripts cannot read them.

    Args:    secure: whether it is only to send them by TLS.
    """
    answer.set_cookie(
        COOKIE, urlencode(chosen), max_age=_KEPT_S, path="/", httponly=True, samesite="lax", secure=secure
    )


def _values(texts: Mapping[str, str]) -> dict[str, object]:
    found: dict[str, object] = {}
    for setting in CHOSEN:
        try:
            if setting.name in texts and texts[setting.name] != "locale":
                found[setting.name] = setting.read(texts[setting.name])
        except (ValueError, KeyError):
            continue  # of another version, or made up
    return found
