"""Levels as an SVG: the staircase of each colour at each load, and strips of the colours they show.

Lines differ by their dashes, not by colour, so that the sheet can be printed black on white. With a tolerance every step
carries its worst cases: an upright line from the lowest to the highest, in the dashes of its load.
"""

from __future__ import annotations

import textwrap
from collections.abc import Callable, Sequence
from html import escape

from tracer.base.text import clean
from tracer.levels.values import ColourLevels, LevelTable, LoadLevels
from tracer.levels.words import alike_colours, alike_text, load_words, said_load

__all__ = ["levels_as_svg"]

WIDTH = 760
_LEFT, _RIGHT = 56, 96
_PLOT_HEIGHT = 230
_STRIP_HEIGHT = 26
_DASHES = ("", "7 4", "2 3", "9 3 2 3")
_GUNS = {"red": (1, 0, 0), "green": (0, 1, 0), "blue": (0, 0, 1)}
#: A code's number is written under its step where there are at most this many.
_MOST_NUMBERED = 32
#: Upright lines of three loads need so many pixels of a step.
_LEAST_STEP = 12.0
_FONT = "font-family='DejaVu Sans, Helvetica, Arial, sans-serif'"


def levels_as_svg(table: LevelTable) -> str:
    """The plot of a board's levels; colours that are alike share one staircase."""
    body: list[str] = []
    y = 30.0
    body.append(_text(16, y, f"{table.board}: volts at the colour pin by code", size=16, weight="bold"))
    outputs = ", ".join(table.chip_levels) or "not known"
    y += 20
    body.append(_text(16, y, f"outputs {outputs}; {_loads_words(table)}", size=12))
    if table.tolerance:
        y += 17
        words = (
            f"thin lines: worst cases, resistors off by up to {table.tolerance:.0%}, weak and strong chips"
        )
        body.append(_text(16, y, words, size=12))
    for alike in alike_colours(table.colours):
        y += 34
        body.append(_text(16, y, _title(alike), size=13, weight="bold"))
        y += 10
        body += _staircase(alike[0], y, worst=bool(table.tolerance))
        y += _PLOT_HEIGHT + 30
    strips = _strips(table)
    if strips:
        y += 16
        body.append(_text(16, y, "what the codes show, dark to bright (first load)", size=13, weight="bold"))
        y += 10
        for name, shades in strips:
            body += _strip(name, shades, y)
            y += _STRIP_HEIGHT + 6
    y += 4
    for words in filter(None, (said_load(table), *(f.text for f in table.findings))):
        for line in _broken(words, 122):
            y += 17
            body.append(_text(16, y, line, size=11))
    height = round(y + 20)
    return (
        f"<svg xmlns='http://www.w3.org/2000/svg' viewBox='0 0 {WIDTH} {height}' width='{WIDTH}' height='{height}' "
        f"role='img' aria-label='{escape(clean(table.board), quote=True)}: levels of the colours'>\n"
        f"<rect width='{WIDTH}' height='{height}' fill='#fff'/>\n" + "\n".join(body) + "\n</svg>\n"
    )


def _title(alike: Sequence[ColourLevels]) -> str:
    first = alike[0]
    names = alike_text([c.colour for c in alike])
    over = f", over {', '.join(first.coupled_by)}: volts above black" if first.coupled_by else ""
    return f"{names}: {first.n_bits} bit{'s' if first.n_bits > 1 else ''}, {first.n_levels} levels{over}"


def _loads_words(table: LevelTable) -> str:
    first = next((c for c in table.colours if c.loads), None)
    words = ("full line", "long dashes", "dots", "dash and dot")
    if first is None:
        return "levels not known"
    return ", ".join(f"{words[i % 4]} {load_words(x.load_ohm)}" for i, x in enumerate(first.loads))


def _staircase(colour: ColourLevels, top: float, *, worst: bool) -> list[str]:
    n = 2**colour.n_bits
    volts = [v for load in colour.loads for v in load.volts]
    if worst:
        volts += [v for load in colour.loads for code in load.codes for v in (code.lowest, code.highest)]
    low, high = min(0.0, *volts), max(volts)
    high = max(high, low + 1e-3)
    wide = (WIDTH - _LEFT - _RIGHT) / n
    bottom = top + _PLOT_HEIGHT

    def at(value: float) -> float:
        return bottom - (value - low) / (high - low) * (_PLOT_HEIGHT - 10)

    lines = []
    for tick in _ticks(low, high):
        y = at(tick)
        lines.append(f"<path d='M{_LEFT} {y:.1f}H{WIDTH - _RIGHT}' stroke='#ccc' stroke-width='1'/>")
        lines.append(_text(_LEFT - 6, y + 4, f"{tick:g} V", size=11, anchor="end"))
    taken: list[float] = []
    for i, load in enumerate(colour.loads):
        dash = _DASHES[i % len(_DASHES)]
        if worst:
            lines.append(_worst(load, wide, at, dash, (i + 1) / (len(colour.loads) + 1)))
        lines.append(_steps(load, wide, at, dash))
        y = at(load.volts[-1]) + 4
        # Labels at the ends of the lines must not lie over one another.
        while any(abs(y - other) < 12 for other in taken):
            y += 12
        taken.append(y)
        lines.append(_text(WIDTH - _RIGHT + 6, y, load_words(load.load_ohm), size=11))
    every = 1 if n <= _MOST_NUMBERED else n // 16
    for code in range(0, n, every):
        x = _LEFT + (code + 0.5) * wide
        lines.append(_text(x, bottom + 15, str(code), size=10 if n <= 16 else 9, anchor="middle"))
    return lines


