"""Requests to relays by Python's own client."""

import http.client
import ssl
import urllib.error
import urllib.request
from email.message import Message
from typing import IO

from ._core.fallaway import HttpHeader, HttpRequest, HttpResponse, HttpTransport, TransportError


class _NoRedirect(urllib.request.HTTPRedirectHandler):
    """Answers a redirect as it came: a relay sends nobody elsewhere."""

    def redirect_request(
        self,
        req: urllib.request.Request,
        fp: IO[bytes],
        code: int,
        msg: str,
        headers: http.client.HTTPMessage,
        newurl: str,
    ) -> None:
        """Nowhere."""
        return None


class UrllibTransport(HttpTransport):
    """Carries requests to relays by `urllib`, with the proxies that the environment names.

    `context` decides which certificates are believed; without one, those of the system are. The time of a
    request counts from one piece of the answer to the next.

    >>> import fallaway
    >>> with fallaway.workshop_in_memory("tech") as workshop:
    ...     bass = workshop.add_instrument("bass-4", "walnut bass")
    ...     bass.set_relay("http://127.0.0.1:9")  # where nobody listens
    ...     report = bass.sync(fallaway.UrllibTransport())
    ...     print(report.outcome.why)
    ExchangeFault.OFFLINE
    """

    def __init__(self, context: ssl.SSLContext | None = None) -> None:
        self._opener = urllib.request.build_opener(
            _NoRedirect(), urllib.request.HTTPSHandler(context=context)
        )

    def send(self, request: HttpRequest) -> HttpResponse:
        """Sends one request and waits for its answer; called by the library."""
        body = request.body if request.method in ("POST", "PUT") else None
        headers = {header.name: header.value for header in request.headers}
        wanted = urllib.request.Request(request.url, body, headers, method=request.method)
        try:
            try:
                with self._opener.open(wanted, timeout=request.timeout_s) as answer:
                    return _read(answer.status, answer.headers, answer, request.max_body)
            except urllib.error.HTTPError as refusal:
                with refusal:
                    return _read(refusal.code, refusal.headers, refusal, request.max_body)
        except urllib.error.URLError as error:
            raise _why(error.reason if isinstance(error.reason, Exception) else error) from error
        except (OSError, http.client.HTTPException, ValueError) as error:
            raise _why(error) from error


def _read(status: int, headers: Message, body: IO[bytes], most: int) -> HttpResponse:
    """An answer, if it is not too long."""
    came = body.read(most + 1)
    if len(came) > most:
        raise TransportError.Garbage("the answer is too long")
    listed = [HttpHeader(name=name, value=value) for name, value in headers.items()]
    return HttpResponse(status=status, headers=listed, body=came)


def _why(error: Exception) -> TransportError:
    """What a failure means. Its kind is said and not its words, which may hold the address."""
    kind = type(error).__name__
    if isinstance(error, ssl.SSLError):
        return TransportError.Untrusted(f"{kind}: {error.reason}")
    if isinstance(error, TimeoutError):
        return TransportError.Slow(kind)
    if isinstance(error, (http.client.HTTPException, ValueError)):
        # A connection that was closed before the answer is no answer, not a wrong one.
        is_gone = isinstance(error, http.client.RemoteDisconnected)
        return TransportError.Offline(kind) if is_gone else TransportError.Garbage(kind)
    return TransportError.Offline(kind)
