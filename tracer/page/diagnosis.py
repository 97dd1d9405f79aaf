"""The tables of the reasoning as the page's script reads them: short names and runs, as they stand there for every fault.

``runs``: ``3*2 5`` is 3, 3, 5; ``-1`` stands for none. Numbers of faults as spans: ``0-2 4``.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from itertools import groupby
from typing import Any

from tracer.base.text import clean
from tracer.netlist.note_words import place_word
from tracer.page.paths import as_spans
from tracer.suspects.answer import unread_lines
from tracer.suspects.appearance import SAID, words_known
from tracer.suspects.cure_text import CURED, CURED_PUT_ASIDE, FITTED_RAM, POWER_OFF_FIRST, REPAIRS
from tracer.suspects.doubts import LEAST_PIECES, ODD
from tracer.suspects.evidence import LIMITS_OF_OHMS
from tracer.suspects.noted import NOTED_KINDS, OF_ALL, note_line
from tracer.suspects.observation import ANSWERS, Observation
from tracer.suspects.priors import Priors, chances
from tracer.suspects.reasoning import limits_of_reasoning
from tracer.suspects.tables import WANTED, Measurable, ReasoningTables
from tracer.suspects.text import CAUTIONS, direction_text, leg_text
from tracer.suspects.volts import Scale, limits_of_volts
from tracer.suspects.words import NEIGHBOURS, WORDS

__all__ = ["diagnosis_value"]


def diagnosis_value(tables: ReasoningTables) -> dict[str, Any]:
    """The tables as JSON values.

    ``faults``: text t (a place in ``patterns`` and, for its signs #, places in ``names``), prior p (place in ``priors``), suspect g, usual words u (place in ``words_shown``), s places in
    ``shares`` a colour, unsteady v. ``suspects``: name, part and what it is. ``groups``: a place in ``suspects``, ends, the measurement that proves it.
    ``measure``, a row each: kind, place (of beeps and ohms the group that has its ends),
    minutes, number of those made in one go, natural rank, usual chances, others (a place in ``chances`` and faults), then
    minutes of a swap in a socket and soldered, a scale of volts, or ohms. ``appears``: wanted colour and a place in ``named`` for each fault;
    ``named``: per cent of each of ``said``, letter by letter.
    """
    faults, priors = tables.faults, tables.reasoning.priors
    prior_pool = list(dict.fromkeys(f.prior for f in faults))
    words_pool = list(dict.fromkeys(f.words for f in faults if f.words is not None))
    n_colours = len(tables.colours)
    texts, patterns, names = _patterns(tables)
    every_group = list(zip(tables.group_names, tables.group_parts, tables.groups, tables.proofs, strict=True))
    suspects = [
        list(each)
        for each in dict.fromkeys((clean(name), part, group[0]) for name, part, group, _ in every_group)
    ]
    ends = {group[1].ends: i for i, group in reversed(list(enumerate(tables.groups)))}
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
        "suspects": suspects,
        "groups": [
            [suspects.index([clean(name), part, group[0]]), list(group[1].ends), _place(proof)]
            for name, part, group, proof in every_group
        ],
        "shares": tables.shares,
        "usual_words": tables.usual_words,
        "chances": tables.chances,
        "measure": [_measurable(m, ends) for m in tables.measurables],
        "appears": {a.wanted: runs(a.of_faults) for a in tables.appears},
        "named": ["".join(_letters(row)) for row in tables.named],
        "after": {
            part: {
                "b": [clean(line) for line in of.before],
                "s": clean(of.swapped),
                "f": clean(of.fits),
                "c": list(of.colours),
                "r": int(of.is_ram),
                "d": [clean(each) for each in of.donors],
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
        "repairs": dict(REPAIRS),
        "seen": [_observation(tables, o) for o in tables.seen],
        "quoted": {name: quoted for name, quoted in _quoted(tables.measurables) if name != quoted},
        "rates": _rates(priors),
        "elsewhere": [chances(priors, "unlisted_read").get(word, 0.0) for word in ANSWERS["read"]],
        "noted": NOTED_KINDS,
        "of_all": _of_all(),
        "direction": direction_text(unread_lines(tables.reasoning)),
        "places": {part: clean(place) for part, place in tables.places.items()},
        "limits": {
            **limits_of_reasoning(),
            **limits_of_volts(),
            **LIMITS_OF_OHMS,
            "odd_evidence": ODD,
            "least_pieces": LEAST_PIECES,
        },
    }


def _of_all() -> dict[str, dict[str, tuple[str, str]]]:
    """What is said of the whole picture, as notes have it: by kind and word, said and denied."""
    found: dict[str, dict[str, tuple[str, str]]] = {}
    for (kind, word), lines in OF_ALL.items():
        found.setdefault(kind, {})[word] = lines
    return found


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
        for leg in dict.fromkeys(clean(each) for each in (*map(leg_text, fault.legs), fault.part) if each):
            head, found, tail = text.partition(leg)
            if found and "#" not in leg:
                # Names stand in the order in which the text has them.
                own.insert(head.count("#"), names.setdefault(leg, len(names)))
                text = f"{head}#{tail}"
        texts.append(" ".join(map(str, (patterns.setdefault(text, len(patterns)), *own))))
    return texts, list(patterns), list(names)


def _place(at: int | None) -> int:
    return -1 if at is None else at


def _letters(row: Sequence[int]) -> Iterable[str]:
    """``a70c30``: 70 % say the first word, 30 % the third."""
    return (f"{chr(ord('a') + i)}{percent}" for i, percent in enumerate(row) if percent)


def _measurable(m: Measurable, ends: Mapping[tuple[str, ...], int]) -> list[Any]:
    more: list[Any] = []
    if m.in_socket or m.soldered:
        more = [m.in_socket, m.soldered]
    if m.scale is not None and m.scale != Scale():
        more = [m.scale.kind, m.scale.least, m.scale.most]
    if m.ohm is not None:
        more = [m.ohm]
    differing = ";".join(f"{own}:{as_spans(faults)}" for own, faults in m.differing)
    kind = list(ANSWERS).index(m.kind)
    where = ends[m.where] if m.kind in ("beep", "ohms") else list(m.where)
    return [kind, where, m.minutes, m.beside, m.natural, m.usual, differing, *more]


def _observation(tables: ReasoningTables, o: Observation) -> dict[str, Any]:
    """Kind k, place w, word a, denied n, line of notes l; of a colour called otherwise than by ``said`` g: of how many
    words that is one, and per cent of the persons who say it under each fault.
    """
    found: dict[str, Any] = {
        "k": o.kind,
        "w": list(o.where),
        "a": o.word,
        "n": int(o.is_denied),
        "l": clean(note_line(o)),
    }
    if o.kind == "appears" and not (o.word in SAID and o.where[0] in WANTED):
        shares = tables.reasoning.likely.appearance.shares(o.where[0], o.word)
        found["g"] = [len(words_known(o.word)), runs(round(100 * own.get(o.word, 0.0)) for own in shares)]
    return found


def _quoted(measurables: Iterable[Measurable]) -> Iterable[tuple[str, str]]:
    """Names of places, each as notes write it."""
    for m in measurables:
        ends = (".".join(m.where),) if m.kind == "read" else m.where
        if m.kind != "exchanged":
            yield from ((end, place_word(end)) for end in ends if end != "ground")


def _rates(priors: Priors) -> dict[str, Any]:
    """How often people err, what minutes cost, and what is said of the whole picture."""
    tables = priors.tables
    return {
        **{name: dict(tables[name]) for name in ("error", "careless", "warmth", "layer", "shapes", "outside_first", "outside")},
        "minutes": dict(tables["minutes"]),
    }  # fmt: skip
