"""Faults of the stages, of the connector, and of what lies behind it."""

from __future__ import annotations

import random

from tests.closed_loop.bench.board import Board
from tests.closed_loop.bench.change import Change, leg_text
from tests.closed_loop.bench.fault import OUTSIDE, Answer, Fault, answer_at, texts

__all__ = [
    "clamp_short",
    "colours_shorted",
    "contact",
    "monitor",
    "pack_open",
    "resistor_drifted",
    "resistor_fault",
    "resistor_open",
    "resistor_short",
    "resistor_track",
    "transistor_fault",
    "wires_exchanged",
]


def monitor(board: Board, rng: random.Random) -> Fault:
    colours = tuple(board.colour_legs)
    dark = frozenset(colours) if rng.random() < 0.15 else frozenset({rng.choice(colours)})
    is_open = rng.random() < 0.5
    change = Change(dark=dark, unplugged=dark if is_open else frozenset())
    what = "a wire of the harness open" if is_open else "an input of the monitor dead"
    behind = answer_at("beyond", *texts([board.colour_legs[c] for c in dark]))
    return Fault("monitor, harness", f"{what}: {', '.join(sorted(dark))}", change, (OUTSIDE, behind))


def wires_exchanged(board: Board, rng: random.Random) -> Fault:
    pair = tuple(rng.sample(sorted(board.colour_legs), 2))
    behind = answer_at("beyond", *texts([board.colour_legs[c] for c in pair]))
    return Fault("monitor, harness", f"wires of {pair} exchanged", Change(exchanged=pair), (OUTSIDE, behind))


def contact(board: Board, rng: random.Random) -> Fault:
    """The contact between the plug and the board: the board's own leg stays on its net."""
    colour = rng.choice(sorted(board.colour_legs))
    leg = board.colour_legs[colour]
    change = Change(dark=frozenset({colour}), unplugged=frozenset({colour}))
    near = frozenset({"outside", leg.part, leg_text(leg)})
    return Fault(
        "plug contact",
        f"contact of {leg_text(leg)} open",
        change,
        (answer_at("joint", leg_text(leg)), answer_at("beyond", leg_text(leg))),
        near,
        is_of_plug=True,
    )


def colours_shorted(board: Board, rng: random.Random) -> Fault:
    colours = rng.sample(sorted(board.colour_legs), rng.choice((1, 2)))
    legs = [board.colour_legs[c] for c in colours]
    nets = tuple(board.net_of[leg] for leg in legs)
    names = frozenset(texts(legs))
    change = Change(tied={nets[0]: 0}) if len(nets) == 1 else Change(joined=(nets,))
    return Fault("colour line shorted", f"{colours} shorted", change, (Answer("track", names),), names)


def resistor_fault(board: Board, rng: random.Random, factor: float, word: str) -> Fault:
    piece = rng.choice([p for p in board.pieces if p.kind == "resistor"])
    key = (piece.part, piece.legs[0].pin)
    return Fault(
        f"resistor {word}", f"{piece.part} {word}", Change(ohms={key: factor}), (answer_at("resistor", piece.part),),
        frozenset({piece.part}), frozenset({piece.part}),
    )  # fmt: skip


def resistor_open(board: Board, rng: random.Random) -> Fault:
    return resistor_fault(board, rng, 1e7, "open")


def resistor_drifted(board: Board, rng: random.Random) -> Fault:
    return resistor_fault(board, rng, rng.uniform(2, 5), "drifted")


def resistor_short(board: Board, rng: random.Random) -> Fault:
    return resistor_fault(board, rng, 1e-2, "short")


def pack_open(board: Board, rng: random.Random) -> Fault | None:
    packs = sorted({p.part for p in board.pieces if p.kind == "resistor" and p.part.rpartition(":")[2].startswith("RN")})  # fmt: skip
    if not packs:
        return None
    pack = rng.choice(packs)
    ohms = {(p.part, p.legs[0].pin): 1e7 for p in board.pieces if p.part == pack}
    part = frozenset({pack})
    return Fault("resistor open", f"{pack} open as a whole", Change(ohms=ohms), (Answer("resistor", part),), part, part)  # fmt: skip


def resistor_track(board: Board, rng: random.Random) -> Fault:
    """The joint of a resistor's leg. By its part alone the one on the side of the outputs is named."""
    piece = rng.choice([p for p in board.pieces if p.kind == "resistor"])
    leg = rng.choice(piece.legs)
    legs = texts([leg])
    net = board.net_of.get(leg, "")
    named = [piece.part] if board.drivers_of(net) else []
    return Fault(
        "joint of a resistor", f"joint of {legs[0]} open", Change(off=(leg,)), (answer_at("joint", *legs, *named),),
        frozenset({piece.part}), frozenset({piece.part}), {piece.part: 0.3},
    )  # fmt: skip


def transistor_fault(board: Board, rng: random.Random) -> Fault | None:
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


def clamp_short(board: Board, rng: random.Random) -> Fault | None:
    found = [p for p in board.pieces if p.kind == "junction"]
    if not found:
        return None
    d = rng.choice(found)
    part = frozenset({d.part})
    # It is a short from the colour to a rail: who says so is half right.
    legs = texts(
        [leg for leg in board.colour_legs.values() if board.net_of[leg] in {board.net_of[x] for x in d.legs}]
    )
    change = Change(bridged=(d.legs[:2],))  # type: ignore[arg-type]
    return Fault("clamp diode", f"{d.part} short", change, (Answer("diode", part),), part | set(legs), part)
