"""What is proposed for files that nobody described, and what is left for a person to say. All files are invented."""

from __future__ import annotations

from pathlib import Path

import pytest

from lullwort.collector import Mapping, Proposal, open_log, propose_mapping
from lullwort.errors import SourceError, UsageError
from lullwort.records import format_utc

DAYS = range(1, 20)
GERMAN = "Kellerbuch;;;\nDatum;Uhrzeit;Restextrakt [°P];Temp. °C;Bemerkung\n" + "".join(
    f"{day:02d}.03.2026;18:30;{12 - day // 3},{day % 3};19,5;\n" for day in DAYS
)
AMERICAN = "Date,Time,Gravity,Temp (F),Battery (V)\n" + "".join(
    f"3/{day}/2026,6:30 PM,{1.052 - day / 500:.3f},67.{day % 10},3.9\n" for day in DAYS
)


def proposed(tmp_path: Path, content: str | bytes, stated: Mapping | None = None) -> Proposal:
    path = tmp_path / "log.csv"
    path.write_bytes(content if isinstance(content, bytes) else content.encode())
    return propose_mapping(path, stated or Mapping())


def doubtful(proposal: Proposal) -> list[str]:
    return [doubt.field for doubt in proposal.doubts]


def test_a_german_export_is_understood_but_for_vessel_and_zone(tmp_path: Path) -> None:
    proposal = proposed(tmp_path, GERMAN)
    mapping = proposal.mapping
    assert mapping.columns == {
        "time": ("Datum", "Uhrzeit"), "gravity": ("Restextrakt [°P]",), "temperature": ("Temp. °C",)
    }  # fmt: skip
    assert (mapping.times, mapping.gravity, mapping.temperature, mapping.decimal) == ("dmy", "plato", "C", "comma")
    assert (mapping.delimiter, mapping.skip_lines) == ("semicolon", 1)
    assert doubtful(proposal) == ["vessel", "zone"]


def test_a_title_as_wide_as_the_table_is_no_header(tmp_path: Path) -> None:
    proposal = proposed(tmp_path, "Keller Haus 2;;;;\n;;;;\n" + GERMAN.partition("\n")[2])
    assert proposal.mapping.skip_lines == 2
    assert proposal.mapping.columns["gravity"] == ("Restextrakt [°P]",)


def test_an_american_export_is_understood_but_for_vessel_and_zone(tmp_path: Path) -> None:
    proposal = proposed(tmp_path, AMERICAN)
    mapping = proposal.mapping
    assert (mapping.times, mapping.gravity, mapping.temperature) == ("mdy", "sg", "F")
    assert mapping.columns["battery"] == ("Battery (V)",)
    assert doubtful(proposal) == ["vessel", "zone"]


def test_what_is_proposed_and_settled_can_be_read(tmp_path: Path) -> None:
    stated = Mapping(vessel="west", zone="America/Chicago")
    mapping = proposed(tmp_path, AMERICAN, stated).mapping
    with open_log(tmp_path / "log.csv", mapping) as log:
        ((block, aside), *_) = list(log.blocks())
    assert aside == []
    assert len(block) == len(DAYS)
    # Standard time until the second Sunday of March, 8 March 2026: 15 U.S.C. 260a.
    assert format_utc(int(block.at_us[0])) == "2026-03-02T00:30:00Z"
    assert format_utc(int(block.at_us[-1])) == "2026-03-19T23:30:00Z"


def test_dates_of_which_day_and_month_both_fit_are_not_guessed(tmp_path: Path) -> None:
    text = "time,vessel,gravity,temperature\n" + "".join(f"03/0{d}/2026 10:00,north,1.050,20\n" for d in range(1, 9))
    proposal = proposed(tmp_path, text, Mapping(zone="UTC"))
    assert doubtful(proposal) == ["times"]
    assert "--times dmy or --times mdy" in str(proposal.doubts[0])
    with (
        pytest.raises(UsageError, match="--times dmy or --times mdy"),
        open_log(tmp_path / "log.csv", Mapping(zone="UTC")),
    ):
        pass


@pytest.mark.no_cover
def test_one_day_beyond_the_twelfth_far_down_settles_the_order(tmp_path: Path) -> None:
    rows = ["03/04/2026 10:00,north,1.050,20\n"] * 5000 + ["03/14/2026 10:00,north,1.050,20\n"]
    text = "time,vessel,gravity,temperature\n" + "".join(rows)
    proposal = proposed(tmp_path, text, Mapping(zone="UTC"))
    assert (proposal.mapping.times, proposal.doubts) == ("mdy", ())


