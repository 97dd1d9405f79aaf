"""What stands around the colour path: counters, a processor with its bus, blanking, enables, other boards."""

from __future__ import annotations

from dataclasses import dataclass, field

from tests.closed_loop.built.board import Drawing
from tests.closed_loop.built.chips import LATCHES, MEMORIES

__all__ = ["Surroundings"]

#: Legs of a processor as its symbol names them: data, then address (Z80; data sheet, from memory).
_DATA = ("14", "15", "12", "8", "7", "9", "10", "13")
_ADDRESS = ("30", "31", "32", "33", "34", "35", "36", "37", "38", "39", "40", "1", "2", "3", "4", "5")
_WRITE = "22"


@dataclass
class Surroundings:
    """Nets that all chips of the board share; each is driven when it is first asked for."""

    b: Drawing
    plug: str
    _cpu: str = ""
    _lines: int = 0
    _driven: set[str] = field(default_factory=set)
    _plugs: list[str] = field(default_factory=list)

    # -- single nets ------------------------------------------------------------------------

    def blank(self, leg: str) -> None:
        """A leg that is blanked with all others: a flip-flop drives them."""
        if "@BLANK" not in self._driven:
            self._driven.add("@BLANK")
            flop = self.b.chip("74LS74")
            self.b.join(f"{flop}.5", "@BLANK")
        self.b.join(leg, "@BLANK")

    def control(self, name: str) -> str:
        """A net that a flip-flop drives."""
        if name not in self._driven:
            self._driven.add(name)
            self.b.join(f"{self.b.chip('74LS74')}.5", name)
        return name

    def opposites(self, name: str) -> tuple[str, str]:
        """A driven net, and one that an inverter makes of it."""
        self.control(name)
        inverse = f"@N{name[1:]}"
        if inverse not in self._driven:
            self._driven.add(inverse)
            _, (one,), out = self.b.section("74LS04", "opposites")
            self.b.join(one, name)
            self.b.join(out, inverse)
        return name, inverse

    def enable(self, legs: list[str], key: str) -> None:
        """Chip enables: tied low, or for one of two banks driven by a net and for the other by its inverse."""
        for leg in legs[1:]:
            self.b.join(leg, "@GND")
        if key not in ("first", "second"):
            self.b.join(legs[0], "@GND")
            return
        first, second = self.opposites("@BANK")
        self.b.join(legs[0], first if key == "first" else second)

    def write(self, leg: str) -> None:
        """The write leg of a RAM."""
        self.b.join(leg, "@VCC" if not self._cpu else f"{self._cpu}.{_WRITE}")

    # -- addresses --------------------------------------------------------------------------

    def _pixel_line(self, index: int) -> str:
        """A line of the picture's counters."""
        name = f"@PIX{index}"
        if name not in self._driven:
            first = index - index % 4
            counter = self.b.chip("74LS163")
            for place, leg in enumerate(("14", "13", "12", "11")):
                self._driven.add(f"@PIX{first + place}")
                self.b.join(f"{counter}.{leg}", f"@PIX{first + place}")
        return name

    def address(self, legs: list[str], how: str) -> None:
        """Address legs: on the counters, or over multiplexers that the processor shares."""
        if how == "multiplexed" and self.b.random.random() < 0.5:
            self.b.idioms.add("address multiplexers")
            self.processor()
            for index, leg in enumerate(legs):
                _, (one, other), out = self.b.section("74LS157", "address")
                self.b.join(out, leg)
                self.b.join(one, self._pixel_line(index))
                self.b.join(other, f"{self.processor()}.{_ADDRESS[index]}")
            return
        if how == "multiplexed":
            self.b.idioms.add("counters on the address bus")
            # Counters and processor drive one bus in turn: the counters through buffers that can be off.
            for index, leg in enumerate(legs):
                line = f"@MA{index}"
                if line not in self._driven:
                    self._driven.add(line)
                    sources = {
                        "count": self._pixel_line(index),
                        "address": f"{self.processor()}.{_ADDRESS[index]}",
                    }
                    for pool, source in sources.items():
                        _, (one,), out = self.b.section("74LS244", pool, self.control(f"@{pool.upper()}ON"))
                        self.b.join(one, source)
                        self.b.join(out, line)
                self.b.join(leg, line)
            return
        for index, leg in enumerate(legs):
            self.b.join(leg, self._pixel_line(index))

    # -- the processor ------------------------------------------------------------------------

    def processor(self) -> str:
        """The processor, with the ROM, RAM, serial chip and header on its bus."""
        if self._cpu:
            return self._cpu
        pins = [f"{leg}=D{i}:bidirectional" for i, leg in enumerate(_DATA)]
        pins += [f"{leg}=A{i}:output" for i, leg in enumerate(_ADDRESS)] + [f"{_WRITE}=~{{WR}}:output"]
        self._cpu = self.b.place("U", "Z80", symbol="Z80", pins=pins)
        data = [f"{self._cpu}.{leg}" for leg in _DATA]
        for marking in ("27256", "62256"):
            chip = MEMORIES[marking]
            reference = self.b.chip(marking)
            for leg, line in zip(chip.data, data, strict=True):
                self.b.join(f"{reference}.{leg}", line)
            for leg, own in zip(chip.address, _ADDRESS, strict=False):
                self.b.join(f"{reference}.{leg}", f"{self._cpu}.{own}")
        serial = self.b.place(
            "U", "SIO9", symbol="SIO9", pins=[f"{i + 1}=D{i}:bidirectional" for i in range(8)]
        )
        header = self.b.place("J", "BUS", symbol="Conn_01x08")
        for i, line in enumerate(data):
            self.b.join(f"{serial}.{i + 1}", line)
            self.b.join(f"{header}.{i + 1}", line)
        return self._cpu

    def bus_line(self, net: str) -> str:
        """Join a net to the next line of the processor's data bus; gives the processor's leg."""
        leg = f"{self.processor()}.{_DATA[self._lines % 8]}"
        self._lines += 1
        self.b.join(net, leg)
        return leg

    def transceiver(self, net: str) -> None:
        """A section of a transceiver between a memory's line and the processor's bus."""
        _, (inside,), outside = self.b.section("74LS245", "write", self.control("@WRITE"))
        self.b.join(outside, net)
        self.bus_line(inside)

    def write_register(self, net: str) -> None:
        """A register that the processor writes onto a memory's line, and a buffer by which it reads it."""
        _, (data,), out = self.b.section("74LS374", "write", self.control("@WRITE"))
        self.b.join(out, net)
        line = self.bus_line(data)
        _, (read,), back = self.b.section("74LS244", "read", self.control("@READ"))
        self.b.join(read, net)
        self.b.join(back, line)

    def border(self, net: str) -> str:
        """A register of the processor's over a resistor on a memory's line; gives the processor's leg."""
        _, (data,), out = self.b.section("74LS273", "border")
        behind = self.b.node()
        self.b.resistor(net, behind, 1000)
        self.b.join(out, behind)
        return self.bus_line(data)

    # -- other boards -------------------------------------------------------------------------

    def plug_leg(self) -> str:
        """A free leg of a header to another board."""
        if not self._plugs:
            header = self.b.place("J", "TO LOGIC BOARD", symbol="Conn_02x10")
            self._plugs = [f"{header}.{i}" for i in range(20, 0, -1)]
        return self._plugs.pop()

    def finish(self, *, clear_blanks: bool) -> None:
        """Clocks, clears and enables of the latches."""
        for part in self.b.parts:
            chip = LATCHES.get(part.marking)
            if chip is None:
                continue
            self.b.join(f"{part.reference}.{chip.clock}", self.control("@PCLK"))
            if chip.clear and clear_blanks:
                self.b.idioms.add("blanking by clear")
                self.blank(f"{part.reference}.{chip.clear}")
            elif chip.clear:
                self.b.join(f"{part.reference}.{chip.clear}", "@VCC")
