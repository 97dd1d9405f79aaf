"""Names for forms that end a word at a blank: what a form cannot hold is written otherwise, and no two names become one."""

from __future__ import annotations

import re
from collections.abc import Callable, Iterable, Mapping

from tracer.netlist.board import Netlist
from tracer.netlist.net_names import is_no_connect

__all__ = ["changed", "distinct", "net_names", "references", "without_blanks"]

_BLANKS = re.compile(r"\s")


def without_blanks(text: str) -> str:
    """Each blank becomes ``_``, as in KiCad's exports."""
    return _BLANKS.sub("_", text)


def distinct(texts: Iterable[str], plain: Callable[[str], str]) -> dict[str, str]:
    """Text -> what is written for it. Texts that may stay as they are stay; of the others none becomes another's.

    >>> distinct(["A B", "A_B", "C"], without_blanks)
    {'A_B': 'A_B', 'C': 'C', 'A B': 'A_B_2'}
    """
    all_texts = list(dict.fromkeys(texts))
    written = {text: text for text in all_texts if plain(text) == text}
    taken, numbers = set(written), dict[str, int]()
    for text in all_texts:
        if text not in written:
            base = plain(text)
            name, number = base, numbers.get(base, 1)
            while name in taken:
                number += 1
                name = f"{base}_{number}"
            written[text] = name
            taken.add(name)
            # The next of this base goes on from here: those before are all taken.
            numbers[base] = number
    return written


def references(netlist: Netlist) -> dict[str, str]:
    """Part -> its reference in such a form, in the order of the part list; parts that stand in nets alone go last."""
    declared = [part.reference for part in netlist.parts]
    return distinct([*declared, *netlist.pins_of_parts], without_blanks)


def net_names(netlist: Netlist) -> dict[str, str]:
    """Net -> its name in a form where a word such as ``N/C`` or one that starts with ``?`` stands for no net."""
    return distinct((net.name for net in netlist.nets), _plain_net)


def _plain_net(name: str) -> str:
    name = without_blanks(name)
    return f"_{name}" if is_no_connect(name) or name.startswith("?") else name


def changed(names: Mapping[str, str], what: str) -> list[str]:
    """A sentence on how many names are written otherwise."""
    count = sum(text != name for text, name in names.items())
    return [f"{count} {what} as they are"] if count else []
