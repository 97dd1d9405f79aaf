"""Tables: CSV and TSV as people, spreadsheets and CAD reports write them.

Shapes, told by the header row (which may stand below title lines):

1. one row a pin: part, pin, net, in any order; with pin name, marking, place;
2. one row a net: its name and a cell of pins (``U5.AF16 R208.1``);
3. a matrix: a column a part, a row a net, the cells hold pin numbers;
4. one row a connection: ``from`` and ``to``, each a pin (``U1.3``);
5. one row a part, without pins: a part list, of use beside a net list.

Separated by comma, semicolon, tab or ``|``; a quote inside quotes is doubled
(RFC 4180). A table that could be read in two ways is refused: two columns for
one fact, a row with more cells than the header (a decimal comma without
quotes), a net without a name.
"""

from __future__ import annotations

import re

from lark import Tree
from lark.exceptions import UnexpectedInput

from tracer.base.errors import NetlistError
from tracer.base.findings import Finding, note, warning
from tracer.base.names import natural_key
from tracer.importers.grammar import load_grammar
from tracer.importers.typed.table_rows import Table, find_table, matrix_parts
from tracer.netlist.board import Netlist, Origin, Part, Pin, PinRef, make_netlist
from tracer.netlist.net_names import is_no_connect, name_of_alone, name_of_joined, says_alone
from tracer.netlist.union_find import UnionFind

__all__ = ["parse"]

_NAME_THE_NET = "type its name, or N/C for pins that are joined to nothing; blanks are not carried down"


def parse(text: str, file: str, name: str) -> Netlist:
    """Read a table.

    Raises
    ------
    NetlistError
        No header with known columns, a column missing, a row too short, or a cell that is no list of pins.
    """
    table = find_table(text, file)
    facts = set(table.columns)
    collected = _Collected(file)
    if {"from", "to"} <= facts:
        _read_connections(table, collected)
    elif {"ref", "pin", "net"} <= facts:
        _read_pins(table, collected)
    elif {"net", "pins"} <= facts:
        _read_nets(table, collected)
    elif {"ref", "marking"} <= facts and not {"pin", "net"} & facts:
        for line, row in table.cells():
            if row["ref"]:
                collected.part(row["ref"], line, row.get("marking", ""), row.get("place", ""))
    elif "net" in facts and not {"ref", "pin"} & facts and matrix_parts(table.header, table.columns):
        _read_matrix(table, collected)
    else:
        missing = [w for w in ("ref", "pin", "net") if w not in facts]
        found = ", ".join(h or "(empty)" for h in table.header)
        raise table.error(
            f"the columns {found} do not make a netlist; there is no column for: {', '.join(missing)}",
            table.header_line,
            "name the columns part, pin, net (and marking, name, place if you have them)",
        )
    return collected.netlist(name)


class _Collected:
    """Parts and nets as the rows bring them."""

    def __init__(self, file: str) -> None:
        self.file = file
        self.nets: dict[str, tuple[list[PinRef], Origin]] = {}
        self.markings: dict[str, tuple[str, str, Origin]] = {}
        self.pins: dict[str, dict[str, Pin]] = {}
        self.findings: list[Finding] = []
        self.lonely = 0

    def part(self, reference: str, line: int, marking: str = "", place: str = "") -> None:
        old = self.markings.get(reference)
        if old and marking and old[0] and old[0] != marking:
            self.findings.append(
                warning(
                    "contradiction",
                    f"{reference} is {old[0]} in line {old[2].line} and {marking} in line {line}; the first is kept",
                    reference,
                )
            )
        self.markings[reference] = (
            (old[0] if old else "") or marking,
            (old[1] if old else "") or place,
            old[2] if old else Origin(self.file, line),
        )

    def pin(self, net: str, pin: PinRef, line: int, name: str = "", kind: str = "") -> None:
        if is_no_connect(net):
            self.lonely += net != ""
            net = name_of_alone(pin)
        self.nets.setdefault(net, ([], Origin(self.file, line)))[0].append(pin)
        known = self.pins.setdefault(pin.part, {})
        if pin.pin not in known or (name and not known[pin.pin].name):
            known[pin.pin] = Pin(pin.pin, name, kind)

    def netlist(self, name: str) -> Netlist:
        if self.lonely > 1:
            self.findings.append(
                note(
                    "no-connect-joined",
                    f"{self.lonely} pins are marked as not connected; each is on a net of its own",
                )
            )
        references = sorted({*self.markings, *self.pins}, key=natural_key)
        parts = []
        for reference in references:
            marking, place, origin = self.markings.get(reference, ("", "", Origin(self.file)))
            pins = tuple(self.pins.get(reference, {}).values())
            parts.append(Part(reference, marking, place=place, pins=pins, origin=origin))
        nets = [(net, pins, origin) for net, (pins, origin) in self.nets.items()]
        return make_netlist(name, parts, nets, findings=self.findings)


