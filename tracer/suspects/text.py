"""Faults, evidence and measurements in words. Nothing is computed from what stands here."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from tracer.base.names import last_part, natural_key
from tracer.base.text import leg
from tracer.base.units import format_ohm
from tracer.suspects.fault import Fault, Leg, Place, SharedControl, What
from tracer.suspects.observation import Observation, ObservationKind
from tracer.suspects.values import Suspect

__all__ = [
    "CAUTIONS",
    "against_text",
    "direction_text",
    "fault_text",
    "faults_text",
    "leg_text",
    "legs_text",
    "meaning_text",
    "measurement_text",
    "observation_text",
    "odd_text",
    "place_text",
    "shown_text",
    "suspect_text",
    "tell_text",
    "why_text",
]

#: What each measurement asks for.
CAUTIONS: Mapping[ObservationKind, str] = {
    "read": "The board is live: one hand, a fine tip; a slip across two legs does damage (HSE GS38).",
    "ohms": "Switch off, unplug, let the supplies fall; no meter on a live board.",
    "beep": "Switch off, unplug, let the supplies fall; a meter also beeps through a few ohms.",
    "press": "The board is live: press with something that does not conduct, lightly; no freezer spray on a hot part.",
    "exchanged": "Switch off and let the supplies fall before you change wires at the board's plug. Leave the monitor's own "
    "board alone: its tube holds a high voltage long after it is off; that is work for who is trained for it.",
    "swapped": "Switch off and let the supplies fall before you pull or fit a chip; mind leg 1, and static with RAM "
    "and CMOS (IEC 61340-5-1).",
}
_SAYS: Mapping[ObservationKind, str] = {
    "read": "read {}",
    "ohms": "measure {} in ohms",
    "beep": "beep {}",
    "press": "press and warm {}, watch the picture",
    "swapped": "swap {}",
    "exchanged": "exchange the wires of {} at the board's plug: does what was wrong move to the other colour?",
}
#: How an answer is told on the command line.
_OPTION: Mapping[ObservationKind, str] = {
    "read": "--read", "ohms": "--ohms", "beep": "--beep", "press": "--pressed", "swapped": "--swapped",
    "exchanged": "--exchanged",
}  # fmt: skip
#: What stands between the names of a place; " to " of any other.
_JOINED: Mapping[ObservationKind, str] = {"read": ".", "exchanged": " and "}
_LEVELS = ("low", "high")
#: More faults than this that nothing tells apart are not all named.
_MOST_NAMED = 3


def leg_text(of: Leg) -> str:
    """``U9.13 D3``."""
    return leg(of.part, of.pin, of.name)


def place_text(place: Place) -> str:
    """``U9.17 to U13.18``; a part's reference; nothing for what is outside."""
    return " to ".join(place.ends)


# -- faults -------------------------------------------------------------------------------------------


def fault_text(fault: Fault) -> str:
    """``U9.13 D3 stuck low``."""
    if fault.what == "chip":
        return _chip_text(fault)
    if fault.manner == "colours shorted":
        return (
            f"{' and '.join(fault.colours)} shorted {'together' if len(fault.colours) > 1 else 'to ground'}"
        )
    if fault.manner == "joined":
        return f"{' and '.join(map(leg_text, fault.legs))} joined, as by a bridge of solder"
    if fault.what == "track":
        return f"track from {leg_text(fault.legs[0])} shorted to {'supply' if fault.level else 'ground'}{_standing(fault)}"
    if fault.manner == "no supply":
        return f"{leg_text(fault.legs[0])} has no {'supply' if fault.level else 'ground'}"
    if fault.manner == "control open" and fault.control is not None:
        return f"{fault.control.role} does not reach {leg_text(fault.legs[0])}{_standing(fault)}"
    if fault.effect.severed:
        return f"no contact from {place_text(fault.place)}, {fault.colours[0]} is cut off on the board"
    if fault.what == "joint":
        return f"joint or contact of {leg_text(fault.legs[0])} {fault.manner}"
    if fault.manner == "common open":
        return f"common leg of {fault.part} open, at {fault.colours[0]}"
    if fault.what == "resistor":
        factor = next(change.factor for change in fault.effect.stage)
        manner = f"is {factor:g} times its value" if fault.manner == "wrong value" else fault.manner
        return f"{fault.part} ({format_ohm(fault.ohm or 0.0)}) {manner}"
    if fault.what == "beyond":
        return _beyond_text(fault)
    if fault.what == "unlisted":
        return "a fault of the path of a kind that is not listed here"
    return f"{fault.part} {fault.manner}" if fault.what in ("transistor", "diode") else "not in this path"


