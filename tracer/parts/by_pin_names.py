"""What the pin names in a drawing say of a part that the library does not list.

Address, data and control names make a memory; outputs and inputs that pair by
letter and number (``Q3``, ``D3``; ``4Y``, ``4A``) make a register or a buffer.
Such a reading is always said, as a drawing's names can be anything.

Pin types in drawings lie (outputs typed input, passive or bidirectional), so
names go before types. Common practice, no source.
"""

from __future__ import annotations

import re
from dataclasses import replace
from functools import lru_cache

from tracer.base.names import bare_name, is_active_low, natural_key, readable_name
from tracer.netlist.board import Pin
from tracer.parts.kinds import Kind
from tracer.parts.model import Arc, Direction, PartType, PinType
from tracer.parts.two_sided import queue_from_names, two_ports

__all__ = ["drawn_pins", "processor_pins", "type_from_names"]

_KICAD_DIRECTIONS: dict[str, Direction] = {
    "input": "in",
    "output": "out",
    "tri_state": "three_state",
    "bidirectional": "bidirectional",
    "open_collector": "open_collector",
    "open_emitter": "open_emitter",
    "power_in": "power",
    "power_out": "power",
    "no_connect": "nc",
}

_GROUND = re.compile(r"(?:[ADP]?GND|VSS|GROUND|0V|V-)[A-Z]?\d*|GND_.*")
_SUPPLY = re.compile(
    r"(?:[ADP]?VCC|[ADP]?VDD|VPP|VBB|VEE|V\+|\+?\d+V\d?|VREF|VCCIO|VCCINT|VDDA|VCC_.*)[A-Z]?\d*"
)
_NOT_CONNECTED = re.compile(r"N\.?C\.?\d*")
_ADDRESS = re.compile(r"A(\d{1,2})(?:/.*)?|ADR?(\d{1,2})|ADDR?(\d{1,2})")
_DATA = re.compile(r"(?:D|DQ|IO|I/O|Q|O|DO|DOUT|DATA|DIO|Y)(\d{1,2})(?:/.*)?")
_DATA_IN = re.compile(r"(?:DI|DIN|I)(\d{1,2})|DIN?|D")
_DATA_OUT = re.compile(r"DOUT|DO|Q")
_WRITE = re.compile(r"WE|W|WR|R/W|WRITE|WEN|LWE|UWE|WE[LH]|WE/PGM|PGM/WE")
_SELECT = re.compile(r"(?:CE|CS|OE|E|G|S|RD|OD|RAS|CAS|UCAS|LCAS|CE/PGM|OE/VPP|OE/RFSH)\d?")
_PROGRAM = re.compile(r"PGM|P|VPP/PGM|RY/BY|RDY/BSY|RDY|RESET|RST|BYTE|WP|HOLD")
_CONTROL_ROLES: tuple[tuple[re.Pattern[str], str], ...] = (
    (re.compile(r"\d?(?:CLK|CK|CP|CLOCK|CLKA|CPA|C)\d?"), "clock"),
    (re.compile(r"\d?(?:CLR|CL|MR|RESET|RST|R)\d?"), "clear"),
    (re.compile(r"\d?(?:PRE|SET|SD)\d?"), "preset"),
    (re.compile(r"\d?(?:LE|LOAD|LD|PE|PL|SH/LD|S/L)\d?"), "load"),
    (re.compile(r"\d?(?:OE|G|EN|OEAB|OEBA|OC|E|CE)[AB\d]?"), "enable"),
    (re.compile(r"\d?(?:DIR|T/R|SAB|SBA)\d?"), "direction"),
    (re.compile(r"(?:SEL|S|A/B)\d?"), "select"),
)
_PAIR_NAME = re.compile(r"(\d*)([A-Z]+?)(\d*)")
_OUTPUT_LETTERS = ("Q", "Y", "O", "QN", "OUT")
_INPUT_LETTERS = ("D", "A", "I", "IN")

#: Fewer address pins than this make no memory (the smallest palette memory has four).
_FEWEST_ADDRESSES = 4


