"""The chance of each candidate leg, learned from the connections that were found.

Method
------
A row of held legs (the resistors of the colours, the inputs of a latch) is wired to a row of ends by some rule: in
order, by twos, downwards, like the chip beside it. Each rule predicts one leg from the connections found so far, or
abstains. Their predictions are mixed with weights that are updated by Bayes' rule at every touch; a rule that abstains
keeps its share (specialists: Freund, Schapire, Singer and Warmuth 1997, "Using and combining predictors that
specialize"), and a little weight flows back to all rules at each beep, as a row may change its rule (fixed share:
Herbster and Warmuth 1998, "Tracking the best expert"; both cited from memory). How much of its claim a rule may keep is
counted from its hits and misses. What no rule predicts is weighed by chip.

Touches that did not beep multiply a leg's chance by the chance that a touch is misread.
"""

from __future__ import annotations

from dataclasses import dataclass

from tracer.base.toml_numbers import NumberTables
from tracer.beeps.bench import Bench
from tracer.beeps.buses import data_legs
from tracer.beeps.candidates import Candidates, Chances, Seen
from tracer.beeps.members import stage_chances
from tracer.beeps.rules import ANY, HELD_ORDERS, Rule, Rules
from tracer.beeps.through import legs_before, legs_beyond
from tracer.beeps.wanted import Connection, Want, Wanted
from tracer.netlist.board import PinRef

__all__ = ["Wiring"]

#: The chance of a leg that is no candidate, such as one that slipped to an input.
_UNTHOUGHT = 1e-4
#: What a rule always has open: no number of touches refutes it for good.
_LEAST_OPEN = 1e-3

#: A held leg's want, the leg that was touched, and the connection where it beeped.
_Event = tuple[Want, PinRef, Connection | None]


@dataclass
class _Learned:
    """A rule's share, and how often it was right and wrong on this board."""

    prior: float
    weight: float
    hits: float = 0.0
    misses: float = 0.0


@dataclass(frozen=True, slots=True)
class _Claim:
    """What a rule says of all candidates: some legs by name, and the rest as if it had not spoken."""

    rule: Rule
    said: Chances
    rest: float

    def on(self, leg: PinRef, base: Chances) -> float:
        """The chance of one leg."""
        return self.said.get(leg, 0.0) + self.rest * base.get(leg, _UNTHOUGHT)

    def open(self, base: Chances, misread: Chances) -> float:
        """What is left of 1 after touches that did not beep; `misread` has leg -> chance that one was not heard."""
        return 1.0 - sum(self.on(leg, base) * (1.0 - chance) for leg, chance in misread.items())


