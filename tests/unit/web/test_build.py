"""The folder: what its files are made of, and that nothing of anyone else's is lost when it is put in place.

What comes from outside is short here; `tests/browser` builds it whole.
"""

from __future__ import annotations

import base64
import gzip
import json
import re
from pathlib import Path

import pytest

from tracer.base.errors import EmitError
from tracer.page.html import script_hash
from tracer.web import build as building
from tracer.web.__main__ import main
from tracer.web.build import build
from tracer.web.folder import read_manifest
from tracer.web.pack import Packed
from tracer.web.pinned import NpmPackage, load_pinned
from tracer.web.policy import page_policy

ABOUT = b'{"repository": {"url": "git+our-forge/thing"}}'
LOCK = {"info": {"python": "3.14.2"}, "packages": {"affine": {"version": "1"}}}
WASM = b"\0asm" * 50
PAGE = Path(building.__file__).parent.parent / "page" / "assets"


@pytest.fixture(autouse=True)
def outside(monkeypatch: pytest.MonkeyPatch) -> None:
    """In place of all that is fetched and compiled: short files."""

    def npm(package: NpmPackage, folder: Path) -> dict[str, bytes]:
        assert not list(folder.iterdir())
        taken = dict.fromkeys(package.files, f"// {package.name}\n//# sourceMappingURL=a.map".encode())
        if "pyodide.asm.wasm" in taken:
            taken |= {"pyodide.asm.wasm": WASM, "pyodide-lock.json": json.dumps(LOCK).encode()}
        return {**taken, "package.json": ABOUT}

    licences = {wheel.name: f"The terms of {wheel.name}." for wheel in load_pinned().wheels}
    packed = Packed(b"the library", b"the packages", {**licences, "rgbroots": "Our terms."})
    monkeypatch.setattr(building, "fetch_npm", npm)
    monkeypatch.setattr(building, "fetch_wheels", lambda wheels, folder: [folder / w.file for w in wheels])
    monkeypatch.setattr(building, "make_own_wheel", lambda _, folder: folder / "rgbroots.whl")
    monkeypatch.setattr(building, "pack", lambda *_: packed)


def held(path: Path) -> str:
    """The text that a module of JavaScript gives."""
    match = re.fullmatch(r"export default (\".*\");\n", path.read_text(encoding="utf-8"))
    assert match
    return str(json.loads(match[1]))


def test_what_the_browser_holds_as_bytes_is_imported_as_text(tmp_path: Path) -> None:
    build(tmp_path / "site")
    runtime = tmp_path / "site" / "runtime"
    assert gzip.decompress(base64.b64decode(held(runtime / "wasm.js"))) == WASM
    assert gzip.decompress(base64.b64decode(held(runtime / "stdlib.js"))) == b"the library"
    assert base64.b64decode(held(runtime / "packages.js")) == b"the packages"
    assert json.loads(held(runtime / "lock.js")) == {**LOCK, "packages": {}}
    assert (runtime / "pyodide.mjs").read_bytes() == b"// pyodide\n"


def test_the_page_says_what_it_may_do_and_the_style_and_chips_are_those_of_the_boards_page(
    tmp_path: Path,
) -> None:
    build(tmp_path / "site")
    page = (tmp_path / "site" / "index.html").read_text(encoding="utf-8")
    policy = page_policy(script_hash())
    assert policy.replace("'", "&#39;") in page
    style = (tmp_path / "site" / "style.css").read_text(encoding="utf-8")
    assert style.startswith((PAGE / "page.css").read_text(encoding="utf-8"))
    chips = (tmp_path / "site" / "chips.js").read_text(encoding="utf-8")
    assert (PAGE / "chip.js").read_text(encoding="utf-8") in chips
    assert chips.startswith("export function chipsOf({ make, draw, drawn, legItem }) {\n")
    assert chips.endswith("\nreturn chipFigure;\n}\n")


def test_the_policy_lets_nothing_be_fetched_and_no_text_be_run() -> None:
    rules = dict(rule.split(" ", 1) for rule in page_policy("sha256-x").split("; "))
    assert rules["connect-src"] == rules["default-src"] == "'none'"
    assert rules["script-src"].split() == ["'self'", "'wasm-unsafe-eval'", "'sha256-x'"]


def test_the_service_worker_knows_every_file_but_itself(tmp_path: Path) -> None:
    built = build(tmp_path / "site")
    script = (tmp_path / "site" / "sw.js").read_text(encoding="utf-8")
    [listed] = re.findall(r"\[\".*?\]", script)
    found = {
        p.relative_to(tmp_path / "site").as_posix() for p in (tmp_path / "site").rglob("*") if p.is_file()
    }
    assert set(json.loads(listed)) == (found - {"sw.js", "build.json"}) | {"./"}
    assert built.build in script


