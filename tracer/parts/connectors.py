"""Connectors with a published pin-out: `data/connectors.toml`, read and matched."""

from __future__ import annotations

import re
import tomllib
from dataclasses import dataclass
from functools import cache
from importlib.resources import files

from tracer.netlist.board import Part

__all__ = ["ConnectorType", "connector_types"]


@dataclass(frozen=True)
class ConnectorType:
    """A standard connector.

    Attributes
    ----------
    name, what : str
    pins : dict of str to str
        Pin number -> signal.
    colours : dict of str to str
        Colour -> pin number.
    named : Pattern
        What its symbol, marking or footprint is called.
    least : int
        Pins that must stand in the drawing for it to be this connector.
    cite : str
        Where the pin-out is published.
    """

    name: str
    what: str
    pins: dict[str, str]
    colours: dict[str, str]
    named: re.Pattern[str]
    least: int
    cite: str

    def fits(self, part: Part, numbers: tuple[str, ...]) -> bool:
        """Whether a drawn connector is of this type: by its name and its pin numbers."""
        if not any(self.named.search(text) for text in (part.marking, part.symbol, part.footprint) if text):
            return False
        known = [n for n in numbers if n in self.pins]
        # A mounting hole or shield may be drawn as one or two pins more.
        return len(known) >= self.least and len(numbers) <= len(self.pins) + 4


@cache
def connector_types() -> tuple[ConnectorType, ...]:
    """All standard connectors, in the order of the file."""
    text = (files("tracer.parts") / "data" / "connectors.toml").read_text(encoding="utf-8")
    return tuple(
        ConnectorType(
            name=name,
            what=table["what"],
            pins=dict(zip(table["numbers"].split(), table["signals"].split(), strict=True)),
            colours=table["colours"],
            named=re.compile(table["named"], re.IGNORECASE),
            least=table["least"],
            cite=table["cite"],
        )
        for name, table in tomllib.loads(text).items()
    )
