"""The boards: the demo boards, and random ones of our own making."""

from __future__ import annotations

import random
from dataclasses import dataclass
from functools import cache

from tests.boards import NETLISTS, board
from tests.closed_loop.bench.board import Board, Signals
from tracer.importers import read_netlist
from tracer.netlist.board import Netlist, PinRef
from tracer.netlist.join import join_boards
from tracer.tracing.pipeline import Traced, trace_fully

__all__ = ["DEMO", "Case", "demo_case", "random_case"]

DEMO = ("wren", "dunlin", "plover", "avocet")

#: What the nets of the demo boards do that nothing simulated drives, read off their circuits: the picture is shown while
#: the blanking terms (V7 and its like) are low, and the processor leaves the palette alone.
_SIGNALS: dict[str, Signals] = {
    "wren": (("/PIXCLK|/H1|/H2|/H4", "clock"), ("/~{[HV]BL}", "blank low"), ("/IDX[01]", "varies")),
    "dunlin": (
        ("/PIXCLK", "clock"), ("/~{HBL}", "blank low"), ("/HBL", "blank high"), ("/V7", "low"), ("/D\\d", "varies"),
        ("/~{(PAL|WR|RD)}", "high"), ("/A\\d+", "varies"),
    ),
    "plover": (
        ("PCLK", "clock"), ("/timing/H8", "blank high"), ("/V7", "low"), ("/cpu/(PALCS_N|WE[LH]_N|RW)|RESET_N", "high"),
        ("/cpu/[AD]\\d+", "varies"), ("/BANK\\d", "varies"),
    ),
    "avocet": (
        ("avocet-main:/PIXCLK", "clock"), ("avocet-main:/~{HBL}", "blank low"), ("avocet-main:/V7", "low"), ("avocet-main:/BANKSEL", "varies"),
    ),
}  # fmt: skip


@dataclass(frozen=True)
class Case:
    """A board, simulated and as the program has traced it."""

    board: Board
    traced: Traced


def _case(name: str, netlist: Netlist, signals: Signals, seed: int) -> Case:
    traced = trace_fully(netlist)
    pins = {c.name: c.pin for c in traced.bit_map.colours}
    legs = {c: PinRef(p.part or "", p.pin or "") for c, p in pins.items()}
    return Case(Board(name, netlist, traced.circuit.identified, legs, signals, seed), traced)


@cache
def demo_case(name: str, seed: int = 0) -> Case:
    """A demo board; the two of avocet are joined by their ribbon."""
    if name == "avocet":
        main, video = (read_netlist(NETLISTS / name / f"{name}-{x}.csv") for x in ("main", "video"))
        return _case(
            name,
            join_boards({"avocet-main": main, "avocet-video": video}, ["avocet-main:J3=avocet-video:J1"]),
            _SIGNALS[name],
            seed,
        )
    return _case(name, read_netlist(NETLISTS / name / f"{name}.csv"), _SIGNALS[name], seed)


#: Marking -> data legs, address legs, control legs that rest low and high, ground, supply.
_MEMORIES = {
    "82S123": ("1 2 3 4 5 6 7 9", "10 11 12 13 14", "15", "", "8", "16"),
    "82S129": ("12 11 10 9", "5 6 7 4 3 2 1 15", "13 14", "", "8", "16"),
    "6116": ("9 10 11 13 14 15 16 17", "8 7 6 5 4 3 2 1", "18 19 20 22 23", "21", "12", "24"),
}
#: Marking -> data and output legs place by place, clock, legs at high or at the blanking net (clear) or low (enable).
_LATCHES = {
    "74LS273": ("3 4 7 8 13 14 17 18", "2 5 6 9 12 15 16 19", "11", "1", "", "10", "20"),
    "74LS174": ("3 4 6 11 13 14", "2 5 7 10 12 15", "9", "1", "", "8", "16"),
    "74LS374": ("3 4 7 8 13 14 17 18", "2 5 6 9 12 15 16 19", "11", "", "1", "10", "20"),
    "74HC273": ("3 4 7 8 13 14 17 18", "2 5 6 9 12 15 16 19", "11", "1", "", "10", "20"),
}
_OHMS = {1: (470,), 2: (470, 220), 3: (1000, 470, 220), 4: (2200, 1000, 470, 220)}
#: Sections of a 74x157: inputs of one side and of the other, output.
_SELECTOR = (("2", "3", "4"), ("5", "6", "7"), ("11", "10", "9"), ("14", "13", "12"))


