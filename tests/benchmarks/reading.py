"""Reading, against packages that read the same forms, and against the goals in megabytes a second."""

from __future__ import annotations

import logging
import warnings
from collections.abc import Iterator
from contextlib import contextmanager
from functools import partial
from pathlib import Path
from typing import Any

from tests.benchmarks.boards import make_board
from tests.benchmarks.drawn import write_schematic
from tests.benchmarks.measure import Goal, Row, Spread, interleaved, row, seconds, spread
from tests.benchmarks.packages import find_package
from tests.benchmarks.texts import FORMS, edif, kicad_netlist, verilog
from tracer.importers import read_netlist
from tracer.importers.kicad.sheet_reader import load_sheet_file
from tracer.netlist.board import Netlist

__all__ = ["edif_and_verilog", "forms", "kicad_netlists", "schematics"]

#: How many times kinparse's time, and spydrnet's on EDIF, ours goes into.
KINPARSE = Goal(at_least=200)
SPYDRNET_EDIF = Goal(at_least=3)
#: No number was asked for: not slower.
SPYDRNET_VERILOG = Goal(at_least=1)
SEXPDATA = Goal(at_least=1)
#: The package's loader gives the bare tree that ours starts from: parts, pins and wires on top for the same time.
LOADER = Goal(at_least=1)
TYPED_SCHEMATIC = Goal(at_least=3)
#: Megabytes a second.
FAST_FORMS = Goal(at_least=5)
LINE_FORMS = Goal(at_least=1)
S_EXPRESSIONS = frozenset({"kicad-netlist", "kicad-board", "edif"})


@contextmanager
def quiet() -> Iterator[None]:
    """Packages of others log and warn much: their time for that stays, their lines do not."""
    logging.disable(logging.CRITICAL)
    try:
        with warnings.catch_warnings():
            warnings.simplefilter("ignore")
            yield
    finally:
        logging.disable(logging.NOTSET)


