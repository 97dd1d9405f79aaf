"""What the values of options mean."""

from __future__ import annotations

from tracer.base.errors import UsageError
from tracer.base.units import parse_ohm

__all__ = ["contents_told", "parse_load"]


def parse_load(text: str) -> float | None:
    """Ohms of a ``--load``; None for none."""
    if text.lower() == "none":
        return None
    ohm = parse_ohm(text)
    if not ohm:
        raise UsageError(f"--load {text} is no resistance", fix="write --load 75, --load 1k or --load none")
    return ohm


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
