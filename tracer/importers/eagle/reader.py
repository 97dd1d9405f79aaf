"""Eagle's XML files (Eagle 6 to 9): schematic (.sch) and board (.brd).

One ``<eagle>`` element holds ``<drawing>``, and that a ``<schematic>``, a
``<board>`` or a ``<library>``. The schematic knows the pins' names and
directions; the board knows only pads.
"""

from __future__ import annotations

from tracer.importers.eagle.board import read_board
from tracer.importers.eagle.schematic import read_schematic
from tracer.importers.text import Positions
from tracer.importers.xml_tree import parse_xml
from tracer.netlist.board import Netlist

__all__ = ["parse"]


def parse(text: str, file: str, name: str) -> Netlist:
    """Read the text of an Eagle schematic or board.

    Raises
    ------
    NetlistError
        It is no XML, nothing of Eagle's, or a library.
    """
    root = parse_xml(text, file)
    positions = Positions(text, file)
    if root.tag != "eagle":
        raise positions.error(
            f"an Eagle file starts with <eagle>, this one with <{root.tag}>",
            root.at,
            "give the schematic or the board",
        )
    schematic, board = root.first("drawing", "schematic"), root.first("drawing", "board")
    if schematic is not None:
        return read_schematic(schematic, positions, name)
    if board is not None:
        return read_board(board, positions, name)
    raise positions.error(
        "this Eagle file holds neither a schematic nor a board", root.at, "give the schematic or the board"
    )
