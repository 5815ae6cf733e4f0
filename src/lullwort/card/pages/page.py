"""What every page of the card has around it."""

from __future__ import annotations

from collections.abc import Sequence

from lullwort.card.pages.around import AROUND
from lullwort.card.pages.assets import ICON_PATH, SCRIPT_PATH, STYLE_PATH
from lullwort.card.pages.untilstyled import UNTIL_STYLED
from lullwort.exporting import escaped

__all__ = ["LEGIBLE", "MAIN", "page"]

MAIN = '<main id="card" tabindex="-1">'

LEGIBLE = (
    "<b>Without TLS:</b> whoever is on this network can read this page, and the token when it is typed in. "
    "certificate_file and key_file in the settings close it."
)
"""Stands on every page that others on the network can read."""


def page(
    title: str,
    body: Sequence[str],
    *,
    live: str = "",
    here: str = "",
    tag: str = "",
    between: str = "",
    pulse: str = "",
) -> str:
    """A whole page; `body` is HTML.

    Args:    live:  where its script hears that it has changed and is to be asked for anew; empty: nowhere.
             here:  address of the page, which is marked among those that every page leads to.
             tag:   of what it says, see `Finished`; `between`: the same of what stands between its parts.
             pulse: how old it is, as HTML.
    """
    return "\n".join(
        [
            '<!DOCTYPE html>\n<html lang="en">\n<head>\n<meta charset="utf-8">',
            '<meta name="viewport" content="width=device-width, initial-scale=1">',
            '<meta name="color-scheme" content="light dark">',
            f'<link rel="icon" type="image/svg+xml" href="{ICON_PATH}">',
            f"<title>{escaped(title)}</title>",
            f'<style>{UNTIL_STYLED}</style><link rel="stylesheet" href="{STYLE_PATH}">',
            f'<script src="{SCRIPT_PATH}" defer></script>\n</head>',
            f'<body data-live="{escaped(live)}" data-tag="{escaped(tag)}" data-between="{escaped(between)}">',
            '<a class="skip" href="#card">To the answer</a>',
            f'<header class="top"><nav aria-label="Pages">{_ways(here)}</nav></header>',
            '<p class="stale" id="stale" role="status"></p>',
            MAIN,
            *filter(None, body),
            "</main>",
            _foot(pulse),
            '<p class="said" id="said" role="status"></p>\n</body>\n</html>\n',
        ]
    )


def _foot(pulse: str) -> str:
    """How old the page is, who can read along, and the way out."""
    around = AROUND.get()
    said = [pulse] if pulse else []
    said += [f"<p>{LEGIBLE}</p>"] if around.legible else []
    said += ['<p><a href="/leave">Leave on this device</a></p>'] if around.known else []
    return f'<footer class="foot">{"".join(said)}</footer>' if said else ""


_PAGES = {"/": "All vessels", "/alerts": "Alerts", "/units": "Units", "/import": "Import"}


def _ways(here: str) -> str:
    return "".join(
        f'<a href="{path}"{" aria-current=page" if path == here else ""}>{name}</a>' for path, name in _PAGES.items()
    )
