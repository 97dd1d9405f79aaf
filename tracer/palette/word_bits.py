"""Which bit of which memory's word is which bit of a colour: what a palette needs of a map, or why it cannot be.

A bit of a colour is the level of its driver: the level at the memory's data leg, turned over as often as steps
on the way invert.
"""

from __future__ import annotations

from collections.abc import Collection, Iterable, Mapping
from dataclasses import dataclass

from tracer.base.errors import PaletteError, UsageError
from tracer.base.findings import Finding, note, warning
from tracer.base.names import natural_key
from tracer.bitmap.model import Bit, Path
from tracer.parts.memory_shape import MemoryShape, shape_of
from tracer.tracing.pipeline import Traced

__all__ = ["PaletteBit", "choose_bits", "match_parts", "memories_of"]


@dataclass(frozen=True, slots=True)
class PaletteBit:
    """One bit of a colour: bit `at` of the word of `part`, turned over where `inverts`."""

    colour: str
    bit: int
    part: str
    at: int
    inverts: bool


def memories_of(traced: Traced) -> dict[str, MemoryShape]:
    """Reference -> shape of each memory that can bring a bit of a colour; those that are no table are left out."""
    pins: dict[str, dict[str, None]] = {}
    places = {}
    for colour in traced.bit_map.colours:
        for path in (p for bit in colour.bits for p in _ways(bit)):
            if path.source.part and path.source.pin:
                pins.setdefault(path.source.part, {})[path.source.pin] = None
                places[path.source.part] = path.source.place
    found = {}
    for part in sorted(pins, key=natural_key):
        shape = shape_of(part, traced.circuit.identified[part].type, pins[part], places[part])
        if shape is not None:
            found[part] = shape
    return found


def match_parts(told: Iterable[str], shapes: Mapping[str, MemoryShape], option: str) -> dict[str, str]:
    """What a person calls the memories -> their references; any case, and without the board where one is meant.

    Raises
    ------
    UsageError
        No memory of a colour is called so, or two are.
    """
    found: dict[str, str] = {}
    for name in told:
        same = [p for p in shapes if p.upper() == name.upper()]
        same = same or [p for p in shapes if p.rsplit(":", 1)[-1].upper() == name.upper()]
        known = ", ".join(str(s) for s in shapes.values()) or "none"
        if not same:
            raise UsageError(
                f"{option} {name}: no bit of a colour is stored in {name}",
                fix=f"the memories of the colours: {known}",
            )
        if len(same) > 1:
            raise UsageError(
                f"{option} {name}: that may be {' or '.join(same)}", fix="write the board in front of it"
            )
        if same[0] in found.values():
            raise UsageError(f"{option} names {same[0]} twice", fix="give one dump a memory")
        found[name] = same[0]
    return found


def choose_bits(traced: Traced, given: Collection[str]) -> tuple[tuple[PaletteBit, ...], tuple[Finding, ...]]:
    """The bits of all colours, each from the first of its memories whose contents are given.

    Raises
    ------
    PaletteError
        A bit is not stored in a memory that the index addresses entry by entry; all reasons at once.
    UsageError
        Contents are missing; all that are.
    """
    shapes = memories_of(traced)
    refused: dict[str, list[tuple[str, int]]] = {}
    missing: dict[str, None] = {}
    bits: list[PaletteBit] = []
    others: dict[str, list[tuple[str, int]]] = {}
    whens: list[Path] = []
    for colour in traced.bit_map.colours:
        for bit in colour.bits:
            why = _why_not(bit, shapes)
            if why:
                refused.setdefault(why, []).append((colour.name, bit.bit))
                continue
            ways = _ways(bit)
            path = next((p for p in ways if p.source.part in given), None)
            if path is None:
                missing[ways[0].source.part or ""] = None
                continue
            part, pin = path.source.part or "", path.source.pin or ""
            bits.append(PaletteBit(colour.name, bit.bit, part, shapes[part].data.index(pin), path.inverts))
            whens.append(path)
            for other in dict.fromkeys(p.source.part or p.source.name for p in _alternatives(bit, path)):
                others.setdefault(other, []).append((colour.name, bit.bit))
    if refused:
        raise PaletteError(
            "; ".join(f"{_bits_text(names)}: {why}" for why, names in refused.items()),
            fix="a palette can be computed where each bit of the colours is stored in a memory that the picture addresses",
        )
    if missing:
        names = sorted(missing, key=natural_key)
        raise UsageError(
            f"the contents of {', '.join(str(shapes[n]) for n in names)} are not given",
            fix="add " + " ".join(f"--contents {n}=FILE" for n in names),
        )
    if not bits:
        raise PaletteError("no bit of a colour was found", fix="see what `rgbroots trace` says of this board")
    findings = [*_say_others(others), *_say_mixed(traced, whens), *_say_inverted(shapes, bits)]
    return tuple(bits), tuple(findings)


