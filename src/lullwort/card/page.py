"""What every page of the card has around it."""

from __future__ import annotations

from collections.abc import Sequence

from lullwort.card.around import AROUND
from lullwort.card.assets import ICON_PATH, SCRIPT_PATH, STYLE_PATH
from lullwort.exporting import escaped

__all__ = ["LEGIBLE", "page"]

LEGIBLE = (
    "<b>Without TLS:</b> whoever is on this network can read this page, and the token when it is typed in. "
    "certificate_file and key_file in the settings close it."
)
"""Stands on every page that others on the network can read."""


def page(title: str, body: Sequence[str], *, live: str = "", here: str = "") -> str:
    """A whole page; `body` is HTML.

    Args:    live: of what the page is, for its script, which asks for it anew once it has changed.
             here: address of the page, which is marked among those that every page leads to.
    """
    return "\n".join(
        [
            '<!DOCTYPE html>\n<html lang="en">\n<head>\n<meta charset="utf-8">',
            '<meta name="viewport" content="width=device-width, initial-scale=1">',
            '<meta name="color-scheme" content="light dark">',
            f'<link rel="icon" type="image/svg+xml" href="{ICON_PATH}">',
            f"<title>{escaped(title)}</title>",
            f'<link rel="stylesheet" href="{STYLE_PATH}">',
            f'<script src="{SCRIPT_PATH}" defer></script>\n</head>',
            f'<body data-live="{escaped(live)}">',
            '<a class="skip" href="#card">To the answer</a>',
            f'<header class="top"><nav aria-label="Pages">{_ways(here or live)}</nav></header>',
            '<main id="card" tabindex="-1">',
            *filter(None, body),
            "</main>",
            _foot(),
            "</body>\n</html>\n",
        ]
    )


def _foot() -> str:
    """What holds for every page: who can read along, and the way out."""
    around = AROUND.get()
    said = [f"<p>{LEGIBLE}</p>"] if around.legible else []
    said += ['<p><a href="/leave">Leave on this device</a></p>'] if around.known else []
    return f'<footer class="foot">{"".join(said)}</footer>' if said else ""


_PAGES = {"/": "All vessels", "/alerts": "Alerts", "/units": "Units", "/import": "Import"}


def _ways(here: str) -> str:
    return "".join(
        f'<a href="{path}"{" aria-current=page" if path == here else ""}>{name}</a>' for path, name in _PAGES.items()
    )
