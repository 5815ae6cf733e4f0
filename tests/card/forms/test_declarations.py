"""Each field goes to an option or argument that the real command has, and each error of it stands beside its field."""

from __future__ import annotations

import re
from collections.abc import Callable
from functools import partial
from typing import Any

import click
import pytest

from lullwort.card.commands.said import faults_of
from lullwort.card.forms import Form
from lullwort.card.forms.closebatch import close_form
from lullwort.card.forms.editbatch import edit_form
from lullwort.card.forms.inunits import InUnits
from lullwort.card.forms.note import NOTED_KINDS, note_form
from lullwort.card.forms.openbatch import open_form
from lullwort.card.forms.sample import sample_form
from lullwort.card.forms.takeback import take_back_form
from lullwort.card.imports.stating import column_fields, options_of, refused, stating_fields
from lullwort.card.pages.chosen import CHOSEN, unit_options
from lullwort.cli.backfill import backfill
from lullwort.cli.batch import batch
from lullwort.cli.note import note
from lullwort.records import EVENT_KINDS, Event
from lullwort.science import to_sg

Desk = Any  # the fixture's class lives in conftest.py


def shown(form: Form) -> dict[str, str]:
    """What a browser posts of a form as it is first shown."""
    was = {f"was-{field.name}": form.values.get(field.name, "") for field in form.fields} if form.changes else {}
    return {field.name: form.values.get(field.name, "") for field in form.fields} | was


FORMS: dict[str, tuple[Any, click.Command]] = {
    "open": (open_form, batch.commands["open"]),
    "open here": (partial(open_form, vessel="north"), batch.commands["open"]),
    "edit": (partial(edit_form, name="north-1"), batch.commands["edit"]),
    "close": (partial(close_form, name="north-1"), batch.commands["close"]),
    "note": (partial(note_form, name="north-1"), note),
    "sample": (partial(sample_form, name="north-1"), note),
}


@pytest.mark.parametrize("called", FORMS)
def test_each_field_goes_to_an_option_or_argument_of_its_command(desk: Desk, called: str) -> None:
    made, command = FORMS[called]
    form = desk.form(made)
    options = {option for parameter in command.params for option in parameter.opts if option.startswith("--")}
    arguments = [p for p in command.params if isinstance(p, click.Argument)]
    assert command.name == form.command[-1]
    given = [field.option for field in form.fields if field.option.startswith("--")]
    assert set(given) <= options
    assert len(given) == len(set(given))
    assert {option.partition("=")[0] for option in unit_options(desk.settings)} == {s.flag for s in CHOSEN} <= options
    filled = [field.option for field in form.fields if field.option and not field.option.startswith("--")]
    assert [(argument.name or "").upper() for argument in arguments[len(form.arguments) :]] == filled
    assert len({field.name for field in form.fields}) == len(form.fields)
    # With what goes along unseen no form has more fields than are taken.
    assert 2 * len(form.fields) + 2 <= 60


def test_what_a_brewer_may_enter_of_a_batch_can_be_entered_here(desk: Desk) -> None:
    beside = {option.flag for option in CHOSEN} | {"--book", "--dry-run"}
    done = {"--moved", "--primed", "--filled"}  # nothing of it has been when a batch is opened
    for called in ("open", "edit", "close"):
        made, command = FORMS[called]
        options = {p.opts[0] for p in command.params if isinstance(p, click.Option)} - beside
        assert options - (done if called == "open" else set()) == {
            field.option for field in desk.form(made).fields if field.option.startswith("--")
        }


def test_each_kind_of_event_can_be_noted(desk: Desk) -> None:
    of_samples = {"sample", "forced test"}
    (kinds,) = (dict(field.choices) for field in desk.form(FORMS["sample"][0]).fields if field.name == "kind")
    assert set(kinds) == of_samples
    assert set(NOTED_KINDS) == set(EVENT_KINDS) - of_samples - {"packaged"}


OPEN = {"vessel": "south", "pitched": "2026-05-05T10:00"}
SAMPLE = {"gravity": "1.030", "at": "2026-05-07T10:00"}
ADDED = {"kind": "addition", "at": "2026-05-07T10:00"}
EARLY, LATE = "2020-01-01T10:00", "2099-01-01T10:00"

