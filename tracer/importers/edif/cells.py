"""EDIF 2 0 0 text -> libraries of cells: their ports, and what stands inside.

Keywords are read in any case: one file may have ``(cell`` and ``(Instance``.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator
from dataclasses import dataclass, field, replace

from tracer.base.errors import NetlistError
from tracer.importers.edif.names import Name, Names, defined, designator, properties
from tracer.importers.sexpr import Expr, parse_sexpr
from tracer.importers.text import Positions

__all__ = ["Cell", "Edif", "Port", "View", "cell_reference", "read_cells", "top_cell"]

#: Pins of all cells of a file together; a few words can stand for thousands.
MOST_WIRES = 1_000_000

_KINDS = {"input": "input", "output": "output", "inout": "bidirectional"}


@dataclass(frozen=True, slots=True)
class Port:
    """A pin, or a bus of pins. `number` is the leg where the file tells it apart from the name."""

    name: Name
    kind: str
    number: str = ""

    @property
    def bits(self) -> tuple[str, ...]:
        """Name of each wire."""
        return self.name.bits if self.name.bits is not None else (self.name.text,)


@dataclass(frozen=True)
class View:
    """One description of a cell. `contents` is None for a cell that is only its pins."""

    kind: str
    ports: Names[Port]
    contents: Expr | None


@dataclass(frozen=True)
class Cell:
    """A kind of part, or a sheet."""

    library: str
    name: Name
    views: Names[View]
    properties: dict[str, str]
    at: int

    def view(self, wanted: str = "") -> View | None:
        """The view of this name; else the first with something in it; else the first."""
        views = list(self.views.exact.values())
        named = self.views.get(wanted) if wanted else None
        return named or next((v for v in views if v.contents is not None), views[0] if views else None)


@dataclass
class Edif:
    """All cells of a file, and the one that is the board."""

    name: str
    libraries: Names[Names[Cell]] = field(default_factory=Names)
    design: Expr | None = None
    #: Wires that lead out of all cells.
    wires: int = 0

    def cells(self) -> Iterator[Cell]:
        """Every cell, in the file's order."""
        for library in self.libraries.exact.values():
            yield from library.exact.values()

    def find(self, reference: Expr, home: str) -> Cell | None:
        """The cell of ``(cellRef C (libraryRef L))``; without a library that of `home`, else any one of the name."""
        wanted, library_ref = reference[1] if len(reference) > 1 else "", reference.first("libraryref")
        key = wanted if isinstance(wanted, str) else ""
        library = self.libraries.get(library_ref.words()[0] if library_ref and library_ref.words() else home)
        if library is not None and (found := library.get(key)) is not None:
            return found
        if library_ref is not None:
            return None
        others = [cell for cells in self.libraries.exact.values() if (cell := cells.get(key)) is not None]
        return others[0] if len(others) == 1 else None


def read_cells(text: str, positions: Positions) -> Edif:
    """Read the whole file.

    Raises
    ------
    NetlistError
        The brackets do not match, it is another version of EDIF, or a name is missing.
    """
    root = parse_sexpr(text, positions.file, escapes=False, any_case=True)
    if root.head != "edif":
        raise positions.error(
            f"an EDIF netlist starts with (edif, this one with ({root.head}",
            root.at,
            "export the netlist again",
        )
    version = root.first("edifversion")
    if version is not None and version.words()[:1] != ["2"]:
        raise positions.error(
            f"this is EDIF {' '.join(version.words())}; version 2 0 0 is read",
            version.at,
            "export the netlist as EDIF 2 0 0",
        )
    for mapping in root.all("keywordmap"):
        for own in ("keywordalias", "keyworddefine"):
            if (alias := mapping.first(own)) is not None:
                raise positions.error(
                    "this EDIF makes keywords of its own, which are not read",
                    alias.at,
                    "export it without them",
                )
    edif = Edif(defined(root[1], positions, root.at).text if len(root) > 1 else "")
    for item in root:
        if isinstance(item, Expr) and item.head in ("library", "external"):
            _read_library(item, edif, positions)
    edif.design = root.first("design")
    return edif