@pytest.mark.parametrize(
    ("gravities", "unit", "fields"),
    [
        (("1052", "1031", "1012"), "sg_1000", ["gravity"]),
        (("12.9", "7.0", "3.1"), "plato", ["gravity"]),
        (("52", "51", "50", "31", "12"), "points", []),
        (("12.9", "12.8", "7.0", "3.1", "1.1", "1.1"), "plato", ["gravity"]),
        (("1.052", "1.031", "1.012"), "sg", []),
        (("0", "0", "1.012"), "sg", []),
        (("400", "410", "420"), None, []),
    ],
)
def test_the_unit_of_gravity_is_found_where_only_one_fits(
    tmp_path: Path, gravities: tuple[str, ...], unit: str | None, fields: list[str]
) -> None:
    rows = [f"2026-03-0{i}T10:00Z,north,{gravity},20" for i, gravity in enumerate(gravities, start=1)]
    proposal = proposed(tmp_path, "\n".join(["time,vessel,gravity,temperature", *rows]))
    assert (proposal.mapping.gravity, doubtful(proposal)) == (unit, fields)


@pytest.mark.parametrize(
    ("temperature", "unit", "fields"),
    [
        ("19.5", "C", []),
        ("68.1", "F", []),
        ("293.1", "K", []),
        ("42", "C", ["temperature"]),
        ("36.5", "C", ["temperature"]),
    ],
)
def test_the_unit_of_temperature_likewise(tmp_path: Path, temperature: str, unit: str, fields: list[str]) -> None:
    text = f"time,vessel,gravity,temperature\n2026-03-01T10:00Z,north,1.050,{temperature}\n"
    proposal = proposed(tmp_path, text)
    assert (proposal.mapping.temperature, doubtful(proposal)) == (unit, fields)


@pytest.mark.parametrize(
    ("row", "option"),
    [
        ("2026-03-01T10:00Z,north,1052,20", "--log-gravity sg_1000 or --log-gravity kg_m3"),
        ("2026-03-01T10:00Z,north,12.9,20", "--log-gravity plato or --log-gravity points"),
        ("2026-03-01T10:00Z,north,1.052,68", "--log-temperature F"),
        ("2026-03-01 10:00,north,1.052,20", "--zone"),
        ("13.03.2026 10:00,north,1.052,20", "--times dmy"),
        ("1772442000,north,1.052,20", "--times unix"),
    ],
)
def test_a_readings_file_that_does_not_fit_is_refused_with_the_option_that_settles_it(
    tmp_path: Path, row: str, option: str
) -> None:
    path = tmp_path / "log.csv"
    path.write_text(f"time,vessel,gravity,temperature\n{row}\n{row}\n")
    with pytest.raises(UsageError, match=option), open_log(path, Mapping()):
        pass


@pytest.mark.parametrize(
    ("time", "form"),
    [("1772442000", "unix"), ("1772442000000", "unix-ms"), ("46083.375", "serial"), ("20260302", "ymd")],
)
def test_numbers_that_are_times_are_known_by_their_size(tmp_path: Path, time: str, form: str) -> None:
    text = f"time,vessel,gravity,temperature\n{time},north,1.050,20\n"
    assert proposed(tmp_path, text, Mapping(zone="UTC")).mapping.times == form


def test_words_and_absurd_numbers_that_come_again_stand_for_nothing(tmp_path: Path) -> None:
    rows = ["2026-03-01T10:00Z,north,1.050,20", *["2026-03-01T11:00Z,north,NA,-999"] * 3]
    proposal = proposed(tmp_path, "\n".join(["time,vessel,gravity,temperature", *rows]))
    assert set(proposal.mapping.missing) == {"NA", "-999"}


def test_a_two_digit_year_may_come_first(tmp_path: Path) -> None:
    rows = [f"26-03-{day:02d} 09:00,north,1.050,20" for day in DAYS]
    proposal = proposed(tmp_path, "\n".join(["time,vessel,gravity,temperature", *rows]), Mapping(zone="UTC"))
    assert "--times ymd or --times dmy" in str(proposal.doubts[0])


def test_a_value_with_its_unit_does_not_stand_for_nothing(tmp_path: Path) -> None:
    rows = [f"2026-03-{day:02d}T09:00Z,north,1.050,18.5C" for day in DAYS]
    proposal = proposed(tmp_path, "\n".join(["time,vessel,gravity,temperature", *rows]))
    assert proposal.mapping.missing == ()


@pytest.mark.parametrize(
    ("header", "row", "says"),
    [
        ("time,vessel,gravity,Temp (°C)", "1.05,68", "does not fit C: state --log-temperature F"),
        ("time,vessel,Plato,temperature", "1.05,20", "does not fit plato: state --log-gravity sg"),
        ("time,vessel,temperature,gravity", "1.05,20", "which looks like SG: state --column temperature=NAME"),
        ("time,vessel,gravity,temperature,battery", "1.05,20,87", "battery"),
        ("time,Fermenter,gravity,temperature", "1.05,20", "tells 2 vessels or sensors apart"),
        ("time,vessel,gravity,temp,tank temp", "1.05,20,18", "2 columns may be the temperature"),
        ("measured,vessel,gravity,temperature,received time", "1.05,20,2026-03-09T10:00Z", "2 columns may be the time"),
        ("time,vessel,Gravity,Corrected Gravity,temperature", "1.05,1.049,20", "2 columns may be the gravity"),
    ],
)
def test_what_may_be_meant_otherwise_is_asked_about(tmp_path: Path, header: str, row: str, says: str) -> None:
    rows = [f"2026-03-{day:02d}T09:00Z,{'ab'[day % 2]},{row}" for day in DAYS]
    stated = Mapping(vessel="one") if "Fermenter" in header else Mapping()
    proposal = proposed(tmp_path, "\n".join([header, *rows]), stated)
    told = " ".join(map(str, proposal.doubts)) + " ".join(proposal.found)
    assert says in told
    if says != "battery":
        assert len(proposal.doubts) == (2 if "looks like SG" in says else 1)
    else:
        assert (proposal.mapping.battery, proposal.doubts) == ("%", ())


