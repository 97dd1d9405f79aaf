"""The output stages of all colours: where they end among one another, and what analogue selectors let each show."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, replace

from tracer.base.findings import Finding, warning
from tracer.bitmap.model import When
from tracer.circuit.graph import Circuit
from tracer.parts.kinds import Kind
from tracer.stage.gather import gather_stage
from tracer.stage.model import Stage
from tracer.stage.supplies import biased_volts

__all__ = ["StageSet", "gather_stages"]

#: States of analogue selectors that are followed; of more, those that are gathered first.
MOST_STATES = 8


@dataclass(frozen=True)
class StageSet:
    """The stage of each colour in one state of the selectors, with the levels that make it."""

    stages: Mapping[str, Stage]
    when: tuple[When, ...] = ()
    said: tuple[Finding, ...] = ()


def gather_stages(circuit: Circuit, pins: Mapping[str, str]) -> list[StageSet]:
    """The stages of the colour pins on these nets; where analogue selectors choose, a set for each state.

    The set with most drivers comes first: it is the one that the map is made of.
    """
    whole = _without_mixers(circuit, pins, {})
    states = _states(choice for stage in whole.values() for choice in stage.choices)
    if not states:
        return [StageSet(whole)]
    found = []
    for state in states[:MOST_STATES]:
        stages = _without_mixers(circuit, pins, state)
        found.append(StageSet(stages, _when(circuit, state)))
    found.sort(key=lambda each: -sum(len(stage.drivers) for stage in each.stages.values()))
    if len(states) > MOST_STATES:
        text = f"analogue selectors have more than {MOST_STATES} states; {MOST_STATES} of them were followed"
        found[0] = replace(found[0], said=(warning("switch-assumed", text),))
    return found


def _states(choices: Iterable[tuple[Mapping[str, int], ...]]) -> list[dict[str, int]]:
    """All that several selectors can show together: levels of their control nets that do not contradict one another."""
    states: list[dict[str, int]] = [{}]
    for choice in choices:
        both = [
            {**state, **way}
            for state in states
            for way in choice
            if all(state.get(net, level) == level for net, level in way.items())
        ]
        # A few more than are followed tell that there are more.
        states = list({tuple(sorted(state.items())): state for state in both}.values())[: 2 * MOST_STATES]
    return [state for state in states if state]


def _without_mixers(
    circuit: Circuit, pins: Mapping[str, str], selected: Mapping[str, int]
) -> dict[str, Stage]:
    """The stage of each colour, which ends where the colours meet at the biased input of a mixer."""

    def ending_at(still: Mapping[str, float]) -> dict[str, Stage]:
        nets = frozenset(pins.values())
        return {
            colour: gather_stage(circuit, net, still=still, selected=selected, beside=nets - {net})
            for colour, net in pins.items()
        }

    stages = ending_at({})
    seen = Counter(net for stage in stages.values() for net in stage.nets)
    biased = {
        net: volts
        for net, count in seen.items()
        if count > 1 and net not in pins.values() and (volts := biased_volts(circuit, net)) is not None
    }

    # The node of one colour may be biased too, and be seen from the others past the mixer: without it that colour
    # has no way back.
    still = {
        net: volts
        for net, volts in biased.items()
        if len(biased) == 1
        or all(
            not stages[colour].drivers or set(ended.drivers) & set(stages[colour].drivers)
            for colour, ended in ending_at({net: volts}).items()
        )
    }
    if still:
        stages = ending_at(still)
    return {colour: _with_assumed(circuit, stage) for colour, stage in stages.items()}


def _with_assumed(circuit: Circuit, stage: Stage) -> Stage:
    """The stage with the drivers that only switches or jumpers join to it, where it has others too."""
    if not stage.switches:
        return stage
    open_stage = gather_stage(
        circuit, stage.start, still=stage.still, closed=False, selected=stage.selected, beside=stage.beside
    )
    sure = {d.net for d in open_stage.drivers}
    assumed = tuple(d for d in stage.drivers if d.net not in sure)
    return replace(stage, assumed=assumed) if len(assumed) < len(stage.drivers) else stage


def _when(circuit: Circuit, state: Mapping[str, int]) -> tuple[When, ...]:
    """The levels at the selectors' own legs."""
    found = []
    for net, level in state.items():
        for pin, part in circuit.parts_on(net):
            if part.kind == Kind.ANALOGUE_SWITCH and any(
                pin.pin == p for arc in part.type.arcs for p, _ in arc.when
            ):
                found.append(When(pin.part, pin.pin, part.type.by_number[pin.pin].name, level))
                break
    return tuple(found)
