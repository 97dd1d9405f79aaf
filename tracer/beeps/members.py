"""Which resistor's leg stands on a colour pin: by its value, by its neighbours, by what the other colours have."""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence
from itertools import pairwise

from tracer.base.names import natural_key
from tracer.base.toml_numbers import NumberTables
from tracer.beeps.bench import Bench
from tracer.beeps.ladder import ends_ladder
from tracer.beeps.through import legs_before
from tracer.beeps.wanted import Connection, Want, Wanted
from tracer.netlist.board import PinRef

__all__ = ["is_settled", "stage_chances"]

#: Chips that hand on a whole colour.
_HAND_ON = frozenset({"amplifier", "analogue switch", "switch"})


def stage_chances(
    bench: Bench, wanted: Wanted, want: Want, numbers: NumberTables, without: Connection | None = None
) -> dict[PinRef, float]:
    """Leg -> chance that it stands on the net of the held one."""
    return _Scores(bench, wanted, want, numbers, without).chances()


def is_settled(bench: Bench, wanted: Wanted, reference: str, times: int = 1) -> bool:
    """Whether a part can no longer be a bit of some colour.

    A leg on a supply makes it a pull-up, a bias or a termination. A leg on an output stage makes it known. A leg that
    was tried so many `times` against every net of an output stage is not on any of them.
    """
    part = bench.circuit.identified[reference]
    legs = [PinRef(reference, p.number) for p in part.type.pins]
    stage = [next(iter(bench.circuit.pins_on(net))) for net in wanted.stage_nets]
    pairs = {frozenset((a.source, a.target)) for a in part.type.arcs if a.kind == "series"}
    if part.kind == "resistor pack" and pairs:
        on_rail = {p.pin for p in legs if bench.is_rail(p)}
        if all(pair & on_rail for pair in pairs):
            return True
    elif part.kind.is_discrete and part.kind != "transistor" and any(bench.is_rail(p) for p in legs):
        return True

    has_two_ends = part.kind.is_discrete and part.kind not in ("transistor", "resistor pack")
    if has_two_ends and any(bench.net(leg) in wanted.stage_nets for leg in legs):
        return True

    def tried(leg: PinRef) -> bool:
        return bench.net(leg) in wanted.stage_nets or all(bench.touched(leg, s) >= times for s in stage)

    def is_elsewhere(leg: PinRef) -> bool:
        # Two parts that beep with one another may still stand on a stage together.
        chips = (bench.circuit.identified[p.part].kind for p in bench.circuit.pins_on(bench.net(leg)))
        return any(not kind.is_discrete for kind in chips)

    return all(tried(leg) or is_elsewhere(leg) for leg in legs)


