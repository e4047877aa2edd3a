"""Every error that an app can meet can be met, and says what to do about it."""

from __future__ import annotations

import pathlib
from typing import Callable

import pytest
from bench import read, share, target, texts, touch, walnut_bass, workshop
from errors_met import kind

import fallaway as f

Error = f.FallawayError


def options(folder: pathlib.Path, **more: object) -> f.WorkshopOptions:
    return f.WorkshopOptions(folder=str(folder), label="tech", **more)  # type: ignore[arg-type]


def test_not_found_says_what_there_is() -> None:
    tech = workshop()
    walnut_bass(tech)
    with pytest.raises(Error.NotFound) as met:
        tech.instrument_named("maple")
    assert (met.value.what, met.value.name) == (f.NotFoundKind.INSTRUMENT, "maple")
    assert met.value.choices == ["walnut bass"]
    assert "walnut bass" in met.value.accepted
    assert isinstance(met.value, Error)


def test_bad_input_names_the_field_and_the_limits() -> None:
    bass = walnut_bass(workshop())

    def bad(call: Callable[[], object]) -> Error.BadInput:
        with pytest.raises(Error.BadInput) as met:
            call()
        return met.value

    assert bad(lambda: read(bass, "5 5 5")).field == "readings"
    assert bad(lambda: read(bass, "5 5/0 5 5")).field == "reading 2"
    assert bad(lambda: read(bass, "5 5 5")).why == f.WhyBadInput.DOES_NOT_FIT
    assert bad(lambda: read(bass, "5 x 5 6")).why == f.WhyBadInput.UNREADABLE
    pitch = bad(lambda: bass.set_spec(f.SpecField.A4(frequency=f.Entered(text="44 Hz"))))
    assert pitch.values == f.AcceptedValues.BETWEEN(380.0, 500.0, "Hz")
    assert pitch.why == f.WhyBadInput.OUT_OF_RANGE
    assert bad(lambda: bass.set_target(f.SetupId("stage"), target(0, "2 mm"))).field == "string"
    bad(lambda: bass.invite(f.Role.VIEWER, 0))
    bad(lambda: bass.retract("no id", "reason"))
    bad(lambda: workshop(""))
    what_if = f.ClearanceWhatIf(actions_mm=[2.0, 2.0])
    bad(lambda: bass.clearance(touch(1.0), what_if=what_if))


def test_an_invitation_that_was_withdrawn_lets_nobody_in() -> None:
    bass = walnut_bass(workshop())
    given = bass.invite(f.Role.CONTRIBUTOR, 7)
    assert [one.id for one in bass.open_invitations()] == [given.id]
    bass.withdraw(given.id)
    assert bass.open_invitations() == []
    with pytest.raises(Error.NotFound) as met:
        bass.withdraw(given.id)
    assert met.value.what == f.NotFoundKind.INVITATION
    with pytest.raises(Error.Refused):
        workshop("player").accept(given.words, bass.bundle_out().file)


def test_what_python_itself_cannot_pass_on_is_refused_before_the_call() -> None:
    bass = walnut_bass(workshop())
    with pytest.raises(TypeError):
        bass.add_remark(5)  # type: ignore[arg-type]
    with pytest.raises(ValueError, match="4294967296"):
        bass.invite(f.Role.VIEWER, -1)
    assert texts(bass) == []


def test_unsure_is_a_question_that_can_be_answered() -> None:
    bass = walnut_bass(workshop())
    with pytest.raises(Error.Unsure, match="25/64") as met:
        read(bass, "25 5 5 6")
    accepting = f.WriteOptions(accept=met.value.doubts)
    quantity = f.Quantity.GAP(stopped_fret=1, over_fret=24)
    bass.add_pass_text(quantity, "25 5 5 6", tool=f.Tool.RULE64(), options=accepting)
    assert len(texts(bass)) == 2


def test_what_is_no_bundle_or_invitation_is_refused() -> None:
    tech = workshop()
    with pytest.raises(Error.Refused) as met:
        tech.bundle_in(b"not a bundle")
    assert met.value.why is f.WhyRefused.NOT_A_BUNDLE
    with pytest.raises(Error.Refused):
        tech.accept("not an invitation", b"")
    with pytest.raises(Error.Refused):
        f.look_at_invitation("not an invitation", b"")


def test_a_viewer_may_not_write() -> None:
    tech, player = workshop("tech"), workshop("player")
    seen = share(tech, walnut_bass(tech), player, f.Role.VIEWER)
    with pytest.raises(Error.NotAllowed) as met:
        seen.set_target(f.SetupId("stage"), target(4, "2 mm"))
    assert met.value.why is f.WhyNotAllowed.VIEWER


def test_contested_while_it_was_shown() -> None:
    tech, player = workshop("tech"), workshop("player")
    bench = walnut_bass(tech)
    stage = share(tech, bench, player)
    for instrument, wanted in ((bench, "1.8 mm"), (stage, "2.1 mm")):
        instrument.set_target(f.SetupId("stage"), target(4, wanted))
    tech.bundle_in(stage.bundle_out().file)
    (shown,) = bench.contested()
    bench.settle(shown, shown.versions[0].id)
    with pytest.raises(Error.Contested) as met:
        bench.settle(shown, shown.versions[1].id)
    assert met.value.field


