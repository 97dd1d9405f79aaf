"""What a probe reads at a leg, and what else can be measured, under each fault.

low, high, pulsing    as a logic probe says
floating              no level of its own: an open leg, an output that holds nothing
between               a level that is neither, a weak output

A probability for each word, from `faults.toml`; what a fault leaves open is shared. A fault changes what few legs read:
`readings_under` gives those, every other leg reads what `healthy_readings` says.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping

from tracer.levels.leg_paths import LegPath
from tracer.levels.legs import read_legs
from tracer.suspects.control_faults import controls_of
from tracer.suspects.fault import Fault, Place
from tracer.suspects.hits import Hit, hit_at, in_bank, stands_from
from tracer.suspects.index_faults import index_nets
from tracer.suspects.path_legs import LegKey, PathLegs
from tracer.suspects.picture import Picture, Shown
from tracer.suspects.priors import Priors, chance, chances

__all__ = [
    "BEEPS",
    "OHMS",
    "PRESSES",
    "READINGS",
    "SWAPS",
    "beep_of",
    "healthy_readings",
    "ohms_of",
    "press_of",
    "readings_under",
    "swap_of",
]

READINGS: tuple[str, ...] = ("pulsing", "low", "high", "floating", "between")
OHMS: tuple[str, ...] = ("as it should be", "short", "open", "wrong value")
BEEPS: tuple[str, ...] = ("beep", "no beep")
PRESSES: tuple[str, ...] = ("changes", "no change")
SWAPS: tuple[str, ...] = ("cured", "no change")

Chances = Mapping[str, float]

_PULSING: Chances = {"pulsing": 1.0}
_LEVELS = ("low", "high")
#: A colour pin that moves by less than this share of its healthy span stands still; one below it is dark.
_STILL = 0.1
#: With more lines than this that move a bit of a memory hardly ever stands.
_MOST_FREE = 2


def healthy_readings(legs: PathLegs, feeding_legs: Iterable[LegKey], priors: Priors) -> dict[LegKey, Chances]:
    """Every leg at which a reading says something of the colours -> what it reads on a good board.

    `feeding_legs` are those before the palette's address lines.
    """
    found: dict[LegKey, Chances] = dict.fromkeys(legs.uses, _PULSING)
    for control in controls_of(legs):
        for key in control.legs:
            found.setdefault(key, _gate(control.stands, priors))
    for leg in read_legs(legs.traced):
        if leg.role == "colour pin":
            found.setdefault((leg.part, leg.pin), chances(priors, "read_pin"))
        elif leg.activity == "still" and leg.cause is not None and leg.cause.tied is not None:
            found.setdefault((leg.part, leg.pin), {_LEVELS[leg.cause.tied]: 1.0})
        elif leg.role == "control":
            is_clock = leg.activity == "pulses all the time"
            found.setdefault((leg.part, leg.pin), _PULSING if is_clock else chances(priors, "read_gate"))
    for net in index_nets(legs):
        for key in (*net.drivers, *net.legs):
            found.setdefault(key, _PULSING)
    for key in feeding_legs:
        found.setdefault(key, _PULSING)
    for part in legs.chips:
        for key, level in legs.supplies_of(part):
            found.setdefault(key, {_LEVELS[level]: 1.0})
    for driver in _blanking(legs):
        found.setdefault(driver, chances(priors, "read_gate"))
    return found


def _gate(stops_at: int | None, priors: Priors) -> Chances:
    """What a clock, clear or enable reads on a good board, by the level at which it stops its chips."""
    if stops_at is None:
        return _PULSING
    own = chances(priors, "read_gate_of")
    return {
        "pulsing": own["pulsing"], _LEVELS[1 - stops_at]: own["passes"], _LEVELS[stops_at]: own["stops"]
    }  # fmt: skip


def _blanking(legs: PathLegs) -> list[LegKey]:
    clamps = (driver.pins[0] for own in legs.traced.clamps.values() for driver, _ in own)
    return [(pin.part, pin.pin) for pin in clamps]


def readings_under(
    fault: Fault, legs: PathLegs, picture: Picture, shown: Shown | None, priors: Priors
) -> dict[LegKey, Chances]:
    """The legs that read something else than on a good board, with the chances of each reading."""
    found: dict[LegKey, Chances] = {}
    for bit, hits in fault.effect.hits.items():
        for bank in {h.bank for h in hits}:
            path, own = legs.banks[bank][bit], in_bank(hits, bank)
            for at in range(min(h.at for h in own), len(path.legs)):
                hit = hit_at(own, at)
                if hit is not None:
                    leg = path.legs[at]
                    found.setdefault((leg.part, leg.pin), _behind(fault, legs, path, hit, at, priors))
    for key, reads in _behind_still_lines(fault, legs, priors):
        found.setdefault(key, reads)
    found.update(_beside(fault, priors))
    if shown is not None:
        found.update(_at_pins(legs, picture, shown, priors))
    return {key: own for key, own in found.items() if own != _PULSING or key not in legs.uses}


def _behind(fault: Fault, legs: PathLegs, path: LegPath, hit: Hit, at: int, priors: Priors) -> Chances:
    """What a leg reads that is hit itself or stands behind one that is."""
    is_loose = fault.manner == "comes and goes"
    if hit.is_open and path.legs[hit.at].is_output:
        if at == hit.at:
            # A broken joint leaves the chip's own leg alive, a chip that drives nothing does not.
            is_alive = fault.what == "joint" and fault.manner in ("open", "comes and goes")
            if is_alive:
                return _PULSING
            return chances(priors, "read_let_go" if hit.let_go else "read_silent")
        if is_loose:
            return chances(priors, "read_behind_loose")
        if at == hit.at + 1:
            return chances(priors, "read_unheard")
    elif hit.is_open and at == hit.at:
        # The probe on the leg itself meets an input that hears nothing.
        return chances(priors, "read_loose_input" if is_loose else "read_unheard")
    if is_loose:
        return chances(priors, "read_after_loose")
    if fault.manner == "unstable":
        return chances(priors, "read_unstable")
    if hit.level is None:
        return chances(priors, "read_weak" if at == hit.at else "read_after_weak")
    start = stands_from(path, hit)
    level, blanked = path.level_at(start, hit.level, at), legs.blanked_from(path, start, at)
    if fault.effect.is_mixed:
        return _still(blanked, priors)
    if blanked in (None, level):
        return {_LEVELS[level]: 1.0}
    # It stands in the picture and is cleared between the lines: a probe shows that too.
    pulses = chance(priors, "read_cleared", "pulsing")
    return {"pulsing": pulses, _LEVELS[level]: 1.0 - pulses}


def _still(blanked: int | None, priors: Priors) -> Chances:
    """What a leg reads that stands at a level that nobody knows, and between the lines at that of a clear."""
    stopped = chances(priors, "read_stopped")
    if blanked is None:
        return stopped
    pulses = chance(priors, "read_cleared", "pulsing") * stopped[_LEVELS[1 - blanked]]
    return {
        "pulsing": pulses, _LEVELS[1 - blanked]: stopped[_LEVELS[1 - blanked]] - pulses,
        _LEVELS[blanked]: stopped[_LEVELS[blanked]],
    }  # fmt: skip


def _behind_still_lines(fault: Fault, legs: PathLegs, priors: Priors) -> Iterator[tuple[LegKey, Chances]]:
    """Legs behind memories that are asked for the same few words all the time, as their lines stand.

    Of 2^n words that are left a bit is the same in all of them once in 2^(2^n - 1) times, words taken as drawn by chance.
    """
    address = fault.effect.address
    if address is None or address.is_partial or not address.held:
        return
    held = {line for line, _ in address.held}
    for memory in legs.memories:
        own = {net.line for net in index_nets(legs) if memory.part in net.memories}
        free = sum(line.is_live for line in memory.lines) - len(own & held)
        if memory.part not in fault.effect.memories or not own & held or free > _MOST_FREE:
            continue
        still = 0.5 ** (2**free - 1)
        for path in (p for bank in legs.banks for p in bank.values() if p.legs[0].part == memory.part):
            for at, leg in enumerate(path.legs):
                stands = _still(legs.blanked_from(path, 0, at), priors)
                reads = {word: still * p for word, p in stands.items()}
                yield (leg.part, leg.pin), {**reads, "pulsing": reads.get("pulsing", 0.0) + 1 - still}


def _beside(fault: Fault, priors: Priors) -> dict[LegKey, Chances]:
    """Legs beside the bits' own: controls, address lines, supplies, blanking."""
    keys = [(leg.part, leg.pin) for leg in fault.legs]
    control = fault.control
    if control is not None and fault.manner == "control open":
        still = dict.fromkeys(fault.effect.still, chances(priors, "read_stopped"))
        return {**still, **dict.fromkeys(keys, chances(priors, "read_unheard"))}
    if control is not None:
        stands = control.stands
        reads = chances(priors, "read_stopped") if stands is None else {_LEVELS[stands]: 1.0}
        still = dict.fromkeys(fault.effect.still, chances(priors, "read_stopped"))
        return {**still, **dict.fromkeys(control.legs, reads)}
    if fault.manner == "no supply":
        return dict.fromkeys(keys, chances(priors, "read_no_supply" if fault.level else "read_no_ground"))
    if fault.manner == "joined":
        return dict.fromkeys(keys, chances(priors, "read_joined"))
    mixed = chances(priors, "read_stopped") if fault.effect.is_mixed else None
    held: dict[LegKey, Chances] = {key: mixed or {_LEVELS[level]: 1.0} for key, level in fault.effect.stands}
    moves = chance(priors, "read_in_part", "pulsing")
    in_part = {key: {"pulsing": moves, _LEVELS[level]: 1.0 - moves} for key, level in fault.effect.in_part}
    return {**in_part, **held, **dict.fromkeys(fault.effect.floats, chances(priors, "read_unheard"))}


