"""Which column of a text file is what, by its name, and what is asked where none or several may be it."""

from __future__ import annotations

import re

from lullwort.collector.table.columnwords import role_of_label
from lullwort.collector.table.draft import Draft

__all__ = ["find_columns", "find_vessel"]

_TIME_OF_DAY = re.compile(r"[0-9]{1,2}:[0-9]{2}(?::[0-9]{2}(?:[.,][0-9]+)?)?(?: ?[AaPp]\.?[Mm]\.?)?")

_Columns = dict[str, tuple[str, ...]]


def find_columns(draft: Draft) -> bool:
    """Give each role its column; tells whether those found are enough for a reading."""
    lines = draft.table_lines()
    labels = draft.split(lines[0]) if lines and draft.mapping.has_header else []
    taken = {name for names in draft.stated.columns.values() for name in names}
    found: dict[str, list[str]] = {}
    for place, label in enumerate(labels):
        role = role_of_label(label)
        if role is not None and label not in taken:
            once = labels.count(label) == 1
            found.setdefault(role, []).append(label if once else f"#{place + 1}")
    columns = dict(draft.mapping.columns)
    if "time" not in columns:
        columns |= _time_columns(draft, labels, found)
    for role in ("gravity", "temperature", "sensor", "vessel", "battery", "signal", "inclination"):
        names = found.get(role, [])
        if role in columns or role in draft.stated.without or not names:
            continue
        if len(names) > 1:
            options = " or ".join(f"--column {role}={name!r}" for name in names)
            draft.ask(f"{len(names)} columns may be the {role}", options, "columns")
        columns[role] = (names[0],)
    if draft.stated.vessel is not None and "vessel" in columns and "vessel" not in draft.stated.columns:
        del columns["vessel"]
        _ask_about_vessels(draft, found["vessel"][0], columns)
    draft.take(columns=columns)
    return _ask_about_absent(draft, columns)


def find_vessel(draft: Draft) -> None:
    """Ask for the vessel where no column names it; meanwhile it is called vessel."""
    if draft.mapping.vessel is None and "vessel" not in draft.mapping.columns:
        draft.ask("no column names the vessel", "--vessel ID, as --vessel north", "vessel")
        draft.take(vessel="vessel")


def _time_columns(draft: Draft, labels: list[str], found: dict[str, list[str]]) -> _Columns:
    dates, times = found.get("date", []), found.get("time", [])
    rows = [draft.split(line) for line in draft.lines[draft.mapping.title_lines + 1 :][:20]]
    of_day = [
        label
        for place, label in enumerate(labels)
        if rows and all(len(row) > place and _TIME_OF_DAY.fullmatch(row[place]) for row in rows if any(row))
    ]
    if dates and of_day and not _has_time_of_day(labels.index(dates[0]) if dates[0] in labels else 0, rows):
        return {"time": (dates[0], next((label for label in of_day if label in times), of_day[0]))}
    whole = [name for name in (*times, *dates) if name not in of_day]
    if len(whole) > 1:
        options = " or ".join(f"--column time={name!r}" for name in whole)
        draft.ask(f"{len(whole)} columns may be the time", options, "columns")
    return {"time": (whole[0],)} if whole else {}


def _has_time_of_day(place: int, rows: list[list[str]]) -> bool:
    """Whether the column at `place` tells more than a date."""
    return any(":" in row[place] for row in rows if len(row) > place)


def _ask_about_absent(draft: Draft, columns: _Columns) -> bool:
    """Ask for what no column looks like; tells whether a reading can do without."""
    for role in ("time", "gravity", "temperature"):
        if role in columns or role in draft.mapping.without:
            continue
        leave_out = "" if role == "time" else f" or --without {role}"
        draft.ask(f"no column looks like the {role}", f"--column {role}=NAME{leave_out}", "columns")
    absent = [role for role in ("gravity", "temperature") if role not in columns]
    if len(absent) == 1 and not draft.mapping.without:
        draft.take(without=(absent[0],))
    return "time" in columns and len(absent) < 2


def _ask_about_vessels(draft: Draft, label: str, columns: _Columns) -> None:
    """One vessel is stated, and a column seems to name several."""
    labels = draft.split(draft.table_lines()[0])
    place = int(label[1:]) - 1 if label.startswith("#") else labels.index(label)
    rows = [draft.split(line) for line in draft.lines[draft.mapping.title_lines + 1 :]]
    names = {row[place] for row in rows if len(row) > place and row[place]}
    if len(names) > 1 and columns.get("sensor") != (label,):
        seen = " and ".join(repr(name) for name in sorted(names)[:3])
        draft.ask(
            f"{label} tells {len(names)} vessels or sensors apart, as {seen}",
            f"--column vessel={label!r} instead of --vessel, or --column sensor={label!r}", "columns",
        )  # fmt: skip