def kicad_netlists(folder: Path, n_pins: int, repeats: int) -> Iterator[Row]:
    """kinparse reads the same file into the same nets; sexpdata gives the bare tree."""
    small = _written(folder, make_board(n_pins // 10))
    large = _written(folder, make_board(n_pins))
    kinparse, sexpdata = find_package("kinparse"), find_package("sexpdata")
    if kinparse is None:
        yield Row("KiCad netlist: kinparse", remark="kinparse is not installed", goal=KINPARSE)
    else:
        with quiet():
            _same_nets(kinparse.parse_netlist(str(small)), read_netlist(small))
            taken = interleaved(
                {"ours": lambda: read_netlist(small), "other": lambda: kinparse.parse_netlist(str(small))},
                repeats,
            )
        yield row(f"KiCad netlist {_size(small)}: kinparse", taken, "ours", "other", KINPARSE)
    if sexpdata is None:
        yield Row("KiCad netlist: sexpdata", remark="sexpdata is not installed", goal=SEXPDATA)
    else:
        taken = interleaved(
            {
                "ours": lambda: read_netlist(large),
                "other": lambda: sexpdata.loads(large.read_text(encoding="utf-8")),
            },
            repeats,
        )
        yield row(f"KiCad netlist {_size(large)}: sexpdata's tree", taken, "ours", "other", SEXPDATA)


def _written(folder: Path, netlist: Netlist) -> Path:
    path = folder / f"{netlist.name}.net"
    path.write_text("".join(kicad_netlist(netlist)), encoding="utf-8")
    return path


def _same_nets(theirs: Any, ours: Netlist) -> None:
    """A comparison of times is worth nothing unless both read the same."""
    found = {net.name: {(pin.ref, pin.num) for pin in net.pins} for net in theirs.nets}
    if found != {net.name: {tuple(pin) for pin in net.pins} for net in ours.nets}:
        raise AssertionError("kinparse reads other nets")


def edif_and_verilog(folder: Path, n_pins: int, repeats: int) -> Iterator[Row]:
    """spydrnet reads the same file; the instances and the pins on nets are counted in both."""
    board = make_board(n_pins)
    spydrnet = find_package("spydrnet")
    for form, text, goal in (
        ("edif", edif(board), SPYDRNET_EDIF),
        ("verilog", verilog(board), SPYDRNET_VERILOG),
    ):
        # spydrnet goes by the end of the name.
        path = folder / ("board.edf" if form == "edif" else "board.v")
        path.write_text(text, encoding="utf-8")
        name = f"{'EDIF' if form == 'edif' else 'Verilog'} {_size(path)}: spydrnet"
        if spydrnet is None:
            yield Row(name, remark="spydrnet is not installed", goal=goal)
            continue
        with quiet():
            _same_pins(spydrnet.parse(str(path)), read_netlist(path))
            taken = interleaved(
                {"ours": partial(read_netlist, path), "other": partial(spydrnet.parse, str(path))}, repeats
            )
        yield row(name, taken, "ours", "other", goal)


def _same_pins(theirs: Any, ours: Netlist) -> None:
    top = theirs.top_instance.reference
    pins = sum(len(wire.pins) for cable in top.cables for wire in cable.wires)
    counted = len(ours.parts), sum(len(net.pins) for net in ours.nets)
    if (len(top.children), pins) != counted:
        raise AssertionError(f"spydrnet reads {len(top.children)} parts and {pins} pins, we {counted}")


def schematics(folder: Path, n_pins: int, repeats: int) -> Iterator[Row]:
    """All sheets of a schematic, file by file: the loader's bare tree, and kicad-skip's typed schematic."""
    root, size = write_schematic(make_board(n_pins), folder)
    files = sorted(root.parent.glob("*.kicad_sch"))
    with quiet():
        from skip import Schematic
        from skip.sexp import util

        loader = util.loadTree

        def load(path: Path) -> object:
            util.open = open
            return loader(str(path))

        taken = interleaved(
            {
                "ours": lambda: [load_sheet_file(path) for path in files],
                "tree": lambda: [load(path) for path in files],
                "typed": lambda: [Schematic(str(path)) for path in files],
            },
            repeats,
        )
    name = f"schematic {size / 1e6:.1f} MB, {len(files)} files"
    yield row(f"{name}: loadTree", taken, "ours", "tree", LOADER)
    yield row(f"{name}: Schematic", taken, "ours", "typed", TYPED_SCHEMATIC)


def forms(folder: Path, n_pins: int, repeats: int) -> Iterator[Row]:
    """Each form that can be read, in megabytes a second."""
    board = make_board(n_pins)
    for form, write in FORMS.items():
        inside = folder / form
        inside.mkdir()
        files = write(board)
        for name, text in files:
            (inside / name).write_text(text, encoding="utf-8")
        path = inside / files[0][0]
        found = read_netlist(path)
        n_read = sum(len(net.pins) for net in found.nets)
        if found.inputs[0].format != form or n_read != sum(len(net.pins) for net in board.nets):
            raise AssertionError(f"{form} was read as {found.inputs[0].format} with {n_read} pins")
        yield _throughput(form, path, sum(len(text.encode()) for _, text in files), repeats)
    inside = folder / "kicad-schematic"
    inside.mkdir()
    root, size = write_schematic(board, inside)
    yield _throughput("kicad-schematic", root, size, repeats)


def _throughput(form: str, path: Path, size: int, repeats: int) -> Row:
    taken = spread(interleaved({"ours": lambda: read_netlist(path)}, repeats)["ours"])
    speed = Spread(*(size / 1e6 / s for s in (taken.median, taken.high, taken.low)))
    goal = FAST_FORMS if form in S_EXPRESSIONS else LINE_FORMS
    return Row(f"read {form}", seconds(taken.median), f"{size / 1e6:.2f} MB", speed, "MB/s", goal)


def _size(path: Path) -> str:
    return f"{path.stat().st_size / 1e6:.1f} MB"
