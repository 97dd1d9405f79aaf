"""What comes before and after a cure, in words: what silences a good chip, how a fault is repaired, what is normal then."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from tracer.circuit.donors import Donor
from tracer.parts.equivalents import Fits, LogicFits
from tracer.parts.families import families
from tracer.suspects.fault import Leg, What
from tracer.suspects.text import leg_text

__all__ = [
    "CURED",
    "CURED_PUT_ASIDE",
    "FITTED_RAM",
    "FOR_THE_RECORD",
    "POWER_OFF_FIRST",
    "REPAIRS",
    "cured_text",
    "donor_text",
    "fits_text",
    "silencing_text",
    "swapped_text",
]

#: What a 74HC input wants for a high at 4.5 V (TI CD74HC73 data sheet).
HC_HIGH_VOLTS = 3.15
_IRON = "Power off and unplugged; an iron burns and its fumes harm: fresh air, and the rules of your place."
#: How what is all but certain is repaired: common practice, no source.
REPAIRS: Mapping[What, str] = {
    "chip": "Prove it by another chip in its place, then tell the cure.",
    "joint": f"Seat the chip anew or solder the joint at both ends; a wire where the track is broken. {_IRON}",
    "track": f"Find the short between these ends and open it: solder, a whisker, a chip's own leg. {_IRON}",
    "resistor": f"Fit another of its value. {_IRON}",
    "transistor": f"Fit another of its type, the right way round. {_IRON}",
    "diode": f"Fit another of its type, the right way round. {_IRON}",
    "beyond": "Look at the edge contact, the plug and the harness. Leave the monitor to who is trained for it: its tube holds a "
    "high voltage long after it is off.",
}


def silencing_text(part: str, controls: Sequence[Leg], supply: Sequence[Leg]) -> str:
    """Legs that can silence a good chip from outside."""
    supplies = ", ".join(f"{each.part}.{each.pin}" for each in supply) or "not drawn"
    level = f" or with a wrong level at {', '.join(map(leg_text, controls))}; read these first."
    return (
        f"Before you pull {part}: a good chip is silent too without its supply ({supplies})"
        f"{level if controls else '; read it first.'}"
    )


def swapped_text(part: str) -> str:
    """What is left of a chip that was swapped without a cure."""
    return (
        f"{part} was swapped without a change: its socket, the joints and tracks at its legs and what stands on the same "
        "nets come before a second swap."
    )


#: What is said after the cure, of one colour and of several.
CURED: Mapping[bool, str] = {
    False: "Cured when {} shows all its steps, from warm-up on, and the leg that was wrong pulses.",
    True: "Cured when {} show all their steps, from warm-up on, and the leg that was wrong pulses.",
}
FITTED_RAM = (
    "A palette RAM just fitted shows wrong colours until the game writes it again: that is normal, switch on anew and wait "
    "for the title."
)
CURED_PUT_ASIDE = "A chip taken out that tests good can still have been the fault; put it aside, marked."
POWER_OFF_FIRST = "Power off before fitting; a chip taken out that tests good can still have been the fault."
FOR_THE_RECORD = "For the record, in the board's notes: swapped {}, cured"


def cured_text(colours: Sequence[str]) -> str:
    """When it is cured; of all colours where none is named."""
    return CURED[len(colours) > 1].format(" and ".join(colours) or "every colour")


def donor_text(donor: Donor) -> str:
    """``U21 at 7D``; ``U21 74ALS374 at 7D, in a socket``: its type where it is another one."""
    what = "" if donor.is_same else f" {donor.what}"
    place = f" at {donor.place}" if donor.place else ""
    socket = "" if donor.in_socket is None else ", in a socket" if donor.in_socket else ", soldered"
    moves = ", of the path too: the fault moves with the chip" if donor.is_on_path else ""
    return f"{donor.part}{what}{place}{socket}{moves}"


def fits_text(fits: Fits) -> str:
    """What fits in the place of a chip."""
    if isinstance(fits, LogicFits):
        others = ", ".join(f"74{family}{fits.number}" for family in fits.families)
        promised = families()["LS"].high_min
        return (
            f"In place of {fits.marking} fit {others}, where they were made; 74HC{fits.number} wants {HC_HIGH_VOLTS} V "
            f"for a high and a bipolar output promises {promised} V: it may work and may not."
        )
    others = ", ".join(f"{name} ({outputs} outputs)" if outputs else name for name, outputs in fits.others)
    programmed = ", and that it must be programmed" if fits.is_programmed else ""
    return f"The legs of {fits.type} are those of {others} too; mind the access time, which no leg table tells{programmed}."
