"""What is fetched is what was pinned, or nothing is handed on; what is missing is said with the way out."""

from __future__ import annotations

import base64
import hashlib
import zipfile
from pathlib import Path

import pytest

from tests.unit.web.programs import put_program, tarball
from tracer.base.errors import EmitError
from tracer.web import fetch
from tracer.web.fetch import checkout, fetch_npm, fetch_wheels, make_own_wheel, source_of
from tracer.web.pinned import NpmPackage, Wheel

FILES = {"a.js": b"one", "deep/b.js": b"two", "package.json": b'{"repository": {"url": "git+ssh://x/y"}}'}
TARBALL = tarball(FILES)
SHA512 = base64.b64encode(hashlib.sha512(TARBALL).digest()).decode("ascii")
PACKAGE = NpmPackage("@ours/thing", "1.2.3", SHA512, "MIT", ("a.js", "deep/b.js"))


@pytest.fixture
def npm(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """A program npm that packs one tarball and notes what it was asked; gives the folder that it works in."""
    (tmp_path / "thing.tgz").write_bytes(TARBALL)
    put_program(
        tmp_path / "bin", "npm", f'echo "$@" > {tmp_path}/asked; cp {tmp_path}/thing.tgz ours-thing-1.2.3.tgz'
    )
    monkeypatch.setenv("PATH", str(tmp_path / "bin"))
    folder = tmp_path / "work"
    folder.mkdir()
    return folder


def test_the_files_that_are_taken_come_with_what_the_package_says_of_itself(npm: Path) -> None:
    assert fetch_npm(PACKAGE, npm) == FILES
    asked = (npm.parent / "asked").read_text(encoding="utf-8").split()
    assert asked[0] == "pack"
    assert asked[-1] == "@ours/thing@1.2.3"
    assert source_of(FILES["package.json"]) == "ssh://x/y"
    assert source_of(b'{"repository": "ours/thing"}') == "ours/thing"


def test_a_tarball_with_another_hash_is_refused(npm: Path) -> None:
    (npm.parent / "thing.tgz").write_bytes(tarball({**FILES, "a.js": b"another"}))
    with pytest.raises(EmitError) as caught:
        fetch_npm(PACKAGE, npm)
    assert caught.value.what.startswith("what came as @ours/thing 1.2.3 has the hash ")
    assert caught.value.what.endswith(f"and {SHA512} is pinned")


def test_a_file_that_the_package_lacks_is_named(npm: Path) -> None:
    package = NpmPackage("@ours/thing", "1.2.3", SHA512, "MIT", ("a.js", "c.js"))
    with pytest.raises(EmitError, match=r"has no file c\.js"):
        fetch_npm(package, npm)


def test_without_npm_it_is_said_what_to_install(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("PATH", str(tmp_path))
    with pytest.raises(EmitError) as caught:
        fetch_npm(PACKAGE, tmp_path)
    assert caught.value.what == "npm, which fetches @ours/thing, is not installed"
    assert "Node.js" in str(caught.value.fix)


def test_what_npm_says_when_it_fails_is_told(npm: Path) -> None:
    put_program(npm.parent / "bin", "npm", "echo 'no such host' >&2; exit 1")
    with pytest.raises(EmitError) as caught:
        fetch_npm(PACKAGE, npm)
    assert caught.value.what == "npm did not get @ours/thing 1.2.3: no such host"


def test_an_npm_that_packs_nothing_is_noticed(npm: Path) -> None:
    put_program(npm.parent / "bin", "npm", "exit 0")
    with pytest.raises(EmitError, match="npm gave no file for @ours/thing"):
        fetch_npm(PACKAGE, npm)


@pytest.fixture
def index(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Wheel:
    """A folder that pip takes wheels from, and nothing else, with one wheel."""
    folder = tmp_path / "index"
    folder.mkdir()
    path = folder / "thing-1.0-py3-none-any.whl"
    with zipfile.ZipFile(path, "w") as archive:
        archive.writestr("thing.py", "")
        archive.writestr("thing-1.0.dist-info/METADATA", "Metadata-Version: 2.1\nName: thing\nVersion: 1.0\n")
        archive.writestr("thing-1.0.dist-info/WHEEL", "Wheel-Version: 1.0\nTag: py3-none-any\n")
        archive.writestr("thing-1.0.dist-info/RECORD", "")
    monkeypatch.setenv("PIP_CONFIG_FILE", "/dev/null")
    monkeypatch.setenv("PIP_NO_INDEX", "1")
    monkeypatch.setenv("PIP_FIND_LINKS", str(folder))
    return Wheel("thing", "1.0", path.name, hashlib.sha256(path.read_bytes()).hexdigest(), "MIT")


def test_wheels_come_by_pip_with_their_hashes(index: Wheel, tmp_path: Path) -> None:
    folder = tmp_path / "work"
    folder.mkdir()
    [path] = fetch_wheels([index], folder)
    assert path == folder / "thing-1.0-py3-none-any.whl"
    assert hashlib.sha256(path.read_bytes()).hexdigest() == index.sha256


def test_a_wheel_with_another_hash_is_refused(index: Wheel, tmp_path: Path) -> None:
    other = Wheel(index.name, index.version, index.file, "0" * 64, index.licence)
    with pytest.raises(EmitError) as caught:
        fetch_wheels([other], tmp_path)
    assert caught.value.what.startswith("pip did not get the wheels: ")
    assert index.sha256 in caught.value.what


def test_a_wheel_is_hashed_here_too(index: Wheel, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """A pip that does not look gives nothing to the build either."""
    monkeypatch.setattr(fetch, "run_program", lambda *_: (tmp_path / index.file).write_bytes(b"another"))
    with pytest.raises(EmitError, match=r"^what came as thing 1\.0 has the hash "):
        fetch_wheels([index], tmp_path)


def test_a_wheel_under_another_name_is_noticed(
    index: Wheel, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(fetch, "run_program", lambda *_: None)
    with pytest.raises(EmitError, match=r"pip gave no file thing-1\.0-py3-none-any\.whl"):
        fetch_wheels([index], tmp_path)


def test_the_checkout_is_where_the_program_stands() -> None:
    assert (checkout() / "tracer" / "web").is_dir()


def test_a_program_that_was_installed_has_no_checkout(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(fetch, "__file__", str(tmp_path / "site-packages" / "tracer" / "web" / "fetch.py"))
    with pytest.raises(EmitError) as caught:
        checkout()
    assert caught.value.file == str(tmp_path / "site-packages")
    assert "python -m tracer.web build" in str(caught.value.fix)


def test_a_folder_that_is_no_checkout_gives_no_wheel(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("PIP_NO_INDEX", "1")
    with pytest.raises(EmitError, match=r"^pip did not make our own wheel: "):
        make_own_wheel(tmp_path, tmp_path)
