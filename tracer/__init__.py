"""rgbroots: from the colours of a raster-video board back to the memory pins that store them.

>>> from tracer import parse_netlist, trace
>>> netlist = parse_netlist("part,marking,pin,net\\nJ1,VGA,1,R\\n", "small.csv")
>>> netlist.name, len(netlist.parts)
('small', 1)
"""

from __future__ import annotations

from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from tracer.importers import parse_netlist, read_netlist
    from tracer.tracing import trace

__all__ = ["parse_netlist", "read_netlist", "trace"]

_HOMES = {"parse_netlist": "tracer.importers", "read_netlist": "tracer.importers", "trace": "tracer.tracing"}


def __getattr__(name: str) -> object:
    """Load a public function when it is first asked for, so that the program starts quickly."""
    if name in _HOMES:
        from importlib import import_module

        return getattr(import_module(_HOMES[name]), name)
    raise AttributeError(f"module 'tracer' has no attribute {name!r}")