# Equal chips have equal pins.
@lru_cache(maxsize=1 << 12)
def drawn_pins(pins: tuple[Pin, ...], numbers: tuple[str, ...]) -> tuple[PinType, ...]:
    """The drawn pins as pin types, with those that only stand on a net added without a name."""
    known = {pin.number: pin for pin in pins}
    found = []
    for number in sorted({*known, *numbers}, key=natural_key):
        pin = known.get(number) or Pin(number)
        name = readable_name(pin.name) if pin.name != "~" else ""
        bare = bare_name(pin.name)
        direction = _KICAD_DIRECTIONS.get(pin.kind, "passive")
        role = "signal"
        if _GROUND.fullmatch(bare):
            direction, role = "power", "ground"
        elif _SUPPLY.fullmatch(bare) and direction not in ("in", "out", "three_state", "bidirectional"):
            direction, role = "power", "supply"
        elif direction == "power":
            role = "supply"
        elif direction == "nc" or _NOT_CONNECTED.fullmatch(bare):
            direction, role = "nc", "nc"
        found.append(PinType(number, name, direction, role))
    return tuple(found)


def processor_pins(drawn: tuple[PinType, ...]) -> tuple[PinType, ...]:
    """A processor's pins, with the directions that its buses have where the drawing gives none."""
    found = []
    for pin in drawn:
        bare = bare_name(pin.name)
        if pin.direction == "passive" and _ADDRESS.fullmatch(bare):
            pin = replace(pin, direction="out")
        elif pin.direction == "passive" and re.fullmatch(r"A?D\d{1,2}|P[A-Z]?\d{1,2}", bare):
            pin = replace(pin, direction="bidirectional")
        found.append(pin)
    return tuple(found)


def type_from_names(name: str, what: str, kind: Kind | None, drawn: tuple[PinType, ...]) -> PartType | None:
    """A type made of the drawn names, or None when they do not make one.

    Parameters
    ----------
    name, what : str
        Of the type to be made.
    kind : Kind or None
        What it is known to be; None when nothing is known.
    drawn : tuple of PinType
        From `drawn_pins`.
    """
    if kind is None or kind.stores:
        memory = (
            _memory(name, what, kind, drawn)
            or two_ports(drawn, lambda legs: _memory(name, what, kind or Kind.RAM, legs))
            or queue_from_names(name, what, drawn)
        )
        if memory is not None:
            return memory
    if kind is None or kind.passes:
        return _pairs(name, what, kind, drawn)
    return None


def _memory(name: str, what: str, kind: Kind | None, drawn: tuple[PinType, ...]) -> PartType | None:
    addresses = [p for p in drawn if _ADDRESS.fullmatch(bare_name(p.name))]
    outputs = [p for p in drawn if _DATA.fullmatch(bare_name(p.name)) and p.direction not in ("power", "nc")]
    inputs: list[PinType] = []
    if not outputs:
        outputs = [p for p in drawn if _DATA_OUT.fullmatch(bare_name(p.name))]
        inputs = [p for p in drawn if _DATA_IN.fullmatch(bare_name(p.name)) and p not in outputs]
    write = [p for p in drawn if _WRITE.fullmatch(bare_name(p.name))]
    selects = [p for p in drawn if _SELECT.fullmatch(bare_name(p.name)) and p not in outputs]
    if len(addresses) < _FEWEST_ADDRESSES or not outputs or not (write or selects):
        return None
    known = {p.number for p in (*addresses, *outputs, *inputs, *write, *selects)}
    strange = [
        p
        for p in drawn
        if p.number not in known
        and p.direction not in ("power", "nc")
        and p.name
        and not _PROGRAM.fullmatch(bare_name(p.name))
    ]
    # A processor has address and data pins too, and much else.
    if len(strange) > 2:
        return None
    flash = re.search(r"2[789][CFE]|39SF|29F|28F|EPROM|FLASH|27\d\d|M27|27C", name.upper())
    kind = kind or (Kind.EPROM if flash or not write else Kind.RAM)
    writable = bool(write) and kind == Kind.RAM
    roles: dict[str, tuple[Direction, str]] = {p.number: ("in", "address") for p in addresses}
    for pin in outputs:
        roles[pin.number] = (
            ("bidirectional", "data_io") if writable and not inputs else ("three_state", "data_out")
        )
    roles.update({p.number: ("in", "data_in") for p in inputs})
    roles.update({p.number: ("in", "write_enable") for p in write})
    roles.update({p.number: ("in", "enable") for p in selects})
    arcs = [Arc("address", a.number, o.number) for o in outputs for a in addresses]
    arcs += [
        Arc("control", c.number, o.number, role=roles[c.number][1])
        for o in outputs
        for c in (*selects, *write)
    ]
    pins = tuple(
        PinType(p.number, p.name, *roles[p.number]) if p.number in roles else p
        for p in drawn
    )  # fmt: skip
    return PartType(
        name, what or f"read as a {kind} by its pin names", kind, pins, tuple(arcs), "the drawing's pin names"
    )


