"""The ways back from the drivers of the output stages, each walked once."""

from __future__ import annotations

from collections.abc import Iterable, Mapping

from tracer.bitmap.model import Path
from tracer.circuit.graph import Circuit
from tracer.netlist.board import PinRef
from tracer.parts.kinds import Kind
from tracer.stage.model import Stage, StageDriver
from tracer.tracing.gate_inputs import find_gate_users
from tracer.tracing.walk import Walker

__all__ = ["DriverWays"]


_HOLDS = frozenset({Kind.REGISTER.value, Kind.LATCH.value})


def _made_at(path: Path, source: PinRef) -> PinRef:
    held = [PinRef(step.part, step.target_pin) for step in path.steps if step.how in _HOLDS]
    return held[-1] if held else source


class DriverWays:
    """Walks back from drivers; keeps what it found."""

    def __init__(
        self, circuit: Circuit, stages: Mapping[str, Stage], beside: Iterable[StageDriver] = ()
    ) -> None:
        """Drivers of the stages, and others `beside` whose ways are asked for."""
        drivers = {p for stage in stages.values() for d in stage.drivers for p in d.pins}
        drivers |= {p for d in beside for p in d.pins}
        held = {d.net for stage in stages.values() for d in stage.drivers}
        closed = frozenset(net for stage in stages.values() for net in stage.nets) - held
        known = [p for p in drivers if circuit.identified[p.part].kind != Kind.CONNECTOR]
        gate_users = find_gate_users(circuit, sorted(known, key=lambda p: p.key))
        self.walker = Walker(circuit, closed, gate_users)
        self._found: dict[StageDriver, tuple[PinRef, tuple[Path, ...]]] = {}

    def of(self, driver: StageDriver) -> tuple[PinRef, tuple[Path, ...]]:
        """The output to show as the driver, and all ways back."""
        if driver not in self._found:
            self._found[driver] = self._walk(driver)
        return self._found[driver]

    def store(self, driver: StageDriver) -> bool:
        """Whether a stored bit lies behind a driver."""
        return any(path.source.is_memory for path in self.of(driver)[1])

    def origins(self, driver: StageDriver) -> frozenset[PinRef]:
        """Where what the driver shows was made: outputs of the registers next to its sources, or the sources themselves.

        Of two registers on one line of a bus each holds a bit of its own. Ways that only write are left out.
        """
        return frozenset(
            _made_at(path, PinRef(path.source.part, path.source.pin))
            for path in self.of(driver)[1]
            if path.role != "write path" and path.source.part and path.source.pin
        )

    def _walk(self, driver: StageDriver) -> tuple[PinRef, tuple[Path, ...]]:
        circuit = self.walker.circuit
        if len(driver.pins) == 1 and not any(circuit.weak_sources(driver.net)):
            return driver.pins[0], self.walker.walk_back(driver.pins[0])
        return self.walker.walk_net(driver.net, driver.pins)
