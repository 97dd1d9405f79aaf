"""Faults as changes of the simulated circuit, drawn by weights of our own, each with what would be a right answer.

Every weight is a guess: nobody has counted how often each of these stands behind wrong colours. They are meant to hold
what happens on benches, not what the program lists.
"""

from __future__ import annotations

import random
from collections.abc import Callable, Mapping
from dataclasses import dataclass, field, replace
from typing import Literal

from tests.closed_loop.bench.behaviour import FRAMES, Chip, Section
from tests.closed_loop.bench.circuit import Board, Change, leg_text
from tracer.netlist.board import PinRef
from tracer.parts.kinds import Kind

__all__ = ["CLASSES", "Answer", "Fault", "Verdict", "draw_fault", "make_fault", "verdict"]

Verdict = Literal["right", "half", "wrong"]


@dataclass(frozen=True)
class Answer:
    """A suspect that would be right: what it is, and parts or legs of which its place must name one."""

    what: str
    at: frozenset[str] = frozenset()


@dataclass(frozen=True)
class Fault:
    """One fault.

    Attributes
    ----------
    family, name : str
        Its class, and what it is in words.
    change : Change
    answers : tuple of Answer
    near : frozenset of str
        Parts and legs whose naming is half right: the place is right, the kind is not. ``outside`` may stand here.
    cures : frozenset of str
        Parts whose exchange cures it.
    moves : mapping of str to float
        Part -> the chance that the picture changes when it is pressed or warmed.
    is_unsteady : bool
        It changes with warmth.
    is_of_layer : bool
        One layer of the picture has it.
    """

    family: str
    name: str
    change: Change
    answers: tuple[Answer, ...]
    near: frozenset[str] = frozenset()
    cures: frozenset[str] = frozenset()
    moves: Mapping[str, float] = field(default_factory=dict)
    is_unsteady: bool = False
    is_of_layer: bool = False


def verdict(fault: Fault, what: str, ends: tuple[str, ...]) -> Verdict:
    """What a suspect is worth that the program names first."""
    named = {*ends, *(end.rpartition(".")[0] for end in ends)}
    if what == "outside":
        named = {"outside"}
    for answer in fault.answers:
        if answer.what == what and (what == "outside" or answer.at & set(ends)):
            return "right"
    return "half" if named & fault.near else "wrong"


# -- what a right answer is -------------------------------------------------------------------------

OUTSIDE = Answer("outside")


def _at(what: str, *names: str) -> Answer:
    return Answer(what, frozenset(names))


def _texts(legs: list[PinRef]) -> list[str]:
    return [leg_text(leg) for leg in legs]


def _of_chip(family: str, chip: str, name: str, change: Change, **more: object) -> Fault:
    """A fault inside a chip."""
    fault = Fault(family, name, change, (_at("chip", chip),), frozenset({chip}), frozenset({chip}))
    return replace(fault, **more)  # type: ignore[arg-type]


# -- choices ----------------------------------------------------------------------------------------

Make = Callable[[Board, random.Random], Fault | None]


def _path_output(board: Board, rng: random.Random, *, memory: bool | None = False) -> PinRef | None:
    """An output that carries a colour; of a memory, of another chip, or of any (None)."""
    legs = [
        PinRef(r, out) for r, outs in board.path.items() for out in sorted(outs)
        if memory is None or (r in board.palettes) == memory
    ]  # fmt: skip
    return rng.choice(legs) if legs else None


def _section(board: Board, leg: PinRef) -> tuple[Chip, Section]:
    chip = board.chips[leg.part]
    return chip, next(s for s in chip.sections if s.out == leg.pin)


def _outputs(board: Board, part: str) -> list[PinRef]:
    """All outputs of a chip that stand on nets."""
    legs = (PinRef(part, s.out) for s in board.chips[part].sections)
    return [leg for leg in legs if leg in board.net_of]


def _path_net(board: Board, rng: random.Random) -> str | None:
    leg = _path_output(board, rng, memory=None)
    return board.net_of[leg] if leg else None


