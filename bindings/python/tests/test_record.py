"""What a technician does at the bench, and two devices with one record."""

from __future__ import annotations

import pathlib
import shutil

import pytest
from bench import (
    ACTION,
    carry,
    news,
    place,
    read,
    set_up_bass,
    share,
    string,
    target,
    texts,
    touch,
    walnut_bass,
    workshop,
)

import fallaway as f


def test_every_template_makes_an_instrument() -> None:
    tech = workshop()
    for template in f.templates():
        made = tech.add_instrument(template.id, template.name)
        assert made.details().role == f.Role.OWNER
    assert len(tech.instruments()) == len(f.templates())


def test_a_pass_keeps_what_was_written_and_says_what_it_can_tell() -> None:
    bass = walnut_bass(workshop())
    entry = bass.entry(read(bass, "6 5 - 5"))
    assert isinstance(entry.body, f.EntryBody.READINGS)
    taken = entry.body.taken
    assert taken.quantity == ACTION
    assert [one.location for one in taken.readings] == [string(1), string(2), string(4)]
    figure = taken.readings[0].reading.value
    assert figure.as_entered == "6/64 in"
    # 6/64 in is 2.38125 mm exactly.
    assert figure.value == pytest.approx(2.38125, abs=1e-12)
    assert (figure.unit, figure.basis) == (f.EstimateUnit.MILLIMETRE, f.Basis.MEASURED)
    assert figure.standard_uncertainty is not None and figure.standard_uncertainty > 0


def test_every_kind_of_entry_comes_back_as_it_was_written() -> None:
    bass = walnut_bass(workshop())
    bass.begin_visit("buzzes low down")
    adjustment = f.Adjustment(part=f.AdjustedPart.ROD(), turns=0.125, note="moved freely")
    bass.add_adjustment(adjustment)
    string_spec = f.StringSpec(gauge=f.Entered(text=".110 in"))
    fitted = f.FittedString(place=place(4), string=string_spec)
    bass.add_string_change(f.StringChange(strings=[place(4)], fitted=[fitted]))
    tuning = f.TuningChange(
        strings=[place(4)], changed=[f.TunedString(place=place(4), note="D1-2.5")]
    )
    bass.add_tuning(tuning)
    bass.add_climate(
        f.Climate(temperature=f.Entered(text="70 °F"), humidity=f.Entered(text="45%"))
    )
    buzz = f.BuzzNote(place=place(4), from_fret=3, to_fret=5)
    bass.add_buzz(buzz)
    remark = bass.add_remark("low strings only")
    bass.add_remark("the lowest string only", replaces=remark, options=f.WriteOptions(by="player"))
    bass.end_visit()

    begun, adjusted, strings, tuned, air, buzzed, first, second, ended = bass.history(
        f.HistoryFilter()
    )
    assert begun.body == f.EntryBody.VISIT_BEGUN(purpose="buzzes low down")
    assert adjusted.body == f.EntryBody.ADJUSTED(adjustment=adjustment)
    assert isinstance(strings.body, f.EntryBody.STRINGS_CHANGED)
    gauge = strings.body.change.fitted[0].string.gauge
    assert gauge is not None and gauge.value == pytest.approx(2.794)
    assert tuned.body == f.EntryBody.TUNED(tuning=tuning)
    assert isinstance(air.body, f.EntryBody.CLIMATE_NOTED)
    temperature = air.body.climate.temperature
    # (70 - 32) * 5 / 9
    assert temperature is not None and temperature.value == pytest.approx(21.1111, abs=1e-4)
    assert buzzed.body == f.EntryBody.BUZZED(buzz=buzz)
    assert (first.replaced_by, second.by) == (second.id, "player")
    assert ended.body == f.EntryBody.VISIT_ENDED(note=None)

    page = bass.history(f.HistoryFilter(kinds=[f.EntryKind.REMARKED], last=1))
    assert [entry.id for entry in page] == [second.id]
    assert bass.retract(first.id, "another instrument") == f.RetractOutcome.KEPT
    assert bass.entry(first.id).retracted[0].reason == "another instrument"


def test_facts_are_set_one_by_one_and_read_as_a_whole() -> None:
    bass = walnut_bass(workshop())
    low, high = f.Entered(text="35 in"), f.Entered(text="33 in")
    bass.set_spec(f.SpecField.SCALE(length=f.ScaleLength.FANNED(bass=low, treble=high)))
    bass.set_spec(f.SpecField.ABOUT(text="chambered"))
    spec = bass.details().spec
    assert spec.about == "chambered"
    assert isinstance(spec.scale, f.ScaleLength.FANNED)
    # 35 in and 33 in, at 25.4 mm.
    assert (spec.scale.bass.value, spec.scale.treble.value) == (889.0, 838.2)


def test_a_plan_says_what_to_turn_and_what_it_rests_on() -> None:
    bass = set_up_bass(workshop())
    screw = f.ScrewSpec(thread="M3", clockwise=f.Clockwise.MORE)
    placed = f.PlacedScrew(place=f.ScrewPlace.SADDLE_HEIGHT, screw=screw)
    bass.set_spec(f.SpecField.SCREW(placed=placed))
    plan = bass.plan()
    assert plan.setup.name == "stage"
    step = next(step for step in plan.steps if step.kind == f.StepKind.ACTION)
    assert step.seen is not None and step.seen.value.text == "8/64 in"
    assert isinstance(step.verdict, f.StepVerdict.ADJUST)
    moved = step.verdict.work.moves[0]
    assert isinstance(moved.screw, f.TurnedScrew.SADDLE_HEIGHT)
    assert moved.part == f.AdjustedPart.SADDLE_HEIGHT(moved.screw.places[0])
    turn = moved.turn
    # 3/64 in of gap at a factor of 1.360296 are 3.24 turns of M3 (pitch 0.5 mm, ISO 261); of a mark that
    # stands for 1/64 in the half nearer to the target is the likelier.
    assert (turn.eighths, turn.direction) == (25, f.TurnDirection.ANTICLOCKWISE)
    assert step.sentences and step.cautions


