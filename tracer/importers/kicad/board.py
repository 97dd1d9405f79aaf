"""KiCad boards, KiCad 4 and later: the pads carry the nets.

What is read
------------
``(net N "NAME")``
    Table of nets; a net without a pad is kept.
``(footprint LIB ..)``, ``(module LIB ..)`` up to KiCad 5
    A part. Reference and value stand in ``(fp_text reference ..)`` up to KiCad 7,
    in ``(property "Reference" ..)`` from KiCad 8.
``(pad "NUMBER" .. (net N "NAME") (pinfunction ..) (pintype ..))``
    A pin; several pads of one number are one pin, a pad without a number is
    mechanical. A pad without a net is joined to nothing: a net of its own.

Places of pads and the edge: see `tracer.importers.kicad.board_places`.

Tracks and zones are not looked at: KiCad's design rules keep them to the nets
of their pads. Symbols are not in a board, nor pin names in one of KiCad 5.

Sources: boards of the Debian package ``kicad-demos`` 6.0.11 and 9.0.2 (format
dates 2017-11-30, 2021 and 2024-12-29); KiCad 4, and newer files that leave out
the net's number, from memory.
"""

from __future__ import annotations

from collections import Counter
from dataclasses import dataclass, field

from tracer.base.findings import Finding, note, warning
from tracer.importers.kicad.board_places import board_outline, pad_place
from tracer.importers.kicad.netlist import PLACE_FIELDS, own_name
from tracer.importers.sexpr import Expr, parse_sexpr
from tracer.importers.text import Positions
from tracer.netlist.board import Netlist, Origin, Part, Pin, PinRef, make_netlist
from tracer.netlist.net_names import name_of_alone
from tracer.netlist.spots import Pad, Spot

__all__ = ["parse"]

# fmt: off
#: Clauses of a board, of which most are drawing.
_KNOWN = frozenset({
    "version", "generator", "generator_version", "host", "general", "paper", "page", "title_block",
    "layers", "setup", "property", "net", "net_class", "footprint", "module", "segment", "via", "arc",
    "zone", "group", "generated", "image", "target", "dimension", "drawings", "embedded_fonts",
    "embedded_files", "component_classes", "variants", "gr_line", "gr_arc", "gr_circle", "gr_poly",
    "gr_rect", "gr_curve", "gr_text", "gr_text_box", "gr_bbox", "gr_vector", "table", "barcode",
    "point",
})
# fmt: on

#: Boards of this date and later carry ``NAME_NUMBER`` as a pin's name (KiCad 10; from its source). In earlier ones
#: ``Pin_1`` of pin 1 is a name.
_NUMBERED_NAMES = 20250101

#: A pad without a number; the wave in footprints that were drawn for KiCad 5 and before (from memory).
_NO_NUMBER = ("", "~")

#: What KiCad writes where a footprint has no reference of its own.
_PLACEHOLDER = "REF**"


def parse(text: str, file: str, name: str) -> Netlist:
    """Read the text of a KiCad board.

    Raises
    ------
    NetlistError
        The brackets do not match, it is no board, or a pad has no number field.
    """
    root = parse_sexpr(text, file)
    positions = Positions(text, file)
    if root.head != "kicad_pcb":
        raise positions.error(
            f"a KiCad board starts with (kicad_pcb, this one with ({root.head}",
            root.at,
            "give the board's file",
        )
    version = root.word("version")
    numbered = version.isdecimal() and len(version) == 8 and int(version) >= _NUMBERED_NAMES
    board = _Board(positions, _net_table(root), numbered)
    for item in root:
        if isinstance(item, Expr) and item.head in ("footprint", "module"):
            board.footprint(item)
    unknown = Counter(item.head for item in root if isinstance(item, Expr) and item.head not in _KNOWN)
    return board.netlist(name, root, unknown)


def _net_table(root: Expr) -> dict[str, str]:
    """Number -> name."""
    return {words[0]: words[1] for net in root.all("net") if len(words := net.words()) > 1}


