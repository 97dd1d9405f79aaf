"""How KiCad's versions write the same thing: hidden texts, fields, the symbols a schematic carries."""

from __future__ import annotations

from dataclasses import dataclass

from tests.drawing.names import drawn_name
from tests.drawing.sexpr import Atom, Node, Word, mm, node
from tests.drawing.symbols import Symbol, SymbolPin

__all__ = ["LIBRARY", "Form"]

#: Name of the symbol library that the schematics carry.
LIBRARY = "rgbroots"

_YES, _NO = Word("yes"), Word("no")


@dataclass(frozen=True)
class Form:
    """A version of the schematic form, as the date that KiCad numbers it by."""

    version: int

    def hide(self) -> Node | Atom:
        return node("hide", _YES) if self.version >= 20241209 else Word("hide")

    def effects(self, *, hidden: bool = False, justify: tuple[str, ...] = (), scale: float = 1.0) -> Node:
        rest: list[Node | Atom] = [node("font", node("size", mm(scale), mm(scale)))]
        if justify:
            rest.append(node("justify", *(Word(j) for j in justify)))
        if hidden:
            rest.append(self.hide())
        return node("effects", *rest)

    def field(self, number: int, name: str, value: str, at: Node, effects: Node) -> Node:
        numbered = [node("id", number)] if self.version < 20220929 else []
        return node("property", name, value, *numbered, at, effects)

    def library_symbol(self, symbol: Symbol) -> Node:
        parts: list[Node | Atom] = [f"{LIBRARY}:{symbol.name}"]
        if symbol.power:
            parts.append(node("power"))
        if symbol.hide_numbers:
            parts.append(node("pin_numbers", self.hide()))
        names: list[Node | Atom] = [node("offset", mm(0.8))]
        if symbol.hide_names:
            names.append(self.hide())
        parts.append(node("pin_names", *names))
        if self.version >= 20231120:
            parts.append(node("exclude_from_sim", _NO))
        parts += [node("in_bom", _YES), node("on_board", _YES)]
        fields = [("Reference", symbol.letter), ("Value", symbol.name), ("Footprint", ""), ("Datasheet", "")]
        if self.version >= 20241209:
            fields.append(("Description", ""))
        for number, (name, value) in enumerate(fields):
            hidden = number > 1 or (symbol.power and number == 0)
            at = node("at", 0, mm(2 * number), 0)
            parts.append(self.field(number, name, value, at, self.effects(hidden=hidden)))
        units: dict[int, list[Node | Atom]] = {}
        for unit, graphic in symbol.graphics:
            units.setdefault(unit, []).append(graphic)
        for pin in symbol.pins:
            units.setdefault(pin.unit, []).append(self._library_pin(pin))
        parts += [node("symbol", f"{symbol.name}_{unit}_1", *units[unit]) for unit in sorted(units)]
        if self.version >= 20241209:
            parts.append(node("embedded_fonts", _NO))
        return node("symbol", *parts)

    def _library_pin(self, pin: SymbolPin) -> Node:
        rest: list[Node | Atom] = [
            node("at", mm(pin.x), mm(pin.y), pin.angle),
            node("length", mm(pin.length)),
        ]
        if pin.hidden:
            rest.append(self.hide())
        rest += [
            node("name", drawn_name(pin.name), self.effects()),
            node("number", pin.number, self.effects()),
        ]
        return node("pin", Word(pin.kind), Word(pin.shape), *rest)
