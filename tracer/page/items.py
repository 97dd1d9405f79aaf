"""What can be selected on a page: colours, bits, parts, nets and legs, each with the paths it stands on."""

from __future__ import annotations

import re
from collections.abc import Iterable
from dataclasses import dataclass, field
from typing import Literal

from tracer.base.names import readable_name
from tracer.base.text import bits_words, clean, leg, spans
from tracer.bitmap.model import BitMap
from tracer.diagram.styles import Style, styles_of
from tracer.page.paths import LegKey, PagePath, page_paths
from tracer.page.text import ohms_words
from tracer.page.values import BoardPage

__all__ = ["Item", "Items", "Kind", "feeds_text", "net_text"]

Kind = Literal["colour", "bit", "part", "net", "leg", "line"]


@dataclass
class Item:
    """One thing.

    Attributes
    ----------
    number : int
    kind : Kind
    name : str
        For a button and a screen reader.
    short : str
        The same where its kind is plain: a bit's tag, a leg or a net without that word.
    words : str
        What else a search may ask for.
    paths : set of int
    says : list of str
        What to tell of it, a line each.
    """

    number: int
    kind: Kind
    name: str
    short: str
    words: str = ""
    paths: set[int] = field(default_factory=set)
    says: list[str] = field(default_factory=list)


class Items:
    """All items of a page, each once, found by what they stand for."""

    def __init__(self, page: BoardPage) -> None:
        self.page, self.map = page, page.bit_map
        self.paths = page_paths(page.bit_map)
        self.styles: tuple[Style, ...] = styles_of(page.bit_map)
        self.all: list[Item] = []
        self._by_key: dict[tuple[str, ...], Item] = {}
        self.net_of: dict[LegKey, str] = {(part, pin): net for part, pin, net in page.nets}
        self.net_of |= {(r.part, r.pin): r.net for r in page.legs if r.net is not None}
        self.leg_names = _leg_names(page)
        for chip in page.chips:
            for view in chip.legs:
                self.leg_names.setdefault((chip.part, view.number), view.name)
                if view.net is not None:
                    self.net_of.setdefault((chip.part, view.number), view.net)
        self.types = _types(page.bit_map)
        self._views = {view.part: view for view in page.chips}
        self.chips = {chip.part: chip for chip in page.bit_map.chips}
        self._paths_of_bit: dict[tuple[int, int], list[PagePath]] = {}
        for path in self.paths:
            self._paths_of_bit.setdefault((path.colour, path.bit), []).append(path)
        self._add_all()

    def get(self, kind: Kind, *key: str) -> Item | None:
        """The item of a colour's name, a colour and bit, a reference, a net's name, or a part and pin."""
        return self._by_key.get((kind, *key))

    def line(self, name: str, paths: Iterable[int]) -> Item:
        """An item for a line that stands for several nets, or for one that is not told."""
        return self._item("line", (name,), name, paths)

    def legs(self) -> list[tuple[LegKey, Item]]:
        """All legs."""
        return [((key[1], key[2]), item) for key, item in self._by_key.items() if key[0] == "leg"]

    def parts(self) -> list[tuple[str, Item]]:
        """All parts."""
        return [(key[1], item) for key, item in self._by_key.items() if key[0] == "part"]

    def paths_of_bit(self, colour: int, bit: int) -> list[PagePath]:
        """The paths of a bit."""
        return self._paths_of_bit.get((colour, bit), [])

    def tag(self, colour: int, bit: int) -> str:
        """``red 3``; not escaped."""
        return f"{self.map.colours[colour].name} {bit}"

    # -- making them --------------------------------------------------------------------------------

    def _item(
        self,
        kind: Kind,
        key: tuple[str, ...],
        name: str,
        paths: Iterable[int],
        words: str = "",
        *,
        short: str = "",
    ) -> Item:
        item = self._by_key.get((kind, *key))
        if item is None:
            item = Item(len(self.all), kind, clean(name), clean(short or name), clean(words))
            self.all.append(item)
            self._by_key[kind, *key] = item
        item.paths.update(paths)
        return item

    def _add_all(self) -> None:
        for index, colour in enumerate(self.map.colours):
            own = [w.number for w in self.paths if w.colour == index]
            self._item("colour", (colour.name,), f"{colour.name}, all bits", own)
            for bit in colour.bits:
                paths = [w.number for w in self.paths_of_bit(index, bit.bit)]
                tag = self.tag(index, bit.bit)
                key, words = (colour.name, str(bit.bit)), f"{tag} {colour.name} bit {bit.bit}"
                item = self._item("bit", key, tag, paths, words)
                item.says.append(f"{bit.weight:.1%} of full scale")
        for path in self.paths:
            for part, pin in path.legs:
                self._leg(part, pin, [path.number])
        for reading in self.page.legs:
            # A control leg stands on the paths of the bits that it gates.
            through = [
                w.number
                for name, bit in reading.feeds
                for w in self.paths_of_bit(self._index(name), bit)
                if reading.part in w.parts or reading.role == "colour pin"
            ]
            self._leg(reading.part, reading.pin, through)
        for chip in self.page.chips:
            # Legs beside the paths: to find and to tell of, nothing to light up.
            for view in chip.legs:
                self._leg(chip.part, view.number, [])
        self._add_stages()
        self._add_beside()
        for index, colour in enumerate(self.map.colours):
            if colour.pin.part and colour.pin.pin:
                self._leg(
                    colour.pin.part, colour.pin.pin, [w.number for w in self.paths if w.colour == index]
                )

    def _add_stages(self) -> None:
        """Resistors and what else stands between drivers and pins: on the paths of the bits that they carry."""
        for part in self.page.stage_parts:
            every = part.bits or tuple(
                (c.name, b.bit) for c in self.map.colours if c.name in part.colours for b in c.bits
            )
            paths = [
                w.number for name, bit in every for w in self.paths_of_bit(self._index(name), bit)
                if w.role != "write path"
            ]  # fmt: skip
            is_one = len(part.bits) == 1
            carries = (
                f"carries {bits_words(part.bits)} alone" if is_one else f"carries {bits_words(part.bits)}"
            )
            says = carries if part.bits else f"of {' and '.join(part.colours)}, of no bit alone"
            at = f"at {part.place}" if part.place else ""
            item = self._item("part", (part.part,), f"{part.part} {part.what}", paths, f"{part.what} {at}")
            across = f"board off, across it: {ohms_words(part.across)}" if part.across else ""
            item.says = item.says or [clean(each) for each in (part.what, at, says, across) if each]
            for pin, net in part.legs:
                if net is not None:
                    self.net_of.setdefault((part.part, pin), net)
                self._leg(part.part, pin, paths)

    def _add_beside(self) -> None:
        """Chips that drive what the path is clocked, cleared or addressed by: suspects that no bit passes."""
        tables = self.page.tables
        readable = {m.where for m in tables.measurables if m.kind == "read"} if tables else set()
        readable |= {(fault.part, fault.pin) for fault in self.page.faults if fault.pin}
        for chip in self.page.drawn:
            if ("part", chip.part) in self._by_key:
                continue
            at = f"at {chip.place}" if chip.place else ""
            item = self._item("part", (chip.part,), f"{chip.part} {chip.what}", (), f"{chip.what} {at}")
            drives = "drives what the path is clocked, cleared or addressed by"
            item.says = [clean(each) for each in (at, drives) if each]
            for pin, name, net in chip.legs:
                if (chip.part, pin) not in readable:
                    continue
                if net is not None:
                    self.net_of.setdefault((chip.part, pin), net)
                self.leg_names.setdefault((chip.part, pin), name)
                self._leg(chip.part, pin, [])

    def _index(self, colour: str) -> int:
        return next(i for i, c in enumerate(self.map.colours) if c.name == colour)

    def _leg(self, part: str, pin: str, paths: list[int]) -> None:
        self._part(part, paths)
        net = self.net_of.get((part, pin))
        if net is not None:
            short = net_text(net)
            self._item("net", (net,), f"net {short}", paths, f"{net} {short}", short=short)
        name = readable_name(self.leg_names.get((part, pin), ""))
        short, words = leg(part, pin, name), f"{part}.{pin} {name} {net or ''}"
        self._item("leg", (part, pin), f"leg {short}", paths, words, short=short)

    def _part(self, part: str, paths: list[int]) -> None:
        chip = self.chips.get(part)
        kind = self.types.get(part, "")
        view = self._views.get(part)
        marking = view.marking if view else ""
        place = f"at {chip.place}" if chip and chip.place else ""
        says = ", ".join(x for x in (kind, chip.does if chip else "", place) if x)
        type_ = chip.type if chip else ""
        item = self._item("part", (part,), f"{part} {kind}".strip(), paths, f"{says} {marking} {type_}")
        item.says = item.says or ([clean(says)] if says else [])


