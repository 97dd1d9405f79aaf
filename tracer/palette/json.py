"""A palette as JSON: format rgbroots-palette, version 1.

``entries`` has every entry with its codes (bit 0 the lightest) and volts by colour (null: not known; rounded to a
microvolt) and its colour. ``difference`` and ``sought`` are null unless asked for. Same input, same bytes.
"""

from __future__ import annotations

import json
from typing import Any

from tracer.palette.values import PALETTE_FORMAT, PALETTE_VERSION, Difference, Entry, Palette, Sought, as_hex

__all__ = ["emit"]

_DECIMALS = 6


def emit(palette: Palette) -> str:
    """The palette as JSON text."""
    ohm = palette.load_ohm
    whole = {
        "format": PALETTE_FORMAT,
        "version": PALETTE_VERSION,
        "board": palette.board,
        "load_ohm": int(ohm) if ohm is not None and ohm == int(ohm) else ohm,
        "colours": {c.name: {"bits": c.n_bits} for c in palette.colours},
        "memories": [
            {
                "part": m.part,
                "type": m.type,
                "place": m.place,
                "depth": m.depth,
                "width": m.width,
                "file": m.file,
                "form": m.form,
                "sha256": m.sha256,
            }
            for m in palette.memories
        ],
        "index": [
            {"bit": b.bit, "legs": list(b.legs), "net": b.net, "driven_by": b.driven_by}
            for b in palette.index
        ],
        "different_colours": palette.n_distinct,
        "entries": [_entry(palette, e) for e in palette.entries],
        "difference": _difference(palette, palette.difference),
        "sought": _sought(palette, palette.sought),
        "findings": [
            {"severity": f.severity, "where": list(f.where), "text": f.text} for f in palette.findings
        ],
    }
    return json.dumps(whole, indent=1, ensure_ascii=False) + "\n"


def _entry(palette: Palette, entry: Entry) -> dict[str, Any]:
    names = [c.name for c in palette.colours]
    volts = (None if v is None else round(v, _DECIMALS) + 0.0 for v in entry.volts)
    return {
        "entry": entry.entry,
        "codes": dict(zip(names, entry.codes, strict=True)),
        "volts": dict(zip(names, volts, strict=True)),
        "colour": entry.colour,
    }


def _difference(palette: Palette, difference: Difference | None) -> dict[str, Any] | None:
    if difference is None:
        return None
    return {
        "other": [{"part": part, "file": file} for part, file in difference.files],
        "legs": [
            {
                "part": x.part,
                "pin": x.pin,
                "name": x.name,
                "feeds": [{"colour": colour, "bit": bit} for colour, bit in x.feeds],
                "entries": x.n_entries,
                "level": x.level,
            }
            for x in difference.legs
        ],
        "entries": [
            {"entry": a.entry, "given": _entry(palette, a), "other": _entry(palette, b)}
            for a, b in difference.pairs
        ],
        "unseen_words": difference.n_unseen_words,
    }


def _sought(palette: Palette, sought: Sought | None) -> dict[str, Any] | None:
    if sought is None:
        return None
    return {
        "asked": as_hex(sought.asked),
        "nearest": as_hex(sought.shown),
        "exact": sought.is_exact,
        "codes": {c.name: code for c, code in zip(palette.colours, sought.codes, strict=True)},
        "words": [{"part": part, "bits": bits} for part, bits in sought.words],
        "entries": list(sought.entries),
        "nearest_entries": list(sought.nearest),
        "nearest_entries_colour": as_hex(sought.nearest_shown) if sought.nearest_shown else None,
    }
