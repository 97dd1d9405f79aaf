"""Which legs could be at the other end of a held one, and how likely each is while no rule of order speaks.

Chips are weighed by kind, by place and by what was found: a chip on which one bit was found has more of them, as many
as it has free outputs; when it has too few for all that are open, others are looked for, first those like it.
"""

from __future__ import annotations

import math
from collections import Counter
from collections.abc import Callable, Iterable
from dataclasses import dataclass, field

from tracer.base.names import natural_key
from tracer.base.toml_numbers import NumberTables
from tracer.beeps.bench import Bench
from tracer.beeps.by_place import ByPlace, nearness_weight
from tracer.beeps.ladder import ladder_legs
from tracer.beeps.wanted import Connection, Want, Wanted
from tracer.netlist.board import PinRef
from tracer.parts.model import DRIVING, PinType

__all__ = ["END_ORDERS", "Candidates", "Chances", "Seen"]

Chances = dict[PinRef, float]

#: Orders in which the outputs of a part can be taken: what they are sorted by, digits as numbers.
END_ORDERS: dict[str, Callable[[PinType], str]] = {
    "end_legs": lambda pin: pin.number,
    "end_names": lambda pin: pin.name or pin.number,
}

#: Kinds of parts that put out nothing that makes a picture.
_SILENT = frozenset({"amplifier", "analogue switch", "switch", "power", "other", "capacitor"})
#: Kinds whose data sheet may not be known: any leg that is no supply and no plain input may be an output.
_OPAQUE = frozenset({"unknown", "custom", "logic array", "dac"})


@dataclass
class Seen:
    """What the touches for one kind of connection had shown at one time.

    Attributes
    ----------
    found : list of Connection
        In the order in which they beeped.
    tried : dict of PinRef to list of PinRef
        Held leg -> the legs that did not beep with it.
    """

    found: list[Connection] = field(default_factory=list)
    tried: dict[PinRef, list[PinRef]] = field(default_factory=dict)

    @property
    def chips(self) -> set[str]:
        """The parts on which ends were found."""
        return {c.end.part for c in self.found}

    def without(self, connection: Connection | None) -> Seen:
        """The same as if a connection had not been found."""
        if connection is None:
            return self
        return Seen([c for c in self.found if c != connection], self.tried)


#: Values that are alike: the steps of a row of twelve values a decade lie a fifth apart.
_ALIKE = 1.1


def _like(a: float, b: float) -> bool:
    return min(a, b) > 0 and max(a, b) / min(a, b) <= _ALIKE


def _shared_out(weights: Chances, whole: float) -> Chances:
    total = sum(weights.values())
    return {leg: weight * whole / total for leg, weight in weights.items()} if total else {}


