"""KiCad's netlist as XML."""

from __future__ import annotations

from xml.sax.saxutils import escape, quoteattr

from tracer.netlist.board import Netlist

__all__ = ["write"]


def write(netlist: Netlist) -> str:
    """The text; symbols' pins stand with the nets."""
    pins = {(part.reference, pin.number): pin for part in netlist.parts for pin in part.pins}
    lines = ['<?xml version="1.0" encoding="UTF-8"?>', '<export version="E">', "  <components>"]
    for part in netlist.parts:
        lines += [
            f"    <comp ref={quoteattr(part.reference)}>",
            f"      <value>{escape(part.marking) or '~'}</value>",
            f"      <footprint>{escape(part.footprint)}</footprint>" if part.footprint else "",
            f'      <libsource lib={quoteattr(part.library)} part={quoteattr(part.symbol)} description=""/>',
            "    </comp>",
        ]
    lines += ["  </components>", "  <nets>"]
    for code, net in enumerate(netlist.nets, 1):
        lines.append(f'    <net code="{code}" name={quoteattr(net.name)}>')
        for ref in net.pins:
            pin = pins.get(ref)
            facts = f" pinfunction={quoteattr(pin.name)} pintype={quoteattr(pin.kind)}" if pin else ""
            lines.append(f"      <node ref={quoteattr(ref.part)} pin={quoteattr(ref.pin)}{facts}/>")
        lines.append("    </net>")
    return "\n".join([*(line for line in lines if line), "  </nets>", "</export>", ""])
