"""What the address of a batch's page chooses to be shown of it: a span of its curve, and a container to reckon with."""

from __future__ import annotations

from collections.abc import Mapping
from typing import NamedTuple, get_args
from urllib.parse import parse_qsl, urlencode

from lullwort.card.curve.span import WHOLE, CurveSpan, chosen_span
from lullwort.records import ContainerName

__all__ = ["AS_IT_IS", "Shown", "shown_by"]

_LONGEST = 40
"""Characters of a name that is told to be none."""


class Shown(NamedTuple):
    """What is chosen; each choice is carried on by the links and forms that make another.

    Attributes:
        container: as it was asked for, which need be the name of none; empty for the batch's own.
    """

    span: CurveSpan = WHOLE
    container: str = ""

    @property
    def known(self) -> bool:
        """Whether it is one of what can be shown, so that it is worth keeping."""
        return self.container in ("", *get_args(ContainerName))

    @property
    def fields(self) -> list[tuple[str, str]]:
        """Names and values of all that is chosen, and can be shown, as an address has them."""
        chosen = parse_qsl(self.span.query.removeprefix("?"))
        return [*chosen, ("container", self.container)] if self.container and self.known else chosen

    @property
    def query(self) -> str:
        """Of an address that asks for it, with its question mark; empty where nothing is chosen."""
        return f"?{urlencode(self.fields)}" if self.fields else ""


AS_IT_IS = Shown()


def shown_by(query: Mapping[str, str]) -> Shown:
    """What an address asks for. Raises UsageError for what is no span."""
    return Shown(chosen_span(query), query.get("container", "").strip()[:_LONGEST])