class Wiring:
    """The learned weights of one board, and the chances that follow from them."""

    def __init__(self, bench: Bench, wanted: Wanted, numbers: NumberTables) -> None:
        self.bench, self.wanted, self.numbers = bench, wanted, numbers
        self.circuit = bench.circuit
        self.wants = {kind: self._held(kind) for kind in HELD_ORDERS}
        self.candidates = Candidates(bench, wanted, self.wants, numbers)
        self.rules = Rules(self.candidates, self.wants, numbers)
        self.seen = {kind: Seen() for kind in HELD_ORDERS}
        self.mixture = {
            kind: {rule: _Learned(weight, weight) for rule, weight in self.rules.prior(kind).items()}
            for kind in HELD_ORDERS
        }
        for kind in HELD_ORDERS:
            self._learn(kind)

    @property
    def outputs(self) -> dict[str, list[PinRef]]:
        """Part -> its legs that can put out a level."""
        return self.candidates.outputs

    def chances(self, want: Want, *, without: Connection | None = None) -> Chances:
        """Candidate leg -> chance that it is the next one to beep with the held leg; what is missing to 1 is none.

        With `without`, as if that connection had not been found.
        """
        if want.kind == "bank":
            return self._bank(want)
        if want.kind == "tied":
            return self._tied(want)
        if want.like == "gates":
            return self.candidates.at_gates(want)
        if want.kind == "stage":
            return stage_chances(self.bench, self.wanted, want, self.numbers, without)
        seen = self.seen[want.kind].without(without)
        end = without.end if without else None
        wrong, nothing = self.numbers("answer", "wrong"), self.numbers("answer", "nothing")
        base = self.candidates.base(want, seen, end)
        if small := (legs_before(self.bench, want.held) or legs_beyond(self.bench, want.held)):
            # Ohms that were read say more than any rule: one of these legs is on the net.
            open_legs = {p: wrong ** self.bench.touched(want.held, p) for p in small}
            if max(open_legs.values()) > wrong:
                return {
                    p: (1 - nothing) * w / max(sum(open_legs.values()), 1.0) for p, w in open_legs.items()
                }
        tried = self.bench.quiet(want.held)
        misread = {p: wrong**n for p in base if (n := tried.get(self.bench.net(p)))}
        mixed: Chances = {}
        awake = before = rest = 0.0
        for claim in self._claims(want, seen, base):
            weight = self.mixture[want.kind][claim.rule].weight
            # The weights have lost by these touches already: what each rule had still open is what it has now.
            share = weight / max(claim.open(base, misread), _LEAST_OPEN)
            awake += weight
            before += share
            rest += share * claim.rest
            for pin, chance in claim.said.items():
                mixed[pin] = mixed.get(pin, 0.0) + share * chance
        if not awake:
            return {}
        still_open = awake / before * (1 - nothing)
        scale = still_open / (still_open + nothing) / awake
        return {
            pin: (mixed.get(pin, 0.0) + rest * chance) * scale * misread.get(pin, 1.0)
            for pin, chance in base.items()
        }

    def _tied(self, want: Want) -> Chances:
        """A control that a board ties: to ground or to a supply."""
        wrong, found = self.numbers("answer", "wrong"), {}
        for net, rail in self.circuit.rails.items():
            leg = self.circuit.pins_on(net)[0]
            share = self.numbers("bank", "tied_low" if rail.is_ground else "tied_high")
            found[leg] = share * wrong ** self.bench.touched(want.held, leg)
        return found

    def _bank(self, want: Want) -> Chances:
        """Data legs of another memory: by their names, as the legs that share the bus already do."""
        found = [
            c
            for c in self.wanted.found
            if c.want.kind == "bank" and {c.want.held.part, c.want.like} == {want.held.part, want.like}
        ]
        legs = data_legs(self.bench, want.like)
        own = data_legs(self.bench, want.held.part)
        place = own.index(want.held) if want.held in own else -1
        steps = {
            legs.index(c.end) - own.index(c.want.held) for c in found if c.end in legs and c.want.held in own
        }
        share = self.numbers("bank", "goes_on" if found else "shares")
        used = {self.bench.net(c.end) for c in found}
        weights = {
            leg: self.numbers("bank", "in_order") if at - place in (steps or {0}) else 1.0
            for at, leg in enumerate(legs)
            if self.bench.net(leg) not in used
        }
        total = sum(weights.values()) or 1.0
        wrong = self.numbers("answer", "wrong")
        return {
            leg: w / total * share * wrong ** self.bench.touched(want.held, leg) for leg, w in weights.items()
        }

    def reason(self, want: Want, leg: PinRef) -> tuple[Rule, list[Connection]]:
        """The rule that speaks most for a leg, and the last connections that it rests on."""
        if want.kind not in self.mixture:
            return ANY, []
        seen = self.seen[want.kind]
        best, most = ANY, 0.0
        for rule, chances in self.rules.predictions(want, seen):
            said = (chances or {}).get(leg, 0.0) * self.mixture[want.kind][rule].weight
            if said > most:
                best, most = rule, said
        return best, [c for c in seen.found if c.want.held != want.held][-3:]

    def _held(self, kind: str) -> dict[PinRef, Want]:
        """All held legs of a kind, found and open."""
        held: dict[PinRef, Want] = {}
        for want in [c.want for c in self.wanted.found] + self.wanted.open:
            if want.kind == kind:
                held.setdefault(want.held, want)
        return held

    # -- learning -------------------------------------------------------------------------------

    def _claims(self, want: Want, seen: Seen, base: Chances) -> list[_Claim]:
        """What each rule that speaks claims for a held leg."""
        used, reuse = self.candidates.used(seen.found), self.candidates.reuse(seen.found)
        found = []
        for rule, predicted in self.rules.predictions(want, seen):
            keep = self._keep(self.mixture[want.kind][rule])
            said = {
                leg: keep * chance * (reuse if self.bench.net(leg) in used else 1.0)
                for leg, chance in (predicted or {}).items()
                if leg in base
            }
            if said or rule == ANY:
                found.append(_Claim(rule, said, 1.0 - sum(said.values())))
        return found

    def _keep(self, rule: _Learned) -> float:
        """The share of its claim that a rule may keep: what it starts with, counted on with its hits and misses."""
        number = self.numbers
        start = number("rule", "start_counts")
        kept = (number("rule", "keep") * start + rule.hits) / (start + rule.hits + rule.misses)
        return min(kept, number("rule", "keep_most"))

    def _learn(self, kind: str) -> None:
        """Give the rules their weights by all answers, in the order in which they came.

        A beep counts for the rules that had predicted it, a touch without one against those that had. What had been
        tried with the same lead before is no longer open when a claim is measured.
        """
        seen, rules = self.seen[kind], self.mixture[kind]
        wrong, flow = self.numbers("answer", "wrong"), self.numbers("rule", "switch")
        ends = {c.want.held: c.end for c in self.wanted.found if c.want.kind == kind}
        held: PinRef | None = None
        base: Chances = {}
        claims: list[_Claim] = []
        still: dict[Rule, float] = {}
        for want, leg, connection in self._events(kind):
            if held != want.held:
                held = want.held
                base = self.candidates.base(want, seen, ends.get(held))
                claims = self._claims(want, seen, base)
                still = {c.rule: c.open(base, dict.fromkeys(seen.tried.get(held, ()), wrong)) for c in claims}
            likelihoods = {}
            for claim in claims:
                chance = claim.on(leg, base)
                share = min(chance / max(still[claim.rule], _LEAST_OPEN), 1.0)
                still[claim.rule] -= chance * (1.0 - wrong)
                likelihoods[claim.rule] = share if connection else 1.0 - share * (1.0 - wrong)
                self._count(rules[claim.rule], claim, leg, heard=connection is not None)
            awake = sum(rules[r].weight for r in likelihoods)
            mean = sum(rules[r].weight * chance for r, chance in likelihoods.items()) / awake
            for rule, chance in likelihoods.items():
                rules[rule].weight *= chance / mean
            if connection:
                seen.found.append(connection)
                held = None
                for learned in rules.values():
                    learned.weight = (1 - flow) * learned.weight + flow * learned.prior
            else:
                seen.tried.setdefault(want.held, []).append(leg)

    def _count(self, rule: _Learned, claim: _Claim, leg: PinRef, *, heard: bool) -> None:
        spoken = sum(claim.said.values())
        if spoken:
            here = claim.said.get(leg, 0.0)
            rule.hits += here if heard else 0.0
            rule.misses += spoken - here if heard else here

    def _events(self, kind: str) -> list[_Event]:
        """Connections of a kind, and touches from such held legs that did not beep, in their order."""
        late, when = len(self.bench.touches), self.bench.order
        wants = self.wants[kind]
        found: list[tuple[int, object, _Event]] = []
        for connection in self.wanted.found:
            if connection.want.kind == kind:
                at = max(when.get(connection.want.held, late), when.get(connection.end, late))
                found.append((at, connection.want.held.key, (connection.want, connection.end, connection)))
        for number, touch in enumerate(self.bench.touches):
            if not touch.heard and touch.pins[0] in wants and self.bench.touched(*touch.pins) == 1:
                found.append((number, touch.pins[0].key, (wants[touch.pins[0]], touch.pins[1], None)))
        return [event for _, _, event in sorted(found, key=lambda item: item[:2])]