def _read_pins(table: Table, collected: _Collected) -> None:
    for line, row in table.cells():
        if not row["ref"] and not row["pin"]:
            continue
        if row["ref"] and not row["pin"] and not row["net"]:
            # A part without legs: known to be on the board, and no more.
            collected.part(row["ref"], line, row.get("marking", ""), row.get("place", ""))
            continue
        if not row["ref"] or not row["pin"]:
            missing = "part" if not row["ref"] else "pin"
            raise table.error(
                f"this row names no {missing}", line, "fill the cell; blanks are not carried down"
            )
        if re.search(r"[\s,;]", row["pin"]):
            raise table.error(
                "this row names several pins", line, "give each pin a row of its own", row["pin"]
            )
        collected.part(row["ref"], line, row.get("marking", ""), row.get("place", ""))
        collected.pin(
            row["net"], PinRef(row["ref"], row["pin"]), line, row.get("name", ""), row.get("kind", "")
        )


def _read_nets(table: Table, collected: _Collected) -> None:
    for line, row in table.cells():
        pins = _pin_list(row["pins"], line, table)
        if pins and not row["net"]:
            raise table.error("this row names no net", line, _NAME_THE_NET)
        for pin in pins:
            collected.pin(row["net"], pin, line)


def _read_connections(table: Table, collected: _Collected) -> None:
    joined = UnionFind()
    lines: dict[PinRef, int] = {}
    for line, row in table.cells():
        ends = [pin for fact in ("from", "to") for pin in _pin_list(row[fact], line, table)]
        for pin in ends:
            lines.setdefault(pin, line)
            joined.union(ends[0], pin)
    groups: dict[object, list[PinRef]] = {}
    for pin in sorted(lines, key=lambda p: p.key):
        groups.setdefault(joined.find(pin), []).append(pin)
    for pins in groups.values():
        name = name_of_joined(pins[0]) if len(pins) > 1 else name_of_alone(pins[0])
        for pin in pins:
            collected.pin(name, pin, lines[pin])


def _read_matrix(table: Table, collected: _Collected) -> None:
    parts = matrix_parts(table.header, table.columns)
    for line, row in table.rows:
        net = row[table.columns["net"]].strip() if len(row) > table.columns["net"] else ""
        for at, reference in parts:
            cell = row[at].strip() if at < len(row) else ""
            for number in cell.replace(";", ",").replace(" ", ",").split(","):
                if says_alone(number):
                    continue
                if not net:
                    raise table.error("this row names no net", line, _NAME_THE_NET)
                collected.pin(net, PinRef(reference, number), line)


def _pin_list(cell: str, line: int, table: Table) -> list[PinRef]:
    """The pins of a cell; none where it holds a word such as N/C."""
    if says_alone(cell):
        return []
    try:
        tree = load_grammar("pin_list").parse(cell)
    except UnexpectedInput as error:
        word = _word_at(cell, getattr(error, "pos_in_stream", None))
        raise _no_pin(word, cell, line, table) from None
    pins = []
    for node in tree.children:
        if isinstance(node, Tree):
            words = [str(c) for c in node.children if str(c).strip()]
            if len(words) == 1:
                # "N/C" has the form of a pin.
                if says_alone(words[0]):
                    raise _no_pin(words[0], cell, line, table)
                cut = max(words[0].rfind(c) for c in ".:/-")
                words = [words[0][:cut], words[0][cut + 1 :]]
            pins.append(PinRef(words[0], words[1]))
    return pins


def _no_pin(word: str, cell: str, line: int, table: Table) -> NetlistError:
    fix = "write pins as part.leg, for example U5.12 R8.1"
    return table.error(f"{word!r} in {cell[:60]!r} is no pin", line, fix, word, cell)


def _word_at(cell: str, offset: int | None) -> str:
    """The word of a cell in which the reader stopped; the last one where it stopped at the end."""
    words = list(re.finditer(r"[^\s,;+]+|[,;+]", cell))
    at = len(cell) if offset is None or offset < 0 else offset
    return next((w[0] for w in words if w.end() > at), words[-1][0] if words else cell)
