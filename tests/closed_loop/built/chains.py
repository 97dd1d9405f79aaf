"""From a driver back to where its bit comes from: chips in a row, and what stands at the end of the row.

Each step takes the nets that are to be fed and gives those that feed them; an end gives the legs that are the sources.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, field
from typing import Literal

from tests.closed_loop.built.board import Drawing
from tests.closed_loop.built.chips import BUFFERS, GATES, LATCHES, MEMORIES, SELECTORS
from tests.closed_loop.built.surroundings import Surroundings

__all__ = ["ENDS", "Chains", "Fed", "random_steps"]

_RAMS = tuple(m for m, chip in MEMORIES.items() if chip.write)
#: The end of ways that start here, and whether they end at a memory.
_EndKind = Literal["memory", "elsewhere", "function"]


@dataclass(frozen=True)
class Fed:
    """What feeds a net: the outputs on it, and the sources behind."""

    drivers: frozenset[str]
    sources: frozenset[str]
    ends: _EndKind


def random_steps(b: Drawing) -> tuple[str, ...]:
    """Chips in a row between the output stage and the memory, those that follow the driver first."""
    r = b.random
    steps = [r.choice(tuple(LATCHES)) for _ in range(r.randint(0, 2))]
    if r.random() < 0.4:
        steps.insert(r.randint(0, len(steps)), r.choice(tuple(BUFFERS)))
    if r.random() < 0.3:
        steps.insert(0, r.choice(tuple(GATES)))
    if r.random() < 0.25:
        steps.append(r.choice(tuple(SELECTORS)))
    if steps and r.random() < 0.2:
        steps.append("damping")
    return tuple(steps)


@dataclass
class Chains:
    """Feeds nets of one board, each by the same steps and the same end."""

    b: Drawing
    around: Surroundings
    steps: tuple[str, ...]
    end: str
    memory: str
    #: Distinguishes the memories of one bank from those of another.
    bank: str = ""
    #: The enable of a multiplexer blanks.
    blanked: bool = False
    _data: dict[str, list[str]] = field(default_factory=dict)

    def feed(self, net: str) -> Fed:
        """Join to the net an output, and to that all that stands behind it."""
        fronts, drivers = [net], set[str]()
        for place, step in enumerate(self.steps):
            behind = []
            for front in fronts:
                output, inputs = self._step(step, front)
                behind += inputs
                if place == 0:
                    drivers.add(output)
            fronts = behind
        self.b.idioms.add(self.end)
        fed = [ENDS[self.end](self, front) for front in fronts]
        first = frozenset[str]().union(*(drivers_here for drivers_here, _, _ in fed))
        sources = frozenset[str]().union(*(sources_here for _, sources_here, _ in fed))
        return Fed(frozenset(drivers) or first, sources, fed[0][2])

    # -- steps ------------------------------------------------------------------------------

    def _step(self, step: str, front: str) -> tuple[str, list[str]]:
        b = self.b
        if step == "damping":
            b.idioms.add("damping")
            behind = b.node()
            b.resistor(front, behind, 33)
            return "", [behind]
        chip, inputs, output = b.section(step, self.bank)
        b.join(output, front)
        if step in GATES:
            b.idioms.add("blanking gates")
            data, other = b.random.sample(inputs, 2)
            self.around.blank(other)
            return output, [data]
        if step in SELECTORS:
            b.idioms.add("multiplexer")
            enable = SELECTORS[step].enable
            if enable and self.blanked:
                self.around.blank(f"{chip}.{enable}")
            elif enable:
                b.join(f"{chip}.{enable}", "@GND")
        return output, list(inputs)

    # -- ends -------------------------------------------------------------------------------

    def data_leg(self, marking: str, how: str = "counters", key: str = "") -> str:
        """A free data leg of a memory; a new one is placed and addressed when there is none."""
        free = self._data.setdefault(marking + how + key, [])
        if not free:
            chip = MEMORIES[marking]
            reference = self.b.chip(marking)
            self.around.address([f"{reference}.{a}" for a in chip.address], how)
            enables = [f"{reference}.{e}" for e in chip.chip_enables]
            self.around.enable(enables, key)
            if chip.write:
                self.around.write(f"{reference}.{chip.write}")
            free += [f"{reference}.{leg}" for leg in chip.data]
            if marking == "4164":
                # What is written comes over the same line.
                self.b.join(f"{reference}.2", f"{reference}.14")
            self.b.mix(free)
        return free.pop()


_End = tuple[frozenset[str], frozenset[str], _EndKind]


def _at(leg: str, *others: str, ends: _EndKind = "memory") -> _End:
    return frozenset({leg}), frozenset({leg, *others}), ends


def _memory(c: Chains, net: str) -> _End:
    leg = c.data_leg(c.memory)
    c.b.join(leg, net)
    return _at(leg)


def _written(c: Chains, net: str) -> _End:
    """A RAM that a processor writes through a transceiver, its addresses multiplexed."""
    leg = c.data_leg(_ram(c), "multiplexed")
    c.b.join(leg, net)
    c.around.transceiver(net)
    return _at(leg)


def _written_by_register(c: Chains, net: str) -> _End:
    """A RAM that a processor writes through a register, and reads through a buffer."""
    leg = c.data_leg(_ram(c), "multiplexed")
    c.b.join(leg, net)
    c.around.write_register(net)
    return _at(leg)


def _two_memories(c: Chains, net: str) -> _End:
    """Two memories on one line, of which one at a time is on."""
    one, other = c.data_leg(c.memory, key="first"), c.data_leg("27256", key="second")
    c.b.join(net, one, other)
    return frozenset({one, other}), frozenset({one, other}), "memory"


def _border(c: Chains, net: str) -> _End:
    """A register of the processor's feeds the line over a resistor while the memory is off."""
    leg = c.data_leg(_ram(c), "counters", key="first")
    c.b.join(leg, net)
    processor = c.around.border(net)
    return frozenset({leg}), frozenset({leg, processor}), "elsewhere"


