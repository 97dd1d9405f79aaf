"""Places for the parts of random boards, by what a layout person does: short wires, in rows, and not to the end.

Chips stand in a grid, small parts half of them before the connector and half between the chips, the connector at the
left edge. Parts change places as long as that makes the wires shorter, for so many tries as somebody has patience for;
then some change places for reasons of their own. What is drawn here of the rest of the board (chips that only have
supplies) gets wires among themselves, that pull them about. Nothing of this knows of the program's rules.
"""

from __future__ import annotations

import random
from dataclasses import replace

from tracer.netlist.board import Netlist, Part, PinRef, make_netlist
from tracer.netlist.spots import Pad, Spot

__all__ = ["laid_out", "on_a_grid", "renumbered", "shuffled"]

Point = tuple[float, float]
#: Tries a part, and the share of parts that end up elsewhere.
TRIES, ELSEWHERE = 40, 0.1
CHIP_X, CHIP_Y, SMALL = 30.0, 25.0, 8.0
#: Chips from here to the right; before it is room for small parts.
FIRST_CHIP = 45.0
#: Nets of more parts are supplies and the like, and pull nothing.
MOST_ON_NET = 10


def laid_out(netlist: Netlist, seed: int) -> Netlist:
    """The same board with its pads in millimetres."""
    points = _points(netlist, seed)
    parts = tuple(
        replace(part, place="", spot=_spot(netlist, part, points[part.reference])) for part in netlist.parts
    )
    return replace(netlist, parts=parts)


def on_a_grid(netlist: Netlist, seed: int) -> Netlist:
    """The same layout as places such as 7E, of chips and of the connector: what is printed on a board."""
    points = _points(netlist, seed)
    parts = []
    for part in netlist.parts:
        x, y = points[part.reference]
        place = f"{round(x / CHIP_X) + 1}{'ABCDEFGHIJKL'[round(y / CHIP_Y)]}"
        parts.append(replace(part, place="" if _is_small(part) else place))
    return replace(netlist, parts=tuple(parts))


def renumbered(netlist: Netlist, seed: int) -> Netlist:
    """The chips' numbers dealt out anew: where a chip stands in the list of parts tells nothing of what it does."""
    chips = [part.reference for part in netlist.parts if part.reference.startswith("U")]
    dealt = random.Random(f"numbers {seed}").sample(chips, len(chips))
    called = dict(zip(chips, dealt, strict=True))
    parts = [replace(part, reference=called.get(part.reference, part.reference)) for part in netlist.parts]
    nets = [
        (net.name, [PinRef(called.get(pin.part, pin.part), pin.pin) for pin in net.pins], net.origin)
        for net in netlist.nets
    ]
    return make_netlist(netlist.name, parts, nets)


def shuffled(netlist: Netlist, seed: int) -> Netlist:
    """Places that tell nothing: those of a laid-out board, dealt out anew."""
    r = random.Random(f"dealt {seed}")
    where = [(part.place, part.spot.pads[0]) for part in netlist.parts if part.spot is not None]
    r.shuffle(where)
    places = [part.place for part in netlist.parts if part.place]
    r.shuffle(places)
    parts = []
    for part in netlist.parts:
        if part.spot is not None:
            home, first = where.pop()[1], part.spot.pads[0]
            part = replace(part, spot=part.spot.moved(home.x - first.x, home.y - first.y))
        parts.append(replace(part, place=places.pop() if part.place else ""))
    return replace(netlist, parts=tuple(parts))


def _is_small(part: Part) -> bool:
    return part.reference[:1] in "RCQLD"


def _spot(netlist: Netlist, part: Part, home: Point) -> Spot | None:
    """Two rows of legs; a resistor's lie side by side."""
    numbers = netlist.pins_of_parts[part.reference]
    half, (x, y) = (len(numbers) + 1) // 2, home
    pads = tuple(
        Pad(number, x + 7.62 * (i >= half), y + 2.54 * (i if i < half else len(numbers) - 1 - i))
        for i, number in enumerate(numbers)
    )
    return Spot(pads) if pads else None


def _points(netlist: Netlist, seed: int) -> dict[str, Point]:
    r = random.Random(f"layout {seed} {netlist.name}")
    plugs = [p.reference for p in netlist.parts if p.reference.startswith("J")]
    small = [p.reference for p in netlist.parts if _is_small(p)]
    chips = [p.reference for p in netlist.parts if not _is_small(p) and p.reference not in plugs]
    rows = max(2, round(len(chips) ** 0.5 * 0.8))
    slots = [
        (FIRST_CHIP + CHIP_X * (i // rows) + r.gauss(0, 2), CHIP_Y * (i % rows) + r.gauss(0, 2))
        for i in range(len(chips) + rows)
    ]
    before = [(10 + SMALL * (i % 4), SMALL * (i // 4)) for i in range((len(small) + 1) // 2 + 8)]
    between = [(x + 15, y + 12) for x, y in slots]
    home = {j: (0.0, CHIP_Y * (0.3 + i)) for i, j in enumerate(plugs)}
    nets = _nets(netlist, chips, r)
    for names, places in ((chips, slots), (small, before + between)):
        r.shuffle(places)
        home.update(zip(names, places, strict=False))
        spare = places[len(names) :]
        home.update({f"spare {names is small} {i}": place for i, place in enumerate(spare)})
    groups = [[*chips, *(n for n in home if n.startswith("spare False"))]]
    groups.append([*small, *(n for n in home if n.startswith("spare True"))])
    for group in groups * 3:
        if len(group) > 1:
            for _ in range(TRIES * len(group) // 3):
                _try(home, nets, *r.sample(group, 2))
    for group in groups:
        for _ in range(round(ELSEWHERE * len(group) / 2)):
            a, b = r.sample(group, 2)
            home[a], home[b] = home[b], home[a]
    return home


def _try(home: dict[str, Point], nets: dict[str, list[list[str]]], a: str, b: str) -> None:
    """Two parts change places if that makes their wires shorter."""
    own = [*nets.get(a, ()), *nets.get(b, ())]
    before = sum(_wire(home, net) for net in own)
    home[a], home[b] = home[b], home[a]
    if sum(_wire(home, net) for net in own) > before:
        home[a], home[b] = home[b], home[a]


def _wire(home: dict[str, Point], net: list[str]) -> float:
    xs, ys = [home[p][0] for p in net], [home[p][1] for p in net]
    return max(xs) - min(xs) + max(ys) - min(ys)


def _nets(netlist: Netlist, chips: list[str], r: random.Random) -> dict[str, list[list[str]]]:
    """Part -> the nets that pull it; each chip has some to chips by chance, as address and data buses have."""
    found: dict[str, list[list[str]]] = {}
    nets = [sorted({pin.part for pin in net.pins}) for net in netlist.nets]
    nets = [net for net in nets if 1 < len(net) <= MOST_ON_NET]
    nets += [
        [chip, other] for chip in chips for other in r.sample(chips, min(4, len(chips))) if other != chip
    ]
    for net in nets:
        for part in net:
            found.setdefault(part, []).append(net)
    return found
