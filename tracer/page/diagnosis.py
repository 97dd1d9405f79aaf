"""The tables of the reasoning as the page's script reads them: short names and runs, as they stand there for every fault.

``runs``: ``3*2 5`` is 3, 3, 5; ``-1`` stands for none. Numbers of faults as spans: ``0-2 4``.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from itertools import groupby
from typing import Any

from tracer.base.text import clean
from tracer.netlist.note_words import place_word
from tracer.page.paths import as_spans
from tracer.suspects.appearance import SAID
from tracer.suspects.noted import note_line
from tracer.suspects.observation import ANSWERS, Observation
from tracer.suspects.priors import Priors
from tracer.suspects.reasoning import limits_of_reasoning
from tracer.suspects.tables import Measurable, ReasoningTables
from tracer.suspects.text import (
    CAUTIONS,
    CURED,
    CURED_PUT_ASIDE,
    FITTED_RAM,
    POWER_OFF_FIRST,
    leg_text,
)
from tracer.suspects.volts import Scale, limits_of_volts
from tracer.suspects.words import NEIGHBOURS, WORDS

__all__ = ["diagnosis_value"]


def diagnosis_value(tables: ReasoningTables) -> dict[str, Any]:
    """The tables as JSON values.

    ``faults``: text t (a place in ``patterns`` and, for its signs #, places in ``names``), prior p (place in ``priors``), suspect g, usual words u (place in ``words_shown``), s places in
    ``shares`` a colour, unsteady v. ``groups``: name n, part p, what w, ends e, proof m. ``measure``, a row each: kind, place,
    minutes, number of those made in one go, natural rank, usual chances, others (a place in ``chances`` and faults), then
    minutes of a swap in a socket and soldered, a scale of volts, or ohms. ``appears``: wanted colour and a place in ``named`` for each fault;
    ``named``: per cent of each of ``said``, letter by letter.
    """
    faults, priors = tables.faults, tables.reasoning.priors
    prior_pool = list(dict.fromkeys(f.prior for f in faults))
    words_pool = list(dict.fromkeys(f.words for f in faults if f.words is not None))
    n_colours = len(tables.colours)
    texts, patterns, names = _patterns(tables)
    return {
        "colours": [clean(c) for c in tables.colours],
        "words": WORDS,
        "near": NEIGHBOURS,
        "said": SAID,
        "answers": ANSWERS,
        "patterns": patterns,
        "names": names,
        "priors": prior_pool,
        "words_shown": words_pool,
        "faults": {
            "t": texts,
            "p": runs(prior_pool.index(f.prior) for f in faults),
            "g": runs(f.group for f in faults),
            "u": runs(-1 if f.words is None else words_pool.index(f.words) for f in faults),
            "s": [
                # -2: not computed at all; -1: this colour is not.
                runs(-2 if f.shares is None else _place(f.shares[i]) for f in faults)
                for i in range(n_colours)
            ],
            "v": as_spans(i for i, f in enumerate(faults) if f.is_unsteady),
        },
        "groups": [
            {
                "n": clean(name),
                "p": part,
                "w": group[0],
                "e": list(group[1].ends),
                "m": _place(proof),
            }
            for name, part, group, proof in zip(
                tables.group_names, tables.group_parts, tables.groups, tables.proofs, strict=True
            )
        ],
        "shares": tables.shares,
        "usual_words": tables.usual_words,
        "chances": tables.chances,
        "measure": [_measurable(m) for m in tables.measurables],
        "appears": {a.wanted: runs(a.of_faults) for a in tables.appears},
        "named": ["".join(_letters(row)) for row in tables.named],
        "after": {
            part: {
                "b": [clean(line) for line in of.before],
                "s": clean(of.swapped),
                "f": clean(of.fits),
                "c": list(of.colours),
                "r": int(of.is_ram),
            }
            for part, of in tables.afterwards.items()
        },
        "sentences": {
            "cured": [CURED[False], CURED[True]],
            "ram": FITTED_RAM,
            "aside": CURED_PUT_ASIDE,
            "off": POWER_OFF_FIRST,
        },
        "cautions": dict(CAUTIONS),
        "seen": [_observation(o) for o in tables.seen],
        "quoted": {name: quoted for name, quoted in _quoted(tables.measurables) if name != quoted},
        "rates": _rates(priors),
        "limits": {**limits_of_reasoning(), **limits_of_volts()},
    }


def runs(numbers: Iterable[int]) -> str:
    """Numbers one after another, repeated ones as a product.

    >>> runs([3, 3, 5, -1])
    '3*2 5 -1'
    """
    found = ((number, sum(1 for _ in same)) for number, same in groupby(numbers))
    return " ".join(str(number) if n == 1 else f"{number}*{n}" for number, n in found)


def _patterns(tables: ReasoningTables) -> tuple[list[str], list[str], list[str]]:
    """The faults' texts: each as its pattern's place and those of the names that stand for its ``#``."""
    patterns: dict[str, int] = {}
    names: dict[str, int] = {}
    texts = []
    for row, fault in zip(tables.faults, tables.reasoning.faults, strict=True):
        text = clean(row.text).replace("#", "-")
        own: list[int] = []
        for name in dict.fromkeys(clean(each) for each in (*map(leg_text, fault.legs), fault.part) if each):
            head, found, tail = text.partition(name)
            if found and "#" not in name:
                # Names stand in the order in which the text has them.
                own.insert(head.count("#"), names.setdefault(name, len(names)))
                text = f"{head}#{tail}"
        texts.append(" ".join(map(str, (patterns.setdefault(text, len(patterns)), *own))))
    return texts, list(patterns), list(names)


def _place(at: int | None) -> int:
    return -1 if at is None else at


def _letters(row: Sequence[int]) -> Iterable[str]:
    """``a70c30``: 70 % say the first word, 30 % the third."""
    return (f"{chr(ord('a') + i)}{percent}" for i, percent in enumerate(row) if percent)


def _measurable(m: Measurable) -> list[Any]:
    more: list[Any] = []
    if m.in_socket or m.soldered:
        more = [m.in_socket, m.soldered]
    if m.scale is not None and m.scale != Scale():
        more = [m.scale.kind, m.scale.least, m.scale.most]
    if m.ohm is not None:
        more = [m.ohm]
    differing = ";".join(f"{own}:{as_spans(faults)}" for own, faults in m.differing)
    kind = list(ANSWERS).index(m.kind)
    return [kind, list(m.where), m.minutes, m.beside, m.natural, m.usual, differing, *more]


def _observation(o: Observation) -> dict[str, Any]:
    return {"k": o.kind, "w": list(o.where), "a": o.word, "n": int(o.is_denied), "l": note_line(o)}


def _quoted(measurables: Iterable[Measurable]) -> Iterable[tuple[str, str]]:
    """Names of places, each as notes write it."""
    for m in measurables:
        names = (".".join(m.where),) if m.kind == "read" else m.where
        if m.kind != "exchanged":
            yield from ((name, place_word(name)) for name in names if name != "ground")


def _rates(priors: Priors) -> dict[str, Any]:
    """How often people err, what minutes cost, and what is said of the whole picture."""
    tables = priors.tables
    return {
        **{name: dict(tables[name]) for name in ("error", "careless", "warmth", "layer", "shapes", "outside_first", "outside")},
        "minutes": dict(tables["minutes"]),
    }  # fmt: skip
