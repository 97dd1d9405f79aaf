"""IPC-D-356 and IPC-D-356A: the list that a bare board is tested with.

A record is a line of fixed columns, so there is no grammar. Columns from 1:

======  ==========================================================
1-3     code: 317 through hole, 327 surface, 367 hole without
        copper; 017, 027, 067 carry on the record above; 999 end
4-17    net; ``N/C`` for none
21-26   reference; ``VIA`` is no part
27      ``-``
28-31   pin
32-     hole and access side (``A01`` above, the last layer below),
        place (``X+012500Y-003150``) and size
======  ==========================================================

``C`` starts a comment, ``P`` a parameter. A name that 14 columns do not hold has
an alias, which three kinds of line explain: ``P  NNAME1 NAME`` (Eagle),
``P  NNAMEm0000 NAME`` (Allegro, 356A) and ``C  NNAMEm0000 NAME`` (Allegro, 356).
A longer reference pushes what follows to the right (Eagle), or is cut (KiCad).

Places are in 0.0001 inch, or in 0.001 mm where a parameter says so (``UNITS CUST 1``, ``UNITS SI``), y up, always as
seen from the component side. A record 389 of a ``BOARD_EDGE``, carried on by 089, has the edge: a point a word, of which
what is as before may be left out.

Sources: the writer of KiCad 9.0.2 (kicad-cli pcb export ipcd356) and of Debian
kicad 6.0.11; the columns as pcb-rnd reads them; for the aliases and long
references, public descriptions of files; units, the edge and sides but KiCad's from
memory. The standard itself was not read.
"""

from __future__ import annotations

import re
from dataclasses import dataclass, field

from tracer.base.findings import note, warning
from tracer.importers.collector import Collector
from tracer.importers.lists.ipc356_places import Places
from tracer.importers.text import Positions
from tracer.netlist.board import Netlist, PinRef
from tracer.netlist.net_names import says_alone

__all__ = ["parse"]

_RECORD = re.compile(r"[03][0-9]7(?=[ \S])")
_ALIAS = re.compile(r"[PC][ \t]+(NNAME\S*)[ \t]+(\S.*)")
#: Records of tracks, outlines and test points (codes from memory), which name no leg of a part.
_NO_PINS = re.compile(r"(?:378|379|389|390|089|099|999)")
#: Where the columns behind the pin begin, in a line whose columns are pushed to the right.
_HOLE_OR_PLACE = re.compile(r"[ M]?(?:D[ 0-9]{4}[PU]|A[ 0-9]{2}X|X[ +-]?[ 0-9]{6})")
_NET_WIDTH, _PART_WIDTH = 14, 6


@dataclass
class _Read:
    """What the records say, before aliases are resolved."""

    nets: dict[str, dict[PinRef, int]] = field(default_factory=dict)
    alone: dict[PinRef, int] = field(default_factory=dict)
    parts: dict[str, int] = field(default_factory=dict)
    aliases: dict[str, str] = field(default_factory=dict)
    cut_parts: dict[str, None] = field(default_factory=dict)
    contradicted: dict[str, None] = field(default_factory=dict)


def parse(text: str, file: str, name: str) -> Netlist:
    """Read the records of a board.

    Raises
    ------
    NetlistError
        A record that names a part but no pin, or no record at all.
    """
    positions = Positions(text, file)
    collector = Collector(file)
    read, places = _Read(), Places()
    by_kicad = ended = False
    above: str | None = None
    at = 0
    for number, line in enumerate(text.split("\n"), 1):
        if _RECORD.match(line) and not _NO_PINS.match(line):
            net, reference, pin = _fields(line, at, positions)
            if line[0] == "0" and not net:
                if above is None and reference:
                    raise positions.error(
                        "this record carries on one above, but there is none",
                        at,
                        "put a record that starts with 317 or 327 before it, or export the file again",
                    )
                net = above or ""
            above = net
            _take(read, net, reference, pin, number)
            if reference in read.parts and pin:
                places.pad(reference, pin, line)
        elif alias := _ALIAS.match(line):
            known = read.aliases.setdefault(alias[1], alias[2].strip())
            if known != alias[2].strip():
                read.contradicted[alias[1]] = None
        elif line.startswith("999"):
            ended = True
        elif line.startswith("P"):
            by_kicad |= line.startswith("P  arrayDim")
            places.units(line)
        elif line.startswith(("389", "089")):
            places.edge(line)
        elif line.strip() and line[0] != "C" and not _NO_PINS.match(line):
            collector.skip(line.split()[0][:3])
        at += len(line) + 1
    if not read.parts:
        raise positions.error(
            "no record of this file names a pin",
            0,
            "records start with 317 or 327 and name net, reference and pin; export the file again",
        )
    if not ended:
        collector.cut_short("999")
    places.fill(collector)
    _fill(read, collector, by_kicad)
    return collector.netlist(name)


