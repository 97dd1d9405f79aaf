"""Eagle's XML: a board, or a schematic on two sheets, or one whose parts lie in a module.

Two schematics and two boards so written were held against ``eagle-9.2.2.dtd`` (PyPI source package Swoop 0.6.5).
"""

from __future__ import annotations

from xml.sax.saxutils import quoteattr

from tracer.netlist.board import Netlist, Part, PinRef

__all__ = ["write_board", "write_schematic"]

_KINDS = {
    "input": "in",
    "output": "out",
    "bidirectional": "io",
    "open_collector": "oc",
    "passive": "pas",
    "tri_state": "hiz",
    "power_in": "in",
}
_HEAD = [
    '<?xml version="1.0" encoding="utf-8"?>',
    '<!DOCTYPE eagle SYSTEM "eagle.dtd">',
    '<eagle version="9.2.2">',
    "<drawing>",
    '<layers><layer number="91" name="Nets" color="2" fill="1"/></layers>',
]
_PLACE = 'x="0" y="0"'


def write_board(netlist: Netlist) -> str:
    """The text of a board: pads on no net have no signal."""
    lines = [*_HEAD, "<board>", "<libraries>", '<library name="lib">', "<packages>"]
    for i, part in enumerate(netlist.parts):
        lines.append(_package(i, part, netlist))
    lines += ["</packages>", "</library>", "</libraries>", "<elements>"]
    for i, part in enumerate(netlist.parts):
        fitted = "" if part.fitted else ' populate="no"'
        name, value = quoteattr(part.reference), quoteattr(part.marking)
        place = _element_place(part)
        lines.append(f'<element name={name} library="lib" package="P{i}" value={value} {place}{fitted}/>')
    lines += ["</elements>", "<signals>"]
    for net in netlist.nets:
        contacts = "".join(
            f"<contactref element={quoteattr(p.part)} pad={quoteattr(p.pin)}/>" for p in net.pins
        )
        lines.append(f"<signal name={quoteattr(net.name)}>{contacts}</signal>")
    return "\n".join([*lines, "</signals>", "</board>", "</drawing>", "</eagle>", ""])


def write_schematic(netlist: Netlist, *, module: bool = False) -> str:
    """The text of a schematic: two gates a part, a net's pins on two sheets by turns.

    With `module` all parts lie in a module used once, as ``M`` with offset 100, and each net has a port.
    """
    lines = [*_HEAD, "<schematic>", "<libraries>", '<library name="lib">', "<packages>"]
    lines += [_package(i, part, netlist) for i, part in enumerate(netlist.parts)]
    lines += ["</packages>", "<symbols>"]
    for i, part in enumerate(netlist.parts):
        lines += _symbols(i, part, netlist)
    lines += ["</symbols>", "<devicesets>"]
    for i, part in enumerate(netlist.parts):
        lines.append(_device(i, part, netlist))
    lines += ["</devicesets>", "</library>", "</libraries>"]
    body = [
        *_parts(netlist),
        "<sheets>",
        *_sheet(netlist, 0, module),
        *_sheet(netlist, 1, module),
        "</sheets>",
    ]
    if module:
        ports = "".join(f'<port name="P{i}" side="0" coord="0"/>' for i in range(len(netlist.nets)))
        body = [
            f'<modules><module name="MOD" dx="1" dy="1"><ports>{ports}</ports>',
            *body,
            "</module></modules>",
            "<sheets><sheet>",
            f'<moduleinsts><moduleinst name="M" module="MOD" offset="100" {_PLACE}/></moduleinsts>',
            "<nets>",
            *(
                f'<net name={quoteattr(net.name)}><segment><portref moduleinst="M" port="P{i}"/></segment></net>'
                for i, net in enumerate(netlist.nets)
            ),
            "</nets></sheet></sheets>",
        ]
    return "\n".join([*lines, *body, "</schematic>", "</drawing>", "</eagle>", ""])


def _element_place(part: Part) -> str:
    """Every part turned by a quarter, counter-clockwise, and those below mirrored after that."""
    if part.spot is None:
        return _PLACE
    first = part.spot.pads[0]
    return f'x="{first.x:.4f}" y="{-first.y:.4f}" rot="{"M" if part.spot.is_below else ""}R90"'


