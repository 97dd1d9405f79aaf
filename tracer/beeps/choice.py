"""Which lead to hold and what to touch: the open end at which the next touch most likely beeps.

Every touch that beeps closes a connection, and what it shows makes the others likelier: to take the surest first is
the greedy way to few touches. Along one held lead, the order of falling chance is the best there is (textbook; the
expected number of touches is the sum of place times chance, least when the chances fall).
"""

from __future__ import annotations

import math
from collections import Counter
from collections.abc import Collection
from dataclasses import dataclass, field

from tracer.base.toml_numbers import NumberTables
from tracer.beeps.bench import Bench
from tracer.beeps.buses import data_legs
from tracer.beeps.doubts import Clash, doubtful, find_clashes
from tracer.beeps.wanted import Connection, Want, Wanted
from tracer.beeps.ways_back import find_wanted
from tracer.beeps.wiring import Wiring
from tracer.bitmap.model import BitMap
from tracer.netlist.board import PinRef, Touch

#: Below any chance that counts.
_NEVER = 1e-9

__all__ = ["CONNECTIONS", "Choice", "Search", "expected_touches", "look", "open_ends"]

#: Kinds of wants that a map consists of; the others only tell what stands on a net beside them.
CONNECTIONS = frozenset({"stage", "driver", "input"})
#: No two legs are touched more often than this, whatever speaks for it.
MOST_TIMES = 3
#: Before a leg is given up, all that could beep with it is touched so often.
TIMES_IN_VAIN = 2


@dataclass(frozen=True)
class Choice:
    """What to do next: the want (or the connection to repeat), and legs with their chances, best first."""

    held: PinRef
    legs: tuple[tuple[PinRef, float], ...]
    want: Want | None = None
    repeat: Connection | None = None
    clash: Clash | None = None
    doubt: float = 0.0


@dataclass
class Search:
    """A board half-way, with everything that follows from its notes."""

    bench: Bench
    wanted: Wanted
    wiring: Wiring
    clashes: list[Clash]
    choice: Choice | None
    open: list[tuple[Want, dict[PinRef, float]]] = field(default_factory=list)
    given_up: list[Want] = field(default_factory=list)
    touches_left: float = 0.0


def look(
    bench: Bench,
    numbers: NumberTables,
    skipped: Collection[tuple[PinRef, PinRef]] = (),
) -> Search:
    """Work out what is open on a board and choose the next touch; `skipped` pairs of legs are not asked for."""
    wanted = find_wanted(bench)
    wiring = Wiring(bench, wanted, numbers)
    search = Search(bench, wanted, wiring, find_clashes(bench), None)
    for want in wanted.open:
        chances = wiring.chances(want)
        left = {
            p: c
            for p, c in chances.items()
            if (want.held, p) not in skipped and bench.touched(want.held, p) < MOST_TIMES
        }
        if _is_given_up(bench, want, chances, numbers):
            if want.kind != "stage":
                search.given_up.append(want)
        elif left:
            search.open.append((want, left))
    search.choice = _repeat(search, numbers, skipped) or _find(search, numbers)
    search.touches_left = _touches_left(search, numbers)
    return search


def open_ends(search: Search, bit_map: BitMap) -> tuple[str, ...]:
    """What a search that has come to its end leaves open, each by its leg; empty where the map is whole."""
    ends = [f"{want.held}: {want.kind}" for want in search.given_up]
    ends += [f"{colour.name}: no bit was found" for colour in bit_map.colours if not colour.bits]
    if search.choice is not None:
        ends += [f"{want.held}: {want.kind}, not looked for any more" for want, _ in search.open]
    return tuple(dict.fromkeys(ends))


def _is_given_up(bench: Bench, want: Want, chances: dict[PinRef, float], numbers: NumberTables) -> bool:
    total = sum(chances.values())
    if want.kind == "stage":
        return total < numbers("answer", "open_below")
    if want.kind in ("bank", "tied") or want.like:
        return False
    # However unlikely, what was not tried may be it, and each beep may have been missed: all is tried twice.
    is_tried = all(bench.touched(want.held, leg) >= TIMES_IN_VAIN for leg in chances)
    return is_tried and total < 1 - numbers("answer", "give_up")


def _repeat(
    search: Search, numbers: NumberTables, skipped: Collection[tuple[PinRef, PinRef]]
) -> Choice | None:
    for clash in search.clashes:
        for touch in reversed(clash.rests_on):
            if len(touch.pins) == 2 and touch.pins not in skipped:
                held, leg = touch.pins
                if _times(search.bench, touch) == 1:
                    return Choice(held, ((leg, 0.5),), clash=clash, doubt=0.5)
    for chance, connection in doubtful(search.bench, search.wanted, search.wiring, numbers):
        if chance <= numbers("answer", "repeat_above"):
            break
        if (connection.want.held, connection.end) not in skipped:
            legs = ((connection.end, 1 - chance),)
            return Choice(connection.want.held, legs, repeat=connection, doubt=chance)
    return None


