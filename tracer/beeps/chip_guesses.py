"""Which chips may form the colour path, before and while the beeps tell: by type, by outputs and by place."""

from __future__ import annotations

from tracer.base.names import natural_key
from tracer.beeps.choice import Search
from tracer.beeps.values import ChipGuess
from tracer.beeps.wanted import Want

__all__ = ["beside", "chip_guesses"]

#: Chips that are guessed at, for each of the two places in the path.
MOST_GUESSES = 4
#: A guess below this says nothing.
LEAST_GUESS = 0.03


def chip_guesses(search: Search, kind: str, does: str) -> list[ChipGuess]:
    """Chips that may put out the bits, or feed those that do."""
    assert kind in ("driver", "input")
    bench = search.bench
    found: dict[str, int] = {}
    for connection in search.wanted.found:
        if connection.want.kind == kind:
            found[connection.end.part] = found.get(connection.end.part, 0) + 1
    held = next(iter(bench.colours.values()), None)
    if held is None:
        return []
    chances: dict[str, float] = {}
    wants = [w for w, _ in search.open if w.kind == kind]
    imagined = Want("driver" if kind == "driver" else "input", held, next(iter(bench.colours)), 1000.0)
    for pin, chance in search.wiring.chances(wants[0] if wants else imagined).items():
        if not bench.circuit.identified[pin.part].kind.is_discrete and not bench.is_rail(pin):
            chances[pin.part] = chances.get(pin.part, 0.0) + chance
    guesses = []
    for reference in sorted(found, key=lambda r: (-found[r], natural_key(r))):
        guesses.append(_guess(search, reference, does, 1.0, f"{found[reference]} found on it"))
    for reference, chance in sorted(chances.items(), key=lambda item: (-item[1], natural_key(item[0]))):
        if reference not in found and chance >= LEAST_GUESS and len(guesses) < MOST_GUESSES:
            outputs = len(search.wiring.outputs.get(reference, ()))
            guesses.append(_guess(search, reference, does, chance, f"{outputs} outputs"))
    return guesses


def _guess(search: Search, reference: str, does: str, chance: float, why: str) -> ChipGuess:
    part = search.bench.circuit.identified[reference]
    kind = part.kind.words
    words = ", ".join(w for w in (kind, why, beside(search, reference)) if w)
    return ChipGuess(reference, part.part.marking or part.sold_as, part.part.place, does, chance, words)


def beside(search: Search, reference: str) -> str:
    """How far it is to the nearest of the chips found in the path, or to the connector, where the places tell."""
    nearness = search.bench.nearness
    plugs = {pin.part for pin in search.bench.colours.values()}
    known = dict.fromkeys([c.end.part for c in search.wanted.found] + sorted(plugs))
    far = {
        other: f
        for other in known
        if other != reference and (f := nearness.between(other, reference)) is not None
    }
    if not far:
        return ""
    other = min(far, key=lambda r: far[r])
    return nearness.words(reference, other, "the connector" if other in plugs else other)
