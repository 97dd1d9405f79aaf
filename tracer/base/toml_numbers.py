"""Tables of numbers in TOML: a file of the program's, single values of which a file of the user's may replace."""

from __future__ import annotations

import tomllib
from dataclasses import dataclass

from tracer.base.errors import PartDataError
from tracer.base.toml_errors import BadToml, load_toml

__all__ = ["NumberTables", "read_number_tables"]


@dataclass(frozen=True, eq=False)
class NumberTables:
    """Numbers by table and name; calling it with both gives one. Each is itself alone, so that results can be kept by it.

    >>> NumberTables({"minutes": {"read": 1.0}})("minutes", "read")
    1.0
    """

    tables: dict[str, dict[str, float]]

    def __call__(self, table: str, name: str) -> float:
        """One number."""
        return self.tables[table][name]


def read_number_tables(own: str, text: str | None = None, file: str = "") -> NumberTables:
    """The numbers of `own`, with those of `text` in their place.

    Raises
    ------
    PartDataError
        `text` is no TOML, or names a number that there is not, or one below 0.
    """
    tables = {name: {k: float(v) for k, v in table.items()} for name, table in tomllib.loads(own).items()}
    if text is None:
        return NumberTables(tables)
    try:
        given = load_toml(text)
    except BadToml as error:
        table, values = next(iter(tables.items()))
        key, value = next(iter(values.items()))
        raise PartDataError(
            f"this line is not in the form of TOML: {error.what}",
            file=file,
            line=error.line,
            column=error.column,
            fix=f"write the table in one line and a number in the next: [{table}], then {key} = {value:g}",
        ) from None
    for name, table in given.items():
        if name not in tables or not isinstance(table, dict):
            raise PartDataError(
                f"nothing here is called [{name}]",
                file=file,
                fix=f"the tables in square brackets are: {', '.join(tables)}",
            )
        for key, value in table.items():
            if key not in tables[name]:
                known = ", ".join(tables[name])
                raise PartDataError(
                    f"[{name}] has no number called {key}", file=file, fix=f"its numbers are: {known}"
                )
            if isinstance(value, bool) or not isinstance(value, int | float) or not 0 <= value < 1e6:
                raise PartDataError(
                    f"[{name}] {key} = {value!r} is no number from 0 up",
                    file=file,
                    fix=f"write a number, or leave the line out: then it is {tables[name][key]:g}",
                )
            tables[name][key] = float(value)
    return NumberTables(tables)