def _at_pins(legs: PathLegs, picture: Picture, shown: Shown, priors: Priors) -> dict[LegKey, Chances]:
    """What the colours' pins at the connector read."""
    found: dict[LegKey, Chances] = {}
    for colour in legs.traced.bit_map.colours:
        pin = colour.pin
        if pin.part is None or pin.pin is None or colour.name not in shown.at_pins:
            continue
        was, now = picture.healthy.at_pins[colour.name], shown.at_pins[colour.name]
        span = (max(was) - min(was)) or 1e-9
        if max(now) - min(now) < _STILL * span:
            is_dark = max(now) - min(was) < 2 * _STILL * span
            found[pin.part, pin.pin] = chances(priors, "read_dark_pin" if is_dark else "read_still_pin")
    return found


def ohms_of(fault: Fault, place: Place, priors: Priors) -> Chances:
    """Chances of what a meter shows with the board off, at a connection to ground and supply, or across a resistor."""
    if fault.place == place and fault.what == "track":
        return {"short": 1.0}
    if fault.place == place and fault.what in ("resistor", "diode", "transistor"):
        if fault.manner in ("open", "common open"):
            return chances(priors, "ohms_open")
        return {"short": 1.0} if "short" in fault.manner else chances(priors, "ohms_value")
    if fault.manner in ("stuck", "input shorted") and place.is_connection and fault.level is not None:
        ends = {f"{leg.part}.{leg.pin}" for leg in fault.legs}
        if ends & set(place.ends):
            short = chance(priors, "ohms_chip", "input" if fault.manner == "input shorted" else "output")
            return {"short": short, "as it should be": 1.0 - short}
    return {"as it should be": 1.0}


