"""What the values of options mean."""

from __future__ import annotations

from tracer.base.errors import UsageError
from tracer.netlist.notes import Load
from tracer.tracing.load import LoadTold

__all__ = ["load_told"]


def load_told(text: str | None) -> LoadTold:
    """What a ``--load`` says; where there is none, the notes decide (`tracer.tracing.load`)."""
    if text is None:
        return "noted"
    load = Load.of(text)
    if load is None:
        raise UsageError(f"--load {text} is no resistance", fix="write --load 75, --load 1k or --load none")
    return load.ohm
