"""From the reasoning to the answer: suspects with their faults and why, what to measure next, what comes after."""

from __future__ import annotations

from collections.abc import Sequence

from tracer.base.findings import Finding
from tracer.base.names import natural_key
from tracer.suspects.equivalents import fits_in_place
from tracer.suspects.evidence import observations_of
from tracer.suspects.fault import PathFault
from tracer.suspects.leg_faults import Fault, bits_hit
from tracer.suspects.priors import load_priors
from tracer.suspects.reasoning import Candidate, Group, Observation, Reasoning
from tracer.suspects.values import Measurement, Outcome, Suspect, SuspectFault, SuspectTable
from tracer.suspects.words import words_of
from tracer.tracing.pipeline import Traced

__all__ = ["answer", "answer_notes", "faults_called", "shown_without"]

_SILENCING = frozenset({"clock", "clear", "preset", "enable", "load"})
#: How an answer is told on the command line.
_OPTION = {"read": "--read", "ohms": "--ohms", "beep": "--beep", "press": "--pressed", "swapped": "--swapped"}
#: Suspects below this are not listed one by one.
LEAST = 0.01
MOST_SUSPECTS, MOST_FAULTS = 8, 4
CAUTIONS = {
    "read": "The board is live: one hand, a fine tip; a slip across two legs does damage (HSE GS38).",
    "ohms": "Switch off, unplug, let the supplies fall; no meter on a live board.",
    "beep": "Switch off, unplug, let the supplies fall; a meter also beeps through a few ohms.",
    "press": "The board is live: press with something that does not conduct, lightly; no freezer spray on a hot part.",
    "swapped": "Switch off and let the supplies fall before you pull or fit a chip; mind leg 1, and static with RAM "
    "and CMOS (IEC 61340-5-1).",
}
_SAYS = {
    "read": "read {}",
    "ohms": "measure {} in ohms",
    "beep": "beep {}",
    "press": "press and warm {}, watch the picture",
    "swapped": "swap {}",
}


def answer(
    reasoning: Reasoning, evidence: Sequence[Observation], findings: Sequence[Finding] = ()
) -> SuspectTable:
    """Everything there is to say after the evidence; the reasoning must have taken it in."""
    suspects = tuple(
        _suspect(reasoning, group, p)
        for group, p in list(reasoning.by_group().items())[:MOST_SUSPECTS]
        if p >= LEAST
    )
    return SuspectTable(
        reasoning.traced.bit_map.name,
        tuple(said(reasoning, o) for o in evidence),
        suspects,
        tuple(_measurement(reasoning, c) for c in reasoning.best_next()),
        _afterwards(reasoning, suspects),
        tuple(findings),
    )


def answer_notes(traced: Traced, load_ohm: float | None = 75.0) -> SuspectTable | None:
    """What the evidence of the board's notes speaks for; None without any."""
    evidence = traced.circuit.netlist.notes.evidence
    if not evidence or not any(c.bits for c in traced.bit_map.colours):
        return None
    reasoning = Reasoning(traced, load_priors(), load_ohm)
    observations, unused = observations_of(reasoning, evidence)
    for observation in observations:
        reasoning.observe(observation)
    return answer(reasoning, observations, unused)


def said(reasoning: Reasoning, observation: Observation) -> str:
    """An observation in words."""
    where = observation.where
    if observation.kind in ("warmth", "layer"):
        return "it changes with warmth" if observation.kind == "warmth" else "only one layer has it"
    if observation.kind == "press":
        return f"{where[0]} pressed: {observation.word}"
    if observation.kind == "read":
        return f"{_leg(reasoning, *where)} reads {observation.word}"
    if observation.kind == "swapped":
        return f"{where[0]} swapped: {observation.word}"
    return f"{where[0]} {observation.word}"


