"""Parts, pins and nets as a reader of a line format meets them -> `Netlist`.

Two rules of every such reader stand here: a word such as ``N/C`` where a net's
name would stand gives each pin a net of its own, and what was skipped is said
once, with how often.
"""

from __future__ import annotations

from collections import Counter
from dataclasses import replace

from tracer.base.findings import Finding, note, warning
from tracer.netlist.board import Net, Netlist, Origin, Part, Pin, PinRef, make_netlist
from tracer.netlist.net_names import is_no_connect, name_of_alone, says_alone
from tracer.netlist.spots import Segment, Spot

__all__ = ["Collector"]


class Collector:
    """What a file says, statement by statement."""

    def __init__(self, file: str) -> None:
        self.file = file
        self.findings: list[Finding] = []
        self._parts: list[Part] = []
        self._nets: list[tuple[str, list[PinRef], Origin]] = []
        self._alone: list[tuple[str, list[PinRef], Origin]] = []
        self._made: set[str] = set()
        self._pins: dict[str, dict[str, Pin]] = {}
        self._skipped: Counter[str] = Counter()
        self._lines: dict[str, int] = {}
        self._spots: dict[str, Spot] = {}
        self.outline: tuple[Segment, ...] = ()

    def part(
        self, reference: str, line: int, marking: str = "", *, symbol: str = "", footprint: str = ""
    ) -> None:
        """A part of the part list; words for "none" become empty."""
        self._parts.append(
            Part(
                reference,
                _known(marking),
                symbol=_known(symbol),
                footprint=_known(footprint),
                origin=Origin(self.file, line),
            )
        )

    def declare(self, reference: str, pin: Pin) -> None:
        """A pin that the drawing declares, with what is known of it; the first word on it counts."""
        self._pins.setdefault(reference, {}).setdefault(pin.number, pin)

    def place(self, reference: str, spot: Spot) -> None:
        """Where a part sits."""
        self._spots[reference] = spot

    def net(self, name: str, line: int, *, is_made: bool = False) -> list[PinRef]:
        """The pins of a net, to be filled; a net named ``N/C`` is taken apart in the end.

        `is_made` where the form tells that a program made the name, and the name itself may not.
        """
        pins: list[PinRef] = []
        if is_made:
            self._made.add(name)
        (self._alone if is_no_connect(name) else self._nets).append((name, pins, Origin(self.file, line)))
        return pins

    def whole_net(self, name: str, line: int) -> list[PinRef]:
        """The same in a form where a net stands in one piece: one that comes again is said."""
        first = self._lines.setdefault(name, line)
        if first != line and not says_alone(name):
            self.findings.append(
                warning(
                    "duplicate-net",
                    f"net {name} stands on line {first} and again on line {line}; the pins of both are on it",
                    name,
                    f"{self.file}:{line}",
                )
            )
        return self.net(name, line)

    def skip(self, what: str) -> None:
        """Count a clause that is not understood."""
        self._skipped[what] += 1

    def cut_short(self, mark: str) -> None:
        """Say that the mark at the end is missing."""
        self.findings.append(
            warning(
                "no-end-mark",
                f"{self.file} has no {mark} at its end; it may be cut short, and parts or pins may be missing",
                self.file,
            )
        )

    def netlist(self, name: str, *, parts_from_nets: bool = False) -> Netlist:
        """All of it. With `parts_from_nets` (formats without a part list) every pin's part is declared."""
        nets: list[tuple[str, list[PinRef], Origin]] = list(self._nets)
        for _, pins, origin in self._alone:
            nets += [(name_of_alone(pin), [pin], origin) for pin in pins]
        lonely = sum(len(pins) for _, pins, _ in self._alone)
        if lonely > 1:
            self.findings.append(
                note(
                    "no-connect-joined",
                    f"{lonely} pins are marked as not connected; each is on a net of its own",
                )
            )
        parts = [self._with_pins(part) for part in self._parts]
        if parts_from_nets:
            first = {pin.part: origin for _, pins, origin in reversed(nets) for pin in pins}
            parts += [self._with_pins(Part(ref, origin=origin)) for ref, origin in first.items()]
        if self._skipped:
            names = ", ".join(f"{what} x {count}" for what, count in sorted(self._skipped.items()))
            self.findings.append(
                note(
                    "skipped-clause",
                    f"clauses that this reader does not know were skipped: {names}",
                    self.file,
                )
            )
        told = (
            Net(net, tuple(pins), origin, is_named=False) if net in self._made else (net, pins, origin)
            for net, pins, origin in nets
        )
        return make_netlist(name, parts, told, findings=self.findings, outline=self.outline)

    def _with_pins(self, part: Part) -> Part:
        pins = tuple(self._pins.get(part.reference, {}).values())
        return replace(part, pins=pins, spot=self._spots.get(part.reference))


#: What programs write for a fact they do not have (Lepton's ``unknown`` and ``#f``, KiCad's ``$noname`` and ``~``).
_NOTHING = frozenset({"unknown", "#f", "$noname", "~", "*", "?"})


def _known(word: str) -> str:
    return "" if word.lower() in _NOTHING else word
