"""A generated board as a KiCad 9 schematic of many sheets, laid out as that program saves it.

Each slice of the board is a sheet, the colour section is the root. A chip is a box with a wire and a label at each
leg; nets that leave a sheet do so by a hierarchical label and a sheet pin. No chip touches another, so that what is
joined is what has the same label.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterator
from pathlib import Path

from tests.benchmarks.texts import stamp
from tracer.netlist.board import Netlist, Part, PinRef

__all__ = ["write_schematic"]

_SUPPLIES = frozenset({"VCC", "GND"})
_GRID = 2.54
_ROWS = 30
_EFFECTS = "(effects\n{0}\t(font\n{0}\t\t(size 1.27 1.27)\n{0}\t){1}\n{0})"


def write_schematic(netlist: Netlist, folder: Path) -> tuple[Path, int]:
    """Write all sheets into a folder; gives the root's path and the bytes of all files."""
    sheets: dict[str, list[Part]] = defaultdict(list)
    for part in netlist.parts:
        sheets[part.place].append(part)
    home = {part.reference: part.place for part in netlist.parts}
    used = {net.name: {home[pin.part] for pin in net.pins} for net in netlist.nets}
    shared = {name for name, places in used.items() if len(places) > 1 and name not in _SUPPLIES}
    ports = {
        place: [net.name for net in netlist.nets if net.name in shared and place in used[net.name]]
        for place in sheets
    }
    size = 0
    for place, parts in sheets.items():
        name = f"{place or 'root'}.kicad_sch"
        lines = _sheet(netlist, place, parts, ports)
        text = "\n".join(lines) + "\n"
        (folder / name).write_text(text, encoding="utf-8")
        size += len(text.encode())
    return folder / "root.kicad_sch", size