class _Scores:
    def __init__(
        self, bench: Bench, wanted: Wanted, want: Want, numbers: NumberTables, without: Connection | None
    ) -> None:
        self.bench, self.want, self.numbers = bench, want, numbers
        self.wanted = wanted
        self.end = without.end if without else None
        self.circuit = bench.circuit
        rows: dict[PinRef, list[PinRef]] = {}
        self.wants = {w.held: w for w in (*(c.want for c in wanted.found), *wanted.open) if w.kind == "stage"}
        for held in self.wants:
            rows[held] = []
        for connection in wanted.found:
            if connection.want.kind == "stage" and connection != without:
                rows[connection.want.held].append(connection.end)
        when = bench.order
        self.here = rows.pop(want.held, [])
        #: Nets where the bits meet compare with such of the other colours, nodes of ladders with nodes.
        self.node = want.node
        self.others = [
            sorted(r, key=lambda p: when.get(p, 0))
            for held, r in rows.items()
            if r and self.wants[held].node == self.node and self.wants[held].colour != want.colour
        ]
        resistors = [r for r, p in self.circuit.identified.items() if p.kind == "resistor"]
        self.index = {r: i for i, r in enumerate(sorted(resistors, key=natural_key))}
        self.values = Counter(self.circuit.identified[r].ohm for r in resistors)
        self.legs = Counter(p.pin for row in (self.here, *self.others) for p in row if p.part in self.index)

    def chances(self) -> dict[PinRef, float]:
        own = self.bench.net(self.want.held)
        wrong = self.numbers("answer", "wrong")
        taken = {net for net in self.wanted.stage_nets if net != own}
        left = self._expected()
        # Where a leg must be missing, one that was not heard is the likeliest reason: no part is done with at once.
        missing = left >= 1 and len(self.others) == len(self.bench.colours) - 1
        scores: dict[PinRef, float] = {}
        total = 0.0
        for reference, part in self.circuit.identified.items():
            if not (part.kind.is_discrete or part.kind in _HAND_ON) or not part.part.fitted:
                continue
            score = self._part(reference) / max(len(part.type.pins) / 2, 1)
            total += score
            is_end = self.node == "ladder" and self._ends_ladder(reference)
            is_own = self.end is not None and reference == self.end.part
            if not (is_end or is_own) and is_settled(self.bench, self.wanted, reference, 2 if missing else 1):
                continue
            for pin in part.type.pins:
                leg = PinRef(reference, pin.number)
                net = self.bench.net(leg)
                if leg != self.end and (net == own or net in taken or self.bench.is_rail(leg)):
                    continue
                if len(self.circuit.pins_on(net)) > 1 and self.circuit.drivers_of(net):
                    continue
                scores[leg] = score * self._leg(leg)
        total = max(total, sum(scores.values()))
        surely = self.numbers("stage", "surely")
        found = {}
        heard = {
            leg: score * wrong ** self.bench.touched(self.want.held, leg) for leg, score in scores.items()
        }
        is_whole = self._is_whole()
        open_share = sum(heard.values()) / max(sum(scores.values()), 1e-9)
        for leg, score in scores.items():
            nones = self.bench.touched(self.want.held, leg)
            chance = min(surely, left * score / total)
            found[leg] = chance * wrong**nones / (chance * wrong**nones + 1 - chance)
            if missing and left * score / sum(scores.values()) >= self.numbers("stage", "expected_leg"):
                share = heard[leg] / sum(scores.values())
                again = left * surely * share / (surely * open_share + 1 - surely)
                found[leg] = max(found[leg], min(surely, again))
            # Where a colour has fewer legs than all others, what was not heard is tried once more.
            if nones <= (1 if missing and not is_whole else 0) and (not is_whole or self._goes_on(leg)):
                found[leg] = max(found[leg], self.numbers("stage", "must_try"))
        if before := legs_before(self.bench, self.want.held):
            # Ohms that were read say more than any likeness: one of these is on the net.
            sure = surely / len(before)
            found |= {leg: sure * wrong ** self.bench.touched(self.want.held, leg) for leg in before}
        return found

    def _goes_on(self, leg: PinRef) -> bool:
        """Whether a leg may be a further bit of every colour: of such, each is tried on one colour pin at least.

        Its value goes on doubling, at either end, and the board has one for each colour.
        """
        pins = self.bench.colours.values()
        ohm, mine = self._ohm(leg.part), self._ohms(self.here)
        if self.node != "pin" or not ohm or not mine or any(self.bench.touched(leg, p) for p in pins):
            return False
        part = self.circuit.identified[leg.part]
        if part.kind == "resistor pack":
            ends = Counter(end for a in part.type.arcs for end in (a.source, a.target))
            isolated = bool(ends) and max(ends.values()) == 1
            enough = isolated and len(part.type.arcs) >= len(pins)
        else:
            enough = self.values[ohm] >= len(pins)
        low, high = self.numbers("stage", "double_from"), self.numbers("stage", "double_to")
        return enough and (low <= ohm / max(mine) <= high or low <= min(mine) / ohm <= high)

    def _expected(self) -> float:
        """How many more legs there should be."""
        some_more = self.numbers("stage", "some_more")
        if self.node == "through":
            return some_more
        if self.node == "ladder":
            # Two rails and a rung, one of which is the held leg.
            return max(2.0 - len(self.here), some_more)
        whole: float
        counts = [len(r) for r in self.others]
        most = max(counts, default=0)
        if self._is_ladder():
            return self.numbers("ladder", "more_at_pin")
        expected = self.numbers("stage", "expected")
        if len(counts) > 1 and set(counts) == {most} and most > 1:
            whole = most
        elif most:
            whole = max(most, min(expected, most + 1))
        else:
            whole = expected
        return max(whole - len(self.here), some_more)

    def _is_ladder(self) -> bool:
        """Whether two resistors of one to two, and no more, stand where the bits meet: the end of an R-2R ladder."""
        return self.node == "pin" and ends_ladder([o for p in self.here if (o := self._ohm(p.part))])

    def _ends_ladder(self, reference: str) -> bool:
        """Whether a resistor may be the last of a ladder: one of its legs is on ground, the other on nothing yet."""
        legs = [PinRef(reference, p.number) for p in self.circuit.identified[reference].type.pins]
        on = [leg for leg in legs if self.bench.is_rail(leg)]
        return len(on) == 1 and all(
            leg in on or len(self.circuit.pins_on(self.bench.net(leg))) == 1 for leg in legs
        )

    def _is_whole(self) -> bool:
        """Whether nothing speaks for a further bit: every colour has these values, and none is missing between them."""
        if self.node == "through" or (self.node == "ladder" and len(self.here) > 1) or self._is_ladder():
            return True
        rows = [sorted(o for p in row if (o := self._ohm(p.part))) for row in (self.here, *self.others)]
        mine = rows[0]
        if not mine or len(self.others) < len(self.bench.colours) - 1 or any(row != mine for row in rows[1:]):
            return False
        return all(high / low <= self.numbers("stage", "gap") for low, high in pairwise(mine))

    def _part(self, reference: str) -> float:
        number, part = self.numbers, self.circuit.identified[reference]
        score = number("stage", part.kind.replace(" ", "_"))
        if part.kind not in ("resistor", "resistor pack"):
            return score
        ohm = self._ohm(reference)
        if not number("stage", "least_ohm") <= ohm <= number("stage", "most_ohm"):
            score *= number("stage", "unlikely")
        elif ohm >= number("stage", "pull_up_from"):
            score *= number("stage", "pull_up")
        if part.kind == "resistor pack":
            return score * self._value(ohm)
        if self.values[part.ohm] % len(self.bench.colours) == 0:
            score *= number("stage", "per_colour")
        return score * self._neighbours(reference) * self._value(ohm)

    def _neighbours(self, reference: str) -> float:
        number, at = self.numbers, self.index[reference]
        here = [self.index[p.part] for p in self.here if p.part in self.index]
        if here:
            away = min(abs(at - other) for other in here)
            return {1: number("stage", "neighbour"), 2: number("stage", "near")}.get(away, 1.0)
        behind = [
            max(rows)
            for r in self.others
            if (rows := [self.index[p.part] for p in r if p.part in self.index])
        ]
        return number("stage", "after_other") if behind and at == max(behind) + 1 else 1.0

    def _value(self, ohm: float) -> float:
        number = self.numbers
        mine = self._ohms(self.here)
        score = 1.0
        if ohm in mine:
            score *= number("stage", "repeated")
        elif mine:
            near = min((max(ohm, o) / max(min(ohm, o), 1e-3) for o in mine), default=0.0)
            if number("stage", "double_from") <= near <= number("stage", "double_to"):
                score *= number("stage", "doubling")
        theirs = {o for row in self.others for o in self._ohms(row)}
        if theirs:
            lacking = ohm in theirs and ohm not in mine
            score *= number("stage", "same_values" if lacking else "other_values")
        return score

    def _ohms(self, row: Sequence[PinRef]) -> set[float]:
        return {ohm for p in row if (ohm := self._ohm(p.part))}

    def _ohm(self, reference: str) -> float:
        """The value of a resistor or of a pack's resistors; 0 where it is not known."""
        part = self.circuit.identified[reference]
        return part.ohm or next((a.ohm for a in part.type.arcs if a.ohm), 0.0)

    def _leg(self, leg: PinRef) -> float:
        """Boards tend to have the same leg of every resistor at the connector; learned by counting."""
        part = self.circuit.identified[leg.part]
        kind = part.kind
        if kind == "resistor pack":
            return self._pack_leg(leg.part, leg.pin)
        if kind in ("amplifier", "analogue switch"):
            return 1.0 if part.type.drives(leg.pin) else 0.3
        if leg.part not in self.index:
            # A transistor gives out at its emitter.
            return 1.0 if kind != "transistor" or part.type.by_number[leg.pin].letter == "E" else 0.1
        return (self.legs[leg.pin] + 1.0) / (sum(self.legs.values()) + 2.0)

    def _pack_leg(self, reference: str, pin: str) -> float:
        """Packs are wired alike, and the colours lie side by side on one."""
        score = 0.5
        kind = "resistor pack"
        mine = [p for p in self.here if self.circuit.identified[p.part].kind == kind]
        theirs = [p for row in self.others for p in row if self.circuit.identified[p.part].kind == kind]
        if any(p.pin == pin and p.part != reference for p in mine):
            score *= self.numbers("stage", "pack_like")
        elif any(
            p.part == reference and p.pin.isdecimal() and pin.isdecimal() and abs(int(p.pin) - int(pin)) == 1
            for p in theirs
        ):
            score *= self.numbers("stage", "pack_beside")
        return score
