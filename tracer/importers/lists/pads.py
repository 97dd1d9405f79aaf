"""PADS ASCII: part list and net list, in one file or two.

The form is described in `grammars/pads.lark`. What stands behind a reference in
the part list is a footprint, except that

- ``VALUE@FOOTPRINT`` holds both;
- KiCad 9 puts the value there when a part has no footprint (seen in its
  output, 9.0.2). Its lists are known by their columns, its footprints by the
  colon behind the library; the rest is taken as the marking, and the reader
  says so.

Net names and pins are kept as written. KiCad leaves out nets of fewer than two
pins; Lepton writes references and nets in upper case.
"""

from __future__ import annotations

import re

from tracer.base.findings import warning
from tracer.importers.collector import Collector
from tracer.importers.statements import read_statements
from tracer.importers.text import Positions
from tracer.netlist.board import Netlist, PinRef

__all__ = ["parse"]

_WANTED = {
    "HEADER": "the first line *PADS-PCB*",
    "PARTS": "*PART*",
    "NETS": "*NET*",
    "SIGNAL": "*SIGNAL* and a net's name",
    "PART_LINE": "a part such as U9 DIP20",
    "PIN_LINE": "pins such as U9.2 R5.1",
    "END": "*END*",
}
#: Sections of a whole design, which hold its tracks as well.
_DESIGN = re.compile(r"\*(?:ROUTE|PARTTYPE|PARTDECAL|PCB)\*", re.IGNORECASE)
_SIGNAL = re.compile(r"\*SIG(?:NAL)?\*", re.IGNORECASE)
_FIRST_WORD = re.compile(r"\S+")


def parse(text: str, file: str, name: str) -> Netlist:
    """Read a part list, a net list, or both.

    Raises
    ------
    NetlistError
        A line where none of its kind may stand, a pin without a dot, a net without a name, or a whole design.
    """
    positions = Positions(text, file)
    collector = Collector(file)
    has_nets = ended = False
    pins: list[PinRef] = []
    parts: list[tuple[str, int]] = []
    for statement in read_statements("pads", positions, _WANTED):
        kind, at = statement.type, statement.start_pos or 0
        if kind == "PIN_LINE":
            for word in _FIRST_WORD.finditer(statement):
                part, _, number = word[0].rpartition(".")
                # A pin without a number is written "H1." by KiCad.
                if not part:
                    raise positions.error(
                        f"{word[0]} is no pin", at + word.start(), "write pins as part.leg, for example U9.2"
                    )
                pins.append(PinRef(part, number))
        elif kind == "SIGNAL":
            net = statement.split("*", 2)[2].strip(" \t\r")
            if not net:
                raise positions.error("this net has no name", at, "write its name behind *SIGNAL*")
            pins = collector.whole_net(net, statement.line or 1)
        elif kind == "PART_LINE":
            parts.append((statement.rstrip(" \t\r"), statement.line or 1))
        elif kind == "OTHER":
            if _DESIGN.match(statement):
                raise positions.error(
                    "this is a whole PADS design with its tracks, not a netlist",
                    at,
                    "export a netlist from the program that made it (ASCII, parts and nets only)",
                )
            if _SIGNAL.match(statement):
                raise positions.error(
                    "this net stands outside of the net list",
                    at,
                    "write *NET* in a line of its own before the first net",
                )
            collector.skip(statement.split("*")[1].strip())
        elif kind == "NETS":
            has_nets = True
        elif kind == "END":
            ended = True
    if has_nets and not ended:
        collector.cut_short("*END*")
    _take_parts(parts, collector)
    return collector.netlist(name)


#: A case size is no value, though it has the form of one: EIA sizes and DIN sizes of axial parts (common practice).
_CASE_SIZE = re.compile(r"0\d{3,4}|1206|1210|1806|1808|1812|1825|2010|2220|2225|2512|2920")


def _take_parts(parts: list[tuple[str, int]], collector: Collector) -> None:
    """Part lines and their line numbers -> parts."""
    split = [(*_FIRST_WORD.findall(line)[:1], line, number) for line, number in parts]
    # KiCad's own form: the reference filled up to 16 columns, then LIBRARY:FOOTPRINT, else the value.
    by_kicad = all(line.startswith(f"{reference:<16} ") or line == reference for reference, line, _ in split)
    taken = []
    for reference, line, number in split:
        word = line[len(reference) :].strip(" \t\r")
        marking, at, footprint = word.rpartition("@")
        if not at and by_kicad and word and ":" not in word and not _is_footprint(word, reference):
            marking, footprint = word, ""
            taken.append(f"{reference} {word}")
        collector.part(reference, number, marking, footprint=footprint)
    if taken:
        collector.findings.append(
            warning(
                "marking-for-footprint",
                f"{len(taken)} part(s) have no footprint with a library, and KiCad writes the value in its column; it was "
                f"taken as the marking: {', '.join(taken[:6])}{' ...' if len(taken) > 6 else ''}",
                *(entry.split(" ")[0] for entry in taken),
            )
        )


def _is_footprint(word: str, reference: str) -> bool:
    """Whether a word without a library is one all the same: a case size, or ``R3`` for a resistor (KiCad before 4)."""
    return (
        _CASE_SIZE.fullmatch(word) is not None
        or re.fullmatch(rf"{re.escape(reference[:1])}\d+", word) is not None
    )
