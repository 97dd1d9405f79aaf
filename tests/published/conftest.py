"""Where the outside files lie that tests in this folder compare with.

The environment variable ``RGBROOTS_REFERENCES`` names a folder with packages that were unpacked, not installed:

``kicad-demos/``  Debian package ``kicad-demos`` (``usr/share/kicad/demos``), 6.0.11 of Debian 12 or 9.0.2 of Debian 13
``kinparse/``     PyPI source package ``kinparse`` 1.2.4 (``tests/data``)
``lepton-eda/``   Debian package ``lepton-eda`` 1.9.18 (the example designs; the program itself is installed)
``kicad/``        Debian package ``kicad``, for the style sheets that 6.0.11 of Debian 12 has
``pyeagle/``      PyPI source package ``pyeagle`` 0.1.1 (``pyeagle/tests/data``)
``yosys-des/``    what yosys makes of an example of iverilog (Debian packages; ``test_edif.py``); its checks are skipped
                  where yosys could not be run

and the symbol libraries that ``symbols.py`` describes. Without the variable the tests that need it are skipped,
and say so.
"""

from __future__ import annotations

import os
from functools import cache
from pathlib import Path

import pytest

from tracer.importers import read_netlist
from tracer.netlist.board import Netlist

VARIABLE = "RGBROOTS_REFERENCES"
NO_FOLDER = f"{VARIABLE} names no folder of unpacked reference packages"


def reference_folder(*inside: str) -> Path | None:
    """A folder inside the reference folder; None when the variable is not set.

    A variable that is set and points at nothing is a mistake, not a reason to skip.
    """
    base = os.environ.get(VARIABLE)
    if not base:
        return None
    folder = Path(base).joinpath(*inside)
    if not folder.is_dir():
        raise pytest.UsageError(f"{VARIABLE}={base} has no folder {'/'.join(inside)}")
    return folder


@cache
def read_once(path: Path) -> Netlist:
    """A large file that several tests ask about."""
    return read_netlist(path)


def demo_boards() -> list[Path]:
    """The KiCad demo projects (their ``.kicad_pro``) that have a schematic and a board of the same name."""
    folder = reference_folder("kicad-demos", "usr", "share", "kicad", "demos")
    if folder is None:
        return []
    return [
        project
        for project in sorted(folder.rglob("*.kicad_pro"))
        if project.with_suffix(".kicad_sch").is_file() and project.with_suffix(".kicad_pcb").is_file()
    ]


def pytest_generate_tests(metafunc: pytest.Metafunc) -> None:
    """A test that takes ``demo_board`` runs once for each demo board in the folder."""
    if "demo_board" in metafunc.fixturenames:
        boards = [pytest.param(board, id=board.stem) for board in demo_boards()]
        skipped = pytest.param(None, marks=pytest.mark.skip(reason=NO_FOLDER), id="none")
        metafunc.parametrize("demo_board", boards or [skipped])


@pytest.fixture(scope="session")
def kicad_demos() -> list[Path]:
    """All demo boards."""
    boards = demo_boards()
    if not boards:
        pytest.skip(NO_FOLDER)
    return boards


@pytest.fixture(scope="session")
def kinparse_files() -> Path:
    """The folder with the files that kinparse is tested on."""
    folder = reference_folder("kinparse", "tests", "data")
    if folder is None:
        pytest.skip(NO_FOLDER)
    return folder
