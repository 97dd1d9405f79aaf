"""What a person should know of a board's levels, in words."""

from __future__ import annotations

from collections.abc import Sequence

from tracer.base.findings import Finding, note, warning
from tracer.levels.clipping import Clipping
from tracer.levels.drive import ASSUMED_FAMILY
from tracer.levels.large_steps import LargeSteps
from tracer.levels.overdrive import Overdrive
from tracer.levels.words import load_words

__all__ = [
    "assumed",
    "beyond_drive",
    "clips",
    "coupled",
    "large_step",
    "not_monotonic",
    "steps_cross",
    "unknown",
    "voltages_differ",
]

#: Of more codes the first are named.
_MOST_NAMED = 6


def unknown(colour: str, why: str) -> Finding:
    """The levels of a colour cannot be computed."""
    return warning("levels-unknown", f"{why}", colour, colour=colour)


def assumed(colour: str, parts: Sequence[str]) -> Finding:
    """The logic family of drivers is not known."""
    return note(
        "levels-assumed",
        f"the logic family of {', '.join(parts)} is not known; {ASSUMED_FAMILY} levels were taken. Tell "
        "it with --part, or the levels with --high and --low",
        *parts,
        colour=colour,
    )


def coupled(colour: str, capacitors: Sequence[str]) -> Finding:
    """A capacitor couples a colour."""
    return note(
        "coupled",
        f"{', '.join(capacitors)} couples it, so the volts are those above black; a meter set "
        "to DC sees none of it behind the capacitor, use a scope",
        *capacitors,
        colour=colour,
    )


def not_monotonic(colour: str, codes: Sequence[int]) -> Finding:
    """Brightness turns back at these codes."""
    return note(
        "not-monotonic",
        f"brightness does not follow the code: it turns back at {_named(codes)}",
        colour,
        colour=colour,
    )


def large_step(colour: str, steps: LargeSteps, load_ohm: float | None) -> Finding:
    """A step or several stand out among the others."""
    many = len(steps.codes) > 1
    why = {
        "let go": "there every high output is lifted above its own level and holds nothing more, and a pull-up alone lifts "
        "the stage",
        "saturates": f"there {steps.part} saturates",
        "turns on": f"there {steps.part} begins to conduct",
        "": "",
    }[steps.cause]
    return note(
        "large-step",
        f"the step{'s' if many else ''} to {_named(steps.codes)} stand{'' if many else 's'} out: "
        f"{'up to ' if many else ''}{steps.volts:.3f} V at {load_words(load_ohm)}, {steps.times:.0f} times the others "
        f"({steps.usual:.3f} V)" + (f"; {why}. It is drawn so and no fault by itself" if why else ""),
        colour,
        colour=colour,
    )


def voltages_differ(colour: str, in_map: int, here: int) -> Finding:
    """Real outputs part or join levels that ideal ones make."""
    return note(
        "levels-differ",
        f"its {in_map} levels are those of ideal outputs, as in the map; what these outputs give makes {here} voltages that "
        "differ",
        colour,
        colour=colour,
    )


def clips(colour: str, clipping: Clipping) -> Finding:
    """An amplifier's gain asks for more than its supply gives."""
    codes, last = clipping.codes, clipping.last
    if codes == tuple(range(codes[0], last + 1)):
        when = f"from code {codes[0]} on" if codes[0] < last else f"at code {last}"
    elif codes == tuple(range(codes[-1] + 1)):
        when = f"up to code {codes[-1]}"
    else:
        when = f"at {_named(codes)}"
    beyond = "over" if clipping.asked_volts > clipping.rail_volts else "under"
    return warning(
        "clips",
        f"{clipping.part} clips {when}: its gain asks for up to {clipping.asked_volts:.2f} V, {beyond} the "
        f"{clipping.rail_volts:g} V of its supply {clipping.rail}; the volts here are those of an ideal amplifier, a real one "
        "stops at its supply or before. Check its supply and the resistors that set its gain",
        clipping.part,
        colour=colour,
    )


def steps_cross(colour: str, tolerance: float, codes: Sequence[int]) -> Finding:
    """These codes can change places with the ones before."""
    return note(
        "steps-cross",
        f"with resistors off by up to {tolerance:.0%} {_named(codes)} can change places with the code before",
        colour,
        colour=colour,
    )


def beyond_drive(overdriven: Sequence[Overdrive], load_ohm: float | None) -> Finding:
    """Outputs must give or take more than their data sheets grant."""
    worst = max(overdriven, key=lambda o: o.times)
    into = "without a load" if load_ohm is None else f"into {load_words(load_ohm)}"
    if worst.behind:
        into = f"into its resistors ({' and '.join(worst.behind)} {'drives' if len(worst.behind) == 1 else 'drive'} the load)"
    verb = "gives" if worst.level else "takes"
    many = f" ({len(overdriven)} outputs are over theirs)" if len(overdriven) > 1 else ""
    return note(
        "beyond-drive",
        f"{worst.pin} {verb} {worst.milliamp:.1f} mA {into}, its data sheet grants {worst.granted:g} mA{many}: good chips "
        "differ here, so trust the ratios of the levels more than the volts",
        worst.pin,
    )


def _named(codes: Sequence[int]) -> str:
    shown = ", ".join(str(c) for c in codes[:_MOST_NAMED])
    return f"code{'s' if len(codes) > 1 else ''} {shown}" + (" ..." if len(codes) > _MOST_NAMED else "")
