"""Faults of the chips that carry the colours, of the memories, and of what writes and addresses them."""

from __future__ import annotations

import random

from tests.closed_loop.bench.board import Board
from tests.closed_loop.bench.change import Change, leg_text
from tests.closed_loop.bench.choices import Make, outputs_on_nets, path_input, path_output
from tests.closed_loop.bench.fault import OUTSIDE, Answer, Fault, answer_at, of_chip, texts
from tests.closed_loop.bench.joint_faults import joint_of, nets_joined
from tracer.netlist.board import PinRef
from tracer.parts.kinds import Kind

__all__ = [
    "address_inside",
    "address_leg",
    "address_line",
    "before_palette",
    "chip_dead",
    "clock_or_clear",
    "control_leg",
    "dead",
    "input_shorted",
    "memory_dead",
    "one_layer",
    "other_contents",
    "output_fault",
    "several_unstable",
    "supply_leg",
    "two_dead",
    "write_path",
]


def output_fault(modes: tuple[str, ...], family: str, *, memory: bool) -> Make:
    def make(board: Board, rng: random.Random) -> Fault | None:
        leg = path_output(board, rng, memory=memory)
        if leg is None:
            return None
        mode = rng.choice(modes)
        moves = {leg.part: 0.2} if mode in ("weak", "half", "unstable") else {}
        return of_chip(
            family, leg.part, f"{leg_text(leg)} {mode}", Change(outputs={leg: mode}), moves=moves, is_unsteady=bool(moves)
        )  # fmt: skip

    return make


def several_unstable(board: Board, rng: random.Random) -> Fault | None:
    leg = path_output(board, rng, memory=True)
    if leg is None:
        return None
    legs = outputs_on_nets(board, leg.part)
    some = rng.sample(legs, min(len(legs), rng.randint(2, 4)))
    change = Change(outputs=dict.fromkeys(some, "unstable"))
    return of_chip(
        "memory bits unstable", leg.part, f"{texts(some)} unstable", change, moves={leg.part: 0.3}, is_unsteady=True
    )  # fmt: skip


def input_shorted(board: Board, rng: random.Random) -> Fault | None:
    """An input shorted to ground inside its chip takes the whole net down."""
    leg = path_input(board, rng)
    if leg is None or board.net_of.get(leg) in (None, *board.rails):
        return None
    net = board.net_of[leg]
    return of_chip(
        "input shorted", leg.part, f"{leg_text(leg)} shorted to ground inside", Change(tied={net: 0}),
        near=frozenset({leg.part, *texts(list(board.legs_of[net]))}),
    )  # fmt: skip


def dead(board: Board, rng: random.Random, part: str, family: str) -> Fault:
    mode = rng.choice(("low", "high", "nothing", "frozen"))
    change = Change(outputs=dict.fromkeys(outputs_on_nets(board, part), mode))
    return of_chip(family, part, f"{part} dead, all outputs {mode}", change)


def chip_dead(board: Board, rng: random.Random) -> Fault | None:
    leg = path_output(board, rng)
    return dead(board, rng, leg.part, "chip dead") if leg else None


def memory_dead(board: Board, rng: random.Random) -> Fault:
    return dead(board, rng, rng.choice(board.palettes), "memory dead")


def two_dead(board: Board, rng: random.Random) -> Fault | None:
    """Two alike, as where one supply leg feeds both or both come from one bad lot."""
    parts = [p for p in board.path if p not in board.palettes]
    pairs = [(a, b) for a in parts for b in parts if a < b and board.marking(a) == board.marking(b)]
    if not pairs:
        return None
    pair = rng.choice(pairs)
    mode = rng.choice(("low", "high", "frozen"))
    change = Change(outputs=dict.fromkeys([leg for p in pair for leg in outputs_on_nets(board, p)], mode))
    return Fault(
        "two chips dead", f"{pair} dead, {mode}", change, (answer_at("chip", *pair),), frozenset(pair)
    )