WRONG = [
    ("open", OPEN | {"vessel": "South 1"}, "vessel", "&#x27;south-1&#x27; was probably meant"),
    ("open", OPEN | {"vessel": ""}, "vessel", "missing"),
    ("open", OPEN | {"pitched": "yesterday"}, "pitched", "expected a time such as"),
    ("open", OPEN | {"vessel": "north", "pitched": "2026-05-04T18:00"}, "pitched", "at that very moment already"),
    ("open", OPEN | {"original_gravity": "1052"}, "original-gravity", "1.052 was probably meant"),
    ("open", OPEN | {"original_gravity": "12.9"}, "original-gravity", "if degrees Plato are meant, write 12.9P"),
    ("open", OPEN | {"volume": "5gal"}, "volume", 'or choose one under <a href="/units">Units</a>'),
    ("open", OPEN | {"volume": "much"}, "volume", "expected a volume such as 19L"),
    ("open", OPEN | {"name": "My beer"}, "name", "expected an id"),
    ("open", OPEN | {"final_gravity": "low"}, "final-gravity", "expected one gravity or two"),
    ("open", OPEN | {"original_gravity": "1.05", "final_gravity": "1.06"}, "final-gravity", "are the two swapped?"),
    ("open", OPEN | {"attenuation": "a lot"}, "attenuation", "expected a number"),
    ("open", OPEN | {"forced_test": "3"}, "forced-test", "expected a specific gravity"),
    ("open", OPEN | {"yeast_min": "64F", "yeast_max": "10"}, "yeast-min", "is not below “The yeast suffers above”"),
    ("open", OPEN | {"yeast_max": "200"}, "yeast-max", "expected -5 to 45 °C"),
    ("open", OPEN | {"steady": "warm"}, "steady", "expected a number"),
    ("open", OPEN | {"read_at": "20"}, "read-at", "goes with “Original gravity”"),
    ("open", OPEN | {"original_gravity": "1.05", "read_at": "45"}, "read-at", "let it cool"),
    ("open", OPEN | {"original_gravity": "1.05", "with": "prism"}, "original-gravity", "is a refractometer"),
    ("open", OPEN | {"caution": "reckless"}, "caution", "one of those in the list"),
    ("edit", {"hold_window": "two days"}, "hold-window", "expected a number"),
    ("edit", {"hold_window": "5"}, "hold-window", "expected a whole number from 24 to 168 h"),
    ("edit", {"tolerance": "0.5"}, "tolerance", "write 0.5pt where points are meant"),
    ("edit", {"interval": "-1"}, "interval", "expected a number from 0.01 to 48 h"),
    ("edit", {"target": "47"}, "target", "expected carbon dioxide such as"),
    ("edit", {"limit": "50"}, "limit", "was 50psi meant?"),
    ("edit", {"losses": "30"}, "losses", "leaves nothing of “Volume in the vessel”"),
    ("edit", {"bottles": "24"}, "bottles", "so many bottles of which size?"),
    ("edit", {"volume": ""}, "volume", "not taken back"),
    ("edit", {}, "", "Nothing was changed"),
    ("close", {"known": ""}, "known", "Tick it"),
    ("close", {"packaged": LATE}, "packaged", "It lies in the future"),
    ("close", {"packaged": EARLY}, "packaged", "It lies before the pitch"),
    ("close", {"moved": "100"}, "moved", "is its unit right?"),
    ("close", {"moved": "18", "primed": "4", "sugar": "sucrose"}, "primed", "write 4oz, or 4g where that is meant"),
    ("close", {"primed": "118"}, "primed", "goes with “Primed with”: what was it?"),
    ("close", {"primed": "two cups", "sugar": "sucrose"}, "primed", "so weigh it"),
    ("close", {"filled": "500x330mL"}, "filled", "is more than there was to fill"),
    ("note", {"kind": ""}, "kind", "missing"),
    ("note", {"kind": "rouse", "at": LATE}, "at", "It lies in the future"),
    ("note", {"kind": "rouse", "at": EARLY}, "at", "at that time"),
    ("note", {"kind": "remark"}, "words", "what is worth remembering?"),
    ("note", ADDED, "added", "an amount, or points"),
    ("note", ADDED | {"added": "500 blah"}, "added", "is not known; expected one of"),
    ("note", ADDED | {"added": "500g sugar", "into": "some"}, "into", "expected a volume such as"),
    ("note", ADDED | {"points": "500"}, "points", "expected a number from -60 to 100 points"),
    ("note", ADDED | {"points": "5", "added": "500g sugar"}, "points", "do not go together"),
    ("note", {"kind": "rouse", "added": "500g sugar"}, "added", "goes with an addition, not with a rouse"),
    ("sample", SAMPLE | {"gravity": ""}, "gravity", "missing"),
    ("sample", SAMPLE | {"gravity": "30"}, "gravity", "if degrees Plato are meant, write 30P"),
    ("sample", SAMPLE | {"gravity": "1.18"}, "gravity", "outside what an ordinary hydrometer shows"),
    ("sample", SAMPLE | {"with": "prism"}, "gravity", "such as 6.2Bx"),
    ("sample", SAMPLE | {"temperature": "68"}, "temperature", "if 68 °F are meant, write 68F"),
    ("sample", SAMPLE | {"calibrated": "60"}, "calibrated", "60F was probably meant"),
    ("sample", SAMPLE | {"calibrated": "20", "with": "long"}, "calibrated", "that is not on record"),
    ("sample", SAMPLE | {"at": EARLY}, "at", "before the pitch"),
    ("sample", SAMPLE | {"at": "2026-05-04T10:00"}, "at", "correct the entries</a> corrects that"),
    ("sample", SAMPLE | {"kind": "forced test", "gravity": "1.06"}, "gravity", "is not below the original gravity"),
]


