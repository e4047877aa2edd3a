"""A meeting over Python's own sockets."""

import socket

from ._core.fallaway import ByteStream, StreamError


class SocketStream(ByteStream):
    """Carries a meeting over a connected socket. Close the socket when the meeting is over.

    >>> import fallaway, socket
    >>> one, other = socket.socketpair()
    >>> other.close()
    >>> with one, fallaway.workshop_in_memory("tech") as workshop:
    ...     options = fallaway.MeetOptions(listens=True, digits=workshop.meeting_digits())
    ...     report = workshop.meet(fallaway.SocketStream(one), options)
    ...     print(report.outcome.why)
    MeetingFault.CUT
    """

    def __init__(self, connected: socket.socket) -> None:
        self._socket = connected

    def read(self, most: int, timeout_ms: int) -> bytes:
        """Waits for bytes; called by the library."""
        try:
            self._socket.settimeout(max(timeout_ms, 1) / 1000)
            return self._socket.recv(most)
        except TimeoutError as error:
            raise StreamError.Slow(type(error).__name__) from error
        except OSError as error:
            raise StreamError.Gone(type(error).__name__) from error

    def write(self, bytes: bytes, timeout_ms: int) -> None:
        """Sends all of these; called by the library."""
        try:
            self._socket.settimeout(max(timeout_ms, 1) / 1000)
            self._socket.sendall(bytes)
        except TimeoutError as error:
            raise StreamError.Slow(type(error).__name__) from error
        except OSError as error:
            raise StreamError.Gone(type(error).__name__) from error
