#!/usr/bin/env python3
"""Devices in several languages share one record by bundle files, and end equal.

Each device is a small program that uses its language's package; PROTOCOL.md says how they are talked
to. The script edits at random on each, carries bundle files between them out of order, twice, late or
not at all, lets everybody meet at the end, settles what is contested, and compares.

    run.py --seed 7 --rounds 60 rust=PROGRAM python="python3 PROGRAM" ...

A word of a program's command that holds {folder} stands for the folder in which files are exchanged.
"""

import argparse
import pathlib
import random
import shlex
import subprocess
import sys
import tempfile


# The devices that meet each other.
IN_A_ROOM = {"rust", "python"}


class Failed(Exception):
    """Something that had to hold did not."""


class Device:
    """One device: its program, and what its person did."""

    def __init__(self, name: str, command: str, folder: pathlib.Path) -> None:
        self.name = name
        self.folder = folder / name
        self.opened = False
        self.remarks: list[str] = []
        self.inbox: list[pathlib.Path] = []
        self.lost: list[pathlib.Path] = []
        words = [word.replace("{folder}", str(folder)) for word in shlex.split(command)]
        self.process = subprocess.Popen(
            words, stdin=subprocess.PIPE, stdout=subprocess.PIPE, text=True, encoding="utf-8"
        )

    def try_to(self, *fields: object) -> list[str]:
        """Sends a command; the fields of the answer."""
        self.begin(*fields)
        return self.answer(*fields)

    def begin(self, *fields: object) -> None:
        """Sends a command, whose answer is read later."""
        line = "\t".join(str(field) for field in fields)
        try:
            self.process.stdin.write(line + "\n")
            self.process.stdin.flush()
        except BrokenPipeError:
            raise Failed(f"{self.name} ended before {line!r}") from None

    def answer(self, *fields: object) -> list[str]:
        """The fields of the answer to a command that was sent."""
        answer = self.process.stdout.readline()
        if not answer:
            raise Failed(f"{self.name} ended at {fields!r}")
        return answer.rstrip("\n").split("\t")

    def do(self, *fields: object) -> list[str]:
        """Sends a command that has to work."""
        answer = self.try_to(*fields)
        if answer[0] != "ok":
            raise Failed(f"{self.name}: {fields!r} answered {answer!r}")
        return answer[1:]


def edit(device: Device, dice: random.Random) -> None:
    """One thing that a person does."""
    match dice.randrange(8):
        case 0 | 1:
            text = f"{device.name} {len(device.remarks)}: \N{HIGH VOLTAGE SIGN} \N{LATIN SMALL LETTER E WITH ACUTE}"
            device.do("remark", text)
            device.remarks.append(text)
        case 2 | 3:
            device.do("pass", "rule 1/64", " ".join(str(dice.randint(4, 8)) for _ in range(5)))
        case 4:
            device.do("about", f"{device.name} says {dice.randrange(1000)}")
        case 5:
            device.do("target", dice.randint(20, 40))
        case 6:
            device.do("turn", dice.choice([-2, -1, 1, 2]))
        case 7:
            match dice.randrange(4):
                case 0:
                    device.do("pause")
                case 1:
                    device.do("shut")
                    device.do("open", device.folder, device.name)
                case _:
                    device.do("end")


def send(device: Device, devices: list[Device], folder: pathlib.Path, dice: random.Random) -> None:
    """Puts a bundle file out, and drops a copy of it at some of the others; some copies are lost."""
    number = len(list(folder.glob("*.bundle")))
    path = folder / f"{number}-{device.name}.bundle"
    device.do("out", path, dice.choice(["new", "new", "everything"]))
    if not path.exists():
        # Nothing was new.
        return
    for other in devices:
        if other is device:
            continue
        if dice.random() < 0.3:
            other.lost.append(path)
        else:
            # Now and then it comes twice, and anywhere among those that have not been looked at.
            for _ in range(dice.choice([1, 1, 1, 2])):
                other.inbox.insert(dice.randint(0, len(other.inbox)), path)


def send_again(device: Device, dice: random.Random) -> None:
    """A copy that was lost is sent once more."""
    path = device.lost.pop(dice.randrange(len(device.lost)))
    device.inbox.insert(dice.randint(0, len(device.inbox)), path)


def take(device: Device) -> None:
    """Brings the next bundle file in. What has to wait for an earlier one is taken all the same."""
    path = device.inbox.pop(0)
    answer = device.try_to("in", path)
    if answer[0] != "ok":
        raise Failed(f"{device.name}: {path.name} answered {answer!r}")


def meet(devices: list[Device], folder: pathlib.Path, turn: str) -> None:
    """Everybody gives everything to everybody."""
    for device in devices:
        device.do("out", folder / f"{turn}-{device.name}.all", "everything")
    for device in devices:
        for other in devices:
            if other is not device:
                device.do("in", folder / f"{turn}-{other.name}.all")