class Candidates:
    """The legs of one board that can put out a level, and the supplies."""

    def __init__(
        self, bench: Bench, wanted: Wanted, wants: dict[str, dict[PinRef, Want]], numbers: NumberTables
    ) -> None:
        self.bench, self.wanted, self.numbers = bench, wanted, numbers
        self.circuit, self.wants = bench.circuit, wants
        self.outputs = self._outputs()
        self._orders: dict[tuple[str, str], list[PinRef]] = {}
        self._prior = {kind: self._priors(kind) for kind in wants}
        self.by_place = {
            kind: ByPlace(bench.nearness, self._of_all_outputs(prior), bench.colours, numbers)
            for kind, prior in self._prior.items()
        }
        self._alike: dict[float, tuple[int, int]] = {}

    def __contains__(self, leg: PinRef) -> bool:
        """Whether a leg is an output of a chip."""
        return leg in self.outputs.get(leg.part, ())

    # -- chips and their outputs ------------------------------------------------------------------

    def _outputs(self) -> dict[str, list[PinRef]]:
        """Part -> its legs that can put out a level."""
        found: dict[str, list[PinRef]] = {}
        plugs = {pin.part for pin in self.bench.colours.values()}
        for reference, part in self.circuit.identified.items():
            if not part.part.fitted or part.kind in _SILENT or part.kind.is_discrete:
                continue
            pins = [p for p in part.type.pins if p.direction in DRIVING]
            if part.kind == "connector":
                pins = [p for p in part.type.pins if reference not in plugs]
            elif not pins and part.kind in _OPAQUE:
                pins = [p for p in part.type.pins if p.direction not in ("power", "nc", "in")]
            legs = [leg for p in pins if not self.bench.is_rail(leg := PinRef(reference, p.number))]
            if legs:
                found[reference] = legs
        return found

    def ends(self, part: str, order: str) -> list[PinRef]:
        """The outputs of a part in an order of `END_ORDERS`."""
        if (part, order) not in self._orders:
            by_number = self.circuit.identified[part].type.by_number
            self._orders[part, order] = sorted(
                self.outputs.get(part, ()),
                key=lambda p: natural_key(END_ORDERS[order](by_number[p.pin])),
            )
        return self._orders[part, order]

    def type_of(self, part: str) -> str:
        """The name of a part's type."""
        return self.circuit.identified[part].type.name

    def _priors(self, kind: str) -> dict[str, float]:
        """Chip -> weight of each of its outputs, by kind and number of outputs."""
        known, many = self.numbers.tables[kind], self.numbers("chip", "many_outputs")
        found = {}
        for reference, legs in self.outputs.items():
            weight = known.get(self.circuit.identified[reference].kind.replace(" ", "_"), known["other"])
            # Colours come from chips with many outputs: a pair of flip-flops makes no palette.
            found[reference] = weight * min(1.0, math.sqrt(len(legs) / many))
        return found

    def _of_all_outputs(self, prior: dict[str, float]) -> dict[str, float]:
        return {reference: weight * len(self.outputs[reference]) for reference, weight in prior.items()}

    def _in_vain(self, seen: Seen) -> dict[str, float]:
        """Part -> the greatest share of its legs that were tried with one held leg and did not beep."""
        found: dict[str, float] = {}
        for legs in seen.tried.values():
            for reference, count in Counter(p.part for p in set(legs)).items():
                share = min(1.0, count / max(len(self.outputs.get(reference, ())), 1))
                found[reference] = max(found.get(reference, 0.0), share)
        return found

    def near(self, a: str, b: str) -> float:
        """How much two parts belong together by place, 0 to 1; 1 where it is not known."""
        near = nearness_weight(self.bench.nearness, a, b, self.numbers)
        return 1.0 if near is None else 1 + self.numbers("near", "sure") * (near - 1)

    def chips(self, want: Want, seen: Seen) -> dict[str, float]:
        """Chip -> weight of each of its outputs, by kind, by place and by likeness to chips that have bits."""
        number = self.numbers
        types = {self.type_of(other) for other in seen.chips & self.outputs.keys()}
        near = self.by_place[want.kind].factors(want, seen.found, self._in_vain(seen))
        found = {}
        for reference, prior in self._prior[want.kind].items():
            weight = prior * near.get(reference, 1.0)
            if reference == want.held.part:
                weight *= number("chip", "itself")
            if self.type_of(reference) in types:
                weight *= number("chip", "same_type")
            found[reference] = weight
        return found

    def quiet(self, want: Want, seen: Seen, end: PinRef | None = None) -> dict[str, float]:
        """Chips on which other held legs were tried in vain: those of one colour, or of one chip, go together."""
        number = self.numbers
        used = self.used(seen.found)
        found_at = {c.want.held: c.end.part for c in seen.found}
        found: dict[str, float] = {}
        for held, legs in seen.tried.items():
            other = self.wants[want.kind].get(held)
            if held == want.held or other is None:
                continue
            together = held.part == want.held.part if want.kind == "input" else other.colour == want.colour
            loss = number("chip", "quiet_row" if together else "quiet_other")
            for reference, count in Counter(p.part for p in legs if self.bench.net(p) not in used).items():
                if reference == found_at.get(held) or (end is not None and reference == end.part):
                    continue
                free = sum(1 for p in self.outputs.get(reference, ()) if self.bench.net(p) not in used)
                share = min(1.0, count / max(free, 1))
                found[reference] = max(
                    found.get(reference, 1.0) * (1 - loss * share), number("chip", "quiet_least")
                )
        return found

    def used(self, found: Iterable[Connection]) -> Counter[str]:
        """Nets of the ends that were found, with how many held legs each has."""
        return Counter(self.bench.net(c.end) for c in found)

    def reuse(self, found: Iterable[Connection]) -> float:
        """How likely an end that was found has another held leg, next to an end that was not."""
        used = self.used(found)
        shared = sum(used.values()) - len(used)
        return (shared + self.numbers("chip", "reused")) / (sum(used.values()) + 4.0)

    # -- the chances -----------------------------------------------------------------------------

    def base(self, want: Want, seen: Seen, end: PinRef | None = None) -> Chances:
        """Leg -> chance where no rule speaks, 1 in all; `end` is one of them though it beeped with the held leg."""
        used, reuse = self.used(seen.found), self.reuse(seen.found)
        weights, quiet = self.chips(want, seen), self.quiet(want, seen, end)
        known: Chances = {}
        fresh: Chances = {}
        for reference, legs in self.outputs.items():
            there = known if reference in seen.chips else fresh
            for leg in legs:
                free = self.bench.net(leg) not in used
                there[leg] = weights[reference] * quiet.get(reference, 1.0) * (1.0 if free else reuse)
        here = 1.0 - self._elsewhere(want, seen, {p for p in known if self.bench.net(p) not in used})
        if not known or not fresh:
            here = 1.0 if known else 0.0
        found = _shared_out(known, here) | _shared_out(fresh, 1.0 - here)
        if want.kind == "driver":
            self._transistors(want, seen, found)
            self._in_a_row(want, seen, found)
        else:
            total = sum(found.values()) or 1.0
            found |= {leg: total * chance / (1 - chance) for leg, chance in self.at_gates(want).items()}
        goes_on, share = ladder_legs(self.bench, self.wanted, want, self.numbers)
        found |= _shared_out(goes_on, sum(found.values()) * share / (1 - share))
        self._rails(want, found)
        own = self.bench.net(want.held)
        found = {p: w for p, w in found.items() if self.bench.net(p) != own or p == end}
        total = sum(found.values())
        return {pin: weight / total for pin, weight in found.items()} if total else {}

    def _elsewhere(self, want: Want, seen: Seen, room: set[PinRef]) -> float:
        """Chance that an end is on a chip on which nothing was found yet.

        Those held legs for which the free outputs of the known chips, `room`, are too few must be; and the more were
        tried on all of these in vain, the likelier it is for the next.
        """
        number = self.numbers
        met = {c.want.held for c in seen.found}
        still = len(self.wants[want.kind]) - len(met)
        lacking = (still - len(room)) / still if still > 0 else 0.0
        in_vain = (
            sum(
                sum(1 for p in legs if p in room) / len(room)
                for held, legs in seen.tried.items()
                if held not in met and held != want.held
            )
            if room
            else 0.0
        )
        again = len(seen.found) - len(seen.chips)
        start = number("chip", "new_chip_counts")
        missed = (number("chip", "new_chip") * start + in_vain) / (start + in_vain + again)
        return max(lacking, missed)

    def _transistors(self, want: Want, seen: Seen, found: Chances) -> None:
        """Transistors' legs, the less likely the more bits came from chips."""
        number = self.numbers
        small = want.ohm < number("answer", "small_ohm")
        share = number("driver", "transistor_behind_small" if small else "transistor")
        scale = 1.0 if small else 1 / (1 + len(seen.found))
        prior = sum(w * len(self.outputs[r]) for r, w in self._prior[want.kind].items()) or 1.0
        for reference, part in self.circuit.identified.items():
            if part.kind == "transistor" and part.part.fitted and reference != want.held.part:
                for pin in part.type.pins:
                    own = 1.0 if pin.letter == "E" else 0.3
                    found[PinRef(reference, pin.number)] = share * own * scale / prior

    def _in_a_row(self, want: Want, seen: Seen, found: Chances) -> None:
        """Other resistors and coils, in a row with the held one: as likely as it was on this board, and of like values."""
        heads = self.wanted.head_nets
        pairs = [pair for net in self.wanted.stage_nets if net not in heads for pair in self._ohms_on(net)]
        number = self.numbers
        small = want.ohm < number("answer", "small_ohm") and want.node == "pin"
        start = number("row", "behind_small" if small else "expected")
        share = (len(pairs) / 2 + start) / (len(pairs) / 2 + len(seen.found) + number("row", "counts"))
        weights: Chances = {}
        for reference, part in self.circuit.identified.items():
            if not part.kind.conducts or not part.part.fitted or reference == want.held.part:
                continue
            for pin in part.type.pins:
                leg = PinRef(reference, pin.number)
                if self.bench.is_rail(leg) or len(self.circuit.pins_on(self.bench.net(leg))) > 1:
                    continue
                like = any(_like(want.ohm, a) and _like(self.bench.ohm(leg), b) for a, b in pairs)
                same = any(_like(want.ohm * b, self.bench.ohm(leg) * a) for a, b in pairs if a)
                weights[leg] = (
                    number("row", "alike") if like else number("row", "same_ratio") if same else 1.0
                )
        for net, colour in self.wanted.stage_nets.items():
            # Two resistors side by side, or a ladder drawn as a net.
            if colour == want.colour and net not in heads and not self.circuit.drivers_of(net):
                weights[self.circuit.pins_on(net)[0]] = number("row", "node")
        for net in self.wanted.joints:
            # One output may drive this resistor as well.
            weights[self.circuit.pins_on(net)[0]] = number("row", "alike")
        found |= _shared_out(weights, sum(found.values()) * share / (1 - share) if found else 1.0)

    def _ohms_on(self, net: str) -> list[tuple[float, float]]:
        """Pairs of values on a node, either way round."""
        ohms = [
            self.bench.ohm(p)
            for p in self.circuit.pins_on(net)
            if self.circuit.identified[p.part].kind.conducts
        ]
        return [(ohms[0], ohms[1]), (ohms[1], ohms[0])] if len(ohms) > 1 else []

    def at_gates(self, want: Want) -> Chances:
        """Inputs of the other gates in the path, with their chances: what blanks one blanks them all."""
        own = next((g for g in self.wanted.gates if want.held in g.inputs), None)
        if own is None:
            return {}
        number = self.numbers
        if self.wanted.shared:
            legs = [self.circuit.pins_on(net)[0] for net in sorted(self.wanted.shared)]
            share = number("gate", "shared_known")
        else:
            others = [leg for g in self.wanted.gates if g.output != own.output for leg in g.inputs]
            legs = [leg for leg in others if not self.circuit.drivers_of(self.bench.net(leg))]
            share = number("gate", "shared")
        net, wrong = self.bench.net(want.held), number("answer", "wrong")
        left = [leg for leg in legs if leg not in own.inputs and self.bench.net(leg) != net]
        return {leg: share / len(left) * wrong ** self.bench.touched(want.held, leg) for leg in left}

    def _rails(self, want: Want, found: Chances) -> None:
        """Each supply is one candidate: an input that is not used, a resistor that only pulls."""
        small = want.node == "pin" and 0 < want.ohm < self.numbers("answer", "small_ohm")
        is_diode = self.circuit.identified[want.held.part].kind == "diode"
        near = "diode" if is_diode else "small" if small else want.node
        share = self.numbers("rail", near if want.kind == "driver" else "input")
        if want.kind == "driver":
            share = self._rail_by_value(want, share)
        rails = [pins[0] for net in self.circuit.rails if len(pins := self.circuit.pins_on(net)) > 1]
        if not rails:
            return
        total = sum(found.values()) or 1.0
        for pin in rails:
            found[pin] = total * share / (1 - share) / len(rails)

    def _rail_by_value(self, want: Want, share: float) -> float:
        """Resistors of one value in like places do alike: they pull to a supply in every colour, or in none."""
        if want.ohm not in self._alike:
            self._alike[want.ohm] = self._pulling_and_driven(want.ohm)
        pulls, drives = self._alike[want.ohm]
        weight = self.numbers("rail", "alike")
        return (share + weight * pulls) / (1 + weight * (pulls + drives))

    def _pulling_and_driven(self, ohm: float) -> tuple[int, int]:
        """How many resistors of a value that stand on an output stage have a supply, and an output, behind them."""
        pulls = drives = 0
        for reference, part in self.circuit.identified.items():
            if part.kind != "resistor" or part.ohm != ohm:
                continue
            nets = [self.bench.net(PinRef(reference, p.number)) for p in part.type.pins]
            if any(net in self.wanted.stage_nets for net in nets):
                pulls += any(net in self.circuit.rails for net in nets)
                drives += any(self.circuit.drivers_of(net) for net in nets)
        return pulls, drives
