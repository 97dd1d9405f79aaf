"""Telesis, with names in quotes as KiCad writes them, and lines carried on as Lepton does."""

from __future__ import annotations

import re

from tracer.netlist.board import Netlist

__all__ = ["write"]

_PLAIN = re.compile(r"[A-Za-z0-9_/]+")


def write(netlist: Netlist) -> str:
    """The text; every fact keeps its case."""
    lines = ["(a comment)", "$PACKAGES"]
    for part in netlist.parts:
        fields = [_quoted(part.footprint), _quoted(part.symbol or part.marking), _quoted(part.marking)]
        lines.append(f"{'! '.join(fields)}; {_quoted(part.reference)}")
    lines += ["$A_PROPERTIES", "ROOM /;,", "\tU1", "$NETS"]
    for net in netlist.nets:
        pins = [f"{_quoted(pin.part)}.{_quoted(pin.pin)}" for pin in net.pins]
        lines.append(f"{_quoted(net.name)}; " + ",\n ".join(pins))
    return "\n".join([*lines, "$END", ""])


def _quoted(text: str) -> str:
    return text if not text or _PLAIN.fullmatch(text) else f"'{text}'"
