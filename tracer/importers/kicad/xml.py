"""KiCad's generic XML netlist (``<export version=..>``), which its report plug-ins are given.

It is the s-expression netlist in another dress: KiCad writes both from one tree
(attributes of an element are its first sub-lists, text is a word). So it is
turned into that tree and read as one. One thing differs (seen in files of
KiCad 9.0.2): a slash inside a name is ``{slash}`` there and a plain slash here,
so that a label ``A/B`` and a label ``B`` of a sheet ``A`` can give one name to
two nets. They have different codes and are kept apart.
"""

from __future__ import annotations

from dataclasses import replace

from tracer.base.findings import warning
from tracer.importers.kicad.netlist import netlist_of
from tracer.importers.sexpr import Expr
from tracer.importers.text import Positions
from tracer.importers.xml_tree import Element, parse_xml
from tracer.netlist.board import Netlist

__all__ = ["parse"]


def parse(text: str, file: str, name: str) -> Netlist:
    """Read the text of a KiCad XML netlist.

    Raises
    ------
    NetlistError
        It is no XML, no netlist of KiCad, or it holds no nets.
    """
    top = parse_xml(text, file)
    positions = Positions(text, file)
    if top.tag != "export":
        raise positions.error(
            f"a KiCad netlist starts with <export>, this one with <{top.tag}>",
            top.at,
            "export the netlist again",
        )
    if top.first("nets") is None:
        raise positions.error(
            "the netlist has no <nets> element", top.at, "export it again; the file may be cut short"
        )
    root = _tree(top)
    twins = _keep_apart(root)
    netlist = netlist_of(root, positions, name)
    if not twins:
        return netlist
    sentence = f"several nets are called {', '.join(twins)}; they were kept apart by their numbers"
    return replace(netlist, findings=(*netlist.findings, warning("name-twins", sentence, *twins)))


def _keep_apart(root: Expr) -> list[str]:
    """Give nets of one name and different codes a name each; gives the names that were not unique."""
    nets = root.first("nets")
    codes: dict[str, set[str]] = {}
    twins: dict[str, None] = {}
    taken_names = {net.word("name") for net in nets.all("net")} if nets is not None else set()
    for net in nets.all("net") if nets is not None else ():
        clause, code = net.first("name"), net.word("code")
        if clause is None:
            continue
        name = net.word("name")
        taken = codes.setdefault(name, set())
        if taken and code not in taken:
            other = f"{name} ({code})"
            while other in taken_names:
                other += "_"
            taken_names.add(other)
            clause[1:] = [other]
            twins[name] = None
        taken.add(code)
    return list(twins)


def _tree(element: Element) -> Expr:
    """The same as brackets; the nesting was bounded by `parse_xml`."""
    made = Expr(element.at)
    made.append(element.tag)
    for key, value in element.attributes.items():
        pair = Expr(element.at)
        pair += [key, value]
        made.append(pair)
    if element.children:
        # No comprehension: it would take a second frame a level.
        for child in element.children:
            made.append(_tree(child))
    elif element.text:
        made.append(element.text)
    return made
