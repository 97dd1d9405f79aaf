"""Boards joined by a cable -> one board.

Every name gets its board's name in front (``A:U5``), and the pins of the joined connectors become one net each.
"""

from __future__ import annotations

import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace

from tracer.base.errors import PinNotFoundError, UsageError
from tracer.base.findings import Finding, note, warning
from tracer.base.names import natural_key
from tracer.netlist.board import Net, Netlist, Notes, Part, PinRef, Segment, make_netlist
from tracer.netlist.notes import Load, Told
from tracer.netlist.rail_names import named_rail

__all__ = ["Join", "join_boards", "parse_join"]


#: Joined boards are drawn side by side, so far apart.
APART_MM = 10.0


@dataclass(frozen=True, slots=True)
class Join:
    """A cable between two connectors.

    Attributes
    ----------
    board_a, connector_a, board_b, connector_b : str
    order : str
        ``straight`` (pin to the pin of its number), ``mirror`` (the two rows change places: 1-2, 3-4) or
        ``reverse`` (the first pin to the last).
    """

    board_a: str
    connector_a: str
    board_b: str
    connector_b: str
    order: str = "straight"


_JOIN = re.compile(
    r"(?P<a>[^:=,]+):(?P<ca>[^:=,]+)=(?P<b>[^:=,]+):(?P<cb>[^:=,]+)(?:,(?P<order>mirror|reverse))?"
)


def parse_join(text: str) -> Join:
    """Read ``A:J3=B:J1`` or ``A:J3=B:J1,mirror``.

    Raises
    ------
    UsageError
        Not of that form.
    """
    match = _JOIN.fullmatch(text.strip())
    if not match:
        raise UsageError(
            f"--join {text} is not understood",
            fix="write --join A:J3=B:J1, with ,mirror where the cable swaps the rows or ,reverse where it turns round",
        )
    return Join(match["a"], match["ca"], match["b"], match["cb"], match["order"] or "straight")


def join_boards(boards: Mapping[str, Netlist], joins: Sequence[Join | str]) -> Netlist:
    """Make one netlist of several boards and the cables between them; a cable may be told as `parse_join` reads it.

    Raises
    ------
    UsageError
        A join is not understood, or names a board that is not there.
    PinNotFoundError
        A join names a connector that is not on its board.
    """
    cables = [parse_join(join) if isinstance(join, str) else join for join in joins]
    for join in cables:
        for wanted in (join.board_a, join.board_b):
            if wanted not in boards:
                raise UsageError(
                    f"--join names the board {wanted}, which is not there",
                    fix=f"the boards are: {', '.join(boards)} (name one by writing NAME=FILE)",
                )
    findings: list[Finding] = []
    parts: list[Part] = []
    nets: dict[str, Net] = {}
    outline: list[Segment] = []
    right = 0.0
    for name, board in boards.items():
        left, wide = _span(board)
        move = right - left
        right += wide + APART_MM if wide else 0.0
        outline += [((a + move, b), (c + move, d)) for (a, b), (c, d) in board.outline]
        parts += [
            replace(p, reference=f"{name}:{p.reference}", spot=p.spot.moved(move, 0.0) if p.spot else None)
            for p in board.parts
        ]
        findings += [replace(f, where=tuple(f"{name}:{w}" for w in f.where)) for f in board.findings]
        for net in board.nets:
            pins = tuple(p.on_board(name) for p in net.pins)
            nets[f"{name}:{net.name}"] = replace(net, name=f"{name}:{net.name}", pins=pins)
    for join in cables:
        _join_pair(join, boards, nets, findings)
    return make_netlist(
        "+".join(board.name for board in boards.values()),
        parts,
        nets.values(),
        inputs=tuple(i for board in boards.values() for i in board.inputs),
        findings=findings,
        notes=_joined_notes(boards),
        outline=tuple(outline),
    )


def _span(board: Netlist) -> tuple[float, float]:
    """Left end and width of a board in millimetres; both 0 where nothing tells them."""
    xs = [x for ends in board.outline for x, _ in ends]
    xs += [pad.x for part in board.parts if part.spot for pad in part.spot.pads]
    return (min(xs), max(xs) - min(xs)) if xs else (0.0, 0.0)


