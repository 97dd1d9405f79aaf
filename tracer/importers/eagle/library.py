"""Libraries inside Eagle files: from a pin of a drawn gate to the pads of the part's package.

A part names a device set and a device. The set's gates name symbols, whose pins
have names and directions; the device's ``connect`` entries give each pin its
pad, or several pads (blanks between them). So the leg is the pad's name, the
pin's name the symbol's; what follows ``@`` in it only tells equal names apart.

Sources: ``eagle-9.2.2.dtd`` in the PyPI source package Swoop 0.6.5; files of
pyeagle 0.1.1 (PyPI) and of KiCad's own tests (Debian source package kicad
6.0.11); directions as KiCad's importer maps them (same package,
``sch_eagle_plugin.cpp``); how a value is made up where the user gave none, from
memory.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, field

from tracer.importers.xml_tree import Element
from tracer.netlist.board import Pin

__all__ = ["Device", "GatePin", "Libraries", "shown_name"]

_KINDS = {
    "nc": "no_connect",
    "in": "input",
    "out": "output",
    "io": "bidirectional",
    "oc": "open_collector",
    "pwr": "power_in",
    "pas": "passive",
    "hiz": "tri_state",
    "sup": "power_in",
}


@dataclass(frozen=True, slots=True)
class GatePin:
    """A pin of a gate: name as in the file, direction as in the file, its pads."""

    name: str
    direction: str
    pads: tuple[str, ...]


@dataclass(frozen=True)
class Device:
    """What a part is.

    Attributes
    ----------
    gates : dict
        Gate -> pin -> what is known of it.
    package : str
        Empty for a part that is only drawn: supplies, frames.
    symbol, library : str
        Device set (its technology filled in), library.
    value : str
        The value where the user gave none; empty when the set leaves it to the user.
    attributes : dict
        Of the technology, names in lower case.
    """

    gates: dict[str, dict[str, GatePin]]
    package: str
    symbol: str
    library: str
    value: str
    attributes: dict[str, str]

    @property
    def is_drawing(self) -> bool:
        """It stands for no part: a supply symbol or a frame."""
        directions = {pin.direction for pins in self.gates.values() for pin in pins.values()}
        return not self.package and directions <= {"sup"}

    def pins(self) -> Iterator[tuple[str, GatePin, Pin]]:
        """Gate, its pin, and the pin as a netlist knows it: one for each pad, or one without any."""
        for gate, pins in self.gates.items():
            for pin in pins.values():
                for number in pin.pads or (pin.name,):
                    yield gate, pin, Pin(number, shown_name(pin.name), _KINDS.get(pin.direction, ""))


@dataclass
class Libraries:
    """All libraries of a file."""

    root: Element
    _by_name: dict[str, list[Element]] = field(default_factory=dict)
    _devices: dict[tuple[str, ...], Device | None] = field(default_factory=dict)
    _things: dict[tuple[int, str], dict[str, Element]] = field(default_factory=dict)

    def __post_init__(self) -> None:
        for library in self.root.all("libraries", "library"):
            self._by_name.setdefault(library.get("name"), []).append(library)

    def _find(self, owner: Element, lists: str, tag: str, name: str) -> tuple[Element, Element] | None:
        """A library and the thing in it; two libraries of one name are told apart by their addresses."""
        same = self._by_name.get(owner.get("library"), [])
        urn = owner.get("library_urn")
        for library in sorted(same, key=lambda found: found.get("urn") != urn):
            thing = self._named(library, lists, tag).get(name)
            if thing is not None:
                return library, thing
        return None

    def _named(self, library: Element, lists: str, tag: str) -> dict[str, Element]:
        """Name -> the first thing of that name; libraries hold thousands, and each part asks."""
        key = id(library), lists
        if key not in self._things:
            found = self._things[key] = {}
            for thing in library.all(lists, tag):
                found.setdefault(thing.get("name"), thing)
        return self._things[key]

    def device(self, part: Element) -> Device | None:
        """What a ``<part>`` is; None when the file does not hold it."""
        key = tuple(part.get(a) for a in ("library", "library_urn", "deviceset", "device", "technology"))
        if key not in self._devices:
            self._devices[key] = self._device(part)
        return self._devices[key]

    def _device(self, part: Element) -> Device | None:
        found = self._find(part, "devicesets", "deviceset", part.get("deviceset"))
        if found is None:
            return None
        library, deviceset = found
        wanted = part.get("device")
        device = next((d for d in deviceset.all("devices", "device") if d.get("name") == wanted), None)
        if device is None:
            return None
        pads: dict[tuple[str, str], list[str]] = {}
        for connect in device.all("connects", "connect"):
            pads.setdefault((connect.get("gate"), connect.get("pin")), []).extend(connect.get("pad").split())
        gates: dict[str, dict[str, GatePin]] = {}
        for gate in deviceset.all("gates", "gate"):
            symbol = self._named(library, "symbols", "symbol").get(gate.get("symbol"))
            name = gate.get("name")
            gates[name] = {
                pin.get("name"): GatePin(
                    pin.get("name"), pin.get("direction", "io"), tuple(pads.get((name, pin.get("name")), ()))
                )
                for pin in (symbol.all("pin") if symbol is not None else ())
            }
        technology = part.get("technology")
        attributes = {
            attribute.get("name").lower(): attribute.get("value")
            for entry in device.all("technologies", "technology")
            if entry.get("name") == technology
            for attribute in entry.all("attribute")
        }
        made = deviceset.get("name")
        symbol_name = made.replace("*", technology).replace("?", "")
        value = _filled(made, technology, wanted) if deviceset.get("uservalue") != "yes" else ""
        return Device(gates, device.get("package"), symbol_name, library.get("name"), value, attributes)

    def pads(self, element: Element) -> tuple[Element, ...] | None:
        """Pads of the package of a board's ``<element>``; None when the file does not hold it."""
        found = self._find(element, "packages", "package", element.get("package"))
        if found is None:
            return None
        return tuple(pad for pad in found[1].children if pad.tag in ("pad", "smd"))


def _filled(name: str, technology: str, variant: str) -> str:
    """``74*00`` with technology LS and variant N is 74LS00N; without marks both are put at the end."""
    name = name.replace("*", technology) if "*" in name else name + technology
    return name.replace("?", variant) if "?" in name else name + variant


def shown_name(name: str) -> str:
    """A pin's name as people see it: nothing after ``@``, and ``!RD`` (a bar over RD) as ``~{RD}``.

    >>> [shown_name(n) for n in ("GND@2", "!RD", "R/!W", "!CE!/A", "A0", "@1", "!")]
    ['GND', '~{RD}', 'R/~{W}', '~{CE}/A', 'A0', '@1', '!']
    """
    name = name.split("@")[0] or name
    pieces = name.split("!")
    # A bar begins at one mark and ends at the next, or at the end.
    barred = [f"~{{{piece}}}" if i % 2 and piece else piece for i, piece in enumerate(pieces)]
    return "".join(barred) or name
