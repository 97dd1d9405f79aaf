"""Reading the contents of a memory: raw binary, Intel HEX, Motorola S-records.

The form is told by what the file holds. Records are decoded by the library bincopy; a file of records is read
whole or refused with the line. A word of up to 8 bits takes one byte and stands in its low bits; a word of up to
16 bits takes two, the low byte first (common practice, no source). A dump packed in another way is refused: which
half comes first cannot be seen in it.

References
----------
Intel, "Hexadecimal Object File Format Specification", revision A, 1988; Motorola, "M68000 Family Programmer's
Reference Manual", appendix C "S-Record Output Format" (both from memory).
"""

from __future__ import annotations

import hashlib
import re
from collections.abc import Callable
from dataclasses import dataclass
from itertools import pairwise
from pathlib import Path
from string import hexdigits

import bincopy

from tracer.base.errors import DumpError
from tracer.base.findings import Finding, note, warning
from tracer.base.read_bytes import Unreadable, read_at_most
from tracer.parts.memory_shape import MemoryShape

__all__ = ["Dump", "parse_dump", "read_dump"]

#: No memory of such a board is larger.
LARGEST_FILE = 64 << 20
_IHEX = re.compile(rb"\s*:[0-9A-Fa-f]{10}")
_SREC = re.compile(rb"\s*S[0-9][0-9A-Fa-f]{4}")
_RECORD_SUFFIXES = frozenset(
    {".hex", ".ihex", ".ihx", ".ihe", ".mcs", ".srec", ".s19", ".s28", ".s37", ".mot", ".mhx", ".sx"}
)
_PRINTABLE = frozenset((*range(0x20, 0x7F), 9, 10, 13))


@dataclass(frozen=True, slots=True)
class Dump:
    """What a memory holds.

    Attributes
    ----------
    words : tuple of int
        By address; bit 0 = the data leg that comes first by name.
    file, form, sha256 : str
        Name, ``raw``, ``Intel HEX`` or ``S-records``, and the file's hash.
    findings : tuple of Finding
    """

    words: tuple[int, ...]
    file: str = ""
    form: str = "raw"
    sha256: str = ""
    findings: tuple[Finding, ...] = ()


def read_dump(path: str | Path, shape: MemoryShape) -> Dump:
    """Read the contents of one memory.

    Raises
    ------
    DumpError
        The file cannot be read, is broken, has gaps, or its size does not fit the part.
    """
    path = Path(path)
    try:
        if path.is_dir():
            raise DumpError("that is a folder", file=str(path), fix="give the dump itself")
        data = read_at_most(path, LARGEST_FILE, "give the dump of one chip")
    except FileNotFoundError:
        raise DumpError("there is no such file", file=str(path), fix="check its name and folder") from None
    except Unreadable as error:
        raise DumpError(error.what, file=str(path), fix=error.fix) from None
    except OSError as error:
        raise DumpError(
            f"cannot read it: {error.strerror or error}", file=str(path), fix="check its name and permissions"
        ) from None
    return parse_dump(data, shape, str(path))


def parse_dump(data: bytes, shape: MemoryShape, file: str = "dump") -> Dump:
    """The words in the bytes of a file; see `read_dump`."""
    form = _form_of(data)
    findings: list[Finding] = []
    image = data
    if form == "raw":
        if Path(file).suffix.lower() in _RECORD_SUFFIXES:
            raise DumpError(
                "its name says Intel HEX or S-records, but its first line is no such record",
                file=file,
                fix="save it again as Intel HEX or S-records; if it is raw, end its name in .bin",
            )
        _check_size(data, shape, file)
        if len(data) >= 32 and all(b in _PRINTABLE for b in data):
            findings.append(
                warning(
                    "dump-text",
                    f"every byte of {file} is a printable character: is it text and no dump?",
                    shape.part,
                )
            )
    else:
        image, found = _Records(data, shape, file, form).image()
        findings += found
    words, found = _words(image, shape, file)
    return Dump(words, file, form, hashlib.sha256(data).hexdigest(), (*findings, *found))


def _form_of(data: bytes) -> str:
    if _IHEX.match(data):
        return "Intel HEX"
    return "S-records" if _SREC.match(data) else "raw"


# -- records ----------------------------------------------------------------------------------------


