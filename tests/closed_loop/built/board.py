"""A board while it is put together, and what is true of it.

Legs are written ``U3.9``. A word that starts with ``@`` stands for a net: ``@GND``, or a node without a leg yet.
"""

from __future__ import annotations

import itertools
import random
from collections.abc import Callable, Iterable
from dataclasses import dataclass, field
from typing import Any, Literal

from tests.closed_loop.built.chips import CHIPS, Chip
from tracer.netlist.board import Netlist, Part, Pin, PinRef, make_netlist

__all__ = ["COLOURS", "Drawing", "Naming", "TrueBit", "TrueBoard", "TrueColour"]

COLOURS = ("red", "green", "blue")
Naming = Literal["labels", "automatic", "lying", "none"]
#: What a stranger could take for a colour's bit, a part or a supply; each is put on a net that is nothing of the kind.
LYING = (
    *(f"{letter}{i}" for letter in "RGB" for i in range(8)), "RED_1", "BLUE_0", "GREEN2", "P18", "D7", "A3", "Q1",
    "VIDEO_B", "RGB1", "SYNC_IN", "BLANKING", "HSYNC", "X1", "U9", "12", "NC1", "VIDEO_R", "LUMA", "BG", "DATA",
)  # fmt: skip


@dataclass(frozen=True)
class TrueBit:
    """What the map must say of one bit.

    Attributes
    ----------
    resistors : those that this bit alone passes.
    may_pass : others that a map may count to it (of a colour with one bit, those of the whole colour).
    drivers : outputs that feed the stage, any of which may stand for the bit.
    sources : legs at which its ways end.
    weight : by which bits are ordered; with `exact` its share of the colour.
    ordered : the place among the others is known.
    ends : at a memory, elsewhere (a connector, a processor), or in a function of several sources.
    """

    resistors: frozenset[str]
    drivers: frozenset[str]
    sources: frozenset[str]
    weight: float
    exact: bool = False
    ends: Literal["memory", "elsewhere", "function"] = "memory"
    may_pass: frozenset[str] = frozenset()
    ordered: bool = True


@dataclass(frozen=True)
class TrueColour:
    """The bits of a colour, heaviest first, in each state of the analogue selectors; one state where there are none."""

    pin: str
    states: tuple[tuple[TrueBit, ...], ...]


@dataclass(frozen=True)
class TrueBoard:
    """A board with its true map.

    Attributes
    ----------
    told : colour pins that a person must tell, as no name on the board does.
    said : what findings must name: a code and a part or leg.
    """

    netlist: Netlist
    colours: dict[str, TrueColour]
    told: dict[str, str]
    said: frozenset[tuple[str, str]]
    idioms: frozenset[str]


