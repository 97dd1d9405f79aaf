"""The program can be installed on the machines that repairers have: the package index has what it needs for each.

pip looks for wheels of the machine that is named to it, but decides by the machine it runs on which requirements count:
that is decided here, by the environment markers of PEP 508 and the values that the Python of each machine gives them.
"""

from __future__ import annotations

import json
import subprocess
import sys
import tomllib
from dataclasses import dataclass
from pathlib import Path

import pytest
from packaging.requirements import Requirement
from packaging.utils import canonicalize_name

from tests.published.conftest import NO_FOLDER, reference_folder

PROJECT = tomllib.loads((Path(__file__).parents[2] / "pyproject.toml").read_text(encoding="utf-8"))["project"]
#: The oldest Python that the program takes, and a new one.
PYTHONS = ("3.11", "3.13")
#: Packages that the index has as source alone for some machines, and why that needs no compiler.
SOURCES = {
    "markupsafe": "without a compiler it leaves out what only makes it faster",
}
#: The package with a program that draws, in wheels of some machines alone.
PICTURES = "graphviz-pure"


@dataclass(frozen=True)
class Machine:
    """A machine as pip and as environment markers call it.

    Attributes
    ----------
    tags : tuple of str
        Platforms of wheels.
    system, processor : str
        ``sys_platform`` and ``platform_machine``.
    draws : bool
        Whether pip alone brings a program that draws the diagram.
    """

    tags: tuple[str, ...]
    system: str
    processor: str
    draws: bool


MACHINES = {
    "Windows, 64 bits": Machine(("win_amd64",), "win32", "AMD64", True),
    "Windows on ARM": Machine(("win_arm64",), "win32", "ARM64", True),
    "Windows, 32 bits": Machine(("win32",), "win32", "x86", False),
    "macOS, Apple's processor": Machine(("macosx_11_0_arm64",), "darwin", "arm64", True),
    "macOS, Intel": Machine(("macosx_11_0_x86_64", "macosx_10_12_x86_64"), "darwin", "x86_64", True),
    "Linux, x86_64": Machine(("manylinux2014_x86_64",), "linux", "x86_64", True),
    "Linux, aarch64": Machine(("manylinux2014_aarch64",), "linux", "aarch64", True),
    "Linux, armv7l": Machine(("manylinux2014_armv7l", "linux_armv7l"), "linux", "armv7l", False),
    "Linux, i686": Machine(("manylinux2014_i686",), "linux", "i686", False),
}


def counts(requirement: Requirement, machine: Machine, python: str) -> bool:
    """Whether a requirement counts on that machine."""
    environment = {
        "sys_platform": machine.system,
        "platform_machine": machine.processor,
        "platform_system": {"win32": "Windows", "darwin": "Darwin", "linux": "Linux"}[machine.system],
        "os_name": "nt" if machine.system == "win32" else "posix",
        "python_version": python,
        "python_full_version": f"{python}.0",
        "implementation_name": "cpython",
        "platform_python_implementation": "CPython",
        "extra": "",
    }
    return requirement.marker is None or requirement.marker.evaluate(environment)


def report(wanted: list[str], machine: Machine, python: str, folder: Path) -> list[dict[str, object]]:
    """What pip would take for these on that machine, without what they need themselves."""
    told = folder / "report.json"
    platforms = [word for tag in machine.tags for word in ("--platform", tag)]
    done = subprocess.run(
        [sys.executable, "-m", "pip", "install", "-q", "--dry-run", "--no-deps", "--ignore-installed", "--target",
         str(folder / "none"), "--python-version", python, *platforms, "--report", str(told), *wanted],
        capture_output=True, text=True, check=False,
    )  # fmt: skip
    assert done.returncode == 0, done.stderr
    found: list[dict[str, object]] = json.loads(told.read_text(encoding="utf-8"))["install"]
    return found


def resolved(
    required: list[str], machine: Machine, python: str, folder: Path
) -> dict[str, tuple[str, tuple[str, ...]]]:
    """Package -> its file and what it requires there, for the requirements and all that they require."""
    wanted: dict[str, None] = {}
    more = [Requirement(text) for text in required]
    while new := [r for r in more if counts(r, machine, python) and f"{r.name}{r.specifier}" not in wanted]:
        wanted |= dict.fromkeys(f"{r.name}{r.specifier}" for r in new)
        found: dict[str, tuple[str, tuple[str, ...]]] = {}
        for item in report([*wanted], machine, python, folder):
            metadata, source = item["metadata"], item["download_info"]
            assert isinstance(metadata, dict)
            assert isinstance(source, dict)
            needs = tuple(metadata.get("requires_dist") or ())
            found[canonicalize_name(metadata["name"])] = (source["url"].rpartition("/")[2], needs)
        more = [Requirement(text) for _, needs in found.values() for text in needs]
    return found


@pytest.mark.skipif(reference_folder() is None, reason=NO_FOLDER)
@pytest.mark.parametrize("python", PYTHONS)
@pytest.mark.parametrize("name", MACHINES)
def test_pip_finds_all_that_the_program_needs(name: str, python: str, tmp_path: Path) -> None:
    machine = MACHINES[name]
    found = resolved(PROJECT["dependencies"], machine, python, tmp_path)
    assert {"networkx", "lark", "jinja2", "markupsafe", "sexpdata"} <= set(found)
    assert (PICTURES in found) == machine.draws
    sources = {package for package, (file, _) in found.items() if not file.endswith(".whl")}
    assert sources <= set(SOURCES)
    if machine.draws:
        assert not sources


@pytest.mark.skipif(reference_folder() is None, reason=NO_FOLDER)
def test_a_machine_that_the_marker_leaves_out_has_no_such_package(tmp_path: Path) -> None:
    """When the package comes to 32 bits, this fails, and the marker can take them in."""
    [plain] = {text.partition(";")[0] for text in PROJECT["dependencies"] if text.startswith(PICTURES)}
    for name, machine in MACHINES.items():
        if machine.draws:
            assert report([plain], machine, "3.11", tmp_path), name
        else:
            with pytest.raises(AssertionError, match="No matching distribution found for graphviz-pure"):
                report([plain], machine, "3.11", tmp_path)


@pytest.mark.parametrize("name", MACHINES)
def test_only_the_package_that_draws_depends_on_the_machine(name: str) -> None:
    requirements = [Requirement(text) for text in PROJECT["dependencies"]]
    here = [r.name for r in requirements if counts(r, MACHINES[name], "3.11")]
    assert here.count(PICTURES) == MACHINES[name].draws
    assert {r.name for r in requirements} - set(here) <= {PICTURES}