def _path_input(board: Board, rng: random.Random) -> PinRef | None:
    """An input of the path's chips."""
    leg = _path_output(board, rng)
    if leg is None:
        return None
    _, section = _section(board, leg)
    return PinRef(leg.part, rng.choice(section.ins))


# -- at the connector, and behind it ----------------------------------------------------------------


def _monitor(board: Board, rng: random.Random) -> Fault:
    colours = tuple(board.colour_legs)
    dark = frozenset(colours) if rng.random() < 0.15 else frozenset({rng.choice(colours)})
    is_open = rng.random() < 0.5
    change = Change(dark=dark, unplugged=dark if is_open else frozenset())
    what = "a wire of the harness open" if is_open else "an input of the monitor dead"
    return Fault("monitor, harness", f"{what}: {', '.join(sorted(dark))}", change, (OUTSIDE,))


def _exchanged(board: Board, rng: random.Random) -> Fault:
    pair = tuple(rng.sample(sorted(board.colour_legs), 2))
    return Fault("monitor, harness", f"wires of {pair} exchanged", Change(exchanged=pair), (OUTSIDE,))


def _contact(board: Board, rng: random.Random) -> Fault:
    """The contact between the plug and the board: the board's own leg stays on its net."""
    colour = rng.choice(sorted(board.colour_legs))
    leg = board.colour_legs[colour]
    change = Change(dark=frozenset({colour}), unplugged=frozenset({colour}))
    near = frozenset({"outside", leg.part, leg_text(leg)})
    return Fault(
        "plug contact", f"contact of {leg_text(leg)} open", change, (_at("joint", leg_text(leg)),), near
    )


def _colours_shorted(board: Board, rng: random.Random) -> Fault:
    colours = rng.sample(sorted(board.colour_legs), rng.choice((1, 2)))
    legs = [board.colour_legs[c] for c in colours]
    nets = tuple(board.net_of[leg] for leg in legs)
    names = frozenset(_texts(legs))
    change = Change(tied={nets[0]: 0}) if len(nets) == 1 else Change(joined=(nets,))
    return Fault("colour line shorted", f"{colours} shorted", change, (Answer("track", names),), names)


# -- the stages -------------------------------------------------------------------------------------


def _resistor(board: Board, rng: random.Random, factor: float, word: str) -> Fault:
    piece = rng.choice([p for p in board.pieces if p.kind == "resistor"])
    key = (piece.part, piece.legs[0].pin)
    return Fault(
        f"resistor {word}", f"{piece.part} {word}", Change(ohms={key: factor}), (_at("resistor", piece.part),),
        frozenset({piece.part}), frozenset({piece.part}),
    )  # fmt: skip


def _resistor_open(board: Board, rng: random.Random) -> Fault:
    return _resistor(board, rng, 1e7, "open")


def _resistor_drifted(board: Board, rng: random.Random) -> Fault:
    return _resistor(board, rng, rng.uniform(2, 5), "drifted")


def _resistor_short(board: Board, rng: random.Random) -> Fault:
    return _resistor(board, rng, 1e-2, "short")


def _pack(board: Board, rng: random.Random) -> Fault | None:
    packs = sorted({p.part for p in board.pieces if p.kind == "resistor" and p.part.rpartition(":")[2].startswith("RN")})  # fmt: skip
    if not packs:
        return None
    pack = rng.choice(packs)
    ohms = {(p.part, p.legs[0].pin): 1e7 for p in board.pieces if p.part == pack}
    part = frozenset({pack})
    return Fault("resistor open", f"{pack} open as a whole", Change(ohms=ohms), (Answer("resistor", part),), part, part)  # fmt: skip


def _resistor_track(board: Board, rng: random.Random) -> Fault:
    """The joint of a resistor's leg. By its part alone the one on the side of the outputs is named."""
    piece = rng.choice([p for p in board.pieces if p.kind == "resistor"])
    leg = rng.choice(piece.legs)
    legs = _texts([leg])
    net = board.net_of.get(leg, "")
    named = [piece.part] if board.drivers_of(net) else []
    return Fault(
        "joint of a resistor", f"joint of {legs[0]} open", Change(off=(leg,)), (_at("joint", *legs, *named),),
        frozenset({piece.part}), frozenset({piece.part}), {piece.part: 0.3},
    )  # fmt: skip


