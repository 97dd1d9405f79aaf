"""Shows a built folder to browsers on this machine, and to nobody else.

The same machine runs pages of other sites too. What they could try is refused: a request that names another host (a
name of theirs that leads here, DNS rebinding), a file that the build did not write, and by the headers every use of
our files in a page of theirs.
"""

from __future__ import annotations

import errno
import os
import shlex
import socketserver
import sys
from http import HTTPStatus
from http.server import SimpleHTTPRequestHandler, ThreadingHTTPServer
from pathlib import Path, PurePosixPath
from typing import Any
from urllib.parse import unquote, urlsplit

from tracer.base.errors import EmitError, UsageError
from tracer.web.folder import Manifest, read_manifest
from tracer.web.policy import WORKER_POLICY

__all__ = ["FIRST_PORT", "Server", "open_server"]

#: The one address of this machine that no other machine reaches (RFC 1122, 3.2.1.3).
_ADDRESS = "127.0.0.1"
_NAMES = (_ADDRESS, "localhost")
#: The port that is tried first when none is told, and how many behind it.
FIRST_PORT, _TRIED = 8000, 20
_LAST_PORT = 65535
_START, _WORKER = "index.html", "sw.js"
#: Ending -> media type (IANA); what the machine's registry says differs between machines.
_TYPES = {
    ".css": "text/css; charset=utf-8",
    ".html": "text/html; charset=utf-8",
    ".js": "text/javascript; charset=utf-8",
    ".json": "application/json",
    ".mjs": "text/javascript; charset=utf-8",
    ".svg": "image/svg+xml",
    ".txt": "text/plain; charset=utf-8",
    ".wasm": "application/wasm",
    ".webmanifest": "application/manifest+json",
    ".zip": "application/zip",
}
_ANY_TYPE = "application/octet-stream"


class Server(ThreadingHTTPServer):
    """A server of one folder; made by `open_server`."""

    #: On Windows two programs could else listen on one port.
    allow_reuse_address = os.name != "nt"

    def __init__(self, folder: Path, manifest: Manifest, port: int) -> None:
        self.folder, self.manifest = folder, manifest
        super().__init__((_ADDRESS, port), _Handler)

    def server_bind(self) -> None:
        """Take the port, without looking up the machine's name, which can take seconds."""
        socketserver.TCPServer.server_bind(self)
        self.server_name, self.server_port = _ADDRESS, int(self.server_address[1])

    def handle_error(self, request: Any, client_address: Any) -> None:
        """Say what failed; a browser that goes away in the middle of a file is no mistake of anyone."""
        if not isinstance(sys.exception(), ConnectionError):
            super().handle_error(request, client_address)

    @property
    def url(self) -> str:
        """What is typed into the browser."""
        return f"http://{_ADDRESS}:{self.server_port}/"


def open_server(folder: Path, port: int | None = None) -> Server:
    """A server that listens, and answers once ``serve_forever`` is called.

    Parameters
    ----------
    folder : Path
        As `tracer.web.build.build` writes it.
    port : int or None
        None takes the first free one from `FIRST_PORT` on; 0 any free one.

    Raises
    ------
    UsageError
        The folder is no build, or the port is no port.
    EmitError
        The port is in use, or this program may not listen on it.
    """
    manifest = read_manifest(folder)
    if manifest is None:
        what = "no build for a browser is in this folder" if folder.is_dir() else "there is no such folder"
        raise UsageError(
            what, file=str(folder), fix=f"build it: python -m tracer.web build -o {shlex.quote(str(folder))}"
        )
    if port is not None and not 0 <= port <= _LAST_PORT:
        raise UsageError(
            f"--port {port} is no port", fix=f"give a number up to {_LAST_PORT:,}, or leave --port out"
        )
    ports = (port,) if port is not None else range(FIRST_PORT, FIRST_PORT + _TRIED)
    for number in ports:
        try:
            return Server(folder, manifest, number)
        except OSError as error:
            if port is not None and error.errno != errno.EADDRINUSE:
                raise EmitError(
                    f"cannot listen on port {port}: {error.strerror or error}",
                    fix="leave --port out: then a free one is taken",
                ) from None
    if port is not None:
        raise EmitError(
            f"another program listens on port {port}", fix="leave --port out: then a free one is taken"
        )
    raise EmitError(
        f"other programs listen on all ports from {FIRST_PORT} to {FIRST_PORT + _TRIED - 1}",
        fix="tell a free one: --port 9000",
    )


class _Handler(SimpleHTTPRequestHandler):
    """Answers one request; the library's own way with a file, for those that the build wrote and no others."""

    server: Server
    server_version, sys_version = "rgbroots", ""
    #: File that is answered, by its path in the folder; empty for none.
    _file = ""

    def do_GET(self) -> None:
        """Answer with a file."""
        if self._is_allowed():
            super().do_GET()

    def do_HEAD(self) -> None:
        """Answer as GET would, without the file."""
        if self._is_allowed():
            super().do_HEAD()

    def _is_allowed(self) -> bool:
        """Whether there is such a file for who asks; else the refusal is sent."""
        port = self.server.server_port
        if self.headers.get("Host", "").lower() not in {f"{name}:{port}" for name in _NAMES}:
            self.send_error(HTTPStatus.FORBIDDEN, f"ask for {self.server.url}")
            return False
        asked = unquote(urlsplit(self.path).path).removeprefix("/") or _START
        if asked not in self.server.manifest.files:
            self.send_error(HTTPStatus.NOT_FOUND)
            return False
        self._file = asked
        return True

    def translate_path(self, path: str) -> str:  # noqa: ARG002
        """The file on this machine; `_is_allowed` has looked at what was asked."""
        return str(self.server.folder / self._file)

    def list_directory(self, path: Any) -> None:  # noqa: ARG002
        """No folder is ever listed; a build has none among its files."""
        self.send_error(HTTPStatus.NOT_FOUND)

    def guess_type(self, path: Any) -> str:
        """The media type, the same on every machine."""
        return _TYPES.get(PurePosixPath(str(path)).suffix, _ANY_TYPE)

    def end_headers(self) -> None:
        """Add what browsers are told with every answer."""
        policy = WORKER_POLICY if self._file == _WORKER else self.server.manifest.policy
        self.send_header("Content-Security-Policy", policy)
        self.send_header("X-Content-Type-Options", "nosniff")
        self.send_header("Referrer-Policy", "no-referrer")
        self.send_header("Cross-Origin-Opener-Policy", "same-origin")
        self.send_header("Cross-Origin-Resource-Policy", "same-origin")
        # It is asked each time whether the file is still the same: a new build shows at once.
        self.send_header("Cache-Control", "no-cache")
        super().end_headers()

    def log_message(self, format: str, *args: Any) -> None:
        """Nothing: a terminal full of requests helps nobody."""
