"""What a page brings along for as long as its style sheet is on its way."""

from __future__ import annotations

__all__ = ["UNTIL_STYLED"]

UNTIL_STYLED = ".part{content-visibility:auto}"
"""A browser lays a page out as soon as it has read it, for nothing where its style sheet is not there yet: that took a
third of the time until it was shown. With this, only what would be seen is laid out so [CSS Containment 2, section 4];
the style sheet takes it back."""