def _transistor(board: Board, rng: random.Random) -> Fault | None:
    found = [p for p in board.pieces if p.kind == "transistor"]
    if not found:
        return None
    q = rng.choice(found)
    base, collector, emitter = q.legs
    how = rng.choice(("open", "base-emitter short", "collector-emitter short", "base-emitter open"))
    change = {
        "open": Change(gone=frozenset({q.part})),
        "base-emitter open": Change(off=(base,)),
        "base-emitter short": Change(bridged=((base, emitter),)),
        "collector-emitter short": Change(bridged=((collector, emitter),)),
    }[how]
    part = frozenset({q.part})
    return Fault("transistor", f"{q.part} {how}", change, (Answer("transistor", part),), part, part)


def _clamp(board: Board, rng: random.Random) -> Fault | None:
    found = [p for p in board.pieces if p.kind == "junction"]
    if not found:
        return None
    d = rng.choice(found)
    part = frozenset({d.part})
    # It is a short from the colour to a rail: who says so is half right.
    legs = _texts(
        [leg for leg in board.colour_legs.values() if board.net_of[leg] in {board.net_of[x] for x in d.legs}]
    )
    change = Change(bridged=(d.legs[:2],))  # type: ignore[arg-type]
    return Fault("clamp diode", f"{d.part} short", change, (Answer("diode", part),), part | set(legs), part)


# -- chips of the path ------------------------------------------------------------------------------


def _output(modes: tuple[str, ...], family: str, *, memory: bool) -> Make:
    def make(board: Board, rng: random.Random) -> Fault | None:
        leg = _path_output(board, rng, memory=memory)
        if leg is None:
            return None
        mode = rng.choice(modes)
        moves = {leg.part: 0.2} if mode in ("weak", "half", "unstable") else {}
        return _of_chip(
            family, leg.part, f"{leg_text(leg)} {mode}", Change(outputs={leg: mode}), moves=moves, is_unsteady=bool(moves)
        )  # fmt: skip

    return make


def _several_unstable(board: Board, rng: random.Random) -> Fault | None:
    leg = _path_output(board, rng, memory=True)
    if leg is None:
        return None
    legs = _outputs(board, leg.part)
    some = rng.sample(legs, min(len(legs), rng.randint(2, 4)))
    change = Change(outputs=dict.fromkeys(some, "unstable"))
    return _of_chip(
        "memory bits unstable", leg.part, f"{_texts(some)} unstable", change, moves={leg.part: 0.3}, is_unsteady=True
    )  # fmt: skip


def _input_shorted(board: Board, rng: random.Random) -> Fault | None:
    """An input shorted to ground inside its chip takes the whole net down."""
    leg = _path_input(board, rng)
    if leg is None or board.net_of.get(leg) in (None, *board.rails):
        return None
    net = board.net_of[leg]
    return _of_chip(
        "input shorted", leg.part, f"{leg_text(leg)} shorted to ground inside", Change(tied={net: 0}),
        near=frozenset({leg.part, *_texts(list(board.legs_of[net]))}),
    )  # fmt: skip


def _dead(board: Board, rng: random.Random, part: str, family: str) -> Fault:
    mode = rng.choice(("low", "high", "nothing", "frozen"))
    change = Change(outputs=dict.fromkeys(_outputs(board, part), mode))
    return _of_chip(family, part, f"{part} dead, all outputs {mode}", change)


def _chip_dead(board: Board, rng: random.Random) -> Fault | None:
    leg = _path_output(board, rng)
    return _dead(board, rng, leg.part, "chip dead") if leg else None


def _memory_dead(board: Board, rng: random.Random) -> Fault:
    return _dead(board, rng, rng.choice(board.palettes), "memory dead")


