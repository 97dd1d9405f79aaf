"""Tables: CSV and TSV as people, spreadsheets and CAD reports write them.

Shapes, told by the header row (which may stand below title lines):

1. one row a pin: part, pin, net, in any order; with pin name, marking, place;
2. one row a net: its name and a cell of pins (``U5.AF16 R208.1``);
3. a matrix: a column a part, a row a net, the cells hold pin numbers;
4. one row a connection: ``from`` and ``to``, each a pin (``U1.3``);
5. one row a part, without pins: a part list, of use beside a net list.

Separated by comma, semicolon, tab or ``|``; a quote inside quotes is doubled
(RFC 4180).
"""

from __future__ import annotations

import csv
import io
from collections.abc import Iterator
from dataclasses import dataclass, field

from tracer.errors import NetlistError, caret_excerpt
from tracer.findings import Finding, note, warning
from tracer.importers.grammar import load_grammar
from tracer.importers.union import UnionFind
from tracer.names import is_no_connect, natural_key
from tracer.netlist import Netlist, Origin, Part, Pin, PinRef, make_netlist

__all__ = ["parse"]

#: Column words, in lower case without blanks, underscores and dots; the first fact that fits a word wins.
_WORDS: dict[str, tuple[str, ...]] = {
    "net": ("net", "netname", "signal", "signalname", "node", "nodename"),
    "pins": ("netpins", "pins", "nodes", "connections", "pinlist", "members"),
    "pin": ("pin", "pinnumber", "pinno", "pin#", "pad", "leg", "pinnum"),
    "ref": ("ref", "refdes", "reference", "designator", "component", "chip", "ic", "part", "partref"),
    "name": ("pinname", "name", "function", "pinfunction"),
    "kind": ("pintype", "direction", "electricaltype"),
    "marking": (
        "marking",
        "value",
        "type",
        "parttype",
        "partnumber",
        "comment",
        "device",
        "part",
        "partvalue",
    ),
    "place": ("place", "location", "position", "loc"),
    "from": ("from", "frompin", "source"),
    "to": ("to", "topin", "destination"),
}

#: Title lines that may stand above the header (one report has four).
_TITLE_LINES = 12


@dataclass
class _Table:
    """Rows under a header, with what each column is."""

    file: str
    header: list[str]
    header_line: int
    rows: list[tuple[int, list[str]]]
    columns: dict[str, int]
    lines: list[str] = field(default_factory=list)

    def error(self, what: str, line: int, fix: str) -> NetlistError:
        text = self.lines[line - 1] if 0 < line <= len(self.lines) else ""
        return NetlistError(
            what, file=self.file, line=line, column=1, excerpt=caret_excerpt(text, 1), fix=fix
        )

    def cells(self) -> Iterator[tuple[int, dict[str, str]]]:
        """Line and facts of each row."""
        for line, row in self.rows:
            if len(row) < len(self.header) and len(row) <= max(self.columns.values()):
                raise self.error(
                    f"this row has {len(row)} columns, the header has {len(self.header)}",
                    line,
                    "fill the row up, or put quotes round a cell that holds the separator",
                )
            yield line, {fact: row[at].strip() for fact, at in self.columns.items()}


def parse(text: str, file: str, name: str) -> Netlist:
    """Read a table.

    Raises
    ------
    NetlistError
        No header with known columns, a column missing, a row too short, or a cell that is no list of pins.
    """
    table = _find_table(text, file)
    facts = set(table.columns)
    collected = _Collected(file)
    if {"from", "to"} <= facts:
        _read_connections(table, collected)
    elif {"ref", "pin", "net"} <= facts:
        _read_pins(table, collected)
    elif {"net", "pins"} <= facts:
        _read_nets(table, collected)
    elif "ref" in facts and "marking" in facts and "pin" not in facts:
        for line, row in table.cells():
            if row["ref"]:
                collected.part(row["ref"], line, row.get("marking", ""), row.get("place", ""))
    elif "net" in facts and len(table.header) - len(facts) >= 2:
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
            self.lonely += net != "" and not net.startswith("unconnected-(")
            net = net if net.startswith("unconnected-(") else f"unconnected-({pin.part}-Pad{pin.pin})"
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


