"""Writes a project as KiCad schematic files, in the form of KiCad 6, 7, 8 or 9.

Form read off files that KiCad saved; checked by opening them in KiCad 9. The
differences that matter here: up to 20211123 fields carry a number and the root
file lists all references; from 20221110 on each symbol carries its own; from
20231120 on the generator's version is written; from 20241209 on ``hide`` has a
value.
"""

from __future__ import annotations

import uuid
from collections.abc import Iterable

from tests.drawing.cell import Cell
from tests.drawing.design import Instance, Project
from tests.drawing.fields import field_texts
from tests.drawing.form import LIBRARY, Form
from tests.drawing.geometry import Point, Side
from tests.drawing.items import Label, Placed, SheetBlock, Text
from tests.drawing.joints import joints, split_at_joints
from tests.drawing.sexpr import Atom, Node, Word, dump, mm, node
from tests.drawing.symbols import Symbol

__all__ = ["write_project"]

_SPACE = uuid.UUID("5b0d4b0e-1a7b-5d0f-9a57-6f1f0a6d2c11")
_ANGLE: dict[Side, int] = {"right": 0, "up": 90, "left": 180, "down": 270}
_YES, _NO = Word("yes"), Word("no")


def write_project(project: Project) -> dict[str, str]:
    """File name -> text, for the root and every sheet file."""
    return {f"{cell.file}.kicad_sch": _File(project, cell).text() for cell in project.cells()}


