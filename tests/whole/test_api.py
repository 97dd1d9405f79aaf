"""The public names of the package; what they do is shown and tested on the page that is the package's docstring."""

from __future__ import annotations

import ast
import inspect
import json
import subprocess
import sys
from collections.abc import Iterator
from pathlib import Path

import pytest

import tracer
from tracer import advise, emit, find_suspects, make_palette, parse_netlist, trace, trace_fully
from tracer.base.errors import DumpError, UsageError
from tracer.cli.main import main

NETLISTS = Path(__file__).parents[2] / "netlists"
WREN = NETLISTS / "wren" / "wren.net"


def imported_for_type_checkers() -> Iterator[tuple[str, str]]:
    """Module and name of each import that only type checkers read."""
    for node in ast.parse(Path(str(tracer.__file__)).read_text(encoding="utf-8")).body:
        if isinstance(node, ast.If) and getattr(node.test, "id", "") == "TYPE_CHECKING":
            for each in node.body:
                assert isinstance(each, ast.ImportFrom)
                yield from ((str(each.module), alias.name) for alias in each.names)


# -- the page -------------------------------------------------------------------------------------


def test_every_public_name_is_there_and_on_the_page() -> None:
    homes = {(home, name) for home, names in tracer._HOMES.items() for name in names}
    assert homes == set(imported_for_type_checkers())
    assert {name for _, name in homes} == set(tracer.__all__)
    for name in tracer.__all__:
        assert getattr(tracer, name).__doc__
        assert name in dir(tracer)
        assert name in str(tracer.__doc__)


def test_what_the_page_does_needs_nothing_but_the_package_itself() -> None:
    imports = {
        line.split()[2]
        for line in str(tracer.__doc__).splitlines()
        if line.startswith((">>> from", ">>> import"))
    }
    assert imports == {"tracer"}


@pytest.mark.parametrize("name", [n for n in tracer.__all__ if n[0].islower()])
def test_a_function_asks_for_no_more_than_its_subject(name: str) -> None:
    parameters = inspect.signature(getattr(tracer, name)).parameters.values()
    needed = [p.name for p in parameters if p.default is p.empty and p.kind is not p.VAR_KEYWORD]
    two = {
        "emit": ["name", "bit_map"],
        "join_boards": ["boards", "joins"],
        "make_palette": ["traced", "contents"],
    }
    assert needed == two.get(name, needed[:1])


def test_no_public_name_is_that_of_a_room() -> None:
    # A package in the folder takes the place of an attribute of its name as soon as somebody imports it.
    rooms = {path.stem for path in Path(str(tracer.__file__)).parent.iterdir()}
    assert not rooms & set(tracer.__all__)


def test_a_name_that_is_not_there_is_an_attribute_error() -> None:
    with pytest.raises(AttributeError, match="no attribute 'trace_all'"):
        getattr(tracer, "trace_all")  # noqa: B009


def test_importing_the_package_loads_none_of_it() -> None:
    code = "import sys, tracer; print([m for m in sys.modules if m.startswith('tracer.')])"
    root = Path(__file__).parents[2]
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True, cwd=root)
    assert done.stdout.strip() == "[]"


# -- what the functions take ----------------------------------------------------------------------


def test_suspects_are_those_of_the_command(capsys: pytest.CaptureFixture[str]) -> None:
    main(["suspect", str(WREN), "--seen", "red=missing", "--read", "U9.1=low", "--json"])
    said = json.loads(capsys.readouterr().out)
    traced = trace_fully(tracer.read_netlist(WREN))
    found = find_suspects(traced, seen={"red": "missing"}, read={"U9.1": "low"})
    assert [s.part for s in found.suspects] == [s["part"] for s in said["suspects"]]
    assert [n.what for n in found.next] == [n["what"] for n in said["next"]]


def test_evidence_about_another_board_is_refused() -> None:
    traced = trace_fully(tracer.read_netlist(WREN))
    with pytest.raises(UsageError, match="purple is no colour of this board"):
        find_suspects(traced, seen={"purple": "missing"})
    with pytest.raises(UsageError, match=r"U99\.1 is no leg of the colour path"):
        find_suspects(traced, read={"U99.1": "low"})


def test_a_dump_may_be_a_file_or_its_bytes(tmp_path: Path) -> None:
    traced = trace_fully(tracer.read_netlist(WREN))
    data = bytes(range(0, 256, 8))
    file = tmp_path / "u9.bin"
    file.write_bytes(data)
    from_file, from_bytes = make_palette(traced, {"U9": file}), make_palette(traced, {"u9": data})
    assert from_file.entries == from_bytes.entries
    assert len({entry.rgb for entry in from_file.entries}) > 16
    with pytest.raises(DumpError, match="it holds 3 bytes"):
        make_palette(traced, {"U9": b"abc"})
    with pytest.raises(UsageError, match="no bit of a colour is stored in U1"):
        make_palette(traced, {"U1": data})


def test_advice_takes_colour_pins_that_the_notes_do_not_tell() -> None:
    board = parse_netlist("U1 is 82S123\n[R1 R2 R3] is 470\nJ1 is edge 56\nJ1.1 = R1.2\n")
    advice = advise(board, pins={"red": "J1.1", "green": "J1.2", "blue": "J1.3"})
    assert advice.next is not None
    assert (advice.next.held, advice.progress.touches) == ("J1.1", 1)


def test_an_output_that_there_is_not_is_named_with_those_that_there_are() -> None:
    with pytest.raises(UsageError, match="a map cannot be written as 'pdf'") as raised:
        emit("pdf", trace(tracer.read_netlist(WREN)))
    assert raised.value.fix == "the forms are: terminal, json, csv, svg, png, dot"
