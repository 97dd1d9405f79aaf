"""A project: a root sheet, its sheets below, and what is meant to be joined, flat over the whole board."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field, replace
from functools import cached_property

from tests.drawing.cell import Cell
from tests.drawing.items import Part, SheetBlock
from tests.drawing.names import RAILS

__all__ = ["Instance", "Project", "TrueBit"]


@dataclass(frozen=True, slots=True)
class TrueBit:
    """One bit as designed.

    Attributes
    ----------
    resistors : tuple of str
        References of what weighs the bit, from the driver.
    ohm : tuple of float
        Their values.
    driver : str
        Leg that drives them: ``U9.12``.
    path : tuple of (str, tuple of str)
        Parts that the bit comes through, from the driver back: leg it leaves by, legs it enters by;
        more than one where a multiplexer chooses.
    sources : tuple of str
        Where each of the last legs comes from: memory legs, or a connector's.
    """

    resistors: tuple[str, ...]
    ohm: tuple[float, ...]
    driver: str
    path: tuple[tuple[str, tuple[str, ...]], ...]
    sources: tuple[str, ...]


@dataclass(frozen=True)
class Instance:
    """One use of a sheet.

    Attributes
    ----------
    names : tuple of str
        Names of the blocks from the root down to here; empty for the root.
    blocks : tuple of SheetBlock
        Those blocks.
    index : int
        Position in the order of the pages, 0 for the root.
    outer : dict
        Net of a port -> the same net's flat name.
    """

    names: tuple[str, ...]
    blocks: tuple[SheetBlock, ...]
    cell: Cell
    index: int
    outer: Mapping[str, str]

    def reference(self, part: Part) -> str:
        """A part's reference in this use of the sheet."""
        if part.symbol.power:
            letter = part.symbol.letter
            return f"{letter}{1000 * self.index + int(part.reference.removeprefix(letter)):04d}"
        return self.blocks[-1].rename(part.reference) if self.blocks else part.reference

    def flat_net(self, net: str) -> str:
        """A net's name over the whole board."""
        if net in RAILS or net in self.cell.global_nets:
            return net
        return self.outer.get(net, "/".join(("", *self.names, net)))


@dataclass(frozen=True)
class Project:
    """A board.

    Attributes
    ----------
    name : str
        Of the root file.
    version : int
        Of the schematic form that it is written in.
    joined_rails : dict
        Supplies that a wire joins: name -> the other.
    colour_pins : dict
        Colour -> connector leg: ``J1.12``.
    truth : dict
        Colour -> its bits, heaviest first.
    folder : str
        Where its files go; empty = its name.
    """

    name: str
    version: int
    root: Cell
    colour_pins: Mapping[str, str]
    truth: Mapping[str, tuple[TrueBit, ...]]
    joined_rails: Mapping[str, str] = field(default_factory=dict)
    revision: str = "A"
    folder: str = ""

    @cached_property
    def instances(self) -> tuple[Instance, ...]:
        """All uses of all sheets, in page order."""
        root = Instance((), (), self.root, 0, {})
        found = [root]
        self._below(root, found)
        return tuple(found)

    def _below(self, parent: Instance, found: list[Instance]) -> None:
        for block in parent.cell.sheets:
            outer: dict[str, str] = {}
            for pin in block.pins:
                below, above = block.cell.members(pin.name), parent.cell.members(pin.net)
                for inner_net, outer_net in zip(below, above, strict=True):
                    outer[inner_net] = parent.flat_net(outer_net)
            child = Instance(
                (*parent.names, block.name), (*parent.blocks, block), block.cell, len(found), outer
            )
            found.append(child)
            self._below(child, found)

    def cells(self) -> Iterator[Cell]:
        """Each sheet file once."""
        seen: set[str] = set()
        for instance in self.instances:
            if instance.cell.file not in seen:
                seen.add(instance.cell.file)
                yield instance.cell

    def uses_of(self, cell: Cell) -> list[Instance]:
        """The uses of one sheet file."""
        return [instance for instance in self.instances if instance.cell is cell]

    @cached_property
    def parts(self) -> dict[str, Part]:
        """Reference -> part, over the whole board, without supply symbols."""
        found: dict[str, Part] = {}
        for instance in self.instances:
            for part in instance.cell.parts.values():
                reference = instance.reference(part)
                if reference in found:
                    raise ValueError(f"{self.name}: {reference} occurs twice")
                found[reference] = replace(part, reference=reference)
        return found

    @cached_property
    def groups(self) -> dict[str, frozenset[str]]:
        """What is meant to be joined: a net's flat name -> its pins; a pin left open stands alone."""
        found: dict[str, set[str]] = {}
        for instance in self.instances:
            for (reference, number), net in instance.cell.nets.items():
                pin = f"{instance.reference(instance.cell.parts[reference])}.{number}"
                flat = instance.flat_net(net) if net else f"open {pin}"
                found.setdefault(self.joined_rails.get(flat, flat), set()).add(pin)
        return {name: frozenset(pins) for name, pins in found.items()}