def _pairs(name: str, what: str, kind: Kind | None, drawn: tuple[PinType, ...]) -> PartType | None:
    """A register, latch or buffer whose outputs and inputs pair by name."""
    named: dict[tuple[str, str], PinType] = {}
    for pin in drawn:
        match = _PAIR_NAME.fullmatch(bare_name(pin.name))
        if match and pin.direction not in ("power", "nc"):
            named[match[1] + "." + match[3], match[2]] = pin
    controls: list[tuple[PinType, str]] = []
    for pin in drawn:
        for pattern, role in _CONTROL_ROLES:
            if pin.name and pin.direction not in ("power", "nc") and pattern.fullmatch(bare_name(pin.name)):
                controls.append((pin, role))
                break
    roles: dict[str, tuple[Direction, str]] = {p.number: ("in", role) for p, role in controls}
    arcs: list[Arc] = _two_way(named, controls, roles) if kind in (None, Kind.TRANSCEIVER) else []
    for (index, letters), output in named.items() if not arcs else ():
        if letters not in _OUTPUT_LETTERS or index == ".":
            continue
        source = next((named[index, i] for i in _INPUT_LETTERS if (index, i) in named), None)
        if source is None or source.direction in ("out", "three_state"):
            continue
        inverted = is_active_low(output.name) != is_active_low(source.name)
        arcs.append(Arc("data", source.number, output.number, inverted))
        roles[output.number] = ("three_state" if output.direction == "three_state" else "out", "data_out")
        roles[source.number] = ("in", "data_in")
    if len(arcs) < 2:
        return None
    clocked = any(role in ("clock", "load") for _, role in controls)
    two_way = any(direction == "bidirectional" for direction, _ in roles.values())
    kind = kind or (Kind.TRANSCEIVER if two_way else Kind.REGISTER if clocked else Kind.BUFFER)
    arcs += [Arc("control", p.number, arc.target, role=role) for arc in list(arcs) for p, role in controls]
    pins = tuple(PinType(p.number, p.name, *roles[p.number]) if p.number in roles else p for p in drawn)
    return PartType(
        name, what or f"read as a {kind} by its pin names", kind, pins, tuple(arcs), "the drawing's pin names"
    )


def _two_way(
    named: dict[tuple[str, str], PinType],
    controls: list[tuple[PinType, str]],
    roles: dict[str, tuple[Direction, str]],
) -> list[Arc]:
    """Both ways between A1 and B1 and so on: a transceiver or level shifter, its direction by DIR where it has one."""
    turn = next((p.number for p, role in controls if role == "direction"), None)
    if turn is None and not any(role == "enable" for _, role in controls):
        return []
    arcs: list[Arc] = []
    for (index, letters), a in named.items():
        b = named.get((index, "B"))
        if letters != "A" or b is None or index == ".":
            continue
        arcs.append(Arc("data", a.number, b.number, when=((turn, 1),) if turn else ()))
        arcs.append(Arc("data", b.number, a.number, when=((turn, 0),) if turn else ()))
        roles[a.number] = roles[b.number] = ("bidirectional", "data_io")
    return arcs
