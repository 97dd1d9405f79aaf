"""The table of a card that says what the legs of the path read with the board on."""

from __future__ import annotations

from collections.abc import Iterable

from tracer.base.names import natural_key, readable_name
from tracer.base.text import clean
from tracer.card.blocks import Column, Row
from tracer.card.refs import board_of, said_once
from tracer.card.tables import drivers_with_readings
from tracer.card.values import BoardCard
from tracer.levels.leg_values import LegReading
from tracer.levels.words import SHORT_ACTIVITY, cause_text, volts_text

__all__ = ["reading_columns", "reading_rows"]


def reading_columns() -> list[Column]:
    """Columns of the table of readings."""
    return [Column("legs", gives=True), Column("reads"), Column("low V", True), Column("high V", True)]


def reading_rows(card: BoardCard) -> list[Row]:
    """Legs that read alike on one line; controls of one net together, with what they hang on.

    The drivers' legs are in the table of bits.
    """
    in_table = drivers_with_readings(card)
    groups: dict[tuple[str, ...], list[LegReading]] = {}
    for reading in card.readings:
        if reading.role == "colour pin" or (reading.part, reading.pin) in in_table:
            continue
        own = (reading.net or reading.pin, reading.name) if reading.role == "control" else ()
        of_chip = (reading.part,) if reading.role == "data out" else ()
        key = (reading.role, reading.activity, *of_chip, *own)
        groups.setdefault(key, []).append(reading)
    words = {"source": "", "data in": " in", "data out": " out", "control": ""}
    rows = []
    for (role, *_), readings in groups.items():
        for alike in _alike(readings, whole=role in ("control", "data out")):
            text = ", ".join(_chips_and_legs(alike, words[role]))
            if role == "control":
                text += f" {readable_name(alike[0].name)}: {cause_text(alike[0].cause, brief=True, board=board_of(alike[0].part))}"
            low, high = _envelope(r.low for r in alike), _envelope(r.high for r in alike)
            rows.append(
                Row((clean(text), SHORT_ACTIVITY[alike[0].activity], volts_text(low), volts_text(high)))
            )
    return rows


def _chips_and_legs(readings: list[LegReading], word: str) -> list[str]:
    """``U30, U31 in 3 4``: chips with the same legs together."""
    alike: dict[str, list[str]] = {}
    for part in dict.fromkeys(r.part for r in readings):
        pins = sorted((r.pin for r in readings if r.part == part), key=natural_key)
        alike.setdefault(_runs(pins), []).append(part)
    names = iter(said_once(part for parts in alike.values() for part in parts))
    return [f"{', '.join(next(names) for _ in parts)}{word} {pins}" for pins, parts in alike.items()]


def _alike(readings: list[LegReading], *, whole: bool) -> list[list[LegReading]]:
    """Groups of the same volts; `whole`: all of them, their volts together."""
    if whole:
        return [readings]
    groups: dict[object, list[LegReading]] = {}
    for reading in readings:
        groups.setdefault((reading.low, reading.high), []).append(reading)
    return list(groups.values())


def _runs(pins: Iterable[str]) -> str:
    """``9-11 13-17`` of leg numbers, in order."""
    runs: list[list[str]] = []
    for pin in pins:
        if runs and pin.isdigit() and runs[-1][-1].isdigit() and int(pin) == int(runs[-1][-1]) + 1:
            runs[-1].append(pin)
        else:
            runs.append([pin])
    return " ".join(r[0] if len(r) == 1 else f"{r[0]}{'-' if len(r) > 2 else ' '}{r[-1]}" for r in runs)


def _envelope(ends: Iterable[tuple[float, float] | None]) -> tuple[float, float] | None:
    known = [e for e in ends if e is not None]
    return (min(a for a, _ in known), max(b for _, b in known)) if known else None
