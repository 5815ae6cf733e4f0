"""What a brewer is told of a hand sample: what it says once corrected, the rule of thumb beside it, what it costs."""

from __future__ import annotations

from collections.abc import Iterator

from lullwort.analysis import (
    SAMPLE_EXPLAINED,
    GravityCorrection,
    HandReading,
    hand_reading,
    instrument_of,
    is_wort_sample,
)
from lullwort.cli.explaining import say_explained
from lullwort.cli.lines import say
from lullwort.cli.sampledoubts import doubts
from lullwort.cli.shownunits import local_day, units_of
from lullwort.collector import SCALE_UNIT
from lullwort.detector import Units, value_range
from lullwort.errors import OutOfRangeError
from lullwort.packaging_day import estimated
from lullwort.records import Batch, Event, Instrument
from lullwort.science import (
    CALIBRATION_60F_C,
    HYDROMETER_EXPLAINED,
    HYDROMETER_RULE_EXPLAINED,
    REFRACTOMETER_EXPLAINED,
    hydrometer_rule_points,
)
from lullwort.settings import Settings
from lullwort.units import from_celsius

__all__ = ["error_said", "forced_test_told", "made_for", "tell_sample"]

_LIFT_POINTS = 6.0
# By which gas lifts a hydrometer. Seen in reports; common practice, no source.
_COMPENSATED_C = (10.0, 30.0)
# Between which a refractometer takes off the temperature of the drop. Common practice, no source.


_TEST_ABOVE_POINTS = 3.0


def tell_sample(
    batch: Batch,
    event: Event,
    settings: Settings,
    *,
    next_batch: Batch | None = None,
    noted: bool = True,
    explain: bool = False,
) -> None:
    """Print what a sample of `batch`, which has been noted in it, says, and ask about it on standard error.

    Args: next_batch: pitched into the same vessel so soon after that the sample may be its wort.
          noted: whether it is on record, and not only tried.
    """
    correction = GravityCorrection(batch)
    for done in batch.events:
        if done.points is not None and done.order <= event.order:
            correction.add_points(done.points_of_original)
    said = hand_reading(batch, event, correction)
    for line in _told(batch, event, said, settings):
        say(f"  {line}")
    for line in doubts(batch, event, said, correction, settings, noted=noted):
        say(line, err=True)
    if next_batch is not None:
        say(f"If it is the wort of {next_batch.name}, note it in batch:{next_batch.name} instead.", err=True)
    if explain:
        of_instrument = REFRACTOMETER_EXPLAINED if event.brix is not None else HYDROMETER_EXPLAINED
        rule = () if event.brix is not None else (HYDROMETER_RULE_EXPLAINED,)
        say_explained((of_instrument, *rule, SAMPLE_EXPLAINED), settings.decimal)


def forced_test_told(batch: Batch, event: Event, settings: Settings) -> Iterator[str]:
    """What a forced ferment test that has been noted says, and what to ask of it."""
    units, correction = units_of(settings), GravityCorrection(batch)
    said = hand_reading(batch, event, correction)
    if said is not None:
        yield f"Corrected: {units.level(said.points)} at {units.temp(batch.reference_c)}; the beer should end there."
    yield (
        "Had it stood still for two days, warm and shaken, and was it degassed? A test that was still falling puts the "
        "end too high, and a stuck beer would pass."
    )
    expected = batch.expected_final_gravity
    high = None if expected is None else (expected[1] - 1.0) * 1000.0
    if said is not None and high is not None and said.points > high + _TEST_ABOVE_POINTS:
        above = units.difference(said.points - high)
        yield f"It lies {above} above where you expected the end: let it go on for two more days, and read it again."


def made_for(calibrated_c: float, units: Units) -> str:
    """What is printed on a hydrometer.

    >>> made_for(20.0, Units()), made_for(15.555556, Units())
    ('20.0 °C', '15.6 °C (60 °F)')
    """
    fahrenheit = " (60 °F)" if units.temperature != "F" and abs(calibrated_c - CALIBRATION_60F_C) < 0.01 else ""
    return f"{units.temp(calibrated_c)}{fahrenheit}"


