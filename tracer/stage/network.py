"""Parts between named nodes: resistors, diodes, transistors, amplifiers and charged capacitors, as a circuit is solved."""

from __future__ import annotations

from dataclasses import dataclass, field

__all__ = ["Amplifier", "Charged", "Diode", "Network", "Resistor", "Transistor"]


@dataclass(frozen=True, slots=True)
class Resistor:
    """`ohm` between nodes `a` and `b`; part is its reference."""

    part: str
    a: str
    b: str
    ohm: float


@dataclass(frozen=True, slots=True)
class Diode:
    """From node `anode` to node `cathode`."""

    part: str
    anode: str
    cathode: str


@dataclass(frozen=True, slots=True)
class Transistor:
    """Nodes of base, collector, emitter; polarity npn, pnp, nmos, pmos."""

    part: str
    base: str
    collector: str
    emitter: str
    polarity: str = "npn"


@dataclass(frozen=True, slots=True)
class Amplifier:
    """An ideal operational amplifier from nodes `plus` and `minus` to node `out`; a follower where `minus` is `out`."""

    part: str
    plus: str
    minus: str
    out: str


@dataclass(frozen=True, slots=True)
class Charged:
    """A capacitor too large to change its charge within a picture: `volts` from node `b` up to node `a`."""

    part: str
    a: str
    b: str
    volts: float


@dataclass(frozen=True)
class Network:
    """Parts between named nodes."""

    resistors: tuple[Resistor, ...] = ()
    diodes: tuple[Diode, ...] = ()
    transistors: tuple[Transistor, ...] = ()
    amplifiers: tuple[Amplifier, ...] = field(default=())
    charged: tuple[Charged, ...] = field(default=())

    @property
    def parts(self) -> tuple[str, ...]:
        """References of all but the capacitors, each once."""
        every = (self.resistors, self.diodes, self.transistors, self.amplifiers)
        return tuple(dict.fromkeys(each.part for kind in every for each in kind))

    @property
    def is_linear(self) -> bool:
        """Whether superposition holds."""
        return not self.diodes and not self.transistors

    def nodes(self) -> set[str]:
        """All nodes."""
        found: set[str] = set()
        for r in self.resistors:
            found |= {r.a, r.b}
        for d in self.diodes:
            found |= {d.anode, d.cathode}
        for q in self.transistors:
            found |= {q.base, q.collector, q.emitter}
        for a in self.amplifiers:
            found |= {a.plus, a.minus, a.out}
        for c in self.charged:
            found |= {c.a, c.b}
        return found