def _two_dead(board: Board, rng: random.Random) -> Fault | None:
    """Two alike, as where one supply leg feeds both or both come from one bad lot."""
    parts = [p for p in board.path if p not in board.palettes]
    pairs = [(a, b) for a in parts for b in parts if a < b and board.marking(a) == board.marking(b)]
    if not pairs:
        return None
    pair = rng.choice(pairs)
    mode = rng.choice(("low", "high", "frozen"))
    change = Change(outputs=dict.fromkeys([leg for p in pair for leg in _outputs(board, p)], mode))
    return Fault("two chips dead", f"{pair} dead, {mode}", change, (_at("chip", *pair),), frozenset(pair))


def _supply_leg(board: Board, rng: random.Random) -> Fault:
    """Without its supply or its ground a chip gives half levels, or what its protection lets through."""
    part = rng.choice(sorted(board.path))
    role = rng.choice(("ground", "supply"))
    pins = [p.number for p in board.known[part].type.pins if p.role == role]
    legs = _texts([PinRef(part, p) for p in pins])
    mode = rng.choice(("high", "half")) if role == "ground" else rng.choice(("nothing", "half", "low"))
    change = Change(outputs=dict.fromkeys(_outputs(board, part), mode))
    return Fault(
        "supply leg open", f"{role} leg of {part} open, outputs {mode}", change, (_at("joint", *legs),),
        frozenset({part}), frozenset({part}), {part: 0.4},
    )  # fmt: skip


def _controls(board: Board, rng: random.Random, roles: tuple[str, ...]) -> tuple[PinRef, str] | None:
    """A control leg of the path's chips, and its role."""
    found = {
        (PinRef(r, pin), role)
        for r, outs in board.path.items() for s in board.chips[r].sections if s.out in outs
        for role, pins in s.controls.items() if role in roles for pin in pins
    }  # fmt: skip
    return rng.choice(sorted(found)) if found else None


def _clock_or_clear(board: Board, rng: random.Random) -> Fault | None:
    """A chip that is not clocked, or cleared, or not enabled: inside, at its leg, or by what drives the line."""
    found = _controls(board, rng, ("clock", "clear", "enable", "strobe"))
    if found is None:
        return None
    leg, role = found
    level = {"clock": rng.randint(0, 1), "clear": 0}.get(role, 1)
    net = board.net_of.get(leg)
    where = rng.choice(("inside", "leg", "driver", "line"))
    family = "clock, clear, enable"
    if where == "inside" or net is None or net in board.rails:
        return _of_chip(
            family, leg.part, f"{role} of {leg_text(leg)} dead inside", Change(hears={leg: level})
        )
    if where == "leg" and role == "clock":
        return _joint(board, leg, family)
    drivers = [x for x in board.legs_of[net] if x in board.sources or any(x == PinRef(c.reference, s.out) for c, s in board.drivers_of(net))]  # fmt: skip
    if where == "driver" and drivers:
        return _of_chip(
            family, drivers[0].part, f"{leg_text(drivers[0])} ({role}) stuck", Change(outputs={drivers[0]: ("low", "high")[level]}),
            near=frozenset({drivers[0].part, *_texts(list(board.legs_of[net])), "outside"}),
        )  # fmt: skip
    legs = frozenset(_texts(list(board.legs_of[net])))
    near = legs | {x.part for x in drivers} | {"outside"}
    return Fault(
        family, f"{role} line {net} shorted", Change(tied={net: level}), (Answer("track", legs),), near
    )


# -- memories ---------------------------------------------------------------------------------------


def _contents(board: Board, rng: random.Random) -> Fault:
    part = rng.choice(board.palettes)
    return _of_chip("memory contents", part, f"{part} holds other words", Change(words={part: "random"}))


def _address_inside(board: Board, rng: random.Random) -> Fault | None:
    part = rng.choice(board.palettes)
    leg = _address_leg(board, rng, part)
    if leg is None:
        return None
    change = Change(hears={leg: rng.randint(0, 1)})
    return _of_chip("memory address inside", part, f"{leg_text(leg)} stuck inside", change)


def _address_leg(board: Board, rng: random.Random, part: str) -> PinRef | None:
    """An address leg that moves."""
    legs = [PinRef(part, p) for p in board.chips[part].sections[0].ins]
    live = [leg for leg in legs if board.net_of.get(leg) not in (None, *board.rails)]
    return rng.choice(live) if live else None


