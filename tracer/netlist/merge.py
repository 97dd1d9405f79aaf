"""Several inputs -> one board: files about one board, and boards joined by a cable.

Merging (`merge_netlists`): a later input adds to an earlier one or corrects it.
What it says of a part or a pin counts; what it contradicts becomes a finding.
Joining (`join_boards`): every name gets its board's name in front (``A:U5``), and
the pins of the joined connectors become one net each.
"""

from __future__ import annotations

import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace

from tracer.base.errors import PinNotFoundError, UsageError
from tracer.base.findings import Finding, note, warning
from tracer.base.names import is_no_connect, natural_key
from tracer.netlist.board import Netlist, Notes, Origin, Part, Pin, PinRef, make_netlist
from tracer.netlist.rail_names import named_rail

__all__ = ["Join", "join_boards", "merge_netlists", "parse_join"]


def merge_netlists(netlists: Sequence[Netlist]) -> Netlist:
    """One board out of several descriptions of it, the later ones weighing more."""
    merged = netlists[0]
    for later in netlists[1:]:
        merged = _merge_two(merged, later)
    return merged


def _merge_two(first: Netlist, later: Netlist) -> Netlist:
    findings = [*first.findings, *later.findings]
    parts = dict(first.by_reference)
    for reference, part in later.by_reference.items():
        parts[reference] = _merge_parts(parts[reference], part, findings) if reference in parts else part
    merge_nets = _join_beeps if later.beeped else _merge_nets
    nets, origins = merge_nets(first, later, findings)
    return make_netlist(
        first.name,
        parts.values(),
        [(name, pins, origins.get(name)) for name, pins in nets.items()],
        inputs=(*first.inputs, *later.inputs),
        findings=findings,
        notes=_merge_notes(first.notes, later.notes),
        beeped=first.beeped and later.beeped,
    )


def _merge_notes(first: Notes, later: Notes) -> Notes:
    colours = {**dict(first.colour_pins), **dict(later.colour_pins)}
    return Notes(
        tuple(colours.items()),
        tuple(dict.fromkeys((*first.apart, *later.apart))),
        (*first.evidence, *later.evidence),
        (*first.touches, *later.touches),
    )


def _join_beeps(
    first: Netlist, later: Netlist, findings: list[Finding]
) -> tuple[dict[str, list[PinRef]], dict[str, Origin | None]]:
    """Beeps join whole nets: what a meter joins is one net, whatever was drawn."""
    nets = {net.name: list(net.pins) for net in first.nets}
    origins: dict[str, Origin | None] = {net.name: net.origin for net in first.nets}
    where: dict[PinRef, str] = {pin: name for name, pins in nets.items() for pin in pins}
    for net in later.nets:
        met = list(dict.fromkeys(where[p] for p in net.pins if p in where))
        drawn = [name for name in met if _is_joined(name) and len(nets[name]) > 1]
        if not _is_joined(net.name):
            if drawn:
                text = f"{net.pins[0]} beeps to nothing in {_place(net.origin, 'the notes')}, but stands on {drawn[0]}"
                findings.append(warning("contradiction", f"{text}; the drawing was kept", str(net.pins[0])))
            continue
        if len(drawn) > 1:
            findings.append(
                warning(
                    "contradiction",
                    f"{', '.join(str(p) for p in net.pins[:4])} beep together in {_place(net.origin, 'the notes')}, but "
                    f"were drawn on {' and '.join(drawn[:4])}; they were joined",
                    *(str(p) for p in net.pins[:8]),
                )
            )
        given = not net.name.startswith("Net-(")
        named = [name for name in drawn if not name.startswith("Net-(")]
        target = net.name if given or not met else (named or drawn or met)[0]
        if not _is_joined(target):
            target = net.name
        pins = list(dict.fromkeys([p for name in met for p in nets.pop(name)] + list(net.pins)))
        pins += [p for p in nets.get(target, ()) if p not in pins]
        nets[target] = pins
        origins.setdefault(target, net.origin)
        where.update(dict.fromkeys(pins, target))
    return nets, origins


def _merge_parts(old: Part, new: Part, findings: list[Finding]) -> Part:
    if old.marking and new.marking and old.marking != new.marking:
        findings.append(
            warning(
                "contradiction",
                f"{old.reference} is {old.marking} in {_place(old.origin, 'an earlier input')} and {new.marking} in "
                f"{_place(new.origin, 'a later one')}; the later one was taken",
                old.reference,
            )
        )
    pins: dict[str, Pin] = {p.number: p for p in old.pins}
    for pin in new.pins:
        known = pins.get(pin.number)
        pins[pin.number] = (
            pin if known is None else Pin(pin.number, pin.name or known.name, pin.kind or known.kind)
        )
    symbol_holds = not new.marking or new.marking == old.marking
    return Part(
        reference=old.reference,
        marking=new.marking or old.marking,
        symbol=new.symbol or (old.symbol if symbol_holds else ""),
        library=new.library or old.library,
        footprint=new.footprint or old.footprint,
        place=new.place or old.place,
        pins=tuple(pins.values()),
        fitted=old.fitted and new.fitted,
        origin=new.origin or old.origin,
    )


def _place(origin: Origin | None, otherwise: str) -> str:
    return str(origin) if origin else otherwise


