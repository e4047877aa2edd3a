"""The hand-shaped layer: `with` blocks, plain dataclasses, tables."""

from __future__ import annotations

import dataclasses
import datetime
import pathlib
from typing import assert_never

import pytest
from bench import ACTION, read, set_up_bass, string, walnut_bass

import fallaway as f


def test_a_workshop_ends_with_its_block(tmp_path: pathlib.Path) -> None:
    with f.open_workshop(tmp_path / "bench", "tech") as tech:
        bass = walnut_bass(tech)
        read(bass, "5 5 5 6")
    with pytest.raises(f.FallawayError.Closed):
        bass.details()
    with f.open_workshop(str(tmp_path / "bench"), "tech") as again:
        assert again.instrument_named("walnut").name() == "walnut bass"
        # Shut down inside: the end of the block has nothing left to do.
        again.shut_down()


def test_a_block_that_fails_shuts_the_workshop_down_and_says_why() -> None:
    with pytest.raises(ZeroDivisionError):
        with f.workshop_in_memory("tech") as tech:
            raise ZeroDivisionError
    with pytest.raises(f.FallawayError.Closed):
        tech.instruments()


def test_records_are_plain_dataclasses() -> None:
    moment = f.Moment(unix_s=1_780_000_000, offset_min=120)
    assert [field.name for field in dataclasses.fields(moment)] == ["unix_s", "offset_min"]
    assert dataclasses.asdict(moment) == {"unix_s": 1_780_000_000, "offset_min": 120}
    assert dataclasses.replace(moment, offset_min=60).offset_min == 60
    assert repr(moment) == "Moment(unix_s=1780000000, offset_min=120)"
    anything: object = string(1)
    assert moment == f.Moment(unix_s=1_780_000_000, offset_min=120)
    assert moment != anything


def test_a_plan_and_an_entry_are_dataclasses_all_the_way_down() -> None:
    with f.workshop_in_memory("tech") as tech:
        bass = set_up_bass(tech)
        plan = dataclasses.asdict(bass.plan())
        assert plan["setup"] == {"id": "stage", "name": "stage"}
        assert plan["steps"][0]["title"] == "tuning"
        (entry,) = bass.history(f.HistoryFilter(kinds=[f.EntryKind.READINGS], last=1))
        assert isinstance(entry.body, f.EntryBody.READINGS)
        inside = dataclasses.asdict(entry.body)["taken"]
        assert inside["readings"][0]["reading"]["value"]["as_entered"] == "8/64 in"
        assert inside["quantity"] == {"stopped_fret": 1, "over_fret": 24}


def test_a_variant_is_one_of_its_enum_and_shows_itself() -> None:
    assert isinstance(ACTION, f.Quantity)
    assert repr(ACTION) == "Quantity.GAP(stopped_fret=1, over_fret=24)"
    others: list[object] = [f.Quantity.PITCH(), "something else"]
    assert all(ACTION != other for other in others)


def test_what_has_no_fields_is_taken_with_brackets_and_without() -> None:
    relief = f.Quantity.relief(1, 24)
    assert relief == f.Quantity.RELIEF(1, 24) and f.Role.OWNER() is f.Role.OWNER
    with f.workshop_in_memory("tech") as tech:
        bass = walnut_bass(tech)
        bass.add_pass_text(relief, "12", f.Tool.FEELER_THOU)
        written = f.NewReading(location=f.Location.WHOLE, text="12")
        bass.add_pass(f.NewPass(quantity=relief, tool=f.Tool.FEELER_THOU, readings=[written]))
        passes = [entry.body for entry in bass.history()]
        tools = [body.taken.tool for body in passes if isinstance(body, f.EntryBody.READINGS)]
        assert tools == [f.Tool.FEELER_THOU()] * 2


def test_choices_places_and_moments_can_be_keys() -> None:
    keys = {f.Quantity.action(1, 24), f.Quantity.GAP(1, 24), f.Location.string(4), f.Tool.RULE64()}
    assert len(keys) == 3
    assert {f.Moment(unix_s=1, offset_min=0): "a"}[f.Moment(unix_s=1, offset_min=0)] == "a"


def word(verdict: f.LocationCase) -> str:
    """A type checker sees that nothing is missing here."""
    match verdict:
        case f.Location.WHOLE():
            return "whole"
        case f.Location.ONE_STRING(place):
            return str(place.course)
        case f.Location.ONE_SIDE(side):
            return side.name
        case f.Location.NEWER():
            return "newer"
        case _:
            assert_never(verdict)


def test_a_choice_is_matched_to_its_end() -> None:
    assert [word(f.Location.WHOLE()), word(f.Location.string(4))] == ["whole", "4"]


def test_texts_and_datetimes_are_taken_as_they_are_written() -> None:
    summer = datetime.timezone(datetime.timedelta(hours=2))
    at = datetime.datetime(2026, 6, 1, 10, 30, tzinfo=summer)
    assert f.Moment.of(at) == f.Moment(unix_s=int(at.timestamp()), offset_min=120)
    assert f.Moment.of(at).to_datetime() == at
    with f.workshop_in_memory("tech") as tech:
        bass = walnut_bass(tech)
        bass.set_spec(f.SpecField.A4("442 Hz"))
        assert bass.details().spec.a4_hz == 442.0
        assert repr(bass) == "<Instrument 'walnut bass'>"
        assert repr(tech) == "<Workshop of 'tech'>"


def test_what_a_person_prefers_is_kept_and_gone_by() -> None:
    with f.workshop_in_memory("tech") as tech:
        bass = set_up_bass(tech)
        tech.set_preferences(f.Preferences(language="de", low_first=True))
        try:
            courses = [line.location for line in bass.card().lines if line.quantity == ACTION]
            assert courses == [f.Location.string(number) for number in (4, 3, 2, 1)]
            assert "Halskrümmung" in bass.plan().text
        finally:
            tech.set_preferences(f.Preferences(language="en"))


def test_readings_as_a_table() -> None:
    pandas = pytest.importorskip("pandas")
    with f.workshop_in_memory("tech") as tech:
        bass = set_up_bass(tech)
        wrong = read(bass, "7 7 7 7")
        bass.end_visit()
        bass.retract(wrong, "another instrument")
        table = f.readings_frame(bass)
        assert isinstance(table, pandas.DataFrame)
        # One reading of relief, four of action; what was crossed out is not there.
        assert list(table["unit"].unique()) == ["millimetre"]
        assert list(table["instrument"].unique()) == ["walnut bass"]
        assert list(table["place"].unique()) == ["whole", "1 (G)", "2 (D)", "3 (A)", "4 (E)"]
        assert len(table) == 5
        action = table[table["quantity"] == "action at fret 24, fretted at 1"]
        # 8, 5, 5 and 6 sixty-fourths of 25.4 mm.
        expected = [sixty_fourths / 64 * 25.4 for sixty_fourths in (8, 5, 5, 6)]
        assert action["value"].tolist() == pytest.approx(expected)
        assert action["at"].iloc[0].utcoffset() is not None
        empty = f.readings_frame(walnut_bass_of_another_name(tech))
        assert len(empty) == 0 and list(empty.columns) == list(table.columns)


def walnut_bass_of_another_name(tech: f.Workshop) -> f.Instrument:
    """An instrument that was never read."""
    return tech.add_instrument("bass-4", "spare bass")
