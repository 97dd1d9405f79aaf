"""The server on this machine: what it answers, to whom, and with what words to the browser."""

from __future__ import annotations

import http.client
import mimetypes
import socket
import threading
from collections.abc import Iterator
from pathlib import Path

import pytest

from tests.unit.web.sites import FILES, POLICY, lay_out_site
from tracer.base.errors import EmitError, UsageError
from tracer.web import serve
from tracer.web.serve import Server, open_server

#: A policy with a header of its own behind it.
BROKEN = '{"build": "1", "policy": "x\\nSet-Cookie: a", "files": []}'
TYPES = {
    "index.html": "text/html; charset=utf-8",
    "sw.js": "text/javascript; charset=utf-8",
    "style.css": "text/css; charset=utf-8",
    "app.webmanifest": "application/manifest+json",
    "icon.svg": "image/svg+xml",
    "licences.txt": "text/plain; charset=utf-8",
    "runtime/pyodide.mjs": "text/javascript; charset=utf-8",
    "a.json": "application/json",
    "a.zip": "application/zip",
    "a.wasm": "application/wasm",
    "a.odd": "application/octet-stream",
}


@pytest.fixture
def site(tmp_path: Path) -> Path:
    lay_out_site(tmp_path / "site")
    (tmp_path / "secret.txt").write_text("secret")
    (tmp_path / "site" / "left.txt").write_text("of no build")
    return tmp_path / "site"


@pytest.fixture
def server(site: Path) -> Iterator[Server]:
    with open_server(site, 0) as opened:
        thread = threading.Thread(target=opened.serve_forever, kwargs={"poll_interval": 0.01})
        thread.start()
        yield opened
        opened.shutdown()
        thread.join()


def ask(
    server: Server, path: str, method: str = "GET", host: str | None = None, **headers: str
) -> tuple[http.client.HTTPResponse, bytes]:
    connection = http.client.HTTPConnection("127.0.0.1", server.server_port, timeout=30)
    try:
        connection.putrequest(method, path, skip_host=True)
        if host != "":
            connection.putheader("Host", host or f"127.0.0.1:{server.server_port}")
        for name, value in headers.items():
            connection.putheader(name.replace("_", "-"), value)
        connection.endheaders()
        answer = connection.getresponse()
        return answer, answer.read()
    finally:
        connection.close()


