"""A netlist as KiCad writes it, version E (KiCad 6 and later)."""

from __future__ import annotations

from tracer.export.netlists.netlists import losses
from tracer.netlist.board import Netlist, Part, Pin, PinRef

__all__ = ["lost", "write"]


def lost(netlist: Netlist) -> list[str]:
    """What the form cannot hold."""
    found = losses(netlist, "colour pins", "monitor's load", "pairs without a beep", "lines of evidence")
    stated, shared = set(netlist.nets_of_pins), _shared_pins(netlist)
    bare = sum(
        (part.reference, pin.number) not in stated
        and pin.number not in shared.get((part.library, part.symbol), {})
        for part in netlist.parts
        for pin in part.pins
    )
    return [*found, f"{bare} pins on no net"] if bare else found


def write(netlist: Netlist) -> str:
    """The netlist as text; reading it gives the same parts and nets."""
    lines = [
        '(export (version "E")',
        f"  (design (source {_quoted(netlist.name)}) (tool {_quoted('rgbroots')}))",
        "  (components",
    ]
    lines += [_component(part) for part in netlist.parts]
    lines += ["  )", "  (libparts"]
    lines += _library_parts(netlist)
    lines += ["  )", "  (nets"]
    pins = {(p.reference, q.number): q for p in netlist.parts for q in p.pins}
    for code, net in enumerate(netlist.nets, 1):
        lines.append(f'    (net (code "{code}") (name {_quoted(net.name)})')
        lines += [_node(pin, pins.get((pin.part, pin.pin))) for pin in net.pins]
        lines[-1] += ")"
    return "\n".join(lines) + "))\n"


def _quoted(text: str) -> str:
    return '"' + text.replace("\\", "\\\\").replace('"', '\\"').replace("\n", "\\n") + '"'


def _component(part: Part) -> str:
    words = [f"(comp (ref {_quoted(part.reference)}) (value {_quoted(part.marking or '~')})"]
    if part.footprint:
        words.append(f"(footprint {_quoted(part.footprint)})")
    if part.place:
        words.append(f"(fields (field (name {_quoted('Place')}) {_quoted(part.place)}))")
    if part.symbol:
        words.append(f"(libsource (lib {_quoted(part.library)}) (part {_quoted(part.symbol)}))")
    if not part.fitted:
        words.append(f"(property (name {_quoted('dnp')}))")
    return "    " + " ".join(words) + ")"


def _shared_pins(netlist: Netlist) -> dict[tuple[str, str], dict[str, tuple[str, str]]]:
    """Symbol -> the pins that all parts drawn with it have: a symbol has one list for all."""
    shared: dict[tuple[str, str], dict[str, tuple[str, str]]] = {}
    for part in netlist.parts:
        if part.symbol:
            own = {p.number: (p.name, p.kind) for p in part.pins}
            known = shared.setdefault((part.library, part.symbol), own)
            shared[part.library, part.symbol] = {
                n: facts for n, facts in known.items() if own.get(n) == facts
            }
    return shared


def _library_parts(netlist: Netlist) -> list[str]:
    """The symbols with their pins, so that pins on no net are kept."""
    lines = []
    for (library, symbol), pins in _shared_pins(netlist).items():
        rows = " ".join(
            f"(pin (num {_quoted(number)}) (name {_quoted(name)}) (type {_quoted(kind)}))"
            for number, (name, kind) in pins.items()
        )
        lines.append(f"    (libpart (lib {_quoted(library)}) (part {_quoted(symbol)}) (pins {rows}))")
    return lines


def _node(ref: PinRef, pin: object) -> str:
    words = [f"(node (ref {_quoted(ref.part)}) (pin {_quoted(ref.pin)})"]
    if isinstance(pin, Pin):
        if pin.name:
            # Readers take a trailing "_<pin number>" off, as newer KiCad versions append it.
            own = f"_{pin.number}"
            words.append(f"(pinfunction {_quoted(pin.name + own if pin.name.endswith(own) else pin.name)})")
        if pin.kind:
            words.append(f"(pintype {_quoted(pin.kind)})")
    return "      " + " ".join(words) + ")"
