"""`data/markings.toml`, ready for use: rows by the text that stands on a chip, forms as patterns.

Which rule is tried when, and what is said of it, stands in `marking`.
"""

from __future__ import annotations

import re
import tomllib
from collections.abc import Mapping
from functools import cache
from importlib.resources import files
from typing import Any, NamedTuple

__all__ = ["TO_LATIN", "Row", "Rules", "marking_rules"]


class Row(NamedTuple):
    """One row of ``[[mark]]``."""

    type: str
    family: str | None
    makers: frozenset[str]
    note: str


class Rules(NamedTuple):
    """``markings.toml``, ready for use: the tables as read, and what is built from them."""

    data: Mapping[str, Any]
    families: Mapping[str, str]
    soviet_letters: Mapping[str, str]
    soviet_whole: Mapping[str, tuple[str, str]]
    exact: Mapping[str, Row]
    numbers: Mapping[str, tuple[Row, ...]]
    unclear: Mapping[str, str]
    number_tail: re.Pattern[str]
    logic_form: re.Pattern[str]
    short_form: re.Pattern[str]


#: What may follow a number of the 74 series: letters, then ordering codes or words ("_DIP", ",653", "-TR").
_LOGIC_TAIL = (
    r"(?P<tail>(?:[A-Z]{0,6}(?:(?<=[A-Z])[0-9](?:[A-Z]{1,4}[0-9]?)?)?|M96|M013TR)"
    r"(?:,[0-9]{3}|-1[A-Z]{0,3}|[_.][0-9]|[-_/.,(](?!(?:%s)[0-9])[A-Z]{1,12}[0-9]{0,2}\)?)*[+#]?)"
)
#: What may follow a number of its own. A number of three digits that ends in neither 0 nor 5 is no speed: 2764-128
#: names two parts.
_NUMBER_TAIL = (
    r"(?!(?:OR|AND|ODER|UND)[0-9])(?P<code>[A-Z]{0,6}(?:(?<=[A-Z])[0-9]{1,3}(?:[A-Z]{1,5}[0-9]?[A-Z]?)?)?)"
    r"(?P<rest>(?:(?<=[A-Z])/[0-9](?![0-9])[A-Z]{0,3}|/[A-Z]{1,8}[0-9]?|[-_.,#(][A-Z]{1,8}[0-9]{0,3}[A-Z]{0,4}\)?"
    r"|[-_.,](?:[0-9]{1,2}|[0-9]{2}[05])(?![0-9])[A-Z]{0,6}[0-9]?[A-Z]?)*)[+#]?"
)
#: Soviet letters in Latin, and the Latin letters that look like them.
TO_LATIN = str.maketrans("АБВГДЕИКЛМНОПРСТУФЭ", "ABVGDEIKLMNOPRSTUFE")


@cache
def marking_rules() -> Rules:
    """All rules of the file, read once."""
    data = tomllib.loads((files("tracer.parts") / "data" / "markings.toml").read_text(encoding="utf-8"))
    exact: dict[str, Row] = {}
    numbers: dict[str, list[Row]] = {}
    for table in data["mark"]:
        group = table.get("with", "")
        makers = frozenset(data["groups"].get(group, group).split())
        row = Row(table["type"], table.get("family"), makers, table.get("note", ""))
        for mark in table["marks"].split():
            if makers:
                numbers.setdefault(mark, []).append(row)
            else:
                exact[mark] = row
    soviet = data["soviet"]
    whole = {
        code.translate(TO_LATIN): (name, table["family"])
        for table in soviet["whole"]
        for code, name in (pair.split("=") for pair in table["codes"].split())
    }
    letters = dict(
        pair.translate(TO_LATIN).split("=") for t in soviet["letters"] for pair in t["codes"].split()
    )
    families = "|".join(sorted((f for f in data["families"] if f != "std"), key=len, reverse=True))
    short = "|".join(
        [*sorted(data["logic"]["short"].split(), key=len, reverse=True), *data["logic"]["short_numbers"]]
    )
    tail = _LOGIC_TAIL % families
    return Rules(
        data=data,
        families=data["families"],
        soviet_letters=letters,
        soviet_whole=whole,
        exact=exact,
        numbers={mark: tuple(rows) for mark, rows in numbers.items()},
        unclear={mark: table["why"] for table in data["unclear"] for mark in table["marks"].split()},
        number_tail=re.compile(_NUMBER_TAIL),
        logic_form=re.compile(
            rf"(?P<maker>[A-Z]{{1,4}})?-?(?P<range>74|54)[-_]?(?P<family>{families}|X{{1,3}}|\*|__?)?[-_]?"
            rf"(?P<number>[0-9]{{2,6}}|[1-9][0-9]?(?:GU?|T)[0-9]{{2,4}})(?![0-9]){tail}"
        ),
        short_form=re.compile(rf"(?P<family>{short})(?P<number>[0-9]{{2,3}})(?![0-9]){tail}"),
    )
