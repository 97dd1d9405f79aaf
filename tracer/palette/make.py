"""The colours that the contents of a board's memories show, entry by entry.

An entry's volts are those of the level table at the codes that its words give. Its colour on a screen: each of
red, green and blue is scaled so that its darkest level is 0 and its brightest 255, as a monitor's gains are set
until all bits on are white (common practice, no source). The volts of a video signal are proportional to the
gamma-corrected R'G'B', which is what the figures of #rrggbb are (IEC 61966-2-1, sRGB; from memory), so no
exponent stands between them.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from tracer.base.errors import InternalError, PaletteError
from tracer.base.findings import Finding, note, warning
from tracer.bitmap.model import Colour
from tracer.levels.codes import compute_levels
from tracer.levels.values import LevelTable
from tracer.palette.contents import Contents, contents_of
from tracer.palette.dumps import Dump
from tracer.palette.entry_index import EntryIndex, entry_index
from tracer.palette.values import RGB, Entry, Palette, PaletteColour, PaletteMemory
from tracer.palette.word_bits import PaletteBit, choose_bits, memories_of
from tracer.parts.memory_shape import MemoryShape
from tracer.tracing.pipeline import Traced

__all__ = ["PaletteMaker", "make_palette"]

#: More live address lines hold a picture, not a palette.
MOST_LINES = 16
_PRIMARIES = ("red", "green", "blue")


def make_palette(
    traced: Traced, contents: Mapping[str, Contents], levels: LevelTable | None = None
) -> Palette:
    """The colours that the contents of a board's memories show.

    Parameters
    ----------
    traced : Traced
        From `tracer.trace_fully`.
    contents : mapping of str to path, bytes or Dump
        Memory -> its dump: raw, Intel HEX or S-records, one word a byte in the low bits.
    levels : LevelTable, optional
        From `tracer.compute_levels`, with the load of the map among its loads; computed when left out.

    Raises
    ------
    DumpError
        A dump cannot be read, or does not fit its memory.
    PaletteError
        A bit does not come from a memory with entries by number, or there are too many entries.
    UsageError
        Contents are missing, or those of no memory of a colour are given.
    """
    levels = levels or compute_levels(traced, (traced.bit_map.load_ohm,))
    return PaletteMaker(traced, levels, contents_of(traced, contents)).palette()


@dataclass(frozen=True, slots=True)
class Shade:
    """What one code of a colour gives: volts where known, and 0 to 255."""

    volts: float | None
    value: float


class PaletteMaker:
    """A board and how its words become colours; makes entries of any contents of the same memories."""

    def __init__(self, traced: Traced, levels: LevelTable, contents: Mapping[str, Dump]) -> None:
        self.traced, self.contents = traced, contents
        self.bits, findings = choose_bits(traced, contents)
        shapes = memories_of(traced)
        used = {b.part for b in self.bits}
        self.shapes: tuple[MemoryShape, ...] = tuple(shape for part, shape in shapes.items() if part in used)
        for shape in self.shapes:
            if len(contents[shape.part].words) != shape.depth:
                raise InternalError(f"{len(contents[shape.part].words)} words for {shape}")
        self.index: EntryIndex = entry_index(traced.circuit, self.shapes)
        if len(self.index.bits) > MOST_LINES:
            raise PaletteError(
                f"{len(self.index.bits)} address lines of {', '.join(s.part for s in self.shapes)} can change: so many "
                "entries are a picture, not a palette",
                fix="`rgbroots trace` lists the lines under INDEX; tell in bench notes which of them the board ties, for "
                "example U9.8 = U9.12",
            )
        self.colours = tuple(c for c in traced.bit_map.colours if c.bits)
        self.bits_of: dict[str, tuple[PaletteBit, ...]] = {
            c.name: tuple(b for b in self.bits if b.colour == c.name) for c in self.colours
        }
        self.shades: dict[str, tuple[Shade, ...]] = {}
        self.findings: list[Finding] = [f for f in traced.bit_map.findings if f.severity == "warning"]
        self.findings += [*levels.findings, *findings, *self.index.findings]
        for shape in self.shapes:
            self.findings += contents[shape.part].findings
        for colour in self.colours:
            self._shade(colour, levels)
        self._say_left_out()

    def palette(self) -> Palette:
        """All entries of the contents."""
        memories = []
        for shape in self.shapes:
            dump = self.contents[shape.part]
            memories.append(
                PaletteMemory(
                    shape.part,
                    shape.type,
                    shape.place,
                    shape.depth,
                    shape.width,
                    dump.file,
                    dump.form,
                    dump.sha256,
                )
            )
        return Palette(
            self.traced.bit_map.name,
            self.traced.bit_map.load_ohm,
            tuple(PaletteColour(c.name, len(c.bits)) for c in self.colours),
            tuple(memories),
            self.index.bits,
            self.entries({part: dump.words for part, dump in self.contents.items()}),
            findings=tuple(dict.fromkeys(self.findings)),
        )

    def entries(self, words: Mapping[str, Sequence[int]]) -> tuple[Entry, ...]:
        """The entries that words by memory and address give."""
        found = []
        for entry in range(1 << len(self.index.bits)):
            read = {s.part: words[s.part][self.index.address(s.part, entry)] for s in self.shapes}
            codes = {
                name: sum(((read[b.part] >> b.at & 1) ^ b.inverts) << b.bit for b in bits)
                for name, bits in self.bits_of.items()
            }
            volts = tuple(self.shades[name][code].volts for name, code in codes.items())
            found.append(Entry(entry, tuple(codes.values()), volts, self.rgb(codes)))
        return tuple(found)

    def rgb(self, codes: Mapping[str, int]) -> RGB:
        """The colour of codes; a primary that the board lacks is dark."""
        red, green, blue = (
            round(self.shades[name][codes[name]].value) if name in codes else 0 for name in _PRIMARIES
        )
        return red, green, blue

    def _shade(self, colour: Colour, levels: LevelTable) -> None:
        known = levels.of(colour.name)
        at_load = known.at(self.traced.bit_map.load_ohm) if known else None
        if at_load is not None:
            dark, bright = at_load.span
            self.shades[colour.name] = tuple(
                Shade(v, 255 * (v - dark) / (bright - dark) if bright > dark else 0.0) for v in at_load.volts
            )
            return
        self.findings.append(
            warning(
                "shades-by-weight",
                f"{colour.name}: its volts are not known, so its shades follow the weights of its bits",
                colour.name,
            )
        )
        codes = range(1 << len(colour.bits))
        self.shades[colour.name] = tuple(Shade(None, 255 * _by_weight(colour, code)) for code in codes)

    def _say_left_out(self) -> None:
        names = [c.name for c in self.colours]
        further = [n for n in names if n not in _PRIMARIES]
        missing = [n for n in _PRIMARIES if n not in names]
        if further:
            self.findings.append(
                note(
                    "colour-left-out",
                    f"{', '.join(further)}: codes and volts alone, not in the colours shown",
                    *further,
                )
            )
        if missing:
            self.findings.append(
                note(
                    "colour-left-out",
                    f"no bits of {', '.join(missing)} were found; it is shown dark",
                    *missing,
                )
            )


def _by_weight(colour: Colour, code: int) -> float:
    """Share of the full scale: a bit of negative weight darkens."""
    total = sum(abs(b.weight) for b in colour.bits)
    lit = sum(abs(b.weight) for b in colour.bits if (code >> b.bit & 1) == (b.weight >= 0))
    return lit / total if total else 0.0