class _Records:
    """A file of records on its way to an image without gaps."""

    def __init__(self, data: bytes, shape: MemoryShape, file: str, form: str) -> None:
        self.lines = data.decode("latin-1").replace("\x1a", "").splitlines()
        self.shape, self.file, self.form = shape, file, form
        self.findings: list[Finding] = []

    def image(self) -> tuple[bytes, list[Finding]]:
        is_hex = self.form == "Intel HEX"
        unpack: Callable[[str], tuple[str | int, int, int, bytes]]
        unpack = bincopy.unpack_ihex if is_hex else bincopy.unpack_srec
        damage, ends = (_ihex_damage, (1,)) if is_hex else (_srec_damage, ("7", "8", "9"))
        ended_at, n_data, is_counted = 0, 0, False
        for number, line in enumerate(self.lines, 1):
            if not line.strip():
                continue
            if ended_at:
                raise self._error(
                    number, f"records go on after the end record in line {ended_at}", "give one dump a file"
                )
            what = damage(line.strip())
            if what:
                raise self._error(number, what, "dump or save it again: the file is damaged")
            kind, address, _, _ = unpack(line.strip())
            if kind in ends:
                ended_at = number
            elif kind in ("5", "6"):
                is_counted = True
                if address != n_data:
                    raise self._error(
                        number,
                        f"the count of data records says {address}, but {n_data} stand before it",
                        "dump or save it again: records are missing",
                    )
            n_data += kind in ("1", "2", "3", 0)
        if not ended_at and not is_counted:
            self.findings.append(
                warning("no-end-mark", f"{self.file} has no end record; it may be cut short", self.shape.part)
            )
        image = bincopy.BinFile()
        text = "\n".join(self.lines)
        try:
            (image.add_ihex if is_hex else image.add_srec)(text)
        except bincopy.AddDataError:
            raise DumpError(
                "two records hold the same address", file=self.file, fix="dump or save it again"
            ) from None
        return self._without_gaps(
            [(s.address, bytes(s.data)) for s in image.segments if len(s.data)]
        ), self.findings

    def _without_gaps(self, segments: list[tuple[int, bytes]]) -> bytes:
        if not segments:
            raise DumpError("it has no data records", file=self.file, fix="dump or save it again")
        gaps = [(a + len(data), b) for (a, data), (b, _) in pairwise(segments) if a + len(data) < b]
        need, n = self.shape.n_bytes, sum(len(data) for _, data in segments)
        first = segments[0][0]
        end = segments[-1][0] + len(segments[-1][1])
        if not gaps and first and n < need == end:
            gaps = [(0, first)]
        if gaps:
            more = f" (the first of {len(gaps)} gaps)" if len(gaps) > 1 else ""
            raise DumpError(
                f"no bytes for addresses {_span(*gaps[0])}{more}; it holds {n:,} bytes, {self.shape} takes {need:,}",
                file=self.file,
                fix="save the whole range, with the bytes of a blank chip (often FF) where nothing was stored",
            )
        image = b"".join(data for _, data in segments)
        _check_size(image, self.shape, self.file, f" ({_span(first, end)})")
        if first:
            self.findings.append(
                note(
                    "dump-base",
                    f"{self.file} starts at address {first:04X}; this was taken as address 0 of {self.shape.part}",
                    self.shape.part,
                )
            )
        return image

    def _error(self, number: int, what: str, fix: str) -> DumpError:
        return DumpError(what, file=self.file, line=number, fix=fix)


def _span(start: int, end: int) -> str:
    return f"{start:04X}-{end - 1:04X}" if end - start > 1 else f"{start:04X}"


_NO_RECORD = "the line is no record of this form"
_WRONG_LENGTH = "the record is longer or shorter than it says"
_WRONG_TYPE = "the record is of a type that this form does not have"
_NO_FIGURE = "the record has a character that is no hexadecimal digit"
_FIGURES = frozenset(hexdigits)
#: Bytes of data in records of a type that has no other; of the others any number.
_IHEX_SIZES = {2: 2, 3: 4, 4: 2, 5: 4}
#: Bytes of address by type of S-record.
_SREC_ADDRESSES = {"0": 2, "1": 2, "2": 3, "3": 4, "5": 2, "6": 3, "7": 4, "8": 3, "9": 2}


def _ihex_damage(record: str) -> str | None:
    """What is wrong with a line of Intel HEX: ``:`` size, address (2 bytes), type, data, checksum."""
    if record[0] != ":":
        return _NO_RECORD
    if not _FIGURES.issuperset(record[1:]):
        return _NO_FIGURE
    value = _whole_bytes(record[1:])
    if len(value) < 5 or value[0] != len(value) - 5:
        return _WRONG_LENGTH
    if wrong := _checksum(value[-1], bincopy.crc_ihex(value[:-1].hex())):
        return wrong
    if value[3] > 5:
        return _WRONG_TYPE
    return _WRONG_LENGTH if _IHEX_SIZES.get(value[3], value[0]) != value[0] else None


