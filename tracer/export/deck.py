"""The output stages as values that a circuit simulator's deck can be written from."""

from __future__ import annotations

from tracer.export.values import Deck, DeckDriver
from tracer.levels.at_rest import levels_at_rest
from tracer.levels.drive import drive_of
from tracer.levels.drive_values import Override
from tracer.levels.loaded_stage import loaded_stage, other_pins
from tracer.tracing.pipeline import Traced

__all__ = ["decks_of"]


def decks_of(traced: Traced, load_ohm: float | None, override: Override | None = None) -> tuple[Deck, ...]:
    """A deck for every colour that something drives; values that are not known stand in it as 1 kohm."""
    found = []
    for colour in traced.bit_map.colours:
        stage = loaded_stage(traced, colour.name)
        bits = {(b.driver.part, b.driver.pin): b.bit for b in colour.bits}
        held = levels_at_rest(traced, colour.name, load_ohm, override).held
        drivers = []
        for i, driver in enumerate(stage.drivers):
            bit = next((bits[p.part, p.pin] for p in driver.pins if (p.part, p.pin) in bits), None)
            drive = drive_of(traced.circuit, driver, "typical", override)
            drivers.append(
                DeckDriver(stage.node(driver.net), str(driver.pins[0]), drive, bit, held.get(i, 0))
            )
        farads = {c.part: traced.circuit.identified[c.part].farad or 0.0 for c in stage.network.charged}
        if drivers:
            found.append(
                Deck(
                    colour.name,
                    stage.node(stage.start),
                    stage.network,
                    stage.fixed,
                    tuple(drivers),
                    farads,
                    load_ohm,
                    other_pins(traced, colour.name),
                )
            )
    return tuple(found)
