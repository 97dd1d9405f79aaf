"""A plain search, to hold the program against: back from the connector with the probe, as one is taught it."""

from __future__ import annotations

from collections.abc import Mapping
from contextlib import suppress
from dataclasses import dataclass

from tests.closed_loop.bench.boards import Case
from tests.closed_loop.bench.change import leg_text
from tests.closed_loop.bench.person import VOLTS, VOLTS_OF_SUPPLY, Bench
from tracer.bitmap.model import Bit
from tracer.netlist.board import PinRef

__all__ = ["Found", "plain_search"]


@dataclass(frozen=True)
class Found:
    """What it ends with."""

    what: str
    ends: tuple[str, ...]
    measurements: int
    minutes: float


class _Enough(Exception):
    """No more measurements."""


class _Search:
    def __init__(self, case: Case, bench: Bench, most: int) -> None:
        self.case, self.bench, self.most = case, bench, most
        self.known: dict[tuple[str, tuple[str, ...]], str] = {}
        self.minutes = 0.0
        self.guess: tuple[str, tuple[str, ...]] = ("outside", ())

    def measure(self, kind: str, *where: str) -> str:
        if (kind, where) not in self.known:
            if len(self.known) >= self.most:
                raise _Enough
            said = self.bench.measure(kind, where)
            # Volts are taken as a probe would.
            self.known[kind, where] = {
                v: w for told in (VOLTS, VOLTS_OF_SUPPLY) for w, v in told.items()
            }.get(said, said)
            self.minutes += self.bench.minutes(kind, where)
        return self.known[kind, where]

    def pulses(self, part: str, pin: str) -> bool:
        return self.measure("read", part, pin) == "pulsing"

    def run(self, words: Mapping[str, str]) -> None:
        colours = [
            c for c in self.case.traced.bit_map.colours if not words.get(c.name, "fine").startswith("fine")
        ]
        for colour in colours:
            for bit in colour.bits:
                if not self.pulses(bit.driver.part, bit.driver.pin):
                    self.back(bit)
                    return
        for colour in colours:
            for bit in colour.bits:
                for r in bit.resistors:
                    self.guess = ("resistor", (r.part,))
                    if self.measure("ohms", r.part) != "as it should be":
                        return
        self.guess = ("outside", ())
        transistors = {p.part for p in self.case.board.pieces if p.kind == "transistor"}
        if transistors and len(colours) == 1:
            names = sorted(transistors)
            at = [c.name for c in self.case.traced.bit_map.colours].index(colours[0].name)
            self.guess = ("transistor", (names[min(at, len(names) - 1)],))

    def back(self, bit: Bit) -> None:
        """From a dead output back, until something before it lives."""
        self.guess = ("chip", (bit.driver.part,))
        path = bit.main_path
        if path is None or not path.steps:
            return
        froms = [
            *((s.part, s.target_pin) for s in path.steps[1:]),
            (path.source.part or "", path.source.pin or ""),
        ]
        for step, (part, pin) in zip(path.steps, froms, strict=True):
            self.guess = ("chip", (step.part,))
            if self.pulses(step.part, step.source_pin):
                self.controls(step.part)
                return
            if self.pulses(part, pin):
                self.guess = ("joint", (f"{part}.{pin}", f"{step.part}.{step.source_pin}"))
                return
            self.guess = ("chip", (part,))

    def controls(self, part: str) -> None:
        """A live input and a dead output: its clock and its clear, then the chip itself."""
        chip = self.case.board.chips[part]
        section = chip.sections[0]
        for role in ("clock", "clear"):
            for pin in section.controls.get(role, ()):
                net = self.case.board.net_of.get(PinRef(part, pin))
                if net is None or net in self.case.board.rails:
                    continue
                said = self.measure("read", part, pin)
                if said == "pulsing" or (role == "clear" and said == "high"):
                    continue
                others = [leg for leg in self.case.board.legs_of[net] if leg in self.case.board.sources]
                others += [PinRef(c.reference, s.out) for c, s in self.case.board.drivers_of(net)]
                if others and self.pulses(others[0].part, others[0].pin):
                    self.guess = ("joint", (f"{part}.{pin}", leg_text(others[0])))
                elif others:
                    self.guess = ("chip", (others[0].part,))
                return


def plain_search(case: Case, bench: Bench, words: Mapping[str, str], most: int) -> Found:
    """Search without weighing anything.

    Of the colours that are told as faulty the outputs at the resistors are probed, the heaviest first. From the first that
    does not pulse the search goes back: where the input of its chip pulses, clock and clear are read, and the chip is at
    fault when both are alive; where it does not, the output before it is read, and the joint between is at fault when that
    one pulses. Where all outputs pulse the resistors are measured, then the transistor is taken, or what lies outside.
    """
    search = _Search(case, bench, most)
    with suppress(_Enough):
        search.run(words)
    return Found(*search.guess, len(search.known), search.minutes)
