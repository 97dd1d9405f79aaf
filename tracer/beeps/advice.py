"""From the search to what a person is told: the next touch and why, how far along, which chips, what contradicts."""

from __future__ import annotations

import math

from tracer.base.toml_numbers import NumberTables
from tracer.base.units import format_ohm
from tracer.beeps.bench import Bench
from tracer.beeps.chip_guesses import beside, chip_guesses
from tracer.beeps.choice import CONNECTIONS, Choice, Search
from tracer.beeps.doubts import Clash, ClashKind, doubtful
from tracer.beeps.facts import touch_line
from tracer.beeps.members import is_settled
from tracer.beeps.rules import ANY
from tracer.beeps.values import Contradiction, NextTouch, Progress, SweepLeg, TouchAdvice
from tracer.beeps.wanted import Connection, Want
from tracer.bitmap.model import BitMap
from tracer.netlist.board import PinRef
from tracer.parts.identify import Identified

__all__ = ["RULES_OF_ONE_WORD", "advice_of"]

#: Slips that are less likely than this together are not worth a word.
LEAST_UNSURE = 0.01
MOST_UNSURE = 4
#: Kinds of chips that drive a bus in turn with a memory.
_BUS_DRIVERS = frozenset({"register", "latch", "buffer"})
#: Why a leg comes first, by a rule of one word; of a rule of order it is said how far the row goes.
RULES_OF_ONE_WORD = {
    "same_chip": "the bits beside it are on this chip",
    "like": "the chip beside it of the same type is wired by these legs",
}


def advice_of(search: Search, bit_map: BitMap, numbers: NumberTables) -> TouchAdvice:
    """Everything there is to say about a board half-way."""
    return TouchAdvice(
        board=search.bench.known.name,
        next=_next(search, numbers) if search.choice else None,
        progress=Progress(
            connections=sum(1 for c in search.wanted.found if c.want.kind in CONNECTIONS),
            open=sum(1 for want, _ in search.open if want.kind in ("driver", "input")),
            bits_closed=bit_map.n_traced,
            bits=_bits_expected(search, bit_map),
            touches=sum(len(t.pins) - 1 for t in search.bench.touches),
            touches_left=search.touches_left,
            minutes_left=search.touches_left * numbers("left", "seconds") / 60,
        ),
        chips=(
            *chip_guesses(search, "driver", "puts out the bits"),
            *chip_guesses(search, "input", "stores or feeds them"),
        ),
        contradictions=tuple(
            Contradiction(_clash_words(clash), tuple(touch_line(t) for t in clash.rests_on))
            for clash in search.clashes
        ),
        unknown=tuple(_unknown(search.bench)),
        stopped=tuple(_stopped(search)),
        untouched=tuple(_untouched(search)),
        unsure=_unsure(search, bit_map, numbers),
    )


def _bits_expected(search: Search, bit_map: BitMap) -> int:
    """Bits that were found, far ends whose driver is not known, and what the fullest colour has and others lack."""
    waiting = sum(1 for want, _ in search.open if want.kind == "driver")
    if search.choice is None:
        return bit_map.n_bits + sum(1 for want in search.given_up if want.kind == "driver")
    most = max((len(colour.bits) for colour in bit_map.colours), default=0)
    return max(bit_map.n_bits + waiting, most * len(search.bench.colours))


_CLASHES: dict[ClashKind, str] = {
    "two outputs": "are both outputs and would fight, but by the notes they are one net",
    "ground and supply": "are ground and supply, but by the notes they are one net",
    "output and supply": "are an output and a supply, but by the notes they are one net",
    "heard and not heard": "did not beep, but by other lines they are one net",
}


def _clash_words(clash: Clash) -> str:
    return f"{clash.a} and {clash.b} {_CLASHES[clash.kind]}"


# -- the next touch -------------------------------------------------------------------------------