def _processor(c: Chains, net: str) -> _End:
    """The processor's bus itself, on which its ROM, RAM, a serial chip and a header stand too."""
    leg = c.around.bus_line(net)
    return _at(leg, ends="elsewhere")


def _plug(c: Chains, net: str) -> _End:
    leg = c.around.plug_leg()
    c.b.join(leg, net)
    return _at(leg, ends="elsewhere")


def _function(c: Chains, net: str) -> _End:
    """Gates over gates: a diamond of four stored bits, or a row of exclusive-ORs."""
    b = c.b
    legs = [c.data_leg(c.memory, key=key) for key in ("", "f1", "f2", "f3")]
    outputs = set()
    if b.random.random() < 0.5:
        _, pair, out = b.section("74LS32", "function")
        ands = [b.section("74LS08", "function") for _ in range(2)]
        for (_, inputs, middle), input_, two in zip(ands, pair, (legs[:2], legs[2:]), strict=True):
            b.join(middle, input_)
            for i, leg in zip(inputs, two, strict=True):
                b.join(i, leg)
    else:
        _, pair, out = b.section("74LS86", "function")
        rest = list(legs)
        b.join(pair[1], rest.pop())
        open_leg = pair[0]
        while len(rest) > 1:
            _, (one, other), middle = b.section("74LS86", "function")
            b.join(middle, open_leg)
            b.join(other, rest.pop())
            open_leg = one
        b.join(open_leg, rest.pop())
    b.join(out, net)
    outputs.add(out)
    return frozenset(outputs), frozenset(legs), "function"


def _word(c: Chains, net: str) -> _End:
    """A shift register: every bit of a word shows in turn."""
    _, inputs, out = c.b.section("74LS166", c.bank)
    c.b.join(out, net)
    legs = [c.data_leg(c.memory) for _ in inputs]
    for one, leg in zip(inputs, legs, strict=True):
        c.b.join(one, leg)
    return frozenset({out}), frozenset(legs), "memory"


def _ram(c: Chains) -> str:
    return c.memory if c.memory in _RAMS else "6116"


#: What stands at the end of a way.
ENDS: dict[str, Callable[[Chains, str], _End]] = {
    "memory": _memory, "transceiver": _written, "write register": _written_by_register,
    "two memories": _two_memories, "border": _border, "processor": _processor, "header board": _plug,
    "function": _function, "shifted word": _word,
}  # fmt: skip
