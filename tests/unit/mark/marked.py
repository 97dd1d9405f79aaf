"""What tests of marked drawings share: every demo board marked, and a drawing in which everything is marked."""

from __future__ import annotations

from functools import cache
from pathlib import Path

from tracer.diagram.styles import Style
from tracer.importers import read_netlist
from tracer.importers.kicad.drawn import Drawing, read_drawing
from tracer.mark.board_marks import marks_of
from tracer.mark.values import BoardMarks
from tracer.netlist.join import join_boards, parse_join
from tracer.tracing.pipeline import trace_fully

__all__ = ["DEMOS", "NETLISTS", "STYLES", "demo_marks", "everything"]

NETLISTS = Path(__file__).parents[3] / "netlists"
#: Root sheet of each demo board -> the name that its board has where it is joined to another.
DEMOS = {
    "dunlin/dunlin.kicad_sch": "",
    "wren/wren.kicad_sch": "",
    "plover/plover.kicad_sch": "",
    "avocet/avocet-main.kicad_sch": "A",
    "avocet/avocet-video.kicad_sch": "B",
}
STYLES = (
    Style("red", "R", "#c8202a", "#c8202a", "solid", 1.5),
    Style("green", "G", "#3aa655", "#277f3d", "dashed", 1.5),
    Style("blue", "B", "#0b2a90", "#0b2a90", "dotted", 2.2),
)


@cache
def demo_marks(root: str) -> tuple[Drawing, BoardMarks, str]:
    """A demo board's drawing, its marks, and the name of its board."""
    path, board = NETLISTS / root, DEMOS[root]
    if board:
        pair = {name: read_netlist(NETLISTS / file) for file, name in DEMOS.items() if name}
        netlist = join_boards(pair, [parse_join("A:J3=B:J1")])
    else:
        netlist = read_netlist(path)
    return read_drawing(path), marks_of(trace_fully(netlist)), board


def everything(drawing: Drawing) -> BoardMarks:
    """Marks for a drawing that shows no colours: every net and leg carries a bit, nets in turn of each colour."""
    pins = {
        pin: frozenset({(i % 3, i % 7)}) for i, net in enumerate(drawing.netlist.nets) for pin in net.pins
    }
    return BoardMarks(STYLES, pins, pins, {})
