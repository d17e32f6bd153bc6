"""An application and an address come in; it is served until somebody ends it.

Refuses an address that cannot be had, and a certificate that cannot be used (InputError).
"""

from __future__ import annotations

import contextlib
import errno
import os
import signal
import socket
import ssl
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from pathlib import Path
from types import FrameType
from typing import Any

import uvicorn
from fastapi import FastAPI

from earwitness.schemas import InputError, Problem


@dataclass(frozen=True, slots=True)
class Certificate:
    """What TLS needs: files of a certificate and of its key."""

    certificate: Path
    key: Path

    def check(self) -> None:
        """Whether they can be used.

        Raises:
            InputError: they cannot.
        """
        for option, path in (("--tls-cert", self.certificate), ("--tls-key", self.key)):
            if not path.is_file():
                raise InputError(Problem(str(path), 0, "no such file", f"{option} names a file in PEM"))
        try:
            ssl.SSLContext(ssl.PROTOCOL_TLS_SERVER).load_cert_chain(self.certificate, self.key)
        except (OSError, ssl.SSLError) as error:
            reason = f"cannot be used with {self.key} ({' '.join(str(error).split())[:120]})"
            raise InputError(Problem(str(self.certificate), 0, reason, "a certificate and its key, in PEM")) from error


def take_address(host: str, port: int) -> socket.socket:
    """A socket at an address; port 0: any that is free.

    Raises:
        InputError: it cannot be had.
    """
    try:
        family, kind, _, _, address = socket.getaddrinfo(host, port, type=socket.SOCK_STREAM)[0]
    except OSError as error:
        reason = f"there is no address {host!r} ({error.strerror or error})"
        raise InputError(Problem("--host", 0, reason, "an address of this machine, like 127.0.0.1")) from error
    place = socket.socket(family, kind)
    try:
        # On Windows that would let two programs have one port.
        if os.name == "posix":
            place.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
        place.bind(address)
        place.listen(128)
    except OSError as error:
        place.close()
        raise _refused(host, port, error) from error
    return place


def _refused(host: str, port: int, error: OSError) -> InputError:
    if error.errno == errno.EADDRINUSE:
        return InputError(Problem("--port", 0, f"port {port} is taken at {host}", "another --port, or 0 for any"))
    if error.errno == errno.EACCES:
        return InputError(Problem("--port", 0, f"port {port} is not for everybody", "a --port from 1024 on"))
    reason = f"cannot listen at {host} ({error.strerror or error})"
    return InputError(Problem("--host", 0, reason, "an address of this machine, like 127.0.0.1"))


class _Server(uvicorn.Server):
    """Says when it is there, and lets streams end before it goes."""

    def __init__(self, config: uvicorn.Config, app: FastAPI, when_there: Callable[[], None]):
        super().__init__(config)
        self._app, self._when_there = app, when_there

    async def startup(self, sockets: list[socket.socket] | None = None) -> None:
        await super().startup(sockets)
        if self.started:
            self._when_there()

    async def shutdown(self, sockets: list[socket.socket] | None = None) -> None:
        self._app.state.live.end()
        await super().shutdown(sockets)


def serve_in(
    app: FastAPI, certificate: Certificate | None = None, when_there: Callable[[], None] = lambda: None
) -> uvicorn.Server:
    """A server of an application, for a thread of one's own: `run([place])`, and `should_exit = True` to end it."""
    told: dict[str, Any] = {}
    if certificate:
        told = {"ssl_certfile": certificate.certificate, "ssl_keyfile": certificate.key}
    config = uvicorn.Config(
        app,
        log_level="error",
        access_log=False,
        lifespan="off",
        timeout_graceful_shutdown=3,
        timeout_keep_alive=30,
        # Whoever is in front may say anything of where a request comes from.
        proxy_headers=False,
        server_header=False,
        ws="none",
        limit_concurrency=500,
        **told,
    )
    return _Server(config, app, when_there)


def serve(
    app: FastAPI,
    place: socket.socket,
    certificate: Certificate | None = None,
    when_there: Callable[[], None] = lambda: None,
) -> None:
    """Serve until an interrupt or a request to end comes; returns when all is closed."""
    with _ends_as_by_hand(), contextlib.suppress(KeyboardInterrupt):
        serve_in(app, certificate, when_there).run([place])


@contextlib.contextmanager
def _ends_as_by_hand() -> Iterator[None]:
    """Has a request to end (SIGTERM) end the program as Ctrl+C does: with everything closed."""

    def end(_: int, __: FrameType | None) -> None:
        raise KeyboardInterrupt

    before = signal.signal(signal.SIGTERM, end)
    try:
        yield
    finally:
        signal.signal(signal.SIGTERM, before)
