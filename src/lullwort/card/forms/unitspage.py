"""In which units somebody reads and types: chosen for one browser."""

from __future__ import annotations

import difflib
import re
from collections.abc import Mapping
from functools import cache
from zoneinfo import available_timezones

from starlette.requests import Request
from starlette.responses import Response

from lullwort.card.commands.said import told_section
from lullwort.card.door.posted import posted
from lullwort.card.forms.doing import Doing
from lullwort.card.forms.form import Form, paragraph
from lullwort.card.pages.chosen import CHOSEN, as_text, choose, chosen_settings
from lullwort.card.pages.fields import Field
from lullwort.settings import Settings

__all__ = ["units_answer", "units_form"]

_BACK = re.compile(r"/(?:(?:vessel|batch)/[a-z0-9][a-z0-9._-]*)?")

_CHOICES: dict[str, tuple[str, tuple[tuple[str, str], ...]]] = {
    "gravity": ("Gravity", (("sg", "SG: {sg}"), ("plato", "°P: {plato}"), ("points", "points: 52"))),
    "temperature": ("Temperature", (("C", "°C"), ("F", "°F"))),
    "volume": ("Volume", (("L", "litres"), ("us-gal", "US gallons"), ("imp-gal", "imperial gallons"))),
    "carbonation": ("Carbonation", (("volumes", "volumes of CO2"), ("g/L", "g/L"))),
    "pressure": ("Pressure", (("bar", "bar"), ("psi", "psi"), ("kPa", "kPa"))),
    "weight": ("Weight of what is put in", (("g", "grams"), ("oz", "ounces"))),
    "decimal": ("Mark before decimals", (("point", "point, as in 1.052"), ("comma", "comma, as in 1,052"))),
}


async def units_answer(doing: Doing, request: Request) -> Response:
    """The form, or the way back with what was chosen kept by the browser."""
    chosen = chosen_settings(request, doing.settings)
    back = request.query_params.get("from", "/")
    form = units_form(chosen, back if _BACK.fullmatch(back) else "/")
    if request.method != "POST":
        return doing.shown(request, form)
    entered = (await posted(request)).values
    faults = form.faults(entered)
    if faults:
        return doing.shown(request, form, entered, faults)
    answer = doing.done(request, form.goes_on_to(entered), _KEPT)
    kept = {setting.name: entered[setting.name] for setting in CHOSEN if entered.get(setting.name)}
    choose(answer, kept, secure=request.url.scheme == "https")
    return answer


_KEPT = told_section("Chosen.", "This browser shows and takes those units from now on.")


def units_form(chosen: Settings, back: str) -> Form:
    """With what is chosen already."""
    units = chosen.units
    such = {"sg": units.number(1.052, 3), "plato": units.number(12.9, 1)}
    fields = [
        Field(name, label, choices=tuple((value, says.format(**such)) for value, says in choices))
        for name, (label, choices) in _CHOICES.items()
    ]
    zone = Field(
        "zone", "Time zone", hint="In which times are shown and typed, such as Europe/Berlin or UTC.",
        required=True, suggested=_zones(),
    )  # fmt: skip
    return Form(
        "Units",
        (),
        (*fields, zone),
        "Use these",
        "Chosen.",
        back,
        values={setting.name: as_text(setting, chosen) for setting in CHOSEN},
        lead=paragraph(
            "For this browser alone. What you type is taken in these units, too, and a unit of its own overrules them."
        ),
        refused=_refused,
    )


def _refused(entered: Mapping[str, str]) -> dict[str, str]:
    found = {}
    for setting in CHOSEN:
        text = entered.get(setting.name, "")
        try:
            setting.read(text)
        except (ValueError, KeyError):
            near = _near(text) if setting.name == "zone" else ""
            found[setting.name] = f"It is “{text}”, expected {setting.expects}{near}"
    return found


def _near(text: str) -> str:
    by_word = {word.lower(): zone for zone in _zones() for word in (zone, zone.rpartition("/")[2])}
    near = difflib.get_close_matches(text.lower().replace(" ", "_"), by_word, n=1, cutoff=0.6)
    return f"; did you mean {by_word[near[0]]}?" if near else ""


@cache
def _zones() -> tuple[str, ...]:
    """Those named by continent and town, and UTC."""
    towns = ("Africa/", "America/", "Asia/", "Atlantic/", "Australia/", "Europe/", "Indian/", "Pacific/")
    return ("UTC", *sorted(zone for zone in available_timezones() if zone.startswith(towns)))