def _sheet(netlist: Netlist, place: str, parts: list[Part], ports: dict[str, list[str]]) -> Iterator[str]:
    yield f'(kicad_sch\n\t(version 20250114)\n\t(generator "eeschema")\n\t(generator_version "9.0")\n\t(uuid "{stamp(place)}")'
    yield '\t(paper "A1")\n\t(lib_symbols'
    for part in {part.symbol: part for part in reversed(parts)}.values():
        yield from _library_symbol(part)
    for name in sorted(_SUPPLIES):
        yield from _supply_symbol(name)
    yield "\t)"
    for number, part in enumerate(parts):
        x, y = 20 + 24 * (number % 8), 20 + (_ROWS + 4) * (number // 8)
        yield from _placed(part, place, x, y)
        for pin, dx, dy, angle in _legs(part):
            net = netlist.net_of(PinRef(part.reference, pin))
            if net in _SUPPLIES:
                yield from _supply(net, place, part.reference, pin, x + dx, y + dy)
            elif net:
                out = x + dx + (-2 if angle == 0 else 2)
                yield from _wire(x + dx, out, y + dy, stamp(part.reference, pin, "wire"))
                kind = "hierarchical_label" if place and net in ports[place] else "label"
                yield from _label(
                    kind, net, out, y + dy, 180 if angle == 0 else 0, stamp(part.reference, pin, kind)
                )
    if not place:
        for number, child in enumerate(p for p in ports if p):
            yield from _block(child, ports[child], 20 + 30 * (number % 8), 320 + 70 * (number // 8))
        yield '\t(sheet_instances\n\t\t(path "/"\n\t\t\t(page "1")\n\t\t)\n\t)'
    yield "\t(embedded_fonts no)\n)"


def _legs(part: Part) -> Iterator[tuple[str, int, int, int]]:
    """Number, place (y downwards, in steps of the grid) and angle of each leg."""
    half = (len(part.pins) + 1) // 2
    for index, pin in enumerate(part.pins):
        yield pin.number, -5 if index < half else 5, index % half, 0 if index < half else 180


def _mm(steps: float) -> str:
    return f"{steps * _GRID:.2f}".rstrip("0").rstrip(".")


def _text(indent: str, more: str = "") -> str:
    return indent + _EFFECTS.format(indent, more)


def _property(name: str, value: str, x: str, y: str, *, hidden: bool, indent: str = "\t\t") -> str:
    shown = f"\n{indent}\t\t(hide yes)" if hidden else ""
    return f'{indent}(property "{name}" "{value}"\n{indent}\t(at {x} {y} 0)\n{_text(indent + chr(9), shown)}\n{indent})'


def _library_symbol(part: Part) -> Iterator[str]:
    name = part.symbol
    yield f'\t\t(symbol "bench:{name}"\n\t\t\t(exclude_from_sim no)\n\t\t\t(in_bom yes)\n\t\t\t(on_board yes)'
    for field, value in (
        ("Reference", part.reference[0]),
        ("Value", name),
        ("Footprint", ""),
        ("Datasheet", ""),
    ):
        yield _property(field, value, "0", "0", hidden=field in ("Footprint", "Datasheet"), indent="\t\t\t")
    rows = (len(part.pins) + 1) // 2
    yield f'\t\t\t(symbol "{name}_0_1"\n\t\t\t\t(rectangle\n\t\t\t\t\t(start {_mm(-4)} {_mm(1)})\n\t\t\t\t\t(end {_mm(4)} {_mm(-rows)})'
    yield "\t\t\t\t\t(stroke\n\t\t\t\t\t\t(width 0.254)\n\t\t\t\t\t\t(type default)\n\t\t\t\t\t)"
    yield "\t\t\t\t\t(fill\n\t\t\t\t\t\t(type background)\n\t\t\t\t\t)\n\t\t\t\t)\n\t\t\t)"
    yield f'\t\t\t(symbol "{name}_1_1"'
    for pin, (number, x, y, angle) in zip(part.pins, _legs(part), strict=True):
        yield from _pin(pin.name or "~", number, pin.kind, x, -y, angle)
    yield "\t\t\t)\n\t\t\t(embedded_fonts no)\n\t\t)"


def _pin(name: str, number: str, kind: str, x: int, y: int, angle: int) -> Iterator[str]:
    tabs = "\t" * 5
    yield f"\t\t\t\t(pin {kind} line\n{tabs}(at {_mm(x)} {_mm(y)} {angle})\n{tabs}(length 2.54)"
    for word, text in (("name", name), ("number", number)):
        yield f'{tabs}({word} "{text}"\n{_text(tabs + chr(9))}\n{tabs})'
    yield "\t\t\t\t)"


def _supply_symbol(name: str) -> Iterator[str]:
    yield f'\t\t(symbol "bench:{name}"\n\t\t\t(power)\n\t\t\t(exclude_from_sim no)\n\t\t\t(in_bom yes)\n\t\t\t(on_board yes)'
    for field, value in (("Reference", "#PWR"), ("Value", name)):
        yield _property(field, value, "0", "0", hidden=field == "Reference", indent="\t\t\t")
    yield f'\t\t\t(symbol "{name}_1_1"'
    yield from _pin("~", "1", "power_in", 0, 0, 90)
    yield "\t\t\t)\n\t\t\t(embedded_fonts no)\n\t\t)"


def _instance(
    symbol: str, place: str, x: int, y: int, key: str, fields: dict[str, str], pins: list[str]
) -> Iterator[str]:
    yield f'\t(symbol\n\t\t(lib_id "bench:{symbol}")\n\t\t(at {_mm(x)} {_mm(y)} 0)\n\t\t(unit 1)\n\t\t(exclude_from_sim no)'
    yield f'\t\t(in_bom yes)\n\t\t(on_board yes)\n\t\t(dnp no)\n\t\t(uuid "{stamp(key)}")'
    for name, value in fields.items():
        yield _property(name, value, _mm(x), _mm(y - 2), hidden=name not in ("Reference", "Value"))
    for pin in pins:
        yield f'\t\t(pin "{pin}"\n\t\t\t(uuid "{stamp(key, pin)}")\n\t\t)'
    path = f"/{stamp('')}" + (f"/{stamp('block', place)}" if place else "")
    yield f'\t\t(instances\n\t\t\t(project "bench"\n\t\t\t\t(path "{path}"'
    yield f'\t\t\t\t\t(reference "{fields["Reference"]}")\n\t\t\t\t\t(unit 1)\n\t\t\t\t)\n\t\t\t)\n\t\t)\n\t)'


def _placed(part: Part, place: str, x: int, y: int) -> Iterator[str]:
    fields = {
        "Reference": part.reference,
        "Value": part.marking,
        "Footprint": part.footprint,
        "Datasheet": "",
    }
    numbers = [pin.number for pin in part.pins]
    return _instance(part.symbol, place, x, y, part.reference, {**fields, "Description": ""}, numbers)


def _supply(net: str | None, place: str, reference: str, pin: str, x: int, y: int) -> Iterator[str]:
    fields = {"Reference": f"#PWR_{reference}_{pin}", "Value": str(net), "Footprint": "", "Datasheet": ""}
    return _instance(str(net), place, x, y, f"power {reference} {pin}", fields, ["1"])


def _wire(x: int, to: int, y: int, key: str) -> Iterator[str]:
    yield f"\t(wire\n\t\t(pts\n\t\t\t(xy {_mm(x)} {_mm(y)}) (xy {_mm(to)} {_mm(y)})\n\t\t)"
    yield f'\t\t(stroke\n\t\t\t(width 0)\n\t\t\t(type default)\n\t\t)\n\t\t(uuid "{key}")\n\t)'


def _name(net: str) -> str:
    """A net's name as a label: without the sheet's."""
    return net.strip("/").replace("/", "_")


def _label(kind: str, net: str, x: int, y: int, angle: int, key: str) -> Iterator[str]:
    shape = "\n\t\t(shape bidirectional)" if kind == "hierarchical_label" else ""
    side = f"\n\t\t\t(justify {'right' if angle == 180 else 'left'})"
    yield f'\t({kind} "{_name(net)}"{shape}\n\t\t(at {_mm(x)} {_mm(y)} {angle})\n{_text(chr(9) * 2, side)}\n\t\t(uuid "{key}")\n\t)'


def _block(child: str, nets: list[str], x: int, y: int) -> Iterator[str]:
    high = len(nets) + 1
    yield f"\t(sheet\n\t\t(at {_mm(x)} {_mm(y)})\n\t\t(size {_mm(12)} {_mm(high)})\n\t\t(exclude_from_sim no)\n\t\t(in_bom yes)"
    yield "\t\t(on_board yes)\n\t\t(dnp no)\n\t\t(stroke\n\t\t\t(width 0.1524)\n\t\t\t(type solid)\n\t\t)"
    yield f'\t\t(fill\n\t\t\t(color 0 0 0 0.0000)\n\t\t)\n\t\t(uuid "{stamp("block", child)}")'
    yield _property("Sheetname", child, _mm(x), _mm(y - 1), hidden=False)
    yield _property("Sheetfile", f"{child}.kicad_sch", _mm(x), _mm(y + high + 1), hidden=False)
    for row, net in enumerate(nets, 1):
        yield f'\t\t(pin "{_name(net)}" bidirectional\n\t\t\t(at {_mm(x)} {_mm(y + row)} 180)\n\t\t\t(uuid "{stamp(child, net)}")'
        yield f"{_text(chr(9) * 3)}\n\t\t)"
    yield f'\t\t(instances\n\t\t\t(project "bench"\n\t\t\t\t(path "/{stamp("")}"\n\t\t\t\t\t(page "{child}")\n\t\t\t\t)\n\t\t\t)\n\t\t)\n\t)'
    for row, net in enumerate(nets, 1):
        yield from _label("label", net, x, y + row, 180, stamp(child, net, "label"))