def _steps(load: LoadLevels, wide: float, at: Callable[[float], float], dash: str) -> str:
    path = "".join(
        f"{'M' if i == 0 else 'V'}" + (f"{_LEFT} {at(v):.1f}" if i == 0 else f"{at(v):.1f}") + f"H{_LEFT + (i + 1) * wide:.1f}"
        for i, v in enumerate(load.volts)
    )  # fmt: skip
    dashes = f" stroke-dasharray='{dash}'" if dash else ""
    return f"<path d='{path}' fill='none' stroke='#000' stroke-width='1.8'{dashes}/>"


def _worst(load: LoadLevels, wide: float, at: Callable[[float], float], dash: str, share: float) -> str:
    """Upright lines at a share of each step's width; where steps are too narrow for them, the two edges."""
    dashes = f" stroke-dasharray='{dash}'" if dash else ""
    if wide < _LEAST_STEP:
        path = "".join(
            f"M{_LEFT} {at(getattr(load.codes[0], end)):.1f}"
            + "".join(
                f"V{at(getattr(c, end)):.1f}H{_LEFT + (i + 1) * wide:.1f}" for i, c in enumerate(load.codes)
            )
            for end in ("lowest", "highest")
        )
        return f"<path class='worst' d='{path}' fill='none' stroke='#000' stroke-width='0.6'{dashes}/>"
    cap = min(3.0, wide / 8)
    lines, caps = "", ""
    for i, code in enumerate(load.codes):
        x, low, high = _LEFT + (i + share) * wide, at(code.lowest), at(code.highest)
        lines += f"M{x:.1f} {low:.1f}V{high:.1f}"
        caps += "".join(f"M{x - cap:.1f} {y:.1f}H{x + cap:.1f}" for y in (low, high))
    return (
        f"<path class='worst' d='{lines}' fill='none' stroke='#000' stroke-width='1'{dashes}/>"
        f"<path d='{caps}' fill='none' stroke='#000' stroke-width='1'/>"
    )


def _ticks(low: float, high: float) -> list[float]:
    step = next(s for s in (0.05, 0.1, 0.2, 0.5, 1.0, 2.0, 5.0) if (high - low) / s <= 6 or s == 5.0)
    first = -(-low // step)
    return [round((first + i) * step, 6) for i in range(int((high - first * step) / step + 1e-9) + 1)]


def _strips(table: LevelTable) -> list[tuple[str, list[str]]]:
    """Rows of shades: each gun alone, then all together where they have equally many codes."""
    found = []
    shares: dict[str, list[float]] = {}
    for colour in table.colours:
        if colour.colour in _GUNS and colour.loads:
            dark, bright = colour.loads[0].span
            values = [(v - dark) / ((bright - dark) or 1.0) for v in colour.loads[0].volts]
            shares[colour.colour] = values
            gun = _GUNS[colour.colour]
            found.append((colour.colour, [_hex(*(v * g for g in gun)) for v in values]))
    if set(shares) == set(_GUNS):
        n = max(len(v) for v in shares.values())
        together = []
        for i in range(n):
            levels = {name: v[round(i / max(1, n - 1) * (len(v) - 1))] for name, v in shares.items()}
            together.append(_hex(levels["red"], levels["green"], levels["blue"]))
        found.append(("together", together))
    return found


def _hex(*shares: float) -> str:
    return "#" + "".join(f"{round(255 * max(0.0, min(1.0, s))):02x}" for s in shares)


def _strip(name: str, shades: Sequence[str], y: float) -> list[str]:
    wide = (WIDTH - _LEFT - _RIGHT - 14) / len(shades)
    left = _LEFT + 14
    lines = [_text(left - 8, y + _STRIP_HEIGHT / 2 + 4, name, size=11, anchor="end")]
    lines += [
        f"<rect x='{left + i * wide:.1f}' y='{y:.1f}' width='{wide + 0.3:.1f}' height='{_STRIP_HEIGHT}' fill='{shade}'/>"
        for i, shade in enumerate(shades)
    ]
    lines.append(
        f"<rect x='{left}' y='{y:.1f}' width='{wide * len(shades):.1f}' height='{_STRIP_HEIGHT}' fill='none' stroke='#000'/>"
    )
    return lines


def _text(x: float, y: float, text: str, *, size: int, weight: str = "normal", anchor: str = "start") -> str:
    return (
        f"<text x='{x:.1f}' y='{y:.1f}' font-size='{size}' font-weight='{weight}' text-anchor='{anchor}' {_FONT}>"
        f"{escape(clean(text))}</text>"
    )


def _broken(text: str, width: int) -> list[str]:
    return textwrap.wrap(clean(text), width, initial_indent="- ", subsequent_indent="  ")