SEVERAL: list[tuple[str, dict[str, str]]] = [
    (
        "open",
        {"vessel": "South 1", "pitched": "yesterday", "original-gravity": "1052", "volume": "much", "yeast-max": "200",
         "attenuation": "a lot", "hold-window": "1.5", "target": "47", "losses": "some", "bottles": "24"},
    ),
    ("open", {"vessel": "south", "original-gravity": "1.05", "read-at": "hot", "yeast-min": "x", "name": "My beer"}),
    ("edit", {"final-gravity": "low", "tolerance": "0.5", "interval": "-1", "yeast-max": "200", "target": "47"}),
    ("close", {"packaged": LATE, "moved": "100", "primed": "two cups", "filled": "some", "known": "yes"}),
    ("note", {"kind": "addition", "at": "yesterday", "added": "500 blah", "into": "some"}),
    ("sample", {"at": LATE, "gravity": "30", "temperature": "68", "calibrated": "60"}),
]  # fmt: skip


@pytest.mark.parametrize(("called", "typed"), SEVERAL, ids=[f"{called}-{len(typed)}" for called, typed in SEVERAL])
def test_all_that_is_wrong_is_told_at_once(desk: Desk, called: str, typed: dict[str, str]) -> None:
    before = desk.batch()
    _, faults = desk.enter(desk.form(FORMS[called][0]), **typed)
    right = {"kind", "known"} | ({"vessel"} if typed.get("vessel") == "south" else set())
    if typed.get("original-gravity") == "1.05":
        right.add("original-gravity")
    assert set(faults) == set(typed) - right
    assert desk.batch() == before


def test_what_is_missing_does_not_hide_what_else_is_wrong(desk: Desk) -> None:
    for called, typed, missing in (
        ("open", {"volume": "much"}, "vessel"),
        ("close", {"moved": "100", "packaged": LATE}, "known"),
        ("note", {"at": LATE}, "kind"),
        ("sample", {"temperature": "68"}, "gravity"),
    ):
        form = desk.form(FORMS[called][0])
        entered = shown(form) | typed
        faults = form.faults(entered)
        assert set(faults) == {missing}
        ran = desk.run(form.words(form.without(entered, faults), unit_options(desk.settings), trial=True))
        assert set(faults_of(ran, form.fields, form.batch)) == set(typed)


def test_a_trial_finds_nothing_wrong_and_enters_nothing(desk: Desk) -> None:
    before = desk.batch()
    for called, typed in (
        ("open", OPEN), ("edit", {"volume": "18"}), ("close", {"packaged": "2026-05-20T10:00", "known": "yes"}),
        ("note", {"kind": "rouse", "at": "2026-05-07T10:00"}), ("sample", SAMPLE),
    ):  # fmt: skip
        form = desk.form(FORMS[called][0])
        assert desk.run(form.words(shown(form) | typed, unit_options(desk.settings), trial=True)).code == 0
    with desk.opened() as book:
        assert book.batches.all() == [before]


