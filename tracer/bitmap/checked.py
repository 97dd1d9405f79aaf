"""What `rgbroots check` prints: format ``rgbroots-check``, version 1, or text."""

from __future__ import annotations

import textwrap
from collections.abc import Sequence
from typing import NamedTuple

from tracer.base.finding_json import FINDINGS
from tracer.base.findings import Finding
from tracer.base.json_form import Count, Document, Group, Key, ListOf, Record
from tracer.base.text import clean
from tracer.bitmap.json import INPUT
from tracer.netlist.board import Netlist

__all__ = ["CHECK", "check_as_json", "check_as_text"]


class _Checked(NamedTuple):
    netlist: Netlist
    findings: Sequence[Finding]


CHECK = Document(
    "check",
    "What a netlist holds, and what is odd about it.",
    Record(
        "Check",
        Key(
            "board",
            Group(
                Key("parts", Count(), of=lambda checked: len(checked.netlist.parts)),
                Key("nets", Count(), of=lambda checked: len(checked.netlist.nets)),
                Key("pins", Count(), of=lambda checked: _n_pins(checked.netlist)),
                Key("one_pin_nets", Count(), of=lambda checked: _n_one_pin_nets(checked.netlist)),
                Key("inputs", ListOf(INPUT), of=lambda checked: checked.netlist.inputs),
            ),
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
    return CHECK.text(_Checked(netlist, findings))


def check_as_text(netlist: Netlist, findings: Sequence[Finding]) -> str:
    """Counts and findings for a terminal."""
    files = ", ".join(f"{i.file} ({i.format})" for i in netlist.inputs)
    lines = textwrap.wrap(
        clean(
            f"{netlist.name}: {len(netlist.parts)} parts, {len(netlist.nets)} nets, {_n_pins(netlist)} pin connections, "
            f"{_n_one_pin_nets(netlist)} nets of one pin; from {files}"
        ),
        80,
    )
    for finding in findings:
        mark = "! " if finding.severity == "warning" else "- "
        lines += textwrap.wrap(clean(finding.text), 80, initial_indent=mark, subsequent_indent="  ")
    if not findings:
        lines.append("nothing odd was found")
    return "\n".join(lines) + "\n"
