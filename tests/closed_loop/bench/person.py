"""A person at the bench: says in words what the screen shows, and what probe, meter and hands find.

The words are those of ``rgbroots help suspects``; where each begins and ends differs from person to person.
"""

from __future__ import annotations

import random
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from statistics import fmean

from tests.closed_loop.bench.behaviour import ALL, FRAMES, LANES, N_ELEMENTS, NOTHING, Wire
from tests.closed_loop.bench.board import Board
from tests.closed_loop.bench.change import leg_text, looks
from tests.closed_loop.bench.fault import Fault
from tests.closed_loop.bench.solved import Solved
from tracer.netlist.board import PinRef
from tracer.parts.kinds import Kind

__all__ = [
    "ANSWERS", "SCREEN", "VOLTS", "VOLTS_OF_SUPPLY", "WRONG_READINGS", "WRONG_WORDS", "Bench", "Person"
]  # fmt: skip

#: The words of the help, by what they are told of.
SCREEN = ("fine", "missing", "always on", "weak", "too strong", "coarse", "mixed", "flickers", "wrong")
ANSWERS: Mapping[str, tuple[str, ...]] = {
    "read": ("pulsing", "low", "high", "floating", "between"),
    "beep": ("beep", "none"),
    "ohms": ("as it should be", "short", "open", "wrong value"),
    "pressed": ("changes", "no change"),
    "swapped": ("cured", "no change"),
    "exchanged": ("moves", "stays", "cured"),
}
WRONG_WORDS, WRONG_READINGS = 0.10, 0.05
#: A meter beeps up to, a short reads below, and an open one above this many ohms.
_BEEPS, _SHORT, _OPEN = 30.0, 8.0, 20.0
#: A resistor in the circuit is held against its neighbour in another colour; further off than this it is wrong.
_NEAR = 0.25
#: Volts that a probe of TTL takes for low and for high.
_LOW, _HIGH = 0.8, 2.0
#: What a meter shows at a level of TTL, and at a leg for the supply or its ground.
VOLTS: Mapping[str, str] = {"low": "0.3 V", "high": "3.6 V", "between": "1.4 V"}
VOLTS_OF_SUPPLY: Mapping[str, str] = {"low": "0.0 V", "high": "5.0 V", "between": "1.4 V"}
#: A level that is there in less than this share of the time is not noticed.
_NOTICED = 0.04


@dataclass(frozen=True)
class Person:
    """Where the words of one person begin and end, as shares of the brightness from dark to full.

    Attributes
    ----------
    fine : float
        A colour off by less on the mean is fine.
    missing, always : float
        Brightest below this; darkest above this.
    weak, strong : float
        Brightest below and above this.
    moves : float
        A share of the picture that changes from look to look.
    follows : float
        How well a colour must follow another to be mixed with it.
    keeps : float
        How well it must follow itself to be only weak or coarse.
    volts : float
        How often a steady level is told in volts.
    """

    fine: float
    missing: float
    always: float
    weak: float
    strong: float
    moves: float
    follows: float
    keeps: float
    volts: float

    @classmethod
    def draw(cls, rng: random.Random) -> Person:
        """Anyone."""
        return cls(
            fine=rng.uniform(0.04, 0.12), missing=rng.uniform(0.06, 0.2), always=rng.uniform(0.35, 0.65),
            weak=rng.uniform(0.75, 0.92), strong=rng.uniform(1.08, 1.25), moves=rng.uniform(0.03, 0.12),
            follows=rng.uniform(0.5, 0.8), keeps=rng.uniform(0.4, 0.8), volts=rng.uniform(0, 0.6),
        )  # fmt: skip

    # -- the screen ---------------------------------------------------------------------------------

    def says(self, colour: str, now: Sequence[float], was: Mapping[str, Sequence[float]]) -> str:
        """The word for a colour: brightness of the elements in each look, and as they should be by colour."""
        own = was[colour]
        by_look = [now[i * N_ELEMENTS : (i + 1) * N_ELEMENTS] for i in range(FRAMES)]
        moving = sum(max(e) - min(e) > 0.1 for e in zip(*by_look, strict=True)) / N_ELEMENTS
        off = fmean(abs(a - b) for a, b in zip(now, own, strict=True))
        if moving > self.moves:
            return "flickers"
        if off <= self.fine and max(now) <= self.strong:
            return "fine"
        if max(now) <= self.missing:
            return "missing"
        if min(now) >= self.always:
            return "always on"
        keeps = _follows(now, own)
        others = max((_follows(now, other) for c, other in was.items() if c != colour), default=0.0)
        if others > max(keeps, self.follows):
            return "mixed"
        if max(now) > self.strong:
            return "too strong"
        if keeps >= max(self.keeps, 0.85) and max(now) < self.weak * max(own):
            return "weak"
        if keeps >= self.keeps:
            return "coarse" if _shades(now) < _shades(own) else "weak" if max(now) < max(own) else "wrong"
        return "wrong"


