"""Contents of memories on the command line: ``U4=FILE``, and reading those files at the board's own sizes."""

from __future__ import annotations

from tracer.base.errors import UsageError

TYPE_CHECKING = False
if TYPE_CHECKING:
    from tracer.palette.dumps import Dump
    from tracer.tracing.pipeline import Traced

__all__ = ["contents_told", "read_contents"]


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


def read_contents(traced: Traced, told: dict[str, str], option: str) -> dict[str, Dump]:
    """Memory -> its contents."""
    from dataclasses import replace

    from tracer.palette.dumps import read_dump
    from tracer.palette.entry_index import used_words
    from tracer.palette.word_bits import match_parts, memories_of

    shapes = memories_of(traced)
    parts = match_parts(told, shapes, option)
    return {
        part: read_dump(told[name], replace(shapes[part], used=used_words(traced.circuit, shapes[part])))
        for name, part in parts.items()
    }
