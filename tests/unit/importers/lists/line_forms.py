"""What the tests of the line formats ask of a netlist, in few words."""

from __future__ import annotations

from tracer.netlist.board import Netlist

__all__ = ["codes", "nets", "parts"]


def nets(netlist: Netlist) -> dict[str, str]:
    """Net -> its pins in a row."""
    return {net.name: " ".join(map(str, net.pins)) for net in netlist.nets}


def parts(netlist: Netlist) -> dict[str, tuple[str, str, str]]:
    """Reference -> marking, symbol, footprint."""
    return {part.reference: (part.marking, part.symbol, part.footprint) for part in netlist.parts}


def codes(netlist: Netlist) -> list[str]:
    """Codes of what the reader found."""
    return [finding.code for finding in netlist.findings]
