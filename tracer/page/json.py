"""What the page's script needs, as one JSON text that is safe inside a script element."""

from __future__ import annotations

import json
from collections.abc import Sequence
from typing import Any

from tracer.base.text import clean, leg
from tracer.bitmap.text import resistors_text, source_text, when_text
from tracer.page.diagnosis import diagnosis_value
from tracer.page.items import Items, net_text
from tracer.page.paths import PagePath, as_spans
from tracer.page.text import unknown_text
from tracer.page.values import BoardPage, FaultAt, MovedIndex

__all__ = ["PRIMARIES", "page_as_json"]

PRIMARIES = ("red", "green", "blue")


def page_as_json(page: BoardPage, items: Items) -> str:
    """Paths, items, levels and faults; short names, as they stand here for every leg.

    ``items`` are told by their place: k kind, n name, s the short one, w words to search, p paths, t what to tell, o
    the part and net of a leg, e the name of a leg or part alone where it is not the first word of the
    short one. ``paths``: b bit's item, r role, l legs' items, f whether the first leg is the source, s
    the source in words, e end, u condition, x why it stops. ``faults``: i item, k what is tried (a place in ``tried``), f its
    number in the diagnosis, c colours (c index, v place in volts, b bits as [bit, level, let go, why]), a the entry that
    comes instead (h lines held, j lines joined, n lines, m for each colour the bits that come from it).
    ``drawn``: part -> whether in two rows, and its legs with their names. ``others``: parts beside the path, each with what
    it is, its place, why it is not in it, and its legs with their nets.
    """
    tried = list(dict.fromkeys(clean(fault.words) for fault in page.faults))
    value = {
        "paths": [_path(path, items) for path in items.paths],
        "items": [
            {
                "k": i.kind,
                "n": i.name,
                "s": i.short,
                "w": i.words.lower(),
                "p": as_spans(i.paths),
                "t": i.says,
                "o": [],
            }
            for i in items.all
        ],
        "colours": _colours(page),
        "tried": tried,
        "faults": [_fault(fault, items, tried) for fault in page.faults],
        "volts": [[round(v, 4) for v in row] for row in page.volts],
        "palette": _palette(page),
        "pins": [f"{c.pin.part}.{c.pin.pin}" if c.pin.part else c.pin.net for c in page.bit_map.colours],
        "asked": [clean(c.name) for c in page.bit_map.colours if c.bits],
        "drawn": {
            clean(d.part): [int(d.is_dip), [[clean(n), clean(name)] for n, name, _ in d.legs]]
            for d in page.drawn
        },
        "others": [
            [
                clean(o.part),
                clean(o.what),
                clean(o.place or ""),
                clean(o.why),
                [[clean(p), net_text(n)] for p, n in o.legs],
            ]
            for o in page.others
        ],
        "diagnosis": None if page.tables is None else diagnosis_value(page.tables),
    }
    for key, number in _legs(items):
        part, net = items.get("part", key[0]), items.get("net", items.net_of.get(key, ""))
        name = clean(".".join(key))
        if items.all[number].short.split(" ")[0] != name:
            value["items"][number]["e"] = name  # type: ignore[index]
        value["items"][number]["o"] = [part.number if part else None, net.number if net else None]  # type: ignore[index]
    for reference, item in items.parts():
        if item.short.split(" ")[0] != clean(reference):
            value["items"][item.number]["e"] = clean(reference)  # type: ignore[index]
    text = json.dumps(value, ensure_ascii=True, separators=(",", ":"))
    # No name can close the element or open a comment in it.
    return text.replace("<", "\\u003c").replace(">", "\\u003e").replace("&", "\\u0026")


def _legs(items: Items) -> list[tuple[tuple[str, str], int]]:
    return [((part, pin), item.number) for (part, pin), item in items.legs()]


def _path(path: PagePath, items: Items) -> dict[str, Any]:
    colour = items.map.colours[path.colour]
    bit = next(b for b in colour.bits if b.bit == path.bit)
    pin = colour.pin
    end = leg(pin.part, pin.pin or "", pin.name) if pin.part else f"net {pin.net}"
    own = items.get("bit", colour.name, str(path.bit))
    legs = [items.get("leg", *key) for key in path.legs]
    return {
        "b": own.number if own else None,
        "r": path.role,
        "l": [item.number for item in legs if item],
        "f": bool(path.source and path.source.part and path.source.pin),
        "s": clean(source_text(path.source)) if path.source else "nothing",
        "e": clean(f"{resistors_text(bit)} to {end}" if bit.resistors else end),
        "u": clean(when_text(path.when)),
        "x": clean(path.because or ""),
    }


def _colours(page: BoardPage) -> list[dict[str, Any]]:
    found = []
    for colour in page.bit_map.colours:
        levels = page.levels.of(colour.name)
        known = levels.at(page.load_ohm) if levels else None
        why = [f.text for f in page.levels.findings if f.code == "levels-unknown" and colour.name in f.where]
        shown = known is not None and len(known.volts) <= 256
        found.append(
            {
                "n": clean(colour.name),
                "rgb": PRIMARIES.index(colour.name) if colour.name in PRIMARIES else None,
                "bits": len(colour.bits),
                "volts": [round(v, 4) for v in known.volts] if known and shown else None,
                "why": clean("; ".join(why))
                or ("" if shown else "more than 8 bits are not shown step by step"),
            }
        )
    return found


def _fault(fault: FaultAt, items: Items, tried: Sequence[str]) -> dict[str, Any]:
    item = items.get("leg", fault.part, fault.pin) if fault.pin else items.get("part", fault.part)
    names = [c.name for c in items.map.colours]
    return {
        "i": item.number if item else None,
        "k": tried.index(clean(fault.words)),
        "f": fault.fault,
        **({"a": _moved(fault.moved, names)} if fault.moved else {}),
        "c": [
            {
                "c": names.index(c.colour),
                "v": c.volts,
                "b": [[b.bit, b.level, int(b.let_go), clean(unknown_text(b.unknown))] for b in c.bits],
            }
            for c in fault.colours
        ],
    }


def _moved(moved: MovedIndex, names: list[str]) -> dict[str, Any]:
    masks = [sum(1 << bit for colour, bit in moved.bits if colour == name) for name in names]
    return {"h": moved.held, "j": moved.joined, "n": moved.n_lines, "m": masks}


def _palette(page: BoardPage) -> dict[str, Any] | None:
    if page.palette is None:
        return None
    names = [c.name for c in page.bit_map.colours]
    return {
        "colours": [names.index(c.name) if c.name in names else None for c in page.palette.colours],
        "codes": [list(e.codes) for e in page.palette.entries],
    }