def test_the_folder_knows_itself_and_its_sizes(tmp_path: Path) -> None:
    built = build(tmp_path / "site")
    manifest = read_manifest(tmp_path / "site")
    assert manifest is not None
    assert (manifest.build, set(manifest.files)) == (built.build, {file.name for file in built.files})
    assert all((tmp_path / "site" / file.name).stat().st_size == file.size for file in built.files)
    assert built.size == sum(file.size for file in built.files)
    assert [f.compressed for f in built.files] == sorted((f.compressed for f in built.files), reverse=True)


def test_the_same_files_are_the_same_build_and_any_other_is_another(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    first = build(tmp_path / "a")
    assert build(tmp_path / "b") == first
    licences = {w.name: "" for w in load_pinned().wheels} | {"rgbroots": ""}
    monkeypatch.setattr(building, "pack", lambda *_: Packed(b"the library", b"other packages", licences))
    assert build(tmp_path / "b").build != first.build


def test_the_licence_of_everything_is_told(tmp_path: Path) -> None:
    build(tmp_path / "site")
    text = (tmp_path / "site" / "licences.txt").read_text(encoding="utf-8")
    assert "Our terms." in text
    for wheel in load_pinned().wheels:
        assert f"{wheel.name} {wheel.version}: {wheel.licence}\n" in text
        assert f"The terms of {wheel.name}." in text
    for package in load_pinned().npm:
        assert f"{package.name} {package.version}: {package.licence}\n" in text
    assert "Source: our-forge/thing" in text
    assert text.count("Mozilla Public License Version 2.0\n") == 1


def test_a_build_takes_the_place_of_an_earlier_one(tmp_path: Path) -> None:
    site = tmp_path / "site"
    build(site)
    (site / "index.html").write_text("old")
    build(site)
    assert (site / "index.html").read_text(encoding="utf-8") != "old"
    assert list(tmp_path.iterdir()) == [site]


def test_an_empty_folder_is_taken_and_those_above_are_made(tmp_path: Path) -> None:
    (tmp_path / "empty").mkdir()
    build(tmp_path / "empty")
    build(tmp_path / "new" / "deep")
    assert read_manifest(tmp_path / "empty") == read_manifest(tmp_path / "new" / "deep")


@pytest.mark.parametrize("there", [[], ["build"]])
def test_a_folder_with_other_files_is_left_alone(there: list[str], tmp_path: Path) -> None:
    if there:
        build(tmp_path / "site")
    (tmp_path / "site").mkdir(exist_ok=True)
    own = tmp_path / "site" / "my.notes"
    own.write_text("mine")
    before = {p: p.read_bytes() for p in tmp_path.rglob("*") if p.is_file()}
    with pytest.raises(EmitError, match=r"what no build put there \(my\.notes\)"):
        build(tmp_path / "site")
    assert {p: p.read_bytes() for p in tmp_path.rglob("*") if p.is_file()} == before


def test_a_file_of_that_name_is_left_alone(tmp_path: Path) -> None:
    (tmp_path / "site").write_text("mine")
    with pytest.raises(EmitError, match="a file has that name"):
        build(tmp_path / "site")
    assert (tmp_path / "site").read_text() == "mine"


def test_what_fails_at_the_end_leaves_the_earlier_build(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    site = tmp_path / "site"
    first = build(site)

    def fail(self: Path, target: Path) -> Path:
        if self.name == "new":
            raise PermissionError(13, "Permission denied")
        return Path(str(Path.replace(self, target)))

    monkeypatch.setattr(Path, "rename", fail)
    with pytest.raises(EmitError, match="cannot write it: Permission denied"):
        build(site)
    manifest = read_manifest(site)
    assert manifest is not None
    assert manifest.build == first.build
    assert list(tmp_path.iterdir()) == [site]


def test_the_command_says_what_it_wrote_and_what_to_type_next(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    site = tmp_path / "my site"
    assert main(["build", "-o", str(site)]) == 0
    out = capsys.readouterr().out
    assert f"rgbroots serve '{site}'" in out
    manifest = read_manifest(site)
    assert manifest is not None
    assert all(f"  {name} " in out for name in manifest.files)
    assert f"{len(manifest.files)} files" in out


def test_the_command_ends_with_2_and_a_sentence(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    (tmp_path / "mine").write_text("mine")
    assert main(["build", "-o", str(tmp_path)]) == 2
    assert "\nfix: " in capsys.readouterr().err


def test_the_help_of_the_command_has_an_example(capsys: pytest.CaptureFixture[str]) -> None:
    with pytest.raises(SystemExit) as ended:
        main(["build", "--help"])
    assert ended.value.code == 0
    assert "Example: python -m tracer.web build -o site" in capsys.readouterr().out