def net_text(net: str) -> str:
    """A net's name as a person would write it; a top sheet's slash and an active-low one are one.

    >>> net_text("/~{BLANK}")
    '/BLANK'
    """
    return clean(re.sub(r"^//", "/", readable_name(net)))


def _leg_names(page: BoardPage) -> dict[LegKey, str]:
    found: dict[LegKey, str] = {}
    for colour in page.bit_map.colours:
        for bit in colour.bits:
            for path in bit.paths:
                if path.source.part and path.source.pin:
                    found[path.source.part, path.source.pin] = path.source.name
            found[bit.driver.part, bit.driver.pin] = bit.driver.name
        if colour.pin.part and colour.pin.pin:
            found[colour.pin.part, colour.pin.pin] = colour.pin.name
    return found | {(r.part, r.pin): r.name for r in page.legs if r.name}


def _types(bit_map: BitMap) -> dict[str, str]:
    """What each part is sold as."""
    found: dict[str, str] = {}
    for colour in bit_map.colours:
        for bit in colour.bits:
            for path in bit.paths:
                found |= {step.part: step.sold_as for step in path.steps}
                if path.source.part and path.source.type:
                    found[path.source.part] = path.source.sold_as or path.source.type
            found.setdefault(bit.driver.part, bit.driver.sold_as)
        if colour.pin.part:
            found.setdefault(colour.pin.part, "connector")
    return found | {chip.part: chip.sold_as for chip in bit_map.chips}


def feeds_text(items: Items, paths: Iterable[int]) -> str:
    """``red 3-0, green 3-0``: bits of the paths that are no write paths."""
    bits: dict[int, set[int]] = {}
    for number in paths:
        path = items.paths[number]
        if path.role != "write path":
            bits.setdefault(path.colour, set()).add(path.bit)
    return ", ".join(f"{items.map.colours[c].name} {spans(bits[c])}" for c in sorted(bits))
