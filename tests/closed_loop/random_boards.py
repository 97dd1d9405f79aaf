"""Random boards whose bit map is known because it was chosen first.

A board is built from the colour pins back: an output stage a colour (plain
resistors, packs, a ladder, an emitter follower), then for each bit a chain of
parts with free sections (gates with a common blanking net, buffers, registers,
multiplexers), then a memory's data pin; beside RAMs a transceiver towards a
processor. The truth is a list of (resistor, driver, source pins) a colour.
"""

from __future__ import annotations

import itertools
import random
from dataclasses import dataclass, field

from tracer.netlist.board import Netlist, Part, Pin, PinRef, make_netlist
from tracer.parts.library import Library, load_library
from tracer.parts.model import Arc, PartType

COLOURS = ("red", "green", "blue")
LATCHES = ("74x273", "74x374", "74x174", "74x175", "74x574", "74x377", "74x378", "74x821")
BUFFERS = ("74x244", "74x541", "74x04", "74x07", "74x367", "74x34", "74x240")
GATES = ("74x08", "74x32", "74x00", "74x02")
SELECTORS = ("74x157", "74x257", "74x158", "74x298")
MEMORIES = ("6116", "62256", "82S129", "82S123", "27256", "2114", "93422", "82S147", "2018", "82S137")
SETS = {
    1: (470,),
    2: (470, 220),
    3: (1000, 470, 220),
    4: (2200, 1000, 470, 220),
    5: (3900, 2000, 1000, 510, 240),
}


@dataclass(frozen=True)
class KnownBit:
    """What the map must say of one bit."""

    resistors: frozenset[str]
    driver: PinRef
    sources: frozenset[PinRef]


@dataclass
class KnownBoard:
    """A board and its true map, heaviest bit first."""

    netlist: Netlist
    bits: dict[str, list[KnownBit]]
    idioms: frozenset[str]


@dataclass
class _Free:
    """Sections of one kind of part that are still free; a new part is placed when none is."""

    type: PartType
    sections: list[tuple[str, Arc]] = field(default_factory=list)


