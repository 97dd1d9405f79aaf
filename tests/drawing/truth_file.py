"""Writes `truth.py`: the boards' true maps as plain data."""

from __future__ import annotations

from tests.drawing.boards import colour_pins, truths

__all__ = ["truth_text"]

_HEAD = '''"""The true bit maps of the demo boards, from their designs and not from any tracer.

Written by ``python -m tests.drawing``; do not edit. Bits are heaviest first.
``avocet`` is both its boards joined leg to leg, J3 of avocet-main to J1 of
avocet-video; ``avocet-video`` is the video board alone, whose bits come from
the ribbon. Where a multiplexer chooses, legs stand in the order of its inputs.
"""

from __future__ import annotations

from typing import NamedTuple

__all__ = ["COLOUR_PINS", "TRUTH", "Bit"]


class Bit(NamedTuple):
    """One bit.

    Attributes
    ----------
    resistors : tuple of str
        What weighs it, and `ohm` its values; in an R-2R ladder the pack of its rung.
    driver : str
        The digital output leg behind them.
    path : tuple of (str, tuple of str)
        From the driver back: leg that the bit leaves a part by, legs that it enters by.
    sources : tuple of str
        Memory legs (for ``avocet-video`` connector legs).
    """

    resistors: tuple[str, ...]
    ohm: tuple[float, ...]
    driver: str
    path: tuple[tuple[str, tuple[str, ...]], ...]
    sources: tuple[str, ...]


'''


def _literal(value: object) -> str:
    """A Python literal in double quotes."""
    if isinstance(value, str):
        return f'"{value}"'
    if isinstance(value, tuple):
        return "(" + ", ".join(_literal(v) for v in value) + ("," if len(value) == 1 else "") + ")"
    return repr(value)


def truth_text() -> str:
    """The text of `truth.py`."""
    lines = [_HEAD + "#: Board -> colour -> connector leg.", "COLOUR_PINS: dict[str, dict[str, str]] = {"]
    for board, pins in colour_pins().items():
        inner = ", ".join(f"{_literal(c)}: {_literal(leg)}" for c, leg in pins.items())
        lines.append(f"    {_literal(board)}: {{{inner}}},")
    lines += [
        "}",
        "",
        "# fmt: off",
        "#: Board -> colour -> bits.",
        "TRUTH: dict[str, dict[str, tuple[Bit, ...]]] = {",
    ]
    for board, colours in truths().items():
        lines.append(f"    {_literal(board)}: {{")
        for colour, bits in colours.items():
            lines.append(f"        {_literal(colour)}: (")
            for bit in bits:
                lines.append(
                    f"            Bit({_literal(bit.resistors)}, {_literal(bit.ohm)}, {_literal(bit.driver)},"
                )
                lines.append(f"                {_literal(bit.path)},")
                lines.append(f"                {_literal(bit.sources)}),")
            lines.append("        ),")
        lines.append("    },")
    lines.append("}")
    return "\n".join(lines) + "\n"
