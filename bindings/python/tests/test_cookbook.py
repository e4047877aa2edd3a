"""The cookbook's code, task by task: `cargo tool cookbook` takes it out of this file into
`docs/embedding/cookbook/python.md`."""

from __future__ import annotations

import collections.abc
import datetime
import logging
import pathlib
import socket
import threading
from concurrent.futures import ThreadPoolExecutor

import pytest
from bench import ACTION as action
from bench import RELIEF as relief

import fallaway
from fallaway import Quantity, Tool


@pytest.fixture
def workshop() -> collections.abc.Iterator[fallaway.Workshop]:
    with fallaway.workshop_in_memory("tech") as opened:
        yield opened


@pytest.fixture
def bass(workshop: fallaway.Workshop) -> fallaway.Instrument:
    made = workshop.add_instrument("bass-4", "walnut bass")
    made.add_tuning(fallaway.TuningChange())
    made.add_pass_text(relief, "12", Tool.FEELER_THOU)
    made.add_pass_text(action, "5 5 5 6", Tool.RULE64)
    made.take_setup("stage")
    made.end_visit()
    return made


def test_01_open(tmp_path: pathlib.Path) -> None:
    # task 1
    with fallaway.open_workshop(tmp_path / "workshop", "tech") as workshop:
        print(workshop.instruments())
    # end
    assert (tmp_path / "workshop").is_dir()


def test_02_add(workshop: fallaway.Workshop) -> None:
    # task 2
    for template in fallaway.templates():
        print(template.id, template.name, template.summary)
    bass = workshop.add_instrument("bass-4", "walnut bass")
    # end
    # task 2
    same = workshop.instrument_named("walnut")  # or workshop.instrument(id)
    # end
    assert same.id() == bass.id()


def test_03_say_what_it_is(bass: fallaway.Instrument) -> None:
    # task 3
    bass.set_spec(fallaway.SpecField.ABOUT("the one with the walnut top"))
    bass.set_spec(fallaway.SpecField.PICKUPS(2))
    bass.unset_spec("pickups")
    spec = bass.details().spec
    # end
    assert spec.about == "the one with the walnut top"


def test_04_readings(bass: fallaway.Instrument) -> None:
    # task 4
    bass.begin_visit("too high")
    action = Quantity.action(1, 24)
    bass.add_pass_text(action, "6 6 - =", Tool.RULE64)
    bass.add_pass_text(Quantity.PITCH, "0 0 2 -1", Tool.TUNER_CENT)
    bass.end_visit()
    # end
    assert len(bass.visits()) == 2


def test_05_while_typing() -> None:
    # task 5
    read = fallaway.parse_reading("5/64", action)
    print(read.value.as_entered, read.value.value, read.value.unit)
    try:
        fallaway.parse_reading("five", action)
    except fallaway.FallawayError.BadInput as wrong:
        print(wrong.reason, wrong.accepted)
    # end
    assert read.value.value == pytest.approx(5 / 64 * 25.4)


def test_06_unsure(bass: fallaway.Instrument) -> None:
    # task 6
    try:
        bass.add_pass_text(relief, "120", Tool.FEELER_THOU)
    except fallaway.FallawayError.Unsure as unsure:
        for doubt in unsure.doubts:
            print("Is that right?", doubt.given, doubt.reason)
        yes = fallaway.WriteOptions(accept=unsure.doubts)
        bass.add_pass_text(relief, "120", Tool.FEELER_THOU, options=yes)
    # end
    assert bass.history(fallaway.HistoryFilter(last=1))[0].text.count("120") == 1


def test_07_done(bass: fallaway.Instrument) -> None:
    # task 7
    rod = fallaway.Adjustment(part=fallaway.AdjustedPart.ROD, turns=-0.25)
    bass.add_adjustment(rod)
    bass.add_string_change(fallaway.StringChange(set_name="45 to 105"))
    bass.add_tuning(fallaway.TuningChange())  # all strings, to their notes
    room = fallaway.Climate(temperature="21 C", humidity="45 %", hours_there=48)
    bass.add_climate(room)
    low = fallaway.StringPlace(course=4)
    bass.add_buzz(fallaway.BuzzNote(place=low, from_fret=5, to_fret=7))
    bass.add_remark("fret 3 is worn")
    # end
    assert len(bass.history()) > 8


