"""Topics of a broker as templates: lullwort/readings/{sensor}."""

from __future__ import annotations

import re
from dataclasses import dataclass

__all__ = ["TopicTemplate"]

_NAMES = ("sensor", "vessel")
_MAX_BYTES = 65_535


@dataclass(frozen=True)
class TopicTemplate:
    """A topic in which whole levels may be {sensor} or {vessel}, each once.

    Raises ValueError that says what was expected for one that cannot be.

    >>> template = TopicTemplate("cellar/{vessel}/{sensor}/gravity")
    >>> template.filter, template.match("cellar/north/f1/gravity"), template.match("cellar/north/f1/temp")
    ('cellar/+/+/gravity', {'vessel': 'north', 'sensor': 'f1'}, None)
    """

    text: str

    def __post_init__(self) -> None:
        levels = self.text.split("/")
        named = [level[1:-1] for level in levels if level.startswith("{") and level.endswith("}")]
        plain = "/".join(level for level in levels if level[1:-1] not in named or not level.startswith("{"))
        if not self.text or len(self.text.encode()) > _MAX_BYTES or re.search(r"[#+{}\0]", plain):
            raise ValueError("a topic without wildcards, in which whole levels may be {sensor} or {vessel}")
        if not set(named) <= set(_NAMES) or len(set(named)) != len(named):
            raise ValueError("a topic in which {sensor} and {vessel} stand once at most, and nothing else in braces")

    @property
    def names(self) -> tuple[str, ...]:
        """Those that stand in braces in it."""
        return tuple(level[1:-1] for level in self.text.split("/") if level.startswith("{"))

    @property
    def filter(self) -> str:
        """What to subscribe to [MQTT 3.1.1, 4.7.1: + stands for one level]."""
        return "/".join("+" if level.startswith("{") else level for level in self.text.split("/"))

    def match(self, topic: str) -> dict[str, str] | None:
        """What the names stand for in `topic`, ids or not; None for a topic of another shape."""
        own, given = self.text.split("/"), topic.split("/")
        if len(own) != len(given):
            return None
        named = {}
        for level, seen in zip(own, given, strict=True):
            if level.startswith("{"):
                named[level[1:-1]] = seen
            elif level != seen:
                return None
        return named

    def of(self, **names: str) -> str:
        """The topic in which the names stand for these."""
        return "/".join(names[level[1:-1]] if level.startswith("{") else level for level in self.text.split("/"))