def _merge_nets(
    first: Netlist, later: Netlist, findings: list[Finding]
) -> tuple[dict[str, list[PinRef]], dict[str, Origin | None]]:
    nets = {net.name: list(net.pins) for net in first.nets}
    origins: dict[str, Origin | None] = {net.name: net.origin for net in first.nets}
    where = dict(first.nets_of_pins)
    # Which later net has taken up which earlier one: two that are apart in the later input stay apart.
    taken = {net.name: net.name for net in later.nets if net.name in nets}
    for net in later.nets:
        met = list(dict.fromkeys(name for pin in net.pins for name in where.get(pin, ())))
        renames = len(met) == 1 and net.name not in nets and _is_joined(met[0]) and _is_joined(net.name)
        target = met[0] if renames and taken.get(met[0], net.name) == net.name else net.name
        taken[target] = net.name
        moved = [pin for pin in net.pins if pin in where and target not in where[pin]]
        left = list(dict.fromkeys(name for pin in moved for name in where[pin] if _is_joined(name)))
        if left:
            findings.append(
                warning(
                    "contradiction",
                    f"{_place(net.origin, 'a later input')} has {', '.join(str(p) for p in net.pins[:6])} on the net "
                    f"{net.name}; before, {', '.join(str(p) for p in moved[:6])} stood on {', '.join(left[:4])}. "
                    "The later one was taken",
                    *(str(p) for p in moved[:8]),
                )
            )
        for pin in moved:
            for name in where[pin]:
                nets[name].remove(pin)
        kept = nets.setdefault(target, [])
        for pin in net.pins:
            where[pin] = where[pin] if pin in where and pin not in moved else (target,)
            if pin not in kept:
                kept.append(pin)
        origins.setdefault(target, net.origin)
    return {name: pins for name, pins in nets.items() if pins}, origins


def _is_joined(net: str) -> bool:
    """Whether a net's name does not say that its pin is joined to nothing."""
    return not is_no_connect(net)


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


def join_boards(boards: Mapping[str, Netlist], joins: Sequence[Join]) -> Netlist:
    """Make one netlist of several boards and the cables between them.

    Raises
    ------
    UsageError
        A join names a board that is not there.
    PinNotFoundError
        A join names a connector that is not on its board.
    """
    for join in joins:
        for wanted in (join.board_a, join.board_b):
            if wanted not in boards:
                raise UsageError(
                    f"--join names the board {wanted}, which is not there",
                    fix=f"the boards are: {', '.join(boards)} (name one by writing NAME=FILE)",
                )
    findings: list[Finding] = []
    parts: list[Part] = []
    nets: dict[str, list[PinRef]] = {}
    origins: dict[str, Origin | None] = {}
    for name, board in boards.items():
        parts += [replace(p, reference=f"{name}:{p.reference}") for p in board.parts]
        findings += [replace(f, where=tuple(f"{name}:{w}" for w in f.where)) for f in board.findings]
        for net in board.nets:
            nets[f"{name}:{net.name}"] = [PinRef(f"{name}:{p.part}", p.pin) for p in net.pins]
            origins[f"{name}:{net.name}"] = net.origin
    for join in joins:
        _join_pair(join, boards, nets, findings)
    return make_netlist(
        "+".join(board.name for board in boards.values()),
        parts,
        [(name, pins, origins.get(name)) for name, pins in nets.items()],
        inputs=tuple(i for board in boards.values() for i in board.inputs),
        findings=findings,
        notes=_joined_notes(boards),
    )


def _joined_notes(boards: Mapping[str, Netlist]) -> Notes:
    """The notes of all boards, each name with its board's in front."""
    colours: dict[str, str] = {}
    apart, evidence, touches = [], [], []
    for name, board in boards.items():
        for colour, told in board.notes.colour_pins:
            colours[colour] = f"net:{name}:{told[4:]}" if told.startswith("net:") else f"{name}:{told}"
        apart += [tuple(PinRef(f"{name}:{p.part}", p.pin) for p in pair) for pair in board.notes.apart]
        evidence += [replace(e, where=tuple(f"{name}:{w}" for w in e.where)) for e in board.notes.evidence]
        touches += [
            replace(t, pins=tuple(PinRef(f"{name}:{p.part}", p.pin) for p in t.pins))
            for t in board.notes.touches
        ]
    return Notes(tuple(colours.items()), tuple((a, b) for a, b in apart), tuple(evidence), tuple(touches))


def _join_pair(
    join: Join, boards: Mapping[str, Netlist], nets: dict[str, list[PinRef]], findings: list[Finding]
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
        name_a, name_b = _net_with(nets, PinRef(a, number_a)), _net_with(nets, PinRef(b, number_b))
        if name_a is None or name_b is None or name_a == name_b:
            continue
        _check_rails(name_a, name_b, f"{a}.{number_a}", f"{b}.{number_b}", findings)
        # A net that only one board names keeps that name; a supply's name is kept before all.
        keep, lose = (name_a, name_b) if _name_rank(name_a) <= _name_rank(name_b) else (name_b, name_a)
        nets[keep] += nets.pop(lose)


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


def _net_with(nets: Mapping[str, list[PinRef]], pin: PinRef) -> str | None:
    return next((name for name, pins in nets.items() if pin in pins), None)


def _name_rank(name: str) -> tuple[int, int]:
    plain = name.split(":", 1)[1]
    return (0 if named_rail(plain) else 2 if plain.startswith(("Net-(", "unconnected-(")) else 1, 0)


def _check_rails(name_a: str, name_b: str, pin_a: str, pin_b: str, findings: list[Finding]) -> None:
    rail_a, rail_b = (named_rail(n.split(":", 1)[1]) for n in (name_a, name_b))
    different = rail_a is not None and rail_b is not None and rail_a.volts != rail_b.volts
    on_signal = (rail_a is None) != (rail_b is None) and not any(
        n.split(":", 1)[1].startswith(("Net-(", "unconnected-(")) for n in (name_a, name_b)
    )
    if different or on_signal:
        findings.append(
            warning(
                "rails-joined",
                f"the cable joins {pin_a} ({name_a}) to {pin_b} ({name_b}); is it the right way round?",
                pin_a,
                pin_b,
            )
        )