def _read_pins(table: _Table, collected: _Collected) -> None:
    for line, row in table.cells():
        if not row["ref"] and not row["pin"]:
            continue
        if not row["ref"] or not row["pin"]:
            missing = "part" if not row["ref"] else "pin"
            raise table.error(
                f"this row names no {missing}", line, "fill the cell; blanks are not carried down"
            )
        collected.part(row["ref"], line, row.get("marking", ""), row.get("place", ""))
        collected.pin(
            row["net"], PinRef(row["ref"], row["pin"]), line, row.get("name", ""), row.get("kind", "")
        )


def _read_nets(table: _Table, collected: _Collected) -> None:
    for line, row in table.cells():
        for pin in _pin_list(row["pins"], line, table) if row["pins"] else ():
            collected.pin(row["net"], pin, line)


def _read_connections(table: _Table, collected: _Collected) -> None:
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
        for pin in pins:
            collected.pin(f"Net-({pins[0].part}-Pad{pins[0].pin})", pin, lines[pin])


def _read_matrix(table: _Table, collected: _Collected) -> None:
    known = set(table.columns.values())
    parts = [(i, h.strip()) for i, h in enumerate(table.header) if i not in known and h.strip()]
    for line, row in table.rows:
        net = row[table.columns["net"]].strip() if len(row) > table.columns["net"] else ""
        for at, reference in parts:
            cell = row[at].strip() if at < len(row) else ""
            for number in cell.replace(";", ",").replace(" ", ",").split(","):
                if number:
                    collected.pin(net, PinRef(reference, number), line)


def _pin_list(cell: str, line: int, table: _Table) -> list[PinRef]:
    from lark import Tree
    from lark.exceptions import UnexpectedInput

    try:
        tree = load_grammar("pin_list").parse(cell)
    except UnexpectedInput as error:
        at = getattr(error, "column", 1) or 1
        word = cell[max(0, at - 1) :].split() or [cell]
        raise table.error(
            f"{word[0]!r} in {cell[:60]!r} is no pin", line, "write pins as part.leg, for example U5.12 R8.1"
        ) from None
    pins = []
    for node in tree.children:
        if isinstance(node, Tree):
            words = [str(c) for c in node.children if str(c).strip()]
            if len(words) == 1:
                cut = max(words[0].rfind(c) for c in ".:/-")
                words = [words[0][:cut], words[0][cut + 1 :]]
            pins.append(PinRef(words[0], words[1]))
    return pins


def _find_table(text: str, file: str) -> _Table:
    lines = text.split("\n")
    best: _Table | None = None
    for separator in (",", ";", "\t", "|"):
        if separator not in text:
            continue
        try:
            rows = [
                (line, row)
                for line, row in _numbered_rows(text, separator)
                if any(cell.strip() for cell in row) and not row[0].lstrip().startswith("#")
            ]
        except csv.Error as error:
            if best is None:
                best_error = NetlistError(
                    f"the quotes do not match: {error}", file=file, fix="close every quoted cell with a quote"
                )
                if '"' in text and text.count('"') % 2:
                    raise best_error from None
            continue
        for at, (line, row) in enumerate(rows[:_TITLE_LINES]):
            columns = _columns(row)
            if len(columns) >= 2 and (best is None or len(columns) > len(best.columns)):
                best = _Table(file, [c.strip() for c in row], line, rows[at + 1 :], columns, lines)
    if best is None:
        raise NetlistError(
            "no header row with known columns was found",
            file=file,
            line=1,
            column=1,
            excerpt=caret_excerpt(lines[0], 1),
            fix="put a row with the words part, pin, net above the rows (or net, pins; or from, to)",
        )
    return best


def _numbered_rows(text: str, separator: str) -> Iterator[tuple[int, list[str]]]:
    reader = csv.reader(io.StringIO(text), delimiter=separator, strict=True, skipinitialspace=True)
    before = 0
    for row in reader:
        yield before + 1, row
        before = reader.line_num


def _columns(row: list[str]) -> dict[str, int]:
    """What each column of a header row is."""
    found: dict[str, int] = {}
    words = ["".join(c for c in cell.lower() if c.isalnum() or c == "#") for cell in row]
    taken: set[int] = set()
    for fact, known in _WORDS.items():
        for word in known:
            at = next((i for i, w in enumerate(words) if w == word and i not in taken), None)
            if at is not None:
                found[fact] = at
                taken.add(at)
                break
    return found
