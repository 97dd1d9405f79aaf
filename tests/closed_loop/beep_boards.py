"""Random boards for rehearsals of the search by beeps: regular ones, shuffled ones, mixed palette chips, packs.

A board has its colour path (resistors, latches or none, memories) and what else stands on such a board: a processor's
memories, counters, gates, pull-ups, bypass capacitors. Everything has a place on the grid; the colour path tends to
lie together near the connector's edge.
"""

from __future__ import annotations

import random
from dataclasses import dataclass, field

from tracer.netlist.board import Netlist, Part, Pin, PinRef, make_netlist
from tracer.parts.library import Library, load_library

__all__ = ["CROWDED", "KINDS", "beep_board"]

KINDS = ("regular", "shuffled", "mixed", "packs")
#: A regular board among so many chips as boards of the trade have.
CROWDED, CROWD = "crowded", 45
COLOURS = ("red", "green", "blue")
SETS = {2: (470, 220), 3: (1000, 470, 220), 4: (2200, 1000, 470, 220), 5: (3900, 2000, 1000, 510, 240)}
LATCHES = {"74LS273": "74x273", "74LS374": "74x374", "74LS174": "74x174", "74LS574": "74x574"}
RAMS = {"6116": "6116", "6264": "6264", "2148": "2148"}
PROMS = {"82S129": "82S129", "82S147": "82S147", "82S123": "82S123"}
CLUTTER = (
    "74LS161", "74LS161", "74LS74", "74LS08", "74LS10", "74LS32", "74LS138", "74LS244", "74LS245", "27128", "27128",
    "74LS157", "74LS157", "74LS04", "74LS166", "74LS86", "6116", "74LS374",
)  # fmt: skip


@dataclass
class _Board:
    random: random.Random
    library: Library
    parts: list[Part] = field(default_factory=list)
    nets: dict[str, list[PinRef]] = field(default_factory=dict)
    counts: dict[str, int] = field(default_factory=dict)

    def place(self, letters: str, marking: str, place: str = "", *, symbol: str = "", pins: int = 0) -> str:
        self.counts[letters] = self.counts.get(letters, 0) + 1
        reference = f"{letters}{self.counts[letters]}"
        legs = tuple(Pin(str(i + 1)) for i in range(pins))
        self.parts.append(Part(reference, marking, symbol=symbol, place=place, pins=legs))
        return reference

    def chip(self, marking: str, type_name: str, place: str) -> str:
        reference = self.place("U", marking, place)
        type_ = self.library.find(type_name)
        assert type_ is not None
        for pin in type_.pins:
            if pin.role == "ground":
                self.join("GND", reference, pin.number)
            elif pin.role == "supply":
                self.join("+5V", reference, pin.number)
        return reference

    def join(self, net: str, part: str, pin: str) -> None:
        self.nets.setdefault(net, []).append(PinRef(part, pin))

    def outputs(self, type_name: str) -> list[tuple[str, str | None]]:
        """Outputs of a type in the order of its legs, each with its data input."""
        type_ = self.library.find(type_name)
        assert type_ is not None
        found = []
        for pin in type_.pins:
            if pin.role in ("data_out", "data_io"):
                arcs = type_.arcs_into(pin.number, "data")
                found.append((pin.number, arcs[0].source if arcs and arcs[0].source != pin.number else None))
        return found


def beep_board(kind: str, seed: int) -> Netlist:
    """One board of a kind of `KINDS`, or `CROWDED`; the same seed gives the same board."""
    r = random.Random(f"{kind} {seed}")
    board = _Board(r, load_library())
    bits = r.choice([3, 4, 4, 5])
    n_bits = dict.fromkeys(COLOURS, bits)
    if r.random() < 0.15 and bits == 3:
        n_bits["blue"] = 2
    ends = _resistors(board, n_bits, packs=kind == "packs")
    row = _row(r, ends)
    if kind == "shuffled":
        r.shuffle(row)
    latched = r.random() < 0.8
    edge = r.randint(7, 9)
    if latched:
        type_ = r.choice(list(LATCHES))
        types = [type_, r.choice(list(LATCHES)) if kind == "mixed" else type_]
        row = _through(board, row, [(t, LATCHES[t]) for t in types], f"{edge}", shuffled=kind == "shuffled")
    # Without a latch behind it, a palette is a PROM.
    pool = RAMS if latched and r.random() < 0.7 else PROMS
    first = r.choice(list(pool))
    second = r.choice([t for t in pool if t != first]) if kind == "mixed" else first
    _through(
        board, row, [(first, pool[first]), (second, pool[second])], f"{edge - 1}", shuffled=kind == "shuffled"
    )
    _surround(board)
    for marking in r.choices(CLUTTER, k=CROWD) if kind == CROWDED else ():
        board.chip(marking, marking.replace("LS", "x"), f"{r.randint(1, 9)}{r.choice('ABCDEFGH')}")
    nets = [(name, pins, None) for name, pins in board.nets.items()]
    return make_netlist(f"{kind}-{seed}", board.parts, nets)


