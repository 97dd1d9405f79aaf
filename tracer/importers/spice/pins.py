"""Tables that tell the legs of subcircuits, as SPICE knows only the order of their nodes.

Either TOML, ``"74LS273" = "1 2 5"`` or a list, or a line for each subcircuit with
its name and its legs in order, separated by commas, semicolons, tabs or blanks.
The name may also be a part's reference. ``#`` starts a comment.
"""

from __future__ import annotations

import re

from tracer.base.errors import NetlistError
from tracer.base.toml_errors import BadToml, load_toml

__all__ = ["load_pin_tables"]

_FIX = (
    'write a line such as 74LS273,1,2,5 or, in TOML, "74LS273" = "1 2 5": the legs in the order of the nodes'
)


def load_pin_tables(text: str, file: str) -> dict[str, tuple[str, ...]]:
    """Name in lower case -> legs.

    >>> load_pin_tables("74LS04,1,2,7,14", "a.csv") == load_pin_tables('"74ls04" = [1, 2, 7, 14]', "a.toml")
    True

    Raises
    ------
    NetlistError
        A line has no legs, a leg stands twice, or a name does.
    """
    tables: dict[str, tuple[str, ...]] = {}
    for name, legs, line in _toml(text, file) if re.search(r"(?m)^[^#\n]*=", text) else _lines(text):
        problem = ""
        if not legs or not all(legs):
            problem = f"{name} has no legs" if not legs else f"{name} has a leg without a number"
        elif len(set(legs)) < len(legs):
            problem = f"{name} has the leg {next(leg for leg in legs if legs.count(leg) > 1)} twice"
        elif name.lower() in tables:
            problem = f"{name} stands there twice"
        if problem:
            raise NetlistError(problem, file=file, line=line, fix=_FIX)
        tables[name.lower()] = tuple(legs)
    return tables


def _toml(text: str, file: str) -> list[tuple[str, list[str], int | None]]:
    try:
        data = load_toml(text)
    except BadToml as error:
        raise NetlistError(
            "this is no TOML", file=file, line=error.line, column=error.column, fix=_FIX
        ) from None
    if set(data) == {"pins"} and isinstance(data["pins"], dict):
        data = data["pins"]
    found_legs: list[tuple[str, list[str], int | None]] = []
    for name, legs in data.items():
        words = legs.replace(",", " ").split() if isinstance(legs, str) else legs
        if not isinstance(words, list) or not all(isinstance(leg, str | int) for leg in words):
            raise NetlistError(f"{name} is no list of legs", file=file, fix=_FIX)
        found_legs.append((name, [str(leg) for leg in words], None))
    return found_legs


def _lines(text: str) -> list[tuple[str, list[str], int | None]]:
    found: list[tuple[str, list[str], int | None]] = []
    for number, line in enumerate(text.split("\n"), 1):
        line = line.partition("#")[0].strip()
        if line:
            mark = next((m for m in ",;\t" if m in line), None)
            words = [word.strip() for word in line.split(mark)]
            while len(words) > 1 and not words[-1]:
                words.pop()
            found.append((words[0], words[1:], number))
    return found