def test_what_changed_tells_parts_apart() -> None:
    bass = set_up_bass(workshop())
    visit = bass.visits()[-1].visit.id
    bass.end_visit()
    before = f.Occasion.AS_FOUND(visit=visit)
    found = bass.what_changed(before, f.Occasion.TODAY())
    assert any(isinstance(one.part, f.InstrumentPart.NECK) for one in found.parts)
    assert {one.verdict for one in found.parts} <= set(f.PartVerdict)
    assert found.sentences


def test_clearance_and_what_if() -> None:
    bass = set_up_bass(workshop())
    found = bass.clearance(touch(2.0))
    assert len(found.answer.strings) == 4
    bench = bass.clearance_model(touch(2.0))
    assert bench.opened() == found.answer
    assert bench.ask(touch(2.0)) == found.answer
    raised = f.ClearanceWhatIf(saddle_rises_mm=[0.5] * 4)
    higher = bench.ask(touch(2.0), raised).strings[0]
    assert higher.smallest.margin_mm > found.answer.strings[0].smallest.margin_mm


def test_two_devices_contest_a_target_and_one_settles_it() -> None:
    tech, player = workshop("tech"), workshop("player")
    bench = walnut_bass(tech)
    read(bench, "5 5 5 6")
    assert len(bench.take_setup("stage").targets) == 4
    stage = share(tech, bench, player)
    assert texts(stage) == texts(bench)

    bench.set_target(f.SetupId("stage"), target(4, "1.8 mm"))
    stage.set_target(f.SetupId("stage"), target(4, "2.1 mm"))
    report = tech.bundle_in(news(stage))
    assert report.added[0].device == "player"
    (contested,) = bench.contested()
    assert report.newly_contested == [contested]
    assert sorted(one.device for one in contested.versions) == ["player", "tech"]
    assert sum(one.displayed for one in contested.versions) == 1

    # What was shown is not what there is any more: a third value arrives first.
    stage.set_target(f.SetupId("stage"), target(4, "2.0 mm"))
    carry(stage, tech)
    with pytest.raises(f.FallawayError.Contested):
        bench.settle(contested, contested.versions[0].id)

    (fresh,) = bench.contested()
    mine = next(one for one in fresh.versions if one.device == "tech")
    bench.settle(fresh, mine.id)
    assert bench.contested() == []
    carry(bench, player)
    assert stage.contested() == []
    assert stage.details().history_digest == bench.details().history_digest


def test_what_was_damaged_is_refused_and_what_came_early_waits() -> None:
    tech, player = workshop("tech"), workshop("player")
    bench = walnut_bass(tech)
    stage = share(tech, bench, player)
    news(bench)
    read(bench, "5 5 5 6")
    first = news(bench)
    bench.add_remark("later")
    second = news(bench)
    before = texts(stage)

    damaged = bytearray(first)
    damaged[len(first) // 2] ^= 1
    with pytest.raises(f.FallawayError.Refused):
        player.bundle_in(bytes(damaged))
    assert texts(stage) == before

    assert player.bundle_in(second).waiting == 1
    assert (texts(stage), player.instruments()[0].waiting) == (before, 1)
    report = player.bundle_in(first)
    assert (report.waiting, len(report.added)) == (0, 1)
    assert stage.details().history_digest == bench.details().history_digest


def test_what_a_copied_store_wrote_twice_is_set_aside(tmp_path: pathlib.Path) -> None:
    """Two copies of one store, keys and all, write on as one writer: one branch is kept aside."""
    player = workshop("player")
    original, copy = tmp_path / "original", tmp_path / "copy"

    def opened(folder: pathlib.Path) -> f.Workshop:
        return f.Workshop.open(f.WorkshopOptions(folder=str(folder), label="tech"))

    tech = opened(original)
    stage = share(tech, walnut_bass(tech), player)
    tech.shut_down()
    shutil.copytree(original, copy)
    reports = []
    for folder in (original, copy):
        twin = opened(folder)
        bench = twin.instrument_named("walnut")
        bench.add_remark(f"written in {folder.name}")
        reports.append(player.bundle_in(news(bench)))
        twin.shut_down()
    aside = [*reports[0].aside, *reports[1].aside]
    print(reports)
    assert len(aside) == stage.details().set_aside == 1
    # The record goes on with the other branch.
    assert len(texts(stage)) == 1
    stage.add_remark("still here")
    assert len(texts(stage)) == 2


def test_an_invitation_stands_on_a_sheet_only_where_it_is_given() -> None:
    bass = walnut_bass(workshop())
    invited = bass.invite(f.Role.VIEWER)
    given = f.SheetInvitation(
        code=invited.code, words=invited.words, role=f.Role.VIEWER, expires=invited.expires
    )
    for kind in (f.SheetKind.CUSTOMER, f.SheetKind.BENCH):
        plain = bass.sheet(kind)
        page = bass.sheet(kind, invitation=given)
        for told in (invited.code, invited.words):
            assert told in page.text and told in page.html
            assert told not in plain.text and told not in plain.html
        pdf = bass.sheet_pdf(kind, invitation=given)
        assert pdf.startswith(b"%PDF-") and len(pdf) > len(bass.sheet_pdf(kind))