def _times(bench: Bench, touch: Touch) -> int:
    pair = set(touch.pins)
    return sum(1 for t in bench.touches if t.heard == touch.heard and set(t.pins) == pair)


def _find(search: Search, numbers: NumberTables) -> Choice | None:
    last = search.bench.touches[-1].pins[0] if search.bench.touches else None
    # A lead that was silent for so long may have missed its beep: another one tells more.
    stays = last is not None and len(search.bench.quiet(last)) <= numbers("answer", "hold_most")
    bonus = numbers("answer", "hold_bonus") if stays else 0.0

    def worth(item: tuple[Want, dict[PinRef, float]]) -> float:
        want, chances = item
        return max(chances.values()) + (bonus if want.held == last else 0.0)

    if not search.open:
        return None
    want, chances = max(search.open, key=worth)
    return Choice(want.held, _sweep(search, want, chances, numbers), want)


def _sweep(
    search: Search, want: Want, chances: dict[PinRef, float], numbers: NumberTables
) -> tuple[tuple[PinRef, float], ...]:
    """The legs to touch in one go: the likeliest, and what is nearly as likely beside it."""
    order = search.bench.circuit.identified
    # Legs that are about equally likely are swept along the chip: a lead that jumps takes longer than it saves.
    alike = math.log(numbers("answer", "alike"))

    def rank(item: tuple[PinRef, float]) -> tuple[int, object]:
        return -math.floor(math.log(max(item[1], _NEVER)) / alike), item[0].key

    best, most = min(chances.items(), key=lambda item: (-item[1], item[0].key))
    ranked = sorted(chances.items(), key=rank)
    share = numbers("answer", "sweep_share") * most
    legs = [(pin, chance) for pin, chance in ranked if chance >= share]
    if want.kind != "stage":
        legs = [
            (pin, chance)
            for pin, chance in legs
            if order[pin.part].kind in ("resistor",) or pin.part == best.part
        ]
    return tuple(legs[: int(numbers("answer", "sweep_most"))])


def expected_touches(chances: dict[PinRef, float]) -> float:
    """Touches until one beeps or all were tried, in the best order: the sum of place times chance."""
    ranked = sorted(chances.values(), reverse=True)
    total = sum(place * chance for place, chance in enumerate(ranked, 1))
    return total + len(ranked) * max(0.0, 1 - sum(ranked))


def _buses_left(search: Search, numbers: NumberTables) -> float:
    """Touches by which it will be asked whether memories that are not found yet share a bus with others."""
    identified = search.bench.circuit.identified
    legs = {
        r: len(data_legs(search.bench, r)) for r, p in identified.items() if p.kind.stores and p.part.fitted
    }
    lacking = max(numbers("left", "memories") - len({pin.part for pin in search.wanted.memories}), 0.0)
    return lacking * sum(legs.values()) * max(len(legs) - 1, 0) / max(len(legs), 1)


def _touches_left(search: Search, numbers: NumberTables) -> float:
    """Expected touches to a closed map: connections that are still to be found, by what one has taken so far.

    The first output that drives, and the first that feeds, take longer: with them the chips are found.
    """
    counts = Counter(c.want.kind for c in search.wanted.found)
    wants = Counter(want.kind for want, _ in search.open)
    legs = sum(sum(chances.values()) for want, chances in search.open if want.kind == "stage")
    drivers = wants["driver"] + legs
    # Bits go through as many chips as those that were followed do.
    inputs_each = (
        (counts["input"] + wants["input"]) / counts["driver"]
        if counts["driver"]
        else numbers("left", "inputs")
    )
    inputs = wants["input"] + drivers * inputs_each
    recent = search.bench.touches[-int(numbers("left", "recent")) :]
    heard = sum(1 for touch in recent if touch.heard)
    each = (len(recent) + numbers("left", "counts") * numbers("left", "each")) / (
        heard + numbers("left", "counts")
    )
    firsts = (not counts["driver"] and drivers >= 1) + (not counts["input"] and inputs >= 1)
    # Beside the wants that a map consists of: legs that are only tried to be sure that nothing stands there.
    sure: float = sum(len(chances) for want, chances in search.open if want.kind == "bank")
    sure += sum(len(chances) for want, chances in search.open if want.kind == "stage") * numbers(
        "left", "to_be_sure"
    )
    return (
        sure
        + _buses_left(search, numbers)
        + firsts * numbers("left", "first")
        + min(each, numbers("left", "most")) * (legs + drivers + inputs)
    )
