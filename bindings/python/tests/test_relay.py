"""Two devices that never meet share an instrument by a relay: the program itself, over HTTP."""

import os
import socket
import threading
from collections.abc import Iterator
from contextlib import contextmanager

import fallaway
import pytest
from fallaway import ExchangeFault, SyncOutcome, TransportError, UrllibTransport

RELAY = os.environ.get("FALLAWAY_RELAY")

needs_relay = pytest.mark.skipif(
    RELAY is None, reason="`cargo tool test python` starts a relay and names it in FALLAWAY_RELAY"
)


@contextmanager
def answering(answer: bytes) -> Iterator[str]:
    """Somebody who says the same to everybody, and hangs up."""
    with socket.create_server(("127.0.0.1", 0)) as server:

        def serve() -> None:
            while True:
                try:
                    stream, _ = server.accept()
                except OSError:
                    return
                with stream:
                    stream.recv(65536)
                    stream.sendall(answer)

        threading.Thread(target=serve, daemon=True).start()
        yield f"http://127.0.0.1:{server.getsockname()[1]}"


def asked(url: str, transport: fallaway.HttpTransport | None = None) -> object:
    """How an exchange with whatever is at this address ends."""
    with fallaway.workshop_in_memory("tech") as workshop:
        bass = workshop.add_instrument("bass-4", "walnut bass")
        bass.set_relay(url)
        return bass.sync(transport or UrllibTransport()).outcome


@needs_relay
def test_two_devices_share_an_instrument_by_a_relay_alone():
    assert RELAY is not None
    http = UrllibTransport()
    with fallaway.workshop_in_memory("tech") as tech, fallaway.workshop_in_memory("player") as player:
        here = tech.add_instrument("bass-4", "walnut bass")
        assert here.relay() is None
        with pytest.raises(fallaway.FallawayError.NotFound):
            here.sync(http)
        with pytest.raises(fallaway.FallawayError.BadInput):
            here.set_relay("http://relay.example")
        here.set_relay(RELAY)
        invitation = here.invite(fallaway.Role.CONTRIBUTOR, 7)
        waiting = here.relay()
        assert waiting.url == RELAY and waiting.waiting > 0 and "wait" in waiting.text

        sent = here.sync(http)
        assert sent.outcome == SyncOutcome.UP_TO_DATE() and sent.sent > 0 and sent.received == 0
        assert sent.sentences[0] == "everything is exchanged"
        assert here.relay().waiting == 0

        # The welcome holds no history: that comes by the relay.
        there = player.accept(invitation.words, invitation.welcome)
        there.sync(http)
        here.sync(http)
        there.add_remark("tried at the rehearsal")
        here.add_remark("fret 3 is worn")
        assert there.sync(http).outcome == SyncOutcome.UP_TO_DATE()
        every = tech.sync(http)
        assert [one.instrument for one in every] == [here.id()]
        merged = every[0].report.merges
        assert [added.device for one in merged for added in one.added] == ["player"]
        assert there.sync(http).outcome == SyncOutcome.UP_TO_DATE()
        assert here.details().history_digest == there.details().history_digest


@needs_relay
def test_news_reaches_who_waits_for_them():
    assert RELAY is not None
    http = UrllibTransport()
    with fallaway.workshop_in_memory("tech") as tech, fallaway.workshop_in_memory("player") as player:
        here = tech.add_instrument("bass-4", "walnut bass")
        here.set_relay(RELAY)
        invitation = here.invite(fallaway.Role.CONTRIBUTOR, 7)
        here.sync(http)
        there = player.accept(invitation.words, invitation.welcome)
        there.sync(http)
        here.sync(http)
        there.sync(http)

        came = []
        waiter = threading.Thread(target=lambda: came.append(there.wait_for_news(http)))
        waiter.start()
        # The workshop is free while it waits.
        there.add_remark("the workshop can be used")
        here.add_remark("fret 3 is worn")
        here.sync(http)
        waiter.join()
        there.sync(http)
        assert came[0].outcome == SyncOutcome.UP_TO_DATE()
        assert "fret 3 is worn" in [entry.text for entry in there.history()]


def test_what_answers_and_is_no_relay_is_told_apart():
    def later(outcome: object) -> object:
        assert isinstance(outcome, SyncOutcome.LATER), outcome
        return outcome.why

    with socket.create_server(("127.0.0.1", 0)) as server:
        port = server.getsockname()[1]
    assert later(asked(f"http://127.0.0.1:{port}")) is ExchangeFault.OFFLINE
    with answering(b"SSH-2.0-nothing\r\n") as url:
        assert later(asked(url)) is ExchangeFault.GARBAGE
    with answering(b"HTTP/1.1 200 OK\r\nContent-Length: 2\r\n\r\nhi") as url:
        assert later(asked(url)) is ExchangeFault.GARBAGE
    moved = b"HTTP/1.1 302 Found\r\nLocation: http://127.0.0.1:9/\r\nContent-Length: 0\r\n\r\n"
    with answering(moved) as url:
        assert later(asked(url)) is ExchangeFault.GARBAGE


def test_an_answer_that_is_too_long_is_none():
    with answering(b"HTTP/1.1 200 OK\r\n\r\n" + b"x" * 100) as url:
        request = fallaway.HttpRequest(method="GET", url=url, headers=[], body=b"", timeout_s=9, max_body=99)
        with pytest.raises(TransportError.Garbage):
            UrllibTransport().send(request)


def test_a_transport_of_the_apps_own_says_why_or_counts_as_offline():
    class Own(fallaway.HttpTransport):
        def __init__(self, error: Exception) -> None:
            self.error = error

        def send(self, request: fallaway.HttpRequest) -> fallaway.HttpResponse:
            raise self.error

    here = "http://127.0.0.1:9"
    slow = asked(here, Own(TransportError.Slow("an hour")))
    assert isinstance(slow, SyncOutcome.LATER) and slow.why is ExchangeFault.SLOW
    assert asked(here, Own(RuntimeError("a defect"))).why is ExchangeFault.OFFLINE


def test_progress_can_stop_an_exchange():
    class Stop(fallaway.ProgressListener):
        def at(self, done: int, total: int) -> fallaway.ControlFlow:
            return fallaway.ControlFlow.BREAK

    with fallaway.workshop_in_memory("tech") as workshop:
        bass = workshop.add_instrument("bass-4", "walnut bass")
        bass.set_relay("http://127.0.0.1:9")
        assert bass.sync(UrllibTransport(), Stop()).outcome == SyncOutcome.STOPPED()
