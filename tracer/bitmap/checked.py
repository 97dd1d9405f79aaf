"""What `rgbroots check` prints: format ``rgbroots-check``, version 1, or text."""

from __future__ import annotations

import json
import textwrap
from collections.abc import Sequence

from tracer.base.findings import Finding
from tracer.base.text import clean
from tracer.netlist.board import Netlist

__all__ = ["check_as_json", "check_as_text"]


def _counts(netlist: Netlist) -> dict[str, int]:
    return {
        "parts": len(netlist.parts),
        "nets": len(netlist.nets),
        "pins": sum(len(net.pins) for net in netlist.nets),
        "one_pin_nets": sum(len(net.pins) == 1 for net in netlist.nets),
    }


def check_as_json(netlist: Netlist, findings: Sequence[Finding]) -> str:
    """Counts and findings as JSON."""
    value = {
        "format": "rgbroots-check",
        "version": 1,
        "board": {
            **_counts(netlist),
            "inputs": [{"file": i.file, "format": i.format, "sha256": i.sha256} for i in netlist.inputs],
        },
        "findings": [{"severity": f.severity, "where": list(f.where), "text": f.text} for f in findings],
    }
    return json.dumps(value, indent=2, ensure_ascii=False) + "\n"


def check_as_text(netlist: Netlist, findings: Sequence[Finding]) -> str:
    """Counts and findings for a terminal."""
    counts = _counts(netlist)
    files = ", ".join(f"{i.file} ({i.format})" for i in netlist.inputs)
    lines = textwrap.wrap(
        clean(
            f"{netlist.name}: {counts['parts']} parts, {counts['nets']} nets, {counts['pins']} pin connections, "
            f"{counts['one_pin_nets']} nets of one pin; from {files}"
        ),
        80,
    )
    for finding in findings:
        mark = "! " if finding.severity == "warning" else "- "
        lines += textwrap.wrap(clean(finding.text), 80, initial_indent=mark, subsequent_indent="  ")
    if not findings:
        lines.append("nothing odd was found")
    return "\n".join(lines) + "\n"