def _beyond_text(fault: Fault) -> str:
    colours = " and ".join(fault.colours)
    return {
        "wire open": f"{colours} is open behind {place_text(fault.place)}: edge contact, plug, harness or monitor",
        "input weak": f"{colours} is weak behind {place_text(fault.place)}: contact, harness or the monitor's input",
        "no load": f"{colours} too strong alike: the monitor's inputs lack their load, or its contrast is up",
        "wires swapped": f"the wires of {colours} are swapped",
    }[fault.manner]


def _chip_text(fault: Fault) -> str:
    part, level = fault.part, _LEVELS[fault.level or 0]
    if fault.manner == "dead":
        return f"{part} dead, {'its outputs drive nothing' if fault.level is None else f'all its outputs {level}'}"
    if fault.manner in ("address shorted", "data shorted"):
        return f"{' and '.join(map(leg_text, fault.legs))} shorted"
    if fault.control is not None:
        return _control_text(fault, fault.control)
    if fault.manner in ("stuck", "weak", "address stuck"):
        manner = {"stuck": f"stuck {level}", "weak": "weak"}.get(fault.manner, f"inside it stuck {level}")
        return f"{leg_text(fault.legs[0])} {manner}"
    return {
        "floating": f"{leg_text(fault.legs[0]) if fault.legs else part} drives nothing",
        "input shorted": f"{leg_text(fault.legs[0]) if fault.legs else part} shorted inside the chip, {level}",
        "frozen": f"{part} stands still, each output at a level of its own",
        "all weak": f"{part} is weak at all its outputs",
        "unstable": f"{', '.join(map(leg_text, fault.legs))} unstable",
        "blanks": f"{leg_text(fault.legs[0]) if fault.legs else part} stands {level} and blanks {', '.join(fault.colours)}",
        "not written": f"{part} does not pass what the game writes to {fault.fights}",
        "not clocked": f"{part} is not clocked, its outputs stand {level}",
        "held cleared": f"{part} is held cleared",
        "pair dead": f"{part} and {fault.fights} both dead, all their outputs {level}",
        "not enabled": f"{part} is not enabled",
        "not selected": f"{part} always shows the same of its inputs",
        "other words": f"{part} holds other words than the game wrote",
        "held on": f"{part} is held on and fights {fault.fights}",
        "loose": f"{part} has no contact in its socket",
    }[fault.manner]


def _control_text(fault: Fault, control: SharedControl) -> str:
    of = f"{last_part(control.net)}, {control.role} of {', '.join(control.parts)}"
    return f"{leg_text(fault.legs[0])} ({of}) dead{_standing(fault)}"


def _standing(fault: Fault) -> str:
    """How the outputs stand that a dead clock leaves where they are."""
    if fault.control is None or fault.control.role != "clock":
        return ""
    levels = {hit.level for own in fault.effect.hits.values() for hit in own}
    return f", all outputs {_LEVELS[levels.pop() or 0]}" if len(levels) == 1 else ", the outputs stand mixed"


def faults_text(faults: Sequence[Fault]) -> str:
    """Faults that nothing tells apart, as one text."""
    if len(faults) > 1 and all(f.manner == "comes and goes" for f in faults):
        legs = ", ".join(each.pin for f in faults for each in f.legs)
        return f"a joint or contact of {faults[0].part} comes and goes: legs {legs}"
    texts = list(dict.fromkeys(fault_text(f) for f in faults))
    if len(texts) > _MOST_NAMED:
        return f"{texts[0]} or {texts[1]} and {len(texts) - 2} more alike"
    return " or ".join(texts)


def shown_text(words: Mapping[str, str]) -> str:
    """What the screen shows: ``red weak, green fine``."""
    return ", ".join(f"{colour} {word}" for colour, word in words.items())


def suspect_text(suspect: Suspect) -> str:
    """``U13 74x273 at 8D``."""
    if suspect.what == "unlisted":
        return "a fault of the path that is not listed here"
    if suspect.part is None:
        return "not in this path"
    type_ = f" {suspect.type}" if suspect.type else ""
    place = f" at {suspect.place}" if suspect.place else ""
    ahead = {
        "joint": "joint or contact at ",
        "track": "track at ",
        "beyond": "wire, plug or monitor behind ",
    }.get(suspect.what, "")
    return f"{ahead}{suspect.part}{type_}{place}"


# -- evidence and measurements ------------------------------------------------------------------------


def observation_text(observation: Observation, at: Leg | None) -> str:
    """An observation in words; `at` is the leg of a reading."""
    kind, word = observation.kind, observation.word
    if kind == "warmth":
        return "it does not change with warmth" if observation.is_denied else "it changes with warmth"
    if kind == "layer":
        return "not one layer alone has it" if observation.is_denied else "only one layer has it"
    if observation.is_denied:
        word = f"not {word}"
    if kind == "shapes":
        return f"the shapes are {word}"
    if kind == "appears":
        return f"{observation.where[0]} {'not ' if observation.is_denied else ''}as {observation.word}"
    if kind == "press":
        return f"{observation.where[0]} pressed: {word}"
    if kind == "read" and at is not None:
        return f"{leg_text(at)} reads {word}"
    if kind == "swapped":
        return f"{observation.where[0]} swapped: {word}"
    if kind == "exchanged":
        return f"{' and '.join(observation.where)} exchanged at the plug: {word}"
    return f"{place_text(Place(observation.where))} {word}"


