"""Levels of the colours and readings of the legs as text for a terminal of 80 columns."""

from __future__ import annotations

from collections.abc import Sequence

from tracer.base.findings import Finding
from tracer.base.text import WIDTH, bits_words, clean, leg, wrapped
from tracer.levels.leg_values import LegReading
from tracer.levels.values import ColourLevels, LevelTable
from tracer.levels.words import (
    SHORT_ACTIVITY,
    alike_colours,
    alike_text,
    cause_text,
    load_words,
    ohms_text,
    said_load,
    volts_text,
)

__all__ = ["legs_as_text", "levels_as_text"]

#: Longest bar of a level.
BAR = 20
#: Colours of more codes show black, each bit alone and full.
MOST_CODES = 32
_EIGHTHS = ("", "\u258f", "\u258e", "\u258d", "\u258c", "\u258b", "\u258a", "\u2589")
_METER = (
    "A slow meter shows the mean over the picture: on a still, full, flat colour about 0.7 to 0.8 of the way from "
    "the blanked level to the level here, as the line and field returns are blanked; on anything else less. Compare "
    "bits and colours with each other, or use a scope."
)


def levels_as_text(table: LevelTable, *, all_codes: bool = False) -> str:
    """Volts by code at each load, colours that are alike together, with a bar."""
    lines = wrapped(
        f"{table.board}: volts at the colour pin by code, outputs {', '.join(table.chip_levels) or 'not known'}"
        + (f", resistors within {table.tolerance:.0%}" if table.tolerance else "")
    )
    for alike in alike_colours(table.colours):
        lines += ["", *_colours(alike, all_codes)]
    unknown = [c.colour for c in table.colours if not c.loads]
    if unknown:
        lines += ["", f"{', '.join(unknown)}: not known, see below"]
    if len(unknown) < len(table.colours):
        coupled = all(c.coupled_by for c in table.colours if c.loads)
        lines += ["", *wrapped(said_load(table), "  ")]
        lines += [
            "",
            *wrapped(_METER if not coupled else "A meter set to DC shows 0 V behind the capacitor.", "  "),
        ]
    return "\n".join([*lines, *_findings(table.findings)]) + "\n"


def _colours(alike: Sequence[ColourLevels], all_codes: bool) -> list[str]:
    first = alike[0]
    n = first.n_bits
    shown = list(range(2**n))
    if len(shown) > MOST_CODES and not all_codes:
        shown = [0, *(1 << i for i in range(n)), 2**n - 1]
    names = alike_text([c.colour.upper() for c in alike])
    main = first.loads[0]
    rising = "" if main.is_monotonic else ", not rising with the code"
    lines = [clean(f"{names}  {n} bit{'s' if n > 1 else ''}, {first.n_levels} levels{rising}")]
    heads = [load_words(x.load_ohm) for x in first.loads]
    wide = max(4, len(str(2**n - 1)))
    head = (
        f"  {'code':>{wide}} {'bits':<{max(n, 4)}}"
        + "".join(f" {h:>8}" for h in heads)
        + f"  {'range at ' + heads[0]}"
    )
    lines.append(head.rstrip())
    top = max(abs(v) for v in main.volts) or 1.0
    for code in shown:
        level = main.codes[code]
        row = f"  {code:>{wide}} {code:0{n}b}".ljust(3 + wide + max(n, 4))
        row += "".join(f" {x.codes[code].volts:8.3f}" for x in first.loads)
        row += f"  {level.lowest:.2f}-{level.highest:.2f} "
        row += _bar(level.volts / top, min(BAR, WIDTH - len(row)))
        lines.append(row.rstrip())
    if len(shown) < 2**n:
        lines.append(f"  {2**n - len(shown)} codes are not shown; --all shows them")
    blanked = [
        f"{x.blanked_volts:.3f} V at {load_words(x.load_ohm)}"
        for x in first.loads
        if x.blanked_volts is not None
    ]
    if blanked:
        lines += wrapped(f"blanked: {', '.join(blanked)}", "  ", "    ")
    return lines


def _bar(share: float, width: int) -> str:
    """A bar of eighths of a character."""
    if width <= 0:
        return ""
    eighths = round(max(0.0, min(1.0, share)) * width * 8)
    return "\u2588" * (eighths // 8) + _EIGHTHS[eighths % 8]


# -- legs ---------------------------------------------------------------------------------------------


def legs_as_text(board: str, legs: Sequence[LegReading]) -> str:
    """What each leg should read, part by part."""
    everything = {f for reading in legs for f in reading.feeds}
    lines = wrapped(f"{board}: what the legs should read")
    lines += [
        "",
        *wrapped(
            "picture = pulses between the two levels while the picture changes; clock = pulses all the time; still = "
            "one level; blanking = pulses at line rate, and its bits stand still meanwhile. Ohms: board off and "
            "unplugged, chips of the path out, no monitor, within 5 %.",
            "  ",
        ),
    ]
    part = None
    wide = max((len(leg(x.part, x.pin, x.name)) for x in legs), default=0)
    for reading in legs:
        if reading.part != part:
            part = reading.part
            lines += [
                "",
                f"  {'leg':<{wide}}  {'reads':<8}  {'low V':<9}  {'high V':<9}  {'to ground':<11}  bits",
            ]
        lines += _leg(reading, wide, everything)
    return "\n".join(clean(line) for line in lines) + "\n"


def _leg(reading: LegReading, wide: int, everything: set[tuple[str, int]]) -> list[str]:
    feeds = "all" if set(reading.feeds) == everything and len(everything) > 1 else bits_words(reading.feeds)
    name = leg(reading.part, reading.pin, reading.name)
    row = (
        f"  {name:<{wide}}  {SHORT_ACTIVITY[reading.activity]:<8}  {volts_text(reading.low):<9}  {volts_text(reading.high):<9}  "
        f"{ohms_text(reading.to_ground):<11}  {feeds}"
    )
    lines = [row.rstrip()]
    more = [cause_text(reading.cause)] if reading.cause else []
    if reading.neighbour and reading.to_neighbour:
        more.append(f"{ohms_text(reading.to_neighbour)} to {reading.neighbour}")
    if more:
        lines += wrapped("; ".join(more), " " * 8, " " * 10)
    return lines


def _findings(findings: Sequence[Finding]) -> list[str]:
    if not findings:
        return []
    lines = ["", "TO KNOW"]
    for finding in sorted(findings, key=lambda f: f.severity != "warning"):
        lines += wrapped(finding.text, "  ! " if finding.severity == "warning" else "  - ", "    ")
    return lines
