"""A list of what stands on a long page, each a way to its part: on a phone most of it lies far below."""

from __future__ import annotations

import re
from collections.abc import Sequence

from lullwort.card.pages.markup import part

__all__ = ["with_contents"]

_HEADED = re.compile(r'<section id="(?P<name>[a-z-]+)"[^>]* aria-labelledby="[^"]*"[^>]*><h2[^>]*>(?P<head>[^<]*)</h2>')


def with_contents(parts: Sequence[str], after: str) -> list[str]:
    """The parts of a page, HTML, with a list of those that have a heading and say something behind the one called
    `after`: of those that come behind it."""
    at = next(nth for nth, each in enumerate(parts, 1) if each.startswith(f'<section id="{after}"'))
    headed = [found for each in parts[at:] if (found := _HEADED.match(each)) is not None]
    links = "".join(f'<li><a href="#{found["name"]}">{found["head"]}</a></li>' for found in headed)
    listed = part("contents", f'<nav aria-label="On this page"><ul class="contents">{links}</ul></nav>')
    return [*parts[:at], listed, *parts[at:]]
