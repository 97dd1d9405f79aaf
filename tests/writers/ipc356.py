"""IPC-D-356 with names as KiCad, Allegro and Eagle give them."""

from __future__ import annotations

from typing import Literal

from tracer.netlist.board import Netlist
from tracer.netlist.net_names import says_alone

__all__ = ["write"]

#: UNITS CUST 0: a ten-thousandth of an inch.
MM_PER_STEP = 0.00254

Alias = Literal["eagle", "allegro", "comment"]


def write(netlist: Netlist, *, alias: Alias = "allegro", continued: bool = False) -> str:
    """The text: a through hole a pin, names of more than 14 letters by alias, long references pushed to the right.

    Parameters
    ----------
    netlist : Netlist
    alias : str
        ``P  NNAME1`` (Eagle), ``P  NNAMEm0001`` (Allegro, 356A) or the same as a comment (Allegro, 356).
    continued : bool
        Every second pin of a net in a record 017 without the net's name.
    """
    lines = ["C  written by a test", "P  JOB   " + netlist.name, "P  CODE 00", "P  UNITS CUST 0", " " * 78]
    fields: dict[str, str] = {}
    for number, net in enumerate(netlist.nets, 1):
        fields[net.name] = "N/C" if says_alone(net.name) else net.name
        if len(fields[net.name]) > 14:
            fields[net.name] = f"NNAME{number}" if alias == "eagle" else f"NNAMEm{number:04d}"
            lines.append(f"{'C' if alias == 'comment' else 'P'}  {fields[net.name]} {net.name}")
    places = {
        (part.reference, pad.pin): (round(pad.x / MM_PER_STEP), round(-pad.y / MM_PER_STEP))
        for part in netlist.parts
        for pad in (part.spot.pads if part.spot is not None else ())
    }
    for net in netlist.nets:
        for at, pin in enumerate(net.pins):
            is_more = continued and at % 2 == 1
            head = f"{'017' if is_more else '317'}{'' if is_more else fields[net.name]:<14}   "
            x, y = places.get((pin.part, pin.pin), (100 * at, -50 * at))
            place = f"X{x:+07d}Y{y:+07d}X0600Y0600R000S0"
            lines.append(f"{head}{pin.part:<6}-{pin.pin:<4} D0354PA00{place}")
        # A via of the net, which is no part; each pad twice, as boards have them.
        lines.append(f"317{fields[net.name]:<14}   VIA        MD0118PA00X+000000Y+000000X0197Y0000R000S3")
        lines.append(
            f"327{fields[net.name]:<14}   {net.pins[0].part:<6}-{net.pins[0].pin:<4}  A01X+000000Y+000000X0197Y0000R000S1"
        )
    return "\n".join([*lines, "378ignored", "999", ""])
