"""KiCad s-expression netlists, versions D (KiCad 4, 5) and E (6 and later).

Clauses that count: ``components/comp`` (ref, value, footprint, fields,
libsource, property), ``libparts/libpart/pins`` and ``nets/net/node`` (ref, pin,
pinfunction, pintype). Everything else is skipped: new clauses come with every
release of the writing program.
"""

from __future__ import annotations

from collections import Counter
from functools import lru_cache

from tracer.base.errors import NetlistError
from tracer.base.findings import Finding, note
from tracer.importers.sexpr import Expr, parse_sexpr
from tracer.importers.text import Positions
from tracer.netlist.board import Netlist, Origin, Part, Pin, PinRef, make_netlist

__all__ = ["PLACE_FIELDS", "netlist_of", "own_name", "parse"]

#: Words of KiCad 5 and older for a pin's type -> those of KiCad 6 (the netlists of Debian kicad-demos 5.1.9).
_OLD_KINDS = {
    "BiDi": "bidirectional",
    "3state": "tri_state",
    "unspc": "unspecified",
    "openCol": "open_collector",
    "openEm": "open_emitter",
    "NotConnected": "no_connect",
}

#: Names of the field that tells where on the board a part sits, in lower case.
PLACE_FIELDS = frozenset({"place", "location", "position", "board place", "pcb location", "loc"})

_KNOWN = frozenset({"version", "design", "components", "libparts", "libraries", "nets", "groups", "variants"})


def parse(text: str, file: str, name: str) -> Netlist:
    """Read the text of a KiCad netlist.

    Raises
    ------
    NetlistError
        The brackets do not match, it is no KiCad netlist, or it holds no nets clause.
    """
    return netlist_of(parse_sexpr(text, file), Positions(text, file), name)


def netlist_of(root: Expr, positions: Positions, name: str) -> Netlist:
    """The netlist of an ``(export ...)`` tree, whichever way it was written.

    Raises
    ------
    NetlistError
        It is another tree, or holds no nets clause.
    """
    file = positions.file
    if root.head != "export":
        raise positions.error(
            f"a KiCad netlist starts with (export, this one with ({root.head}",
            root.at,
            "export a netlist again",
        )
    nets_clause = root.first("nets")
    components = root.first("components")
    if nets_clause is None:
        raise NetlistError(
            "the netlist has no (nets ...) clause",
            file=file,
            fix="export it again; the file may be cut short",
        )
    drawn = _LibraryPins(root.first("libparts"))
    nodes: dict[str, dict[str, Pin]] = {}
    nets: list[tuple[str, list[PinRef], Origin | None]] = []
    for net in nets_clause.all("net"):
        pins = []
        for node in net.all("node"):
            facts = node.facts()
            ref, number = facts.get("ref", ""), facts.get("pin", "")
            if not ref:
                raise positions.error("this node has no (ref ...)", node.at, "export the netlist again")
            pins.append(PinRef(ref, number))
            pin = _node_pin(number, facts.get("pinfunction", ""), facts.get("pintype", ""))
            nodes.setdefault(ref, {}).setdefault(number, pin)
        line, column = positions.line_column(net.at)
        nets.append((net.word("name"), pins, Origin(file, line, column)))
    parts = [
        _part(comp, drawn, nodes, positions)
        for comp in (components.all("comp") if components is not None else ())
        if comp.word("ref")
    ]
    findings = _skipped(root, file)
    return make_netlist(name, parts, nets, findings=findings)


# Equal chips have equal pins: one value for all of them, as a large board has millions.
@lru_cache(maxsize=1 << 12)
def _node_pin(number: str, function: str, kind: str) -> Pin:
    return Pin(number, own_name(function, number), _kind(kind))


@lru_cache(maxsize=1 << 12)
def _joined_pin(drawn: Pin | None, node: Pin) -> Pin:
    """What the library and the nets say of one pin; a kind that the net gives counts more."""
    return Pin(
        node.number,
        drawn.name if drawn and drawn.name else node.name,
        node.kind or (drawn.kind if drawn else ""),
    )


class _LibraryPins:
    """Pins of the symbols, from the libparts clause."""

    def __init__(self, clause: Expr | None) -> None:
        self.pins: dict[tuple[str, str], tuple[Pin, ...]] = {}
        for libpart in clause.all("libpart") if clause is not None else ():
            pins = libpart.first("pins")
            found = tuple(
                Pin(
                    p.word("num"),
                    p.word("name").replace("~", "", p.word("name") == "~"),
                    _kind(p.word("type")),
                )
                for p in (pins.all("pin") if pins is not None else ())
            )
            names = [libpart.word("part")]
            aliases = libpart.first("aliases")
            names += [a.words()[0] for a in aliases.all("alias") if a.words()] if aliases is not None else []
            for symbol in names:
                self.pins[libpart.word("lib"), symbol] = found


def _part(comp: Expr, drawn: _LibraryPins, nodes: dict[str, dict[str, Pin]], positions: Positions) -> Part:
    reference = comp.word("ref")
    source = comp.first("libsource")
    library = source.word("lib") if source is not None else ""
    symbol = source.word("part") if source is not None else ""
    value = comp.word("value")
    marking = "" if value == "~" else value
    pins: dict[str, Pin] = {p.number: p for p in drawn.pins.get((library, symbol), ())}
    for number, pin in nodes.get(reference, {}).items():
        pins[number] = _joined_pin(pins.get(number), pin)
    fields = dict(_fields(comp))
    place = next((v for k, v in fields.items() if k.lower() in PLACE_FIELDS and v), "")
    fitted = "dnp" not in {p.word("name").lower() for p in comp.all("property")}
    line, column = positions.line_column(comp.at)
    return Part(
        reference=reference,
        marking=marking,
        symbol=symbol,
        library=library,
        footprint=comp.word("footprint"),
        place=place,
        pins=tuple(pins.values()),
        fitted=fitted,
        origin=Origin(positions.file, line, column),
    )


def _fields(comp: Expr) -> list[tuple[str, str]]:
    found = []
    fields = comp.first("fields")
    for field in fields.all("field") if fields is not None else ():
        words = field.words()
        found.append((field.word("name"), words[0] if words else ""))
    found += [(p.word("name"), p.word("value")) for p in comp.all("property")]
    return found


def _kind(word: str) -> str:
    """A pin's type in the words of KiCad 6 and later, without what is added to it (``passive+no_connect``)."""
    word = word.split("+")[0]
    return _OLD_KINDS.get(word, word)


def own_name(function: str, number: str) -> str:
    """A pin's name without the ``_<pin number>`` that newer writers append to repeated names."""
    if function == "~":
        return ""
    suffix = f"_{number}"
    return function[: -len(suffix)] if function.endswith(suffix) and len(function) > len(suffix) else function


def _skipped(root: Expr, file: str) -> list[Finding]:
    unknown = Counter(item.head for item in root if isinstance(item, Expr) and item.head not in _KNOWN)
    if not unknown:
        return []
    names = ", ".join(f"{n} x {c}" for c, n in sorted(unknown.items()))
    return [note("skipped-clause", f"clauses that this reader does not know were skipped: {names}", file)]
