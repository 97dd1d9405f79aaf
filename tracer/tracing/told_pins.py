"""Where a person says that a colour leaves the board: ``red=J1.12``, ``red=net:RED_OUT``."""

from __future__ import annotations

import re
from collections.abc import Callable, Mapping

from tracer.base.errors import PinNotFoundError, UsageError
from tracer.circuit.graph import Circuit
from tracer.netlist.board import Netlist, PinRef
from tracer.netlist.colour_names import COLOURS, meant_colour
from tracer.netlist.notes import Told, ToldNet

__all__ = ["parse_told", "told_net", "told_places"]


def parse_told(specs: list[str]) -> dict[str, str]:
    """``red=J1.12`` -> colour and pin, checked for form.

    Raises
    ------
    UsageError
        Not of the form COLOUR=REF.PIN or COLOUR=net:NAME, a slip of a colour's name, or a colour told twice.
    """
    told: dict[str, str] = {}
    for spec in specs:
        colour, equals, where = spec.partition("=")
        colour = colour.strip().lower()
        if not equals or not re.fullmatch(r"[a-z][a-z0-9_]*", colour) or not where.strip():
            raise UsageError(
                f"--pin {spec} is not understood", fix="write --pin red=J1.12 or --pin red=net:RED_OUT"
            )
        _refuse_slip(colour, where.strip())
        if colour in told:
            raise UsageError(f"{colour} is told twice", fix="give each colour one --pin")
        told[colour] = where.strip()
    return dict(
        sorted(told.items(), key=lambda item: COLOURS.index(item[0]) if item[0] in COLOURS else len(COLOURS))
    )


def _refuse_slip(colour: str, where: str) -> None:
    if meant := meant_colour(colour):
        raise UsageError(
            f"--pin {colour}={where}: {colour} is nearly {meant}",
            fix=f"write --pin {meant}={where}, or give the colour a name unlike red, green and blue",
        )


def told_places(netlist: Netlist, told: Mapping[str, str]) -> dict[str, Told]:
    """Colour -> ``REF.PIN``, ``net:NAME`` or the name of a net, as the user wrote it; -> what that is.

    Raises
    ------
    UsageError
        Neither a leg nor a net, or a colour's name that is a slip of red, green or blue.
    """
    for colour, spec in told.items():
        _refuse_slip(colour, spec)
    return {colour: _told_place(netlist, colour, spec) for colour, spec in told.items()}


def _told_place(netlist: Netlist, colour: str, spec: str) -> Told:
    if spec.lower().startswith("net:"):
        return ToldNet(spec[4:])
    if "." in spec:
        return PinRef.of(spec)
    if netlist.by_net_name.get(spec):
        return ToldNet(spec)
    raise UsageError(
        f"--pin {colour}={spec} names no pin",
        fix=f"write {colour}=REF.PIN, or {colour}=net:NAME for a net",
    )


def told_net(circuit: Circuit, told: Told, n_drivers: Callable[[str], int]) -> tuple[PinRef | None, str]:
    """The pin and the net that a person means; no pin where a net was told.

    Raises
    ------
    PinNotFoundError
        The pin or net is not on the board, or the pin stands on no net.
    """
    if isinstance(told, ToldNet):
        return None, circuit.netlist.find_net(told.name)
    pin = circuit.netlist.find_pin(*told)
    nets = circuit.nets_of(*pin)
    if not nets:
        raise PinNotFoundError(
            f"{pin} stands on no net", fix="the netlist does not say what it is joined to; tell another pin"
        )
    # Two parts of one name put one pin on two nets; the one with an output stage is meant.
    return pin, max(nets, key=n_drivers)
