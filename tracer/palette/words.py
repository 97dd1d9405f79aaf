"""Texts about a palette that several of its forms share."""

from __future__ import annotations

from tracer.base.text import clean, spans
from tracer.base.units import format_ohm
from tracer.palette.values import Difference, Entry, LegDifference, Palette, PaletteMemory, Sought, as_hex

__all__ = [
    "codes_text",
    "differ_text",
    "leg_text",
    "load_text",
    "memory_text",
    "number",
    "numbers",
    "sought_lines",
    "title",
]


def number(palette: Palette, entry: int) -> str:
    """An entry's number: ``0F``."""
    return f"{entry:0{palette.n_figures}X}"


def numbers(palette: Palette, entries: tuple[int, ...]) -> str:
    """Numbers of entries, runs as ``10-1F``."""
    runs: list[list[int]] = []
    for entry in entries:
        if runs and runs[-1][1] == entry - 1:
            runs[-1][1] = entry
        else:
            runs.append([entry, entry])
    return ", ".join(
        number(palette, a) if a == b else f"{number(palette, a)}-{number(palette, b)}" for a, b in runs
    )


def codes_text(entry: Entry) -> str:
    """``15/7/0``, in the order of the colours."""
    return "/".join(str(c) for c in entry.codes)


def differ_text(difference: Difference) -> str:
    """``1 entry differs from U9: now.bin``."""
    files = ", ".join(f"{part}: {file}" for part, file in difference.files)
    n = len(difference.pairs)
    return f"{n:,} {'entry differs' if n == 1 else 'entries differ'} from {files}"


def load_text(palette: Palette) -> str:
    """``into 75 ohm``."""
    ohm = palette.load_ohm
    if ohm is None:
        return "without a load"
    return f"into {ohm:g} ohm" if ohm < 1000 else f"into {format_ohm(ohm)}ohm"


def memory_text(memory: PaletteMemory) -> str:
    """``U9 6116 at 7E, 2048 x 8: u9.bin (raw)``."""
    place = f" at {memory.place}" if memory.place else ""
    file = f": {memory.file} ({memory.form})" if memory.file else ""
    return clean(f"{memory.part} {memory.type}{place}, {memory.depth} x {memory.width}{file}")


def title(palette: Palette) -> str:
    """``dunlin: 256 entries, 249 different colours``."""
    n, many = palette.n_distinct, len(palette.entries)
    return clean(
        f"{palette.board}: {many:,} {'entry' if many == 1 else 'entries'}, {n:,} different colour{'' if n == 1 else 's'}"
    )


def sought_lines(palette: Palette, sought: Sought) -> list[str]:
    """What is to say about a colour that was asked for: sentences, the first the answer."""
    if sought.is_exact:
        lines = [f"{as_hex(sought.asked)}: the board can show it"]
    else:
        red, green, blue = sought.off_by
        lines = [
            f"{as_hex(sought.asked)}: the nearest that the board can show is {as_hex(sought.shown)} (off by {red} in red, "
            f"{green} in green, {blue} in blue, of 255)"
        ]
    codes = (
        f"{c.name} {code} ({code:0{c.n_bits}b})"
        for c, code in zip(palette.colours, sought.codes, strict=True)
    )
    lines.append(f"codes: {', '.join(codes)}")
    words = ", ".join(f"{part} {bits}" for part, bits in sought.words)
    lines.append(f"stored as: {words} (heaviest bit first; - feeds no colour)")
    if sought.entries:
        lines.append(f"shown by {len(sought.entries)} of the entries: {numbers(palette, sought.entries)}")
    elif sought.nearest and sought.nearest_shown:
        lines.append(
            f"no entry shows it; nearest to it: {numbers(palette, sought.nearest)} ({as_hex(sought.nearest_shown)})"
        )
    return [clean(line) for line in lines]


def leg_text(leg: LegDifference) -> str:
    """``U9.17 D7 (red 3): 12 entries, always low in the other dump``."""
    feeds: dict[str, list[int]] = {}
    for colour, bit in leg.feeds:
        feeds.setdefault(colour, []).append(bit)
    words = ", ".join(f"{colour} {spans(bits)}" for colour, bits in feeds.items())
    name = f" {leg.name}" if leg.name and leg.name != leg.pin else ""
    stuck = "" if leg.level is None else f", always {'high' if leg.level else 'low'} in the other dump"
    many = "1 entry" if leg.n_entries == 1 else f"{leg.n_entries:,} entries"
    return clean(f"{leg.part}.{leg.pin}{name} ({words}): {many}{stuck}")