@pytest.mark.parametrize(("called", "typed", "beside", "says"), WRONG, ids=lambda value: str(value)[:60])
def test_what_is_wrong_stands_beside_its_field(
    desk: Desk, called: str, typed: dict[str, str], beside: str, says: str
) -> None:
    known = {"packaged": "2026-05-20T10:00", "known": "yes"} if called == "close" else {}
    ran, faults = desk.enter(desk.form(FORMS[called][0]), **(known | typed))
    assert list(faults) == [beside], (ran, faults)
    assert says in faults[beside]
    assert "--" not in faults[beside]
    assert "`" not in faults[beside]
    assert faults[beside].strip()[0] not in "abdefgijklmopqruvwxyz" or faults[beside].startswith("north-1")


def test_a_refusal_that_is_about_no_field_stands_alone_and_links_to_what_corrects_it(desk: Desk) -> None:
    form = desk.form(open_form)
    assert desk.enter(form, **OPEN, name="s-1", original_gravity="1.05")[1] == {}
    _, faults = desk.enter(form, **OPEN, name="s-1", original_gravity="1.06")
    assert list(faults) == [""]
    assert "original gravity is 1.0500 on record, 1.0600 now" in faults[""]
    assert '<a href="/batch/s-1/edit">correct the entries</a> changes that' in faults[""]


def test_what_is_typed_is_taken_in_the_units_that_are_shown(desk_in: Callable[..., Desk]) -> None:
    desk = desk_in(gravity="plato", temperature="F", volume="us gal", decimal="comma", zone="Europe/Berlin")
    assert desk.enter(desk.form(open_form), **OPEN, original_gravity="12,9", volume="5", yeast_min="60,8")[1] == {}
    batch = desk.batch("south-2026-05-05")
    assert batch.original_gravity == pytest.approx(to_sg(12.9, "plato"))
    assert batch.volume_l == pytest.approx(5 * 3.785411784)  # the US gallon by definition: 231 cubic inches
    assert batch.yeast_min_c == pytest.approx(16.0)
    assert batch.pitched_us == 1_777_968_000_000_000  # 2026-05-05T08:00Z, for Berlin is two hours ahead in May
    form = desk.form(partial(edit_form, name=batch.name))
    assert form.values["original-gravity"] == "12,90 °P"
    assert form.values["volume"] == "5,00 US gal"


def test_a_bare_number_of_a_refractometer_is_in_brix(desk: Desk) -> None:
    form = desk.form(FORMS["sample"][0])
    ran, faults = desk.enter(form, **{**SAMPLE, "gravity": "6,2", "with": "any refractometer"})
    assert (ran.code, faults) == (0, {})
    assert [event.brix for event in desk.batch().events] == [6.2]


def test_only_what_was_changed_is_entered_and_what_is_emptied_of_packaging_day_is_taken_back(desk: Desk) -> None:
    made = FORMS["edit"][0]
    ran, faults = desk.enter(desk.form(made), target="2.4", container="keg", bottles="24x330mL", recipe="Pale")
    assert faults == {}
    before = desk.batch()
    form = desk.form(made)
    entered = {"target": "", "bottles": "", "yeast_max": "24"}
    ran, faults = desk.enter(form, **entered)
    assert faults == {}, ran
    after = desk.batch()
    assert (after.packaging_day.target_g_l, after.packaging_day.bottles) == (None, ())
    assert (after.yeast_max_c, after.recipe, after.packaging_day.container) == (24.0, "Pale", "keg")
    # Nothing that was only shown, and shown rounded, went back.
    assert after.original_gravity == before.original_gravity
    assert after.tolerance == before.tolerance


def test_a_closed_batch_is_dated_anew_and_keeps_the_rest(desk: Desk) -> None:
    made, filled = FORMS["close"][0], {"moved": "17.5", "filled": "50x330mL", "known": "yes"}
    assert desk.enter(desk.form(made), packaged="2026-05-20T10:00", **filled)[1] == {}
    form = desk.form(made)
    assert form.title == "Date the packaging of north-1 anew"
    assert form.values["packaged"] == "2026-05-20T10:00"
    ran, faults = desk.enter(form, packaged="2026-05-21T09:30", known="yes")
    assert faults == {}, ran
    closed = desk.batch()
    assert closed.packaged_us == 1_779_355_800_000_000  # 2026-05-21T09:30Z
    assert closed.packaging_day.moved_l == 17.5
    # Sent as it was shown it is dated as it was, not now.
    ran, faults = desk.enter(desk.form(made), known="yes")
    assert desk.batch().packaged_us == closed.packaged_us