def legs_text(readings: Sequence[Observation]) -> str:
    """Legs of one part that read alike: ``U9.1 2 3 read pulsing``."""
    first = readings[0]
    pins = " ".join(sorted((o.where[1] for o in readings), key=natural_key))
    return f"{first.where[0]}.{pins} read {'not ' if first.is_denied else ''}{first.word}"


def measurement_text(
    kind: ObservationKind,
    where: tuple[str, ...],
    at: Leg | None,
    beside: Sequence[Leg],
    swept: Sequence[tuple[str, ...]] = (),
    donors: Sequence[str] = (),
    *,
    is_between_colours: bool = False,
    is_socket_told: bool = True,
    is_junction: bool = False,
) -> str:
    """``read U13.19 8Q, next to 18 8D and 20 VCC``; `at` is the leg to read, `beside` those next to it.

    `swept` are places side by side to be measured in one go, `donors` chips elsewhere on the board that fit.
    """
    named = _SAYS[kind].format(leg_text(at) if at is not None else _JOINED.get(kind, " to ").join(where))
    if is_junction:
        named = f"measure the junctions of {where[0]} in the diode range, both ways"
    if kind == "ohms" and len(where) > 1 and where[-1] != "ground" and not is_between_colours:
        named = f"measure the track {place_text(Place(where))} in ohms to ground and to supply, for a short"
    near = " and ".join(f"{each.pin} {each.name}".strip() for each in beside)
    if near:
        named += f", next to {near}"
    if swept:
        others = (
            " ".join(ends[1] for ends in swept)
            if kind == "read"
            else ", ".join(place_text(Place(e)) for e in swept)
        )
        named += f"; in one go also {'its legs ' if kind == 'read' else ''}{others}: which of them differs?"
    if donors and kind == "swapped":
        named += f"; to try it with, from this board: {'; '.join(donors[:_MOST_NAMED])}"
    if kind == "swapped" and not is_socket_told:
        named += f"; is it in a socket? --socket {where[0]} or --soldered {where[0]} says what a swap costs"
    return named


def tell_text(kind: ObservationKind, where: tuple[str, ...], answer: str) -> str:
    """``--read 'U13.19=low'``."""
    told = _JOINED.get(kind, " to ").join(where)
    return f"{_OPTION[kind]} '{told}={answer}'"


def meaning_text(what: What, place: Place, probability: float) -> str:
    """Who is suspected most after an answer."""
    named = {
        "outside": "not in this path",
        "unlisted": "a fault that is not listed",
        "beyond": f"behind {place_text(place)}",
    }
    label = named.get(what, f"{what} {place_text(place)}")
    return f"{label}, {probability:.0%}"


def why_text(
    fault: Fault,
    words: Mapping[str, str] | None,
    fitting: Sequence[str],
    against: Sequence[str],
    direction: Sequence[Leg] = (),
) -> str:
    """What the likeliest fault of a suspect explains, and what speaks against it.

    `direction` are address legs of one memory that nobody has read, where it is sought before them.
    """
    if fault.what == "unlisted":
        return (
            "it stands for all that no fault here describes: the more it grows, the likelier one reading is a slip, "
            "or the board differs from its drawing"
        )
    if words is None:
        return f"nothing measured yet proves that the path is at fault{direction_text(direction)}"
    sentence = f"{fault_text(fault)} would show {shown_text(words)}"
    if fitting:
        sentence += f"; explains: {', '.join(fitting)}"
    if against:
        sentence += f"; against it: {', '.join(against)}"
    return sentence


def direction_text(unread: Sequence[Leg]) -> str:
    """Where it is sought if the path is not at fault; `unread` are address lines that nobody has read."""
    if not unread:
        return "; all legs of the path pulsing, and its resistors and joints good, would speak for it"
    pins = " ".join(each.pin for each in unread)
    return (
        f"; the way on is back from the palette's address: sweep {unread[0].part} {pins}, one of them that stands is "
        "followed to what drives it, all of them pulsing speaks for what draws the picture"
    )


# -- doubts ------------------------------------------------------------------------------------------


def against_text(first: str, second: str) -> str:
    """Two pieces of evidence that cannot both be right."""
    return f"{first} and {second} contradict one another; look again, and tell the one that holds"


def odd_text(said: str, chance: float) -> str:
    """A piece of evidence that does not fit the rest."""
    return (
        f"{said}: by all else that was told its chance was {chance:.0%}; look at it again before you trust it"
    )
