"""Several files about one board -> one board.

A later input adds to an earlier one or corrects it. What it says of a part or a pin counts; what it contradicts
becomes a finding.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import replace

from tracer.base.findings import Finding, warning
from tracer.netlist.board import Net, Netlist, Notes, Origin, Part, Pin, PinRef, make_netlist

__all__ = ["merge_netlists"]


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
    nets = (_join_beeps if later.beeped else _merge_nets)(first, later, findings)
    return make_netlist(
        first.name,
        parts.values(),
        nets,
        inputs=(*first.inputs, *later.inputs),
        findings=findings,
        notes=_merge_notes(first.notes, later.notes),
        beeped=first.beeped and later.beeped,
        outline=later.outline or first.outline,
    )


def _merge_notes(first: Notes, later: Notes) -> Notes:
    colours = {**dict(first.colour_pins), **dict(later.colour_pins)}
    return Notes(
        tuple(colours.items()),
        tuple(dict.fromkeys((*first.apart, *later.apart))),
        (*first.evidence, *later.evidence),
        (*first.touches, *later.touches),
        tuple({**dict(first.sockets), **dict(later.sockets)}.items()),
        later.load or first.load,
    )


def _join_beeps(first: Netlist, later: Netlist, findings: list[Finding]) -> Iterator[Net]:
    """Beeps join whole nets: what a meter joins is one net, whatever was drawn."""
    nets = {net.name: list(net.pins) for net in first.nets}
    known = {net.name: net for net in first.nets}
    where: dict[PinRef, str] = {pin: name for name, pins in nets.items() for pin in pins}
    for net in later.nets:
        met = list(dict.fromkeys(where[p] for p in net.pins if p in where))
        drawn = [name for name in met if not known[name].is_alone and len(nets[name]) > 1]
        if net.is_alone:
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
        named = [name for name in drawn if known[name].is_named]
        target = net.name if net.is_named or not met else (named or drawn or met)[0]
        if target in known and known[target].is_alone:
            target = net.name
        pins = list(dict.fromkeys([p for name in met for p in nets.pop(name)] + list(net.pins)))
        pins += [p for p in nets.get(target, ()) if p not in pins]
        nets[target] = pins
        known.setdefault(target, net)
        where.update(dict.fromkeys(pins, target))
    return _with_pins(known, nets)


def _with_pins(known: dict[str, Net], nets: dict[str, list[PinRef]]) -> Iterator[Net]:
    """The nets as they were told, with the pins that they have now."""
    for name, pins in nets.items():
        yield replace(known[name], pins=tuple(pins))


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
        spot=new.spot or old.spot,
    )


def _place(origin: Origin | None, otherwise: str) -> str:
    return str(origin) if origin else otherwise


def _merge_nets(first: Netlist, later: Netlist, findings: list[Finding]) -> Iterator[Net]:
    nets = {net.name: list(net.pins) for net in first.nets}
    known = {net.name: net for net in first.nets}
    where = dict(first.nets_of_pins)
    # Which later net has taken up which earlier one: two that are apart in the later input stay apart.
    taken = {net.name: net.name for net in later.nets if net.name in nets}
    for net in later.nets:
        met = list(dict.fromkeys(name for pin in net.pins for name in where.get(pin, ())))
        renames = len(met) == 1 and net.name not in nets and not known[met[0]].is_alone and not net.is_alone
        target = met[0] if renames and taken.get(met[0], net.name) == net.name else net.name
        taken[target] = net.name
        moved = [pin for pin in net.pins if pin in where and target not in where[pin]]
        left = list(dict.fromkeys(name for pin in moved for name in where[pin] if not known[name].is_alone))
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
        known.setdefault(target, net)
    # A net that lost its pins to others is gone; one that never had any is still a net that somebody named.
    return _with_pins(known, {name: pins for name, pins in nets.items() if pins or not known[name].pins})
