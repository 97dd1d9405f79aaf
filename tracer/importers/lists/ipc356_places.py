"""Where the records of an IPC-D-356 list have pads and the board's edge; the form and its sources: `ipc356.py`."""

from __future__ import annotations

import re
from dataclasses import dataclass, field

from tracer.importers.collector import Collector
from tracer.netlist.spots import Pad, Point, Spot, chain

__all__ = ["Places"]

#: Millimetres in a step of a coordinate: 0.0001 inch, or 0.001 mm.
_INCH_STEP, _MM_STEP = 0.00254, 0.001
_UNITS = re.compile(r"P +UNITS +(?P<units>SI|CUST *[012])")
_METRIC = ("SI", "CUST 1", "CUST1")
_PLACE = re.compile(r"X(?P<x>[+ -]?[ \d]{5}\d)Y(?P<y>[+ -]?[ \d]{5}\d)")
_SIDE = re.compile(r"A(?P<layer>\d\d)(?=X)")
#: Access from both sides, and from the component side; any other layer is the last one.
_ABOVE = ("00", "01")
_SURFACE = "27"
#: Before this column stand net, part and pin.
_BEHIND_NAMES = 17
_EDGE = re.compile(r"[03]89(?P<what>\S*)(?P<points>.*)")
_EDGE_WORD = re.compile(r"(?:X(?P<x>[+-]?\d{1,9}))?(?:Y(?P<y>[+-]?\d{1,9}))?")


@dataclass
class Places:
    """What the records say, before a list is through."""

    step: float = _INCH_STEP
    pads: dict[str, dict[str, Pad]] = field(default_factory=dict)
    below: dict[str, bool] = field(default_factory=dict)
    edges: list[list[Point]] = field(default_factory=list)
    on_edge: bool = False
    last: tuple[int, int] = (0, 0)

    def units(self, line: str) -> None:
        """A parameter."""
        if found := _UNITS.match(line):
            self.step = _MM_STEP if " ".join(found["units"].split()) in _METRIC else _INCH_STEP

    def pad(self, reference: str, pin: str, line: str) -> None:
        """A record of a part's pin; the first place of a pin counts."""
        found = _PLACE.search(line, _BEHIND_NAMES)
        if found is None:
            return
        x, y = (int(found[axis].replace(" ", "")) for axis in "xy")
        pads = self.pads.setdefault(reference, {})
        pads.setdefault(pin, Pad(pin, *self._point(x, y)))
        side = _SIDE.search(line, _BEHIND_NAMES)
        is_below = line[1:3] == _SURFACE and side is not None and side["layer"] not in _ABOVE
        self.below[reference] = self.below.get(reference, True) and is_below

    def edge(self, line: str) -> None:
        """A record 389, or one that carries it on."""
        found = _EDGE.match(line)
        assert found is not None
        if line[0] == "3":
            self.on_edge = found["what"] == "BOARD_EDGE"
            if self.on_edge:
                self.edges.append([])
        if not self.on_edge:
            return
        for word in found["points"].split():
            here = _EDGE_WORD.fullmatch(word)
            if here is None:
                self.on_edge = False
                return
            self.last = int(here["x"] or self.last[0]), int(here["y"] or self.last[1])
            self.edges[-1].append(self._point(*self.last))

    def fill(self, collector: Collector) -> None:
        """Hand it on."""
        for reference, pads in self.pads.items():
            collector.place(reference, Spot(tuple(pads.values()), is_below=self.below[reference]))
        collector.outline = tuple(segment for edge in self.edges for segment in chain(edge))

    def _point(self, x: int, y: int) -> Point:
        """A point in millimetres, y down."""
        return round(x * self.step, 4), round(-y * self.step, 4)
