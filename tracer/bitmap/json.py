"""The map as JSON, format ``rgbroots-map``, version 1.

Keys stand in the order of the format's description, lists in the order of the
map, there are no timestamps: the same board gives the same bytes. The JSON
Schema (2020-12) lies beside this module as ``map.schema.json``.
"""

from __future__ import annotations

import json
from typing import Any

from tracer.bitmap.model import MAP_FORMAT, MAP_VERSION, Bit, BitMap, Colour, Path, Source, Step

__all__ = ["emit", "map_as_dict"]

#: Decimals of a weight: finer than any resistor's tolerance.
WEIGHT_DECIMALS = 6


def emit(bit_map: BitMap) -> str:
    """The map as JSON text."""
    return json.dumps(map_as_dict(bit_map), indent=2, ensure_ascii=False) + "\n"


def map_as_dict(bit_map: BitMap) -> dict[str, Any]:
    """The map as plain dicts and lists."""
    return {
        "format": MAP_FORMAT,
        "version": MAP_VERSION,
        "board": {
            "name": bit_map.name,
            "inputs": [{"file": i.file, "format": i.format, "sha256": i.sha256} for i in bit_map.inputs],
            "parts": bit_map.n_parts,
            "nets": bit_map.n_nets,
        },
        "load_ohm": _number(bit_map.load_ohm),
        "colours": {colour.name: _colour(colour) for colour in bit_map.colours},
        "chips": [
            {
                "part": chip.part,
                "type": chip.type,
                "place": chip.place,
                "does": chip.does,
                "feeds": {colour: list(bits) for colour, bits in chip.feeds},
            }
            for chip in bit_map.chips
        ],
        "index": [
            {
                "part": memory.part,
                "lines": [
                    {"pin": x.pin, "name": x.name, "net": x.net, "driven_by": x.driven_by}
                    for x in memory.lines
                ],
            }
            for memory in bit_map.index
        ],
        "colours_possible": bit_map.colours_possible,
        "colours_at_once": bit_map.colours_at_once,
        "findings": [
            {"severity": f.severity, "where": list(f.where), "text": f.text} for f in bit_map.findings
        ],
    }


def _number(value: float | None) -> float | int | None:
    """Whole numbers without a decimal point."""
    if value is None:
        return None
    return int(value) if value == int(value) else value


def _colour(colour: Colour) -> dict[str, Any]:
    pin = colour.pin
    return {
        "pin": {"part": pin.part, "pin": pin.pin, "name": pin.name, "net": pin.net, "found_by": pin.found_by},
        "levels": colour.levels,
        "bits": [_bit(bit) for bit in colour.bits],
    }


def _bit(bit: Bit) -> dict[str, Any]:
    driver = bit.driver
    return {
        "bit": bit.bit,
        "weight": round(bit.weight, WEIGHT_DECIMALS),
        "resistors": [{"part": r.part, "ohm": _number(r.ohm)} for r in bit.resistors],
        "driver": {"part": driver.part, "type": driver.type, "pin": driver.pin, "name": driver.name},
        "status": "traced" if bit.is_traced else "stopped",
        "because": bit.because,
        "paths": [_path(path) for path in bit.paths],
    }


def _path(path: Path) -> dict[str, Any]:
    return {
        "role": path.role,
        "when": [{"part": w.part, "pin": w.pin, "name": w.name, "level": w.level} for w in path.when],
        "steps": [_step(step) for step in path.steps],
        "source": _source(path.source),
    }


def _step(step: Step) -> dict[str, Any]:
    return {
        "part": step.part,
        "type": step.type,
        "from": step.source_pin,
        "to": step.target_pin,
        "how": step.how,
        "inverts": step.inverts,
        "controls": [{"pin": c.pin, "name": c.name, "net": c.net} for c in step.controls],
    }


def _source(source: Source) -> dict[str, Any]:
    return {
        "part": source.part,
        "type": source.type,
        "pin": source.pin,
        "name": source.name,
        "kind": source.kind,
        "place": source.place,
    }
