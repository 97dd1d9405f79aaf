"""Where a walk ends, why, and what would carry it on."""

from __future__ import annotations

from collections.abc import Collection
from dataclasses import replace

from tracer.base.findings import Finding, note
from tracer.bitmap.model import Path, Source, SourceKind
from tracer.circuit.graph import Circuit
from tracer.netlist.board import PinRef
from tracer.parts.identify import Identified
from tracer.parts.kinds import Kind
from tracer.tracing.headers import bridge_words, bridges

__all__ = ["at_connector", "end_at", "nothing", "stop_at", "too_far", "undecided"]

_SOURCE_KINDS: dict[Kind, SourceKind] = {
    Kind.LOGIC_ARRAY: "logic array",
    Kind.DAC: "dac",
    Kind.CPU: "cpu",
    Kind.CUSTOM: "custom",
    Kind.COLOUR_ENCODER: "custom",
    Kind.AMPLIFIER: "custom",
    Kind.CONNECTOR: "connector",
    Kind.UNKNOWN: "unknown part",
}
_STORED: dict[Kind, SourceKind] = {
    Kind.RAM: "ram", Kind.ROM: "rom", Kind.PROM: "prom", Kind.EPROM: "eprom",
}  # fmt: skip

#: Pins that a sentence names at most.
_MOST_NAMED = 4


def nothing(net: str | None, because: str) -> Path:
    """A way that leads to no output at all."""
    return Path("picture", (), (), Source(None, None, None, net or "", "nothing"), because)


def end_at(pin: PinRef, part: Identified) -> Path:
    """The end of a walk at an output."""
    if part.kind.stores:
        return Path("picture", (), (), _source(pin, part, _STORED[part.kind]))
    kind = _SOURCE_KINDS.get(part.kind, "logic")
    name = f"{pin.part} ({part.sold_as})"
    because = {
        "logic array": f"{name} is programmable logic; only its equations would carry it on",
        "dac": f"{name} is a converter: it holds the colours itself, and its pixel inputs are the index",
        "cpu": f"the processor {name} puts this bit out",
        "custom": f"{name} is a custom or analogue chip; what is inside is not known",
        "connector": f"the way leaves the board at {pin}; join the other board with --join to carry on",
        "unknown part": f"the library has no entry for {name}; tell its type with --part {pin.part}=TYPE",
    }
    if any(f.code == "pins-disagree" for f in part.findings):
        because["unknown part"] = (
            f"{name} is drawn with other legs than the library has; tell what it is with --part {pin.part}=TYPE"
        )
    if any(f.code == "told-in-vain" for f in part.findings):
        because["unknown part"] = (
            f"nothing is known of the legs of {name}; tell its type with --part {pin.part}=TYPE"
        )
    return Path(
        "picture",
        (),
        (),
        _source(pin, part, kind),
        because.get(kind, f"{name} makes this bit itself: {part.type.what or 'logic'}"),
    )


def at_connector(circuit: Circuit, pin: PinRef, part: Identified) -> Path:
    """The end at a leg of a connector; of a header, what a jumper beside it would reach."""
    end = end_at(pin, part)
    found = [b for net in circuit.nets_of(pin.part, pin.pin) for b in bridges(circuit, pin, net)]
    if not found:
        return end
    return replace(end, because=f"only {pin} stands here, where nothing drives it. {bridge_words(found)}")


def too_far(where: str, longest: int) -> Path:
    """The end of a walk at a leg or a net, after more parts than any colour path has: a row of registers, a mistake."""
    because = (
        f"the way is more than {longest} parts long at {where}, which no colour path is; check what feeds it"
    )
    return Path("picture", (), (), Source(None, None, None, where, "logic"), because)


def undecided(pin: PinRef, part: Identified, ends: Collection[PinRef]) -> Path:
    """The end at a gate that makes its output of many bits, none of which is the one that it shows."""
    named = sorted(ends, key=lambda p: p.key)
    names = ", ".join(map(str, named[:_MOST_NAMED]))
    because = (
        f"{pin.part} ({part.sold_as}) makes this bit itself, of {len(named)} others ({names} ...): none of them alone "
        "is the bit"
    )
    return Path("picture", (), (), _source(pin, part, "logic"), because)


def stop_at(circuit: Circuit, net: str) -> tuple[Path, list[Finding]]:
    """Why a net without any known output stops the walk, and what had to be assumed."""
    parts = list(circuit.parts_on(net))
    # A chip that is not known goes before a header, which may be there for a probe.
    for pin, part in parts:
        leg = part.type.by_number.get(pin.pin)
        if part.kind.may_drive and (leg is None or leg.direction == "passive"):
            return end_at(pin, part), list(part.findings)
    for pin, part in parts:
        if part.kind == Kind.CONNECTOR:
            return at_connector(circuit, pin, part), []
    typed_in = [(pin, part) for pin, part in parts if part.kind.is_closed]
    if len(typed_in) == 1 and len(parts) > 1:
        # Drawings type outputs as inputs; where nothing else can drive the net, this pin must.
        pin, part = typed_in[0]
        text = f"{pin} is drawn as an input, but nothing else drives net {net}"
        return end_at(pin, part), [note("drawn-as-input", text, str(pin)), *part.findings]
    tied = circuit.tied_level(net)
    if tied is not None:
        text = f"net {net} is only pulled {'high' if tied else 'low'}"
        return Path("picture", (), (), Source(None, None, None, net, "rail"), text), []
    return nothing(net, f"net {net} has no driver; beep it to find what feeds it"), []


def _source(pin: PinRef, part: Identified, kind: SourceKind) -> Source:
    leg = part.type.by_number.get(pin.pin)
    name = leg.name if leg else ""
    return Source(pin.part, part.shown_type, pin.pin, name, kind, part.part.place or None, part.sold_as)
