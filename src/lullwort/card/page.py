"""What every page of the card has around it."""

from __future__ import annotations

from collections.abc import Sequence

from lullwort.card.assets import SCRIPT_PATH, STYLE_PATH
from lullwort.exporting import escaped

__all__ = ["page"]


def page(title: str, body: Sequence[str], *, live: str = "") -> str:
    """A whole page; `body` is HTML.

    Args:    live: of what the page is, for its script, which asks for it anew once it has changed.
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
            f'<body data-live="{escaped(live)}">',
            '<a class="skip" href="#card">To the answer</a>',
            '<header class="top"><a class="home" href="/">All vessels</a></header>',
            '<main id="card">',
            *filter(None, body),
            "</main>\n</body>\n</html>\n",
        ]
    )
