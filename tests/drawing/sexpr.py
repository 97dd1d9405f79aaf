"""S-expressions as KiCad writes them: nested lists to text."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TypeAlias

__all__ = ["UNIT_UM", "Atom", "Node", "Word", "dump", "mm", "node"]

#: One step of the drawing grid, 50 mil, in micrometres.
UNIT_UM = 1270


class Word(str):
    """A bare word: written without quotes."""

    __slots__ = ()


Atom: TypeAlias = str | int
Node: TypeAlias = Sequence["Node | Atom"]


def node(head: str, *rest: Node | Atom) -> list[Node | Atom]:
    """A list that begins with a bare word."""
    return [Word(head), *rest]


def mm(units: float) -> Word:
    """A length in grid steps as millimetres, without trailing zeros.

    >>> [mm(n) for n in (0, 1, -3, 0.5)]
    ['0', '1.27', '-3.81', '0.635']
    """
    micrometres = round(units * UNIT_UM)
    sign = "-" if micrometres < 0 else ""
    whole, rest = divmod(abs(micrometres), 1000)
    return Word(f"{sign}{whole}" + (f".{rest:03d}".rstrip("0") if rest else ""))


def _atom(value: Atom) -> str:
    if isinstance(value, Word) or not isinstance(value, str):
        return str(value)
    return '"' + value.replace("\\", "\\\\").replace('"', '\\"').replace("\n", "\\n") + '"'


def _is_flat(value: Node) -> bool:
    return all(isinstance(x, str | int) for x in value)


def _lines(value: Node, indent: str) -> list[str]:
    if _is_flat(value):
        return [f"{indent}({' '.join(_atom(x) for x in value if isinstance(x, str | int))})"]
    head: list[str] = []
    below: list[str] = []
    for x in value:
        if isinstance(x, str | int):
            if below:
                below.append(f"{indent}  {_atom(x)}")
            else:
                head.append(_atom(x))
        elif not below and len(value) <= 4 and _is_flat(x) and len(head) < 3:
            head.append(_lines(x, "")[0])
        else:
            below += _lines(x, indent + "  ")
    if not below:
        return [f"{indent}({' '.join(head)})"]
    return [f"{indent}({' '.join(head)}", *below, f"{indent})"]


def dump(value: Node) -> str:
    """The text of one expression, a line for each inner list, ended by a newline."""
    return "\n".join(_lines(value, "")) + "\n"
