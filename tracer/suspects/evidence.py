"""What people say of a fault -> observations: words of notes (`seen red missing`) and of the command line.

Words of the screen (`tracer.suspects.words`) and of the probe (`readings`) are
taken with what people usually say for them; a reading may be given in volts.
"""

from __future__ import annotations

import re

from tracer.base.errors import UsageError
from tracer.base.findings import Finding, note
from tracer.base.units import parse_ohm
from tracer.netlist.board import Evidence
from tracer.suspects.fault import Place
from tracer.suspects.observation import Observation
from tracer.suspects.readings import OHMS, SWAPS
from tracer.suspects.reasoning import Reasoning
from tracer.suspects.words import WORDS

__all__ = [
    "observations_of",
    "parse_beep",
    "parse_manner",
    "parse_ohms",
    "parse_pressed",
    "parse_read",
    "parse_seen",
    "parse_swapped",
]

_SEEN = {
    "fine": "fine good ok okay right normal",
    "missing": "missing gone none no absent off dead black",
    "always on": "always on stuck full flat solid",
    "weak": "weak dim dark faint pale low",
    "too strong": "strong bright heavy much",
    "coarse": "coarse steps step banded bands poor",
    "mixed": "mixed mixes bleeds",
    "flickers": "flickers flicker flickering sparkles sparkle noise noisy intermittent unsteady",
    "wrong": "wrong random scrambled mad",
}
_READ = {
    "pulsing": "pulsing pulses pulse toggling toggles toggle active busy",
    "low": "low zero ground 0",
    "high": "high one 1",
    "floating": "floating floats float open nothing dead",
    "between": "between in-between weak half",
}
_OHMS = {
    "as it should be": "right ok fine good normal",
    "short": "short shorted zero 0",
    "open": "open none infinite",
    "wrong value": "wrong off",
}
_SWAPPED = {"cured": "cured fixed good better gone", "no change": "no same unchanged still"}
#: A TTL level is low up to here and high from there (VIL 0.8, VIH 2.0 V of 74LS, Motorola FAST and LS TTL Data).
LOW_VOLTS, HIGH_VOLTS = 0.8, 2.0
#: A meter beeps up to about here (common practice, no source).
BEEP_OHM = 50.0
#: In the circuit a resistor reads its value or less; beyond this share it is another one.
_NEAR = 0.25
_OPEN_OHM = 1e6
#: Between the ends of a connection.
_TO = re.compile(r"\s+to\s+", re.IGNORECASE)
_VOLTS = re.compile(r"(-?\d+(?:[.,]\d+)?)\s*v(?:olts?)?", re.IGNORECASE)


def _word(text: str, known: dict[str, str]) -> str | None:
    said = re.findall(r"[\w-]+", text.lower())
    for word in known:
        if word in text.lower():
            return word
    for word, others in known.items():
        if any(s in others.split() for s in said):
            return word
    return None


def parse_seen(colour: str, text: str) -> Observation:
    """``red``, ``missing``.

    Raises
    ------
    UsageError
        No word for the screen is in it.
    """
    word = _word(text, _SEEN)
    if word is None:
        raise UsageError(
            f"{text!r} is no word for what {colour} does", fix=f"the words are: {', '.join(WORDS)}"
        )
    return Observation("seen", (colour.lower(),), word)


_WARMTH = re.compile(r"\b(warm|warmth|hot|heat|cold|minutes)\b", re.IGNORECASE)
_LAYER = re.compile(r"\b(layer|sprites|background|text)\b", re.IGNORECASE)


def parse_manner(text: str) -> list[Observation]:
    """What is said beside the word: that it changes with warmth, that only one layer has it."""
    found = [Observation("warmth", (), "changes")] if _WARMTH.search(text) else []
    return found + ([Observation("layer", (), "one")] if _LAYER.search(text) else [])


def _ends(text: str) -> tuple[str, ...]:
    """The ends of a connection, or a part."""
    return tuple(_TO.split(text.strip(), maxsplit=1))


def parse_beep(place: str, text: str) -> Observation:
    """``U9.17 to U13.18``, ``none``."""
    word = _word(text, {"no beep": "no none silent open", "beep": "beep beeps yes"})
    if word is None:
        raise UsageError(f"{text!r} does not say whether {place} beeps", fix="write beep or none")
    return Observation("beep", _ends(place), word)


def parse_ohms(place: str, text: str) -> Observation:
    """``R5``, ``open``; ``U9.17 to U13.18``, ``short``."""
    word = _word(text, {w: _OHMS[w] for w in OHMS})
    if word is None:
        raise UsageError(
            f"{text!r} does not say what the meter showed at {place}", fix=f"the words are: {', '.join(OHMS)}"
        )
    return Observation("ohms", _ends(place), word)


