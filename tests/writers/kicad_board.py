"""KiCad boards as KiCad 5, 6 and 9 write them, and without net numbers as later ones do (the last from memory)."""

from __future__ import annotations

from tracer.netlist.board import Netlist, Part, PinRef

__all__ = ["write"]


def write(netlist: Netlist, version: int = 9) -> str:
    """The text; 5, 6, 9 or 10. KiCad 5 carries no pin names. A pin on no net has a pad without a net."""
    numbers = {net.name: code for code, net in enumerate(netlist.nets, 1)}
    dates = {5: "20171130", 6: "20211014", 9: "20241229", 10: "20260101"}
    lines = [f"(kicad_pcb (version {dates[version]}) (generator pcbnew)", "  (general (thickness 1.6))"]
    if version < 10:
        lines += ['  (net 0 "")', *(f"  (net {code} {_quoted(name)})" for name, code in numbers.items())]
    for part in netlist.parts:
        lines += _footprint(part, netlist, numbers, version)
    lines += ["  (segment (start 1 1) (end 2 2) (width 0.25) (layer F.Cu) (net 1) (tstamp 5A0B))", ")"]
    return "\n".join(lines) + "\n"


def _footprint(part: Part, netlist: Netlist, numbers: dict[str, int], version: int) -> list[str]:
    head = "module" if version == 5 else "footprint"
    at, layer = (10.0, 20.0), "F.Cu"
    if part.spot is not None:
        at, layer = (part.spot.pads[0].x, part.spot.pads[0].y), "B.Cu" if part.spot.is_below else "F.Cu"
    pads = {pad.pin: pad for pad in part.spot.pads} if part.spot is not None else {}
    # Every part turned by a quarter, counter-clockwise; its pads stand as they were before.
    turn = " 90" if pads else ""
    lines = [
        f"  ({head} {_quoted(part.footprint)} (layer {layer}) (tstamp 5A0A) (at {at[0]:.4f} {at[1]:.4f}{turn})"
    ]
    for kind, text in (("Reference", part.reference), ("Value", part.marking), ("Place", part.place)):
        if version < 8 and kind != "Place":
            lines.append(f"    (fp_text {kind.lower()} {_quoted(text)} (at 0 0) (layer F.SilkS))")
        elif text:
            lines.append(f"    (property {_quoted(kind)} {_quoted(text)})")
    lines.append(f"    (attr through_hole{'' if part.fitted else ' dnp'})")
    known = {pin.number: pin for pin in part.pins}
    for number in netlist.pins_of_parts[part.reference]:
        nets = netlist.nets_of_pins.get(PinRef(part.reference, number), ())
        place = f"{at[1] - pads[number].y:.4f} {pads[number].x - at[0]:.4f} 90" if number in pads else "0 0"
        pad = f"    (pad {_quoted(number)} thru_hole circle (at {place}) (size 1.6 1.6) (drill 0.8) (layers *.Cu)"
        if nets:
            pad += (
                f" (net {_quoted(nets[0])})"
                if version > 9
                else f" (net {numbers[nets[0]]} {_quoted(nets[0])})"
            )
        if version > 5 and number in known:
            name = known[number].name + (f"_{number}" if version > 9 and known[number].name else "")
            pad += f" (pinfunction {_quoted(name)}) (pintype {_quoted(known[number].kind)})"
        lines.append(pad + ")")
    return [*lines, '    (pad "" np_thru_hole circle (at 9 9) (size 3 3) (drill 3) (layers *.Cu))', "  )"]


def _quoted(text: str) -> str:
    escaped = text.replace("\\", "\\\\").replace('"', '\\"').replace("\n", "\\n")
    return f'"{escaped}"'