def _srec_damage(record: str) -> str | None:
    """What is wrong with a line of S-records: ``S``, type, size, address (2 to 4 bytes), data, checksum."""
    if record[0] != "S":
        return _NO_RECORD
    if not _FIGURES.issuperset(record[2:]):
        return _NO_FIGURE
    value = _whole_bytes(record[2:])
    if len(value) < 2 or value[0] != len(value) - 1:
        return _WRONG_LENGTH
    if record[1] not in _SREC_ADDRESSES:
        return _WRONG_TYPE
    if wrong := _checksum(value[-1], bincopy.crc_srec(value[:-1].hex())):
        return wrong
    return _WRONG_LENGTH if len(value) < _SREC_ADDRESSES[record[1]] + 2 else None


def _whole_bytes(figures: str) -> bytes:
    """Nothing where a figure is missing."""
    return b"" if len(figures) % 2 else bytes.fromhex(figures)


def _checksum(read: int, computed: int) -> str | None:
    return None if read == computed else f"the checksum is {read:02X}, the bytes give {computed:02X}"


# -- sizes and words --------------------------------------------------------------------------------


def _check_size(data: bytes, shape: MemoryShape, file: str, where: str = "") -> None:
    need = shape.n_bytes
    if len(data) == need:
        return
    raise DumpError(
        f"it holds {len(data):,} bytes{where}, {shape} takes {need:,}", file=file, fix=_size_hint(data, shape)
    )


def _size_hint(data: bytes, shape: MemoryShape) -> str:
    n, need, width = len(data), shape.n_bytes, shape.width
    if not n:
        return "the file is empty; dump it again"
    if width < 8 and n * 8 == shape.depth * width:
        return (
            f"it seems to hold {8 // width} words a byte, in an order that cannot be seen; save it with one word a byte, "
            "in the low bits"
        )
    if width > 8 and n == shape.depth:
        return "it seems to hold one half of each word; give a dump of whole words, low byte first"
    if n % need == 0 and data == data[:need] * (n // need):
        return f"it is the same {need:,} bytes {n // need} times, as a reader set to a larger chip makes it; keep the first"
    if n > need and n % need == 0:
        return (
            f"cut out the {need:,} bytes of {shape.part}, or tell a larger type with --part {shape.part}=TYPE"
        )
    if shape.used and n == shape.used[1] * need // shape.depth:
        at, count = shape.used
        return (
            f"the board reads words {at:X}-{at + count - 1:X} alone: if these are they, fill the file up to {need:,} bytes "
            "with 0 around them"
        )
    if all(b in _PRINTABLE for b in data):
        return "it looks like text; save the dump raw, as Intel HEX or as S-records"
    return f"check that it is the whole dump of {shape.part}; if that is another type, tell it with --part {shape.part}=TYPE"


def _words(image: bytes, shape: MemoryShape, file: str) -> tuple[tuple[int, ...], list[Finding]]:
    """Words of the part's width, and what is odd about the bits beside them."""
    width, part = shape.width, shape.part
    findings = []
    if width > 8:
        words = [image[2 * i] | image[2 * i + 1] << 8 for i in range(shape.depth)]
        findings.append(
            note(
                "dump-bytes",
                f"{file}: the first of the two bytes of a word was taken as the low one (D0 to D7)",
                part,
            )
        )
    else:
        words = list(image)
    mask = (1 << width) - 1
    unused = [w >> width for w in words]
    low = tuple(w & mask for w in words)
    if len(set(unused)) > 1:
        if len(set(low)) == 1:
            raise DumpError(
                f"its words seem to stand in the upper bits: the low {width} bits are the same in all bytes",
                file=file,
                fix=f"save it with the {width} bits of {part} in the low bits of each byte",
            )
        if width != 4 or any(u != w for u, w in zip(unused, low, strict=True)):
            other = next(i for i, u in enumerate(unused) if u != unused[0])
            findings.append(
                warning(
                    "dump-unused-bits",
                    f"{file}: {part} has {width} bits, but the bits above them change (address {other:X}); they were left "
                    "out. Is it the dump of this part?",
                    part,
                )
            )
    return low, findings
