"""Contents of a board's memories, from files or bytes, each read at the size that its memory has."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import replace
from pathlib import Path

from tracer.base.errors import UsageError
from tracer.palette.dumps import Dump, parse_dump, read_dump
from tracer.palette.entry_index import used_words
from tracer.palette.word_bits import match_parts, memories_of
from tracer.tracing.pipeline import Traced

__all__ = ["Contents", "contents_of", "contents_told"]

#: A file's name, what stands in it, or what was read from it already.
Contents = str | Path | bytes | Dump


def contents_of(traced: Traced, given: Mapping[str, Contents], option: str = "contents") -> dict[str, Dump]:
    """Memory -> its contents; `given` may name memories as people do, and `option` is named in errors.

    Raises
    ------
    DumpError
        A file cannot be read, is broken, has gaps, or its size does not fit the part.
    UsageError
        No memory of a colour is called so, or two are.
    """
    shapes = memories_of(traced)
    found = {}
    for name, part in match_parts(given, shapes, option).items():
        dump = given[name]
        if not isinstance(dump, Dump):
            shape = replace(shapes[part], used=used_words(traced.circuit, shapes[part]))
            dump = parse_dump(dump, shape) if isinstance(dump, bytes) else read_dump(dump, shape)
        found[part] = dump
    return found


def contents_told(option: str, told: Sequence[str]) -> dict[str, str]:
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
