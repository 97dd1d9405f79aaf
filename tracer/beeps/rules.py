"""Rules by which a row of held legs is wired to a row of ends: each predicts one leg from what was found, or abstains.

A rule of three words has an order of the held legs, an order of the ends and a step: the resistors by colour and
weight, the outputs by leg, upwards. A rule of one word looks at chips: the chip of the neighbours, the like leg of a
chip that is wired like another, or `any`, where nothing is predicted.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence
from itertools import product

from tracer.base.names import natural_key
from tracer.base.toml_numbers import NumberTables
from tracer.beeps.candidates import END_ORDERS, Candidates, Chances, Seen
from tracer.beeps.wanted import Connection, Want
from tracer.netlist.board import PinRef

__all__ = ["ANY", "HELD_ORDERS", "Rule", "Rules"]

#: (order of the held legs, order of the ends, step), or one word.
Rule = tuple[str, ...]
ANY: Rule = ("any",)

_STEPS = ("up", "down", "as_before")
HELD_ORDERS: dict[str, tuple[str, ...]] = {
    "driver": ("bits", "bits_falling", "weights", "weights_falling", "reference"),
    "input": ("bits", "bits_falling", "weights", "weights_falling", "legs", "names"),
}
#: Held legs of one row that are farther apart than this say nothing of one another.
_FARTHEST = 8
#: Chips lie so far apart in a row of inputs that they say nothing of one another.
_CHIPS_APART = 1000


class Rules:
    """The rules for one board."""

    def __init__(
        self, candidates: Candidates, wants: dict[str, dict[PinRef, Want]], numbers: NumberTables
    ) -> None:
        self.candidates, self.numbers = candidates, numbers
        self.circuit = candidates.circuit
        self.ranks = {colour: i for i, colour in enumerate(candidates.bench.colours)}
        self.positions = {kind: self._positions(kind, held) for kind, held in wants.items()}
        #: The rules of one word, but for `ANY`, with what each says of a held leg.
        self.of_one_word: dict[str, Callable[[Want, Sequence[Connection]], Chances | None]] = {
            "same_chip": self._same_chip,
            "like": self._like,
        }

    def prior(self, kind: str) -> dict[Rule, float]:
        """Rule -> weight before anything was found, 1 in all."""
        number = self.numbers
        found: dict[Rule, float] = {
            (held, end, step): number("rule", held) * number("rule", end) * number("rule", step)
            for held, end, step in product(HELD_ORDERS[kind], END_ORDERS, _STEPS)
        }
        scale = number("rule", "in_order") / sum(found.values())
        found = {rule: weight * scale for rule, weight in found.items()}
        found |= {(word,): number("rule", word) for word in (*self.of_one_word, *ANY)}
        total = sum(found.values())
        return {rule: weight / total for rule, weight in found.items()}

    def predictions(self, want: Want, seen: Seen) -> list[tuple[Rule, Chances | None]]:
        """What each rule says of a held leg; None where it abstains."""
        found: list[tuple[Rule, Chances | None]] = [
            ((word,), says(want, seen.found)) for word, says in self.of_one_word.items()
        ]
        found.append((ANY, {}))
        start = {} if seen.found else self.candidates.chips(want, seen)
        for held_order in HELD_ORDERS[want.kind]:
            near = self._near(want, seen.found, held_order)
            for end_order, step in product(END_ORDERS, _STEPS):
                if near:
                    said = self._stepped(near, end_order, step)
                else:
                    said = self._first(want, held_order, end_order, step, start)
                found.append(((held_order, end_order, step), said))
        return found

    # -- the row of held legs -------------------------------------------------------------------

    def _positions(self, kind: str, held: dict[PinRef, Want]) -> dict[str, dict[PinRef, int]]:
        """Order of held legs -> held leg -> its number in it."""
        rank = {w: self.ranks.get(w.colour, len(self.ranks)) for w in held.values()}
        strong, weak = self._weights(held.values(), 1), self._weights(held.values(), -1)
        keys: dict[str, Callable[[Want], object]] = {
            "bits": lambda w: (rank[w], w.ohm, w.held.key),
            "bits_falling": lambda w: (rank[w], -w.ohm, w.held.key),
            "weights": lambda w: (strong[w], rank[w], w.held.key),
            "weights_falling": lambda w: (weak[w], rank[w], w.held.key),
            "reference": lambda w: w.held.key,
        }
        found: dict[str, dict[PinRef, int]] = {}
        for order in HELD_ORDERS[kind]:
            if order in keys:
                row = sorted(held.values(), key=keys[order])  # type: ignore[arg-type]
                found[order] = {w.held: i for i, w in enumerate(row)}
            else:
                found[order] = self._along_chips(held, by_name={"legs": False, "names": True}[order])
        return found

    def _weights(self, wants: Iterable[Want], sign: int) -> dict[Want, int]:
        """Want -> its number among those of its colour, from the smallest resistor up (1) or the largest down (-1)."""
        found: dict[Want, int] = {}
        counts: dict[str, int] = {}
        for want in sorted(wants, key=lambda w: (sign * w.ohm, w.held.key)):
            found[want] = counts.get(want.colour, 0)
            counts[want.colour] = found[want] + 1
        return found

    def _along_chips(self, held: Iterable[PinRef], *, by_name: bool) -> dict[PinRef, int]:
        """Inputs of chips by leg or by name, each chip by itself."""
        found: dict[PinRef, int] = {}
        for number, part in enumerate(dict.fromkeys(p.part for p in held)):
            type_ = self.circuit.identified[part].type
            inputs = [
                p for p in type_.pins if any(a.kind == "data" and a.source == p.number for a in type_.arcs)
            ]
            inputs.sort(key=lambda p: natural_key(p.name if by_name else p.number))
            found.update({PinRef(part, p.number): number * _CHIPS_APART + i for i, p in enumerate(inputs)})
        return found

    def _near(self, want: Want, history: Sequence[Connection], held_order: str) -> list[tuple[int, PinRef]]:
        """The nearest legs of a row for which something was found: how far away, and what."""
        positions = self.positions[want.kind][held_order]
        if want.held not in positions:
            return []
        here = positions[want.held]
        near = [
            (positions[c.want.held] - here, c.end)
            for c in history
            if c.want.held in positions and c.want.held != want.held
        ]
        near = [item for item in near if abs(item[0]) <= _FARTHEST]
        return sorted(near, key=lambda item: (abs(item[0]), item[0]))[:4]

    # -- the row of ends --------------------------------------------------------------------------

    def _first(
        self, want: Want, held_order: str, end_order: str, step: str, chips: dict[str, float]
    ) -> Chances | None:
        """Before anything was found: a row begins at the first output of some chip."""
        positions = self.positions[want.kind][held_order]
        if not chips or step == "as_before" or want.held not in positions:
            return None
        place = positions[want.held] % _CHIPS_APART
        if step == "down":
            place = len(positions) - 1 - place
        found = {}
        for reference, weight in chips.items():
            legs = self.candidates.ends(reference, end_order)
            if 0 <= place < len(legs):
                found[legs[place]] = weight * len(legs)
        total = sum(found.values())
        sure = self.numbers("rule", "first") * self.numbers("rule", "far") ** place
        return {p: w / total * sure for p, w in found.items()} if total else None

    def _stepped(self, near: Sequence[tuple[int, PinRef]], end_order: str, step: str) -> Chances | None:
        """The leg that a step along the row leads to."""
        away, end = near[0]
        size = {"up": 1, "down": -1}.get(step) or self._last_step(near, end_order)
        if not size:
            return None
        # The farther along a row, the likelier that it was broken off.
        sure = self.numbers("rule", "far") ** (abs(away) - 1)
        found = self._leg_at(end, end_order, -away * size)
        return {pin: chance * sure for pin, chance in found.items()} if found else None

    def _last_step(self, near: Sequence[tuple[int, PinRef]], end_order: str) -> int | None:
        """How far the ends lie apart, of the two nearest found that are on one chip."""
        (away, end), *others = near
        for other_away, other in others[:3]:
            if other.part == end.part and other_away != away:
                legs = self.candidates.ends(end.part, end_order)
                if end in legs and other in legs:
                    steps, rest = divmod(legs.index(end) - legs.index(other), away - other_away)
                    return steps if rest == 0 else None
        return None

    def _leg_at(self, end: PinRef, order: str, offset: int) -> Chances | None:
        """The leg so many places from another; past the chip's end the row goes on with the next chip like it."""
        legs = self.candidates.ends(end.part, order)
        if end not in legs:
            return None
        place = legs.index(end) + offset
        if 0 <= place < len(legs):
            return {legs[place]: 1.0}
        chips_on, place = divmod(place, len(legs))
        type_ = self.candidates.type_of(end.part)
        alike = [r for r in self.candidates.outputs if self.candidates.type_of(r) == type_]
        here = alike.index(end.part)
        number = self.numbers
        weights = {}
        for index, reference in enumerate(alike):
            if reference != end.part and place < len(ends := self.candidates.ends(reference, order)):
                weight = number("rule", "next_chip") if index - here == chips_on else 1.0
                weights[ends[place]] = weight * self.candidates.near(end.part, reference)
        total = sum(weights.values())
        return {p: w / total for p, w in weights.items()} if total else None

    # -- chips ----------------------------------------------------------------------------------

    def _same_chip(self, want: Want, history: Sequence[Connection]) -> Chances | None:
        """Another leg of the chip on which most of what is nearest was found."""
        mates = [c for c in history if c.want.colour == want.colour or c.want.held.part == want.held.part]
        if not mates:
            return None
        used = self.candidates.used(history)
        found: Chances = {}
        for connection in mates[-3:]:
            legs = [
                p
                for p in self.candidates.ends(connection.end.part, "end_legs")
                if self.candidates.bench.net(p) not in used
            ]
            for leg in legs:
                found[leg] = found.get(leg, 0.0) + 1.0 / len(legs)
        total = sum(found.values())
        return {p: w / total for p, w in found.items()} if total else None

    def _like(self, want: Want, history: Sequence[Connection]) -> Chances | None:
        """What feeds the same leg of another chip of that type is taken for this one: the leg, of a like chip."""
        type_of = self.candidates.type_of
        if self.circuit.identified[want.held.part].kind == "resistor":
            return None
        for connection in reversed(history):
            held, end = connection.want.held, connection.end
            if held.part == want.held.part or held.pin != want.held.pin:
                continue
            if type_of(held.part) != type_of(want.held.part):
                continue
            feeding = [c.end.part for c in history if c.want.held.part == want.held.part]
            chips = [
                r
                for r in (feeding[-1:] or self.candidates.outputs)
                if r != end.part and type_of(r) == type_of(end.part)
            ]
            if chips:
                return {PinRef(r, end.pin): 1.0 / len(chips) for r in chips}
        return None