def test_lines_of_an_addition_are_things_of_their_own(desk: Desk) -> None:
    ran, faults = desk.enter(desk.form(FORMS["note"][0]), **ADDED, added="500g sugar\n\n 2kg fruit 12%")
    assert faults == {}, ran
    assert "sucrose" in desk.batch().events[0].note
    assert "fruit" in desk.batch().events[0].note


def test_what_was_typed_never_becomes_an_option(desk: Desk) -> None:
    form = desk.form(FORMS["note"][0])
    for words in ("--remove", "-h", "--", "a=b --at=now"):
        ran, faults = desk.enter(form, kind="remark", words=words, at="2026-05-07T10:00")
        assert (ran.code, faults) == (0, {})
    assert sorted(event.note for event in desk.batch().events) == sorted(["--remove", "-h", "--", "a=b --at=now"])
    ran, faults = desk.enter(desk.form(open_form), **{**OPEN, "vessel": "--help"})
    assert list(faults) == ["vessel"]


LIKE_OPTIONS = ("--help", "-h", "--", "--book=/elsewhere", "a --at=now", "-5", "--remove\n--at=now")


def parsed(command: click.Command, words: list[str]) -> tuple[dict[str, Any], list[str]]:
    """What the command takes for its options, by parameter, and for its arguments, before it looks at their values."""
    options, arguments, _ = command.make_parser(click.Context(command)).parse_args(list(words))
    return options, arguments


@pytest.mark.parametrize("called", FORMS)
def test_nothing_typed_into_any_field_becomes_an_option(desk: Desk, called: str) -> None:
    made, command = FORMS[called]
    form = desk.form(made)
    units = unit_options(desk.settings)
    names = {option: p.name for p in command.params for option in p.opts}
    always, _ = parsed(command, [*units])
    filled = {field.name: field.choices[0][0] if field.choices else "" for field in form.fields}
    for field in form.fields:
        for typed in LIKE_OPTIONS:
            entered = filled | {field.name: typed}
            if field.choices or field.kind == "box":
                assert form.faults(entered)[field.name], (field.name, typed)
                continue
            own = {names[field.option]} if field.option.startswith("--") else set()
            usual, _ = parsed(command, form.words(filled, units)[len(form.command) :])
            options, arguments = parsed(command, form.words(entered, units)[len(form.command) :])
            assert set(options) - set(usual) - set(always) <= own, (field.name, typed, options)
            lines = typed.splitlines() if field.each_line else [typed]
            taken = [one for value in options.values() for one in (value if isinstance(value, list) else [value])]
            assert not field.option or all(one in taken for one in lines), (field.name, typed)
            assert arguments == []


def test_nothing_stated_of_a_log_becomes_an_option() -> None:
    fields = (*stating_fields(["keller"]), *column_fields(["#1 time"]))
    known = {option for p in backfill.params for option in (*p.opts, *p.secondary_opts)}
    for field in fields:
        for typed in LIKE_OPTIONS:
            if field.choices:
                assert refused(fields, {field.name: typed})[field.name], (field.name, typed)
                continue
            words = options_of({field.name: typed})
            assert {word.partition("=")[0] for word in words} == {field.option} <= known
            options, arguments = parsed(backfill, ["--json", *words, "--", "log.csv"])
            assert (arguments, options.pop("files")) == ([], ("log.csv",))
            (taken,) = (value for name, value in options.items() if name != "as_json")
            assert taken == (typed.splitlines() if field.rows else typed)


@pytest.mark.parametrize(
    ("typed", "says"),
    [
        ({"words": "a\x00b"}, "nobody types"),
        ({"words": "\udcff"}, "nobody types"),
        ({"words": "x" * 5000}, "4000"),
        ({"at": "2" * 400}, "300"),
    ],
)
def test_what_no_command_could_take_is_not_given_to_one(desk: Desk, typed: dict[str, str], says: str) -> None:
    ran, faults = desk.enter(desk.form(FORMS["note"][0]), kind="rouse", **typed)
    assert ran is None
    assert says in faults[next(iter(typed))]