def test_08_wanted(bass: fallaway.Instrument) -> None:
    # task 8
    studio = bass.take_setup("studio").id  # what was read last
    wanted = fallaway.NewTarget(
        quantity=action, location=fallaway.Location.string(4), wanted="2.2 mm", tolerance="0.1 mm"
    )
    bass.set_target(studio, wanted)
    for setup in bass.setups():
        print(setup.name, len(setup.targets))
    bass.rename_setup(studio, "club")  # the id stays
    bass.delete_setup(studio)
    bass.bring_back_setup(studio)
    # end
    assert bass.setup_named("club").id == studio
    assert len(bass.setups()) == 2


def test_09_card(bass: fallaway.Instrument) -> None:
    # task 9
    card = bass.card(fallaway.SetupId("stage"))
    for line in card.lines:
        read = line.last.value.text if line.last else "not read"
        print(line.quantity_text, line.place_text, read, line.standing)
    # end
    assert len(card.lines) >= 5


def test_10_plan(bass: fallaway.Instrument) -> None:
    bass.add_pass_text(relief, "18", Tool.FEELER_THOU)
    # task 10
    plan = bass.plan(fallaway.SetupId("stage"))
    if step := plan.next:
        print(step.title, "-", step.verdict_text)
        for sentence in step.sentences:
            print(sentence)
        for caution in step.cautions:
            print("Caution:", caution.text)
    # end
    assert plan.next


def test_11_settle(bass: fallaway.Instrument) -> None:
    bass.add_pass_text(relief, "18", Tool.FEELER_THOU)
    bass.add_pass_text(relief, "18", Tool.FEELER_THOU)
    # task 11
    step = bass.plan(fallaway.SetupId("stage")).next
    if step:
        # As it was proposed; else did_otherwise, or could_not with the reason.
        written = bass.done(step.id)
        for what in written.then_measure:
            print("then measure:", what.text)
    bass.add_tuning(fallaway.TuningChange())
    bass.add_pass_text(relief, "14", Tool.FEELER_THOU)
    print(bass.plan(fallaway.SetupId("stage")).text)
    # end


def test_12_changed(bass: fallaway.Instrument) -> None:
    bass.add_pass_text(relief, "22", Tool.FEELER_THOU)
    bass.add_pass_text(action, "6 6 6 7", Tool.RULE64)
    # task 12
    changed = bass.what_changed(fallaway.Occasion.SETUP(fallaway.SetupId("stage")), fallaway.Occasion.TODAY)
    for part in changed.parts:
        print(part.part, part.verdict, part.change.text)
    print("\n".join(changed.sentences))
    # end
    assert changed.parts


def test_13_taught(bass: fallaway.Instrument) -> None:
    bass.add_climate(fallaway.Climate(humidity="45 %", hours_there=48))
    bass.add_pass_text(relief, "12", Tool.FEELER_THOU)
    # task 13
    print("\n".join(bass.learned().sentences))
    dry = fallaway.ForecastClimate(name="the dry tour", humidity_percent=25.0)
    try:
        print("\n".join(bass.forecast([dry], fallaway.SetupId("stage")).sentences))
    except fallaway.FallawayError.BadInput as early:
        print(early.reason)  # no season is known yet
    # end


def test_14_buzz(bass: fallaway.Instrument) -> None:
    gauges = (".045", ".065", ".085", ".105")
    bass.add_string_change(
        fallaway.StringChange(
            fitted=[
                fallaway.FittedString(
                    place=fallaway.StringPlace(course=place),
                    string=fallaway.StringSpec(gauge=f"{gauge} in"),
                )
                for place, gauge in enumerate(gauges, 1)
            ]
        )
    )
    # task 14
    for known in bass.fret_findings():
        print(known.text)
    touch = fallaway.Touch(force_n=1.0, direction=fallaway.PluckDirection.TOWARD_BOARD)
    model = bass.clearance_model(touch)
    answer = model.opened()
    for rise in (0.2, 0.4):
        tightest = answer.strings[answer.limiting_string]
        print(tightest.name, tightest.smallest.margin_mm, tightest.buzzes, "then", rise, "mm higher")
        answer = model.ask(touch, fallaway.ClearanceWhatIf(saddle_rises_mm=[rise] * 4))
    # end
    assert answer.caveat


def test_15_history(bass: fallaway.Instrument) -> None:
    # task 15
    page = fallaway.HistoryFilter(last=30)
    while entries := bass.history(page):
        for entry in reversed(entries):
            print(entry.at.to_datetime(), entry.text)
        page.before = entries[0].id
    # end


