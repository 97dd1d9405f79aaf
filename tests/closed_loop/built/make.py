"""A random board from the idioms: which output stages, chips and surroundings it has, and its true map."""

from __future__ import annotations

import random
from collections.abc import Sequence
from dataclasses import dataclass, field

from tests.closed_loop.built.board import COLOURS, Drawing, Naming, TrueBit, TrueBoard, TrueColour
from tests.closed_loop.built.chains import ENDS, Chains, Fed, random_steps
from tests.closed_loop.built.chips import CHIPS, MEMORIES
from tests.closed_loop.built.networks import NETWORKS, Leg, network
from tests.closed_loop.built.sides import BENDING, SIDES
from tests.closed_loop.built.stages import AMPLIFIERS, ENTRIES, EXITS, way_out
from tests.closed_loop.built.surroundings import Surroundings

__all__ = ["Recipe", "built_board", "random_recipe"]

_NAMINGS: tuple[Naming, ...] = ("labels", "automatic", "lying", "none")


@dataclass(frozen=True)
class Recipe:
    """What a board is made of; any of it may be left out to find what a fault hangs on."""

    bits: tuple[int, int, int]
    network: str = "weighted"
    way: tuple[str, ...] = ()
    side: str = ""
    steps: tuple[str, ...] = ()
    end: str = "memory"
    memory: str = "82S129"
    selector: str = ""
    intensity: bool = False
    brightness: bool = False
    clear_blanks: bool = False
    naming: Naming = "automatic"
    in_order: bool = False


def random_recipe(seed: int) -> Recipe:
    """What the board of this seed is made of."""
    b = Drawing(random.Random(seed))
    r = b.random
    kind = r.choice((*NETWORKS, "weighted", "ladder"))
    least = 2 if kind in ("ladder", "hybrid") else 1
    selector = r.choice(("before", "behind", "single switches")) if r.random() < 0.12 else ""
    most = 2 if selector else r.choice((3, 4, 5))
    # A header stops the way; a test of its own asks for what is said then.
    way = [r.choice(tuple(ENTRIES)), r.choice([e for e in EXITS if e != "header"])]
    if kind in ("bare", "hybrid"):
        selector, way = "", ["nothing", r.choice(("straight", "series", "bead", "zero ohm"))]
    elif r.random() < 0.4:
        way.insert(1, r.choice(tuple(AMPLIFIERS)))
    bare = "op-amp inverting" not in way and "pnp follower" not in way
    side = (
        r.choice(tuple(SIDES))
        if bare and not selector and kind not in ("bare", "hybrid") and r.random() < 0.4
        else ""
    )
    steps = random_steps(b)
    end = r.choice((*ENDS, "memory", "memory", "transceiver"))
    if side == "sync in green" and end in ("header board", "processor", "border", "function"):
        # Sync is told by its name from stored bits; beside others it stays a bit, which stops.
        end = "memory"
    if end == "processor":
        steps = (r.choice(("74LS273", "74LS374", "74LS174")), *steps)
    if "op-amp inverting" in way:
        # What stands at the summing point is the network alone.
        way[0] = "nothing"
    if side == "blanking by diodes":
        # A diode to an output that is low clamps only what stands above a junction and that low: no load at the node.
        way = [r.choice(("nothing", "pull-up")), "straight"]
    plain = not selector and not side and kind in ("weighted", "equal", "two in series", "beads")
    extra = r.random()
    if plain and 0.2 < extra < 0.4:
        # A diode that pulls down a little needs a node that stands above its knee.
        way = [r.choice(("nothing", "pull-up")), "straight"]
    return Recipe(
        bits=(1, 1, 1) if kind == "bare" else tuple(r.randint(least, min(most, 4)) for _ in COLOURS),  # type: ignore[arg-type]
        network=kind,
        way=tuple(way),
        side=side,
        steps=steps,
        end=end,
        memory=r.choice(tuple(MEMORIES)),
        selector=selector,
        intensity=plain and extra < 0.2,
        brightness=plain and 0.2 < extra < 0.4,
        clear_blanks=r.random() < 0.5,
        # By what else than its name is sync told from a bit?
        naming=r.choice(_NAMINGS[:3] if side == "sync in green" else _NAMINGS),
    )


def built_board(recipe: Recipe, seed: int = 0) -> TrueBoard:
    """Put a board together."""
    return _Maker(recipe, Drawing(random.Random(seed), recipe.in_order)).make()


