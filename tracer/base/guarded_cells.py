"""Cells that a spreadsheet would take for a formula: a netlist written as CSV is opened in one sooner or later.

A leading apostrophe makes a text of them (OWASP, "CSV Injection"). Reading takes it away again, so that names come
back as they were. Signed words such as ``+5V`` and ``-12V`` can do nothing and stay.
"""

from __future__ import annotations

import re

__all__ = ["bare_cell", "guarded_cell"]

_FORMULA = re.compile(r"'*(?:[=@\t\r]|[+-](?![\w.,]*\Z))")


def guarded_cell(cell: str) -> str:
    """The cell as it is written.

    >>> [guarded_cell(c) for c in ("=1+1", "+5V", "-SUM(A1)", "'=x", "RED")]
    ["'=1+1", '+5V', "'-SUM(A1)", "''=x", 'RED']
    """
    return "'" + cell if cell[:1] in "'=@\t\r+-" and _FORMULA.match(cell) else cell


def bare_cell(cell: str) -> str:
    """The cell as it was before `guarded_cell`.

    >>> [bare_cell(c) for c in ("'=1+1", "+5V", "''=x", "'RED")]
    ['=1+1', '+5V', "'=x", "'RED"]
    """
    return cell[1:] if cell[:1] == "'" and _FORMULA.match(cell) else cell
