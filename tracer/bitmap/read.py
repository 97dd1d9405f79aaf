"""A saved map (format ``rgbroots-map``, version 1) -> `BitMap`.

Everything that the JSON holds comes back; what is wrong with a file is said
with the place in it (``colours.red.bits[0].weight``).
"""

from __future__ import annotations

import json
from typing import Any, TypeVar, cast

from tracer.base.errors import MapError
from tracer.base.findings import Finding
from tracer.base.visible import visible
from tracer.bitmap.model import (
    MAP_FORMAT,
    MAP_VERSION,
    MEMORY_SOURCES,
    Bit,
    BitMap,
    Chip,
    Colour,
    ColourPin,
    Control,
    Driver,
    IndexLine,
    MemoryIndex,
    Path,
    Source,
    StageResistor,
    Step,
    When,
)
from tracer.netlist.board import Input

__all__ = ["read_map"]

#: Letters of one text, and size of one number, in a map that is read back.
LONGEST_TEXT = 1 << 16
LARGEST_NUMBER = 1e18

_T = TypeVar("_T")
_ROLES = ("picture", "write path", "alternative")
_FOUND_BY = ("told", "connector", "name", "shape")
_SOURCES = (*sorted(MEMORY_SOURCES), "logic array", "dac", "cpu", "custom", "connector", "logic", "rail", "nothing", "unknown part")  # fmt: skip


def read_map(text: str, file: str) -> BitMap:
    """Read the text of a saved map.

    Raises
    ------
    MapError
        Not JSON, another format, another version, or a value missing or of the wrong type.
    """
    try:
        value = json.loads(text)
    except json.JSONDecodeError as error:
        raise MapError(
            f"this is no JSON file: {error.msg}",
            file=file,
            line=error.lineno,
            column=error.colno,
            fix="save the map again",
        ) from None
    except RecursionError:
        raise MapError("its brackets are nested too deep", file=file, fix="save the map again") from None
    except ValueError:
        raise MapError("a number in it has too many digits", file=file, fix="save the map again") from None
    if not isinstance(value, dict) or value.get("format") != MAP_FORMAT:
        raise MapError(
            f"this is no {MAP_FORMAT} file", file=file, fix="save a map with `rgbroots trace BOARD --json`"
        )
    if value.get("version") != MAP_VERSION:
        raise MapError(
            f"this map is of version {value.get('version')!r}; version {MAP_VERSION} is read",
            file=file,
            fix="trace the board again with this program",
        )
    return _Reader(file).bit_map(value)


