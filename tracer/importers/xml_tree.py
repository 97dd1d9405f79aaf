"""One reader for all XML forms (KiCad's XML netlists, Eagle's schematics and boards).

The standard library's expat does the reading; it goes no deeper than its own
stack allows and never follows a name to another file. What it would do and a
netlist has no use for is refused: a DOCTYPE with declarations of its own, since
entities can swell a few lines to gigabytes, and with it every entity but the
five of XML. A plain ``<!DOCTYPE eagle SYSTEM "eagle.dtd">`` is passed over, and
the file it names is not looked for.
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from xml.parsers import expat

from tracer.base.errors import NetlistError
from tracer.importers.text import Positions

__all__ = ["Element", "parse_xml"]

#: Deeper nesting than any CAD program writes (the deepest real file met had 11 levels).
DEEPEST = 400

_DOCTYPE = re.compile(r"<!DOCTYPE\b[^\[>]*+(\[)?")
_OPENING = re.compile(r"\A(?:\s++|<\?[\s\S]*?\?>|<!--[\s\S]*?-->)*+")


_CODE = expat.errors.codes


class Element:
    """One element: tag, attributes, children in order, the text straight inside it, its offset in the file."""

    __slots__ = ("at", "attributes", "children", "tag", "text")

    def __init__(self, tag: str, attributes: dict[str, str], at: int) -> None:
        self.tag, self.attributes, self.at = tag, attributes, at
        self.children: list[Element] = []
        self.text = ""

    def all(self, *path: str) -> Iterator[Element]:
        """Every element below by this way of tags."""
        for child in self.children:
            if child.tag == path[0]:
                if len(path) == 1:
                    yield child
                else:
                    yield from child.all(*path[1:])

    def first(self, *path: str) -> Element | None:
        """The first of them."""
        return next(self.all(*path), None)

    def get(self, attribute: str, default: str = "") -> str:
        """An attribute's value."""
        return self.attributes.get(attribute, default)


def parse_xml(text: str, file: str) -> Element:
    """Read one XML file.

    Raises
    ------
    NetlistError
        It is not well formed, declares entities, or is nested deeper than `DEEPEST`; points at the place.
    """
    positions = Positions(text, file)
    return _Builder(_without_doctype(text, positions), positions).root()


def _without_doctype(text: str, positions: Positions) -> str:
    """The text with blanks for its DOCTYPE, so that offsets stay and no entity is taken as known elsewhere."""
    opening = _OPENING.match(text)
    found = _DOCTYPE.match(text, opening.end() if opening else 0)
    if not found:
        return text
    if found[1]:
        raise positions.error(
            "this DOCTYPE holds declarations of its own, which are not read: entities can swell to any size",
            found.start(1),
            "take the DOCTYPE out, or export the file again",
        )
    end = text.find(">", found.end()) + 1 or len(text)
    return text[: found.start()] + re.sub(r"[^\n]", " ", text[found.start() : end]) + text[end:]


class _Builder:
    def __init__(self, text: str, positions: Positions) -> None:
        self.positions = positions
        self.top: Element | None = None
        self.stack: list[Element] = []
        #: Text straight inside each open element, in pieces.
        self.pieces: list[list[str]] = []
        try:
            self.data = text.encode("utf-8")
        except UnicodeEncodeError as error:
            raise positions.error(
                "half a character stands here", error.start, "take it out, or export the file again"
            ) from None
        self.ascii = len(self.data) == len(text)
        # How far bytes have been counted as characters.
        self.byte, self.character = 0, 0
        parser = self.parser = expat.ParserCreate("utf-8")
        parser.buffer_text = True
        parser.StartElementHandler = self.start
        parser.EndElementHandler = self.end
        parser.CharacterDataHandler = self.characters
        parser.EntityDeclHandler = self.entity

    def root(self) -> Element:
        try:
            self.parser.Parse(self.data, True)
        except expat.ExpatError as error:
            raise self._error(error) from None
        if self.top is None:
            raise self.positions.error(
                "nothing but comments is in this XML file", 0, "export it again; it may be cut short"
            )
        return self.top

    def _error(self, error: expat.ExpatError) -> NetlistError:
        at = self._offset(min(max(self.parser.ErrorByteIndex, 0), len(self.data)))
        what = f"this is no well-formed XML: {expat.ErrorString(error.code)}"
        if error.code == _CODE[expat.errors.XML_ERROR_INVALID_TOKEN]:
            what = "this character or word has no place here in XML"
        elif self.stack:
            line, column = self.positions.line_column(self.stack[-1].at)
            opened = f"<{self.stack[-1].tag}>, which was opened at {line}:{column}"
            if error.code == _CODE[expat.errors.XML_ERROR_NO_ELEMENTS]:
                what = f"the file ends inside {opened}"
            elif error.code == _CODE[expat.errors.XML_ERROR_TAG_MISMATCH]:
                what = f"this closes another element than {opened}"
        return self.positions.error(what, at, "export the file again; nothing was read from it")

    def _offset(self, byte: int) -> int:
        """Bytes to characters. Elements come in order, so each stretch is counted once."""
        if self.ascii:
            return byte
        if byte < self.byte:
            return len(self.data[:byte].decode("utf-8", "replace"))
        self.character += len(self.data[self.byte : byte].decode("utf-8", "replace"))
        self.byte = byte
        return self.character

    def start(self, tag: str, attributes: dict[str, str]) -> None:
        element = Element(tag, attributes, self._offset(self.parser.CurrentByteIndex))
        if self.stack:
            self.stack[-1].children.append(element)
        else:
            self.top = element
        self.stack.append(element)
        self.pieces.append([])
        if len(self.stack) > DEEPEST:
            raise self.positions.error(
                f"elements are nested more than {DEEPEST} deep, which no board needs",
                element.at,
                "export the file again; this one is damaged",
            )

    def end(self, _tag: str) -> None:
        self.stack.pop().text = "".join(self.pieces.pop())

    def characters(self, text: str) -> None:
        if self.pieces:
            self.pieces[-1].append(text)

    def entity(self, name: str, *_: object) -> None:
        raise self.positions.error(
            f"the file declares an entity, {name}",
            self._offset(self.parser.CurrentByteIndex),
            "take the declaration out, or export the file again",
        )
