"""The wheel, built and installed into an environment of its own, as a person who types `pip install` gets it."""

from __future__ import annotations

import os
import subprocess
import sys
import venv
import zipfile
from pathlib import Path

import pytest

ROOT = Path(__file__).parents[2]
#: A person's own script: every call is checked by mypy against the types that the wheel ships.
SCRIPT = """\
import sys

from tracer import BitMap, advise, emit, find_suspects, make_palette, map_file, parse_netlist, read_netlist, trace, trace_fully


def weights(bit_map: BitMap) -> dict[str, list[float]]:
    return {colour.name: [bit.weight for bit in colour.bits] for colour in bit_map.colours}


board = read_netlist(sys.argv[1])
traced = trace_fully(board)
reveal_type(weights(trace(board)))
reveal_type(find_suspects(traced, seen={"red": "missing"}).suspects[0].probability)
reveal_type(make_palette(traced, {"U9": bytes(32)}).entries[0].rgb)
reveal_type(advise(parse_netlist("")).next)
reveal_type(emit("png", traced.bit_map))
reveal_type(emit("svg", traced.bit_map))
reveal_type(map_file(sys.argv[1]))
"""
TYPES = (
    "dict[str, list[float]]",
    "float",
    "tuple[int, int, int]",
    "tracer.beeps.values.NextTouch | None",
    "bytes",
    "str",
    "dict[str, Any]",
)

pytestmark = pytest.mark.wheel


def run(*words: str | Path, cwd: Path, check: bool = True) -> subprocess.CompletedProcess[str]:
    """A program outside the checkout, that sees nothing of it."""
    env = {k: v for k, v in os.environ.items() if not k.startswith(("PYTHON", "MYPY"))}
    return subprocess.run(
        [str(w) for w in words], capture_output=True, text=True, check=check, cwd=cwd, env=env
    )


@pytest.fixture(scope="module")
def wheel(tmp_path_factory: pytest.TempPathFactory) -> Path:
    folder = tmp_path_factory.mktemp("wheel")
    # Without tries to connect again: a machine without a network says so at once.
    words = ("-m", "pip", "wheel", "-q", "--no-deps", "--retries", "0", "--timeout", "10", "-w", folder, ROOT)
    built = run(sys.executable, *words, cwd=folder, check=False)
    if "hatchling" in built.stderr and "No matching distribution" in built.stderr:
        pytest.skip(
            "hatchling, which builds the wheel, is not to be had: the package registry does not answer"
        )
    assert built.returncode == 0, built.stderr
    (found,) = folder.glob("rgbroots-*.whl")
    return found


@pytest.fixture(scope="module")
def python(wheel: Path, tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The interpreter of an environment that has the wheel and what it depends on, and nothing else."""
    folder = tmp_path_factory.mktemp("fresh")
    venv.create(folder, with_pip=False, symlinks=True)
    found = folder / "bin" / "python"
    words = ("--python", found, "install", "-q", "--retries", "0", "--timeout", "10", wheel)
    installed = run(sys.executable, "-m", "pip", *words, cwd=folder, check=False)
    assert installed.returncode == 0, installed.stderr
    return found


def test_the_wheel_says_that_it_is_typed_and_carries_its_data(wheel: Path) -> None:
    with zipfile.ZipFile(wheel) as archive:
        names = set(archive.namelist())
        metadata = archive.read(next(n for n in names if n.endswith("/METADATA"))).decode()
    assert "tracer/py.typed" in names
    assert {f"tracer/{p.relative_to(ROOT)}" for p in (ROOT / "netlists").rglob("*") if p.is_file()} <= names
    assert not [n for n in names if n.startswith("tests/")]
    assert "Classifier: Typing :: Typed" in metadata
    assert "://" not in metadata.split("\n\n")[0]


def test_the_case_of_the_readme_needs_no_clone(python: Path, tmp_path: Path) -> None:
    program = python.with_name("rgbroots")
    assert "rgbroots trace dunlin.net" in run(program, "demo", "-o", "demo", cwd=tmp_path).stdout
    here = tmp_path / "demo" / "dunlin"
    told = ("--seen", "red=coarse", "--seen", "green=fine", "--seen", "blue=fine")
    assert "12 of 12 bits traced" in run(program, "trace", "dunlin.net", "-o", "out", cwd=here).stdout
    assert (here / "out" / "report.html").is_file()
    assert "U13.14" in run(program, "suspect", "dunlin.net", *told, cwd=here).stdout


def test_the_package_runs_as_a_module(python: Path, tmp_path: Path) -> None:
    said = run(python, "-m", "tracer", "part", "SN74LS273N", cwd=tmp_path)
    assert said.stdout == run(python.with_name("rgbroots"), "part", "SN74LS273N", cwd=tmp_path).stdout
    assert run(python, "-m", "tracer", cwd=tmp_path, check=False).returncode == 2


def test_a_strict_type_checker_sees_the_types_of_the_installed_package(python: Path, tmp_path: Path) -> None:
    script = tmp_path / "mine.py"
    script.write_text(SCRIPT, encoding="utf-8")
    checker = (sys.executable, "-m", "mypy", "--strict", "--python-executable", python, "--no-incremental")
    said = run(*checker, script, cwd=tmp_path, check=False)
    shown = [
        line.partition('Revealed type is "')[2].rstrip('"')
        for line in said.stdout.splitlines()
        if "Revealed" in line
    ]
    assert said.stdout.splitlines()[-1].startswith("Success"), said.stdout
    assert tuple(t.replace("builtins.", "").replace("Union[", "") for t in shown) == TYPES
    script.write_text("import tracer\n\ntracer.trace_all()\ntracer.trace(7)\n", encoding="utf-8")
    said = run(*checker, script, cwd=tmp_path, check=False)
    assert 'Module has no attribute "trace_all"' in said.stdout
    assert 'Argument 1 to "trace" has incompatible type "int"; expected "Netlist"' in said.stdout
