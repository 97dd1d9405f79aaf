"""Lists of gEDA and Lepton EDA: ``geda``, tEDAx, and the netlist of gEDA PCB.

The three forms are described in `grammars/geda.lark`, `grammars/tedax.lark` and
`grammars/geda_pcb.lark`; which of them a text is stands in its first line. gEDA
PCB's has no part list, so that each part of a net counts as declared.
"""

from __future__ import annotations

import re

from tracer.base.errors import NetlistError
from tracer.importers.collector import Collector
from tracer.importers.statements import read_statements
from tracer.importers.text import Positions
from tracer.netlist.board import Netlist, Pin, PinRef

__all__ = ["parse"]

_GEDA = {
    "COMPONENTS": "START components",
    "NETS": "START nets",
    "COMPONENT": "a part such as U9 device=74LS273",
    "NET": "a net such as RED_2 : U9 2, R5 1",
    "END": "END and the section's name",
}
_TEDAX = {
    "HEAD": "tEDAx v1",
    "NETLIST": "begin netlist",
    "LINE": "a line of the netlist, such as conn RED_2 U9 2",
    "END": "end netlist",
}
_PCB = {"NET": "a net such as RED_2, a tab, U9-2 R5-1"}
#: Sections of a geda list that say nothing of parts and nets.
_SECTIONS = frozenset({"header", "graphical", "renamed-nets"})
#: Lines of a tEDAx netlist that say nothing of parts and nets.
_TAGS = frozenset({"nettag", "comptag", "pintag", "pinslot", "pinidx"})
_WORD = re.compile(r"(?:\\[^\n]|[^\s\\])+|\\$")
_ANY_WORD = re.compile(r"\S+")
#: Behind a net's name may stand the style of its tracks (from memory).
_STYLE = re.compile(r"[A-Za-z_]+")
_ESCAPED = re.compile(r"\\([^\n])")


def parse(text: str, file: str, name: str) -> Netlist:
    """Read a list of any of the three forms.

    Raises
    ------
    NetlistError
        A line where none of its kind may stand, a section that does not end, or a word that is no pin.
    """
    positions = Positions(text, file)
    if re.match(r"\s*tEDAx\b", text, re.IGNORECASE):
        return _tedax(positions, name)
    if re.match(r"\s*START ", text):
        return _geda(positions, name)
    return _pcb(positions, name)


def _no_pin(word: str, at: int, positions: Positions, example: str) -> NetlistError:
    shown = word.strip() or "this"
    return positions.error(f"{shown} is no pin", at, f"write {example}")


def _geda(positions: Positions, name: str) -> Netlist:
    collector = Collector(positions.file)
    has_nets = False
    for statement in read_statements("geda", positions, _GEDA):
        at, line = statement.start_pos or 0, statement.line or 1
        if statement.type == "NETS":
            has_nets = True
        elif statement.type == "OTHER" and not _SECTIONS.intersection(statement.split()[1:2]):
            collector.skip(" ".join(statement.split()[:2]))
        elif statement.type == "OTHER_LINE" and statement.startswith("START "):
            raise positions.error(
                "this section begins inside of another", at, "end the section above it with an END line"
            )
        elif statement.type == "OUTSIDE" and statement.startswith("END "):
            raise positions.error(
                "this section has no beginning", at, "write START and its name above its first line"
            )
        elif statement.type == "COMPONENT":
            reference, mark, device = statement.rstrip().partition(" device=")
            if not mark:
                raise positions.error(
                    "this line names a part but not what it is", at, "write it as U9 device=74LS273"
                )
            collector.part(reference, line, symbol=device)
        elif statement.type == "NET":
            # A net's name may hold colons and blanks, a pin neither.
            net, mark, rest = (statement.rstrip() + " ").rpartition(" : ")
            if not mark or not net.strip():
                raise positions.error(
                    "this line names no net", at, "write the net, a colon and its pins: RED_2 : U9 2, R5 1"
                )
            pins = collector.whole_net(net.strip(), line)
            offset = at + len(net) + len(mark)
            for word in rest.split(",") if rest.strip() else ():
                reference, _, number = word.strip().rpartition(" ")
                if not (reference and number):
                    raise _no_pin(word, offset, positions, "a part and its leg: U9 2")
                pins.append(PinRef(reference.rstrip(), number))
                offset += len(word) + 1
    if not has_nets:
        collector.cut_short("START nets and END nets")
    return collector.netlist(name)


def _tedax(positions: Positions, name: str) -> Netlist:
    collector = Collector(positions.file)
    facts: dict[str, dict[str, str]] = {}
    first_line: dict[str, int] = {}
    blocks = 0
    for statement in read_statements("tedax", positions, _TEDAX):
        at, line = statement.start_pos or 0, statement.line or 1
        if statement.type == "NETLIST":
            blocks += 1
            if blocks > 1:
                raise positions.error("this file holds two netlists", at, "keep one of them in the file")
        elif statement.type == "OTHER":
            collector.skip(" ".join(statement.split()[:2]))
        elif statement.type == "LINE":
            words = [_ESCAPED.sub(r"\1", word) for word in _WORD.findall(statement)]
            key, more = words[0], words[1:]
            if key == "conn":
                if len(more) != 3:
                    raise positions.error(
                        f"a conn line has three words behind it, this one {len(more)}",
                        at,
                        "write net, part and leg: conn RED_2 U9 2, with a backslash before a blank inside a word",
                    )
                collector.net(more[0], line).append(PinRef(more[1], more[2]))
            elif key in ("footprint", "device", "value") and more:
                facts.setdefault(more[0], {})[key] = " ".join(more[1:])
                first_line.setdefault(more[0], line)
            elif key == "pinname" and len(more) == 3:
                collector.declare(more[0], Pin(more[1], more[2]))
            elif key not in _TAGS:
                collector.skip(key)
    for reference, known in facts.items():
        collector.part(
            reference,
            first_line[reference],
            known.get("value", ""),
            symbol=known.get("device", ""),
            footprint=known.get("footprint", ""),
        )
    return collector.netlist(name)


def _pcb(positions: Positions, name: str) -> Netlist:
    collector = Collector(positions.file)
    for statement in read_statements("geda_pcb", positions, _PCB):
        at = statement.start_pos or 0
        words = list(_ANY_WORD.finditer(statement))
        first = 1
        head, tab, _ = statement.partition("\t")
        if tab and not any("-" in word for word in head.split()[1:]):
            # A tab ends the name, which may then hold blanks.
            first = len(head.split())
        pins = collector.whole_net(statement[: words[first - 1].end()], statement.line or 1)
        if first < len(words) and _STYLE.fullmatch(words[first][0]):
            first += 1
        for match in words[first:]:
            word = match[0]
            cut = word.rfind("-", 0, -1)
            if cut > 0:
                pins.append(PinRef(word[:cut], word[cut + 1 :]))
            elif word != "\\":
                raise _no_pin(word, at + match.start(), positions, "part and leg with a dash: U9-2")
    return collector.netlist(name, parts_from_nets=True)