def _ways(bit: Bit) -> list[Path]:
    """Ways of the picture from a memory, in the order of trust."""
    ways = [p for p in bit.paths if p.role != "write path" and p.source.is_memory]
    return sorted(ways, key=lambda p: p.role != "picture")


def _alternatives(bit: Bit, chosen: Path) -> list[Path]:
    return [
        p
        for p in bit.paths
        if p.role == "alternative" and p.source.part != chosen.source.part and p is not chosen
    ]


def _why_not(bit: Bit, shapes: Mapping[str, MemoryShape]) -> str | None:
    pictures = [p for p in bit.paths if p.role == "picture"]
    ways = _ways(bit)
    if not ways or any(not p.source.is_memory for p in pictures):
        return bit.because or "no memory stores it"
    if len(pictures) > 1:
        parts = list(dict.fromkeys(p.source.part or "" for p in pictures))
        if len(parts) == 1:
            return f"a shift register brings the bits of a word of {parts[0]} one after another, so that one address is no one colour"
        return f"it comes from {' and '.join(parts)} together, and how they are combined is not settled"
    parts = list(dict.fromkeys(p.source.part or "" for p in ways))
    for part in parts:
        if part not in shapes:
            return f"the address legs of {part} do not number its words (row and column in turn, or words of two widths)"
    if any(len([p for p in ways if p.source.part == part]) > 1 for part in parts):
        return f"several data legs of {', '.join(parts)} take turns, so that one address is no one colour"
    return None


def _say_others(others: Mapping[str, list[tuple[str, int]]]) -> list[Finding]:
    if not others:
        return []
    ways = "; ".join(f"{_bits_text(names)} from {part}" for part, names in others.items())
    return [
        note(
            "other-bank",
            f"other memories can show instead: {ways}. For their colours give their contents in place of these",
            *others,
        )
    ]


def _say_mixed(traced: Traced, paths: Iterable[Path]) -> list[Finding]:
    levels: dict[str, dict[int, str]] = {}
    for path in paths:
        for when in path.when:
            net = traced.circuit.net_of(when.part, when.pin) or f"{when.part}.{when.pin}"
            levels.setdefault(net, {}).setdefault(when.level, path.source.part or "")
    return [
        warning(
            "mixed-banks",
            f"{by_level[0]} shows when {net} is low and {by_level[1]} when it is high, so their contents are never seen "
            "together",
            by_level[0],
            by_level[1],
        )
        for net, by_level in levels.items()
        if len(by_level) > 1
    ]


def _say_inverted(shapes: Mapping[str, MemoryShape], bits: Iterable[PaletteBit]) -> list[Finding]:
    parts = [p for p in dict.fromkeys(b.part for b in bits) if shapes[p].inverts]
    return [
        note(
            "inverted-outputs",
            f"{part} ({shapes[part].type}) turns over what is written to it; its dump was taken as read at its outputs",
            part,
        )
        for part in parts
    ]


def _bits_text(names: Iterable[tuple[str, int]]) -> str:
    """``red 3 2, green 0``."""
    by_colour: dict[str, list[int]] = {}
    for colour, bit in names:
        by_colour.setdefault(colour, []).append(bit)
    return ", ".join(f"{colour} {' '.join(str(b) for b in bits)}" for colour, bits in by_colour.items())