def _pad_place(part: Part, number: str) -> str:
    """The same undone: mirrored back, then a quarter clockwise; y is up."""
    pads = {pad.pin: pad for pad in part.spot.pads} if part.spot is not None else {}
    if part.spot is None or number not in pads:
        return _PLACE
    x, y = pads[number].x - part.spot.pads[0].x, part.spot.pads[0].y - pads[number].y
    x = -x if part.spot.is_below else x
    return f'x="{y:.4f}" y="{-x:.4f}"'


def _numbers(part: Part, netlist: Netlist) -> tuple[str, ...]:
    return netlist.pins_of_parts[part.reference]


def _package(index: int, part: Part, netlist: Netlist) -> str:
    pads = "".join(
        f'<pad name={quoteattr(n)} {_pad_place(part, n)} drill="0.8"/>' for n in _numbers(part, netlist)
    )
    return f'<package name="P{index}">{pads}</package>'


def _pin_name(part: Part, number: str) -> str:
    """Equal names are told apart behind an @."""
    known = {pin.number: pin for pin in part.pins}
    return f"{known[number].name if number in known else ''}@{number}"


def _gate(part: Part, netlist: Netlist, number: str) -> str:
    return "AB"[_numbers(part, netlist).index(number) % 2]


def _symbols(index: int, part: Part, netlist: Netlist) -> list[str]:
    known = {pin.number: pin for pin in part.pins}
    lines = []
    for gate in "AB":
        pins = "".join(
            f"<pin name={quoteattr(_pin_name(part, n))} {_PLACE}"
            f' direction="{_KINDS.get(known[n].kind, "io") if n in known else "io"}"/>'
            for n in _numbers(part, netlist)
            if _gate(part, netlist, n) == gate
        )
        lines.append(f'<symbol name="S{index}{gate}">{pins}</symbol>')
    return lines


def _device(index: int, part: Part, netlist: Netlist) -> str:
    connects = "".join(
        f'<connect gate="{_gate(part, netlist, n)}" pin={quoteattr(_pin_name(part, n))} pad={quoteattr(n)}/>'
        for n in _numbers(part, netlist)
    )
    gates = "".join(f'<gate name="{gate}" symbol="S{index}{gate}" {_PLACE}/>' for gate in "AB")
    return (
        f'<deviceset name="D{index}" uservalue="yes"><gates>{gates}</gates><devices><device name="" package="P{index}">'
        f'<connects>{connects}</connects><technologies><technology name=""/></technologies></device></devices>'
        "</deviceset>"
    )


def _parts(netlist: Netlist) -> list[str]:
    lines = ["<parts>"]
    for i, part in enumerate(netlist.parts):
        value = f" value={quoteattr(part.marking)}" if part.marking else ""
        place = f'<attribute name="PLACE" value={quoteattr(part.place)}/>' if part.place else ""
        name = quoteattr(part.reference)
        lines.append(f'<part name={name} library="lib" deviceset="D{i}" device=""{value}>{place}</part>')
    return [*lines, "</parts>"]


def _sheet(netlist: Netlist, sheet: int, module: bool) -> list[str]:
    lines = ["<sheet>", "<instances>"]
    for part in netlist.parts:
        lines.append(f'<instance part={quoteattr(part.reference)} gate="{"AB"[sheet]}" {_PLACE}/>')
    lines += ["</instances>", "<busses/>", "<nets>"]
    for i, net in enumerate(netlist.nets):
        pins = [pin for pin in net.pins if _at_sheet(pin, netlist) == sheet]
        if pins or sheet == 0:
            name = f"P{i}" if module else net.name
            lines.append(f"<net name={quoteattr(name)}>{''.join(_pinref(p, netlist) for p in pins)}</net>")
    return [*lines, "</nets>", "</sheet>"]


def _at_sheet(pin: PinRef, netlist: Netlist) -> int:
    return netlist.pins_of_parts[pin.part].index(pin.pin) % 2


def _pinref(pin: PinRef, netlist: Netlist) -> str:
    """Each pin is a segment of its own: only the net's name joins them."""
    part = netlist.by_reference[pin.part]
    gate, name = _gate(part, netlist, pin.pin), _pin_name(part, pin.pin)
    return f'<segment><pinref part={quoteattr(pin.part)} gate="{gate}" pin={quoteattr(name)}/></segment>'