@pytest.mark.parametrize("name", FILES)
def test_every_file_comes_with_its_type_whatever_the_machine_says(
    name: str, server: Server, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(mimetypes, "guess_type", lambda *_: ("text/plain", None))
    answer, body = ask(server, f"/{name}")
    assert (answer.status, answer.getheader("Content-Type")) == (200, TYPES[name])
    assert body.decode() == name


def test_the_address_alone_is_the_page(server: Server) -> None:
    assert ask(server, "/")[1] == ask(server, "/?again")[1] == b"index.html"
    assert server.url == f"http://127.0.0.1:{server.server_port}/"


@pytest.mark.parametrize("path", ["/", "/sw.js", "/nothing", "/runtime/pyodide.mjs"])
def test_browsers_are_told_what_the_pages_may_do(path: str, server: Server) -> None:
    answer, _ = ask(server, path)
    worker = "default-src 'none'; script-src 'self'; connect-src 'self'"
    assert answer.headers.get_all("Content-Security-Policy") == [worker if path == "/sw.js" else POLICY]
    assert answer.getheader("X-Content-Type-Options") == "nosniff"
    assert answer.getheader("Referrer-Policy") == "no-referrer"
    assert answer.getheader("Cross-Origin-Opener-Policy") == "same-origin"
    assert answer.getheader("Cross-Origin-Resource-Policy") == "same-origin"
    assert answer.getheader("Cache-Control") == "no-cache"


def test_a_file_that_is_still_the_same_is_not_sent_again(server: Server) -> None:
    answer, _ = ask(server, "/style.css")
    again, body = ask(server, "/style.css", If_Modified_Since=str(answer.getheader("Last-Modified")))
    assert (again.status, body) == (304, b"")


@pytest.mark.parametrize(
    "path",
    [
        "/../secret.txt", "/%2e%2e/secret.txt", "/runtime/../../secret.txt", "/..%2fsecret.txt", "//../secret.txt",
        "/..\\secret.txt", "/runtime", "/runtime/", "/left.txt", "/build.json", "/index.html/", "/%00",
    ],
)  # fmt: skip
def test_nothing_but_the_files_of_the_build_is_answered(path: str, server: Server) -> None:
    answer, body = ask(server, path)
    assert answer.status == 404
    assert b"secret" not in body.replace(b"secret.txt", b"")
    assert b"of no build" not in body


def test_a_link_out_of_the_folder_is_none_of_its_files(site: Path) -> None:
    (site / "a.odd").unlink()
    (site / "a.odd").symlink_to(site.parent / "secret.txt")
    with open_server(site, 0) as opened:
        assert set(opened.manifest.files) == set(FILES) - {"a.odd"}


@pytest.mark.parametrize(
    "host", ["elsewhere.example", "elsewhere.example:{}", "127.0.0.1", "localhost:1", ""]
)
def test_a_request_that_names_another_host_is_refused(host: str, server: Server) -> None:
    """A page elsewhere whose name leads to this machine."""
    answer, body = ask(server, "/", host=host.format(server.server_port))
    assert answer.status == 403
    assert b"index.html" not in body


def test_the_machines_own_name_for_itself_is_taken(server: Server) -> None:
    assert ask(server, "/", host=f"LOCALHOST:{server.server_port}")[0].status == 200


def test_only_reading_is_answered(server: Server) -> None:
    head, body = ask(server, "/style.css", "HEAD")
    assert (head.status, head.getheader("Content-Length"), body) == (200, "9", b"")
    assert ask(server, "/nothing", "HEAD")[0].status == 404
    assert {ask(server, "/", method)[0].status for method in ("POST", "PUT", "DELETE", "OPTIONS")} == {501}


def test_no_other_machine_can_reach_it(server: Server) -> None:
    assert server.server_address[0] == "127.0.0.1"


def test_a_port_in_use_is_said_with_the_way_out_and_else_the_next_is_taken(
    server: Server, site: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    with pytest.raises(EmitError) as caught:
        open_server(site, server.server_port)
    assert caught.value.what == f"another program listens on port {server.server_port}"
    assert "--port" in str(caught.value.fix)
    with socket.socket() as taken:
        taken.bind(("127.0.0.1", 0))
        taken.listen()
        monkeypatch.setattr(serve, "FIRST_PORT", taken.getsockname()[1])
        with open_server(site) as other:
            assert serve.FIRST_PORT < other.server_port <= serve.FIRST_PORT + 20
        monkeypatch.setattr(serve, "_TRIED", 1)
        with pytest.raises(EmitError, match="other programs listen on all ports"):
            open_server(site)


@pytest.mark.parametrize("port", [-1, 65536])
def test_what_is_no_port_is_said(port: int, site: Path) -> None:
    with pytest.raises(UsageError, match=rf"^--port {port} is no port"):
        open_server(site, port)


@pytest.mark.parametrize(
    "text", ["", "[]", '{"build": 1, "policy": "x", "files": []}', '{"files": ["a"]}', BROKEN]
)
def test_a_folder_that_is_no_build_is_said_with_how_to_build_it(text: str, tmp_path: Path) -> None:
    (tmp_path / "build.json").write_text(text)
    with pytest.raises(UsageError) as caught:
        open_server(tmp_path)
    assert caught.value.what == "no build for a browser is in this folder"
    assert caught.value.fix == f"build it: python -m tracer.web build -o {tmp_path}"


def test_a_folder_that_is_not_there_is_said(tmp_path: Path) -> None:
    with pytest.raises(UsageError, match="there is no such folder"):
        open_server(tmp_path / "nothing")