def _leg(reasoning: Reasoning, part: str, pin: str) -> str:
    known = reasoning.traced.circuit.identified.get(part)
    leg = known.type.by_number.get(pin) if known else None
    return f"{part}.{pin} {leg.name}" if leg and leg.name and leg.name != pin else f"{part}.{pin}"


def _suspect(reasoning: Reasoning, group: Group, probability: float) -> Suspect:
    members = [i for i, g in enumerate(reasoning.groups) if g == group]
    members.sort(key=lambda i: -reasoning.posterior[i])
    # Faults that all evidence so far treats alike are one line.
    lines: dict[tuple[float, ...], list[int]] = {}
    for i in members:
        alike = tuple(round(reasoning.likelihood(i, o), 9) for o in reasoning.seen)
        lines.setdefault(alike, []).append(i)
    faults = []
    for together in list(lines.values())[:MOST_FAULTS]:
        total = sum(reasoning.posterior[i] for i in together)
        faults.append(SuspectFault(_together([reasoning.faults[i] for i in together]), total))
    faults.sort(key=lambda f: -f.probability)
    top = reasoning.faults[members[0]]
    known = reasoning.traced.circuit.identified.get(top.part)
    pins = dict.fromkeys(p for i in members[:MOST_FAULTS] for p in reasoning.faults[i].pins)
    return Suspect(
        top.part or None,
        known.shown_type if known else None,
        (known.part.place or None) if known else None,
        group[0],
        tuple(pins),
        probability,
        tuple(faults),
        _why(reasoning, members[0]),
    )


def _together(faults: Sequence[PathFault]) -> str:
    """Faults that nothing tells apart, as one text."""
    if len(faults) > 1 and all(f.comes_and_goes for f in faults):
        legs = ", ".join(pin for f in faults for pin in f.pins)
        return f"a joint or contact of {faults[0].part} comes and goes: legs {legs}"
    texts = [f.text for f in faults]
    if len(texts) > 3:
        return f"{texts[0]} or {texts[1]} and {len(texts) - 2} more alike"
    return " or ".join(texts)


def _why(reasoning: Reasoning, fault: int) -> str:
    """What the likeliest fault of a suspect explains and what speaks against it."""
    words = reasoning.words[fault]
    if words is None:
        return (
            "nothing measured yet proves that the path is at fault; all legs of the path pulsing, and its resistors "
            "and joints good, would speak for it"
        )
    for_it: list[str] = []
    against: list[str] = []
    for o in reasoning.seen:
        if o.kind in ("warmth", "layer"):
            continue
        if o.kind == "seen":
            (for_it if words.get(o.where[0]) == o.word else against).append(f"{o.where[0]} {o.word}")
        else:
            chances = reasoning.chances(fault, o.kind, o.where)
            fits = chances.get(o.word, 0.0) >= 0.5
            (for_it if fits else against).append(said(reasoning, o))
    sentence = f"{reasoning.faults[fault].text} would show {', '.join(f'{c} {w}' for c, w in words.items())}"
    if for_it:
        sentence += f"; explains: {', '.join(for_it)}"
    if against:
        sentence += f"; against it: {', '.join(against)}"
    return sentence


def _measurement(reasoning: Reasoning, candidate: Candidate) -> Measurement:
    where = candidate.where
    name = _leg(reasoning, *where) if candidate.kind == "read" else where[0]
    outcomes = []
    for word, (probability, groups) in reasoning.outcomes(candidate).items():
        (what, place), p = max(groups.items(), key=lambda item: (item[1], item[0]))
        label = "not in this path" if what == "outside" else f"{what} {place}"
        outcomes.append(Outcome(word, probability, f"{label}, {p:.0%}"))
    outcomes.sort(key=lambda o: -o.probability)
    part = where[0] if candidate.kind in ("read", "press", "swapped") else None
    known = reasoning.traced.circuit.identified.get(part or "")
    beside = _beside(reasoning, *where) if candidate.kind == "read" else ""
    return Measurement(
        _SAYS[candidate.kind].format(name) + beside,
        part,
        where[1] if candidate.kind == "read" else None,
        (known.part.place or None) if known else None,
        candidate.minutes,
        CAUTIONS[candidate.kind],
        tuple(outcomes),
        f"{_OPTION[candidate.kind]} '{'.'.join(where)}={outcomes[0].reading}'",
    )