def supply_leg(board: Board, rng: random.Random) -> Fault:
    """Without its supply or its ground a chip gives half levels, or what its protection lets through."""
    part = rng.choice(sorted(board.path))
    role = rng.choice(("ground", "supply"))
    pins = [p.number for p in board.known[part].type.pins if p.role == role]
    off = tuple(PinRef(part, p) for p in pins)
    legs = texts(list(off))
    mode = rng.choice(("high", "half")) if role == "ground" else rng.choice(("nothing", "half", "low"))
    change = Change(off=off, outputs=dict.fromkeys(outputs_on_nets(board, part), mode))
    return Fault(
        "supply leg open", f"{role} leg of {part} open, outputs {mode}", change, (answer_at("joint", *legs),),
        frozenset({part}), frozenset({part}), {part: 0.4},
    )  # fmt: skip


def control_leg(board: Board, rng: random.Random, roles: tuple[str, ...]) -> tuple[PinRef, str] | None:
    """A control leg of the path's chips, and its role."""
    found = {
        (PinRef(r, pin), role)
        for r, outs in board.path.items() for s in board.chips[r].sections if s.out in outs
        for role, pins in s.controls.items() if role in roles for pin in pins
    }  # fmt: skip
    return rng.choice(sorted(found)) if found else None


def clock_or_clear(board: Board, rng: random.Random) -> Fault | None:
    """A chip that is not clocked, or cleared, or not enabled: inside, at its leg, or by what drives the line."""
    found = control_leg(board, rng, ("clock", "clear", "enable", "strobe"))
    if found is None:
        return None
    leg, role = found
    level = {"clock": rng.randint(0, 1), "clear": 0}.get(role, 1)
    net = board.net_of.get(leg)
    where = rng.choice(("inside", "leg", "driver", "line"))
    family = "clock, clear, enable"
    if where == "inside" or net is None or net in board.rails:
        return of_chip(family, leg.part, f"{role} of {leg_text(leg)} dead inside", Change(hears={leg: level}))
    if where == "leg" and role == "clock":
        return joint_of(board, leg, family)
    drivers = [x for x in board.legs_of[net] if x in board.sources or any(x == PinRef(c.reference, s.out) for c, s in board.drivers_of(net))]  # fmt: skip
    if where == "driver" and drivers:
        return of_chip(
            family, drivers[0].part, f"{leg_text(drivers[0])} ({role}) stuck", Change(outputs={drivers[0]: ("low", "high")[level]}),
            near=frozenset({drivers[0].part, *texts(list(board.legs_of[net])), "outside"}),
        )  # fmt: skip
    legs = frozenset(texts(list(board.legs_of[net])))
    near = legs | {x.part for x in drivers} | {"outside"}
    return Fault(
        family, f"{role} line {net} shorted", Change(tied={net: level}), (Answer("track", legs),), near
    )


def other_contents(board: Board, rng: random.Random) -> Fault:
    part = rng.choice(board.palettes)
    return of_chip("memory contents", part, f"{part} holds other words", Change(words={part: "random"}))


def address_inside(board: Board, rng: random.Random) -> Fault | None:
    part = rng.choice(board.palettes)
    leg = address_leg(board, rng, part)
    if leg is None:
        return None
    change = Change(hears={leg: rng.randint(0, 1)})
    return of_chip("memory address inside", part, f"{leg_text(leg)} stuck inside", change)


def address_leg(board: Board, rng: random.Random, part: str) -> PinRef | None:
    """An address leg that moves."""
    legs = [PinRef(part, p) for p in board.chips[part].sections[0].ins]
    live = [leg for leg in legs if board.net_of.get(leg) not in (None, *board.rails)]
    return rng.choice(live) if live else None


