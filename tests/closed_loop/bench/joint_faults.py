"""Faults of joints and tracks."""

from __future__ import annotations

import random

from tests.closed_loop.bench.behaviour import FRAMES
from tests.closed_loop.bench.board import Board
from tests.closed_loop.bench.change import Change, leg_text
from tests.closed_loop.bench.choices import legs_of_path, path_input, path_net, path_output
from tests.closed_loop.bench.fault import Answer, Fault, answer_at, texts
from tracer.netlist.board import PinRef
from tracer.parts.kinds import Kind

__all__ = [
    "cable_contact",
    "joint_loose",
    "joint_of",
    "joint_open",
    "nets_joined",
    "path_leg",
    "track_cut",
    "track_shorted",
    "tracks_joined",
]


def joint_of(board: Board, leg: PinRef, family: str, *, frames: frozenset[int] | None = None) -> Fault:
    part = frozenset({leg.part})
    names = {leg_text(leg)} if frames is None else {leg_text(leg), leg.part}
    word = "open" if frames is None else "comes and goes"
    net = board.net_of.get(leg)
    near = part | {"outside"} if family.startswith("palette") else part
    return Fault(
        family, f"joint of {leg_text(leg)} on {net} {word}", Change(off=(leg,), frames=frames), (answer_at("joint", *names),),
        near, part, {leg.part: 0.3 if frames is None else 0.8}, is_unsteady=frames is not None,
    )  # fmt: skip


def path_leg(board: Board, rng: random.Random) -> PinRef | None:
    return path_output(board, rng, memory=None) if rng.random() < 0.5 else path_input(board, rng)


def joint_open(board: Board, rng: random.Random) -> Fault | None:
    leg = path_leg(board, rng)
    return joint_of(board, leg, "joint open") if leg else None


def joint_loose(board: Board, rng: random.Random) -> Fault | None:
    leg = path_leg(board, rng)
    frames = frozenset(rng.sample(range(FRAMES), rng.randint(1, FRAMES - 1)))
    return joint_of(board, leg, "joint comes and goes", frames=frames) if leg else None


def track_cut(board: Board, rng: random.Random) -> Fault | None:
    """The track is broken between what drives it and what hears it."""
    net = path_net(board, rng)
    if net is None:
        return None
    drivers = {PinRef(c.reference, s.out) for c, s in board.drivers_of(net) if c.kind != "transceiver"}
    far = tuple(leg for leg in board.legs_of[net] if leg not in drivers)
    if not far or not drivers:
        return None
    names = frozenset({*texts(list(board.legs_of[net])), *(leg.part for leg in far)})
    parts = frozenset(leg.part for leg in board.legs_of[net])
    return Fault("track open", f"track {net} cut", Change(cut=far), (Answer("joint", names),), parts)


def cable_contact(board: Board, rng: random.Random) -> Fault | None:
    """A contact of the cable between two boards."""
    plugs = {
        net: [leg for leg in board.legs_of[net] if board.known[leg.part].kind == Kind.CONNECTOR]
        for part, outs in board.path.items()
        for out in outs
        if (net := board.net_of[PinRef(part, out)]) not in board.stage_nets
    }
    nets = sorted(net for net, legs in plugs.items() if legs)
    if not nets:
        return None
    net = rng.choice(nets)
    drivers = {PinRef(c.reference, s.out) for c, s in board.drivers_of(net)}
    far = tuple(leg for leg in board.legs_of[net] if leg not in drivers and leg not in plugs[net])
    names = frozenset(texts(list(board.legs_of[net])))
    near = frozenset(leg.part for leg in board.legs_of[net])
    return Fault(
        "cable contact", f"contact of the cable open: {net}", Change(cut=far), (Answer("joint", names),), near
    )


def track_shorted(board: Board, rng: random.Random) -> Fault | None:
    net = path_net(board, rng)
    if net is None:
        return None
    legs = frozenset(texts(list(board.legs_of[net])))
    level = int(rng.random() < 0.3)
    parts = frozenset(leg.part for leg in board.legs_of[net])
    return Fault(
        "track shorted", f"{net} tied to {level}", Change(tied={net: level}), (Answer("track", legs),), parts
    )


def nets_joined(board: Board, nets: tuple[str, str], family: str, *near: str) -> Fault:
    legs = board.legs_on(nets)
    # A driver's two legs side by side, or two data legs of a memory: the chip is near.
    parts = frozenset(leg.part for leg in legs)
    return Fault(
        family, f"{nets[0]} and {nets[1]} joined", Change(joined=(nets,)), (answer_at("track", *texts(legs)),),
        parts | {*near, "outside"} if near else parts,
    )  # fmt: skip


def tracks_joined(board: Board, rng: random.Random) -> Fault | None:
    """A bridge of solder between two legs side by side."""
    legs = {leg for part in board.path for leg in legs_of_path(board, part)}
    pairs = [
        (leg, other) for leg in sorted(legs) if leg.pin.isdecimal()
        if (other := PinRef(leg.part, str(int(leg.pin) + 1))) in legs and board.net_of[leg] != board.net_of[other]
    ]  # fmt: skip
    if not pairs:
        return None
    a, b = rng.choice(pairs)
    return nets_joined(board, (board.net_of[a], board.net_of[b]), "tracks joined")