def _beside(reasoning: Reasoning, part: str, pin: str) -> str:
    """The legs next to a leg, so that the probe can be counted to its place."""
    known = reasoning.traced.circuit.identified.get(part)
    if known is None or not pin.isdecimal():
        return ""
    near = [str(n) for n in (int(pin) - 1, int(pin) + 1) if str(n) in known.type.by_number]
    names = [f"{n} {known.type.by_number[n].name}".strip() for n in near]
    return f", next to {' and '.join(names)}" if names else ""


def _afterwards(reasoning: Reasoning, suspects: Sequence[Suspect]) -> tuple[str, ...]:
    """What is normal once the top suspect is cured."""
    if not suspects or suspects[0].part is None:
        return ()
    part = suspects[0].part
    known = reasoning.traced.circuit.identified.get(part)
    hit = {c for c, _ in bits_hit(reasoning.traced, Fault("out of its socket", part))}
    lines = list(_controls_first(reasoning, part)) if suspects[0].what == "chip" else []
    lines += [
        "Cured when "
        + (", ".join(sorted(hit)) or "every colour")
        + " shows all its steps, from warm-up on, and the leg that was wrong pulses.",
    ]
    if (
        part in reasoning.traced.circuit.identified
        and reasoning.traced.circuit.identified[part].kind == "ram"
    ):
        lines.append(
            "A palette RAM just fitted shows wrong colours until the game writes it again: that is normal, switch on anew "
            "and wait for the title."
        )
    fits = fits_in_place(known, reasoning.library) if suspects[0].what == "chip" and known else None
    if fits:
        lines.append(fits)
    lines.append("Power off before fitting; a chip taken out that tests good can still have been the fault.")
    if suspects[0].what == "chip":
        lines.append(f"For the record, in the board's notes: swapped {part}, cured")
    return tuple(lines)


def _controls_first(reasoning: Reasoning, part: str) -> list[str]:
    """Legs that can silence a good chip from outside."""
    known = reasoning.traced.circuit.identified[part]
    legs = sorted(
        {arc.source for arc in known.type.arcs if arc.kind == "control" and arc.role in _SILENCING},
        key=natural_key,
    )
    supply = [p.number for p in known.type.pins if p.direction == "power"]
    if not legs and not supply:
        return []
    named = [_leg(reasoning, part, leg) for leg in legs]
    supplies = [f"{part}.{leg}" for leg in sorted(supply, key=natural_key)]
    return [
        f"Before you pull {part}: a good chip is silent too without its supply ({', '.join(supplies) or 'not drawn'})"
        + (
            f" or with a wrong level at {', '.join(named)}; read these first."
            if named
            else "; read it first."
        )
    ]


def faults_called(reasoning: Reasoning, words: str) -> list[tuple[str, dict[str, str]]]:
    """Faults whose name holds all the words, each with what the screen shows: colour -> word."""
    wanted = words.lower().split()
    return [
        (fault.text, shown)
        for fault, shown in zip(reasoning.faults, reasoning.words, strict=True)
        if shown is not None and all(w in fault.text.lower() for w in wanted)
    ]


def shown_without(reasoning: Reasoning, part: str) -> dict[str, str]:
    """What the screen shows with a chip pulled: colour -> word; empty for a part off the path."""
    for i, fault in enumerate(reasoning.faults):
        if fault.part == part and "no contact in its socket" in fault.text:
            return words_of(reasoning.picture.shown(reasoning.faults[i]), reasoning.picture.healthy)
    return {}
