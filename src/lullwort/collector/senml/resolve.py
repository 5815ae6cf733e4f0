"""Records of a SenML pack resolved: base fields applied, labels checked [RFC8428] sections 4.1 to 4.6."""

from __future__ import annotations

import re
from collections.abc import Iterable
from decimal import Decimal
from typing import Any, NamedTuple

from lullwort.collector.senml.elements import EXACT, Repeated, finite

__all__ = ["SECONDARY_UNITS_VERSION", "RefusedRecordError", "Resolved", "Resolver", "version_of"]

_DEFAULT_VERSION = 10
SECONDARY_UNITS_VERSION = 26
"""[RFC9100] The version is a set of features: 10 is SenML as such, and 16 more say that secondary units are in use."""

_TEXT, _NUMBER, _TRUTH = "a string", "a finite number", "true or false"
_LABELS = {
    "bn": _TEXT, "bt": _NUMBER, "bu": _TEXT, "bv": _NUMBER, "bs": _NUMBER, "bver": _NUMBER,
    "n": _TEXT, "u": _TEXT, "v": _NUMBER, "vs": _TEXT, "vb": _TRUTH, "vd": _TEXT, "s": _NUMBER,
    "t": _NUMBER, "ut": _NUMBER,
}  # fmt: skip
_BASES = ("bn", "bt", "bu", "bv", "bs")
_VALUES = ("v", "vs", "vb", "vd")
_NAME = re.compile(r"[A-Za-z0-9][-A-Za-z0-9:./_]*")
_SEEN_KEPT = 80


class RefusedRecordError(Exception):
    """A record cannot be used: `label` at fault, what was seen there, what was expected."""

    def __init__(self, label: str, seen: object, expected: str) -> None:
        self.label, self.seen, self.expected = label, _in_words(seen)[:_SEEN_KEPT], expected
        super().__init__(expected)


class Resolved(NamedTuple):
    """A record on its own: `value` as the label `kind` (v, vs, vb, vd) gives it, a number with its base value.

    `seconds` are since 1970, or relative to now where they are less than 2**28.
    """

    name: str
    unit: str
    kind: str
    value: Any
    seconds: Decimal


class Resolver:
    """Resolves the records of one pack in their order.

    A base field that is not usable spoils the records after it until the field comes again.
    """

    def __init__(self) -> None:
        self._base: dict[str, Any] = {}
        self._spoiled: set[str] = set()
        self._not_understood: str | None = None

    def resolve(self, labels: dict[str, Any]) -> Resolved:
        """The record with these labels. Raises RefusedRecordError, having taken its base fields all the same."""
        if isinstance(labels, Repeated):
            self.spoil(labels)
            raise RefusedRecordError("record", "a label twice", "each label once")
        self._take_bases(labels)
        self._check_labels(labels)
        kinds = [label for label in _VALUES if label in labels]
        if len(kinds) != 1:
            seen = " and ".join(kinds) if kinds else "a sum without a value" if self._has_sum(labels) else "no value"
            raise RefusedRecordError("record", seen, f"one value: {', '.join(_VALUES[:-1])} or {_VALUES[-1]}")
        kind = kinds[0]
        value = self._sum(labels, "bv", "v") if kind == "v" else labels[kind]
        return Resolved(
            self._name(labels), labels["u"] if "u" in labels else self._based("bu", ""), kind, value,
            self._sum(labels, "bt", "t"),
        )  # fmt: skip

    def spoil(self, labels: Iterable[str]) -> None:
        """The record with these labels is not readable as it should be: its base fields cannot be relied upon."""
        self._spoiled |= set(labels) & set(_BASES)

    def _take_bases(self, labels: dict[str, Any]) -> None:
        for label in _BASES:
            if label in labels:
                fits = _fits(labels[label], _LABELS[label])
                self._base[label] = labels[label]
                (self._spoiled.discard if fits else self._spoiled.add)(label)
        for label in labels:
            if label.startswith("b") and label.endswith("_"):
                self._not_understood = label

    def _check_labels(self, labels: dict[str, Any]) -> None:
        if self._not_understood is not None and self._not_understood not in labels:
            raise RefusedRecordError("record", f"after {self._not_understood}", "no base label that is not known")
        for label, value in labels.items():
            if label not in _LABELS:
                if label.endswith("_"):
                    raise RefusedRecordError("record", label, "known labels only, where they end in '_'")
            elif not _fits(value, _LABELS[label]):
                raise RefusedRecordError(label, value, _LABELS[label])

    def _name(self, labels: dict[str, Any]) -> str:
        name = f"{self._based('bn', '')}{labels.get('n', '')}"
        if _NAME.fullmatch(name) is None:
            raise RefusedRecordError("n", name, "a name of letters, digits and - : . / _, a letter or digit first")
        return name

    def _has_sum(self, labels: dict[str, Any]) -> bool:
        return "s" in labels or "bs" in self._base

    def _sum(self, labels: dict[str, Any], base: str, own: str) -> Decimal:
        total = finite(EXACT.add(finite(self._based(base, Decimal(0))) or 0, finite(labels.get(own)) or 0))
        if total is None:
            raise RefusedRecordError(own, f"{labels.get(own, 0)} with {base}", _NUMBER)
        return total

    def _based(self, label: str, otherwise: Any) -> Any:
        if label in self._spoiled:
            raise RefusedRecordError("record", f"{label} of an earlier record", f"{label} to be {_LABELS[label]}")
        return self._base.get(label, otherwise)


def version_of(labels: dict[str, Any], before: int | None) -> int:
    """Version of a record whose predecessor in the pack, if any, has the version `before`.

    Raises: RefusedRecordError for one that is not known, or another than before: then the whole pack is not usable.
    """
    known = _DEFAULT_VERSION if before is None else before
    if "bver" not in labels:
        return known
    stated = finite(labels["bver"])
    if stated is None or not (1 <= stated <= _DEFAULT_VERSION or stated == SECONDARY_UNITS_VERSION) or stated % 1:
        raise RefusedRecordError("bver", labels["bver"], "a version up to 10, or 26 with secondary units")
    if before is not None and stated != before:
        raise RefusedRecordError("bver", f"{before} and {stated}", "one version in a pack")
    return int(stated)


def _fits(value: object, expected: str) -> bool:
    if expected == _NUMBER:
        return finite(value) is not None
    return isinstance(value, str if expected == _TEXT else bool)


def _in_words(seen: object) -> str:
    # Arrays and objects may be as large and as deep as a sender likes.
    if isinstance(seen, list):
        return "an array"
    if isinstance(seen, dict):
        return "an object"
    return {None: "null", True: "true", False: "false"}[seen] if seen is None or isinstance(seen, bool) else str(seen)
