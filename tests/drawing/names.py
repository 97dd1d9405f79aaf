"""Names of pins, nets and buses: vectors, groups, overbars."""

from __future__ import annotations

import re
from collections.abc import Mapping, Sequence

__all__ = ["RAILS", "drawn_name", "expand", "expand_bus", "is_bus", "read_pairs"]

#: Nets that supply symbols name.
RAILS = ("GND", "+5V", "VCC", "+12V", "-5V")

_VECTOR = re.compile(r"(.*?)\[(\d+)\.\.(\d+)\](.*)")
_GROUP = re.compile(r"(\w*)\{(.*)\}")


def expand(text: str) -> list[str]:
    """All names of a vector; a plain name stands for itself.

    >>> expand("A[0..2]"), expand("[2..1]D"), expand("/CE")
    (['A0', 'A1', 'A2'], ['2D', '1D'], ['/CE'])
    """
    match = _VECTOR.fullmatch(text)
    if not match:
        return [text]
    first, last = int(match[2]), int(match[3])
    step = 1 if last >= first else -1
    return [f"{match[1]}{n}{match[4]}" for n in range(first, last + step, step)]


def is_bus(text: str) -> bool:
    """Whether a label names a bus.

    >>> [is_bus(t) for t in ("PAL[0..14]", "{D[0..7] CTL}", "~{BLANK}", "D0")]
    [True, True, False, False]
    """
    return bool(_VECTOR.fullmatch(text)) or (bool(_GROUP.fullmatch(text)) and not text.startswith("~"))


def expand_bus(text: str, aliases: Mapping[str, Sequence[str]]) -> list[str]:
    """The member nets of a bus label; a group with a name puts it before its members.

    >>> expand_bus("CPU{A[0..1] CTL}", {"CTL": ["RW", "AS_N"]})
    ['CPU.A0', 'CPU.A1', 'CPU.RW', 'CPU.AS_N']
    """
    match = _GROUP.fullmatch(text)
    if not match or text.startswith("~"):
        return expand(text)
    members: list[str] = []
    for word in match[2].split():
        members += [m for name in aliases.get(word, [word]) for m in expand(name)]
    return [f"{match[1]}.{m}" if match[1] else m for m in members]


def drawn_name(name: str) -> str:
    """A pin name of the part tables, with KiCad's overbars.

    >>> [drawn_name(n) for n in ("/CE1", "SH//LD", "A0")]
    ['~{CE1}', 'SH/~{LD}', 'A0']
    """
    if name.startswith("/"):
        return f"~{{{name[1:]}}}"
    before, bar, after = name.partition("//")
    return f"{before}/~{{{after}}}" if bar else name


def read_pairs(text: str) -> dict[str, str]:
    """``A[0..1]=X[4..5] /CE=GND`` as a table: pin to net.

    >>> read_pairs("A[0..1]=X[4..5] /CE=GND")
    {'A0': 'X4', 'A1': 'X5', '/CE': 'GND'}
    >>> read_pairs("A[0..1]=GND")
    {'A0': 'GND', 'A1': 'GND'}
    """
    found: dict[str, str] = {}
    for word in text.split():
        pins, equals, nets = word.partition("=")
        if not equals:
            raise ValueError(f"no '=' in {word!r}")
        names, targets = expand(pins), expand(nets)
        if len(targets) == 1:
            targets *= len(names)
        if len(names) != len(targets):
            raise ValueError(f"{len(names)} pins and {len(targets)} nets in {word!r}")
        for name, net in zip(names, targets, strict=True):
            if name in found:
                raise ValueError(f"pin {name!r} twice in {text!r}")
            found[name] = net
    return found