def test_decimal_commas_in_quotes_and_commas_between(tmp_path: Path) -> None:
    rows = [f'{day:02d}.03.2026 09:00,"1,0{50 - day}","19,5"' for day in DAYS]
    proposal = proposed(tmp_path, "\n".join(["Zeit,SG,Temp °C", *rows]), Mapping(zone="UTC", vessel="west"))
    assert (proposal.doubts, proposal.mapping.decimal, proposal.mapping.delimiter) == ((), "comma", "comma")


def test_milliseconds_are_not_taken_for_years(tmp_path: Path) -> None:
    path = tmp_path / "log.csv"
    path.write_text("time,vessel,gravity,temperature\n1712110800000,north,1.05,20\n")
    with pytest.raises(UsageError, match="--times unix-ms"), open_log(path, Mapping()):
        pass


def test_an_option_overrules_a_header_that_lies(tmp_path: Path) -> None:
    text = "time,vessel,gravity,temperature [°C]\n2026-03-01T10:00Z,north,1.050,68\n"
    assert proposed(tmp_path, text, Mapping(temperature="F")).mapping.temperature == "F"


def test_names_are_made_ids_and_that_is_told(tmp_path: Path) -> None:
    rows = [f"2026-03-{day:02d}T09:00Z,Bucket {day % 2},1.05,20" for day in DAYS]
    proposal = proposed(tmp_path, "\n".join(["time,Fermenter,gravity,temperature", *rows]))
    assert "names are made ids, as 'bucket-0' of 'Bucket 0'" in proposal.found
    with open_log(tmp_path / "log.csv", proposal.mapping) as log:
        assert {vessel for block, _ in log.blocks() for vessel in block.vessels} == {"bucket-0", "bucket-1"}


def test_hours_that_never_pass_twelve_are_a_question(tmp_path: Path) -> None:
    rows = [f"3/{day}/2026 {hour}:30,north,1.05,20" for day in DAYS for hour in (12, *range(1, 12)) * 2]
    proposal = proposed(tmp_path, "\n".join(["time,vessel,gravity,temperature", *rows]), Mapping(zone="UTC"))
    assert "as if AM and PM were missing" in str(proposal.doubts[0])


def test_dates_in_two_orders_fit_none(tmp_path: Path) -> None:
    rows = [f"{date} 09:00,north,1.05,20" for date in ["03/14/2026"] * 20 + ["14/03/2026"] * 3]
    proposal = proposed(tmp_path, "\n".join(["time,vessel,gravity,temperature", *rows]), Mapping(zone="UTC"))
    assert "dates fit no one order" in str(proposal.doubts[0])


def test_several_columns_for_one_thing_are_a_question(tmp_path: Path) -> None:
    text = "time,vessel,gravity,Temp beer,Temp room\n2026-03-01T10:00Z,north,1.050,20,18\n"
    proposal = proposed(tmp_path, text)
    assert doubtful(proposal) == ["columns"]
    assert "--column temperature='Temp beer' or --column temperature='Temp room'" in str(proposal.doubts[0])


def test_a_file_without_names_is_shown_by_its_columns(tmp_path: Path) -> None:
    proposal = proposed(tmp_path, "1772442000 1.050 20.1\n1772445600 1.049 20.2\n")
    assert not proposal.readable
    assert proposal.columns == ("#1 such as '1772442000'", "#2 such as '1.050'", "#3 such as '20.1'")
    stated = Mapping(
        columns={"time": ("#1",), "gravity": ("#2",), "temperature": ("#3",)},
        header=False,
        times="unix",
        vessel="north",
    )
    assert proposed(tmp_path, "1772442000 1.050 20.1\n1772445600 1.049 20.2\n", stated).doubts == ()


@pytest.mark.parametrize("encoding", ["utf-16", "windows-1252"])
def test_other_encodings_are_read_where_stated_and_named_where_not(tmp_path: Path, encoding: str) -> None:
    content = GERMAN.encode(encoding)
    with pytest.raises(SourceError, match=f"--encoding {encoding}"):
        proposed(tmp_path, content)
    stated = Mapping(encoding=encoding, vessel="west", zone="Europe/Berlin")  # type: ignore[arg-type]
    proposal = proposed(tmp_path, content, stated)
    assert proposal.mapping.gravity == "plato"
    with open_log(tmp_path / "log.csv", proposal.mapping) as log:
        assert sum(len(block) for block, _ in log.blocks()) == len(DAYS)
