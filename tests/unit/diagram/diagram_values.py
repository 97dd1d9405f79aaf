"""Maps made by hand for the diagram's tests, and the graph text read back as lines and nodes."""

from __future__ import annotations

import re
from dataclasses import dataclass
from xml.etree import ElementTree

from tracer.bitmap.model import (
    Bit,
    BitMap,
    Chip,
    Colour,
    ColourPin,
    Control,
    Driver,
    Path,
    Role,
    Source,
    StageResistor,
    Step,
    When,
)
from tracer.diagram.diagram import emit

SVG = "{http://www.w3.org/2000/svg}"

_EDGE = re.compile(r'^\t"?(\S+?)"?:"?(\S+?)"?:e -> "?(\S+?)"?:"?(\S+?)"?:w \[(.*)\]$', re.MULTILINE)
_ATTRIBUTE = re.compile(r'(\w+)=(?:"([^"]*)"|([^\s\]]+))')


@dataclass(frozen=True)
class Edge:
    """A line as the graph text has it."""

    tail: str
    tail_port: str
    head: str
    head_port: str
    attributes: dict[str, str]

    @property
    def classes(self) -> list[str]:
        return self.attributes["class"].split()


def edges(bit_map: BitMap) -> list[Edge]:
    """All lines of the diagram, in its order."""
    found = []
    for tail, tail_port, head, head_port, rest in _EDGE.findall(str(emit(bit_map, "dot"))):
        attributes = {key: quoted or bare for key, quoted, bare in _ATTRIBUTE.findall(rest)}
        found.append(Edge(tail, tail_port, head, head_port, attributes))
    return found


def ends(found: list[Edge]) -> list[tuple[str, str, str, str]]:
    """Node and port at both ends of lines."""
    return [(e.tail, e.tail_port, e.head, e.head_port) for e in found]


def lines_of(bit_map: BitMap, bit: str) -> list[Edge]:
    """Lines that carry a bit, write paths left out."""
    return [e for e in edges(bit_map) if f"bit-{bit}" in e.classes and "write-path" not in e.classes]


def svg(bit_map: BitMap) -> ElementTree.Element:
    """The drawn picture, read by an XML parser."""
    return ElementTree.fromstring(str(emit(bit_map, "svg")))


def texts(root: ElementTree.Element) -> list[str]:
    """What can be read in a picture or a part of it, blanks around left out."""
    return [t.strip() for e in root.iter(f"{SVG}text") if (t := "".join(e.itertext())).strip()]


def group(root: ElementTree.Element, identity: str) -> ElementTree.Element:
    """The chip or line with an id."""
    return next(e for e in root.iter(f"{SVG}g") if e.get("id") == identity)


def words(root: ElementTree.Element, identity: str) -> str:
    """All that stands in a chip."""
    return " ".join(texts(group(root, identity)))


# -- values -----------------------------------------------------------------------------------------

CLOCK = Control("11", "CLK", "PIXCLK")


def prom(pin: str, part: str = "U4", name: str = "", place: str | None = "7E") -> Source:
    return Source(part, "82S129", pin, name or f"O{pin}", "prom", place)


def latch(source: str, target: str, part: str = "U9", controls: tuple[Control, ...] = (CLOCK,)) -> Step:
    return Step(part, "74x273", source, target, "register", False, controls)


def way(source: Source, *steps: Step, role: Role = "picture", when: tuple[When, ...] = (), because: str | None = None) -> Path:  # fmt: skip
    return Path(role, when, steps, source, because)


def a_bit(number: int, *paths: Path, driver: Driver | None = None, resistors: tuple[StageResistor, ...] = ()) -> Bit:  # fmt: skip
    """A bit whose driver is the output that its first path starts from."""
    first = paths[0] if paths else None
    if driver is None and first is not None and first.steps:
        driver = Driver(first.steps[0].part, first.steps[0].type, first.steps[0].target_pin, "Q")
    if driver is None and first is not None and first.source.part and first.source.pin:
        driver = Driver(first.source.part, first.source.type or "", first.source.pin, first.source.name)
    return Bit(number, 2.0**number / 7, resistors, driver or Driver("U1", "74x04", "2", "1Y"), paths)


def a_map(
    red: tuple[Bit, ...] = (),
    green: tuple[Bit, ...] = (),
    blue: tuple[Bit, ...] = (),
    *,
    chips: tuple[Chip, ...] = (),
    name: str = "wader",
) -> BitMap:
    """A board with its colours on J1, legs 1 to 3."""
    colours = tuple(
        Colour(colour, ColourPin("J1", str(i), colour.upper(), colour.upper(), "name"), 2 ** len(bits), bits)
        for i, (colour, bits) in enumerate((("red", red), ("green", green), ("blue", blue)), start=1)
    )
    return BitMap(name, (), 1, 1, 75.0, colours, chips)


def fifteen_bits() -> BitMap:
    """Five bits a colour out of two RAMs over two ranks of latches, with a transceiver beside each RAM."""
    colours: dict[str, list[Bit]] = {"red": [], "green": [], "blue": []}
    for i in range(15):
        chip, leg = divmod(i, 8)
        steps = (latch(f"{leg + 20}", f"{leg + 40}", f"U{31 + chip}"), latch(f"{leg + 20}", f"{leg + 40}", f"U{21 + chip}"))  # fmt: skip
        ram = Source(f"U{11 + chip}", "6116", f"{leg + 9}", f"D{leg}", "ram", f"6{'EF'[chip]}")
        transceiver = Step(f"U{41 + chip}", "74x245", f"{leg + 2}", f"{18 - leg}", "transceiver")
        written = way(
            Source("U1", "68000", f"{leg}", f"D{leg}", "cpu"), *steps, transceiver, role="write path"
        )
        number = 4 - i % 5
        resistor = StageResistor(f"R{i + 101}", 240.0 * 2**number)
        bit = a_bit(number, way(ram, *steps), written, resistors=(resistor,))
        colours[("red", "green", "blue")[i // 5]].append(bit)
    return a_map(*(tuple(bits) for bits in colours.values()))