def write_path(board: Board, rng: random.Random) -> Fault | None:
    """What writes the palette has failed: it keeps what it woke up with, or its data bus is fought for."""
    rams = [p for p in board.palettes if board.known[p].kind == Kind.RAM]
    if not rams:
        return None
    ram = rng.choice(rams)
    nets = {board.net_of.get(leg) for leg in outputs_on_nets(board, ram)}
    writers = sorted(
        r for r, chip in board.chips.items()
        if chip.kind == "transceiver" and any(board.net_of.get(PinRef(r, s.out)) in nets for s in chip.sections)
    )  # fmt: skip
    near = frozenset({"outside", ram})
    if writers and rng.random() < 0.4:
        writer = writers[0]
        enable = PinRef(writer, board.chips[writer].sections[0].controls["enable"][0])
        change = Change(hears={enable: 0}, words={ram: "random"})
        return of_chip("write path", writer, f"{writer} is held on", change, near=near | {writer})
    change = Change(words={ram: "random"})
    if writers and rng.random() < 0.6:
        return of_chip(
            "write path", writers[0], f"{writers[0]} dead, {ram} is not written", change, near=near
        )
    return Fault("write path", f"write line of {ram} dead", change, (OUTSIDE,), near)


def address_line(board: Board, rng: random.Random) -> Fault | None:
    """A line of the palette's address: its driver stuck, a leg without its joint, two lines joined."""
    part = rng.choice(board.palettes)
    leg = address_leg(board, rng, part)
    if leg is None:
        return None
    family, net = "palette address line", board.net_of[leg]
    drivers = [PinRef(c.reference, s.out) for c, s in board.drivers_of(net)]
    drivers = drivers or [x for x in board.legs_of[net] if x in board.sources]
    how = rng.choice(("driver", "open", "joined", "track"))
    if how == "driver" and drivers:
        driver, mode = drivers[0], rng.choice(("low", "high", "nothing"))
        near = frozenset({driver.part, part, "outside"})
        return of_chip(
            family, driver.part, f"{leg_text(driver)} {mode}", Change(outputs={driver: mode}), near=near
        )
    if how == "open":
        return joint_of(board, leg, family)
    if how == "joined":
        # A bridge of solder lies between legs side by side.
        other = PinRef(part, str(int(leg.pin) + 1))
        if board.net_of.get(other) in (None, net, *board.rails):
            return None
        nets = (net, board.net_of[other])
        return nets_joined(board, nets, family, part)
    legs = frozenset(texts(list(board.legs_of[net])))
    return Fault(
        family,
        f"{net} shorted to ground",
        Change(tied={net: 0}),
        (Answer("track", legs),),
        legs | {part, "outside"},
    )


def before_palette(board: Board, rng: random.Random) -> Fault | None:
    """A chip before the palette: what all colours come from."""
    if not board.before:
        return None
    part = rng.choice(sorted(board.before))
    family, near = "chip before the palette", frozenset({part, "outside"})
    selects = {p for s in board.chips[part].sections for role in ("select", "clock") for p in s.controls.get(role, ())}  # fmt: skip
    how = rng.choice(("dead", "output", "control"))
    outs = [PinRef(part, out) for out in sorted(board.before[part])]
    if how == "control" and selects:
        leg, level = PinRef(part, rng.choice(sorted(selects))), rng.randint(0, 1)
        return of_chip(family, part, f"{leg_text(leg)} stuck inside", Change(hears={leg: level}), near=near)
    some = outs if how == "dead" else [rng.choice(outs)]
    mode = rng.choice(("low", "high", "frozen", "unstable"))
    change = Change(outputs=dict.fromkeys(some, mode))
    return of_chip(family, part, f"{texts(some)} {mode}", change, near=near)


def one_layer(board: Board, rng: random.Random) -> Fault | None:
    """One layer comes wrong to the palette; it lies in what makes that layer."""
    outs = [
        PinRef(r, out)
        for r, of in board.before.items()
        if board.chips[r].kind == "register"
        for out in sorted(of)
    ]
    if not outs:
        return None
    some = rng.sample(outs, min(len(outs), rng.randint(1, 4)))
    return Fault(
        "one layer",
        "one layer comes wrong",
        Change(outputs=dict.fromkeys(some, "layer")),
        (OUTSIDE,),
        is_of_layer=True,
    )
