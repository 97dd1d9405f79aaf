"""What the page shows of a map and of a touch: words and numbers as plain data, ready for JSON."""

from __future__ import annotations

import json
from typing import Any

from tracer.base.text import bits_words, clean, leg
from tracer.beeps.choice import Choice
from tracer.beeps.halfway import Halfway
from tracer.beeps.json import advice_as_json
from tracer.beeps.text import closed_words, progress_words
from tracer.bitmap.json import emit as map_as_json
from tracer.bitmap.model import Bit, BitMap, Colour, ColourState
from tracer.bitmap.text import (
    FOUND_BY,
    colour_pin_text,
    passed_text,
    resistors_text,
    source_text,
    verdict_text,
    when_text,
)
from tracer.page.board_parts import drawn_of

__all__ = ["halfway_shown", "map_shown"]

#: Chips of a sweep that are drawn: more do not fit a screen, and the legs of all have buttons.
_DRAWN = 4


def map_shown(bit_map: BitMap) -> dict[str, Any]:
    """The map: its JSON text as the command line writes it, and what the page's table says."""
    return {
        "json": map_as_json(bit_map),
        "name": clean(bit_map.name),
        "verdict": verdict_text(bit_map),
        "is_complete": bit_map.is_complete,
        "colours": [_colour_shown(colour) for colour in bit_map.colours],
        "findings": [
            {"severity": finding.severity, "text": clean(finding.text)}
            for finding in sorted(bit_map.findings, key=lambda f: f.severity != "warning")
        ],
    }


def _colour_shown(colour: Colour) -> dict[str, Any]:
    return {
        "name": clean(colour.name),
        "pin": clean(colour_pin_text(colour.pin)),
        "found": FOUND_BY[colour.pin.found_by],
        "sets": [_set_shown(colour, colour), *(_set_shown(colour, state) for state in colour.states)],
    }


def _set_shown(colour: Colour, shown: Colour | ColourState) -> dict[str, Any]:
    """The bits of a colour, under the levels at which a selector shows them where there is one."""
    return {
        "when": clean(when_text(shown.when)),
        "levels": shown.levels,
        "bits": [_bit_shown(colour, bit) for bit in shown.bits],
    }


def _bit_shown(colour: Colour, bit: Bit) -> dict[str, Any]:
    path = bit.main_path
    return {
        "tag": clean(bits_words([(colour.name, bit.bit)])),
        "share": f"{bit.weight:.1%}",
        "resistors": clean(resistors_text(bit)),
        "driver": clean(leg(bit.driver.part, bit.driver.pin, bit.driver.name)),
        "way": clean(", ".join(passed_text(step) for step in path.steps)) if path else "",
        "source": clean(source_text(path.source)) if path else "",
        "when": clean(when_text(path.when)) if path else "",
        "others": max(0, sum(p.role != "write path" for p in bit.paths) - 1),
        "is_traced": bit.is_traced,
        "because": clean(bit.because or ""),
    }


def halfway_shown(halfway: Halfway) -> dict[str, Any]:
    """What to touch next as `rgbroots beep --json` has it, and the chips on which it is, from above."""
    choice = halfway.search.choice
    return {
        "advice": json.loads(advice_as_json(halfway.advice)),
        "progress": progress_words(halfway.advice.progress),
        "closed": "" if choice else closed_words(halfway.advice),
        "chips": _chips_shown(halfway, choice) if choice else [],
    }


def _chips_shown(halfway: Halfway, choice: Choice) -> list[dict[str, Any]]:
    parts = list(dict.fromkeys((choice.held.part, *(leg.part for leg, _ in choice.legs))))
    found = []
    for part in parts[: 1 + _DRAWN]:
        drawn = drawn_of(halfway.search.bench.circuit, part)
        if drawn is not None:
            found.append(
                {
                    "part": part,
                    "what": clean(drawn.what),
                    "place": clean(drawn.place or ""),
                    "is_dip": drawn.is_dip,
                    "legs": [[clean(number), clean(name)] for number, name, _ in drawn.legs],
                }
            )
    return found
