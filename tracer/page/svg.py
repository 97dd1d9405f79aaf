"""The diagram for the page: each box and line told which item it is and which paths run over it.

The picture is the one of `tracer.diagram.diagram`. Its colours become variables,
so that the page's style can give others on a dark ground; under each line lies
a wide one to hit and to mark it, behind each bit's letters a plate.
"""

from __future__ import annotations

import html
import re
from collections.abc import Iterable, Iterator, Mapping
from xml.etree import ElementTree

from tracer.base.text import clean, leg
from tracer.diagram.network import BitId
from tracer.diagram.plan import DrawnBox, Line, Plan, identifier, make_plan
from tracer.diagram.styles import bits_text
from tracer.page.items import Item, Items, net_text
from tracer.page.paths import LegKey, PagePath, as_spans

__all__ = ["prepared"]

_SVG = "{http://www.w3.org/2000/svg}"
_HEX = re.compile(r"#[0-9a-f]{6}")
_NAMES = {"white": "#ffffff", "black": "#000000"}
#: About how wide letters are, as a share of the size: capitals, figures, the rest.
_WIDE = 0.76


def prepared(svg: str, items: Items) -> str:
    """The picture as part of an HTML page."""
    # The text is our own program's and Graphviz's; a document type was taken out, so there are no entities.
    root = ElementTree.fromstring(svg.encode("utf-8"))
    for element in root.iter():
        element.tag = element.tag.removeprefix(_SVG)
    size = [float(x) for x in root.attrib["viewBox"].split()[2:]]
    for name in ("width", "height"):
        root.attrib.pop(name, None)
    root.attrib |= {"class": "diagram", "data-wide": f"{size[0]:.0f}"}
    _Marker(items).mark(root)
    for element in root.iter():
        _recolour(element)
    return ElementTree.tostring(root, encoding="unicode")


def _recolour(element: ElementTree.Element) -> None:
    for name in ("fill", "stroke"):
        value = element.attrib.get(name)
        value = _NAMES.get(value or "", value)
        if value and _HEX.fullmatch(value):
            element.attrib[name] = f"var(--d{value[1:]}, {value})"
    if element.tag == "text" and "fill" not in element.attrib:
        element.attrib["fill"] = "var(--d000000, #000000)"


