"""The Python device of the end-to-end test; PROTOCOL.md says how it is talked to."""

from __future__ import annotations

import re
import socket
import sys
from pathlib import Path

import fallaway

ACTION = fallaway.Quantity.GAP(stopped_fret=1, over_fret=12)
RELIEF = fallaway.Quantity.RELIEF(from_fret=1, to_fret=24, at_fret=None)


class Usage(Exception):
    """The command is none, or lacks something."""


class Device:
    """What is open, and which instrument is meant."""

    def __init__(self) -> None:
        self._workshop: fallaway.Workshop | None = None
        self._instrument: fallaway.Instrument | None = None
        self._server: socket.socket | None = None

    @property
    def workshop(self) -> fallaway.Workshop:
        """The open workshop."""
        if self._workshop is None:
            raise Usage
        return self._workshop

    @property
    def instrument(self) -> fallaway.Instrument:
        """The instrument that is meant."""
        if self._instrument is None:
            raise Usage
        return self._instrument

    def means(self, instrument: fallaway.Instrument) -> list[str]:
        """From now on this instrument is meant."""
        self._instrument = instrument
        return [instrument.id()]

    def meets(self, stream: socket.socket, *, listens: bool, digits: str) -> list[str]:
        """How a meeting over this socket ended."""
        with stream:
            options = fallaway.MeetOptions(listens=listens, digits=digits)
            report = self.workshop.meet(fallaway.SocketStream(stream), options)
        ended = [report.outcome, *(one.outcome for one in report.met)]
        done = all(one == fallaway.MeetingOutcome.UP_TO_DATE() for one in ended)
        return ["up to date" if done else report.text]

    def answer(self, fields: list[str]) -> list[str]:
        """The fields of the answer."""
        match fields:
            case ["open", folder, label]:
                options = fallaway.WorkshopOptions(folder=folder, label=label)
                self._workshop = fallaway.Workshop.open(options)
                # After `shut`, the instrument of before is meant again.
                for known in self.workshop.instruments()[:1]:
                    self.means(self.workshop.instrument(known.id))
            case ["add", template, name]:
                return self.means(self.workshop.add_instrument(template, name))
            case ["accept", path, welcome]:
                words = Path(path).read_text("utf-8")
                return self.means(self.workshop.accept(words, Path(welcome).read_bytes()))
            case ["in", path]:
                report = self.workshop.bundle_in(Path(path).read_bytes())
                entries = sum(kind.count for added in report.added for kind in added.entries)
                counts = (entries, len(report.newly_contested), len(report.refused))
                return [str(count) for count in counts]
            case ["listen"]:
                self._server = socket.create_server(("127.0.0.1", 0))
                return [str(self._server.getsockname()[1])]
            case ["host", digits] if self._server is not None:
                with self._server as server:
                    stream, _ = server.accept()
                self._server = None
                return self.meets(stream, listens=True, digits=digits)
            case ["visit", port, digits]:
                stream = socket.create_connection(("127.0.0.1", int(port)))
                return self.meets(stream, listens=False, digits=digits)
            case ["pause"]:
                self.workshop.pause()
            case ["shut"]:
                self.workshop.shut_down()
                self._workshop = self._instrument = None
            case ["quit"]:
                if self._workshop is not None:
                    self._workshop.shut_down()
            case _:
                return on_instrument(self.instrument, fields)
        return []


def on_instrument(instrument: fallaway.Instrument, fields: list[str]) -> list[str]:
    """The commands that mean the instrument."""
    match fields:
        case ["invite", path, welcome]:
            invitation = instrument.invite(fallaway.Role.CONTRIBUTOR, 7)
            Path(path).write_text(invitation.words, "utf-8")
            Path(welcome).write_bytes(invitation.welcome)
        case ["remark", text]:
            instrument.add_remark(text)
        case ["pass", label, text]:
            tool = fallaway.Tool.OTHER(label=label)
            try:
                instrument.add_pass_text(ACTION, text, tool=tool)
            except fallaway.FallawayError.Unsure as unsure:
                sure = fallaway.WriteOptions(accept=unsure.doubts)
                instrument.add_pass_text(ACTION, text, tool=tool, options=sure)
        case ["turn", eighths]:
            turned = fallaway.Adjustment(part=fallaway.AdjustedPart.ROD(), turns=int(eighths) / 8)
            instrument.add_adjustment(turned)
        case ["about", text]:
            instrument.set_spec(fallaway.SpecField.ABOUT(text=text))
        case ["target", hundredths]:
            wanted = fallaway.Entered(text=f"{int(hundredths) / 100:.2f} mm")
            target = fallaway.NewTarget(
                quantity=RELIEF,
                location=fallaway.Location.WHOLE(),
                wanted=wanted,
                tolerance=fallaway.Entered(text="0.05 mm"),
            )
            instrument.set_target("stage", target)
        case ["end"]:
            if instrument.details().open_visit is not None:
                instrument.end_visit()
        case ["out", path, "everything" | "new" as what]:
            bundle = instrument.bundle_unsent() if what == "new" else instrument.bundle_out()
            # Nothing new: no file.
            if bundle is not None:
                instrument.delivered(bundle.token)
                Path(path).write_bytes(bundle.file)
        case ["contested"]:
            return [str(len(instrument.contested()))]
        case ["settle"]:
            for first in sorted(instrument.contested(), key=lambda field: field.label)[:1]:
                displayed = next(one for one in first.versions if one.displayed)
                instrument.settle(first, displayed.id)
        case ["state"]:
            entries = instrument.history(fallaway.HistoryFilter())
            return [instrument.details().history_digest, str(len(entries))]
        case ["remarks"]:
            entries = instrument.history(fallaway.HistoryFilter())
            bodies = (entry.body for entry in entries)
            return [body.text for body in bodies if isinstance(body, fallaway.EntryBody.REMARKED)]
        case _:
            raise Usage
    return []


def main() -> None:
    """Answers line by line until the end."""
    sys.stdin.reconfigure(encoding="utf-8", newline="\n")  # type: ignore[union-attr]
    sys.stdout.reconfigure(encoding="utf-8", newline="\n")  # type: ignore[union-attr]
    device = Device()
    for line in sys.stdin:
        fields = line.rstrip("\n").split("\t")
        try:
            answer = ["ok", *device.answer(fields)]
        except Usage:
            answer = ["err", "usage", " ".join(fields)]
        except fallaway.FallawayError as error:
            kind = re.sub(r"(?<=[a-z])(?=[A-Z])", "_", type(error).__name__).lower()
            answer = ["err", kind, str(error)]
        except OSError as error:
            answer = ["err", "storage", str(error)]
        print("\t".join(re.sub(r"[\t\r\n]", " ", field) for field in answer), flush=True)
        if fields == ["quit"]:
            break


if __name__ == "__main__":
    main()