def error_said(instrument: Instrument, settings: Settings) -> str:
    """By how much an instrument is known to read wrong."""
    if instrument.checked_us is None:
        return "never checked in plain water"
    error = round(instrument.error, 2)
    checked = f"checked {local_day(instrument.checked_us, settings)}"
    if not error:
        return f"right in plain water, {checked}"
    unit, units = SCALE_UNIT[instrument.kind], units_of(settings)
    size = f"{units.short(abs(error))} {unit}" if unit == "°Bx" else units.difference(abs(error))
    return f"reads {size} too {'high' if error > 0.0 else 'low'}, {checked}"


def _told(batch: Batch, event: Event, said: HandReading | None, settings: Settings) -> Iterator[str]:
    units, instrument = units_of(settings), instrument_of(batch, event)
    wort = is_wort_sample(batch, event)
    if said is not None:
        low, high = (units.level(points) for points in estimated(said.points, said.sd)[1:])
        what = "Estimate" if said.estimate else "Original gravity" if wort else "Corrected"
        at = units.temp(batch.reference_c)
        yield f"{what}: {units.level(said.points)} at {at}, in 9 of 10 cases {value_range(low, high)}."
    yield f"Read with {_read_with(instrument, event, settings)}."
    if event.brix is None:
        yield from _rule(event, said, instrument, units)
    if wort:
        yield "That is right of wort after the boil and any topping up, cooled and stirred, before the yeast."
        return
    if said is not None and said.estimate:
        yield "It rests on how much alcohol is assumed: it proves nothing and corrects no sensor. A hydrometer does."
    yield _how_to_read(event, units)
    openings = sum(1 for done in batch.events if done.kind == "sample" and not is_wort_sample(batch, done))
    costs = "A few drops cost" if event.brix is not None else "A sample costs 100 to 250 mL,"
    yield (
        f"{costs} air in the vessel and perhaps an infection: sanitise all that touches the beer, never pour the "
        f"sample back. Openings of {batch.name} for samples so far: {openings}."
    )


def _read_with(instrument: Instrument, event: Event, settings: Settings) -> str:
    if event.brix is not None:
        who = instrument.name or "a refractometer"
        return (
            f"{who}, wort factor {units_of(settings).short(instrument.wort_factor)}, {error_said(instrument, settings)}"
        )
    printed = f"made for {made_for(instrument.calibrated_c, units_of(settings))}"
    if instrument.name:
        return f"{instrument.name}, {printed}, {error_said(instrument, settings)}"
    taken = "" if event.calibrated_c is not None else ", as it is taken to be"
    return f"a hydrometer {printed}{taken}, never checked (`lullwort instrument` keeps and checks yours)"


def _rule(event: Event, said: HandReading | None, instrument: Instrument, units: Units) -> Iterator[str]:
    """The rule of thumb's answer beside ours."""
    assert event.gravity is not None
    if event.temperature_c is None:
        yield "Without its temperature (--temperature-read) the reading counts as corrected."
        return
    from_f, temp_f = (round(from_celsius(c, "F"), 3) for c in (instrument.calibrated_c, event.temperature_c))
    printed, upto = (units.temp(c) for c in (instrument.calibrated_c, instrument.calibrated_c + 20.0 / 1.8))
    step = units.temp_difference(10.0 / 1.8, 0 if units.temperature == "F" else 1)
    rule = f"Rule of thumb ({units.difference(1.0)} for each {step} above {printed})"
    try:
        points = (event.gravity - 1.0) * 1000.0 + hydrometer_rule_points(temp_f, calibration_f=from_f)
    except OutOfRangeError:
        off = units.difference(4.0)
        yield f"{rule}: not to be used below {printed} or above {upto}, where it is off by up to {off}."
        return
    if said is None:
        yield f"{rule}: {units.level(points)}."
        return
    by = points - said.points
    apart = "the same" if abs(by) < 0.05 else f"{units.difference(abs(by))} {'more' if by > 0.0 else 'less'}"
    own = "; it knows nothing of the instrument's own error" if instrument.error else ""
    yield f"{rule}: {units.level(points)}, {apart}{own}."


def _how_to_read(event: Event, units: Units) -> str:
    if event.brix is not None:
        low, high = (units.temp(c) for c in _COMPENSATED_C)
        return (
            "Was it clear and free of gas? Let a clear drop take the prism's temperature; between "
            f"{low} and {high} most refractometers correct for that themselves, which is relied on."
        )
    return (
        f"Was it degassed? Gas lifts a hydrometer by up to {units.difference(_LIFT_POINTS)}: pour the sample from jar "
        "to jar ten times or swirl it, let the foam fall, and spin the hydrometer before you read."
    )
