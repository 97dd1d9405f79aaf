"""What the folder for a browser is made of: all that the program needs, in versions that it asks for, each with its hash."""

from __future__ import annotations

import re
import tomllib
from importlib.resources import files
from pathlib import Path

import pytest

from tracer.base.errors import EmitError
from tracer.web.pinned import load_pinned

PROJECT = Path(__file__).parents[3]
OWN = (files("tracer.web") / "pinned.toml").read_text(encoding="utf-8")
PINNED = load_pinned()
WHEELS = {wheel.name.lower(): wheel for wheel in PINNED.wheels}
#: Brings a program of the machine; in the browser, Graphviz as WebAssembly draws.
NOT_THERE = {"graphviz-pure"}
WHEEL = """\
[networkx]
kind = "wheel"
version = "3.6.1"
file = "networkx-3.6.1-py3-none-any.whl"
sha256 = "d47fbf302e7d9cbbb9e2555a0d267983d2aa476bac30e90dfbe5669bd57f3762"
licence = "BSD-3-Clause"
"""


def asked() -> dict[str, tuple[int, ...]]:
    """Name of each package that the program depends on, in small letters -> its oldest version."""
    project = tomllib.loads((PROJECT / "pyproject.toml").read_text(encoding="utf-8"))
    found = {}
    for line in project["project"]["dependencies"]:
        match = re.fullmatch(r"([\w-]+)>=([\d.]+)(;.*)?", line)
        assert match, line
        found[match[1].lower()] = numbers(match[2])
    return found


def numbers(version: str) -> tuple[int, ...]:
    return tuple(int(number) for number in version.split("."))


def test_every_package_that_the_program_asks_for_is_pinned_and_new_enough() -> None:
    assert len(asked()) > 6
    assert asked().keys() - NOT_THERE <= WHEELS.keys()
    for name, oldest in asked().items():
        assert name in NOT_THERE or numbers(WHEELS[name].version) >= oldest, name


def test_a_wheel_is_of_the_package_and_version_that_is_pinned() -> None:
    for wheel in PINNED.wheels:
        name, version, *_ = wheel.file.split("-")
        assert (name.lower(), version) == (wheel.name.lower().replace("-", "_"), wheel.version)


def test_a_wheel_has_python_alone_or_machine_code_that_python_stands_in_for() -> None:
    assert [w.name for w in PINNED.wheels if not w.file.endswith("-none-any.whl")] == ["MarkupSafe"]


def test_every_licence_of_what_npm_brings_has_its_text() -> None:
    texts = {path.name.removesuffix(".txt") for path in (files("tracer.web") / "licences").iterdir()}
    named = {p.licence for p in PINNED.npm} | {held.licence for p in PINNED.npm for held in p.holds}
    assert named == texts


def test_a_package_of_npm_is_found_by_its_name() -> None:
    assert PINNED.package("@viz-js/viz").files == ("dist/viz.js",)


def test_the_file_as_it_is_gives_what_the_program_uses() -> None:
    assert load_pinned(OWN) == PINNED
    assert [wheel.name for wheel in load_pinned(WHEEL).wheels] == ["networkx"]


@pytest.mark.parametrize(
    ("old", "new", "said"),
    [
        ('version = "3.6.1"', 'version = "3.x"', "mine.toml:3: [networkx] version = '3.x' is not a version"),
        ('version = "3.6.1"\n', "", "mine.toml:1: [networkx] has no version"),
        ("d47f", "D47F", "mine.toml:5: [networkx] sha256 = "),
        ("d47f", "", "mine.toml:5: [networkx] sha256 = "),
        ("-any.whl", "-any.zip", "mine.toml:4: [networkx] file = "),
        ('kind = "wheel"', 'kind = "egg"', "mine.toml:2: [networkx] kind = 'egg' is not \"npm\" or"),
        ("licence", "license", "mine.toml:6: [networkx] has a key license, which nothing reads"),
        ('kind = "wheel"', 'kind = "npm"', "mine.toml:4: [networkx] has a key file, which nothing reads"),
        ("[networkx]", "networkx", "mine.toml:1:9: this line is not in the form of TOML"),
        ("[networkx]\n", "", "stands outside of any table"),
    ],
)
def test_a_mistake_is_said_with_its_place(old: str, new: str, said: str) -> None:
    with pytest.raises(EmitError) as caught:
        load_pinned(WHEEL.replace(old, new, 1), "mine.toml")
    assert said in str(caught.value)
    assert caught.value.fix


@pytest.mark.parametrize(
    ("old", "new", "said"),
    [
        ('files = ["dist/viz.js"]', "files = []", "[@viz-js/viz] names no files that are taken"),
        ('{ name = "Graphviz", ', "{ ", "[@viz-js/viz] holds something without a name or licence"),
        ('sha512 = "r7z', 'sha512 = "7z', "[@viz-js/viz] sha512 = "),
    ],
)
def test_a_mistake_in_a_package_of_npm_is_said_with_its_place(old: str, new: str, said: str) -> None:
    assert old in OWN
    with pytest.raises(EmitError) as caught:
        load_pinned(OWN.replace(old, new, 1), "mine.toml")
    assert said in str(caught.value)
    assert OWN.splitlines()[int(caught.value.line or 0) - 1].startswith(old.split(" = ")[0].strip()) or (
        old in OWN.splitlines()[int(caught.value.line or 0) - 1]
    )
