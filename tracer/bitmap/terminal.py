"""The map as text for a terminal of 80 columns, with and without colour.

Colours are told apart by their names first; the terminal's own colours only
help. No name is cut: what does not fit goes on in the next line of its cell.
"""

from __future__ import annotations

import textwrap

from tracer.base.text import WIDTH, clean, leg, spans
from tracer.bitmap.model import Bit, BitMap, Colour, MemoryIndex, Path
from tracer.bitmap.text import (
    FOUND_BY,
    colour_pin_text,
    driven_by_text,
    passed_text,
    resistors_text,
    source_text,
    verdict_text,
    when_text,
)

__all__ = ["emit"]

_PAINT = {"red": "31;1", "green": "32;1", "blue": "34;1"}
_BOLD = "1"
_HEAD = ("bit", "weight", "resistor", "driver leg", "way back", "from leg")
#: Widest that a cell may get before it is broken, by column.
_WIDEST = (3, 6, 16, 15, 19, 16)
#: Between what stands below one another in a cell.
_BELOW = " | "
#: Ways of one bit that are listed; a map as JSON has all.
_MOST_WAYS = 8


def emit(bit_map: BitMap, *, coloured: bool = False, width: int = WIDTH) -> str:
    """The map as text.

    Parameters
    ----------
    bit_map : BitMap
    coloured : bool
        Use the terminal's colours.
    width : int
        Columns.
    """
    writer = _Writer(coloured, width)
    files = ", ".join(i.file for i in bit_map.inputs)
    writer.wrap(
        f"{bit_map.name}: {bit_map.n_parts} parts, {bit_map.n_nets} nets"
        + (f", from {files}" if files else "")
    )
    for colour in bit_map.colours:
        writer.colour(colour)
    writer.chips(bit_map)
    writer.index(bit_map)
    writer.findings(bit_map)
    writer.verdict(bit_map)
    return "\n".join(writer.lines) + "\n"