def _next(search: Search, numbers: NumberTables) -> NextTouch:
    choice = search.choice
    assert choice is not None
    bench = search.bench
    legs = tuple(SweepLeg(leg.part, leg.pin, _leg_name(bench, leg), chance) for leg, chance in choice.legs)
    repeats = choice.want is None
    beep, none = _meanings(bench, choice)
    return NextTouch(
        kind="repeat" if repeats else "find",
        held=str(choice.held),
        held_words=_held_words(bench, choice),
        legs=legs,
        sweep_words=_sweep_words(bench, [leg for leg, _ in choice.legs]),
        why=_why(search, choice),
        if_beep=beep,
        if_none=none,
        ohms=_ohms(search, numbers),
    )


def _leg_name(bench: Bench, leg: PinRef) -> str:
    pin = bench.circuit.identified[leg.part].type.by_number.get(leg.pin)
    return pin.name if pin is not None and pin.name != leg.pin else ""


def _part_words(part: Identified) -> str:
    marking = part.part.marking or part.sold_as
    return f"{marking} at {part.part.place}" if part.part.place else marking


_TRANSISTOR_LEGS = {"B": "base", "C": "collector", "E": "emitter"}


def _held_words(bench: Bench, choice: Choice) -> str:
    part = bench.circuit.identified[choice.held.part]
    name = _leg_name(bench, choice.held)
    want = choice.want or (choice.repeat.want if choice.repeat else None)
    colour = next((c for c, pin in bench.colours.items() if pin == choice.held), None)
    if colour is not None:
        return f"the connector's {colour} pin"
    if part.kind == "transistor":
        leg = _TRANSISTOR_LEGS.get(part.type.by_number[choice.held.pin].letter, "a leg")
        return f"{leg} of {_part_words(part)}"
    if part.kind.is_discrete:
        return f"{_part_words(part)}, the end away from the connector"
    if want is not None and want.kind == "input":
        return f"{name} of {_part_words(part)}, a data input"
    return f"{name} of {_part_words(part)}".strip()


def _sweep_words(bench: Bench, legs: list[PinRef]) -> str:
    """The legs, part by part, in the order to touch them."""
    groups: list[tuple[str, list[PinRef]]] = []
    for leg in legs:
        if groups and groups[-1][0] == leg.part:
            groups[-1][1].append(leg)
        else:
            groups.append((leg.part, [leg]))
    words = []
    for reference, pins in groups:
        part = bench.circuit.identified[reference]
        what = _part_words(part)
        if part.kind.is_discrete:
            words.append(f"{' '.join(str(p) for p in pins)} ({what})")
        elif bench.is_rail(pins[0]):
            rail = "ground" if bench.circuit.rails[bench.net(pins[0])].is_ground else "the supply"
            words.append(f"{pins[0]} ({rail})")
        elif len(pins) == 1:
            words.append(f"{pins[0]} {_leg_name(bench, pins[0])} ({what})".replace("  ", " "))
        else:
            words.append(f"{reference} ({what}) legs {' '.join(p.pin for p in pins)}")
    return ", ".join(words)


def _meanings(bench: Bench, choice: Choice) -> tuple[str, str]:
    """What a beep or none would mean."""
    if choice.clash is not None:
        return (
            "then another of the lines below is wrong",
            "then this line of the notes was wrong; it is struck out",
        )
    if choice.repeat is not None:
        return "then it is so, however odd", "then the first beep was a slip; that line is struck out"
    want = choice.want
    assert want is not None
    if want.kind == "stage":
        where = want.colour if want.held in bench.colours.values() else f"the stage of {want.colour}"
        return f"that resistor is part of {where}", "none of these is; the less likely ones come later"
    if want.kind == "driver":
        return (
            f"that output drives this bit of {want.colour}",
            "it comes from elsewhere; other chips come next",
        )
    if want.kind == "tied":
        return (
            "it is tied: the chip always hands on, and nothing else drives its nets",
            "something switches it: its nets may be shared, which is tried next",
        )
    if want.like == "gates":
        return ("that net gates both bits", "each is gated by itself, or this is the input of the bit")
    if want.kind == "bank":
        return (
            "both chips are on one bus: a second bank of colours",
            "these two do not share a bus, by this leg",
        )
    return f"that leg feeds this bit of {want.colour}", "it comes from elsewhere; other chips come next"


