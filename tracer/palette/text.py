"""A palette as text for a terminal of 80 columns; swatches stand beside the figures where the terminal has colours."""

from __future__ import annotations

from collections.abc import Sequence

from tracer.base.text import clean, wrapped
from tracer.palette.values import RGB, Difference, Entry, Palette
from tracer.palette.words import (
    codes_text,
    leg_text,
    load_text,
    memory_text,
    number,
    sought_lines,
    title,
)

__all__ = ["palette_as_text"]

#: Palettes of more entries are shown as a grid of their colours.
MOST_ROWS = 64
_PER_LINE = 8
#: With more colours the volts find no room.
_MOST_WITH_VOLTS = 5


def palette_as_text(palette: Palette, *, all_entries: bool = False, coloured: bool = False) -> str:
    """The palette; what was asked for (a colour, a comparison) takes the place of the entries."""
    lines = wrapped(f"{title(palette)}, {load_text(palette)}")
    for memory in palette.memories:
        lines += wrapped(memory_text(memory), "  ", "      ")
    if palette.sought:
        first, *rest = sought_lines(palette, palette.sought)
        swatches = f"{_swatch(palette.sought.asked)} {_swatch(palette.sought.shown)}" if coloured else ""
        lines += ["", *wrapped(first), *([f"  {swatches}"] if swatches else [])]
        for line in rest:
            lines += wrapped(line, "  ", "      ")
    if palette.difference:
        lines += ["", *_difference(palette, palette.difference, all_entries, coloured)]
    if not palette.sought and not palette.difference:
        lines += _index(palette)
        whole = all_entries or len(palette.entries) <= MOST_ROWS
        lines += ["", *(_rows if whole else _grid)(palette, coloured)]
    lines += _findings(palette)
    return "\n".join(lines) + "\n"


def _index(palette: Palette) -> list[str]:
    lines = ["", "ENTRY NUMBER, lightest bit first"]
    for bit in palette.index:
        lines += wrapped(f"{bit.bit}: {', '.join(bit.legs)}: {bit.driven_by}", "  ", "      ")
    return lines if palette.index else []


def _rows(palette: Palette, coloured: bool) -> list[str]:
    """A line an entry: codes, volts, colour."""
    with_volts = len(palette.colours) <= _MOST_WITH_VOLTS
    wide = [max(len(str((1 << c.n_bits) - 1)), 1) + (8 if with_volts else 0) for c in palette.colours]
    wide = [max(w, len(clean(c.name))) for w, c in zip(wide, palette.colours, strict=True)]
    names = "  ".join(clean(c.name).ljust(w) for c, w in zip(palette.colours, wide, strict=True))
    lines = [f"  entry  {names}  colour", f"         code{' and volts' if with_volts else ''}"]
    for entry in palette.entries:
        cells = (_cell(c, v, with_volts) for c, v in zip(entry.codes, entry.volts, strict=True))
        row = f"  {number(palette, entry.entry):<5}  " + "  ".join(
            cell.ljust(w) for cell, w in zip(cells, wide, strict=True)
        )
        lines.append(f"{row}  {entry.colour}" + (f" {_swatch(entry.rgb)}" if coloured else ""))
    return lines


def _cell(code: int, volts: float | None, with_volts: bool) -> str:
    if not with_volts:
        return str(code)
    return f"{code:<2d} {'?' if volts is None else f'{volts:.3f}V'}"


def _grid(palette: Palette, coloured: bool) -> list[str]:
    """Eight colours a line; lines that go on alike are shown once."""
    lines = [f"{len(palette.entries)} colours, {_PER_LINE} a line; --all shows codes and volts"]
    before: tuple[RGB, ...] = ()
    alike_from: int | None = None
    for start in range(0, len(palette.entries), _PER_LINE):
        row = palette.entries[start : start + _PER_LINE]
        shown = tuple(e.rgb for e in row)
        if shown == before:
            alike_from = start if alike_from is None else alike_from
            continue
        lines += _alike(palette, alike_from, start)
        before, alike_from = shown, None
        cells = " ".join(_painted(e) if coloured else e.colour for e in row)
        lines.append(f"  {number(palette, start)}  {cells}")
    return lines + _alike(palette, alike_from, len(palette.entries))


def _alike(palette: Palette, start: int | None, end: int) -> list[str]:
    if start is None:
        return []
    return [f"  {number(palette, start)}-{number(palette, end - 1)}: as the line above"]


def _difference(palette: Palette, difference: Difference, all_entries: bool, coloured: bool) -> list[str]:
    files = ", ".join(f"{part}: {file}" for part, file in difference.files)
    n = len(difference.pairs)
    lines = wrapped(
        f"{n:,} of {len(palette.entries):,} entries differ from {files}"
        if n
        else f"no entry differs from {files}"
    )
    for leg in difference.legs:
        lines += wrapped(leg_text(leg), "  ", "      ")
    if difference.n_unseen_words:
        lines += wrapped(
            f"{difference.n_unseen_words:,} words differ where no entry shows it: in bits that feed no colour, or at "
            "addresses that the board does not read",
            "  ",
        )
    shown = difference.pairs if all_entries else difference.pairs[:MOST_ROWS]
    order = "/".join(c.name for c in palette.colours)
    lines += (
        ["", *wrapped(f"entry, colour and codes {order}, as given and in the other dump")] if shown else []
    )
    for a, b in shown:
        cells = [f"{e.colour}{f' {_swatch(e.rgb)}' if coloured else ''} {codes_text(e):<9}" for e in (a, b)]
        lines.append(f"  {number(palette, a.entry)}  {cells[0]} -> {cells[1]}".rstrip())
    if len(shown) < n:
        lines.append(f"  {n - len(shown):,} more are not shown; --all shows them")
    return lines


def _findings(palette: Palette) -> list[str]:
    lines = ["", "TO KNOW"] if palette.findings else []
    for finding in sorted(palette.findings, key=lambda f: f.severity != "warning"):
        lines += wrapped(finding.text, "  ! " if finding.severity == "warning" else "  - ", "    ")
    return lines


def _swatch(rgb: RGB) -> str:
    return "\033[48;2;{};{};{}m    \033[0m".format(*rgb)


def _painted(entry: Entry) -> str:
    """The colour's figures on the colour itself, dark on bright and bright on dark."""
    figures = 0 if _luma(entry.rgb) > 128 else 255
    back = "48;2;{};{};{}".format(*entry.rgb)
    return f"\033[{back};38;2;{figures};{figures};{figures}m{entry.colour}\033[0m"


def _luma(rgb: Sequence[int]) -> float:
    """Weights of ITU-R BT.601."""
    return 0.299 * rgb[0] + 0.587 * rgb[1] + 0.114 * rgb[2]