def test_16_undo(bass: fallaway.Instrument) -> None:
    # task 16
    bass.add_pass_text(relief, "21", Tool.FEELER_THOU)
    print(bass.undoable())  # for the menu; None if there is nothing
    undone = bass.undo()
    print([(line.text, line.how) for line in undone.lines])
    bass.redo()
    # end
    # task 16
    first = bass.history()[0]
    bass.retract(first.id, "on the wrong instrument")
    # end
    assert undone.lines


def test_17_off_this_device(workshop: fallaway.Workshop, bass: fallaway.Instrument) -> None:
    # task 17
    workshop.archive_instrument(bass.id())  # out of the list, with everything that it holds
    workshop.bring_back_instrument(bass.id())
    workshop.remove_from_this_device(bass.id())  # off this device
    # end
    assert workshop.instruments() == []


def test_18_redraw(workshop: fallaway.Workshop, bass: fallaway.Instrument) -> None:
    drawn = threading.Event()

    def draw(instrument: str) -> None:
        drawn.set()

    # task 18
    class Screen(fallaway.ChangeListener):
        def changed(self, instruments: list[str]) -> None:
            for instrument in instruments:
                draw(instrument)

    listening = workshop.listen(Screen())
    # end
    bass.add_remark("seen")
    assert drawn.is_set()
    # task 18
    listening.cancel()
    # end


def test_19_threads(bass: fallaway.Instrument) -> None:
    # task 19
    with ThreadPoolExecutor(max_workers=1) as pool:
        plan = pool.submit(bass.plan, "stage")
        print(plan.result().text)
    # end


def test_20_background(workshop: fallaway.Workshop, bass: fallaway.Instrument) -> None:
    # task 20
    workshop.pause()
    # end
    assert bass.name() == "walnut bass"


def test_21_back_up(tmp_path: pathlib.Path) -> None:
    folder, copy = tmp_path / "workshop", tmp_path / "bench.backup"
    with fallaway.open_workshop(folder, "tech") as workshop:
        workshop.add_instrument("bass-4", "walnut bass")
        # task 21
        fallaway.back_up(folder, copy)
        # end
    for file in (file for file in folder.iterdir() if file.is_file()):
        file.unlink()  # the keys are not lost
    # task 21
    fallaway.restore(copy, folder)
    with fallaway.open_workshop(folder, "tech") as workshop:
        print([notice.text for notice in workshop.notices()])
    # end
        assert [one.name for one in workshop.instruments()] == ["walnut bass"]


def test_22_old_data(tmp_path: pathlib.Path, bass: fallaway.Instrument) -> None:
    notebook = tmp_path / "notebook.csv"
    heads = "day,relief (feeler 1 thou),action (rule 1/64)"
    notebook.write_text(f"{heads}\n2025-06-01,12,5 5 5 6\n2025-12-01,17,6 6 6 7\n")
    # task 22
    table = notebook.read_text()
    report = bass.check_table(table)  # writes nothing
    for problem in report.problems:
        print(f"row {problem.row}, {problem.column}: {problem.reason}")
    for one in report.doubts:
        print(f"Is that right? row {one.row}, {one.column}: {one.doubt.reason}")
    sure = fallaway.ImportOptions(by="tech", accept=[one.doubt for one in report.doubts])
    bass.import_table(table, sure)  # all of it, or nothing
    # end
    assert {entry.at.to_datetime().year for entry in bass.history()} >= {2025}


def test_23_clock() -> None:
    # task 23
    class Clock(fallaway.TimeSource):
        unix_s = 1_780_000_000

        def now(self) -> fallaway.Moment:
            return fallaway.Moment(unix_s=self.unix_s, offset_min=60)

    clock = Clock()
    with fallaway.workshop_in_memory("tech", time=clock) as workshop:
        bass = workshop.add_instrument("bass-4", "walnut bass")
        bass.add_pass_text(relief, "12", Tool.FEELER_THOU)
        clock.unix_s += 90 * 86_400  # a season later
        last = bass.card().lines[0].last
        # end
    assert last is not None and last.at.unix_s == 1_780_000_000


def test_24_previews() -> None:
    def draw(card: fallaway.Card) -> None:
        assert card.lines

    # task 24
    with fallaway.workshop_in_memory("preview") as workshop:
        bass = workshop.add_instrument("bass-4", "walnut bass")
        bass.add_pass_text(action, "5 5 5 6", Tool.RULE64)
        draw(bass.card())
    # end


