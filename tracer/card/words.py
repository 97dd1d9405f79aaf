"""The sentences of a card: order of probing, cautions, what is not known."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence

from tracer.base.findings import joined
from tracer.base.names import natural_key, readable_name
from tracer.base.text import clean
from tracer.card.chip_values import ChipView, LegMark, mark_text
from tracer.card.refs import said_once
from tracer.card.tables import has_neighbours
from tracer.card.values import BoardCard, ProbeKind, ProbeLeg

__all__ = ["CAUTIONS", "inputs_text", "order_items", "title_text", "unknown_items"]

#: Our words; the documents named are where to read on. The numbers of GS38 and IEC 61340-5-1 are from memory.
CAUTIONS: tuple[str, ...] = (
    "Work on the game board, not in the monitor: its chassis can be at mains potential, its tube keeps 10 to 25 kV after "
    "switch-off. Leave it to people trained for it (HSE Engineering Information Sheet 36; the maker's service manual).",
    "Measure +5 V (and -5, +12 V), polarity and the connector's key before the board is connected: too much voltage kills "
    "memories first.",
    "Clip a scope's ground to board ground only where the board's supply is isolated from the mains; never lift the "
    "scope's earth (HSE EIS 36).",
    "One hand, fine tip, or a clip fitted with power off: a slip across two legs does damage (leads: HSE GS38).",
    "Power off and rails down before a chip is pulled or fitted; mind leg 1. Memories and CMOS: wrist strap and mat (IEC "
    "61340-5-1). Ohms: board off and unplugged.",
)

#: At most this many findings of a kind are printed; the map has them all.
_MOST_FINDINGS = 9


def title_text(card: BoardCard) -> str:
    """What the card is of."""
    return clean(f"{card.bit_map.name}: colours from memory to connector")


def inputs_text(card: BoardCard) -> str:
    """From which files, with the first figures of their SHA-256, and how far it got."""
    bit_map = card.bit_map
    files = ", ".join(f"{i.file} ({i.format}, {i.sha256[:8]})" for i in bit_map.inputs)
    words = f"From {files or 'no file'}: {bit_map.n_parts} parts, {bit_map.n_nets} nets. "
    words += f"{bit_map.n_traced} of {bit_map.n_bits} bits traced to a memory pin"
    if bit_map.colours_possible:
        words += f"; {bit_map.colours_possible:,} colours possible, {bit_map.colours_at_once:,} at once"
    return clean(words + ".")


def _legs(legs: Iterable[ProbeLeg]) -> str:
    """``U13.19 15; U14.2``: the bits are in the table and on the chips."""
    by_part: dict[str, list[str]] = {}
    for leg in legs:
        by_part.setdefault(leg.part, []).append(leg.pin)
    return _per_chip(by_part, " ")


def _named(legs: Iterable[ProbeLeg]) -> str:
    """``U9, U10: 8 A0, 7 A1``."""
    by_part: dict[str, list[str]] = {}
    for leg in legs:
        by_part.setdefault(leg.part, []).append(f"{leg.pin} {readable_name(leg.word)}".strip())
    return _per_chip(by_part, ", ")


def _per_chip(legs: Mapping[str, Sequence[str]], between: str) -> str:
    """Chips with their legs; those with the same legs together."""
    alike: dict[tuple[str, ...], list[str]] = {}
    for part, words in legs.items():
        alike.setdefault(tuple(words), []).append(part)
    names = iter(said_once(part for parts in alike.values() for part in parts))
    texts = []
    for words, parts in alike.items():
        word = "legs" if len(words) > 1 else "leg"
        texts.append(f"{', '.join(next(names) for _ in parts)} {word} {between.join(words)}")
    return "; ".join(texts)


def _supply(legs: tuple[ProbeLeg, ...]) -> str:
    pairs = zip(legs[::2], legs[1::2], strict=True)
    return _per_chip({plus.part: (plus.pin, ground.pin) for plus, ground in pairs}, " to ")


def _colours(legs: Iterable[ProbeLeg]) -> str:
    """``J1: red at leg 12, green at leg N``, so that no pin's letter stands beside a colour's."""
    by_part: dict[str, list[str]] = {}
    for leg in legs:
        by_part.setdefault(leg.part, []).append(f"{leg.word} at leg {leg.pin}")
    names = said_once(by_part)
    return "; ".join(f"{name}: {', '.join(by_part[part])}" for name, part in zip(names, by_part, strict=True))


#: What base and emitter of a silicon transistor differ by while it conducts (common practice, no source).
_CONDUCTS = " While it conducts, base and emitter are 0.6 to 0.8 V apart."
#: Names of legs that tell that a transistor has a base, no gate.
_OF_BIPOLAR = frozenset({"B", "E"})


def _held(legs: Iterable[ProbeLeg]) -> str:
    """What stands on a supply."""
    held: dict[tuple[str, float], list[str]] = {}
    for leg in legs:
        if leg.volts is not None:
            held.setdefault((f"{leg.pin} {leg.word}".strip(), leg.volts), []).append(leg.part)
    texts = [
        f"leg {pin} of {', '.join(said_once(parts))} at {volts:g} V" for (pin, volts), parts in held.items()
    ]
    return f" Steady: {'; '.join(texts)}." if texts else ""


def _levels(legs: Iterable[ProbeLeg]) -> str:
    """``U22 leg 8 (red, green, blue): high``."""
    texts = [f"{g.part} leg {g.pin} ({g.word}): {'high' if g.level else 'low'}" for g in legs]
    return "; ".join(texts)


def _resistors(legs: Iterable[ProbeLeg]) -> str:
    parts = said_once(sorted({g.part for g in legs}, key=natural_key))
    return f"{parts[0]} ... {parts[-1]}" if len(parts) > 4 else ", ".join(parts)


_WORDS: dict[ProbeKind, str] = {
    "supply": "Supply at the chips' own legs: {supply}. 4.75 to 5.25 V for 5 V TTL.",
    "colour pins": "{colours}: pulse. One colour wrong: step {next_in}.{all_alike}",
    "transistors": "{ends}: pulse.{bipolar}{held} Its {gate} pulses and nothing behind it: that transistor, or a short "
    "behind it.",
    "clamps": "{levels} while the picture is drawn; the other level blanks it. Never so: follow it to what drives it.",
    "controls": "{named}: as under Legs. A dead one stops every bit of its chip; follow it to what drives it.",
    "outputs": "{legs} pulse. If so, and not {next}.",
    "inputs": "{legs} pulse. If so, and their outputs do not: that chip, after step {controls}.",
    "sources": "{legs} pulse. If so, and not {next}.{beyond}",
    "enables": "{named}: at the level that lets the chip be read, at least while the picture is drawn.",
    "index": "{named}: pulse while the picture changes. A still one gives wrong colours, not a missing bit.",
    "resistors": "Board off: {resistors}, leg to leg as in the table. Less: a short or bridge; more: open or wrong "
    "value.",
}  # fmt: skip

#: What all colours hang on.
_SHARED: tuple[ProbeKind, ...] = ("controls", "clamps", "supply")
#: Where to go on from the colour pins.
_NEXT_IN: tuple[ProbeKind, ...] = ("transistors", "outputs", "sources")

#: Said before the steps.
ORDER_RULE = "Stop at the first leg that is right: the fault lies between it and the step above."


def order_items(card: BoardCard) -> list[tuple[str, str]]:
    """Numbered steps."""
    number = {step.kind: n for n, step in reversed(list(enumerate(card.order, 1)))}
    shared = next((number[k] for k in _SHARED if k in number), None)
    later = [str(number[k]) for k in ("enables", "index") if k in number]
    items = [("", ORDER_RULE)]
    first = min((number[k] for k in ("outputs", "sources") if k in number), default=0)
    for n, step in enumerate(card.order, 1):
        template = _WORDS[step.kind]
        if step.kind == "resistors" and not has_neighbours(card):
            template = "Board off: {resistors}, end to end: not more than the value; less only where parts beside it carry."
        if step.kind == "controls" and card.from_map:
            template = "{named}: a clock pulses, a clear or enable is not held. A dead one stops every bit of its chip."
        text = template.format(
            supply=_supply(step.legs) if step.kind == "supply" else "",
            named=_named(step.legs),
            colours=_colours(step.legs) if step.kind == "colour pins" else "",
            ends=_named(leg for leg in step.legs if leg.volts is None),
            held=_held(step.legs),
            bipolar=_CONDUCTS if {leg.word for leg in step.legs} >= _OF_BIPOLAR else "",
            gate="base" if {leg.word for leg in step.legs} >= _OF_BIPOLAR else "gate",
            levels=_levels(step.legs),
            next_in=min((number[k] for k in _NEXT_IN if k in number), default="?"),
            legs=_legs(step.legs),
            resistors=_resistors(step.legs),
            next="the colour pins: resistor, transistor, track or joint between"
            if n == first and "transistors" in number
            else "the colour pins: resistor, track or joint between"
            if n == first
            else "the legs they feed: track, joint or socket",
            controls=number.get("controls", 1),
            all_alike=f" All alike: step {shared}." if shared is not None else "",
            beyond=f" None does: step{'s' if len(later) > 1 else ''} {', '.join(later)}." if later else "",
        )
        items.append((str(n), clean(text)))
    return items


def unknown_items(card: BoardCard) -> list[tuple[str, str]]:
    """Why bits stop, what the card lacks, and the findings: ``!`` may make the card wrong."""
    items = [("!", text) for text in _stops(card)]
    items += [("!", text) for text in _lacks(card)]
    found = (*card.bit_map.findings, *(card.levels.findings if card.levels else ()))
    for severity, sign in (("warning", "!"), ("note", "-")):
        own = [f.text for f in joined(found) if f.severity == severity]
        items += [(sign, text) for text in own[:_MOST_FINDINGS]]
        if len(own) > _MOST_FINDINGS:
            items.append((sign, f"{len(own) - _MOST_FINDINGS} more: see `rgbroots trace`"))
    if not items:
        items.append(
            ("-", "nothing odd was found in the input; the drawing itself may still differ from the board")
        )
    return [(sign, clean(text)) for sign, text in items]


def _stops(card: BoardCard) -> Iterator[str]:
    reasons: dict[str, list[LegMark]] = {}
    empty = []
    for colour in card.bit_map.colours:
        for bit in colour.bits:
            if bit.because:
                mark = LegMark(colour.name, bit.bit)
                reasons.setdefault(bit.because, []).append(mark)
        if not colour.bits:
            empty.append(colour.name)
    for because, marks in reasons.items():
        yield f"{mark_text(marks)}: {because}"
    if empty:
        yield f"{', '.join(empty)}: no output was found that drives it"


def _lacks(card: BoardCard) -> Iterator[str]:
    if card.from_map:
        yield (
            "this card is made from a saved map: volts, readings and the nets of legs are not in it; make the card from "
            "the netlist for those"
        )
        partly = [c.part for c in _path(card) if not c.is_whole]
        if partly:
            yield f"the map has no leg table of {', '.join(partly)}: only the legs it names are shown"
    loose = [c.part for c in _path(card) if not c.is_whole] if not card.from_map else []
    if loose:
        yield f"not all legs of {', '.join(loose)} are known: only those that the input names are shown"
    unsure = [f"{c.part} ({c.marking})" for c in _path(card) if not c.confirmed]
    if unsure and not any(f.code == "from-memory" for f in card.bit_map.findings):
        yield f"the legs of {', '.join(unsure)} have no second source: check one on the board"


def _path(card: BoardCard) -> list[ChipView]:
    return [c for c in card.chips if c.does != "write path"]