class _File:
    """One schematic file being written."""

    def __init__(self, project: Project, cell: Cell) -> None:
        self.project, self.cell = project, cell
        self.uses = project.uses_of(cell)
        self.version = project.version
        self.form = Form(project.version)

    def text(self) -> str:
        quoted = self.version >= 20231120
        generator: list[Node] = [node("generator", "eeschema" if quoted else Word("eeschema"))]
        if quoted:
            generator.append(node("generator_version", "9.0" if self.version >= 20241209 else "8.0"))
        parts: list[Node | Atom] = [
            node("version", self.version),
            *generator,
            node("uuid", self._word(self._file_uuid(self.cell))),
            node("paper", self.cell.paper),
            self._title(),
            node("lib_symbols", *(self.form.library_symbol(s) for s in self._symbols())),
        ]
        for alias, members in self.cell.aliases.items():
            parts.append(node("bus_alias", alias, node("members", *members)))
        for instance in self.project.instances:
            if instance.cell is not self.cell and self.cell is self.project.root:
                parts += [
                    node("bus_alias", a, node("members", *m))
                    for a, m in instance.cell.aliases.items()
                    if a not in self.cell.aliases
                ]
        parts += self._wiring()
        parts += [self._label(label) for label in self.cell.labels]
        parts += [self._symbol(placed) for placed in self.cell.placed]
        parts += [self._sheet(block) for block in self.cell.sheets]
        if self.cell is self.project.root:
            parts += self._root_lists()
        if self.version >= 20241209:
            parts.append(node("embedded_fonts", _NO))
        return dump(node("kicad_sch", *parts))

    # Identity

    def _uuid(self, *key: object) -> str:
        return str(uuid.uuid5(_SPACE, "/".join(str(k) for k in (self.project.name, self.cell.file, *key))))

    def _file_uuid(self, cell: Cell) -> str:
        return str(uuid.uuid5(_SPACE, f"{self.project.name}/{cell.file}"))

    def _word(self, text: str) -> Atom:
        return text if self.version >= 20231120 else Word(text)

    def _id(self, *key: object) -> Node:
        return node("uuid", self._word(self._uuid(*key)))

    def _block_uuid(self, owner: Cell, block: SheetBlock) -> str:
        return str(uuid.uuid5(_SPACE, f"{self.project.name}/{owner.file}/sheet/{block.name}"))

    def _path(self, use: Instance, *, with_root: bool) -> str:
        owners = [self.project.root, *(block.cell for block in use.blocks)]
        steps = [self._file_uuid(self.project.root)] if with_root else []
        steps += [self._block_uuid(owner, block) for owner, block in zip(owners, use.blocks, strict=False)]
        return "/" + "/".join(steps)

    # Head

    def _title(self) -> Node:
        rows = [
            node("title", self.cell.title),
            node("rev", self.project.revision),
            node("company", "rgbroots demo board"),
        ]
        rows += [node("comment", n, text) for n, text in enumerate(self.cell.remarks, start=1)]
        return node("title_block", *rows)

    def _symbols(self) -> list[Symbol]:
        found = {placed.part.symbol.name: placed.part.symbol for placed in self.cell.placed}
        return [found[name] for name in sorted(found)]

    # Wires and labels

    def _wiring(self) -> Iterable[Node]:
        for p in joints(self.cell):
            yield node(
                "junction",
                self._at(p),
                node("diameter", 0),
                node("color", 0, 0, 0, 0),
                self._id("junction", p),
            )
        for p in self.cell.no_connects:
            yield node("no_connect", self._at(p), self._id("no_connect", p))
        for entry in self.cell.entries:
            size = node("size", mm(entry.bus.x - entry.wire.x), mm(entry.bus.y - entry.wire.y))
            yield node("bus_entry", self._at(entry.wire), size, self._stroke(), self._id("entry", entry))
        for s in split_at_joints(self.cell):
            points = node("pts", *(node("xy", mm(p.x), mm(p.y)) for p in (s.a, s.b)))
            yield node("bus" if s.bus else "wire", points, self._stroke(), self._id("wire", s))
        for note in self.cell.notes:
            simulated = [node("exclude_from_sim", _NO)] if self.version >= 20231120 else []
            effects = self.form.effects(justify=("left", "bottom"), scale=note.scale)
            yield node("text", note.text, *simulated, node("at", mm(note.at.x), mm(note.at.y), 0), effects,
                       self._id("text", note))  # fmt: skip

    def _stroke(self) -> Node:
        colour = [node("color", 0, 0, 0, 0)] if self.version < 20220101 else []
        return node("stroke", node("width", 0), node("type", Word("default")), *colour)

    def _at(self, p: Point) -> Node:
        return node("at", mm(p.x), mm(p.y))

    def _label(self, label: Label) -> Node:
        side = "left" if label.side in ("right", "up") else "right"
        flag = label.kind != "label"
        parts: list[Node | Atom] = [label.text]
        if flag:
            parts.append(node("shape", Word(label.shape)))
        parts.append(node("at", mm(label.at.x), mm(label.at.y), _ANGLE[label.side]))
        parts.append(self.form.effects(justify=(side,) if flag else (side, "bottom")))
        parts.append(self._id(label.kind, label))
        if label.kind == "global_label":
            at = node("at", mm(label.at.x), mm(label.at.y), 0)
            shown = self.form.effects(hidden=True)
            parts.append(self.form.field(0, "Intersheet References", "${INTERSHEET_REFS}", at, shown))
        return node(label.kind, *parts)

    # Symbols and sheets

    def _symbol(self, placed: Placed) -> Node:
        part = placed.part
        parts: list[Node | Atom] = [
            node("lib_id", f"{LIBRARY}:{part.symbol.name}"),
            node("at", mm(placed.at.x), mm(placed.at.y), placed.rotation),
        ]
        if placed.mirror:
            parts.append(node("mirror", Word(placed.mirror)))
        parts.append(node("unit", placed.unit))
        if self.version >= 20231120:
            parts.append(node("exclude_from_sim", _NO))
        parts += [node("in_bom", _YES), node("on_board", _YES)]
        if self.version >= 20221002:
            parts.append(node("dnp", _NO if part.fitted else _YES))
        key = ("symbol", part.reference, placed.unit, placed.at)
        parts.append(self._id(*key))
        texts = field_texts(placed)
        fields = [
            ("Reference", self.uses[0].reference(part)),
            ("Value", part.value),
            ("Footprint", ""),
            ("Datasheet", ""),
        ]
        if self.version >= 20241209:
            fields.append(("Description", ""))
        fields += part.fields
        for number, (name, value) in enumerate(fields):
            parts.append(self._symbol_field(number, name, value, placed, texts.get(name)))
        parts += [node("pin", p.pin.number, self._id(*key, p.pin.number)) for p in placed.pins]
        if self.version >= 20221110:
            parts.append(node("instances", node("project", self.project.name, *(
                node("path", self._path(use, with_root=True), node("reference", use.reference(part)), node("unit", placed.unit))
                for use in self.uses
            ))))  # fmt: skip
        return node("symbol", *parts)

    def _symbol_field(self, number: int, name: str, value: str, placed: Placed, text: Text | None) -> Node:
        if text is None:
            at = node("at", mm(placed.at.x), mm(placed.at.y), 0)
            return self.form.field(number, name, value, at, self.form.effects(hidden=True))
        # KiCad turns a field with its symbol: a turned symbol's level text is stored upright.
        upright = text.upright != (placed.rotation in (90, 270))
        at = node("at", mm(text.x), mm(text.y), 90 if upright else 0)
        return self.form.field(number, name, value, at, self.form.effects(scale=text.scale))

    def _sheet(self, block: SheetBlock) -> Node:
        x, y = block.at
        width, height = block.size
        old = self.version < 20220101
        parts: list[Node | Atom] = [node("at", mm(x), mm(y)), node("size", mm(width), mm(height))]
        if self.version >= 20241209:
            parts += [
                node("exclude_from_sim", _NO),
                node("in_bom", _YES),
                node("on_board", _YES),
                node("dnp", _NO),
            ]
        parts.append(node("stroke", node("width", Word("0.1524")), node("type", Word("solid"))))
        parts.append(node("fill", node("color", 0, 0, 0, Word("0.0000"))))
        parts.append(node("uuid", self._word(self._block_uuid(self.cell, block))))
        for number, (name, value, row, edge) in enumerate((
            ("Sheet name" if old else "Sheetname", block.name, y - 0.5, "bottom"),
            ("Sheet file" if old else "Sheetfile", f"{block.cell.file}.kicad_sch", y + height + 0.5, "top"),
        )):  # fmt: skip
            at = node("at", mm(x), mm(row), 0)
            parts.append(self.form.field(number, name, value, at, self.form.effects(justify=("left", edge))))
        for pin in block.pins:
            angle, justify = (180, "left") if pin.side == "left" else (0, "right")
            parts.append(node("pin", pin.name, Word(pin.shape), node("at", mm(pin.at.x), mm(pin.at.y), angle),
                              self._id("sheet pin", block.name, pin.name), self.form.effects(justify=(justify,))))  # fmt: skip
        if self.version >= 20221110:
            pages = [
                node("path", self._path(use, with_root=True), node("page", str(child.index + 1)))
                for use in self.uses
                for child in self.project.instances
                if child.names == (*use.names, block.name)
            ]
            parts.append(node("instances", node("project", self.project.name, *pages)))
        return node("sheet", *parts)

    def _root_lists(self) -> list[Node]:
        if self.version >= 20221110:
            return [node("sheet_instances", node("path", "/", node("page", "1")))]
        pages = [
            node("path", self._path(use, with_root=False), node("page", str(use.index + 1)))
            for use in self.project.instances
        ]
        rows: list[Node] = []
        for use in self.project.instances:
            writer = _File(self.project, use.cell)
            for placed in use.cell.placed:
                above = self._path(use, with_root=False).rstrip("/")
                key = ("symbol", placed.part.reference, placed.unit, placed.at)
                rows.append(node("path", f"{above}/{writer._uuid(*key)}", node("reference", use.reference(placed.part)),
                                 node("unit", placed.unit), node("value", placed.part.value), node("footprint", "")))  # fmt: skip
        return [node("sheet_instances", *pages), node("symbol_instances", *rows)]