@dataclass
class _Board:
    positions: Positions
    table: dict[str, str]
    numbered_names: bool
    parts: list[Part] = field(default_factory=list)
    nets: dict[str, tuple[dict[PinRef, None], Origin | None]] = field(default_factory=dict)
    alone: dict[PinRef, Origin] = field(default_factory=dict)
    placeholders: list[str] = field(default_factory=list)
    unnumbered: Counter[str] = field(default_factory=Counter)
    findings: list[Finding] = field(default_factory=list)

    def footprint(self, footprint: Expr) -> None:
        """One part and its pads."""
        origin = self.origin(footprint)
        reference = self._reference(footprint, origin)
        if not reference:
            return
        pins: dict[str, Pin] = {}
        pads: list[Pad] = []
        for pad in footprint.all("pad"):
            if len(pad) < 2 or not isinstance(pad[1], str):
                raise self.positions.error(
                    "this pad has no number field",
                    pad.at,
                    'write an empty one, (pad "" ..), or save the board again',
                )
            number, net = ("" if pad[1] in _NO_NUMBER else pad[1]), self._net(pad)
            if not number:
                self.unnumbered[reference] += bool(net)
                continue
            place = pad_place(footprint, pad)
            pads += [Pad(number, *place)] if place and number not in {p.pin for p in pads} else []
            kind = pad.word("pintype").split("+")[0]
            function = pad.word("pinfunction")
            if self.numbered_names or function == "~":
                function = own_name(function, number)
            pin = Pin(number, function, kind)
            first = pins.setdefault(number, pin)
            if (first.name, first.kind) == ("", ""):
                pins[number] = pin
            ref = PinRef(reference, number)
            if net:
                self.nets.setdefault(net, ({}, self.origin(pad)))[0][ref] = None
            else:
                self.alone.setdefault(ref, self.origin(pad))
        fields = _fields(footprint)
        value = fields.get("value", "")
        flags = [p.words()[:1] for p in footprint.all("property")] + [
            a.words() for a in footprint.all("attr")
        ]
        self.parts.append(
            Part(
                reference=reference,
                marking="" if value == "~" else value,
                footprint=footprint[1] if len(footprint) > 1 and isinstance(footprint[1], str) else "",
                place=next((v for k, v in fields.items() if k in PLACE_FIELDS and v), ""),
                pins=tuple(pins.values()),
                fitted=not any("dnp" in words for words in flags),
                origin=origin,
                spot=Spot(tuple(pads), is_below=footprint.word("layer").startswith("B.")) if pads else None,
            )
        )

    def _reference(self, footprint: Expr, origin: Origin) -> str:
        """The part's reference; empty for a picture in copper or ink, which is no part."""
        reference = _fields(footprint).get("reference", "") or _PLACEHOLDER
        if not reference.endswith("**"):
            return reference
        if all(pad.words()[:1] and pad.words()[0] in _NO_NUMBER for pad in footprint.all("pad")):
            return ""
        # Each stands for something else: pads of two such footprints have nothing to do with one another.
        self.placeholders.append(reference)
        return f"{reference}:{origin.line}"

    def _duplicates(self) -> None:
        """Parts of one reference and one marking; those of different ones are reported by `make_netlist`."""
        places: dict[tuple[str, str], list[Origin | None]] = {}
        for part in self.parts:
            places.setdefault((part.reference, part.marking), []).append(part.origin)
        for (reference, _), origins in places.items():
            if len(origins) > 1:
                text = f"{len(origins)} footprints are called {reference}; the pads of all are on one part"
                self.findings.append(warning("duplicate-part", text, reference, *map(str, origins[:8])))

    def _net(self, pad: Expr) -> str:
        """Name of the pad's net; empty when it has none."""
        clause = pad.first("net")
        words = clause.words() if clause is not None else []
        if clause is None or not words:
            return ""
        if len(words) == 1:
            return self.table.get(words[0], words[0])
        number, name = words[:2]
        if self.table.get(number, name) != name:
            line, column = self.positions.line_column(clause.at)
            self.findings.append(
                warning(
                    "contradiction",
                    f"a pad is on net {number}, {name}, but the table of nets calls {number} {self.table[number]}; "
                    f"the pad's name was taken",
                    str(Origin(self.positions.file, line, column)),
                )
            )
        return name

    def origin(self, item: Expr) -> Origin:
        """Where a clause stands."""
        return Origin(self.positions.file, *self.positions.line_column(item.at))

    def netlist(self, name: str, root: Expr, unknown: Counter[str]) -> Netlist:
        """All of it."""
        for net in root.all("net"):
            # The number, or the name where there is no number.
            words = net.words()
            if words and words[-1]:
                pins = self.nets.get(words[-1], ({}, None))[0]
                self.nets[words[-1]] = (pins, self.origin(net))
        on_a_net = {pin for pins, _ in self.nets.values() for pin in pins}
        nets: list[tuple[str, list[PinRef], Origin | None]] = [
            (net_name, list(pins), origin) for net_name, (pins, origin) in self.nets.items()
        ]
        for pin, origin in self.alone.items():
            if pin not in on_a_net:
                nets.append((self._name_alone(pin), [pin], origin))
        self._duplicates()
        if self.placeholders:
            self.findings.append(
                note(
                    "unannotated",
                    f"{len(self.placeholders)} footprint(s) have no reference of their own "
                    f"({', '.join(sorted(set(self.placeholders)))}); they were kept apart by their lines",
                    self.positions.file,
                )
            )
        if self.unnumbered.total():
            self.findings.append(
                note(
                    "skipped-clause",
                    f"{self.unnumbered.total()} pad(s) without a number stand on nets and were taken as copper, not "
                    f"as pins: on {', '.join(sorted(r for r, n in self.unnumbered.items() if n)[:8])}",
                    self.positions.file,
                )
            )
        if unknown:
            names = ", ".join(f"{n} x {c}" for c, n in sorted(unknown.items()))
            self.findings.append(
                note(
                    "skipped-clause",
                    f"clauses that this reader does not know were skipped: {names}",
                    self.positions.file,
                )
            )
        return make_netlist(name, self.parts, nets, findings=self.findings, outline=board_outline(root))

    def _name_alone(self, pin: PinRef) -> str:
        name = name_of_alone(pin)
        while name in self.nets:
            name += "_"
        return name


def _fields(footprint: Expr) -> dict[str, str]:
    """Name in lower case -> text; the first of a name counts."""
    found: dict[str, str] = {}
    for clause in ("property", "fp_text"):
        for item in footprint.all(clause):
            words = item.words()
            if words and words[0] != "user":
                found.setdefault(words[0].lower(), words[1] if len(words) > 1 else "")
    return found