@dataclass
class Drawing:
    """Parts and joined legs."""

    random: random.Random
    in_order: bool = False
    parts: list[Part] = field(default_factory=list)
    idioms: set[str] = field(default_factory=set)
    said: set[tuple[str, str]] = field(default_factory=set)
    _counts: dict[str, int] = field(default_factory=dict)
    _group: dict[str, list[str]] = field(default_factory=dict)
    _free: dict[str, list[tuple[str, tuple[tuple[str, ...], str]]]] = field(default_factory=dict)
    _legs: dict[str, list[tuple[str, ...]]] = field(default_factory=dict)
    _numbers: itertools.count[int] = field(default_factory=itertools.count)

    def place(self, letters: str, marking: str = "", *, symbol: str = "", pins: Iterable[str] = ()) -> str:
        """A new part; `pins` as ``1=IN1:input``."""
        self._counts[letters] = self._counts.get(letters, 0) + 1
        reference = f"{letters}{self._counts[letters]}"
        drawn = []
        for pin in pins:
            number, _, rest = pin.partition("=")
            name, _, kind = rest.partition(":")
            drawn.append(Pin(number, name, kind))
        self.parts.append(Part(reference, marking, symbol=symbol, pins=tuple(drawn)))
        return reference

    def node(self) -> str:
        """A net that nothing stands on yet."""
        return f"@#{next(self._numbers)}"

    def join(self, *legs: str) -> str:
        """Join legs and nets; gives the first."""
        whole: list[str] = []
        for leg in legs:
            group = self._group.setdefault(leg, [leg])
            if group is not whole:
                whole += group
                for member in group:
                    self._group[member] = whole
        return legs[0]

    def between(self, letters: str, a: str, b: str, marking: str = "", *, symbol: str = "") -> str:
        """A part of two legs between two nets, either way round."""
        part = self.place(letters, marking, symbol=symbol)
        first, second = self.random.sample(("1", "2"), 2) if letters in "RL" else ("1", "2")
        self.join(f"{part}.{first}", a)
        self.join(f"{part}.{second}", b)
        return part

    def resistor(self, a: str, b: str, ohm: float) -> str:
        """A resistor, its value written in one of the ways that people write."""
        k = f"{ohm / 1000:g}"
        texts = [f"{ohm:g}", f"{ohm:g}R"] if ohm < 1000 else [f"{k}k", f"{ohm:g}", f"{k}K"]
        if ohm >= 1000 and "." in k:
            texts.append(k.replace(".", "k"))
        return self.between("R", a, b, self.random.choice(texts))

    def diode(self, anode: str, cathode: str) -> str:
        """A small diode; leg 1 is its cathode."""
        return self.between("D", cathode, anode, "1N4148", symbol="D")

    def chip(self, marking: str, enable: str = "@GND") -> str:
        """A chip of the table with its supply legs joined and what must be tied; its outputs are on while `enable` is low."""
        known: Chip = CHIPS[marking]
        reference = self.place("U", marking)
        self.join(f"{reference}.{known.ground}", "@GND")
        self.join(f"{reference}.{known.supply}", "@VCC")
        for leg in known.low:
            self.join(f"{reference}.{leg}", enable)
        for leg in known.high:
            self.join(f"{reference}.{leg}", "@VCC")
        return reference

    def switches(self, ways: int) -> tuple[tuple[str, ...], str, list[str]]:
        """Single analogue switches (4066) to one common net: the other ends, the common, and what closes each."""
        found = []
        for _ in range(ways):
            _, (one, control), other = self.section("4066")
            found.append((one, control, other))
        common = self.join(*(other for _, _, other in found))
        return tuple(one for one, _, _ in found), common, [control for _, control, _ in found]

    def section(self, marking: str, pool: str = "", enable: str = "@GND") -> tuple[str, tuple[str, ...], str]:
        """A free section of a chip, placed anew when none is: the chip, legs of inputs and of the output."""
        free = self._free.setdefault(marking + pool, [])
        if not free:
            reference = self.chip(marking, enable)
            free += [(reference, section) for section in CHIPS[marking].sections]
            self.mix(free)
        reference, (inputs, output) = free.pop()
        return reference, tuple(f"{reference}.{i}" for i in inputs), f"{reference}.{output}"

    def mix(self, free: list[Any]) -> None:
        """Sections or legs in the order in which they are taken, the last one first: as they stand, or shuffled."""
        free.reverse()
        if not self.in_order:
            self.random.shuffle(free)

    # -- parts that the colours share ------------------------------------------------------------

    def _shared(self, key: str, legs: Callable[[], list[tuple[str, ...]]]) -> tuple[str, ...]:
        """The next free legs of a part that several colours use."""
        free = self._legs.setdefault(key, [])
        if not free:
            free += legs()
        return free.pop(0)

    def pack_section(self, ohm: int) -> tuple[str, ...]:
        """A free resistor of an isolated pack of this value: the pack, and two legs."""

        def legs() -> list[tuple[str, ...]]:
            pack = self.place("RN", f"{ohm:g}", symbol="R_Pack08")
            return [(pack, f"{pack}.{i + 1}", f"{pack}.{16 - i}") for i in range(8)]

        return self._shared(f"pack {ohm}", legs)

    def halved_supply(self) -> str:
        """A net that two resistors hold at half the supply."""

        def legs() -> list[tuple[str, ...]]:
            self.resistor("@HALF", "@VCC", 1000)
            self.resistor("@HALF", "@GND", 1000)
            return [("@HALF",)] * len(COLOURS)

        return self._shared("half", legs)[0]

    def common_leg(self) -> str:
        """A free leg of a pack of resistors that meet at ground."""

        def legs() -> list[tuple[str, ...]]:
            pack = self.place("RN", "330", symbol="R_Network08")
            self.join(f"{pack}.1", "@GND")
            return [(f"{pack}.{i + 2}",) for i in range(8)]

        return self._shared("common pack", legs)[0]

    def amplifier_of_four(self) -> tuple[str, str, str]:
        """+ input, - input and output of one of four operational amplifiers in a case."""

        def legs() -> list[tuple[str, ...]]:
            names = "1=:output 2=-:input 3=+:input 4=V+:power_in 5=+:input 6=-:input 7=:output 8=:output 9=-:input"
            names += " 10=+:input 11=V-:power_in 12=+:input 13=-:input 14=:output"
            part = self.place("U", "LM324", symbol="LM324", pins=names.split())
            self.join(f"{part}.4", "@VCC")
            self.join(f"{part}.11", "@GND")
            rows = (("3", "2", "1"), ("5", "6", "7"), ("10", "9", "8"), ("12", "13", "14"))
            return [tuple(f"{part}.{leg}" for leg in row) for row in rows]

        plus, minus, out = self._shared("four amplifiers", legs)
        return plus, minus, out

    def buffer_leg(self) -> tuple[str, ...]:
        """Input and output of one of four video buffers in a case (THS7374; data sheet, from memory)."""

        def legs() -> list[tuple[str, ...]]:
            part = self.place("U", "THS7374")
            self.join(f"{part}.5", "@GND")
            self.join(f"{part}.10", "@VCC")
            return [(f"{part}.{i}", f"{part}.{15 - i}") for i in range(1, 5)]

        return self._shared("buffers", legs)

    def module_leg(self) -> tuple[str, ...]:
        """Input and output of a module of which only the names of its legs are known."""

        def legs() -> list[tuple[str, ...]]:
            names = "1=IN1:input 2=IN2:input 3=IN3:input 4=GND:power_in 5=OUT3:output 6=OUT2:output 7=OUT1:output 8=VCC:power_in"
            part = self.place("HY", "VMOD3", symbol="VMOD3", pins=names.split())
            self.join(f"{part}.4", "@GND")
            self.join(f"{part}.8", "@VCC")
            return [(f"{part}.{i}", f"{part}.{8 - i}") for i in range(1, 4)]

        return self._shared("module", legs)

    def hybrid_legs(self, n: int) -> tuple[tuple[str, ...], str]:
        """The inputs of the next colour's bits in a module of resistors, lightest first, and its output."""

        def legs() -> list[tuple[str, ...]]:
            names = [f"{'RGB'[i // 4]}{i % 4}:input" for i in range(12)] + [
                "ROUT:output",
                "GOUT:output",
                "BOUT:output",
            ]
            part = self.place(
                "HY", "RESNET", symbol="RESNET", pins=[f"{i + 1}={name}" for i, name in enumerate(names)]
            )
            self.said.add(("order-by-name", part))
            return [
                tuple(f"{part}.{leg}" for leg in (13 + i, *range(4 * i + 1, 4 * i + 5))) for i in range(3)
            ]

        out, *inputs = self._shared("hybrid", legs)
        return tuple(inputs[:n]), out

    def netlist(self, naming: Naming) -> Netlist:
        """The board with its nets named in this way."""
        lies = list(LYING)
        self.random.shuffle(lies)
        nets: list[tuple[str, list[PinRef], None]] = []
        for group in {id(g): g for g in self._group.values()}.values():
            legs = [leg for leg in group if not leg.startswith("@")]
            given = [leg[1:] for leg in group if leg.startswith("@") and not leg.startswith("@#")]
            if not legs:
                continue
            made = f"Net-({legs[0].replace('.', '-Pad')})"
            if naming == "none":
                name = f"N${len(nets) + 1}"
            elif given:
                name = given[0]
            elif naming == "lying" and lies and self.random.random() < 0.5:
                name = lies.pop()
            elif naming == "labels" and self.random.random() < 0.5:
                name = f"SIG_{len(nets)}X"
            else:
                name = made
            nets.append((name, [PinRef(*leg.split(".")) for leg in legs], None))
        return make_netlist("built", self.parts, nets)
