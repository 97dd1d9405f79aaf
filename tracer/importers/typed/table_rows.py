"""Rows of a table, and what its columns are.

The header is the row among the first ones that has the most known column words.
"""

from __future__ import annotations

import csv
import io
import re
from collections.abc import Iterator
from dataclasses import dataclass, field

from tracer.base.errors import NetlistError, caret_excerpt
from tracer.base.guarded_cells import bare_cell

__all__ = ["Table", "find_table", "matrix_parts"]

#: Column words, in lower case without blanks, underscores and dots; the first fact that fits a word wins.
_WORDS: dict[str, tuple[str, ...]] = {
    "net": ("net", "netname", "signal", "signalname", "node", "nodename"),
    "pins": ("netpins", "pins", "nodes", "connections", "pinlist", "members"),
    "pin": ("pin", "pinnumber", "pinno", "pin#", "pad", "leg", "pinnum"),
    "ref": ("ref", "refdes", "reference", "designator", "component", "chip", "ic", "part", "partref"),
    "name": ("pinname", "name", "function", "pinfunction"),
    "kind": ("pintype", "direction", "electricaltype"),
    "marking": (
        "marking",
        "value",
        "type",
        "parttype",
        "partnumber",
        "comment",
        "device",
        "part",
        "partvalue",
    ),
    "place": ("place", "location", "position", "loc"),
    "from": ("from", "frompin", "source"),
    "to": ("to", "topin", "destination"),
}

#: Columns of a matrix that are no parts.
_REMARKS = frozenset({"remark", "remarks", "note", "notes", "description", "no", "#", "nr"})
_REFERENCE = re.compile(r"[A-Za-z]{1,4}[0-9]+[A-Za-z]?")

#: Title lines that may stand above the header (one report has four).
_TITLE_LINES = 12


@dataclass
class Table:
    """Rows under a header, with what each column is."""

    file: str
    header: list[str]
    header_line: int
    rows: list[tuple[int, list[str]]]
    columns: dict[str, int]
    lines: list[str] = field(default_factory=list)

    def error(self, what: str, line: int, fix: str, word: str = "", cell: str = "") -> NetlistError:
        """An error that points at a word of a cell, at the first such word in the line, or at the line."""
        return _error(what, self.file, self.lines, line, fix, word, cell)

    def cells(self) -> Iterator[tuple[int, dict[str, str]]]:
        """Line and facts of each row."""
        for line, row in self.rows:
            short = len(row) < len(self.header) and len(row) <= max(self.columns.values())
            if short or any(cell.strip() for cell in row[len(self.header) :]):
                raise self.error(
                    f"this row has {len(row)} columns, the header has {len(self.header)}",
                    line,
                    "fill the row up, or put quotes round a cell that holds the separator",
                )
            yield line, {fact: bare_cell(row[at].strip()) for fact, at in self.columns.items()}


def _error(
    what: str, file: str, lines: list[str], line: int, fix: str, word: str = "", cell: str = ""
) -> NetlistError:
    text = lines[line - 1] if 0 < line <= len(lines) else ""
    column = max(0, text.find(word, max(0, text.find(cell)))) + 1
    return NetlistError(
        what, file=file, line=line, column=column, excerpt=caret_excerpt(text, column), fix=fix
    )


