"""What modules of structural Verilog hold: ports, widths, aliases and instances."""

from __future__ import annotations

import re
from collections import Counter
from dataclasses import dataclass, field
from typing import NamedTuple

from tracer.importers.text import Positions

__all__ = [
    "GATES",
    "Bit",
    "Instance",
    "Item",
    "Module",
    "Source",
    "bits_of",
    "leg_numbers",
    "shown",
    "top_module",
    "width_of",
]

#: A wire by its name, one of a vector by name and index, ("", 0 or 1) for a constant, None for nothing.
Bit = str | tuple[str, int] | None

#: Gates that the language knows, with the number of pins at the end of their list that are no outputs; None: all but one.
GATES: dict[str, int | None] = {
    **dict.fromkeys(("and", "nand", "or", "nor", "xor", "xnor")),
    **dict.fromkeys(("buf", "not"), 1),
    **dict.fromkeys(("bufif0", "bufif1", "notif0", "notif1"), 2),
}

_LEG = re.compile(r"(?:pin|p)?_*0*([1-9]\d*)", re.IGNORECASE)


class Item(NamedTuple):
    """A piece of a concatenation: a name, perhaps with indices, or bits that are constant."""

    name: str
    first: int | None
    last: int | None
    bits: tuple[Bit, ...]
    at: int


@dataclass
class Instance:
    """A placed part or module; ports by name, or by order when the names are empty."""

    type: str
    name: str
    at: int
    by_order: bool
    ports: list[tuple[str, list[Item]]]


@dataclass
class Module:
    """One module; a vector's range is (first, last) as written."""

    name: str
    at: int
    ports: list[str] = field(default_factory=list)
    kinds: dict[str, str] = field(default_factory=dict)
    ranges: dict[str, tuple[int, int] | None] = field(default_factory=dict)
    aliases: list[tuple[list[Item], list[Item], int]] = field(default_factory=list)
    instances: list[Instance] = field(default_factory=list)
    #: Bits that its constants and copies stand for, with those of the modules before it.
    n_bits: int = 0

    @property
    def is_empty(self) -> bool:
        """Only its ports are told: a kind of part."""
        return not self.instances and not self.aliases

    def wires(self, name: str) -> list[Bit]:
        """All bits of a name, the first written first."""
        span = self.ranges.get(name)
        if span is None:
            return [name]
        step = 1 if span[1] >= span[0] else -1
        return [(name, index) for index in range(span[0], span[1] + step, step)]


@dataclass
class Source:
    """All modules of a text, and what was skipped."""

    modules: dict[str, Module] = field(default_factory=dict)
    skipped: Counter[str] = field(default_factory=Counter)


def shown(bit: Bit) -> str:
    """A wire as a person writes it."""
    return f"{bit[0]}[{bit[1]}]" if isinstance(bit, tuple) else bit or ""


def width_of(module: Module, items: list[Item]) -> int:
    """How many wires an expression stands for."""
    width = 0
    for item in items:
        if not item.name:
            width += len(item.bits)
        elif item.first is None or item.last is None:
            span = module.ranges.get(item.name)
            width += 1 if span is None else abs(span[0] - span[1]) + 1
        else:
            width += abs(item.first - item.last) + 1
    return width


def bits_of(module: Module, items: list[Item]) -> list[Bit]:
    """The wires that an expression stands for, the highest first."""
    bits: list[Bit] = []
    for item in items:
        if not item.name:
            bits += item.bits
        elif item.first is None or item.last is None:
            bits += module.wires(item.name)
        else:
            step = 1 if item.last >= item.first else -1
            bits += [(item.name, index) for index in range(item.first, item.last + step, step)]
    return bits


def leg_numbers(source: Source) -> dict[str, dict[str, str]]:
    """Kind of part -> port -> leg, for those whose ports tell it."""
    ports: dict[str, dict[str, None]] = {
        name: dict.fromkeys(module.ports) for name, module in source.modules.items() if module.is_empty
    }
    for module in source.modules.values():
        for instance in module.instances:
            kind = source.modules.get(instance.type)
            if kind is None or kind.is_empty:
                ports.setdefault(instance.type, {}).update((port, None) for port, _ in instance.ports if port)
    found: dict[str, dict[str, str]] = {}
    for name, listed in ports.items():
        legs = {port: match[1] for port in listed if (match := _LEG.fullmatch(port))}
        whole = len(legs) == len(listed) == len(set(legs.values()))
        found[name] = legs if whole else {port: port for port in listed if port.isdecimal()}
    return found


def top_module(source: Source, positions: Positions) -> Module:
    """The module that is the board: the only one with something in it that no other one places.

    Raises
    ------
    NetlistError
        There is none, or several.
    """
    used = {instance.type for module in source.modules.values() for instance in module.instances}
    full = [module for module in source.modules.values() if not module.is_empty]
    tops = [module for module in full if module.name not in used]
    if len(tops) == 1:
        return tops[0]
    if tops:
        names = ", ".join(module.name for module in tops[:8])
        raise positions.error(
            f"several modules could be the board: {names}",
            tops[1].at,
            "leave only the one that is in the file",
        )
    raise positions.error(
        "no module could be the board: "
        + ("each is placed in another" if full else "none has an instance in it"),
        full[0].at if full else 0,
        "check the file; a netlist is a module with instances in it",
    )