def _why(search: Search, choice: Choice) -> str:
    if choice.clash is not None:
        return _clash_words(choice.clash)
    if choice.repeat is not None:
        return (
            f"by all else that was found this beep is a surprise ({choice.doubt:.0%} that the probe slipped to the "
            "leg beside)"
        )
    want = choice.want
    assert want is not None
    if want.kind == "stage":
        return _why_stage(search, want)
    if want.kind == "tied":
        return "whether this control is tied tells whether the chip's outputs can be off"
    if want.like == "gates":
        return "what blanks one bit mostly blanks them all"
    if want.kind == "bank":
        return "two chips of one type may share a data bus; one leg tells"
    leg, chance = choice.legs[0]
    rule, rests_on = search.wiring.reason(want, leg)
    if len(rule) == 1:
        said = _why_chip(search, leg) if rule == ANY else RULES_OF_ONE_WORD[rule[0]]
        return f"{said} ({chance:.0%} for the first)"
    if not rests_on:
        return f"a row of bits often begins at the end of a chip ({chance:.0%} for the first)"
    return f"so it goes on in order after {_examples(rests_on)} ({chance:.0%})"


def _why_stage(search: Search, want: Want) -> str:
    known = [c.end.part for c in search.wanted.found if c.want.held == want.held and c.want.kind == "stage"]
    if known:
        return f"{' '.join(known)} {'stand' if len(known) > 1 else 'stands'} on it; neighbours and fitting values first"
    return "resistors whose values double, or that the board has for every colour, come first"


def _why_chip(search: Search, leg: PinRef) -> str:
    part = search.bench.circuit.identified[leg.part]
    count = len(search.wiring.outputs.get(leg.part, ()))
    kind = part.kind.words
    on = sum(1 for c in search.wanted.found if c.end.part == leg.part)
    found = f", {on} found on it already" if on else ""
    near = beside(search, leg.part)
    return f"a {kind} with {count} outputs{found}{f', {near},' if near else ''} is the likeliest chip"


def _examples(rests_on: list[Connection]) -> str:
    return ", ".join(f"{c.want.held}={c.end}" for c in rests_on)


def _ohms(search: Search, numbers: NumberTables) -> str:
    """Parts through which a meter would beep, where one may lie in the way."""
    limit = numbers("answer", "beep_ohm")
    parts = [
        f"{r} {part.part.marking}".strip()
        for r, part in search.bench.circuit.identified.items()
        if part.part.fitted
        and (part.kind == "inductor" or (part.kind == "resistor" and 0 < (part.ohm or limit) < limit))
        and not is_settled(search.bench, search.wanted, r)
    ]
    if not parts:
        return ""
    few = ", ".join(parts[:4]) + (" ..." if len(parts) > 4 else "")
    return f"read the ohms too and type them behind the leg: a beep may go through {few}"


# -- around it --------------------------------------------------------------------------------------