class _Maker:
    """Writes one random board as text."""

    def __init__(self, rng: random.Random) -> None:
        self.rng, self.lines, self.nets = rng, list[str](), dict[str, list[str]]()
        self.count: dict[str, int] = {}

    def part(self, letter: str, marking: str, extra: str = "") -> str:
        """Place a part."""
        self.count[letter] = self.count.get(letter, 0) + 1
        self.lines.append(f"part {letter}{self.count[letter]} {marking} {extra}".rstrip())
        return f"{letter}{self.count[letter]}"

    def join(self, net: str, part: str, legs: str) -> None:
        """Join legs to a net."""
        self.nets.setdefault(net, []).extend(f"{part}.{leg}" for leg in legs.split())

    def text(self) -> str:
        """The board, in the words of `tests.boards.board`."""
        return "\n".join(
            [*self.lines, *(f"{net}: {' '.join(legs)}" for net, legs in self.nets.items() if legs)]
        )

    def power(self, part: str, ground: str, supply: str) -> None:
        """Join the supply legs."""
        self.join("GND", part, ground)
        self.join("VCC", part, supply)

    def rank(self, names: list[str], prefix: str) -> list[str]:
        """One rank of latches behind some nets; gives the nets behind it."""
        marking = self.rng.choice(list(_LATCHES))
        data, out, clock, clear, enable, ground, supply = _LATCHES[marking]
        new: list[str] = []
        places = list(zip(data.split(), out.split(), strict=True))
        for start in range(0, len(names), len(places)):
            latch = self.part("U", marking)
            self.power(latch, ground, supply)
            self.join("PIXCLK", latch, clock)
            self.join(self.rng.choice(("BLANK_N", "VCC")), latch, clear)
            self.join("GND", latch, enable)
            for (d, q), name in zip(places, names[start : start + len(places)], strict=False):
                self.join(name, latch, d)
                new.append(f"{prefix}{len(new)}")
                self.join(new[-1], latch, q)
        return new

    def memories(self, marking: str, n: int, prefix: str) -> list[str]:
        """Memories with `n` data legs on nets of their own."""
        data, address, low, high, ground, supply = _MEMORIES[marking]
        names = [f"{prefix}{i}" for i in range(n)]
        for start in range(0, n, len(data.split())):
            memory = self.part("U", marking)
            self.power(memory, ground, supply)
            self.join("GND", memory, low)
            self.join("WE_N", memory, high)
            for i, leg in enumerate(address.split()):
                self.join(f"MA{i}", memory, leg)
            for leg, name in zip(data.split(), names[start:], strict=False):
                self.join(name, memory, leg)
        return names

    def write_path(self, names: list[str]) -> None:
        """A processor, and a transceiver from its data lines to each memory's."""
        cpu = self.part("U", "Z80", " ".join(f"{i + 1}=D{i}:bidirectional" for i in range(8)) + " symbol=Z80")
        for i in range(8):
            self.join(f"CPU_D{i}", cpu, str(i + 1))
        for start in range(0, len(names), 8):
            transceiver = self.part("U", "74LS245")
            self.power(transceiver, "10", "20")
            self.join("RD_N", transceiver, "1")
            self.join("PALCS_N", transceiver, "19")
            for i, name in enumerate(names[start : start + 8]):
                self.join(f"CPU_D{i}", transceiver, str(2 + i))
                self.join(name, transceiver, str(18 - i))

    def index(self, n: int, *, selected: bool) -> None:
        """What drives the palette's address: a latch, or a selector between it and the processor."""
        for start in range(0, n, 4):
            lines = range(start, min(start + 4, n))
            if selected:
                mux = self.part("U", "74LS157")
                self.power(mux, "8", "16")
                self.join("PALCS_N", mux, "1")
                self.join("GND", mux, "15")
                for i, (a, b, y) in zip(lines, _SELECTOR, strict=False):
                    for net, leg in ((f"A{i}", a), (f"PIX{i}", b), (f"MA{i}", y)):
                        self.join(net, mux, leg)
            latch = self.part("U", "74LS174")
            self.power(latch, "8", "16")
            self.join("PIXCLK", latch, "9")
            self.join("VCC", latch, "1")
            for i, d, q in zip(lines, ("3", "4", "6", "11"), ("2", "5", "7", "10"), strict=False):
                self.join(f"LINE{i}", latch, d)
                self.join(f"PIX{i}" if selected else f"MA{i}", latch, q)

    def stage(self, colour: str, leg: str, outputs: list[str], plug: str, kind: str) -> None:
        """Resistors, and what follows them."""
        node = colour if kind != "follower" else f"{colour}_SUM"
        for ohm, net in zip(_OHMS[len(outputs)], outputs, strict=True):
            r = self.part("R", str(ohm))
            self.join(net, r, "1")
            self.join(node, r, "2")
        self.join(colour, plug, leg)
        if kind == "follower":
            q, load, series = self.part("Q", "2N3904"), self.part("R", "330"), self.part("R", "75")
            up = self.part("R", "820")
            # Emitter, base, collector are legs 1, 2 and 3.
            for net, part, legs in (
                (f"{colour}_E", q, "1"), (node, q, "2"), ("VCC", q, "3"), (f"{colour}_E", load, "1"), ("GND", load, "2"),
                (f"{colour}_E", series, "1"), (colour, series, "2"), ("VCC", up, "1"), (node, up, "2"),
            ):  # fmt: skip
                self.join(net, part, legs)
        elif kind == "clamped":
            for net_k, net_a in (("VCC", colour), (colour, "GND")):
                d = self.part("D", "1N4148", "1=K 2=A symbol=D")
                self.join(net_k, d, "1")
                self.join(net_a, d, "2")


