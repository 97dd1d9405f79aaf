"""The pages of the demo boards, and of two boards that the demo ones do not stand for."""

from __future__ import annotations

from dataclasses import replace
from functools import cache
from pathlib import Path

from tests.boards import NETLISTS
from tests.boards import board as small_board
from tracer.card.make import make_card
from tracer.card.pages import lay_out
from tracer.card.svg import page_as_svg
from tracer.importers import read_netlist
from tracer.netlist.board import Evidence, Netlist, Notes
from tracer.netlist.join import join_boards, parse_join
from tracer.page.html import emit
from tracer.page.make import make_page
from tracer.palette.make import make_palette
from tracer.tracing.pipeline import Traced, trace_fully

__all__ = ["BOARDS", "ODD", "traced_board", "write_pages"]

BOARDS = ("wren", "dunlin", "plover", "avocet")
#: CMOS latch (its open inputs float), one bit that stops at a part without an entry, names that look like mark-up.
ODD = """
part J1 socket 1=RED 2=GREEN 3=BLUE
part U1 82S123
part U2 74HC174
part U3 XC99</script><b>
part R1 220
part R2 470
part R3 220
part R4 220
VCC: U1.16 U2.16
GND: U1.8 U2.8 U1.15
<i>A&B: U1.1 U2.3
U1.2 U2.4
U2.2 R1.1
U2.5 R2.1
U1.3 R3.1
U3.7 R4.1
RED: J1.1 R1.2 R2.2
GREEN: J1.2 R3.2
BLUE: J1.3 R4.2
"""


def _netlist(name: str) -> Netlist:
    if name == "odd":
        notes = Notes(
            evidence=(Evidence("seen", (), "red <missing>"), Evidence("read", ("U1.1",), "stuck low"))
        )
        return replace(small_board(ODD, "odd <board> & co"), notes=notes)
    if name != "avocet":
        return read_netlist(NETLISTS / name / f"{name}.net")
    halves = {n: read_netlist(NETLISTS / name / f"{n}.net") for n in ("avocet-main", "avocet-video")}
    return join_boards(halves, [parse_join("avocet-main:J3=avocet-video:J1")])


@cache
def traced_board(name: str) -> Traced:
    """A board traced at 75 ohm."""
    pins = {"red": "J1.1", "green": "J1.2", "blue": "J1.3"} if name == "odd" else {}
    return trace_fully(_netlist(name), pins=pins)


def write_pages(folder: Path) -> dict[str, Path]:
    """Board -> its page; ``wren-contents`` has a palette, ``odd`` no card for the print."""
    found = {}
    for name in (*BOARDS, "wren-contents", "odd"):
        traced = traced_board(name.removesuffix("-contents"))
        palette = None
        if name == "wren-contents":
            dump = folder / "u9.bin"
            dump.write_bytes(bytes(range(0, 256, 8)))
            palette = make_palette(traced, {"U9": dump})
        card = (
            [page_as_svg(sheet, "card") for sheet in lay_out(make_card(traced, 75.0))]
            if name != "odd"
            else []
        )
        found[name] = folder / f"{name}.html"
        page = make_page(traced, palette=palette)
        found[name].write_text(emit(page, printed="\n".join(card)), encoding="utf-8")
    return found