def find_table(text: str, file: str) -> Table:
    """Tell the separator and the header of a text.

    Raises
    ------
    NetlistError
        No header with known columns, two columns for one fact, or quotes that do not match.
    """
    lines = text.split("\n")
    best: Table | None = None
    broken: NetlistError | None = None
    for separator in (",", ";", "\t", "|"):
        if separator not in text:
            continue
        rows: list[tuple[int, list[str]]] = []
        try:
            for line, row in _numbered_rows(text, separator):
                if any(cell.strip() for cell in row) and not _is_comment(row, separator):
                    rows.append((line, row))
        except _BadRowError as error:
            broken = broken or _error(
                "a cell of this row has more than 131,072 letters, or a quote in it is never closed"
                if error.is_too_long
                else f"the quotes in this row do not match: {error.what}",
                file,
                lines,
                error.line,
                "close every quoted cell with a quote, and double a quote inside one",
                '"',
            )
            if not any(len(_columns(row)) >= 2 for _, row in rows[:_TITLE_LINES]):
                continue
            raise broken from None
        for at, (line, row) in enumerate(rows[:_TITLE_LINES]):
            columns = _columns(row)
            is_header = len(columns) >= 2 or ("net" in columns and matrix_parts(row, columns))
            if is_header and (best is None or len(columns) > len(best.columns)):
                best = Table(file, [c.strip() for c in row], line, rows[at + 1 :], columns, lines)
    if best is None:
        raise broken or _error(
            "no header row with known columns was found",
            file,
            lines,
            1,
            "put a row with the words part, pin, net above the rows (or net, pins; or from, to)",
        )
    for fact in ("net", "ref", "pin"):
        rivals = _rivals(best, fact)
        if rivals:
            raise best.error(
                f"the columns {' and '.join(rivals)} both name the {_SHOWN[fact]}",
                best.header_line,
                f"rename the one that does not; the columns are: {', '.join(h or '(empty)' for h in best.header)}",
                rivals[1],
            )
    return best


class _BadRowError(Exception):
    """A row whose quotes do not match."""

    def __init__(self, what: str, line: int) -> None:
        super().__init__(what)
        self.what, self.line = what, line
        # Python's csv tells it in words alone.
        self.is_too_long = f"({csv.field_size_limit()})" in what


def _is_comment(row: list[str], separator: str) -> bool:
    """A row that starts with a number sign, or the rule below the header of a table drawn with bars."""
    first = row[0].strip()
    if separator == "|" and all(re.fullmatch(r":?-{2,}:?|", cell.strip()) for cell in row):
        return True
    return first.startswith("#") and first != "#"


_SHOWN = {"net": "net", "ref": "part", "pin": "pin"}


def _rivals(table: Table, fact: str) -> list[str]:
    """Headers of two columns that stand for one fact, if there are."""
    taken = {at for other, at in table.columns.items() if other != fact}
    known = _WORDS[fact]
    if fact == "ref":
        known = tuple(word for word in known if word != "part")
    found = [h for i, h in enumerate(table.header) if i not in taken and _header_word(h) in known]
    return found if len(found) > 1 else []


def _numbered_rows(text: str, separator: str) -> Iterator[tuple[int, list[str]]]:
    reader = csv.reader(io.StringIO(text), delimiter=separator, strict=True, skipinitialspace=True)
    before = 0
    try:
        for row in reader:
            yield before + 1, row
            before = reader.line_num
    except csv.Error as error:
        raise _BadRowError(str(error), before + 1) from None


def _header_word(cell: str) -> str:
    return "".join(c for c in cell.lower() if c.isalnum() or c == "#")


def _columns(row: list[str]) -> dict[str, int]:
    """What each column of a header row is."""
    found: dict[str, int] = {}
    words = [_header_word(cell) for cell in row]
    taken: set[int] = set()
    for fact, known in _WORDS.items():
        for word in known:
            at = next((i for i, w in enumerate(words) if w == word and i not in taken), None)
            if at is not None:
                found[fact] = at
                taken.add(at)
                break
    return found


def matrix_parts(header: list[str], columns: dict[str, int]) -> list[tuple[int, str]]:
    """The columns that are parts, with their references; none where no two headers look like references."""
    known = set(columns.values())
    parts = [
        (at, cell.strip())
        for at, cell in enumerate(header)
        if at not in known and cell.strip() and _header_word(cell) not in _REMARKS
    ]
    return parts if sum(bool(_REFERENCE.fullmatch(reference)) for _, reference in parts) >= 2 else []