class _Writer:
    """Collects lines."""

    def __init__(self, coloured: bool, width: int) -> None:
        self.coloured, self.width = coloured, width
        self.lines: list[str] = []
        #: The bit above in the table.
        self.last: Bit | None = None

    def paint(self, text: str, code: str) -> str:
        return f"\033[{code}m{text}\033[0m" if self.coloured else text

    def wrap(self, text: str, first: str = "", rest: str = "") -> None:
        self.lines += textwrap.wrap(
            clean(text), self.width, initial_indent=first, subsequent_indent=rest, break_on_hyphens=False
        ) or [first]

    def title(self, text: str, code: str = _BOLD) -> None:
        self.lines += ["", self.paint(clean(text), code)]

    def colour(self, colour: Colour) -> None:
        pin = colour.pin
        count = f"{len(colour.bits)} bit{'s' if len(colour.bits) != 1 else ''}, {colour.levels} levels"
        if colour.bits and not colour.levels:
            count = "analogue, its levels are not known"
        self.title(
            f"{colour.name.upper()}  {colour_pin_text(pin)}  {count}  ({FOUND_BY[pin.found_by]})",
            _PAINT.get(colour.name, _BOLD),
        )
        if not colour.bits:
            self.lines.append("  nothing drives it")
            return
        if colour.when:
            self.wrap(f"when {when_text(colour.when)}:", "  ", "  ")
        self._bits(colour.bits)
        for state in colour.states:
            count = f"{len(state.bits)} bit{'s' if len(state.bits) != 1 else ''}, {state.levels} levels"
            self.wrap(f"when {when_text(state.when)}: {count}", "  ", "  ")
            self._bits(state.bits)

    def _bits(self, bits: tuple[Bit, ...]) -> None:
        self.last = None
        rows = [self._row(bit) for bit in bits]
        for row, bit in zip(self._table(rows), (None, *bits), strict=True):
            self.lines += row
            if bit is not None:
                self._after(bit)

    def _row(self, bit: Bit) -> tuple[str, ...]:
        path = bit.main_path
        way = _BELOW.join(passed_text(step) for step in path.steps) if path else ""
        return (
            str(bit.bit),
            f"{bit.weight:.1%}",
            resistors_text(bit),
            leg(bit.driver.part, bit.driver.pin, bit.driver.name),
            way or "-",
            _sources_of(bit, path) if path else "?",
        )

    def _table(self, rows: list[tuple[str, ...]]) -> list[list[str]]:
        """Header and rows, each as the lines it takes."""
        shown = [tuple(clean(cell) for cell in row) for row in (_HEAD, *rows)]
        widths = [
            min(_WIDEST[i], max(len(piece) for row in shown for piece in row[i].split(_BELOW)))
            for i in range(len(_HEAD))
        ]
        found = []
        for row in shown:
            cells = [_broken(cell, widths[i]) for i, cell in enumerate(row)]
            height = max(len(cell) for cell in cells)
            found.append(
                [
                    "  "
                    + " ".join(
                        (cell[k] if k < len(cell) else "").ljust(w)
                        for cell, w in zip(cells, widths, strict=True)
                    ).rstrip()
                    for k in range(height)
                ]
            )
        return found

    def _after(self, bit: Bit) -> None:
        main = bit.main_path
        if main is not None and main.when:
            self.wrap(f"{source_text(main.source)} when {when_text(main.when)}", "      ", "         ")
        others = [
            f"or {source_text(path.source)}" + (f" when {when_text(path.when)}" if path.when else "")
            for path in bit.paths
            if path is not main and path.role == "alternative" and not _same_word(path, main)
        ]
        ways = list(dict.fromkeys(others))
        for way in ways[:_MOST_WAYS]:
            self.wrap(way, "      ", "         ")
        if len(ways) > _MOST_WAYS:
            self.wrap(f"or {len(ways) - _MOST_WAYS} other ways: see --json", "      ", "         ")
        if bit.because:
            self.wrap(self._why(bit), "      ", "         ")
        self.last = bit

    def _why(self, bit: Bit) -> str:
        """Why a bit is not traced; of a reason that the bit above has too, no more than the leg."""
        above = self.last
        if above is not None and bit.because == above.because:
            return "stopped, as above"
        if above is not None and above.stopped and bit.stopped and bit.stopped.stops_like(above.stopped):
            return f"stopped at {source_text(bit.stopped.source, named=False)}, as above"
        return f"stopped: {bit.because}"

    def chips(self, bit_map: BitMap) -> None:
        if not bit_map.chips:
            return
        self.title("CHIPS")
        rows = [(c.part, c.place or "", c.sold_as, c.does) for c in bit_map.chips]
        wide = [min(24, max(len(clean(cell)) for cell in column)) for column in zip(*rows, strict=True)]
        for chip, row in zip(bit_map.chips, rows, strict=True):
            feeds = (
                ", ".join(f"{colour} {spans(bits)}" for colour, bits in chip.feeds if bits)
                or "no picture bit"
            )
            head = "  " + " ".join(clean(cell).ljust(w) for cell, w in zip(row, wide, strict=True) if w) + " "
            self.wrap(feeds, head, " " * min(len(head), 30))

    def index(self, bit_map: BitMap) -> None:
        """Address lines; memories that share them all stand together, and lines that are tied alike too."""
        alike: dict[tuple[tuple[str, str], ...], list[MemoryIndex]] = {}
        for memory in bit_map.index:
            alike.setdefault(tuple((x.name, driven_by_text(x)) for x in memory.lines), []).append(memory)
        for memories in alike.values():
            self.title(f"INDEX of {', '.join(m.part for m in memories)}")
            tied: dict[str, list[str]] = {}
            for same in zip(*(m.lines for m in memories), strict=True):
                line, words = same[0], driven_by_text(same[0])
                if not line.is_live:
                    tied.setdefault(words, []).append(line.name)
                    continue
                legs = " ".join(leg(m.part, x.pin) for m, x in zip(memories, same, strict=True))
                self.wrap(f"{line.name} {legs}: {words}", "  ", "      ")
            for words, names in tied.items():
                self.wrap(f"{' '.join(names)}: {words}", "  ", "      ")

    def findings(self, bit_map: BitMap) -> None:
        if not bit_map.findings:
            return
        self.title("TO KNOW")
        for finding in sorted(bit_map.findings, key=lambda f: f.severity != "warning"):
            mark = "! " if finding.severity == "warning" else "- "
            self.wrap(finding.text, "  " + mark, "    ")

    def verdict(self, bit_map: BitMap) -> None:
        self.lines.append("")
        self.wrap(f"{verdict_text(bit_map)}.")


def _same_word(path: Path, main: Path | None) -> bool:
    """Whether two paths bring bits of one word, which are shown together."""
    return main is not None and path.role == "picture" and path.source.part == main.source.part


def _sources_of(bit: Bit, main: Path) -> str:
    """The main source, and the rest of its word where a shift register brings it bit by bit."""
    word = [p.source for p in bit.paths if p.role == "picture" and p.source.part == main.source.part]
    if len(word) > 1:
        pins = " ".join(s.pin or "" for s in word)
        return f"{main.source.part} legs {pins}"
    others = sum(p.role == "picture" for p in bit.paths) - 1
    return source_text(main.source) + (f" and {others} more" if others > 0 else "")


def _broken(cell: str, width: int) -> list[str]:
    pieces = cell.split(_BELOW)
    return [line for piece in pieces for line in textwrap.wrap(piece, width, break_on_hyphens=False)] or [""]
