"""How a log would be read, before anything of it is stored. All that stands in the log is somebody's, and escaped."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from typing import Any

from lullwort.card.imports.stating import arranged, doubts_by_field, in_labels, times_say
from lullwort.card.pages.fields import Field, form_html
from lullwort.card.pages.markup import part
from lullwort.counting import counted
from lullwort.detector import Units
from lullwort.exporting import escaped
from lullwort.records import parse_instant

__all__ = ["aside_table", "dry_run_page"]

Document = Mapping[str, Any]

_UNITS = {
    "sg": "SG", "sg_1000": "SG × 1000", "points": "points", "plato": "°P", "kg_m3": "kg/m³", "C": "°C", "F": "°F",
    "K": "K",
}  # fmt: skip
_MOST_ASIDE = 20


def dry_run_page(
    name: str, document: Document, fields: Sequence[Field], stated: Mapping[str, str], addresses: tuple[str, str],
    token: str, units: Units,
) -> list[str]:  # fmt: skip
    """The content of its page, as HTML.

    Args:   name: of the file.  fields: with which it can be read otherwise.
            addresses: where it is read again, and where it is stored.
    """
    again, store = addresses
    doubts = doubts_by_field(document["doubts"])
    readings, assumed = document["reading_count"], str(document.get("assumed_zone", ""))
    form = form_html(
        again, arranged(fields, doubts), "Read it again", token, stated, doubts, heading="Doubtful, and not guessed"
    )
    otherwise = ""
    if doubts:
        answer = (
            f'<p class="verdict">{counted(len(doubts), "thing")} cannot be told from the file. State it here, then '
            f"it can be stored.</p>{form}"
        )
    else:
        otherwise = f'<details class="more" id="otherwise"><summary>Read it otherwise</summary>{form}</details>'
        answer = '<p class="wrong" role="alert">There is no reading in it: nothing can be stored.</p>'
    if readings and not doubts:
        store_it = form_html(store, (), f"Store {counted(readings, 'reading')}", token, {}, {})
        answer = f'<p class="verdict">Nothing is doubtful. <b>{counted(readings, "reading")}</b> would be stored.</p>'
        answer += store_it
    return [
        f"<h1>{escaped(name)}</h1>",
        "<p>So it would be read. Nothing of it is stored yet.</p>",
        answer,
        _understood(document, assumed),
        _first(document, units, assumed) if document["readable"] else "",
        _vessels(document, units) if document["readable"] else "",
        aside_table(document, "would be set aside"),
        otherwise,
        '<p class="way"><a href="/import">Another file</a></p>',
    ]


def _understood(document: Document, assumed: str) -> str:
    mapping = document["mapping"]
    without = mapping.get("without", ())
    parts = [
        "no gravity" if "gravity" in without else f"gravity in {_UNITS.get(mapping['gravity'], '')}",
        "no temperature" if "temperature" in without else f"temperature in {_UNITS.get(mapping['temperature'], '')}",
        f"decimal {mapping['decimal']}",
        f"times as {times_say(mapping['times'])}",
        f"zone {mapping['zone'] or 'not stated'}{_ASSUMED if assumed else ''}",
    ]
    columns = [f"{role}: {' and '.join(names)}" for role, names in mapping.get("columns", {}).items()]
    said = [", ".join(parts), *(["Columns: " + "; ".join(columns)] if columns else [])]
    said += [f"{text[:1].upper()}{text[1:]}" for text in (*document["found"], *document["remarks"])]
    items = "".join(f"<li>{escaped(in_labels(text[:1].upper() + text[1:]))}</li>" for text in said)
    return part("understood", f"<ul>{items}</ul>", heading="As understood")


_ASSUMED = ", assumed from your settings"


def _first(document: Document, units: Units, assumed: str) -> str:
    mapping = document["mapping"]
    rows = [
        (
            _moment(row["at"], units), row["vessel"], row["sensor"],
            _value(row["gravity"], mapping["gravity"], units),
            _value(row["temperature"], mapping["temperature"], units),
        )
        for row in document["first"]
    ]  # fmt: skip
    apart = "" if mapping["zone"] else " (times as if in UTC where they have no offset)"
    if assumed:
        apart = f" (times in {assumed}{_ASSUMED})"
    return _table("first", f"Its first rows{apart}", ("Time", "Vessel", "Sensor", "Gravity", "Temperature"), rows)


def _vessels(document: Document, units: Units) -> str:
    rows = [
        (
            vessel["vessel"], f"{vessel['readings']}", _moment(vessel["from"], units), _moment(vessel["to"], units),
            "read once" if vessel["step_s"] is None else units.seconds(vessel["step_s"]),
            "; ".join(_notable(vessel, units)) or "none",
        )
        for vessel in document["vessels"]
    ]  # fmt: skip
    more = document["vessel_count"] - len(rows)
    left_out = f'<p class="beside">and {counted(more, "vessel")} more</p>' if more > 0 else ""
    heads = ("Vessel", "Readings", "From", "To", "Usually every", "Gaps and oddities")
    return _table("each", "Vessel by vessel", heads, rows, left_out)


def _notable(vessel: Document, units: Units) -> list[str]:
    said = []
    for gap in vessel["gaps"][:3]:
        seconds = (parse_instant(gap["to"]) - parse_instant(gap["from"])) / 1e6
        said.append(f"gap of {units.seconds(seconds)} from {_moment(gap['from'], units)}")
    if vessel["gap_count"] > 3:
        said.append(f"{counted(vessel['gap_count'] - 3, 'gap')} more")
    if vessel["repeated"]:
        said.append(f"{counted(vessel['repeated'], 'reading')} at an instant that has another")
    if vessel["unsorted"]:
        said.append("not in order of time, which does no harm")
    return said


def aside_table(document: Document, what: str) -> str:
    """The rows that are no readings: where each stands, what was seen there, and what was expected."""
    count = document["set_aside_count"]
    if not count:
        return ""
    rows = [
        (f"{row['line'] or row['place']}", row["column"], row["seen"], in_labels(row["expected"]))
        for row in document["set_aside"][:_MOST_ASIDE]
    ]
    more = f'<p class="beside">and {count - len(rows)} more</p>' if count > len(rows) else ""
    heads = ("Line", "Column", "Seen", "Expected")
    return _table("aside", f"{counted(count, 'row')} {what}", heads, rows, more)


def _table(name: str, heading: str, heads: Iterable[str], rows: Iterable[Iterable[str]], below: str = "") -> str:
    """A part with a table, which becomes a list of its rows where there is no room for it beside one another.

    Its roles are said, for a browser forgets them where cells are laid out as anything but cells.
    """
    labels = list(heads)
    head = "".join(f'<th scope="col" role="columnheader">{escaped(label)}</th>' for label in labels)
    body = "".join(f'<tr role="row">{_cells(labels, row)}</tr>' for row in rows)
    table = (
        f'<table class="rows" role="table"><thead role="rowgroup"><tr role="row">{head}</tr></thead>'
        f'<tbody role="rowgroup">{body}</tbody></table>'
    )
    return part(name, table + below, heading=heading)


def _cells(labels: Iterable[str], row: Iterable[str]) -> str:
    return "".join(
        f'<td role="cell" data-head="{escaped(label)}">{escaped(cell)}</td>'
        for label, cell in zip(labels, row, strict=True)
    )


def _moment(text: str, units: Units) -> str:
    return units.moment(parse_instant(text))


def _value(value: float | None, unit: str, units: Units) -> str:
    return "nothing" if value is None else f"{units.short(value)} {_UNITS[unit]}"
