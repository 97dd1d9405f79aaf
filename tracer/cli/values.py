"""What the values of options mean."""

from __future__ import annotations

from tracer.base.errors import UsageError
from tracer.netlist.notes import Load
from tracer.tracing.load import LoadTold

__all__ = ["contents_told", "load_told"]


def load_told(text: str | None) -> LoadTold:
    """What a ``--load`` says; where there is none, the notes decide (`tracer.tracing.load`)."""
    if text is None:
        return "noted"
    load = Load.of(text)
    if load is None:
        raise UsageError(f"--load {text} is no resistance", fix="write --load 75, --load 1k or --load none")
    return load.ohm


def contents_told(option: str, told: list[str]) -> dict[str, str]:
    """``U4=FILE`` -> part and file."""
    found: dict[str, str] = {}
    for text in told:
        part, equals, file = text.partition("=")
        if not (part and equals and file):
            raise UsageError(f"{option} {text} is not understood", fix=f"write {option} U4=dump.bin")
        if part in found:
            raise UsageError(f"{option} names {part} twice", fix="give one dump a memory")
        found[part] = file
    return found
