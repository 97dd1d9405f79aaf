"""The parts of a board beside the chips of its paths: those of the output stages, and all others with why they are not in."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import replace

from tracer.base.names import last_part, natural_key, readable_name
from tracer.bitmap.model import Bit, Colour
from tracer.card.chip_values import DIP_COUNTS
from tracer.card.chips import chip_views
from tracer.circuit.graph import Circuit
from tracer.levels.board_off import ohms_between
from tracer.levels.loaded_stage import loaded_stage
from tracer.page.values import Drawn, OtherPart, StagePart
from tracer.parts.identify import Identified
from tracer.parts.kinds import Kind
from tracer.suspects.path_legs import path_legs
from tracer.tracing.pipeline import Traced

__all__ = ["MOST_PINS", "drawn_of", "drawn_parts", "other_parts", "stage_parts"]

#: Boards of more pins than this have their path alone on the page: the rest would be most of the file.
MOST_PINS = 20_000


def stage_parts(traced: Traced) -> tuple[StagePart, ...]:
    """Resistors, transistors, diodes and amplifiers between the drivers and the colour pins, by name."""
    colours: dict[str, list[Colour]] = {}
    for colour in traced.bit_map.colours:
        network = loaded_stage(traced, colour.name).network if colour.bits else None
        if network is None:
            continue
        for part in dict.fromkeys((*network.parts, *(c.part for c in network.charged))):
            if part in traced.circuit.identified:
                colours.setdefault(part, []).append(colour)
    return tuple(_stage_part(traced, part, colours[part]) for part in sorted(colours, key=natural_key))


def _stage_part(traced: Traced, part: str, colours: list[Colour]) -> StagePart:
    known = traced.circuit.identified[part]
    legs = tuple((pin, traced.circuit.net_of(part, pin)) for pin in _pins(traced.circuit, part))
    ends = [net for _, net in legs if net is not None]
    across = ohms_between(traced.circuit, *ends) if len(ends) == len(legs) == 2 else None
    bits = tuple((c.name, b.bit) for c in colours for b in c.bits if part in _own(b))
    return StagePart(
        part, part_words(known), known.part.place or None, tuple(c.name for c in colours), bits,
        legs, across,
    )  # fmt: skip


def _own(bit: Bit) -> set[str]:
    return {r.part for r in bit.resistors}


def part_words(known: Identified) -> str:
    """What a part is, for people: its value and kind, or what it is sold as."""
    kind = str(known.kind).replace("_", " ")
    return f"{known.sold_as} {kind}" if known.kind.is_discrete else known.sold_as


def _pins(circuit: Circuit, part: str) -> list[str]:
    return sorted(circuit.netlist.pins_of_parts.get(part, ()), key=natural_key)


def other_parts(traced: Traced, shown: Iterable[str]) -> tuple[OtherPart, ...]:
    """All parts but those shown, by name; none on a board of more than `MOST_PINS`."""
    circuit, known = traced.circuit, set(shown)
    if sum(map(len, circuit.netlist.pins_of_parts.values())) > MOST_PINS:
        return ()
    on_path = {net: key for key in path_legs(traced).uses if (net := circuit.net_of(*key)) is not None}
    found = []
    for part in sorted(circuit.identified.keys() - known, key=natural_key):
        own = circuit.identified[part]
        legs = [(pin, net) for pin in _pins(circuit, part) if (net := circuit.net_of(part, pin)) is not None]
        why = _why(circuit, own, [net for _, net in legs], on_path)
        found.append(OtherPart(part, part_words(own), own.part.place or None, why, tuple(legs)))
    return tuple(found)


def _why(circuit: Circuit, known: Identified, nets: list[str], on_path: dict[str, tuple[str, str]]) -> str:
    """Why a part is not in the colour path."""
    if nets and all(net in circuit.rails for net in nets):
        return "it stands between the supplies alone"
    if known.kind == Kind.CAPACITOR:
        return "a capacitor that carries no colour"
    met = next((net for net in nets if net in on_path), None)
    if met is not None:
        return f"it hangs on {last_part(met)}, the net of {'.'.join(on_path[met])}, but no bit passes it"
    return "no net of the colour path comes to it"


def drawn_parts(traced: Traced, parts: Iterable[str]) -> Iterator[Drawn]:
    """Chips and connectors as seen from above; what is neither is left out."""
    views, circuit = {view.part: view for view in chip_views(traced)}, traced.circuit
    for part in parts:
        view, drawn = views.get(part), drawn_of(circuit, part)
        if drawn is None:
            continue
        if view is None:
            yield drawn
            continue
        legs = tuple((g.number, g.name, circuit.net_of(part, g.number)) for g in view.legs)
        yield replace(drawn, is_dip=view.outline == "dip", legs=legs)


def drawn_of(circuit: Circuit, part: str) -> Drawn | None:
    """A chip or a connector as seen from above, with all its legs; None for what is neither."""
    known = circuit.identified[part]
    if known.kind.is_discrete:
        return None
    numbers = sorted({*known.type.by_number, *_pins(circuit, part)}, key=natural_key)
    is_dip = len(numbers) in DIP_COUNTS and numbers == [str(i) for i in range(1, len(numbers) + 1)]
    is_dip &= known.kind != Kind.CONNECTOR
    names = {n: readable_name(p.name) for n, p in known.type.by_number.items()}
    legs = tuple((n, names.get(n, ""), circuit.net_of(part, n)) for n in numbers)
    return Drawn(part, part_words(known), known.part.place or None, is_dip, legs)
