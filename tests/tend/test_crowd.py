"""Who has to go when there is no more room: whoever crowds out others, and else one that is a mere connection."""

from __future__ import annotations

from typing import NamedTuple

import pytest

from lullwort.tend.crowd import to_drop


class Guest(NamedTuple):
    name: str
    household: str
    served: bool = True
    waiting: bool = True
    stays: bool = False


def many(number: int, household: str = "", **how: bool) -> list[Guest]:
    """Of one household; of none stated each of its own."""
    return [Guest(f"{household}-{nth}", household or f"strange-{nth}", **how) for nth in range(number)]


VISITOR = [Guest(f"visitor-{nth}", "visitor") for nth in range(3)]
NEW = Guest("new", "new", served=False)


@pytest.mark.parametrize(
    ("guests", "dropped"),
    [
        # One address that asks and does not read loses its oldest, also where none of its own waits:
        ([*VISITOR, *many(97, "greedy", waiting=False), NEW], "greedy-0"),
        ([*VISITOR, *many(90, "greedy", waiting=False), *many(7, "greedy")], "greedy-0"),
        ([*many(96, "greedy", waiting=False), *VISITOR, NEW, NEW], "greedy-0"),
        # ... one that was never answered before one that was, and one that waits before one that does not:
        ([*many(50, "greedy"), Guest("mere", "greedy", served=False), *VISITOR, NEW], "mere"),
        ([*many(50, "greedy", waiting=False), Guest("idle", "greedy"), *VISITOR, NEW], "idle"),
        # Many that hold one each have asked for nothing; whoever did stays, were he the oldest and held the most:
        ([*VISITOR, *many(98, served=False)], "-0"),
        ([*many(97), Guest("mere", "mere", served=False), NEW], "mere"),
        ([*VISITOR, *many(97), NEW], "visitor-0"),  # all were served: the oldest
        # Streams of those whom we know stay, also where they are many, and where one of their own crowds others out:
        ([*many(40, "home", stays=True, waiting=False), *many(60, served=False), NEW], "-0"),
        ([*many(40, "home", stays=True, waiting=False), *many(60, "home", waiting=False), NEW], "home-0"),
        ([*many(100, "home", stays=True), NEW], "home-0"),  # there is nobody else
        ([Guest("first", "one"), NEW], "first"),
    ],
)
def test_who_has_to_go(guests: list[Guest], dropped: str) -> None:
    gone = to_drop(guests)
    assert gone.name == dropped
    assert gone is not guests[-1]
    assert not gone.stays or all(one.stays for one in guests[:-1])
