"""Where tests stand: a folder of ``tests/unit/`` is a room of the program, a file in it is about a module of that room.

``tests/unit/levels/test_codes.py`` is about ``tracer/levels/codes.py`` (or a package ``codes/``), and so is a
``test_codes_what.py``; ``tests/unit/importers/edif/test_edif.py`` is about the whole room ``tracer/importers/edif/``.
What is about several modules of a room at once is a theme, listed here. Other files in a room are what its tests share.
What is about the whole program stands in ``tests/whole/``.
"""

from __future__ import annotations

import ast
import re
from pathlib import Path

import pytest

import tracer
from tracer.importers.formats import FORMATS, Format

PROJECT = Path(__file__).parents[2]
UNIT = PROJECT / "tests" / "unit"
SOURCE = Path(tracer.__file__).parent

#: A file in a room that is about several of its modules -> what about.
THEMES = {
    "cli/test_forms.py": "the forms that commands write",
    "diagram/test_boards.py": "whole boards, way by way",
    "diagram/test_ends.py": "ways that stop, fork or come back",
    "diagram/test_picture.py": "names, size and sameness of the picture, and the program that draws it",
    "export/test_walked.py": "the circuit that was walked, in each form",
    "importers/kicad/test_hostile.py": "schematics made to break the program",
    "importers/test_hostile.py": "texts made to break the program",
    "importers/test_malformed.py": "the files of tests/cases/errors",
    "levels/test_outputs.py": "levels and legs in each form",
    "palette/test_sheets.py": "palettes as pictures and as a page",
    "palette/test_tables.py": "palettes as tables",
    "suspects/test_faults.py": "faults, and what the screen shows under them",
    "tracing/test_idioms.py": "the boards of tests/cases/idioms",
    "tracing/test_made_names.py": "names of nets that a program made",
}
IN_ROOMS = sorted(path.relative_to(UNIT) for path in UNIT.rglob("test_*.py"))
#: Folders of the program that hold modules.
ROOMS = sorted({path.parent.relative_to(SOURCE) for path in SOURCE.rglob("*.py") if path.parent != SOURCE})


def modules_and_packages(room: Path) -> set[str]:
    """What a test in a room can be about: the room itself, its modules, and the packages in it."""
    inside = {path.stem for path in (SOURCE / room).iterdir() if path.suffix == ".py"}
    inside |= {path.name for path in (SOURCE / room).iterdir() if (path / "__init__.py").is_file()}
    return {room.name} | inside - {"__init__"}


def names_it(subject: str, name: str) -> bool:
    return subject == name or subject.startswith(f"{name}_")


@pytest.mark.parametrize("test", IN_ROOMS, ids=str)
def test_a_file_in_a_room_is_about_one_of_its_modules_or_a_theme(test: Path) -> None:
    assert test.parent in ROOMS
    subject = test.stem.removeprefix("test_")
    is_of_module = any(names_it(subject, name) for name in modules_and_packages(test.parent))
    assert is_of_module != (test.as_posix() in THEMES)


def test_no_theme_is_left_of_a_file_that_is_gone() -> None:
    assert set(THEMES) <= {path.as_posix() for path in IN_ROOMS}


@pytest.mark.parametrize("room", ROOMS, ids=str)
def test_every_room_has_tests(room: Path) -> None:
    own = [test for test in IN_ROOMS if room in test.parents]
    of_parent = [test for test in IN_ROOMS if test == room.parent / f"test_{room.name}.py"]
    assert own or of_parent


@pytest.mark.parametrize("form", FORMATS, ids=[form.name for form in FORMATS])
def test_every_reader_has_tests_of_its_own(form: Format) -> None:
    module = Path(*form.module.split(".")[1:])
    about = {module.parent / f"test_{name}.py" for name in (module.name, module.parent.name)}
    assert about & set(IN_ROOMS)


def imported(path: Path) -> set[str]:
    """The modules that a file imports."""
    found = set()
    for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
        if isinstance(node, ast.ImportFrom):
            found |= {str(node.module)} | {f"{node.module}.{alias.name}" for alias in node.names}
        elif isinstance(node, ast.Import):
            found |= {alias.name for alias in node.names}
    return found


@pytest.mark.parametrize("test", IN_ROOMS, ids=str)
def test_a_file_in_a_room_calls_something_of_that_room(test: Path) -> None:
    """By itself, or by what it shares with other tests; a reader is called by the one door of all readers."""
    names = imported(UNIT / test)
    for helper in [name for name in names if name.startswith("tests.")]:
        file = PROJECT / f"{helper.replace('.', '/')}.py"
        names |= imported(file) if file.is_file() else set()
    room = test.parts[0]
    assert any(name == f"tracer.{room}" or name.startswith(f"tracer.{room}.") for name in names)


def test_files_that_texts_name_are_there() -> None:
    """A file of tests that a docstring, a comment or DEVELOPERS.md names."""
    files = [PROJECT / "DEVELOPERS.md", PROJECT / "README.md"]
    files += [path for top in ("tests", "tracer") for path in (PROJECT / top).rglob("*.py")]
    there = {path.name for path in (PROJECT / "tests").rglob("*.py")}
    named = {
        (path.relative_to(PROJECT).as_posix(), name)
        for path in files
        for name in re.findall(r"\btest_[a-z]\w+\.py\b", path.read_text(encoding="utf-8"))
    }
    assert {(path, name) for path, name in named if name not in there | {"test_codes_what.py"}} == set()


def test_what_the_notes_for_contributors_name_is_there() -> None:
    """Each file or folder between backticks, by the end of its path. Words in capitals stand for others."""
    folders = [PROJECT / name for name in ("tracer", "tests", "grammars", "netlists", ".ci")]
    there = {f"/{path.relative_to(PROJECT).as_posix()}" for folder in folders for path in folder.rglob("*")}
    there |= {f"/{path.name}" for path in PROJECT.iterdir()}
    text = (PROJECT / "DEVELOPERS.md").read_text(encoding="utf-8")
    words = {word for quoted in re.findall(r"`([^`\n]+)`", text) for word in quoted.split()}
    paths = {
        w for w in words if re.fullmatch(r"[a-z_.][a-z0-9_./-]*(/|/[a-z0-9_]+|\.(py|toml|lark|json))", w)
    }
    assert len(paths) > 60
    assert {path for path in paths if not any(t.endswith(f"/{path.strip('/')}") for t in there)} == set()


def test_ci_begins_with_the_static_checks_and_ends_with_what_others_leave_out() -> None:
    lines = (PROJECT / ".ci" / "run").read_text(encoding="utf-8").splitlines()
    ours = [line.split("&& ")[-1].removeprefix(".venv/bin/") for line in lines if ".venv/bin/" in line]
    static = ["ruff check", "ruff format --check", "lint-imports", "mypy"]
    assert ours[1:5] == static
    assert ours[-2:] == ["python -m pytest", "python -m pytest -m slow"]
    readme = (PROJECT / "README.md").read_text(encoding="utf-8")
    [command] = re.findall(r"^python3 -m venv .*python -m pytest$", readme, re.MULTILINE)
    assert command.replace("python3", '"$python"', 1) in [
        line.replace("install -q", "install") for line in lines
    ]