def _joined_notes(boards: Mapping[str, Netlist]) -> Notes:
    """The notes of all boards, each name with its board's in front."""
    colours: dict[str, Told] = {}
    apart, evidence, touches, sockets = [], [], [], []
    load: Load | None = None
    for name, board in boards.items():
        load = board.notes.load or load
        for colour, told in board.notes.colour_pins:
            colours[colour] = told.on_board(name)
        apart += [(a.on_board(name), b.on_board(name)) for a, b in board.notes.apart]
        evidence += [replace(e, where=tuple(f"{name}:{w}" for w in e.where)) for e in board.notes.evidence]
        touches += [replace(t, pins=tuple(p.on_board(name) for p in t.pins)) for t in board.notes.touches]
        sockets += [(f"{name}:{part}", told) for part, told in board.notes.sockets]
    return Notes(tuple(colours.items()), tuple(apart), tuple(evidence), tuple(touches), tuple(sockets), load)


def _join_pair(
    join: Join, boards: Mapping[str, Netlist], nets: dict[str, Net], findings: list[Finding]
) -> None:
    a, numbers_a = _connector(join.board_a, join.connector_a, boards)
    b, numbers_b = _connector(join.board_b, join.connector_b, boards)
    partner = _partners(numbers_a, numbers_b, join.order)
    alone = [f"{a}.{n}" for n in numbers_a if n not in partner]
    alone += [f"{b}.{n}" for n in numbers_b if n not in partner.values()]
    if alone:
        findings.append(
            note(
                "unplaced-join",
                f"joined connectors {a} and {b}: no partner for {', '.join(alone[:8])}",
                *alone,
            )
        )
    for number_a, number_b in partner.items():
        net_a, net_b = _net_with(nets, PinRef(a, number_a)), _net_with(nets, PinRef(b, number_b))
        if net_a is None or net_b is None or net_a == net_b:
            continue
        _check_rails(net_a, net_b, f"{a}.{number_a}", f"{b}.{number_b}", findings)
        # A net that only one board names keeps that name; a supply's name is kept before all.
        keep, lose = sorted((net_a, net_b), key=_name_rank)
        nets[keep.name] = replace(keep, pins=(*keep.pins, *nets.pop(lose.name).pins))


def _connector(board: str, connector: str, boards: Mapping[str, Netlist]) -> tuple[str, list[str]]:
    netlist = boards[board]
    known = netlist.pins_of_parts
    found = next((r for r in known if r.upper() == connector.upper()), None)
    if found is None:
        named = ", ".join(r for r in known if re.match(r"[JPXC][A-Z]*\d", r))
        raise PinNotFoundError(
            f"board {board} has no connector {connector}",
            fix=f"its connectors are: {named[:200]}" if named else "it has no part called J1, P1, CN1 or X1",
        )
    return f"{board}:{found}", sorted(known[found], key=natural_key)


def _partners(a: list[str], b: list[str], order: str) -> dict[str, str]:
    if order == "reverse":
        return dict(zip(a, reversed(b), strict=False))
    if order == "mirror":
        swapped = {n: str(int(n) + 1 if int(n) % 2 else int(n) - 1) for n in a if n.isdecimal()}
        return {n: m for n, m in swapped.items() if m in b}
    return {n: n for n in a if n in b}


def _net_with(nets: Mapping[str, Net], pin: PinRef) -> Net | None:
    return next((net for net in nets.values() if pin in net.pins), None)


def _name_rank(net: Net) -> int:
    return 0 if named_rail(net) else 1 if net.is_named else 2


def _check_rails(net_a: Net, net_b: Net, pin_a: str, pin_b: str, findings: list[Finding]) -> None:
    rail_a, rail_b = named_rail(net_a), named_rail(net_b)
    different = rail_a is not None and rail_b is not None and rail_a.volts != rail_b.volts
    on_signal = (rail_a is None) != (rail_b is None) and net_a.is_named and net_b.is_named
    if different or on_signal:
        findings.append(
            warning(
                "rails-joined",
                f"the cable joins {pin_a} ({net_a.name}) to {pin_b} ({net_b.name}); is it the right way round?",
                pin_a,
                pin_b,
            )
        )