def beep_of(fault: Fault, place: Place, *, is_bridge: bool = False) -> Chances:
    """Chances of a beep from one end of a connection to the other, or between two legs side by side."""
    if is_bridge:
        return {"beep" if fault.manner == "joined" and fault.place == place else "no beep": 1.0}
    is_broken = fault.what == "joint" and fault.place == place
    return {"no beep" if is_broken else "beep": 1.0}


def press_of(fault: Fault, part: str, priors: Priors) -> Chances:
    """Chances that the picture changes when a chip is pressed, warmed or tapped."""
    changes = 0.0
    if fault.part == part:
        if fault.manner == "comes and goes":
            changes = chance(priors, "press", "comes_and_goes")
        elif fault.what == "joint":
            changes = chance(priors, "press", "joint")
        elif fault.manner in ("weak", "all weak", "unstable"):
            changes = chance(priors, "press", "weak")
    return {"changes": changes, "no change": 1.0 - changes} if changes else {"no change": 1.0}


def swap_of(fault: Fault, part: str, priors: Priors) -> Chances:
    """Chances of a cure by another chip in the place of `part`."""
    cured = 0.0
    if fault.part == part and fault.what == "chip":
        cured = 1.0
    elif fault.part == part and fault.what == "joint":
        cured = chance(priors, "swap_joint", "cured")
    return {"cured": cured, "no change": 1.0 - cured}