def test_a_store_of_a_newer_version_is_read_only(tmp_path: pathlib.Path) -> None:
    tech = f.Workshop.open(options(tmp_path))
    read(walnut_bass(tech), "5 5 5 6")
    tech.shut_down()
    # The version of its tables stands in bytes 60 to 63 of an SQLite file (SQLite, "Database File
    # Format", 1.3).
    is_store = (path for path in tmp_path.iterdir() if path.is_file())
    store = next(path for path in is_store if path.read_bytes().startswith(b"SQLite format 3\0"))
    raw = bytearray(store.read_bytes())
    raw[60:64] = (9999).to_bytes(4, "big")
    store.write_bytes(raw)
    bass = f.Workshop.open(options(tmp_path)).instrument_named("walnut")
    assert len(texts(bass)) == 2
    with pytest.raises(Error.ReadOnly):
        bass.add_remark("hello")


def test_a_folder_that_is_a_file_cannot_be_used(tmp_path: pathlib.Path) -> None:
    file = tmp_path / "file"
    file.write_bytes(b"something else")
    with pytest.raises(Error.Storage):
        f.Workshop.open(options(file))


def test_a_store_that_may_not_grow_is_full_and_loses_nothing(tmp_path: pathlib.Path) -> None:
    bass = walnut_bass(f.Workshop.open(options(tmp_path, max_pages=48)))
    written = 0
    with pytest.raises(Error.Full):
        while True:
            bass.add_remark("x" * 1900)
            written += 1
    assert written > 0
    assert len(texts(bass)) == written


class Scripted(f.SecretKeeper):
    """A keystore that answers or throws what it is told to."""

    def __init__(self, answer: f.KeptSecret | Exception) -> None:
        self.answer = answer

    def get(self, name: str) -> f.KeptSecret:
        if isinstance(self.answer, Exception):
            raise self.answer
        return self.answer

    def put(self, name: str, secret: bytes) -> None:
        raise f.ForeignError.Failed("the keystore is read only")


@pytest.mark.parametrize(
    ("answer", "said"),
    [
        (RuntimeError("out of luck"), "out of luck"),
        (f.ForeignError.Failed("no daemon"), "no daemon"),
        (f.KeptSecret.LOCKED(), "locked"),
        (f.KeptSecret.LOST(reason="wiped"), "wiped"),
        (f.KeptSecret.ABSENT(), "read only"),
        (f.KeptSecret.FOUND(secret=b"12"), "2 bytes"),
    ],
)
def test_a_keeper_that_throws_is_locked_or_refuses(
    tmp_path: pathlib.Path, answer: f.KeptSecret | Exception, said: str
) -> None:
    with pytest.raises(Error.Keys) as met:
        f.Workshop.open(options(tmp_path), Scripted(answer))
    assert said in met.value.reason


class Keeping(f.SecretKeeper):
    """A keystore in memory."""

    def __init__(self) -> None:
        self.kept: dict[str, bytes] = {}

    def get(self, name: str) -> f.KeptSecret:
        if name in self.kept:
            return f.KeptSecret.FOUND(secret=self.kept[name])
        return f.KeptSecret.ABSENT()

    def put(self, name: str, secret: bytes) -> None:
        self.kept[name] = secret


def test_a_keeper_keeps_the_device_what_it_is(tmp_path: pathlib.Path) -> None:
    keeper = Keeping()
    tech = f.Workshop.open(options(tmp_path), keeper)
    fingerprint = tech.device().fingerprint
    tech.shut_down()
    again = f.Workshop.open(options(tmp_path), keeper)
    assert again.device().fingerprint == fingerprint
    assert keeper.kept and all(len(secret) <= 32 for secret in keeper.kept.values())


class Meddling(f.ProgressListener):
    """Calls the workshop from inside a call, and then answers or throws."""

    def __init__(self, tech: f.Workshop, answer: f.ControlFlow | Exception) -> None:
        self.tech, self.answer = tech, answer
        self.met: list[Exception] = []

    def at(self, done: int, total: int) -> f.ControlFlow:
        assert done <= total
        try:
            self.tech.instruments()
        except f.FallawayError as error:
            self.met.append(error)
        if isinstance(self.answer, Exception):
            raise self.answer
        return self.answer


@pytest.mark.parametrize("answer", [f.ControlFlow.CONTINUE, f.ControlFlow.BREAK, RuntimeError("thrown")])
def test_a_long_call_can_be_stopped_and_is_busy_inside(
    tmp_path: pathlib.Path, answer: f.ControlFlow | Exception
) -> None:
    tech = f.Workshop.open(options(tmp_path))
    bass = walnut_bass(tech)
    read(bass, "5 5 5 6")
    progress = Meddling(tech, answer)
    if answer is f.ControlFlow.CONTINUE:
        assert bass.bundle_out(progress)
    else:
        with pytest.raises(Error.Cancelled):
            bass.bundle_out(progress)
    assert progress.met and all(isinstance(error, Error.Busy) for error in progress.met)


def test_a_defect_carries_its_report_id() -> None:
    # No input is known that leads to one; an app can still build its handling of it.
    defect = Error.Internal(report_id="12ab34cd", reason="somewhere")
    assert isinstance(defect, Error)
    assert (defect.report_id, kind(defect)) == ("12ab34cd", "internal")


def test_the_text_of_an_error_is_for_people() -> None:
    bass = walnut_bass(workshop())
    with pytest.raises(Error.BadInput) as met:
        bass.set_target(f.SetupId("stage"), target(4, "tall"))
    assert met.value.reason in str(met.value)
    assert "reason=" not in str(met.value)
