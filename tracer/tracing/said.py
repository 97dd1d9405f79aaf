"""What a map says of its drawing: only what touches the map."""

from __future__ import annotations

from collections.abc import Collection, Iterable, Iterator, Mapping

from tracer.base.findings import Finding, note
from tracer.bitmap.model import Colour, MemoryIndex
from tracer.circuit.graph import Circuit
from tracer.stage.model import Stage

__all__ = ["touching"]


def touching(
    circuit: Circuit,
    found: Iterable[Finding],
    colours: Collection[Colour],
    index: Collection[MemoryIndex],
    stages: Mapping[str, Stage],
) -> list[Finding]:
    """Of what is odd about a drawing, what may make this map wrong; the rest is counted in one line.

    A finding touches the map when it is about a part, pin or net of a colour's way, or about the sheet that one of them
    stands on. Where a way ends at nothing, whatever is missing may be what it lacks, so all warnings stay.
    """
    places = set(_places(circuit, colours, index, stages))
    files = {
        origin.file
        for name in places
        if (part := circuit.netlist.by_reference.get(name)) is not None
        and (origin := part.origin) is not None
    }
    ends_at_nothing = any(p.source.kind == "nothing" for c in colours for b in c.bits for p in b.paths)
    all_found = list(found)
    kept = [
        f
        for f in all_found
        if not f.where
        or any(w in places or w in files or w.rpartition(".")[0] in places for w in f.where)
        or (f.severity == "warning" and (ends_at_nothing or not all(c.bits for c in colours)))
    ]
    away = len(all_found) - len(kept)
    if away:
        lines = "1 oddity of the drawing lies" if away == 1 else f"{away} oddities of the drawing lie"
        kept.append(note("away", f"{lines} away from the colours; `rgbroots check` lists them"))
    return kept


def _places(
    circuit: Circuit,
    colours: Collection[Colour],
    index: Collection[MemoryIndex],
    stages: Mapping[str, Stage],
) -> Iterator[str]:
    """Parts and nets of the ways, of the output stages, and of the lines that address the palette."""
    for stage in stages.values():
        yield from stage.nets
        yield from stage.network.parts
    for colour in colours:
        if colour.pin.part:
            yield colour.pin.part
        for bit in colour.bits:
            yield bit.driver.part
            for path in bit.paths:
                for step in path.steps:
                    yield step.part
                    yield from circuit.nets_of(step.part, step.source_pin)
                    yield from circuit.nets_of(step.part, step.target_pin)
                if path.source.part:
                    yield path.source.part
                    yield from circuit.nets_of(path.source.part, path.source.pin or "")
    for memory in index:
        yield from (line.net for line in memory.lines if line.net)
