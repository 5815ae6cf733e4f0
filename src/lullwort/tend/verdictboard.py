"""The newest verdict of each batch, shown where others look for it."""

from __future__ import annotations

import time
from collections.abc import Callable, Iterable
from dataclasses import dataclass, field

from lullwort.detector import Judged

__all__ = ["VerdictBoard"]

_EVERY_S = 10.0


@dataclass
class VerdictBoard:
    """Another verdict is shown at once; the same one with newer evidence every ten seconds at most.

    A backlog of weeks would otherwise be shown hour by hour, and every hour of it wait for the broker.
    """

    show: Callable[[Judged], bool]
    """False where it cannot be shown now."""
    monotonic_s: Callable[[], float] = time.monotonic
    _waiting: dict[str, Judged] = field(default_factory=dict)
    _shown: dict[str, tuple[str, float]] = field(default_factory=dict)

    def see(self, changed: Iterable[Judged]) -> None:
        """These are new; what could not be shown before is tried again."""
        self._waiting.update((judged.batch.name, judged) for judged in changed)
        now_s = self.monotonic_s()
        for name, judged in list(self._waiting.items()):
            verdict, at_s = self._shown.get(name, ("", 0.0))
            if (judged.verdict != verdict or now_s - at_s >= _EVERY_S) and self.show(judged):
                self._shown[name] = judged.verdict, now_s
                del self._waiting[name]