def test_25_two_processes(tmp_path: pathlib.Path) -> None:
    # task 25
    with (
        fallaway.open_workshop(tmp_path, "tech") as app,
        fallaway.open_workshop(tmp_path, "tech") as extension,
    ):
        app.add_instrument("bass-4", "walnut bass")
        extension.instrument_named("walnut bass").add_remark("from the extension")
        print(app.instrument_named("walnut bass").history(fallaway.HistoryFilter(last=1))[0].text)
    # end


def test_26_share(bass: fallaway.Instrument) -> None:
    with fallaway.workshop_in_memory("player") as other:
        # task 26
        invitation = bass.invite(fallaway.Role.CONTRIBUTOR, valid_days=7)
        print(invitation.words)  # to be read out, or as a code: invitation.code
        everything = bass.bundle_out()
        # end
        # task 26
        # on the other device, with the words and the file
        print(fallaway.look_at_invitation(invitation.words, everything.file).name)
        shared = other.accept(invitation.words, everything.file)
        bass.delivered(everything.token)  # not before: a share may be cancelled

        # later, what was written since
        bass.add_remark("new strings on Friday")
        print(bass.unsent(), "not sent yet")
        if news := bass.bundle_unsent():  # None if there is nothing
            bass.delivered(news.token)
        # end
        assert shared.name() == "walnut bass"
        assert bass.unsent() == 0


def test_27_take_in(workshop: fallaway.Workshop, bass: fallaway.Instrument) -> None:
    with fallaway.workshop_in_memory("player") as other:
        invitation = bass.invite(fallaway.Role.CONTRIBUTOR, 7)
        shared = other.accept(invitation.words, bass.bundle_out().file)
        shared.add_remark("plays well")
        received = shared.bundle_out().file
    # task 27
    report = workshop.bundle_in(received)
    for added in report.added:
        print(added.device, [(entry.kind, entry.count) for entry in added.entries])
    print(report.people_added, report.waiting, len(report.newly_contested))
    # end
    assert report.people_added == ["player"]


def test_28_two_values(workshop: fallaway.Workshop, bass: fallaway.Instrument) -> None:
    with fallaway.workshop_in_memory("player") as other:
        invitation = bass.invite(fallaway.Role.CONTRIBUTOR, 7)
        shared = other.accept(invitation.words, bass.bundle_out().file)
        workshop.bundle_in(shared.bundle_out().file)
        bass.set_spec(fallaway.SpecField.ABOUT("the walnut one"))
        shared.set_spec(fallaway.SpecField.ABOUT("my spare"))
        workshop.bundle_in(shared.bundle_out().file)
    assert len(bass.contested()) == 1
    # task 28
    for field in bass.contested():
        print(field.label)
        for version in field.versions:
            print(version.shown, version.device, version.at.to_datetime())
        bass.settle(field, keep=field.versions[0].id)
    # end
    assert bass.contested() == []


def test_29_language(workshop: fallaway.Workshop, bass: fallaway.Instrument) -> None:
    # task 29
    print(fallaway.languages())
    wishes = workshop.preferences()
    wishes.language = "de"
    wishes.low_first = True
    workshop.set_preferences(wishes)
    print(bass.plan(fallaway.SetupId("stage")).text)
    # end
    wishes.language = "en"
    workshop.set_preferences(wishes)


def test_30_errors(tmp_path: pathlib.Path) -> None:
    # task 30
    class Log(fallaway.LogSink):
        def log(self, level: fallaway.LogLevel, line: str) -> None:
            logging.getLogger("fallaway").info(line)

    with fallaway.open_workshop(tmp_path, "tech", log=Log()) as workshop:
        try:
            workshop.instrument_named("ash")
        except fallaway.FallawayError.NotFound as missing:
            print(missing.accepted)
        except fallaway.FallawayError as error:
            print(error)
        print(fallaway.version(), workshop.diagnostics())
    # end


def test_31_sheet(tmp_path: pathlib.Path, bass: fallaway.Instrument) -> None:
    # task 31
    page = bass.sheet(fallaway.SheetKind.CUSTOMER)  # of the last visit
    print(page.title, page.subtitle, page.text)
    (tmp_path / "sheet.html").write_text(page.html, "utf-8")
    lid = bass.sheet_pdf(fallaway.SheetKind.BENCH, setup=fallaway.SetupId("stage"))
    (tmp_path / "lid.pdf").write_bytes(lid)
    # end
    assert "walnut bass" in page.title + page.html
    assert lid.startswith(b"%PDF")


