"""What outputs hold and what open inputs read, by logic family: `data/families.toml`, read and checked."""

from __future__ import annotations

import re
import tomllib
from dataclasses import dataclass, fields
from functools import cache
from importlib.resources import files

from tracer.base.errors import PartDataError
from tracer.parts.identify import Identified
from tracer.parts.kinds import Kind

__all__ = ["Family", "families", "family_of"]

#: Kinds whose LS types have outputs for 24 mA (74LS240 data sheet).
_STRONG_KINDS = frozenset({Kind.BUFFER, Kind.TRANSCEIVER})
#: Memories whose marking shows CMOS: 61xx, 62xx, and C behind the range as in 27C64.
_CMOS_MARK = re.compile(r"6[12]\d{2}|\d{2}C\d{2}|43256|5C?256", re.IGNORECASE)


@dataclass(frozen=True, slots=True)
class Family:
    """Levels of one family at 5 V; the head of the data file says what each number is."""

    name: str
    high: float
    low: float
    high_min: float
    low_max: float
    drive_ma: float
    sink_ma: float
    source_ohm: float
    source_ohm_max: float
    sink_ohm: float
    open_reads: str
    one_way: bool
    cite: str

    def __str__(self) -> str:
        return f"{self.name} {self.low:.2g} to {self.high:.2g} V"


@cache
def families() -> dict[str, Family]:
    """Name -> family; names that are taken as another lead to that one.

    Raises
    ------
    PartDataError
        A table lacks a number or contradicts itself.
    """
    file = "families.toml"
    text = (files("tracer.parts") / "data" / file).read_text(encoding="utf-8")
    found: dict[str, Family] = {}
    for name, table in tomllib.loads(text).items():
        also = table.pop("also", [])
        wanted = {f.name for f in fields(Family)} - {"name"}
        if set(table) != wanted:
            odd = ", ".join(sorted(set(table) ^ wanted))
            raise PartDataError(f"[{name}] lacks or does not know: {odd}", file=file)
        family = Family(name, **table)
        if not family.low <= family.low_max < family.high_min <= family.high:
            raise PartDataError(f"[{name}]: the levels are not in order", file=file)
        for each in (name, *also):
            found[each] = family
    return found


def family_of(part: Identified) -> Family | None:
    """The family whose levels a part's outputs have; None where nothing tells it."""
    known = families()
    if part.kind == Kind.PROM:
        return known["PROM"]
    if part.kind in (Kind.RAM, Kind.ROM, Kind.EPROM):
        return known["CMOS" if _CMOS_MARK.search(part.part.marking or part.type.name) else "NMOS"]
    if part.kind == Kind.LOGIC_ARRAY:
        return known["PAL"]
    if part.family == "LS" and part.kind in _STRONG_KINDS:
        return known["LS-buffer"]
    if part.family in known:
        return known[part.family]
    if part.family is None and re.fullmatch(r"4\d{3}|CD4\d{3}", part.type.name):
        return known["4000"]
    return None
