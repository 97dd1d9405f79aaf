"""Names of buses -> names of their members. The grammar is `grammars/bus_label.lark`."""

from __future__ import annotations

from collections.abc import Mapping
from functools import lru_cache
from typing import NamedTuple

from lark import Token, Tree
from lark.exceptions import LarkError

from tracer.base.errors import NetlistError
from tracer.importers.grammar import load_grammar

__all__ = ["LARGEST_BUS", "BusMember", "bus_members", "counted", "is_bus_name", "too_wide"]

#: A bus of more members than any board has is a slip of the pen.
LARGEST_BUS = 4096
#: Members of all bus labels of a board, each label counted.
MOST_MEMBERS = 500_000
#: Names and groups that one label may lead to: aliases of aliases can stand for any number.
MOST_ALIASES = 4 * LARGEST_BUS


def is_bus_name(text: str, aliases: Mapping[str, list[str]] | None = None) -> bool:
    """Whether a label stands for several nets.

    >>> [is_bus_name(t) for t in ("D[0..7]", "{A B}", "~{RD}", "D0", "A_{0}")]
    [True, True, False, False, False]
    """
    return bool(bus_members(text, aliases or {}))


class BusMember(NamedTuple):
    """One net of a bus: its full name, the name without the group's prefix, its place in a vector (from 0)."""

    full: str
    short: str
    place: int | None


def bus_members(text: str, aliases: Mapping[str, list[str]]) -> tuple[BusMember, ...]:
    """Members of a bus label; empty when it is no bus.

    >>> [m.full for m in bus_members("D[0..2]", {})]
    ['D0', 'D1', 'D2']
    >>> [m.full for m in bus_members("RAM{WE A[1..0]}", {})]
    ['RAM.WE', 'RAM.A0', 'RAM.A1']
    >>> [m.full for m in bus_members("{CTL}", {"CTL": ["RD", "WR"]})]
    ['RD', 'WR']

    Raises
    ------
    NetlistError
        It has more members than `LARGEST_BUS`.
    """
    tree = _parse(text)
    if tree is None:
        return ()
    found = tuple(_expand(tree, aliases, frozenset(), [MOST_ALIASES]))
    if len(found) > LARGEST_BUS:
        raise too_wide(text)
    return found


def counted(n_members: int, file: str) -> int:
    """Members of all labels so far, which must not be more than a board can have.

    Raises
    ------
    NetlistError
        They are.
    """
    if n_members > MOST_MEMBERS:
        raise NetlistError(
            f"the buses of its labels have more than {MOST_MEMBERS:,} members",
            file=file,
            fix="check the numbers in their names",
        )
    return n_members


def too_wide(text: str) -> NetlistError:
    """What is said of a bus that is larger than any board has."""
    return NetlistError(
        f"the bus {text} has more than {LARGEST_BUS:,} members", fix="check the numbers in its name"
    )


@lru_cache(maxsize=4096)
def _parse(text: str) -> Tree[Token] | None:
    if "[" not in text and "{" not in text:
        return None
    try:
        tree = load_grammar("bus_label").parse(text)
    except LarkError:
        return None
    bus = tree.children[0]
    return bus if isinstance(bus, Tree) else None


def _expand(
    node: Tree[Token], aliases: Mapping[str, list[str]], open_aliases: frozenset[str], left: list[int]
) -> list[BusMember]:
    """`left` counts down what may still be looked at."""
    tokens = [str(c) for c in node.children if isinstance(c, str) and c.type != "BLANKS"]
    if node.data == "plain":
        return _alias(tokens[0], aliases, open_aliases, left)
    if node.data in ("vector", "marked"):
        words = [str(c) for c in node.children if isinstance(c, str) and c.type in ("NAME", "MARK")]
        first, last = (int(c) for c in node.children if isinstance(c, str) and c.type == "INT")
        before, after = "".join(words), "}" if node.data == "marked" else ""
        # KiCad sorts a vector upwards and pairs two of them by place: D[7..0] and Q[0..7] pair 0 with 0,
        # X[0..3] and A[8..11] pair X0 with A8; D[3..3] is no bus (tried with KiCad 9.0.2).
        # One more than may be is enough to be refused.
        numbers = range(min(first, last), max(first, last) + 1)[: LARGEST_BUS + 1]
        names = [f"{before}{i}{after}" for i in numbers] if first != last else []
        left[0] -= len(names)
        if left[0] < 0:
            raise too_wide(f"{names[0]} ...")
        return [BusMember(name, name, place) for place, name in enumerate(names)]
    prefix = f"{tokens[0]}." if tokens else ""
    return [
        BusMember(prefix + member.full, member.short, None)
        for child in node.children
        if not isinstance(child, str)
        for member in _expand(child, aliases, open_aliases, left)
    ]


def _alias(
    name: str, aliases: Mapping[str, list[str]], open_aliases: frozenset[str], left: list[int]
) -> list[BusMember]:
    """A plain name is itself, or the members of the alias it names; an alias inside itself is a name."""
    if name not in aliases or name in open_aliases:
        return [BusMember(name, name, None)]
    opened = open_aliases | {name}
    found: list[BusMember] = []
    for member in aliases[name]:
        left[0] -= 1
        if left[0] < 0:
            raise too_wide(name)
        tree = _parse(member)
        found += (
            _expand(tree, aliases, opened, left)
            if tree is not None
            else _alias(member, aliases, opened, left)
        )
    return found