def _read_library(item: Expr, edif: Edif, positions: Positions) -> None:
    name = defined(item[1] if len(item) > 1 else None, positions, item.at)
    edif.libraries.add(name.id, Names())
    cells = edif.libraries.exact[name.id]
    for entry in item.all("cell"):
        cell_name = defined(entry[1] if len(entry) > 1 else None, positions, entry.at)
        views: Names[View] = Names()
        for view in entry.all("view"):
            kind = view.word("viewtype", "NETLIST").upper()
            title = defined(view[1] if len(view) > 1 else None, positions, view.at)
            views.add(title.id, View(kind, _ports(view, edif, positions), view.first("contents")))
        if not cells.add(cell_name.id, Cell(name.text, cell_name, views, properties(entry), entry.at)):
            raise positions.error(
                f"a second cell of library {name.text} is called {cell_name.text}",
                entry.at,
                "give one of the two another name",
            )


def _ports(view: Expr, edif: Edif, positions: Positions) -> Names[Port]:
    ports: Names[Port] = Names()
    interface = view.first("interface")
    found = []
    for port in interface.all("port") if interface is not None else ():
        name = defined(port[1] if len(port) > 1 else None, positions, port.at)
        number = designator(port) if name.bits is None else ""
        found.append(Port(name, _KINDS.get(port.word("direction").lower(), ""), number))
        edif.wires += len(found[-1].bits)
        if edif.wires > MOST_WIRES:
            raise positions.error(
                "the buses of its cells have more wires than a board can hold",
                port.at,
                "give the netlist of the board alone",
            )
    taken = Counter(leg for port in found for leg in (port.number and (port.number,)) or port.bits)
    for pin in found:
        twin = taken[pin.name.text] > 1 and not pin.number and pin.name.bits is None
        ports.add(pin.name.id, replace(pin, number=_leg_apart(pin.name, taken)) if twin else pin)
    return ports


def _leg_apart(name: Name, taken: Counter[str]) -> str:
    """Two pins called GND, with no word of their legs, are two pins: each has its identifier for a number."""
    number = name.id.removeprefix("&")
    while number in taken:
        number += "_"
    taken[number] += 1
    return number


def top_cell(edif: Edif, positions: Positions) -> Cell:
    """The cell that is the board: the design's, else the only one that no other cell holds.

    Raises
    ------
    NetlistError
        It is not in the file, or cannot be told.
    """
    reference = edif.design.first("cellref") if edif.design is not None else None
    if edif.design is not None and reference is not None:
        top = edif.find(reference, "")
        if top is None:
            raise positions.error(
                "the design names a cell that is not in the file", edif.design.at, "export the netlist again"
            )
        return top
    full = [cell for cell in edif.cells() if (view := cell.view()) is not None and view.contents is not None]
    inside = set()
    for cell in full:
        for view in cell.views.exact.values():
            for instance in view.contents.all("instance") if view.contents is not None else ():
                found = cell_reference(instance)
                used = edif.find(found[0], cell.library) if found else None
                inside.add(id(used))
    tops = [cell for cell in full if id(cell) not in inside]
    if len(tops) != 1:
        names = ", ".join(cell.name.text for cell in tops[:8])
        raise NetlistError(
            "the file has no (design ...) clause, and "
            + (f"several cells could be the board: {names}" if tops else "no cell could be the board"),
            file=positions.file,
            fix="add (design NAME (cellRef CELL (libraryRef LIBRARY))) before the last bracket, or export again",
        )
    return tops[0]


def cell_reference(instance: Expr) -> tuple[Expr, str] | None:
    """The ``(cellRef ..)`` of an instance and the view it wants."""
    listed = instance.first("viewlist")
    view = instance.first("viewref") or (listed.first("viewref") if listed is not None else None)
    if view is None:
        cell = instance.first("cellref")
        return (cell, "") if cell is not None else None
    cell = view.first("cellref")
    wanted = view[1] if len(view) > 1 and isinstance(view[1], str) else ""
    return (cell, wanted) if cell is not None else None