def test_32_draw(tmp_path: pathlib.Path, bass: fallaway.Instrument) -> None:
    # task 32
    shown = bass.plan_drawn(fallaway.SetupId("stage"))
    print(shown.plan.text, [dial.title for dial in shown.turns])
    neck = bass.draw_neck(theme=fallaway.Theme.LIGHT)
    (tmp_path / "neck.svg").write_text(neck.svg or "", "utf-8")
    for mark in neck.marks:  # to draw it yourself: `look` has colours and lines
        print(mark.role, mark.shape)
    print(*neck.sentences, sep="\n")
    # end
    assert shown.plan == bass.plan(fallaway.SetupId("stage"))
    assert (tmp_path / "neck.svg").read_text("utf-8").startswith("<svg")


def test_33_export(workshop: fallaway.Workshop, bass: fallaway.Instrument) -> None:
    # task 33
    file = bass.export()
    table = bass.export_table()
    again = workshop.import_record(file, "walnut bass, again")
    # end
    assert len(again.history()) == len(bass.history())
    assert bass.check_table(table).problems == []


def test_34_jobs(workshop: fallaway.Workshop, bass: fallaway.Instrument) -> None:
    # task 34
    bass.set_customer(fallaway.Customer(name="player"))
    now = datetime.datetime.now()
    bass.keep_job(fallaway.Job(what="dress the frets", begun=now, due=now + datetime.timedelta(days=7)))
    for one in workshop.open_work():  # of all instruments, what is due first
        print(one.name, one.customer, one.job.what, one.job.due)
    job = bass.jobs()[0]
    job.done, job.minutes = fallaway.Moment.of(now), 90
    bass.keep_job(job)
    # end
    assert workshop.open_work() == []


def test_35_search(workshop: fallaway.Workshop, bass: fallaway.Instrument) -> None:
    bass.add_remark("fret 3 is worn")
    # task 35
    for found in workshop.search("worn"):
        print(found.name, found.found_in, found.text, found.at)
    # end
    assert [found.name for found in workshop.search("WORN")] == ["walnut bass"]


def test_36_relay(bass: fallaway.Instrument) -> None:
    address = "http://127.0.0.1:9"  # nobody answers there
    # task 36
    bass.set_relay(address)  # for everybody who shares the instrument
    report = bass.sync(fallaway.UrllibTransport())
    print(*report.sentences, sep="\n")
    if isinstance(report.outcome, fallaway.SyncOutcome.LATER):
        print("again in", report.outcome.wait_ms, "ms, or when the network is back")
    relay = bass.relay()
    print(relay.text if relay else "no relay")  # how much waits here for the others
    # end
    assert isinstance(report.outcome, fallaway.SyncOutcome.LATER)


def test_37_meet(workshop: fallaway.Workshop, bass: fallaway.Instrument) -> None:
    other = fallaway.workshop_in_memory("player")
    invitation = bass.invite(fallaway.Role.CONTRIBUTOR, 7)
    # task 37
    # Where one listens, on every address of the device; its person is shown address and digits.
    listener = socket.create_server(("", 0))
    port, digits = listener.getsockname()[1], workshop.meeting_digits()

    def listen() -> None:
        stream, _ = listener.accept()
        with listener, stream:
            waits = fallaway.MeetOptions(listens=True, digits=digits)
            workshop.meet(fallaway.SocketStream(stream), waits)

    listening = threading.Thread(target=listen)
    listening.start()

    # Where the other one comes, who has been told both, and the words of an invitation.
    with socket.create_connection(("127.0.0.1", port)) as stream:
        comes = fallaway.MeetOptions(listens=False, digits=digits, invitation=invitation.words)
        report = other.meet(fallaway.SocketStream(stream), comes)
    for one in report.met:
        print(*one.sentences, sep="\n")
    # end
    listening.join()
    with other:
        assert other.instrument_named("walnut bass").id() == bass.id()


def test_38_time_and_person(bass: fallaway.Instrument) -> None:
    # task 38
    then = datetime.datetime(2026, 1, 5, 10, 0)
    owner = fallaway.WriteOptions(at=then, by="owner")
    bought = bass.add_remark("bought used", options=owner)
    bass.set_spec(fallaway.SpecField.ABOUT("of walnut"), owner)
    for fact in bass.facts_written():
        print(fact.key, fact.at.to_datetime(), fact.by, fact.device)
    for event in bass.details().people_history:
        print(event.at.to_datetime(), event.text)
    # end
    assert [event.text for event in bass.details().people_history] == ["tech began this record"]
    entry = bass.entry(bought)
    assert entry.at.to_datetime().replace(tzinfo=None) == then
    assert entry.by == "owner"