class _Reader:
    """Takes values out of the tree, naming the place when one is wrong."""

    def __init__(self, file: str) -> None:
        self.file = file

    def fail(self, path: str, what: str) -> MapError:
        return MapError(
            f"{path}: {what}", file=self.file, fix="save the map again; it was changed by hand or cut short"
        )

    def get(self, tree: Any, key: str, kind: type[_T] | tuple[type, ...], path: str) -> _T:
        if not isinstance(tree, dict):
            raise self.fail(path, "an object was expected")
        if key not in tree:
            raise self.fail(f"{path}.{key}", "is missing")
        value = tree[key]
        if not isinstance(value, kind) or (isinstance(value, bool) and kind is not bool):
            raise self.fail(f"{path}.{key}", f"is of the wrong type ({type(value).__name__})")
        if isinstance(value, str):
            if len(value) > LONGEST_TEXT:
                raise self.fail(
                    f"{path}.{key}", f"has {len(value):,} letters; up to {LONGEST_TEXT:,} are read"
                )
            value = visible(value)
        elif isinstance(value, int | float) and not abs(value) <= LARGEST_NUMBER:
            raise self.fail(f"{path}.{key}", f"is no number up to {LARGEST_NUMBER:.0e}")
        return cast(_T, value)

    def text(self, tree: Any, key: str, path: str) -> str:
        return self.get(tree, key, str, path)

    def optional(self, tree: Any, key: str, path: str) -> str | None:
        return self.get(tree, key, (str, type(None)), path)

    def number(self, tree: Any, key: str, path: str) -> float:
        return self.get(tree, key, (int, float), path)

    def count(self, tree: Any, key: str, path: str) -> int:
        found = self.get(tree, key, int, path)
        if found < 0:
            raise self.fail(f"{path}.{key}", "is below 0")
        return found

    def ohm(self, tree: Any, key: str, path: str) -> float | None:
        found: float | None = self.get(tree, key, (int, float, type(None)), path)
        if found is not None and found < 0:
            raise self.fail(f"{path}.{key}", "is below 0")
        return None if found is None else float(found)

    def items(self, tree: Any, key: str, path: str) -> list[tuple[str, Any]]:
        found: list[Any] = self.get(tree, key, list, path)
        return [(f"{path}.{key}[{i}]", item) for i, item in enumerate(found)]

    def one_of(self, tree: Any, key: str, known: tuple[str, ...], path: str) -> Any:
        value = self.text(tree, key, path)
        if value not in known:
            raise self.fail(f"{path}.{key}", f"{value!r} is none of {', '.join(known)}")
        return value

    def bit_map(self, tree: dict[str, Any]) -> BitMap:
        board: dict[str, Any] = self.get(tree, "board", dict, "map")
        colours: dict[str, Any] = self.get(tree, "colours", dict, "map")
        load = self.ohm(tree, "load_ohm", "map")
        if load == 0:
            raise self.fail("map.load_ohm", "is 0; no load is written as null")
        return BitMap(
            name=self.text(board, "name", "board"),
            inputs=tuple(
                Input(self.text(i, "file", p), self.text(i, "format", p), self.text(i, "sha256", p))
                for p, i in self.items(board, "inputs", "board")
            ),
            n_parts=self.count(board, "parts", "board"),
            n_nets=self.count(board, "nets", "board"),
            load_ohm=load,
            colours=tuple(self.colour(name, value) for name, value in colours.items()),
            chips=tuple(self.chip(p, c) for p, c in self.items(tree, "chips", "map")),
            index=tuple(self.memory(p, m) for p, m in self.items(tree, "index", "map")),
            colours_possible=self.count(tree, "colours_possible", "map"),
            colours_at_once=self.count(tree, "colours_at_once", "map"),
            findings=tuple(self.finding(p, f) for p, f in self.items(tree, "findings", "map")),
        )

    def colour(self, name: str, tree: Any) -> Colour:
        name = visible(name[:LONGEST_TEXT])
        path = f"colours.{name}"
        pin: dict[str, Any] = self.get(tree, "pin", dict, path)
        at = f"{path}.pin"
        found = ColourPin(
            self.optional(pin, "part", at),
            self.optional(pin, "pin", at),
            self.text(pin, "name", at),
            self.text(pin, "net", at),
            self.one_of(pin, "found_by", _FOUND_BY, at),
        )
        bits = tuple(self.bit(p, b) for p, b in self.items(tree, "bits", path))
        return Colour(name, found, self.count(tree, "levels", path), bits)

    def bit(self, path: str, tree: Any) -> Bit:
        driver: dict[str, Any] = self.get(tree, "driver", dict, path)
        at = f"{path}.driver"
        resistors = []
        for where, resistor in self.items(tree, "resistors", path):
            resistors.append(
                StageResistor(self.text(resistor, "part", where), self.ohm(resistor, "ohm", where))
            )
        because = self.optional(tree, "because", path)
        return Bit(
            self.count(tree, "bit", path),
            float(self.number(tree, "weight", path)),
            tuple(resistors),
            Driver(*(self.text(driver, key, at) for key in ("part", "type", "pin", "name"))),
            tuple(self.path(p, x, because) for p, x in self.items(tree, "paths", path)),
        )

    def path(self, path: str, tree: Any, because: str | None) -> Path:
        source: dict[str, Any] = self.get(tree, "source", dict, path)
        at = f"{path}.source"
        end = Source(
            self.optional(source, "part", at),
            self.optional(source, "type", at),
            self.optional(source, "pin", at),
            self.text(source, "name", at),
            self.one_of(source, "kind", _SOURCES, at),
            self.optional(source, "place", at),
        )
        when = tuple(
            When(
                self.text(w, "part", p),
                self.text(w, "pin", p),
                self.text(w, "name", p),
                self.count(w, "level", p),
            )
            for p, w in self.items(tree, "when", path)
        )
        steps = tuple(self.step(p, s) for p, s in self.items(tree, "steps", path))
        role = self.one_of(tree, "role", _ROLES, path)
        # The file gives one reason a bit; it belongs to the paths that stop it.
        return Path(role, when, steps, end, None if end.is_memory or role == "write path" else because)

    def step(self, path: str, tree: Any) -> Step:
        controls = tuple(
            Control(self.text(c, "pin", p), self.text(c, "name", p), self.optional(c, "net", p))
            for p, c in self.items(tree, "controls", path)
        )
        return Step(
            self.text(tree, "part", path),
            self.text(tree, "type", path),
            self.text(tree, "from", path),
            self.text(tree, "to", path),
            self.text(tree, "how", path),
            self.get(tree, "inverts", bool, path),
            controls,
        )

    def chip(self, path: str, tree: Any) -> Chip:
        feeds: dict[str, list[int]] = self.get(tree, "feeds", dict, path)
        return Chip(
            self.text(tree, "part", path),
            self.text(tree, "type", path),
            self.optional(tree, "place", path),
            self.text(tree, "does", path),
            tuple((visible(colour), self.bits_fed(bits, f"{path}.feeds")) for colour, bits in feeds.items()),
        )

    def bits_fed(self, bits: Any, path: str) -> tuple[int, ...]:
        if not isinstance(bits, list) or not all(type(b) is int and 0 <= b <= LARGEST_NUMBER for b in bits):
            raise self.fail(path, "a list of bits was expected")
        return tuple(bits)

    def memory(self, path: str, tree: Any) -> MemoryIndex:
        lines = tuple(
            IndexLine(
                self.text(x, "pin", p),
                self.text(x, "name", p),
                self.optional(x, "net", p),
                self.text(x, "driven_by", p),
            )
            for p, x in self.items(tree, "lines", path)
        )
        return MemoryIndex(self.text(tree, "part", path), lines)

    def finding(self, path: str, tree: Any) -> Finding:
        where: list[str] = self.get(tree, "where", list, path)
        severity = self.one_of(tree, "severity", ("note", "warning"), path)
        # A saved finding has no code: it is shown, not acted on.
        return Finding(
            "saved", severity, tuple(visible(str(w)) for w in where), self.text(tree, "text", path)
        )
