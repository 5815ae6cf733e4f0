"""A page to lay text out on, which shows words of people without what a terminal would obey."""

from __future__ import annotations

from collections.abc import Iterable

from rich.console import Console, ConsoleOptions, RenderableType
from rich.segment import Segment

from lullwort.plaintext import plain_text

__all__ = ["PlainPage"]


class PlainPage(Console):
    """Colours are its own: they come as styles, never as text."""

    def render(self, renderable: RenderableType, options: ConsoleOptions | None = None) -> Iterable[Segment]:
        """As `Console.render`."""
        for text, style, control in super().render(renderable, options):
            yield Segment(text if control else plain_text(text), style, control)