class BoardMaker:
    """Builds one random board."""

    def __init__(self, seed: int, library: Library | None = None) -> None:
        self.random = random.Random(seed)
        self.library = library or load_library()
        self.parts: list[Part] = []
        self.joined: dict[PinRef, str] = {}
        self.nets: dict[str, list[PinRef]] = {}
        self.free: dict[str, list[tuple[str, str, tuple[Arc, ...]]]] = {}
        self.counts: dict[str, int] = {}
        self.idioms: set[str] = set()
        self.processor = ""
        self.numbers = itertools.count()

    def make(self) -> KnownBoard:
        r = self.random
        n_bits = {c: r.randint(1, 5) for c in COLOURS}
        self.chain_plan = self._plan()
        self.memory = r.choice(MEMORIES)
        plug = self._place("J", "monitor plug", symbol="Conn_01x06")
        bits: dict[str, list[KnownBit]] = {}
        stages = {c: self._stage(c, n_bits[c], plug, i) for i, c in enumerate(COLOURS)}
        for colour, legs in stages.items():
            bits[colour] = []
            for resistors, net in legs:
                driver, sources = self._chain(net)
                bits[colour].append(KnownBit(frozenset(resistors), driver, frozenset(sources)))
        self._supply()
        nets = [(name, pins, None) for name, pins in self.nets.items() if pins]
        netlist = make_netlist("random", self.parts, nets)
        return KnownBoard(netlist, bits, frozenset(self.idioms))

    # -- parts and nets ---------------------------------------------------------------------

    def _place(self, letters: str, marking: str, *, symbol: str = "", pins: tuple[Pin, ...] = ()) -> str:
        self.counts[letters] = self.counts.get(letters, 0) + 1
        reference = f"{letters}{self.counts[letters]}"
        self.parts.append(Part(reference, marking, symbol=symbol, pins=pins))
        return reference

    def _net(self, *pins: PinRef, name: str = "") -> str:
        """Join pins; nets that already exist grow."""
        known = [self.joined[p] for p in pins if p in self.joined]
        name = name or (known[0] if known else f"N{next(self.numbers)}")
        members = self.nets.setdefault(name, [])
        for pin in pins:
            old = self.joined.get(pin)
            if old is not None and old != name:
                for moved in self.nets.pop(old):
                    self.joined[moved] = name
                    members.append(moved)
            elif old is None:
                self.joined[pin] = name
                members.append(pin)
        return name

    def _section(self, type_name: str) -> tuple[str, str, tuple[Arc, ...]]:
        """Reference, output pin and data arcs of a free section; one output a section."""
        pool = self.free.setdefault(type_name, [])
        if not pool:
            found = self.library.find(type_name)
            assert found is not None
            reference = self._place("U", type_name.replace("x", "LS") if "x" in type_name else type_name)
            by_inputs: dict[tuple[str, ...], tuple[str, tuple[Arc, ...]]] = {}
            for pin in found.pins:
                arcs = found.arcs_into(pin.number, "data")
                if arcs and not (type_name == "74x175" and arcs[0].inverts):
                    by_inputs.setdefault(tuple(a.source for a in arcs), (pin.number, arcs))
            pool += [(reference, pin, arcs) for pin, arcs in by_inputs.values()]
            self.random.shuffle(pool)
        return pool.pop()

    # -- the output stage -------------------------------------------------------------------

    def _stage(self, colour: str, n: int, plug: str, place: int) -> list[tuple[list[str], str]]:
        """Resistors and the net of the driver, for each bit, heaviest first."""
        out = self._net(PinRef(plug, str(place + 1)), name=colour.upper())
        kind = self.random.choice(("plain", "plain", "pack", "ladder", "follower"))
        self.idioms.add(kind)
        if kind == "follower":
            transistor = self._place("Q", self.random.choice(("2N3904", "BC547")))
            legs = {"2N3904": "EBC", "BC547": "CBE"}[self.parts[-1].marking]
            pin = {letter: PinRef(transistor, str(i + 1)) for i, letter in enumerate(legs)}
            series = self._place("R", "75")
            load = self._place("R", "470")
            self._net(pin["E"], PinRef(series, "1"), PinRef(load, "1"))
            self._net(PinRef(series, "2"), name=out)
            self._net(PinRef(load, "2"), name="GND")
            self._net(pin["C"], name="VCC")
            out = self._net(pin["B"])
            if n == 1:
                # With one bit there is nothing to tell its resistors from those of the whole colour.
                return [([series, resistor], net) for [resistor], net in self._legs(n, out, "")]
        if kind == "ladder" and n > 1:
            return self._ladder(n, out)
        return self._legs(n, out, self._place("RN", "1k", symbol="R_Pack08") if kind == "pack" else "")

    def _legs(self, n: int, out: str, pack: str) -> list[tuple[list[str], str]]:
        """A resistor a bit; in a pack's case its two lightest bits pass the pack and a resistor in series."""
        legs_found = []
        for i, ohm in enumerate(sorted(SETS[n])):
            if pack and i >= len(SETS[n]) - 2:
                a, b = PinRef(pack, str(i + 1)), PinRef(pack, str(16 - i))
                extra = self._place("R", str(4700 * (i + 3 - len(SETS[n]))))
                self._net(a, PinRef(extra, "1"))
                self._net(b, name=out)
                legs_found.append(([extra, pack], self._net(PinRef(extra, "2"))))
                continue
            resistor = self._place("R", str(ohm))
            self._net(PinRef(resistor, "1"), name=out)
            legs_found.append(([resistor], self._net(PinRef(resistor, "2"))))
        return legs_found

    def _ladder(self, n: int, out: str) -> list[tuple[list[str], str]]:
        legs: list[tuple[list[str], str]] = []
        node = out
        for i in range(n):
            rung = self._place("R", "2k")
            self._net(PinRef(rung, "1"), name=node)
            own = [rung]
            net = self._net(PinRef(rung, "2"))
            if i < n - 1:
                rail = self._place("R", "1k")
                self._net(PinRef(rail, "1"), name=node)
                node = self._net(PinRef(rail, "2"))
            else:
                end = self._place("R", "2k")
                self._net(PinRef(end, "1"), name=node)
                self._net(PinRef(end, "2"), name="GND")
                own.append(rail)
            legs.append((own, net))
        return legs

    # -- the chain --------------------------------------------------------------------------

    def _plan(self) -> list[str]:
        r = self.random
        plan = [r.choice(LATCHES) for _ in range(r.randint(0, 2))]
        if r.random() < 0.4:
            plan.insert(r.randint(0, len(plan)), r.choice(BUFFERS))
        if r.random() < 0.35:
            plan.insert(0, r.choice(GATES))
        if r.random() < 0.35:
            plan.append(r.choice(SELECTORS))
        return plan

    def _chain(self, net: str) -> tuple[PinRef, list[PinRef]]:
        """Feed a net; gives the driver on it and the memory pins at the end."""
        fronts = [net]
        driver: PinRef | None = None
        for type_name in self.chain_plan:
            new = []
            for front in fronts:
                reference, output, arcs = self._section(type_name)
                self._net(PinRef(reference, output), name=front)
                driver = driver or PinRef(reference, output)
                if type_name in GATES:
                    self.idioms.add("blanking gate")
                    data, other = self.random.sample([a.source for a in arcs], 2)
                    self._net(PinRef(reference, other), name="BLANK")
                    new.append(self._net(PinRef(reference, data)))
                else:
                    if len(arcs) > 1:
                        self.idioms.add("multiplexer")
                    new += [self._net(PinRef(reference, arc.source)) for arc in arcs]
            fronts = new
        sources = [self._memory_pin(front) for front in fronts]
        return driver or sources[0], sources

    def _memory_pin(self, net: str) -> PinRef:
        pool = self.free.setdefault("memory", [])
        if not pool:
            reference = self._place("U", self.memory)
            found = self.library.find(self.memory)
            assert found is not None
            outputs = [p for p in found.pins if found.arcs_into(p.number, "address")]
            for address in {a.source for p in outputs for a in found.arcs_into(p.number, "address")}:
                index = found.by_number[address].name
                self._net(PinRef(reference, address), name=f"PIXEL_{index}")
            pool += [(reference, p.number, ()) for p in outputs]
            if outputs[0].direction == "bidirectional" and self.random.random() < 0.5:
                self._write_path(reference, [p.number for p in outputs])
        reference, pin, _ = pool.pop()
        self._net(PinRef(reference, pin), name=net)
        return PinRef(reference, pin)

    def _write_path(self, memory: str, pins: list[str]) -> None:
        self.idioms.add("write path")
        if not self.processor:
            legs = tuple(Pin(str(i + 1), f"D{i}", "bidirectional") for i in range(8))
            self.processor = self._place("U", "Z80", symbol="Z80", pins=legs)
        transceiver = self._place("U", "74LS245")
        for i, pin in enumerate(pins[:8]):
            self._net(PinRef(transceiver, str(18 - i)), PinRef(memory, pin))
            self._net(PinRef(transceiver, str(2 + i)), PinRef(self.processor, str(i + 1)), name=f"CPU_D{i}")

    def _supply(self) -> None:
        """Supply legs, the blanking driver, and the pixel's counters."""
        for part in list(self.parts):
            known = self.library.find(part.marking.replace("LS", "x"))
            for pin in known.pins if known and part.reference != self.processor else ():
                if pin.direction == "power" and pin.name in ("VCC", "GND"):
                    self._net(PinRef(part.reference, pin.number), name=pin.name)
        if "BLANK" in self.nets:
            flop = self._place("U", "74LS74")
            self._net(PinRef(flop, "5"), name="BLANK")
        names = sorted(n for n in self.nets if n.startswith("PIXEL_"))
        for start in range(0, len(names), 4):
            counter = self._place("U", "74LS163")
            for leg, name in zip(("14", "13", "12", "11"), names[start : start + 4], strict=False):
                self._net(PinRef(counter, leg), name=name)
