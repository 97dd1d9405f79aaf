"""The folder for a browser as it is built from what the registries give: small enough, whole, and of this checkout."""

from __future__ import annotations

import gzip
import json
from pathlib import Path

from tracer.page.html import script_hash
from tracer.web.folder import read_manifest
from tracer.web.pinned import load_pinned
from tracer.web.policy import page_policy

#: Bytes that are downloaded before the first board can be traced: half a minute at 3 Mbit/s.
GOAL = 12_000_000


def test_it_is_downloaded_in_the_time_that_somebody_waits(web_folder: Path) -> None:
    files = [path for path in web_folder.rglob("*") if path.is_file()]
    assert sum(len(gzip.compress(path.read_bytes(), 6)) for path in files) < GOAL


def test_it_is_what_its_list_says_and_of_this_checkout(web_folder: Path) -> None:
    manifest = read_manifest(web_folder)
    assert manifest is not None
    found = {path.relative_to(web_folder).as_posix() for path in web_folder.rglob("*") if path.is_file()}
    assert found == {*manifest.files, "build.json"}
    assert manifest.policy == page_policy(script_hash())


def test_the_runtime_is_the_pinned_one_and_names_no_package_to_fetch(web_folder: Path) -> None:
    script = (web_folder / "runtime" / "pyodide.mjs").read_text(encoding="utf-8")
    assert f'"{load_pinned().package("pyodide").version}"' in script
    module = (web_folder / "runtime" / "lock.js").read_text(encoding="utf-8")
    lock = json.loads(json.loads(module.removeprefix("export default ").removesuffix(";\n")))
    assert lock["packages"] == {}
    assert lock["info"]["python"]


def test_every_licence_has_its_text(web_folder: Path) -> None:
    blocks = (web_folder / "licences.txt").read_text(encoding="utf-8")
    for wheel in load_pinned().wheels:
        head = f"{wheel.name} {wheel.version}: {wheel.licence}\n"
        text = blocks.partition(head)[2].lstrip("=\n").partition("\n===")[0]
        assert len(text) > 400, wheel.name