@dataclass
class _Maker:
    recipe: Recipe
    b: Drawing
    banks: list[Chains] = field(default_factory=list)

    def make(self) -> TrueBoard:
        recipe, b = self.recipe, self.b
        told = recipe.naming in ("lying", "none")
        names = () if told else tuple(f"{i + 1}={c.upper()}" for i, c in enumerate(COLOURS))
        self.plug = b.place("J", "video", symbol="Conn_01x06", pins=names)
        self.around = Surroundings(b, self.plug)
        first = ("74LS07", *recipe.steps) if recipe.network == "open collectors" else recipe.steps
        blanked = recipe.clear_blanks
        self.banks = [Chains(b, self.around, first, recipe.end, recipe.memory, blanked=blanked)]
        if recipe.selector:
            b.idioms.add(f"selector: {recipe.selector}")
            self.banks.append(
                Chains(b, self.around, first, "memory", "27256", bank="second", blanked=blanked)
            )
        colours = self._colours()
        self.around.finish(clear_blanks=recipe.clear_blanks)
        b.idioms.add(f"names: {recipe.naming}")
        pins = {c: f"{self.plug}.{i + 1}" for i, c in enumerate(COLOURS)}
        return TrueBoard(
            b.netlist(recipe.naming), colours, pins if told else {}, frozenset(b.said), frozenset(b.idioms)
        )

    def _colours(self) -> dict[str, TrueColour]:
        recipe = self.recipe
        pins = [f"{self.plug}.{i + 1}" for i in range(3)]
        if recipe.selector == "behind":
            return {
                c: self._selected_behind(n, pin) for c, n, pin in zip(COLOURS, recipe.bits, pins, strict=True)
            }
        extra = int(recipe.intensity)
        networks = [network(self.b, recipe.network, n + extra) for n in recipe.bits]
        for found in networks:
            # The way out may add to the node: brightness and sides hang on the node itself.
            self.b.join(found.node, self.b.node())
        bright = self._brightness([n.node for n in networks]) if recipe.brightness else []
        if recipe.side:
            self.b.idioms.add(recipe.side)
            SIDES[recipe.side](self.b, [n.node for n in networks], self.plug)
        common = self._intensity([n.legs[-1] for n in networks]) if recipe.intensity else None
        colours = {}
        for i, (colour, found, pin) in enumerate(zip(COLOURS, networks, pins, strict=True)):
            way = way_out(self.b, found.node, pin, recipe.way)
            exact = way.is_linear and recipe.side not in BENDING and not bright
            legs = found.legs[:-1] if common else found.legs
            states = self._bits(legs, exact, way.shared, len(found.legs) + bool(bright))
            if common:
                states = [[*bits, self._bit(found.legs[-1], common, exact, way.shared, 2)] for bits in states]
            if bright:
                states = [[*bits, bright[i]] for bits in states]
            colours[colour] = TrueColour(pin, tuple(tuple(bits) for bits in states))
        return colours

    def _bits(self, legs: Sequence[Leg], exact: bool, shared: set[str], n: int) -> list[list[TrueBit]]:
        """The bits of a colour in each state of the selector before the resistors; one state without it."""
        if not self.recipe.selector:
            return [[self._bit(leg, self.banks[0].feed(leg.net), exact, shared, n) for leg in legs]]
        states: list[list[TrueBit]] = [[], []]
        for leg in legs:
            ways, common = self._selector()
            self.b.join(common, leg.net)
            for state, way, bank in zip(states, ways, self.banks, strict=True):
                state.append(self._bit(leg, bank.feed(way), exact, shared, n))
        return states

    def _selected_behind(self, n: int, pin: str) -> TrueColour:
        """Two networks of a colour, one of which an analogue selector lets through."""
        ways, common = self._selector()
        way = way_out(self.b, common, pin, self.recipe.way)
        states = []
        for bank, one, bits in zip(
            self.banks, ways, (n, 1 if self.recipe.network != "ladder" else 2), strict=True
        ):
            found = network(self.b, self.recipe.network, bits)
            self.b.join(found.node, one)
            states.append(
                tuple(
                    self._bit(leg, bank.feed(leg.net), way.is_linear, way.shared, bits) for leg in found.legs
                )
            )
        return TrueColour(pin, tuple(states))

    def _selector(self) -> tuple[tuple[str, ...], str]:
        """Two ways and the common leg of a section of an analogue selector, or of two switches of which one is closed."""
        if self.recipe.selector == "single switches":
            ways, common, controls = self.b.switches(2)
            for control, net in zip(controls, self.around.opposites("@CHOICE"), strict=True):
                self.b.join(control, net)
            return ways, common
        chip, ways, common = self.b.section("74HC4053")
        for leg in CHIPS["74HC4053"].select:
            self.b.join(f"{chip}.{leg}", self.around.control("@CHOICE"))
        return ways, common

    def _intensity(self, legs: list[Leg]) -> Fed:
        """One driver for the lightest leg of every colour."""
        self.b.idioms.add("intensity")
        return self.banks[0].feed(self.b.join(*(leg.net for leg in legs)))

    def _brightness(self, nodes: list[str]) -> list[TrueBit]:
        """A stored bit pulls every colour down a little, over a diode and a resistor of each."""
        self.b.idioms.add("brightness")
        driver = self.b.node()
        fed = Chains(self.b, self.around, ("74LS174",), "memory", "27256", bank="bright").feed(driver)
        bits = []
        for node in nodes:
            between = self.b.node()
            self.b.diode(node, between)
            own = self.b.resistor(between, driver, 470)
            bits.append(TrueBit(frozenset({own}), fed.drivers, fed.sources, 0.0, ordered=False))
        return bits

    @staticmethod
    def _bit(leg: Leg, fed: Fed, exact: bool, shared: set[str], n: int) -> TrueBit:
        may_pass = leg.may_pass | (frozenset(shared) if n == 1 else frozenset())
        return TrueBit(
            leg.resistors,
            fed.drivers,
            fed.sources,
            leg.weight,
            exact and leg.exact,
            fed.ends,
            may_pass=may_pass,
        )
