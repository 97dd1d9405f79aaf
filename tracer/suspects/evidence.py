"""What people say of a fault -> observations: words of notes (`seen red missing`) and of the command line.

Words of the screen (`tracer.suspects.screen`) and of the probe (`readings`) are
taken with what people usually say for them. A reading may be given in volts, a
measurement in ohms; what they mean there follows from what is measured.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Mapping

from tracer.base.errors import UsageError
from tracer.base.findings import Finding, note
from tracer.base.units import parse_ohm
from tracer.netlist.board import Evidence
from tracer.suspects.exchange import EXCHANGES
from tracer.suspects.observation import Observation, ObservationKind
from tracer.suspects.phrases import FILLERS, Phrases, check_length, one_word
from tracer.suspects.readings import OHMS, READINGS, SWAPS
from tracer.suspects.reasoning import Reasoning
from tracer.suspects.screen import said_of_screen
from tracer.suspects.told import arranged, ends_of, leg_told, place_told, resistor_ohm, to_ground
from tracer.suspects.volts import HIGH_VOLTS, LOW_VOLTS, Scale, scale_at, word_of_volts

__all__ = [
    "HIGH_VOLTS", "KINDS", "LIMITS_OF_OHMS", "LOW_VOLTS", "observations_of", "observations_told", "parse_beep", "parse_exchanged", "parse_ohms", "parse_pressed",
    "parse_read", "parse_seen", "parse_swapped",
]  # fmt: skip

_READ = Phrases(
    {
        "pulsing": "pulses|pulse|toggling|toggles|toggle|active|busy|moving|moves|changes|changing|alive|switching|clocking|"
        "low and high|high and low|low to high|high to low|between low and high|between high and low|both levels|"
        "low then high|pulses low|pulses high|pulsing low|pulsing high|pulses with the picture|pulses all the time|"
        "pulses between low and high|pulsing between low and high|toggles between low and high|still pulsing|"
        "still pulses|still moving|still moves|still toggling|activity|picture|clock",
        "low": "zero|ground|grounded|0|lo|stuck low|held low|at ground|still low",
        "high": "one|1|hi|stuck high|held high|still high",
        "floating": "floats|float|open|nothing|dead|hi z|no level of its own",
        "between": "in between|weak|half|halfway|half way|neither low nor high|neither high nor low",
        "<still>": "still|static|steady|constant|stands|stands still|standing|standing still|unchanging|stuck",
    },
    tuple(f for f in FILLERS if f != "level"),
)
_OHMS = Phrases(
    {
        "as it should be": "as it should be to ground|right|ok|okay|fine|good|normal|correct|as marked|open to ground|open to supply|high to ground|"
        "infinite to ground|no connection to ground|its value",
        "short": "shorted|short circuit|zero|short to ground|shorted to ground|short to supply|shorted to supply|"
        "short to vcc|shorted to vcc|zero to ground",
        "open": "infinite|open circuit|ol|overload",
        "wrong value": "wrong|off|another value",
    }
)
_BEEP = Phrases(
    {"beep": "beeps|yes|connected|continuity|connection", "no beep": "none|silent|open|silence|nothing"}
)
_PRESSED = Phrases(
    {
        "changes": "change|changed|yes|flickers|different|effect|difference|comes back",
        "no change": "none|nothing|same|the same|unchanged|nothing changes|nothing changed",
    }
)
_EXCHANGED = Phrases(
    {
        "moves": "moved|follows|followed|goes along|went along|goes with it|changes colour|changed colour|changes places",
        "stays": "stayed|no change|same|the same|unchanged|still there|does not move|did not move",
        "cured": "fixed|good|right|gone|fault gone|all right",
    }
)
_SWAPPED = Phrases(
    {
        "cured": "fixed|good|better|gone|fixed it|cured it|fault gone|fault is gone|helped|helps|help",
        "no change": "same|the same|unchanged|still|still there|still the same|still wrong|"
        "no effect|no difference|made no difference|makes no difference|did not change|not changed|nothing changed",
    }
)
#: A meter beeps up to about here (common practice, no source).
BEEP_OHM = 50.0
#: In the circuit a resistor reads its value or less; beyond this share it is another one. Below a twentieth it is a short.
_NEAR, _SHORT = 0.25, 0.05
_OPEN_OHM = 1e6
#: The same by name, for a script that reads ohms as this module does.
LIMITS_OF_OHMS: Mapping[str, float] = {"near_share": _NEAR, "short_share": _SHORT, "open_ohm": _OPEN_OHM}
_VOLTS = re.compile(r"(?<![\w.,])([-+]?)(\d+(?:[.,]\d+)?)\s*(m?)v(?:olts?)?(\d*)(?![a-z0-9])", re.IGNORECASE)
#: "between 0.2 and 3.5 V": the unit stands once.
_BOTH_VOLTS = re.compile(
    r"(?<![\w.,])(\d+(?:[.,]\d+)?)\s*(?:and|to|-|\.\.+)\s*(?=\d+(?:[.,]\d+)?\s*v(?:olts?)?\b)", re.IGNORECASE
)
#: Ohms to ground or supply, not between two ends.
_TO_RAIL = re.compile(r"(?:^|\s+)(?:to|against)\s+(?:ground|gnd|supply|vcc|\+?5\s*v)\b[\s,]*", re.IGNORECASE)
#: What is said of a track that a meter was held to, and not of a beep along it.
_OF_A_SHORT = re.compile(r"\bshort(?:ed|s)?\b|\bas it should be\b", re.IGNORECASE)
_USUAL_COLOURS = ("red", "green", "blue")


def parse_seen(where: str, text: str, colours: tuple[str, ...] = ()) -> list[Observation]:
    """``red``, ``missing``; ``white``, ``as blue``; ``all``, ``fine``. Without `colours` those that `where` names count.

    Raises
    ------
    UsageError
        Something in it is no word for the screen.
    """
    named = colours or tuple(
        c for c in re.split(r"\s*(?:,|\band\b|\s)\s*", where.lower()) if c.isidentifier()
    )
    return said_of_screen(f"{where} {text}", named)


def parse_beep(place: str, text: str) -> Observation:
    """``U9.17 to U13.18``, ``none``."""
    if text.strip().lower() == "no":
        text = "none"
    return _told("beep", place, text, _BEEP, f"does not say whether {place[:40]} beeps", "write beep or none")


def parse_ohms(place: str, text: str) -> Observation:
    """``R5``, ``open``; ``U9.17 to U13.18``, ``short``."""
    what = f"does not say what the meter showed at {place[:40]}"
    fix = f"the words are: {', '.join(OHMS)}; or ohms: 470, 4k7"
    if len(ends_of(place)) > 1 and re.fullmatch(r"\s*infinite\s*", text, re.IGNORECASE):
        text = "open"
    said = one_word(_OHMS.said(text, what, fix), text, what, fix)
    return Observation("ohms", ends_of(place), said.word, said.is_denied)


def parse_pressed(part: str, text: str) -> Observation:
    """``U13``, ``changes``."""
    if text.strip().lower() == "no":
        text = "none"
    return _told(
        "press",
        part,
        text,
        _PRESSED,
        f"does not say what pressing {part[:40]} did",
        "write changes or no change",
    )


def parse_swapped(part: str, text: str) -> Observation:
    """``U4``, ``no change``."""
    return _told(
        "swapped",
        part,
        text,
        _SWAPPED,
        f"does not say what the swap of {part[:40]} did",
        f"write {' or '.join(SWAPS)}",
    )


def parse_exchanged(colours: str, text: str) -> Observation:
    """``red and green``, ``moves``."""
    what = f"does not say what exchanging {colours[:40]} did"
    fix = f"write {', '.join(EXCHANGES[:-1])} or {EXCHANGES[-1]}"
    said = one_word(_EXCHANGED.said(text, what, fix), text, what, fix)
    return Observation("exchanged", ends_of(colours.lower()), said.word, said.is_denied)


def _told(kind: ObservationKind, place: str, text: str, phrases: Phrases, what: str, fix: str) -> Observation:
    """A measurement with two answers: to deny one is to say the other."""
    said = one_word(phrases.said(text, what, fix), text, what, fix)
    one, other = phrases.words
    word = said.word if not said.is_denied else other if said.word == one else one
    return Observation(kind, ends_of(place) if kind == "beep" else (place.strip(),), word)


def parse_read(leg: str, text: str, scale: Scale | None = None) -> Observation:
    """``U4.11``, ``low`` or ``0.2 V``; volts by the scale of the leg, a TTL level where none is given.

    Raises
    ------
    UsageError
        It is no leg, or no reading, or one that no leg of this kind has.
    """
    check_length(text)
    part, pin = leg_told(leg)
    text = _BOTH_VOLTS.sub(r"\1 V and ", text)
    fix = f"the words are: {', '.join(READINGS)}, or volts: 0.2 V"
    what = f"is no reading of {leg[:40]}"
    volts = [_volts(each) for each in _VOLTS.finditer(text)]
    words = {word_of_volts(value, leg, scale) for value in volts}
    rest = re.sub(
        r"\b(from|to|and|between|at|about|around|steady)\b" if volts else r"(?!)", " ", _VOLTS.sub(" ", text)
    )
    said = _READ.said(rest, what, fix)
    if len(words) > 1:
        # "between 0.2 and 3.5 V" moves; two levels that are not low and high are no one reading.
        if words != {"low", "high"}:
            raise UsageError(f"{text.strip()[:80]!r} {what}: it gives {' and '.join(sorted(words))}", fix=fix)
        words = {"pulsing"}
    claimed = {s.word for s in said if not s.is_denied} - {"<still>"}
    claimed |= words
    if len(claimed) > 1 and words:
        raise UsageError(f"{text.strip()[:80]!r} {what}: it says {' and '.join(sorted(claimed))}", fix=fix)
    if len(claimed) == 1 and not any(s.is_denied and s.word in claimed for s in said):
        word = next(iter(claimed))
        if word == "pulsing" and any(s.word == "<still>" and not s.is_denied for s in said):
            raise UsageError(f"{text.strip()[:80]!r} {what}: it moves and stands still", fix=fix)
        return Observation("read", (part, pin), word)
    if not claimed and any(s.word == "<still>" for s in said):
        still = next(s for s in said if s.word == "<still>")
        return Observation("read", (part, pin), "pulsing", not still.is_denied)
    only = one_word(said, text, what, fix)
    return Observation("read", (part, pin), only.word, only.is_denied)


def _volts(found: re.Match[str]) -> float:
    """``0.2 V``, ``200 mV``, ``3V3``, ``-5 V``."""
    sign, number, milli, behind = found.groups()
    value = float(number.replace(",", ".") + (f".{behind}" if behind and "." not in number else ""))
    return (-value if sign == "-" else value) / (1000 if milli else 1)


# -- at the places of a board -------------------------------------------------------------------------


def observations_told(reasoning: Reasoning, kind: str, where: str, words: str) -> list[Observation]:
    """What one piece of evidence says; `kind` is one of `KINDS`.

    Raises
    ------
    UsageError
        The words are none of the kind's, or the place is none at which it says something of the colours.
    """
    check_length(f"{where} {words}")
    return _TOLD[kind](reasoning, where, words)


def _seen(reasoning: Reasoning, where: str, words: str) -> list[Observation]:
    colours = tuple(c.name for c in reasoning.traced.bit_map.colours)
    others = tuple(
        c for c in (*_USUAL_COLOURS, where.strip().lower()) if c not in colours and c.isidentifier()
    )
    where = " and ".join(where.split(","))
    found = said_of_screen(f"{where} {words}", colours, others)
    for each in found:
        if each.kind == "appears":
            reasoning.likely.appearance.shown(each.where[0])
        if each.kind == "press":
            place_told(reasoning, each)
    return found


def _read(reasoning: Reasoning, where: str, words: str) -> list[Observation]:
    where, words = arranged(reasoning, "read", where, words)
    place = place_told(reasoning, Observation("read", leg_told(where), ""))
    return [parse_read(".".join(place.where), words, scale_at(reasoning, place.where))]


def _beep(reasoning: Reasoning, where: str, words: str) -> list[Observation]:
    where, words = arranged(reasoning, "beep", where, words)
    ohm = parse_ohm(words)
    if ohm is not None and not words.strip().isalpha():
        words = "beeps" if ohm <= BEEP_OHM else "none"
    return [place_told(reasoning, parse_beep(where, words))]


def _ohms(reasoning: Reasoning, where: str, words: str) -> list[Observation]:
    where, words = arranged(reasoning, "ohms", where, words)
    to_rail = _TO_RAIL.search(words)
    if to_rail is not None:
        where = to_ground(reasoning, where)
    plain = _TO_RAIL.sub(" ", words).strip()
    ohm = parse_ohm(plain)
    ends = ends_of(where)
    if ohm is None:
        return [place_told(reasoning, parse_ohms(where, f"{plain} to ground" if to_rail else words))]
    if len(ends) > 1 and not to_rail and "ground" not in (end.lower() for end in ends):
        # From one end to the other: what beeps is joined.
        return [place_told(reasoning, Observation("beep", ends, "beep" if ohm <= BEEP_OHM else "no beep"))]
    place = place_told(reasoning, Observation("ohms", ends, ""))
    if len(place.where) > 1:
        # To ground: a few ohms are a short, anything else is what chips give.
        return [Observation("ohms", place.where, "short" if ohm <= BEEP_OHM else "as it should be")]
    known = resistor_ohm(reasoning, place.where[0])
    if not known:
        raise UsageError(
            f"the value of {place.where[0]} is not known, so {words.strip()} says nothing of it",
            fix="tell it: --part with the value, or write open, short or wrong value",
        )
    word = (
        "open" if ohm >= _OPEN_OHM > known
        else "short" if ohm < known * _SHORT
        else "as it should be" if ohm <= known * (1 + _NEAR)
        else "wrong value"
    )  # fmt: skip
    return [Observation("ohms", place.where, word)]


def _pressed(reasoning: Reasoning, where: str, words: str) -> list[Observation]:
    return [place_told(reasoning, parse_pressed(*arranged(reasoning, "press", where, words)))]


def _swapped(reasoning: Reasoning, where: str, words: str) -> list[Observation]:
    return [place_told(reasoning, parse_swapped(*arranged(reasoning, "swapped", where, words)))]


def _exchanged(reasoning: Reasoning, where: str, words: str) -> list[Observation]:
    return [place_told(reasoning, parse_exchanged(*arranged(reasoning, "exchanged", where, words)))]


_TOLD: Mapping[str, Callable[[Reasoning, str, str], list[Observation]]] = {
    "seen": _seen, "read": _read, "beep": _beep, "ohms": _ohms, "pressed": _pressed, "swapped": _swapped,
    "exchanged": _exchanged,
}  # fmt: skip
#: What can be told.
KINDS: tuple[str, ...] = tuple(_TOLD)


# -- of notes -----------------------------------------------------------------------------------------


def observations_of(
    reasoning: Reasoning, evidence: tuple[Evidence, ...]
) -> tuple[list[Observation], list[Finding]]:
    """The evidence of notes, and what of it could not be used."""
    found: list[Observation] = []
    unused: list[Finding] = []
    for each in evidence:
        try:
            found += _noted(reasoning, each)
        except UsageError as error:
            said = " ".join(w for w in (each.kind, " to ".join(each.where), each.words) if w)
            unused.append(note("evidence-unused", f"{said}: {error.what}; {error.fix}"))
    return found, unused


def _noted(reasoning: Reasoning, each: Evidence) -> list[Observation]:
    check_length(" ".join((*each.where, each.words)))
    if each.kind == "seen":
        return _seen(reasoning, "", each.words)
    if each.kind != "measured":
        return observations_told(reasoning, each.kind, " and ".join(each.where), each.words)
    parts = [w.rpartition(".")[0] for w in each.where]
    # Two legs of one part: across a resistor, but for neighbours that a bridge may join and colours that may be shorted.
    places = {place.ends for _, place in reasoning.groups}
    is_between = each.where in places or each.where[::-1] in places
    if len(parts) == 2 and parts[0] == parts[1] and not is_between:
        return _ohms(reasoning, parts[0], each.words)
    where = " to ".join(each.where)
    is_ohm = parse_ohm(_TO_RAIL.sub(" ", each.words).strip()) is not None
    is_of_ohms = is_ohm or len(parts) < 2 or _OF_A_SHORT.search(each.words) is not None
    return (_ohms if is_of_ohms else _beep)(reasoning, where, each.words)
