"""Random output stages, and ngspice to solve them beside us.

ngspice: the Debian package of that name, a circuit simulator of another house, run in batch mode.
"""

from __future__ import annotations

import random
import re
import shutil
import subprocess
from dataclasses import dataclass
from pathlib import Path

from tracer.export.spice import decks_as_spice
from tracer.export.values import Deck, DeckDriver
from tracer.levels.drive_values import Drive, Hold
from tracer.levels.solver import StageSolver
from tracer.netlist.board import PinRef
from tracer.stage.model import Stage, StageDriver
from tracer.stage.network import Amplifier, Diode, Network, Resistor, Transistor

E12 = (1.0, 1.2, 1.5, 1.8, 2.2, 2.7, 3.3, 3.9, 4.7, 5.6, 6.8, 8.2)
_VOLTS = re.compile(r"^\s*(\S+?)_out\s+(\S+)\s*$", re.MULTILINE)
#: Circuits in one run of the simulator.
BATCH = 25


@dataclass(frozen=True)
class RandomStage:
    """A stage, how it is driven, the code, and whether it bends."""

    stage: Stage
    drives: tuple[Drive, ...]
    load_ohm: float | None
    code: int

    @property
    def is_linear(self) -> bool:
        return self.stage.network.is_linear

    def deck(self, name: str) -> Deck:
        drivers = tuple(
            DeckDriver(d.net, d.net, drive, i)
            for i, (d, drive) in enumerate(zip(self.stage.drivers, self.drives, strict=True))
        )
        stage = self.stage
        return Deck(name, stage.start, stage.network, stage.fixed, drivers, {}, self.load_ohm)

    def volts(self) -> float:
        """By our solver."""
        levels = [self.code >> i & 1 for i in range(len(self.drives))]
        return StageSolver(self.stage, self.drives, self.load_ohm).volts(levels)


def random_stage(rng: random.Random, *, bent: bool, most_nodes: int = 60) -> RandomStage:
    """A tree of resistors from the drivers to the output with ladders, pull-ups and loads strewn in.

    With `bent`, diodes between inner nodes and one follower stand in it too.
    """
    n_bits = rng.randint(1, 8)
    n_inner = rng.randint(0, max(0, min(most_nodes - n_bits - 3, rng.choice((3, 10, 40)))))
    inner = [f"n{i}" for i in range(n_inner)]
    nodes = ["out", *inner]
    resistors: list[Resistor] = []

    def ohm() -> float:
        return rng.choice(E12) * 10.0 ** rng.randint(1, 4)

    def resistor(a: str, b: str) -> None:
        resistors.append(Resistor(f"R{len(resistors)}", a, b, ohm()))

    for i, node in enumerate(inner):
        resistor(node, rng.choice(nodes[: i + 1]))
    for i in range(n_bits):
        resistor(f"d{i}", rng.choice(nodes))
    for _ in range(rng.randint(0, n_inner)):
        a, b = rng.choice(nodes), rng.choice(nodes)
        if a != b:
            resistor(a, b)
    for _ in range(rng.randint(0, 3)):
        resistor(rng.choice(nodes), rng.choice(("vcc", "gnd")))
    # Where all outputs let go and nothing else holds the pin, its volts are nobody's business.
    resistors.append(Resistor("RG", "out", "gnd", 100_000))
    diodes: list[Diode] = []
    transistors: list[Transistor] = []
    amplifiers: list[Amplifier] = []
    start = "out"
    if bent:
        for i in range(rng.randint(0, 3)):
            a, b = rng.choice([*nodes, "gnd"]), rng.choice(nodes)
            if a != b:
                diodes.append(Diode(f"D{i}", a, b))
        if rng.random() < 0.7:
            start = "emitter"
            polarity = rng.choice(("npn", "npn", "pnp"))
            rail = "vcc" if polarity == "npn" else "gnd"
            transistors.append(Transistor("Q1", "out", rail, "emitter", polarity))
            resistors.append(
                Resistor(
                    "RE", "emitter", "gnd" if polarity == "npn" else "vcc", rng.choice((75, 220, 470, 1000))
                )
            )
    elif rng.random() < 0.15:
        start = "buffered"
        resistors.append(Resistor("RB", "buffered", "gnd", 1000))
        if rng.random() < 0.5:
            amplifiers.append(Amplifier("A1", "out", "buffered", "buffered"))
        else:
            resistors += [
                Resistor("RF", "minus", "buffered", 1000),
                Resistor("RG", "minus", "gnd", rng.choice((1000, 2200))),
            ]
            amplifiers.append(Amplifier("A1", "out", "minus", "buffered"))
    drivers = tuple(StageDriver(f"d{i}", (PinRef("U1", str(i)),)) for i in range(n_bits))
    network = Network(tuple(resistors), tuple(diodes), tuple(transistors), tuple(amplifiers))
    stage = Stage(start, network, drivers, {"vcc": 5.0, "gnd": 0.0})
    drives = tuple(_drive(rng) for _ in drivers)
    return RandomStage(stage, drives, rng.choice((75.0, 1000.0, None)), rng.getrandbits(n_bits))


def _drive(rng: random.Random) -> Drive:
    one_way = rng.random() < 0.5
    high = Hold(rng.choice((2.7, 3.4, 3.5, 5.0)), rng.choice((35.0, 58.0, 120.0)), one_way)
    low = Hold(rng.choice((0.0, 0.25, 0.5)), rng.choice((10.0, 25.0, 45.0)), one_way)
    return Drive(None if rng.random() < 0.15 else high, low)


def ngspice() -> str | None:
    """The simulator's program, or None."""
    return shutil.which("ngspice")


def volts_by_ngspice(stages: list[RandomStage], folder: Path) -> list[float]:
    """Volts at the output of every stage, by the simulator, many in one deck; not a number where it gave none."""
    found: list[float] = []
    for first in range(0, len(stages), BATCH):
        batch = stages[first : first + BATCH]
        decks = [s.deck(f"s{i}") for i, s in enumerate(batch)]
        deck = folder / f"deck{first}.cir"
        deck.write_text(decks_as_spice("random stages", decks, [s.code for s in batch]), encoding="utf-8")
        run = subprocess.run(
            [ngspice() or "ngspice", "-b", str(deck)],
            capture_output=True,
            text=True,
            timeout=300,
            check=False,
        )
        by_name = {name: float(value) for name, value in _VOLTS.findall(run.stdout)}
        found += [by_name.get(f"s{i}", float("nan")) for i in range(len(batch))]
    return found