def test_each_note_is_taken_back_even_beside_one_of_the_same_minute(desk: Desk) -> None:
    sample = desk.form(FORMS["sample"][0])
    for gravity in ("1.0301", "1.0297"):
        assert desk.enter(sample, gravity=gravity, temperature="20.5", at="2026-05-07T10:00")[1] == {}
    assert desk.enter(desk.form(FORMS["note"][0]), kind="rouse", words="with 'quotes'", at="2026-05-07T10:00")[1] == {}
    left = list(desk.batch().events)
    while left:
        event: Event = left.pop()
        which = note_address_of(desk, event)
        ran, faults = desk.enter(desk.form(partial(take_back_form, name="north-1", which=which)))
        assert (ran.code, faults) == (0, {}), ran
        assert list(desk.batch().events) == left


def note_address_of(desk: Desk, event: Event) -> str:
    from lullwort.card.forms.takeback import take_back_address

    address = take_back_address(desk.batch(), event)
    assert address in desk.form(FORMS["note"][0]).tail
    return address.partition("which=")[2]


def begun(desk: Desk, called: str, *given: tuple[str, str]) -> Any:
    form = desk.form(FORMS[called][0])
    return form.begun(given, InUnits.of(desk.settings).moment)


def test_a_link_hands_over_first_values_in_the_zone_of_the_page(desk_in: Callable[..., Desk]) -> None:
    form = begun(desk_in(zone="Europe/Berlin"), "close", ("packaged", "2026-05-01T18:00:00Z"))
    assert form.first == {"packaged": "2026-05-01T20:00"}
    assert 'value="2026-05-01T20:00"' in "".join(form.body("/x", "token", "once", None, {}))


def test_what_no_form_could_have_posted_begins_none(desk: Desk) -> None:
    assert begun(desk, "close", ("packaged", "when it was"), ("known", "yes"), ("nothing", "x")).first == {}
    assert begun(desk, "open", ("reported", "twice"), ("recipe", "x" * 301)).first == {}
    assert begun(desk, "open", ("name", "a\x00"), ("volume", "")).first == {}
    assert begun(desk, "open", ("pitched", "9999-12-31T23:59:59-12:00")).first == {}
    given = ("reported", "corrected"), ("steady", "19.5C")
    assert begun(desk, "open", *given).first == dict(given)


def test_what_a_link_hands_over_counts_as_changed_and_does_not_lie_folded_up(desk: Desk) -> None:
    form = begun(desk, "edit", ("steady", "19.5C"))
    body = "".join(form.body("/x", "token", "once", None, {}))
    assert 'name="was-steady" value=""' in body
    (folded,) = re.findall(r"<details[^>]* open>(?:(?!</details>).)*</details>", body, re.DOTALL)
    assert 'name="steady"' in folded
    entered = {**form.values, **{f"was-{name}": value for name, value in form.values.items()}, **form.first}
    assert form.words(entered, [])[:3] == ["batch", "edit", "--steady-temperature=19.5C"]
    asked = "".join(begun(desk, "edit", ("show", "steady")).body("/x", "token", "once", None, {}))
    assert len(re.findall("<details[^>]* open>", asked)) == 1
    assert "<details open" not in "".join(begun(desk, "edit").body("/x", "token", "once", None, {}))


def test_what_is_handed_over_is_text_and_nothing_else(desk: Desk) -> None:
    body = "".join(begun(desk, "open", ("recipe", '"><script>')).body("/x", "token", "once", None, {}))
    assert "<script>" not in body
    assert "&quot;&gt;&lt;script&gt;" in body


def test_closing_leads_on_to_what_else_may_be_meant(desk: Desk) -> None:
    lead = desk.form(FORMS["close"][0]).lead
    assert re.findall('href="([^"]+)"', lead) == ["/batch/north-1/edit", "/vessel/north/open"]


def test_a_form_for_what_is_not_there_is_none(desk: Desk) -> None:
    for made in (
        partial(open_form, vessel="No vessel"),
        partial(edit_form, name="nobody"),
        partial(close_form, name="nobody"),
        partial(note_form, name="nobody"),
        partial(sample_form, name="nobody"),
        partial(take_back_form, name="north-1", which="00"),
    ):
        with pytest.raises(AssertionError):
            desk.form(made)