def meet_in_a_room(host: Device, guest: Device) -> None:
    """Both exchange over a connection: no file."""
    (port,) = host.do("listen")
    host.begin("host", "471108")
    came, stayed = guest.do("visit", port, "471108"), host.answer("host")
    if (came, stayed) != (["up to date"], ["ok", "up to date"]):
        raise Failed(f"{guest.name} and {host.name} met: {came!r}, {stayed!r}")
    if len(states([host, guest])) != 1:
        raise Failed(f"{guest.name} and {host.name} differ after they have met")


def states(devices: list[Device]) -> set[tuple[str, ...]]:
    return {tuple(device.do("state")) for device in devices}


def run(seed: int, rounds: int, commands: dict[str, str], folder: pathlib.Path) -> str:
    dice = random.Random(seed)
    devices = [Device(name, command, folder) for name, command in commands.items()]
    for device in devices:
        device.do("open", device.folder, device.name)
    owner = dice.choice(devices)
    instrument = owner.do("add", "bass-5", "stage bass")
    for device in devices:
        if device is not owner:
            invitation = folder / f"{device.name}.invitation"
            welcome = folder / f"{device.name}.welcome"
            owner.do("invite", invitation, welcome)
            if device.do("accept", invitation, welcome) != instrument:
                raise Failed(f"{device.name} joined another record")
    meet(devices, folder, "first")
    meet(devices, folder, "second")
    for _ in range(rounds):
        device = dice.choice(devices)
        match dice.randrange(12):
            case 0 | 1:
                send(device, devices, folder, dice)
            case 2 | 3 | 4 if device.inbox:
                take(device)
            case 5 if device.lost:
                send_again(device, dice)
            case _:
                edit(device, dice)
    # In one room there is a way without files, in the languages that have a stream ready.
    for host in devices:
        for guest in devices:
            if host is not guest and {host.name, guest.name} <= IN_A_ROOM:
                host.do("remark", text := f"{host.name} was visited by {guest.name}")
                host.remarks.append(text)
                meet_in_a_room(host, guest)
    for device in devices:
        # Half of what was lost turns up late, the rest never.
        for _ in range(len(device.lost) // 2):
            send_again(device, dice)
        while device.inbox:
            take(device)
    # So that something is contested whatever the dice said.
    for device in devices:
        device.do("about", f"{device.name} says so")
    meet(devices, folder, "third")
    if len(states(devices)) != 1:
        raise Failed("after the meeting the devices differ")
    contested = {device.do("contested")[0] for device in devices}
    if len(contested) != 1 or (len(devices) > 1 and contested == {"0"}):
        raise Failed(f"contested fields: {contested}")
    settler = dice.choice(devices)
    fields = int(contested.pop())
    for _ in range(fields):
        settler.do("settle")
    meet(devices, folder, "last")
    found = states(devices)
    if len(found) != 1:
        raise Failed(f"after settling the devices differ: {found}")
    written = sorted(text for device in devices for text in device.remarks)
    for device in devices:
        if device.do("contested") != ["0"]:
            raise Failed(f"{device.name} still has contested fields")
        if sorted(device.do("remarks")) != written:
            raise Failed(f"{device.name} lacks remarks, or has some twice")
        if device.try_to("settle", "too", "many")[:2] != ["err", "usage"]:
            raise Failed(f"{device.name} takes a command that is none")
    for device in devices:
        device.do("quit")
        if device.process.wait(timeout=60) != 0:
            raise Failed(f"{device.name} ended with {device.process.returncode}")
    state, entries = found.pop()
    return (
        f"{', '.join(commands)}: {rounds} rounds, {entries} entries, {len(written)} remarks, "
        f"{fields} contested and settled, all equal at {state}"
    )


def main() -> int:
    parser = argparse.ArgumentParser(description=__doc__.split("\n")[0])
    parser.add_argument("--seed", type=int, default=random.randrange(1_000_000))
    parser.add_argument("--rounds", type=int, default=60)
    parser.add_argument("--folder", type=pathlib.Path, help="where files are exchanged, kept")
    parser.add_argument("devices", nargs="+", help="NAME=COMMAND")
    asked = parser.parse_args()
    commands = dict(device.split("=", 1) for device in asked.devices)
    with tempfile.TemporaryDirectory() as temporary:
        folder = asked.folder or pathlib.Path(temporary)
        folder.mkdir(parents=True, exist_ok=True)
        try:
            print(f"seed {asked.seed}: {run(asked.seed, asked.rounds, commands, folder)}")
        except Failed as failed:
            print(f"seed {asked.seed}: {failed}", file=sys.stderr)
            return 1
    return 0


if __name__ == "__main__":
    sys.exit(main())
