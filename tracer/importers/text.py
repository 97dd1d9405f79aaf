"""Bytes of a file -> text: encodings and line ends.

UTF-8 with or without a byte order mark, UTF-16 with one, what an XML file says of itself, else cp1252 (the
commonest code page of old CAD programs; common practice, no source) unless
the user names another. No byte is dropped.
"""

from __future__ import annotations

import codecs
import re
from bisect import bisect_right
from pathlib import Path

from tracer.base.errors import NetlistError, caret_excerpt
from tracer.base.findings import Finding, note
from tracer.base.names import similar_names
from tracer.base.read_bytes import Unreadable, read_at_most
from tracer.importers.refused import folder_hint, refuse_binary

__all__ = ["Positions", "decode", "read_bytes"]

#: Above this a file is no netlist of a board (a million pins are about 120 MB).
LARGEST_FILE = 256 << 20


def read_bytes(path: Path) -> bytes:
    """Read a file.

    Raises
    ------
    NetlistError
        It does not exist, is a folder or a device, is empty, is too large or may not be read.
    """
    name = str(path)
    try:
        if path.is_dir():
            what, fix = folder_hint(path)
            raise NetlistError(what, file=name, fix=fix)
        data = read_at_most(path, LARGEST_FILE, "give the netlist alone")
    except FileNotFoundError:
        folder = path.parent
        names = sorted(p.name for p in folder.glob("*") if p.is_file()) if folder.is_dir() else []
        near = similar_names(path.name, names[:2000]) or names[:6]
        fix = f"the folder holds: {', '.join(near)}" + (" ..." if len(near) < len(names) else "")
        if not names:
            fix = "the folder is empty" if folder.is_dir() else f"there is no folder {folder}; check its name"
        raise NetlistError("there is no such file", file=name, fix=fix) from None
    except Unreadable as error:
        raise NetlistError(error.what, file=name, fix=error.fix) from None
    except OSError as error:
        raise NetlistError(
            f"cannot read it: {error.strerror or error}", file=name, fix="check its permissions"
        ) from None
    if not data.strip():
        raise NetlistError("the file is empty", file=name, fix="export the netlist again")
    return data


def decode(data: bytes, file: str, encoding: str | None = None) -> tuple[str, tuple[Finding, ...]]:
    """Text of a file, with LF line ends, and what had to be assumed for it.

    Raises
    ------
    NetlistError
        Binary data, an unknown encoding, or bytes that do not fit the encoding that was named.
    """
    findings: tuple[Finding, ...] = ()
    if encoding is None and data.startswith((codecs.BOM_UTF16_LE, codecs.BOM_UTF16_BE)):
        encoding = "utf-16"
    if encoding is None and (refused := refuse_binary(data)):
        raise NetlistError(f"this is {refused[0]}", file=file, fix=refused[1])
    if encoding is None and b"\0" in data[:65536]:
        raise NetlistError(
            "this is a binary file, not a netlist",
            file=file,
            fix="export a netlist from the program that drew it",
        )
    try:
        text = data.decode(encoding or "utf-8-sig")
    except UnicodeDecodeError as error:
        if encoding is not None:
            line = data.count(b"\n", 0, error.start) + 1
            raise NetlistError(
                f"byte {error.start} does not fit the encoding {encoding}",
                file=file,
                line=line,
                fix="name another with --encoding",
            ) from None
        declared = _as_declared(data)
        if declared is not None:
            return declared.replace("\r\n", "\n").replace("\r", "\n"), ()
        text = data.decode("cp1252", errors="surrogateescape")
        text = "".join(c if not 0xDC80 <= ord(c) <= 0xDCFF else chr(ord(c) - 0xDC00) for c in text)
        findings = (
            note(
                "old-encoding",
                f"{file} is not UTF-8; it was read as cp1252. If names look wrong, name the encoding "
                "with --encoding",
                file,
            ),
        )
    except (LookupError, ValueError):
        # Some of Python's codecs raise a ValueError of their own.
        raise NetlistError(
            f"unknown encoding {encoding}", file=file, fix="use a name such as utf-8, cp1252 or windows-1251"
        ) from None
    return text.replace("\r\n", "\n").replace("\r", "\n"), findings


def _as_declared(data: bytes) -> str | None:
    """The text in the encoding that an XML file says it has."""
    found = re.match(rb"\s*<\?xml\b[^>]*?\bencoding\s*=\s*[\"']([A-Za-z][\w.-]*)", data[:400])
    try:
        return data.decode(found[1].decode("ascii")) if found else None
    except (LookupError, ValueError):
        return None


class Positions:
    """Offsets of one text -> lines and columns, counted from 1."""

    def __init__(self, text: str, file: str) -> None:
        self.text, self.file = text, file
        self._starts: list[int] | None = None

    def _line_starts(self) -> list[int]:
        if self._starts is None:
            self._starts = [0]
            at = self.text.find("\n")
            while at >= 0:
                self._starts.append(at + 1)
                at = self.text.find("\n", at + 1)
        return self._starts

    def line_column(self, offset: int) -> tuple[int, int]:
        """Line and column of an offset."""
        starts = self._line_starts()
        line = bisect_right(starts, offset)
        return line, offset - starts[line - 1] + 1

    def line_text(self, line: int) -> str:
        """One line, from 1."""
        starts = self._line_starts()
        end = starts[line] - 1 if line < len(starts) else len(self.text)
        return self.text[starts[line - 1] : end]

    def error(self, what: str, offset: int, fix: str) -> NetlistError:
        """An error that points at an offset."""
        line, column = self.line_column(min(offset, len(self.text)))
        excerpt = caret_excerpt(self.line_text(line), column)
        return NetlistError(what, file=self.file, line=line, column=column, excerpt=excerpt, fix=fix)
