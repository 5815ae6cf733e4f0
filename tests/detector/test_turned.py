"""Which checks turned between two changes of a verdict."""

from __future__ import annotations

from typing import Any

import msgspec

from lullwort.detector import CHECKS, checks_turned

Bench = Any  # the class lives in conftest.py


def test_what_holds_now_and_what_no_longer_is_named(bench: Bench) -> None:
    seen = bench.judge(bench.readings(bench.ale(), 3.0)).now

    def holding(*names: str) -> Any:
        return msgspec.structs.replace(seen, passed={check: check in names for check in CHECKS})

    assert checks_turned(None, holding("seen")) == "Holds now: seen."
    assert checks_turned(holding("seen"), holding("flat", "warm enough")) == (
        "Hold now: flat, warm enough. Holds no longer: seen."
    )
    assert checks_turned(holding("seen"), holding("seen")) == "No check has turned."
    assert checks_turned(None, holding()) == "No check has turned."