def _write_path(board: Board, rng: random.Random) -> Fault | None:
    """What writes the palette has failed: it keeps what it woke up with, or its data bus is fought for."""
    rams = [p for p in board.palettes if board.known[p].kind == Kind.RAM]
    if not rams:
        return None
    ram = rng.choice(rams)
    nets = {board.net_of.get(leg) for leg in _outputs(board, ram)}
    writers = sorted(
        r for r, chip in board.chips.items()
        if chip.kind == "transceiver" and any(board.net_of.get(PinRef(r, s.out)) in nets for s in chip.sections)
    )  # fmt: skip
    near = frozenset({"outside", ram})
    if writers and rng.random() < 0.4:
        writer = writers[0]
        enable = PinRef(writer, board.chips[writer].sections[0].controls["enable"][0])
        change = Change(hears={enable: 0}, words={ram: "random"})
        return _of_chip("write path", writer, f"{writer} is held on", change, near=near | {writer})
    change = Change(words={ram: "random"})
    if writers and rng.random() < 0.6:
        return _of_chip(
            "write path", writers[0], f"{writers[0]} dead, {ram} is not written", change, near=near
        )
    return Fault("write path", f"write line of {ram} dead", change, (OUTSIDE,), near)


# -- the index --------------------------------------------------------------------------------------


def _address_line(board: Board, rng: random.Random) -> Fault | None:
    """A line of the palette's address: its driver stuck, a leg without its joint, two lines joined."""
    part = rng.choice(board.palettes)
    leg = _address_leg(board, rng, part)
    if leg is None:
        return None
    family, net = "palette address line", board.net_of[leg]
    drivers = [PinRef(c.reference, s.out) for c, s in board.drivers_of(net)]
    drivers = drivers or [x for x in board.legs_of[net] if x in board.sources]
    how = rng.choice(("driver", "open", "joined", "track"))
    if how == "driver" and drivers:
        driver, mode = drivers[0], rng.choice(("low", "high", "nothing"))
        near = frozenset({driver.part, part, "outside"})
        return _of_chip(
            family, driver.part, f"{leg_text(driver)} {mode}", Change(outputs={driver: mode}), near=near
        )
    if how == "open":
        return _joint(board, leg, family)
    if how == "joined":
        other = _address_leg(board, rng, part)
        if other is None or board.net_of[other] == net:
            return None
        nets = (net, board.net_of[other])
        return _joined(board, nets, family, part)
    legs = frozenset(_texts(list(board.legs_of[net])))
    return Fault(
        family,
        f"{net} shorted to ground",
        Change(tied={net: 0}),
        (Answer("track", legs),),
        legs | {part, "outside"},
    )


def _before(board: Board, rng: random.Random) -> Fault | None:
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
        return _of_chip(family, part, f"{leg_text(leg)} stuck inside", Change(hears={leg: level}), near=near)
    some = outs if how == "dead" else [rng.choice(outs)]
    mode = rng.choice(("low", "high", "frozen", "unstable"))
    change = Change(outputs=dict.fromkeys(some, mode))
    return _of_chip(family, part, f"{_texts(some)} {mode}", change, near=near)


def _layer(board: Board, rng: random.Random) -> Fault | None:
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


# -- joints and tracks ------------------------------------------------------------------------------


def _joint(board: Board, leg: PinRef, family: str, *, frames: frozenset[int] | None = None) -> Fault:
    part = frozenset({leg.part})
    names = {leg_text(leg)} if frames is None else {leg_text(leg), leg.part}
    word = "open" if frames is None else "comes and goes"
    net = board.net_of.get(leg)
    near = part | {"outside"} if family.startswith("palette") else part
    return Fault(
        family, f"joint of {leg_text(leg)} on {net} {word}", Change(off=(leg,), frames=frames), (_at("joint", *names),),
        near, part, {leg.part: 0.3 if frames is None else 0.8}, is_unsteady=frames is not None,
    )  # fmt: skip


def _path_leg(board: Board, rng: random.Random) -> PinRef | None:
    return _path_output(board, rng, memory=None) if rng.random() < 0.5 else _path_input(board, rng)