class _Marker:
    """Finds what each group stands for."""

    def __init__(self, items: Items) -> None:
        self.items, self.map = items, items.map
        plan = make_plan(items.map)
        self.boxes = {box.node: box for box in plan.boxes}
        self.stages = {node: index for index, node in enumerate(plan.stages)}
        self.connectors = {
            f"connector-{identifier(part)}" if part else "connector": part
            for part in dict.fromkeys(colour.pin.part for colour in self.map.colours)
        }
        self.legs = {key: legs for box in plan.boxes for key, legs in _ports(box)}
        self.lines = self._numbered(plan)

    def _numbered(self, plan: Plan) -> dict[str, Line | tuple[int, int]]:
        """Lines by id; those from the resistors to the connector, which the plan leaves out, as colour and bit."""
        members: dict[str | None, list[int]] = {}
        for index, colour in enumerate(self.map.colours):
            members.setdefault(colour.pin.part, []).append(index)
        ends = [(i, b.bit) for part in members.values() for i in part for b in self.map.colours[i].bits]
        every: list[Line | tuple[int, int]] = [*plan.lines, *ends]
        return {f"line-{n}": line for n, line in enumerate(every, start=1)}

    def mark(self, root: ElementTree.Element) -> None:
        """Give every group its item, its paths and a title that a person can read."""
        for group in list(root.iter("g")):
            name = group.attrib.get("id", "")
            if name in self.lines:
                self._line(group, self.lines[name])
            elif name in self.boxes:
                self._box(group, self.boxes[name])
            elif name in self.stages:
                self._stage(group, self.stages[name])
            elif name in self.connectors:
                self._connector(group, self.connectors[name])
            elif name:
                group.attrib.pop("id")

    # -- boxes --------------------------------------------------------------------------------------

    def _box(self, group: ElementTree.Element, box: DrawnBox) -> None:
        paths = self._box_paths(box)
        item = self.items.get("part", box.box.key.part)
        _tell(group, item, paths, item.name if item else "nothing")
        tags = {bits_text(row.bits, self.items.styles): row.bits for row in box.rows}
        self._tags(group, tags, paths)

    def _box_paths(self, box: DrawnBox) -> set[int]:
        bits = set(box.bits)
        outs = {(box.box.key.part, pin) for row in box.rows for pin in row.out.pins}
        own = [w for w in self.items.paths if BitId(w.colour, -w.bit) in bits]
        if box.box.key.kind == "stop" and not box.box.key.part:
            return {w.number for w in own if w.source is not None and w.source.part is None}
        return {w.number for w in own if outs.intersection(w.legs)}

    def _stage(self, group: ElementTree.Element, index: int) -> None:
        colour = self.map.colours[index]
        item = self.items.get("colour", colour.name)
        paths = item.paths if item else set()
        _tell(group, item, paths, f"{colour.name}: resistors")
        tags = {
            bits_text((BitId(index, -b.bit),), self.items.styles): (BitId(index, -b.bit),)
            for b in colour.bits
        }
        self._tags(group, tags, paths)

    def _connector(self, group: ElementTree.Element, part: str | None) -> None:
        item = self.items.get("part", part) if part else None
        paths = {w.number for w in self.items.paths if self.map.colours[w.colour].pin.part == part}
        _tell(group, item, paths, item.name if item else "no connector drawn")

    def _tags(
        self, group: ElementTree.Element, tags: Mapping[str, tuple[BitId, ...]], paths: Iterable[int]
    ) -> None:
        """A plate behind the letters of each bit, to mark and to select it."""
        wanted = {html.unescape(tag): bits for tag, bits in tags.items()}
        own = set(paths)
        for place, element in reversed(list(enumerate(group))):
            bits = wanted.get((element.text or "").strip()) if element.tag == "text" else None
            if bits is None or element.attrib.get("font-weight") != "bold":
                continue
            through = {
                w.number for bit in bits for w in self.items.paths_of_bit(bit.colour, bit.bit)
            } & own  # fmt: skip
            plate = _plate(element)
            tag = ElementTree.Element("g", {"class": "tag", "data-paths": as_spans(through)})
            if len(bits) == 1:
                colour = self.map.colours[bits[0].colour].name
                item = self.items.get("bit", colour, str(bits[0].bit))
                if item:
                    tag.attrib["data-item"] = str(item.number)
            tag.extend((plate, element))
            group.remove(element)
            group.insert(place, tag)

    # -- lines --------------------------------------------------------------------------------------

    def _line(self, group: ElementTree.Element, line: Line | tuple[int, int]) -> None:
        if isinstance(line, Line):
            tails = self._legs_at(line.tail, line.tail_port)
            heads = self._legs_at(line.head, line.head_port)
            paths = self._line_paths(line, tails, heads)
            nets = list(dict.fromkeys(self.items.net_of[t] for t in tails if t in self.items.net_of))
            ends = [self._end(tails), self._end(heads) if heads else self._row(line)]
        else:
            index, bit = line
            pin = self.map.colours[index].pin
            paths = {w.number for w in self.items.paths_of_bit(index, bit)}
            nets = [pin.net]
            ends = [
                f"resistors of {self.items.tag(index, bit)}",
                leg(pin.part, pin.pin or "", "") if pin.part else pin.net,
            ]
        name = " to ".join(ends)
        item = self.items.get("net", nets[0]) if len(nets) == 1 else None
        if item is None:
            item = self.items.line(f"line from {name}", paths)
        shown = f"net {net_text(nets[0])}: {name}" if len(nets) == 1 else name
        _tell(group, item, paths, shown)
        for path in list(group.iter("path")):
            wide = ElementTree.Element("path", {"class": "under", "d": path.attrib["d"], "fill": "none"})
            group.insert(1, wide)

    def _line_paths(self, line: Line, tails: list[LegKey], heads: list[LegKey]) -> set[int]:
        bits = set(line.bits)
        own = [w for w in self.items.paths if BitId(w.colour, -w.bit) in bits]
        if line.head in self.stages:
            return {w.number for w in own if _feeds_resistors(w, tails)}
        return {w.number for w in own if _runs_over(w, line, tails, heads)}

    def _legs_at(self, node: str, port: str) -> list[LegKey]:
        return self.legs.get((node, port), [])

    def _end(self, legs: list[LegKey]) -> str:
        return ", ".join(leg(*key) for key in legs) or "nothing"

    def _row(self, line: Line) -> str:
        tags = ", ".join(self.items.tag(b.colour, b.bit) for b in line.bits)
        return f"resistors of {tags}"


def _feeds_resistors(path: PagePath, tails: list[LegKey]) -> bool:
    """Whether a path's last leg is the tail of a line to the resistors; a rail and nothing have no legs."""
    return path.legs[-1] in tails if tails else len(path.legs) == 1 and _ends_nowhere(path)


def _runs_over(path: PagePath, line: Line, tails: list[LegKey], heads: list[LegKey]) -> bool:
    if line.role == "write path" == path.role and set(tails).intersection(path.legs):
        return True
    if not tails:
        return _ends_nowhere(path) and path.legs[0] in heads
    return any((t, h) in path.hops for t in tails for h in heads)


def _ends_nowhere(path: PagePath) -> bool:
    return path.source is not None and path.source.part is None


def _ports(box: DrawnBox) -> Iterator[tuple[tuple[str, str], list[LegKey]]]:
    """Legs at each port of a box; none where what it stands for is no part."""
    part = box.box.key.part
    for row in box.rows:
        outs = [(part, pin) for pin in row.out.pins] if part else []
        yield (box.node, row.out.port), outs
        yield (box.node, row.write_port), outs
        for legs in row.ins:
            yield (box.node, legs.port), [(part, pin) for pin in legs.pins]


def _tell(group: ElementTree.Element, item: Item | None, paths: Iterable[int], name: str) -> None:
    if item is not None:
        group.attrib["data-item"] = str(item.number)
    group.attrib["data-paths"] = as_spans(paths)
    title = group.find("title")
    if title is not None:
        title.text = clean(name)


def _plate(element: ElementTree.Element) -> ElementTree.Element:
    size = float(element.attrib.get("font-size", "11"))
    x, y = float(element.attrib["x"]), float(element.attrib["y"])
    wide = size * sum(
        0.56 if c.isdigit() else 0.33 if c in "- ." else _WIDE for c in (element.text or "").strip()
    )
    box = {"x": x - 2, "y": y - 0.86 * size, "width": wide + 4, "height": 1.16 * size}
    return ElementTree.Element(
        "rect", {"class": "plate", "fill": "none", "rx": "2"} | {k: f"{v:.1f}" for k, v in box.items()}
    )