def _fields(line: str, at: int, positions: Positions) -> tuple[str, str, str]:
    """Net, reference and pin of a record; reference and pin empty where it is on no part."""
    net = line[3:17].strip(" \t\r")
    if line[17:20].strip(" "):
        # A name of more than 14 letters without an alias.
        net = line[3:].split(" ", 1)[0]
        behind = line[3 + len(net) :]
    else:
        behind = line[20:]
        if behind[6:7] == "-":
            return net, behind[:6].strip(), behind[7:11].strip()
        if not behind[6:11].strip(" M"):
            return net, behind[:6].strip(), ""
    place = _HOLE_OR_PLACE.search(behind)
    head = (behind[: place.start()] if place else behind).rstrip()
    reference, _, pin = head.removesuffix(" M").rpartition("-")
    reference, pin = reference.strip(), pin.strip()
    if not head.strip():
        return net, "", ""
    if not (reference and pin) or " " in reference or " " in pin:
        raise positions.error(
            "this record names a part but no pin",
            at + len(line) - len(behind),
            "columns 21 to 31 hold reference, a dash and the pin, for example U9    -2",
        )
    return net, reference, pin


def _take(read: _Read, net: str, reference: str, pin: str, number: int) -> None:
    if not reference or reference == "VIA":
        return
    read.parts.setdefault(reference, number)
    if len(reference) == _PART_WIDTH:
        read.cut_parts[reference] = None
    if not pin:
        return
    where = read.alone if says_alone(net) else read.nets.setdefault(net, {})
    where.setdefault(PinRef(reference, pin), number)


def _fill(read: _Read, collector: Collector, by_kicad: bool) -> None:
    for reference, number in read.parts.items():
        collector.part(reference, number)
    names = _full_names(read, collector)
    on_a_net: set[PinRef] = set()
    for net, pins in read.nets.items():
        is_made = _is_nameless(net, read) or (by_kicad and _is_cut_made(net))
        collector.net(names[net], min(pins.values()), is_made=is_made).extend(pins)
        on_a_net.update(pins)
    # One leg may have several pads, and copper on one of them only.
    for pin, number in read.alone.items():
        if pin not in on_a_net:
            collector.net("N/C", number).append(pin)
    if read.cut_parts:
        shown = ", ".join(list(read.cut_parts)[:8])
        collector.findings.append(
            warning(
                "cut-name",
                f"{len(read.cut_parts)} reference(s) fill their six columns and may be cut ({shown}); two parts could have "
                "become one",
                *read.cut_parts,
            )
        )
    full = [net for net in read.nets if len(net) >= _NET_WIDTH and net not in read.aliases]
    if full and by_kicad:
        collector.findings.append(
            note(
                "cut-name",
                f"{len(full)} net name(s) fill their 14 columns: KiCad keeps the last 14 letters, and nets apart",
                collector.file,
            )
        )
    elif full:
        collector.findings.append(
            warning(
                "cut-name",
                f"{len(full)} net name(s) fill their 14 columns and may be cut ({', '.join(full[:4])}); two nets could have "
                "become one",
                *full,
            )
        )


def _is_nameless(net: str, read: _Read) -> bool:
    """Whether a net has an alias alone, which no line explains."""
    return net.startswith("NNAME") and net not in read.aliases


def _is_cut_made(net: str) -> bool:
    """Whether what KiCad left of a name is the end of a made one: ``et-(RN1-R1.1)``, ``12-VIDEO_RED)``."""
    head, bracket, _ = net.partition("(")
    is_cut = len(net) == _NET_WIDTH and net.endswith(")")
    return is_cut and (not bracket or any(made.endswith(head) for made in ("Net-", "unconnected-")))


def _full_names(read: _Read, collector: Collector) -> dict[str, str]:
    """Net as the records have it -> its name. Two that come out alike stay apart."""
    names: dict[str, str] = {}
    taken = {net for net in read.nets if net not in read.aliases}
    for net in read.nets:
        full = read.aliases.get(net, net)
        if net in read.contradicted or (net in read.aliases and full in taken):
            collector.findings.append(
                warning(
                    "contradiction",
                    f"the alias {net} stands for two names, or its name {full} for two nets; the nets were kept apart",
                    net,
                )
            )
            full = f"{full} ({net})"
        taken.add(full)
        names[net] = full
    nameless = sorted(net for net in read.nets if _is_nameless(net, read))
    if nameless:
        collector.findings.append(
            note(
                "nameless-alias",
                f"{len(nameless)} alias(es) of nets are not explained: {', '.join(nameless[:8])}; they are used as names",
                *nameless,
            )
        )
    return names
