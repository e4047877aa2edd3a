"""Two devices in one room, over a socket on this machine."""

import socket
import threading

import fallaway
from fallaway import MeetingOutcome, MeetOptions, MeetReport, SocketStream

DIGITS = "471108"


def met(
    came: fallaway.Workshop, options: MeetOptions, host: fallaway.Workshop
) -> tuple[MeetReport, MeetReport]:
    """Both reports, of who came and of who listened."""
    reports: list[MeetReport] = []
    with socket.create_server(("127.0.0.1", 0)) as server:

        def listen() -> None:
            stream, _ = server.accept()
            with stream:
                options = MeetOptions(listens=True, digits=DIGITS)
                reports.append(host.meet(SocketStream(stream), options))

        listening = threading.Thread(target=listen)
        listening.start()
        with socket.create_connection(server.getsockname()) as stream:
            report = came.meet(SocketStream(stream), options)
        listening.join()
    return report, reports[0]


def test_a_newcomer_joins_by_twelve_words_and_a_meeting_alone():
    with (
        fallaway.workshop_in_memory("tech") as tech,
        fallaway.workshop_in_memory("player") as player,
    ):
        bass = tech.add_instrument("bass-4", "walnut bass")
        bass.add_remark("rattles at the sixth fret")
        words = bass.invite(fallaway.Role.CONTRIBUTOR, 7).words
        options = MeetOptions(listens=False, digits=DIGITS, invitation=words)
        came, listened = met(player, options, tech)
        assert came.outcome == MeetingOutcome.UP_TO_DATE()
        assert [one.other for one in came.met] == ["tech"]
        assert listened.met[0].sentences[0].startswith("“walnut bass”: player")
        theirs = player.instrument_named("walnut bass")
        assert theirs.details().history_digest == bass.details().history_digest
        theirs.add_remark("hums")
        met(player, MeetOptions(listens=False, digits=DIGITS), tech)
        assert theirs.details().history_digest == bass.details().history_digest


def test_other_digits_meet_nobody():
    with (
        fallaway.workshop_in_memory("tech") as tech,
        fallaway.workshop_in_memory("player") as player,
    ):
        bass = tech.add_instrument("bass-4", "walnut bass")
        words = bass.invite(fallaway.Role.VIEWER, 7).words
        options = MeetOptions(listens=False, digits="000000", invitation=words)
        came, listened = met(player, options, tech)
        assert came.outcome == listened.outcome == MeetingOutcome.APART()
        assert player.instruments() == []