def parse_pressed(part: str, text: str) -> Observation:
    """``U13``, ``changes``."""
    word = _word(text, {"no change": "no none nothing same", "changes": "changes yes flickers"})
    if word is None:
        raise UsageError(f"{text!r} does not say what pressing {part} did", fix="write changes or no change")
    return Observation("press", (part,), word)


def parse_read(leg: str, text: str) -> Observation:
    """``U4.11``, ``low`` or ``0.2 V``."""
    part, dot, pin = leg.rpartition(".")
    if not dot:
        raise UsageError(f"{leg!r} is no leg", fix="write the part and the leg: U4.11")
    volts = _VOLTS.search(text)
    if volts:
        value = float(volts[1].replace(",", "."))
        word = "low" if value < LOW_VOLTS else "high" if value > HIGH_VOLTS else "between"
    else:
        word = _word(text, _READ) or ""
    if not word:
        raise UsageError(
            f"{text!r} is no reading of {leg}", fix=f"the words are: {', '.join(_READ)}, or volts: 0.2 V"
        )
    return Observation("read", (part, pin), word)


def parse_swapped(part: str, text: str) -> Observation:
    """``U4``, ``no change``."""
    word = _word(text, _SWAPPED)
    if word is None:
        raise UsageError(
            f"{text!r} does not say what the swap of {part} did", fix=f"write {' or '.join(SWAPS)}"
        )
    return Observation("swapped", (part,), word)


def observations_of(
    reasoning: Reasoning, evidence: tuple[Evidence, ...]
) -> tuple[list[Observation], list[Finding]]:
    """The evidence of notes, and what of it could not be used."""
    found: list[Observation] = []
    unused: list[Finding] = []
    colours = {c.name for c in reasoning.traced.bit_map.colours}
    for each in evidence:
        try:
            new = _observation(reasoning, each, colours)
        except UsageError as error:
            unused.append(
                note("evidence-unused", f"{each.kind} {' '.join(each.where)} {each.words}: {error.what}")
            )
            continue
        if new is None:
            unused.append(
                note(
                    "evidence-unused",
                    f"{each.kind} {' '.join(each.where)} {each.words}: it is not about this path",
                )
            )
        found += [] if new is None else new
    return found, unused


def _observation(reasoning: Reasoning, each: Evidence, colours: set[str]) -> list[Observation] | None:
    if each.kind == "seen":
        return _seen(each.words, colours)
    if each.kind == "read":
        observation = parse_read(each.where[0], each.words)
        return [observation] if observation.where in reasoning.likely.readable else None
    if each.kind == "swapped":
        observation = parse_swapped(each.where[0], each.words)
        return [observation] if each.where[0] in reasoning.parts else None
    return _measured(reasoning, each)


def _seen(words: str, colours: set[str]) -> list[Observation] | None:
    """``red missing``, ``red and green missing, blue fine``."""
    found: list[Observation] = []
    for clause in re.split(r"[,;]", words):
        named = [c for c in colours if re.search(rf"\b{re.escape(c)}\b", clause, re.IGNORECASE)]
        rest = clause
        for c in colours:
            rest = re.sub(rf"\b{re.escape(c)}\b", " ", rest, flags=re.IGNORECASE)
        if named:
            # "red mixed with green" is about red.
            first = clause.lower().split()[0] if "mix" in clause.lower() else None
            about = [first] if first in colours else sorted(named)
            found += [parse_seen(c, rest) for c in about if c]
    return [*found, *parse_manner(words)] or None


def _measured(reasoning: Reasoning, each: Evidence) -> list[Observation] | None:
    ohm = parse_ohm(each.words)
    if ohm is None or len(each.where) != 2:
        return None
    parts = [w.rpartition(".")[0] for w in each.where]
    if parts[0] == parts[1]:
        known = reasoning.traced.circuit.identified.get(parts[0])
        if known is None or not known.ohm or ("resistor", Place((parts[0],))) not in reasoning.groups:
            return None
        word = (
            "open" if ohm >= _OPEN_OHM
            else "short" if ohm < known.ohm / 20
            else "as it should be" if ohm <= known.ohm * (1 + _NEAR)
            else "wrong value"
        )  # fmt: skip
        return [Observation("ohms", (parts[0],), word)]
    for ends in (each.where, each.where[::-1]):
        if ("joint", Place(ends)) in reasoning.groups:
            return [Observation("beep", ends, "beep" if ohm <= BEEP_OHM else "no beep")]
    return None