def _joint_open(board: Board, rng: random.Random) -> Fault | None:
    leg = _path_leg(board, rng)
    return _joint(board, leg, "joint open") if leg else None


def _joint_loose(board: Board, rng: random.Random) -> Fault | None:
    leg = _path_leg(board, rng)
    frames = frozenset(rng.sample(range(FRAMES), rng.randint(1, FRAMES - 1)))
    return _joint(board, leg, "joint comes and goes", frames=frames) if leg else None


def _track_cut(board: Board, rng: random.Random) -> Fault | None:
    """The track is broken between what drives it and what hears it."""
    net = _path_net(board, rng)
    if net is None:
        return None
    drivers = {PinRef(c.reference, s.out) for c, s in board.drivers_of(net) if c.kind != "transceiver"}
    far = tuple(leg for leg in board.legs_of[net] if leg not in drivers)
    if not far or not drivers:
        return None
    names = frozenset({*_texts(list(board.legs_of[net])), *(leg.part for leg in far)})
    parts = frozenset(leg.part for leg in board.legs_of[net])
    return Fault("track open", f"track {net} cut", Change(cut=far), (Answer("joint", names),), parts)


def _track_shorted(board: Board, rng: random.Random) -> Fault | None:
    net = _path_net(board, rng)
    if net is None:
        return None
    legs = frozenset(_texts(list(board.legs_of[net])))
    level = int(rng.random() < 0.3)
    parts = frozenset(leg.part for leg in board.legs_of[net])
    return Fault(
        "track shorted", f"{net} tied to {level}", Change(tied={net: level}), (Answer("track", legs),), parts
    )


def _joined(board: Board, nets: tuple[str, str], family: str, *near: str) -> Fault:
    legs = board.legs_on(nets)
    # A driver's two legs side by side, or two data legs of a memory: the chip is near.
    parts = frozenset(leg.part for leg in legs)
    return Fault(
        family, f"{nets[0]} and {nets[1]} joined", Change(joined=(nets,)), (_at("track", *_texts(legs)),),
        parts | {*near, "outside"} if near else parts,
    )  # fmt: skip


def _tracks_joined(board: Board, rng: random.Random) -> Fault | None:
    nets = sorted({n for _ in range(8) if (n := _path_net(board, rng))})
    if len(nets) < 2:
        return None
    a, b = rng.sample(nets, 2)
    return _joined(board, (a, b), "tracks joined")


#: Weight and maker of each kind of fault. Guesses, all of them.
_MAKERS: tuple[tuple[float, Make], ...] = (
    (5, _monitor), (1, _exchanged), (5, _contact), (2, _colours_shorted),
    (3, _resistor_open), (2, _resistor_drifted), (0.5, _resistor_short), (0.5, _pack), (2, _resistor_track),
    (3, _transistor), (2, _clamp),
    (10, _output(("low", "high"), "output stuck", memory=False)),
    (5, _output(("nothing",), "output floating", memory=False)),
    (4, _output(("weak", "half"), "output weak", memory=False)),
    (3, _input_shorted), (10, _chip_dead), (1, _two_dead), (2, _supply_leg), (6, _clock_or_clear),
    (6, _output(("low", "high"), "memory bit stuck", memory=True)),
    (4, _output(("weak", "unstable"), "memory bits unstable", memory=True)),
    (2, _several_unstable), (4, _contents), (6, _memory_dead), (4, _address_inside),
    (8, _address_line), (5, _before), (4, _write_path), (2, _layer),
    (14, _joint_open), (6, _joint_loose), (4, _track_cut), (4, _track_shorted), (3, _tracks_joined),
)  # fmt: skip

#: All of them by number, for tests that want each.
CLASSES = len(_MAKERS)


def make_fault(board: Board, rng: random.Random, which: int) -> Fault | None:
    """A fault of one kind; None where the board has no place for it."""
    return _MAKERS[which][1](board, rng)


def draw_fault(board: Board, rng: random.Random) -> Fault:
    """A fault drawn by the weights."""
    while True:
        [make] = rng.choices([m for _, m in _MAKERS], [w for w, _ in _MAKERS])
        fault = make(board, rng)
        if fault is not None:
            return fault
