"""What `rgbroots check` prints: format ``rgbroots-check``, version 1, or text."""

from __future__ import annotations

import textwrap
from collections.abc import Sequence
from typing import NamedTuple

from tracer.base.finding_json import FINDINGS
from tracer.base.findings import Finding
from tracer.base.json_form import Count, Document, Flag, Group, Key, ListOf, OrNone, Record
from tracer.base.text import clean
from tracer.bitmap.json import INPUT
from tracer.bitmap.model import BitMap
from tracer.netlist.board import Input, Netlist

__all__ = ["CHECK", "check_as_json", "check_as_text", "map_check_as_json", "map_check_as_text"]


class _Checked(NamedTuple):
    """Counts of a netlist, or of the netlist that a saved map is of; a map knows nothing of pins."""

    n_parts: int
    n_nets: int
    n_pins: int | None
    n_one_pin_nets: int | None
    inputs: Sequence[Input]
    findings: Sequence[Finding]
    bit_map: BitMap | None = None


CHECK = Document(
    "check",
    "What a netlist or a saved map holds, and what is odd about it.",
    Record(
        "Check",
        Key(
            "board",
            Group(
                Key("parts", Count(), of="n_parts"),
                Key("nets", Count(), of="n_nets"),
                Key("pins", OrNone(Count()), of="n_pins"),
                Key("one_pin_nets", OrNone(Count()), of="n_one_pin_nets"),
                Key("inputs", ListOf(INPUT)),
            ),
        ),
        Key(
            "map",
            Record(
                "CheckedMap",
                Key("bits", Count(), of="n_bits"),
                Key("traced", Count(), of="n_traced"),
                Key("complete", Flag(), of="is_complete"),
            ),
            of="bit_map",
            optional=True,
        ),
        Key("findings", FINDINGS),
    ),
    indent=2,
)


def _n_pins(netlist: Netlist) -> int:
    return sum(len(net.pins) for net in netlist.nets)


def _n_one_pin_nets(netlist: Netlist) -> int:
    return sum(len(net.pins) == 1 for net in netlist.nets)


def check_as_json(netlist: Netlist, findings: Sequence[Finding]) -> str:
    """Counts and findings as JSON."""
    counts = len(netlist.parts), len(netlist.nets), _n_pins(netlist), _n_one_pin_nets(netlist)
    return CHECK.text(_Checked(*counts, netlist.inputs, findings))


def map_check_as_json(bit_map: BitMap) -> str:
    """Counts and findings of a saved map as JSON."""
    counts = bit_map.n_parts, bit_map.n_nets, None, None
    return CHECK.text(_Checked(*counts, bit_map.inputs, bit_map.findings, bit_map))


def check_as_text(netlist: Netlist, findings: Sequence[Finding]) -> str:
    """Counts and findings for a terminal."""
    files = ", ".join(f"{i.file} ({i.format})" for i in netlist.inputs)
    return _text(
        f"{netlist.name}: {len(netlist.parts)} parts, {len(netlist.nets)} nets, {_n_pins(netlist)} pin connections, "
        f"{_n_one_pin_nets(netlist)} nets of one pin; from {files}",
        findings,
    )


def map_check_as_text(file: str, bit_map: BitMap) -> str:
    """That a saved map is whole, and its findings, for a terminal."""
    return _text(
        f"{file} is a whole map: {bit_map.n_traced} of {bit_map.n_bits} bits traced", bit_map.findings
    )


def _text(head: str, findings: Sequence[Finding]) -> str:
    lines = textwrap.wrap(clean(head), 80)
    for finding in findings:
        mark = "! " if finding.severity == "warning" else "- "
        lines += textwrap.wrap(clean(finding.text), 80, initial_indent=mark, subsequent_indent="  ")
    if not findings:
        lines.append("nothing odd was found")
    return "\n".join(lines) + "\n"
