"""Workshops that end with a `with` block."""

import os
from types import TracebackType
from typing import Self

from ._core import fallaway as _core
from ._core.fallaway import FallawayError, LogSink, RandomSource, SecretKeeper, TimeSource, WorkshopOptions


class Workshop(_core.Workshop):
    """All instruments that this device keeps, in one folder.

    Calls block (an edit is durable when its call returns) and may come from any thread. As a context
    manager it is shut down at the end of the block; every handle answers `FallawayError.Closed` then.
    """

    def __enter__(self) -> Self:
        """The workshop itself."""
        return self

    def __exit__(
        self,
        kind: type[BaseException] | None,
        error: BaseException | None,
        trace: TracebackType | None,
    ) -> None:
        """Shuts it down. One that is shut down already stays so."""
        try:
            self.shut_down()
        except FallawayError.Closed:
            pass

    def __repr__(self) -> str:
        """Whose it is: what a notebook shows."""
        try:
            return f"<Workshop of {self.device().label!r}>"
        except FallawayError:
            return "<Workshop, shut down>"


def open_workshop(
    folder: str | os.PathLike[str],
    label: str,
    *,
    keeper: SecretKeeper | None = None,
    log: LogSink | None = None,
    time: TimeSource | None = None,
    random: RandomSource | None = None,
    replace_garbage: bool = False,
    max_pages: int | None = None,
) -> Workshop:
    """Opens the workshop in a folder, which is made if need be.

    `label` is how this device is shown to others, such as "tech". Without a `keeper` the device's
    secrets lie in `keys` inside the folder: leave that out of backups. `time` and `random` are for
    tests. Raises `FallawayError.Storage`, `Keys`, `Busy`, `Full` or `BadInput`.

    >>> import tempfile
    >>> with tempfile.TemporaryDirectory() as folder, open_workshop(folder, "tech") as workshop:
    ...     bass = workshop.add_instrument("bass-4", "walnut bass")
    ...     bass.name()
    'walnut bass'
    """
    options = WorkshopOptions(
        folder=os.fspath(folder),
        label=label,
        replace_garbage=replace_garbage,
        max_pages=max_pages,
    )
    return Workshop.open(options, keeper, log, time, random)


def workshop_in_memory(
    label: str, *, time: TimeSource | None = None, random: RandomSource | None = None
) -> Workshop:
    """A workshop that ends with the process, for tests and for trying things out."""
    return Workshop.in_memory(label, time, random)


def back_up(folder: str | os.PathLike[str], file: str | os.PathLike[str]) -> None:
    """Writes everything that the folder of a workshop keeps to one file, not sealed.

    The device's secrets are not in it. The workshop may be open meanwhile; a file that is there is
    replaced. Raises `FallawayError.BadInput` for a folder without a workshop, `Storage`, `Full`.
    """
    _core.back_up(os.fspath(folder), os.fspath(file))


def restore(file: str | os.PathLike[str], folder: str | os.PathLike[str]) -> None:
    """Makes the workshop of a folder that has none out of such a file.

    Raises `FallawayError.BadInput` if there is a workshop in the folder; `Storage` for a file that
    `back_up` did not write.
    """
    _core.restore(os.fspath(file), os.fspath(folder))