def _shades(brightness: Sequence[float]) -> int:
    """How many shades an eye tells apart."""
    found: list[float] = []
    for b in sorted(brightness):
        if not found or b - found[-1] > 0.04:
            found.append(b)
    return len(found)


def _follows(a: Sequence[float], b: Sequence[float]) -> float:
    """How well one brightness follows another: the coefficient of correlation."""
    ma, mb = fmean(a), fmean(b)
    both = sum((x - ma) * (y - mb) for x, y in zip(a, b, strict=True))
    alone = sum((x - ma) ** 2 for x in a) * sum((y - mb) ** 2 for y in b)
    return both / alone**0.5 if alone > 1e-12 else 0.0


class Bench:
    """A board with a fault, and a person before it.

    Parameters
    ----------
    board : Board
    fault : Fault
    person : Person
    rng : random.Random
    """

    def __init__(self, board: Board, fault: Fault, person: Person, rng: random.Random) -> None:
        self.board, self.fault, self.person, self.rng = board, fault, person, rng
        self.healthy, self.solved = board.healthy, Solved(board, fault.change)
        self.there = looks(fault.change)
        #: Chips in sockets: what was programmed, and a quarter of the others. Guess.
        self.socketed = {
            r for r in board.known
            if board.known[r].kind in (Kind.EPROM, Kind.PROM) or random.Random(f"{board.seed} socket {r}").random() < 0.25
        }  # fmt: skip

    # -- the screen ---------------------------------------------------------------------------------

    def _brightness(self) -> tuple[dict[str, list[float]], dict[str, list[float]]]:
        """As it is and as it should be: colour -> brightness of the elements, look after look."""
        change, n = self.fault.change, N_ELEMENTS * FRAMES
        now: dict[str, list[float]] = {}
        was: dict[str, list[float]] = {}
        for colour, volts in self.healthy.volts.items():
            dark, full = min(volts[:n]), max(volts[:n])
            span = (full - dark) or 1.0
            was[colour] = [(v - dark) / span for v in volts[:n]]
            changed = self.solved.volts[colour]
            mixed = [changed[i] if self.there >> i & 1 else volts[i] for i in range(n)]
            now[colour] = [0.0 if colour in change.dark else max(0.0, (v - dark) / span) for v in mixed]
        if change.exchanged:
            a, b = change.exchanged
            now[a], now[b] = now[b], now[a]
        return now, was

    def true_words(self) -> dict[str, str]:
        """Colour -> the word of someone who never errs."""
        now, was = self._brightness()
        return {c: self.person.says(c, now[c], was) for c in now}

    def words(self) -> dict[str, str]:
        """The words as told: some wrong, some with what is seen beside it. Whoever complains has something to tell."""
        right = self.true_words()
        bad: list[str] = []
        while not bad:
            told = {c: self._erring(w, SCREEN, WRONG_WORDS) for c, w in right.items()}
            bad = [c for c, w in told.items() if w != "fine"]
        if self.rng.random() < (0.4 if self.fault.is_unsteady else 0.03):
            told[bad[0]] += " when warm"
        if self.rng.random() < (0.7 if self.fault.is_of_layer else 0.03):
            told[bad[0]] += ", only the sprites"
        return told

    def _erring(self, right: str, words: Sequence[str], chance: float) -> str:
        return self.rng.choice([w for w in words if w != right]) if self.rng.random() < chance else right

    # -- measurements -------------------------------------------------------------------------------

    def measure(self, kind: str, where: tuple[str, ...]) -> str:
        """The answer to a measurement as a person tells it, sometimes wrong."""
        right = {
            "read": self.reads, "beep": self.beeps, "ohms": self.ohms, "pressed": self.pressed, "swapped": self.swapped,
            "exchanged": self.exchanged,
        }[kind](where)  # fmt: skip
        told = self._erring(right, ANSWERS[kind], WRONG_READINGS)
        is_colour = kind == "read" and PinRef(*where) in self.board.colour_legs.values()
        if kind == "read" and not is_colour and self.rng.random() < self.person.volts:
            is_supply = self.board.net_of.get(PinRef(*where)) in self.board.rails
            return (VOLTS_OF_SUPPLY if is_supply else VOLTS).get(told, told)
        return told

    def minutes(self, kind: str, where: tuple[str, ...]) -> float:
        """What it costs: a chip without a socket must be taken out with solder. Guesses."""
        if kind == "swapped":
            return 4.0 if where[0] in self.socketed else 25.0
        return {"read": 1.0, "beep": 1.0, "ohms": 2.0, "pressed": 0.5, "exchanged": 4.0}[kind]

    def reads(self, where: tuple[str, ...]) -> str:
        """What a logic probe says at a leg, over the whole picture and between pictures.

        A leg that only what is not simulated drives moves: the game runs.
        """
        part, pin = where
        if set(self._levels(self.healthy, part, pin, ALL)) <= {"floating"} and not self._touched(part, pin):
            return "pulsing"
        seen: dict[str, int] = {}
        n = 0
        for solved, lanes in ((self.solved, self.there), (self.healthy, ALL & ~self.there)):
            if lanes:
                for level, count in self._levels(solved, part, pin, lanes).items():
                    seen[level] = seen.get(level, 0) + count
                n += lanes.bit_count()
        share = {level: count / n for level, count in seen.items()}
        if share.get("moving", 0) > _NOTICED or min(share.get("high", 0), share.get("low", 0)) > _NOTICED:
            return "pulsing"
        if share.get("between", 0) > 0.3:
            return "between"
        return max(("low", "high", "floating", "between"), key=lambda w: share.get(w, 0.0))

    def _touched(self, part: str, pin: str) -> bool:
        """Whether the fault makes something else of a leg."""
        return self._levels(self.solved, part, pin, ALL) != self._levels(self.healthy, part, pin, ALL)

    def _levels(self, solved: Solved, part: str, pin: str, lanes: int) -> dict[str, int]:
        leg = PinRef(part, pin)
        node = solved.node(leg)
        wire: Wire = solved.wire(node) if node is not None else NOTHING
        both = wire.hi & wire.lo
        found = {
            "moving": (both & lanes).bit_count(),
            "high": (wire.hi & ~both & lanes).bit_count(),
            "between": (wire.mid & lanes).bit_count(),
            "low": (wire.lo & ~both & ~wire.mid & lanes).bit_count(),
        }
        nothing = lanes & ~(wire.hi | wire.lo | wire.mid)
        if nothing and node is not None and solved.network_of(node) is not None:
            # Nothing drives it, but the stage holds it somewhere.
            volts = solved.volts_at(node)
            for lane in range(LANES):
                if nothing >> lane & 1:
                    word = "low" if volts[lane] < _LOW else "high" if volts[lane] > _HIGH else "between"
                    found[word] += 1
        else:
            found["floating"] = nothing.bit_count()
        return {word: n for word, n in found.items() if n}

    def _nodes(self, end: str) -> set[str]:
        """The nodes of an end of a connection: a leg, or all legs of a part."""
        legs = [x for x in self.board.net_of if end in (x.part, leg_text(x))]
        return {n for x in legs if (n := self.solved.node(x)) is not None}

    def beeps(self, where: tuple[str, ...]) -> str:
        """Whether two ends of a connection stand on one node; one that comes and goes does so by chance."""
        a, b = (self._nodes(end) for end in where)
        joined = bool(a & b) or any(self._ohms(x, y) < _BEEPS for x in a for y in b)
        if not joined and self.fault.change.frames is not None:
            joined = self.rng.random() < 1 - len(self.fault.change.frames) / FRAMES
        return "beep" if joined else "none"

    def _ohms(self, a: str, b: str, solved: Solved | None = None) -> float:
        solved = solved or self.solved
        if a == b:
            return 0.0
        network = solved.network_of(a) or solved.network_of(b)
        return network.ohms(a, b) if network is not None else float("inf")

    def ohms(self, where: tuple[str, ...]) -> str:
        """A resistor against its healthy self in the circuit, or a connection against ground and supply."""
        if len(where) == 1:
            return self._of_junctions(where[0]) or self._of_resistor(where[0])
        rails = {n for n, _ in self.solved.tied.items()}
        ends = [self._nodes(end) if end != "ground" else {self.board.ground} for end in where]
        if all(
            any(end == leg_text(x) for x in self.board.colour_legs.values()) or end == "ground"
            for end in where
        ):
            pairs = [(a, b) for a in ends[0] for b in ends[1]]
        else:
            pairs = [(a, r) for a in ends[0] for r in (self.board.ground, self.board.supply)]
            if any(a in rails for a in ends[0]):
                return "short"
        if any(a in rails and b == self.board.ground for a, b in pairs):
            return "short"
        return "short" if any(self._ohms(a, b) < _SHORT for a, b in pairs) else "as it should be"

    def _of_junctions(self, part: str) -> str | None:
        """A transistor or diode in the diode range; None for what has no junctions."""
        pieces = [p for p in self.board.pieces if p.part == part and p.kind in ("transistor", "junction")]
        if not pieces:
            return None
        change, legs = self.fault.change, {leg for p in pieces for leg in p.legs}
        if any(set(pair) <= legs for pair in change.bridged):
            return "short"
        return "open" if part in change.gone or legs & set(change.off) else "as it should be"

    def _of_resistor(self, part: str) -> str:
        words = []
        for piece in self.board.pieces:
            if piece.part != part:
                continue
            a, b = (self.solved.node(leg) or "" for leg in piece.legs[:2])
            c, d = (self.healthy.node(leg) or "" for leg in piece.legs[:2])
            now, was = self._ohms(a, b), self._ohms(c, d, self.healthy)
            if now > _OPEN * was:
                words.append("open")
            elif now < _SHORT < was:
                words.append("short")
            elif abs(now / was - 1) > _NEAR:
                words.append("wrong value")
        return words[0] if words else "as it should be"

    def pressed(self, where: tuple[str, ...]) -> str:
        """Whether the picture changes under a finger."""
        chance = self.fault.moves.get(where[0], 0.0)
        return "changes" if self.rng.random() < chance else "no change"

    def swapped(self, where: tuple[str, ...]) -> str:
        """Whether another chip in its place cures it: one soldered in anew has new joints too."""
        return "cured" if where[0] in self.fault.cures else "no change"

    def exchanged(self, where: tuple[str, ...]) -> str:
        """Two colours exchanged at the plug: a harness and a monitor stay with their colour, all else with its wire."""
        change = self.fault.change
        if set(where) == set(change.exchanged):
            return "cured"
        words = self.true_words()
        if words[where[0]] == words[where[1]]:
            return self.rng.choice(("moves", "stays"))
        return "stays" if change.dark and not self.fault.is_of_plug else "moves"
