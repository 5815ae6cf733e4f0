"""What every page of the card has around it."""

from __future__ import annotations

from collections.abc import Sequence

from lullwort.card.assets import SCRIPT_PATH, STYLE_PATH
from lullwort.exporting import escaped

__all__ = ["page"]


def page(title: str, body: Sequence[str], *, live: str = "", tag: str = "", pulse: str = "") -> str:
    """A whole page; `body` is HTML.

    Args:    live:  where its script hears that it has changed and is to be asked for anew; empty: nowhere.
             tag:   of what it says, see `Finished`.
             pulse: how old it is, as HTML.
    """
    return "\n".join(
        [
            '<!DOCTYPE html>\n<html lang="en">\n<head>\n<meta charset="utf-8">',
            '<meta name="viewport" content="width=device-width, initial-scale=1">',
            '<meta name="color-scheme" content="light dark">',
            '<link rel="icon" href="data:,">',
            f"<title>{escaped(title)}</title>",
            f'<link rel="stylesheet" href="{STYLE_PATH}">',
            f'<script src="{SCRIPT_PATH}" defer></script>\n</head>',
            f'<body data-live="{escaped(live)}" data-tag="{escaped(tag)}">',
            '<a class="skip" href="#card">To the answer</a>',
            '<header class="top"><a class="home" href="/">All vessels</a></header>',
            '<p class="stale" id="stale" role="status"></p>',
            '<main id="card">',
            *filter(None, body),
            "</main>",
            f'<footer class="foot">{pulse}</footer>' if pulse else "",
            '<p class="said" id="said" role="status"></p>\n</body>\n</html>\n',
        ]
    )
