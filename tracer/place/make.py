"""A traced board -> where its parts sit: from pads in millimetres, else from places such as 7E as a grid."""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping

from tracer.base.names import natural_key
from tracer.circuit.graph import Circuit
from tracer.levels.loaded_stage import loaded_stage
from tracer.parts.kinds import Kind
from tracer.place.values import PlacedPart, PlacePad, PlaceView
from tracer.tracing.pipeline import Traced

__all__ = ["WHAT_WOULD_PLACE", "place_view"]

#: Fewer parts with a place than this make no board.
LEAST_PLACED = 3
#: What a body reaches beyond its pads, in millimetres; smaller parts less.
_MARGIN_MM = 1.2
#: Cells of a grid, and what a part leaves free in one: the same unit as millimetres, a DIP on a board of the time.
CELL_WIDE, CELL_HIGH, _FREE = 24.0, 16.0, 1.0
_PLACE = re.compile(r"(?:(?P<a>[A-Z]{1,2})[-/ ]?(?P<n>\d{1,2})|(?P<n2>\d{1,2})[-/ ]?(?P<a2>[A-Z]{1,2}))")
WHAT_WOULD_PLACE = (
    "No picture of the board: give a board drawing (.kicad_pcb, Eagle .brd, gEDA .pcb, IPC-D-356), or the places that the "
    "board's print has, in notes: U9 is 74LS273 at 7E"
)

_Colours = Mapping[str, tuple[str, ...]]


def place_view(traced: Traced) -> PlaceView | None:
    """The board from above; None where too little is known of it (`WHAT_WOULD_PLACE` says what would help)."""
    path = _Path(traced)
    spots = {part.reference: part.spot for part in traced.circuit.netlist.parts if part.spot is not None}
    if sum(part in spots for part in path.legs) >= min(LEAST_PLACED, len(path.legs)) and spots:
        return _drawn(traced, path)
    return _grid(traced, path)


class _Path:
    """Legs and parts of the path, each with the colours that pass it."""

    def __init__(self, traced: Traced) -> None:
        self.legs: dict[str, dict[str, dict[str, None]]] = {}
        self.stage: dict[str, dict[str, None]] = {}
        self.connectors: dict[str, dict[str, None]] = {}
        for colour in traced.bit_map.colours:
            for bit in colour.bits:
                for path in bit.paths:
                    if path.role == "write path":
                        continue
                    keys = [(s.part, pin) for s in path.steps for pin in (s.source_pin, s.target_pin)]
                    keys += (
                        [(path.source.part, path.source.pin)] if path.source.part and path.source.pin else []
                    )
                    for part, pin in keys:
                        self.legs.setdefault(part, {}).setdefault(pin, {})[colour.name] = None
            if colour.pin.part and colour.pin.pin:
                own = self.legs.setdefault(colour.pin.part, {})
                own.setdefault(colour.pin.pin, {})[colour.name] = None
                self.connectors.setdefault(colour.pin.part, {})[colour.name] = None
            if colour.bits:
                network = loaded_stage(traced, colour.name).network
                parts = [r.part for r in network.resistors] + [q.part for q in network.transistors]
                for part in dict.fromkeys(parts):
                    self.stage.setdefault(part, {})[colour.name] = None

    def colours(self, part: str) -> tuple[str, ...]:
        own = [c for colours in self.legs.get(part, {}).values() for c in colours]
        return tuple(dict.fromkeys([*own, *self.stage.get(part, {})]))

    def pad(self, part: str, pin: str) -> tuple[str, ...]:
        return tuple(self.legs.get(part, {}).get(pin, {}))


def _part(
    circuit: Circuit,
    path: _Path,
    name: str,
    box: tuple[float, float, float, float],
    pads: tuple[PlacePad, ...],
) -> PlacedPart:
    known = circuit.identified[name]
    spot = known.part.spot
    is_stage = name in path.stage and known.kind.is_discrete
    return PlacedPart(
        name, known.sold_as, known.part.place, box, pads, path.colours(name),
        spot is not None and spot.is_below,
        "connector" if name in path.connectors else "stage" if is_stage else "chip" if name in path.legs else "beside",
    )  # fmt: skip


def _in_order(parts: Iterable[PlacedPart]) -> tuple[PlacedPart, ...]:
    return tuple(sorted(parts, key=lambda p: (p.role != "beside", natural_key(p.part))))


def _drawn(traced: Traced, path: _Path) -> PlaceView:
    circuit, parts = traced.circuit, []
    for part in circuit.netlist.parts:
        if part.spot is None or part.reference not in circuit.identified:
            continue
        left, top, right, bottom = part.spot.box
        margin = min(_MARGIN_MM, 0.4 + 0.15 * max(right - left, bottom - top))
        pads = tuple(PlacePad(p.pin, p.x, p.y, path.pad(part.reference, p.pin)) for p in part.spot.pads)
        box = (left - margin, top - margin, right + margin, bottom + margin)
        parts.append(_part(circuit, path, part.reference, box, pads))
    outline = circuit.netlist.outline
    corners = [point for ends in outline for point in ends]
    corners += [point for p in parts for point in (p.box[:2], p.box[2:])]
    whole = (*map(min, zip(*corners, strict=True)), *map(max, zip(*corners, strict=True)))
    left, top, right, bottom = whole
    placed = {p.part for p in parts}
    unplaced = tuple(name for name in path.legs if name not in placed)
    return PlaceView(
        traced.bit_map.name, False, (left, top, right, bottom), outline, _in_order(parts), unplaced=unplaced
    )


def _grid(traced: Traced, path: _Path) -> PlaceView | None:
    circuit = traced.circuit
    # Joined boards have the same places: each has columns of its own.
    cells: dict[str, tuple[tuple[str, int], str]] = {}
    for name, known in circuit.identified.items():
        found = _PLACE.fullmatch(known.part.place.strip().upper()) if known.part.place else None
        if found is not None:
            board = name.rpartition(":")[0]
            cells[name] = ((board, int(found["n"] or found["n2"])), found["a"] or found["a2"])
    if len(cells) < LEAST_PLACED or not cells.keys() & path.legs.keys():
        return None
    columns = sorted({column for column, _ in cells.values()})
    rows = sorted({row for _, row in cells.values()}, key=lambda r: (len(r), r))
    at: dict[tuple[tuple[str, int], str], list[str]] = {}
    for name in sorted(cells, key=natural_key):
        at.setdefault(cells[name], []).append(name)
    parts = []
    for (column, row), names in at.items():
        x, y, high = columns.index(column) * CELL_WIDE, rows.index(row) * CELL_HIGH, CELL_HIGH / len(names)
        for i, name in enumerate(names):
            box = (x + _FREE, y + i * high + _FREE / 2, x + CELL_WIDE - _FREE, y + (i + 1) * high - _FREE / 2)
            parts.append(_part(circuit, path, name, box, ()))
    kinds = {name: circuit.identified[name].kind for name in path.legs}
    unplaced = tuple(n for n in path.legs if n not in cells and kinds[n] != Kind.CONNECTOR)
    return PlaceView(
        traced.bit_map.name, True, (0.0, 0.0, len(columns) * CELL_WIDE, len(rows) * CELL_HIGH), (), _in_order(parts),
        tuple((str(c), (i + 0.5) * CELL_WIDE) for i, (_, c) in enumerate(columns)),
        tuple((r, (i + 0.5) * CELL_HIGH) for i, r in enumerate(rows)),
        unplaced,
        tuple((board, columns.index(min(c for c in columns if c[0] == board)) * CELL_WIDE)
              for board in dict.fromkeys(board for board, _ in columns) if board),
    )  # fmt: skip