def _random_netlist(seed: int) -> Netlist:
    rng = random.Random(f"board {seed}")
    make = _Maker(rng)
    plug = make.part("J", "MONITOR", "1=RED 2=GREEN 3=BLUE 4=GND symbol=Conn_01x04")
    make.join("GND", plug, "4")
    bits = [rng.randint(1, 4) for _ in range(3)]
    # The seed sees to it that six boards in a row have something of everything.
    marking = ("6116", "82S129", "82S123")[seed % 3]
    names = make.memories(marking, sum(bits), "PD")
    selected = marking == "6116" or rng.random() < 0.3
    make.index(len(_MEMORIES[marking][1].split()), selected=selected)
    if marking == "6116":
        make.write_path(names)
    if marking == "82S129":
        second = make.memories(marking, sum(bits), "PE")
        chosen = []
        for start in range(0, len(names), 4):
            mux = make.part("U", "74LS157")
            make.power(mux, "8", "16")
            make.join("BANKSEL", mux, "1")
            make.join("GND", mux, "15")
            for i, (a, b, y) in enumerate(_SELECTOR[: len(names) - start], start):
                chosen.append(f"SD{i}")
                for net, leg in ((names[i], a), (second[i], b), (chosen[-1], y)):
                    make.join(net, mux, leg)
        names = chosen
    for rank in range((1, 1, 0, 2, 2, 1)[seed % 6]):
        names = make.rank(names, f"Q{rank}_")
    # The lamp of the picture: what blanks and clocks.
    flop = make.part("U", "74LS74")
    make.power(flop, "7", "14")
    make.join("PIXCLK", flop, "5")
    make.join("BLANK_N", flop, "9")
    kind = ("clamped", "follower", "plain", "plain")[seed % 4]
    for i, colour in enumerate(("RED", "GREEN", "BLUE")):
        start = sum(bits[:i])
        make.stage(colour, str(i + 1), names[start : start + bits[i]], plug, kind)
    return board(make.text(), f"random {seed}")


_RANDOM_SIGNALS: Signals = (
    ("PIXCLK", "clock"), ("BLANK_N", "blank low"), ("WE_N|PALCS_N|RD_N", "high"), ("BANKSEL", "varies"), (r"A\d+|LINE\d+|CPU_D\d", "varies"),
)  # fmt: skip


@cache
def random_case(seed: int) -> Case:
    """A random board: memories, an index with or without a selector, up to two ranks of latches, three stages."""
    return _case(f"random {seed}", _random_netlist(seed), _RANDOM_SIGNALS, seed)