def _resistors(board: _Board, n_bits: dict[str, int], *, packs: bool) -> list[tuple[str, int, str]]:
    """The output stages; gives (colour, bit, net) of each driver."""
    r = board.random
    plug = board.place("J", "monitor", pins=6, symbol="Conn_01x06")
    for i, colour in enumerate(COLOURS):
        board.join(colour.upper(), plug, str(i + 1))
    board.join("GND", plug, "4")
    near = r.choice("12")
    far = "2" if near == "1" else "1"
    ends = []
    by_colour = [(c, b) for c in COLOURS for b in range(n_bits[c])]
    if packs:
        # One isolated pack of four for each weight: its elements go to the colours in turn.
        most = max(n_bits.values())
        for bit in range(most):
            pack = board.place("RN", f"4 x {SETS[most][bit]} isolated", pins=8, symbol="R_Pack04")
            for i, colour in enumerate(c for c in COLOURS if bit < n_bits[c]):
                net = f"{colour}{bit}"
                board.join(colour.upper(), pack, str(8 - i))
                board.join(net, pack, str(i + 1))
                ends.append((colour, bit, net))
        return sorted(ends, key=lambda e: (COLOURS.index(e[0]), e[1]))
    if r.random() < 0.5:
        by_colour = [(c, b) for c, b in sorted(by_colour, key=lambda e: (COLOURS.index(e[0]), -e[1]))]
    for colour, bit in by_colour:
        values = SETS[n_bits[colour]]
        resistor = board.place("R", str(values[bit]), pins=2)
        board.join(colour.upper(), resistor, near)
        net = f"{colour}{bit}"
        board.join(net, resistor, far)
        ends.append((colour, bit, net))
    return ends


def _row(r: random.Random, ends: list[tuple[str, int, str]]) -> list[str]:
    """The drivers' nets in the order in which a tidy designer takes them."""
    by_weight = r.random() < 0.3
    upwards = r.random() < 0.5
    key = (
        (lambda e: (e[1], COLOURS.index(e[0])))
        if by_weight
        else (lambda e: (COLOURS.index(e[0]), e[1] if upwards else -e[1]))
    )
    return [net for _, _, net in sorted(ends, key=key)]


def _through(
    board: _Board, row: list[str], types: list[tuple[str, str]], column: str, *, shuffled: bool
) -> list[str]:
    """Drive each net of a row by the next output of chips of these types; gives the nets of their inputs."""
    legs: list[tuple[str, str, str | None]] = []
    number = 0
    while len(legs) < len(row):
        marking, type_name = types[min(number, len(types) - 1)]
        reference = board.chip(marking, type_name, f"{column}{'DEFGH'[number]}")
        found = board.outputs(type_name)
        legs += [(reference, out, source) for out, source in found]
        number += 1
    if shuffled:
        board.random.shuffle(legs)
    elif board.random.random() < 0.3:
        legs = legs[: len(row)][::-1]
    inputs = []
    for net, (reference, out, source) in zip(row, legs, strict=False):
        board.join(net, reference, out)
        if source is not None:
            board.join(f"{reference}-{source}", reference, source)
            inputs.append(f"{reference}-{source}")
    return inputs


def _surround(board: _Board) -> None:
    r = board.random
    for marking in r.sample(CLUTTER, r.randint(8, len(CLUTTER))):
        type_name = marking.replace("LS", "x")
        board.chip(marking, type_name, f"{r.randint(1, 6)}{r.choice('ABCDEFGH')}")
    for value in r.choices(("4700", "10000", "1000", "330"), k=r.randint(0, 6)):
        resistor = board.place("R", value, pins=2)
        board.join("+5V", resistor, "1")
        board.join(f"{resistor}-2", resistor, "2")
    for _ in range(r.randint(3, 10)):
        capacitor = board.place("C", "100n", pins=2)
        board.join("+5V", capacitor, "1")
        board.join("GND", capacitor, "2")