def _unknown(bench: Bench) -> list[str]:
    """Chips of which the library knows nothing, and what would tell their outputs."""
    found = []
    for reference, part in bench.circuit.identified.items():
        if part.kind != "unknown" or not part.part.fitted:
            continue
        legs = len(part.type.pins)
        if not legs:
            found.append(
                f"{reference} ({part.part.marking or 'no marking'}) has no entry: write its type, such as {reference} is "
                f"74LS374, or its legs, such as {reference} is ?, 20 legs"
            )
            continue
        corner = [str(legs // 2), str(legs)]
        found.append(
            f"{reference} ({part.part.marking or 'no marking'}) has no entry. First its ground and supply: beep legs "
            f"{' and '.join(corner)} to a known ground and +5V. A leg that beeps with a known output is an input. With the "
            "board running, a probe on the others tells: what moves while no input is open is an output (live board: "
            "one hand, fine tip)"
        )
    return found


def _stopped(search: Search) -> list[str]:
    what = {"driver": "no output was found that drives", "input": "no output was found that feeds"}
    said = [f"{what.get(w.kind, 'nothing was found for')} {w.held}" for w in search.given_up]
    if search.choice is None:
        met = {c.want.held for c in search.wanted.found}
        bare = [f"{pin} ({colour})" for colour, pin in search.bench.colours.items() if pin not in met]
        if bare:
            said.append(
                f"no part in the notes was found to stand on {', '.join(bare)}: add the resistors, packs and transistors "
                "near the connector"
            )
    for pin in search.wanted.stopped:
        part = search.bench.circuit.identified[pin.part]
        said.append(f"the way ends at {pin} ({_part_words(part)}): {part.kind.words}")
    return said


def _unsure(search: Search, bit_map: BitMap, numbers: NumberTables) -> str:
    """At the end: which colour has fewer bits than another, and how likely one of the beeps was on the leg beside."""
    if search.choice is not None:
        return ""
    said = [*_fewer(bit_map), *_not_asked(search)]
    doubts = doubtful(search.bench, search.wanted, search.wiring, numbers)
    chance = 1 - math.prod(1 - slip for slip, _ in doubts)
    if chance >= LEAST_UNSURE:
        few = ", ".join(f"{c.want.held} = {c.end}" for _, c in doubts[:MOST_UNSURE])
        said.append(
            f"each beep rests on one touch, and about {chance:.0%} that one of them was on the leg beside; to be surer, touch "
            f"again where no order speaks for it: {few}"
        )
    return "; ".join(said)


def _not_asked(search: Search) -> list[str]:
    """Chips that could drive a memory's bus in turn with it, of which no leg is known: a way of writing, or a second source."""
    bench = search.bench
    memories = list(dict.fromkeys(pin.part for pin in search.wanted.memories))
    shared = [
        reference
        for reference, part in bench.circuit.identified.items()
        if part.part.fitted
        and part.kind in _BUS_DRIVERS
        and any(bench.circuit.can_be_off(PinRef(reference, p.number)) for p in part.type.pins)
        and all(
            len(bench.circuit.pins_on(bench.net(leg))) == 1
            for leg in search.wiring.outputs.get(reference, ())
        )
    ]
    if not memories or not shared:
        return []
    few = ", ".join(shared[:MOST_UNSURE]) + (" ..." if len(shared) > MOST_UNSURE else "")
    return [
        f"it was not asked whether {few} drive{'s' if len(shared) == 1 else ''} the data bus of {', '.join(memories)} in turn "
        "with it: the way of writing, or a second source of colours"
    ]


def _fewer(bit_map: BitMap) -> list[str]:
    most = max(bit_map.colours, key=lambda c: len(c.bits), default=None)
    if most is None:
        return []
    return [
        f"{colour.name} has {len(colour.bits)} bit{'s' if len(colour.bits) > 1 else ''} where {most.name} has {len(most.bits)}: "
        "every resistor in the notes was tried; count those at the connector"
        for colour in bit_map.colours
        if 0 < len(colour.bits) < len(most.bits)
    ]


def _untouched(search: Search) -> list[str]:
    """At the end: resistors that could still hang on a colour pin and were not tried on it."""
    if search.choice is not None:
        return []
    bench = search.bench
    found = []
    for reference, part in bench.circuit.identified.items():
        if part.kind not in ("resistor", "resistor pack") or not part.part.fitted:
            continue
        if not is_settled(bench, search.wanted, reference):
            value = format_ohm(part.ohm) if part.ohm else part.part.marking
            found.append(f"{reference} {value}".strip())
    return found
