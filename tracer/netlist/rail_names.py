"""Which nets say by their name that they are a supply or ground."""

from __future__ import annotations

import re
from dataclasses import dataclass

from tracer.base.names import last_part
from tracer.base.units import parse_volts
from tracer.netlist.board import Net

__all__ = ["LOGIC_SUPPLY_VOLTS", "Rail", "named_rail"]


@dataclass(frozen=True, slots=True)
class Rail:
    """A net that holds one level: its volts, 0 for ground, and how it is known."""

    volts: float
    known_by: str

    @property
    def is_ground(self) -> bool:
        """Whether it is ground."""
        return self.volts == 0.0


#: What a supply of unstated voltage holds on logic boards.
LOGIC_SUPPLY_VOLTS = 5.0


_GROUND_NAME = re.compile(
    r"(?:[ADPSV]?GND|GROUND|[AD]?VSS|0V|EARTH|MASSE|CHASSIS|SHIELD)(?:[_ \-./]?\w{0,12})?|\w{1,10}_GND|GNDREF",
    re.IGNORECASE,
)


#: Voltages that supplies of logic boards have. Powers of two are left out: 1V 2V 4V ... 128V are the usual names
#: of a picture's vertical counter (common practice, no source), unless they carry a sign.
_VOLTS = r"(?:[+-]\d+(?:[.,]\d+)?|1[.,][258]|2[.,][58]|3[.,]3|3|5|6|7[.,]5|9|10|12|15|18|24|48)"


_SUPPLY_NAME = re.compile(
    rf"[+-]\d+(?:[.,]\d+)?|{_VOLTS}V(?:\d{{0,2}})?(?:[_ \-.]\w+|[DAP])?|"
    r"[+-]?[ADP]?V(?:CC|DD|EE|BB|PP|BUS|BAT|RAW)(?:[_ \-.]?\w{0,12})?|"
    rf"(?:VCC|VDD|PWR)_?{_VOLTS}V?\d*|P_?{_VOLTS}V\d*|V(?:[+-]{_VOLTS}V?|_?{_VOLTS}V)\d*|\w{{1,8}}_(?:VCC|VDD|{_VOLTS}V\d?)",
    re.IGNORECASE,
)


def named_rail(net: Net) -> Rail | None:
    """The rail that a net's name says it is, or None; a name that a program made says nothing.

    >>> rails = [named_rail(Net(n, ())) for n in ("GND", "/video/+5V", "A:VCC", "AGND", "+3V3", "-5V", "8V")]
    >>> [rail and rail.volts for rail in rails]
    [0.0, 5.0, 5.0, 0.0, 3.3, -5.0, None]
    >>> names = ("V0", "5V", "12V", "VIDEO", "VCC_5V", "V+5", "16V", "3V3", "VSYNC", "5VID", "P18", "P3V3", "V_3")
    >>> [n for n in names if named_rail(Net(n, ()))]
    ['5V', '12V', 'VCC_5V', 'V+5', '3V3', 'P3V3']
    """
    if not net.is_named:
        return None
    name = last_part(net.name.rsplit(":", 1)[-1]).strip()
    if _GROUND_NAME.fullmatch(name):
        return Rail(0.0, "name")
    if _SUPPLY_NAME.fullmatch(name):
        volts = parse_volts(name)
        if volts is None and (digits := re.fullmatch(r"([+-]\d+(?:[.,]\d+)?)", name)):
            volts = float(digits[1].replace(",", "."))
        if volts == 0.0:
            return Rail(0.0, "name")
        return Rail(LOGIC_SUPPLY_VOLTS if volts is None else volts, "name")
    return None
