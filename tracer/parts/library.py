"""The part library: TOML tables by family -> `PartType`, checked on load.

Form of a table (one a type)
----------------------------
::

    ["74x157"]
    what = "quad 2:1 multiplexer"             # a few words
    kind = "multiplexer"                      # one of kinds.Kind
    pins = "S 1A 1B 1Y 2A 2B 2Y GND ..."      # names in leg order; leading / = active low
    output = "three-state"                    # of all outputs: totem pole (default), three-state, open collector
    sections = [                              # equal gates once, `n` standing for each of `each`
      { each = "1-4", out = "nY", data = "nA[S=0] nB[S=1]", select = "S", enable = "/G" },
    ]
    cite = "M"                                # a letter of sources.toml, or a sentence
    confirmed = "KLP"                         # letters of sources.toml; leave out when from memory

``out`` and ``inverted`` name the outputs that pass the data on as it is and
turned over; ``data`` names the inputs that are passed on, in brackets the
levels of other pins under which they are; ``address`` and ``write`` are a
memory's; ``clock clear preset enable select load write_enable direction`` are
controls. ``A0-A9`` stands for ten names. Pins called VCC, VDD, GND, VSS, VEE,
V+, V-, VPP are supply, NC is not connected.

Legs that are not numbered 1 2 3 ... carry ``numbers = "..."``; other packages with other numbers stand in
``packages = { PLCC52 = "..." }``, see `tracer.parts.packages`.
"""

from __future__ import annotations

import re
import tomllib
from collections import Counter
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass, field, replace
from functools import cache
from importlib.resources import files
from typing import Any

from tracer.base.errors import PartDataError
from tracer.base.names import natural_key
from tracer.base.toml_errors import TABLE_HEAD, BadToml, TomlPlaces, load_toml
from tracer.parts.kinds import Kind
from tracer.parts.model import Arc, Direction, PartType, PinType
from tracer.parts.packages import in_package, wrong_packages

__all__ = ["Library", "load_library", "parse_types"]

#: Pins of a part, and names in a range such as ``A0-A9``; the largest package met has 56.
MOST_PINS = 4096
#: Letters that stand for ``n``.
_LONGEST_EACH = 40
#: Arcs of a part: sections with every input on every output are multiplied out.
MOST_ARCS = 200_000

_CONTROLS = ("clock", "clear", "preset", "enable", "select", "load", "write_enable", "direction")
_SECTION_KEYS = frozenset({"each", "out", "inverted", "data", "address", "write", "output", *_CONTROLS})
_TYPE_KEYS = frozenset(
    {"what", "kind", "pins", "numbers", "packages", "output", "sections", "cite", "confirmed", "also"}
)
_OUTPUTS: dict[str, Direction] = {
    "totem pole": "out",
    "three-state": "three_state",
    "open collector": "open_collector",
    "open emitter": "open_emitter",
}
_GROUND = re.compile(r"(?:[AD]?GND|VSS|V-|VEE|0V)\d*")
_SUPPLY = re.compile(r"(?:[AD]?V(?:CC|DD|BB|PP|\+)|[+-]?\d+V|VREF)\d*[A-Z]?")
_RANGE = re.compile(r"(\D*)(\d+)-\1(\d+)")
_LETTER_RANGE = re.compile(r"([A-Z])-([A-Z])")
_CONDITION = re.compile(r"([^\s\[]+)(?:\[([^\]]*)\])?")


@dataclass(frozen=True)
class Library:
    """All part types that are known.

    Attributes
    ----------
    added : mapping of str to PartType
        Types of the user's own files; they win over those of the program.
    """

    added: Mapping[str, PartType] = field(default_factory=dict)

    def find(self, name: str) -> PartType | None:
        """The type called `name`, or None."""
        if name in self.added:
            return self.added[name]
        table = _tables().get(name)
        return _built(table) if table else None

    def names(self) -> tuple[str, ...]:
        """All type names, in natural order."""
        return tuple(sorted({*self.added, *_tables()}, key=natural_key))

    def all_types(self) -> tuple[PartType, ...]:
        """Every type, built."""
        return tuple(t for name in self.names() if (t := self.find(name)))


def load_library(user_files: Iterable[tuple[str, str]] = ()) -> Library:
    """The program's types and those of the user's files.

    Parameters
    ----------
    user_files : iterable of (str, str)
        Name and text of each file of part types.

    Raises
    ------
    PartDataError
        A table is wrong; says which, where and why.
    """
    added: dict[str, PartType] = {}
    for file, text in user_files:
        added.update(parse_types(text, file))
    return Library(added)


def parse_types(text: str, file: str) -> dict[str, PartType]:
    """Read the part types of one TOML text.

    Raises
    ------
    PartDataError
        The text is not TOML, or tables contradict themselves: every mistake, each with its line.
    """
    try:
        tables = load_toml(text)
    except BadToml as error:
        raise PartDataError(
            f"this line is not in the form of TOML: {error.what}",
            file=file,
            line=error.line,
            column=error.column,
            fix="correct it; `rgbroots help parts` shows a whole file",
        ) from None
    places: TomlPlaces | None = None
    types: dict[str, PartType] = {}
    wrong: list[PartDataError] = []
    for name, table in tables.items():
        try:
            types[name] = _build_type(name, table)
        except _TableErrors as error:
            places = places or TomlPlaces(text)
            wrong += [
                PartDataError(
                    f"part type {name}: {e}",
                    file=file,
                    line=places.line(name, e.key, e.section),
                    fix="correct the table as `rgbroots help parts` shows; nothing of this file was used",
                )
                for e in error.errors
            ]
        else:
            for other in str(table.get("also", "")).split():
                types[other] = types[name]
    if wrong:
        wrong[0].others = tuple(wrong[1:])
        raise wrong[0]
    return types


class _TableError(Exception):
    """One thing that is wrong with a table, the key that it is about, and the number of the section, from 0."""

    def __init__(self, what: str, key: str = "", section: int = -1) -> None:
        super().__init__(what)
        self.key, self.section = key, section


class _TableErrors(Exception):
    """All that is wrong with a table; `parse_types` adds the places."""

    def __init__(self, errors: Iterable[_TableError]) -> None:
        self.errors = tuple(errors)


def _build_type(name: str, table: Any) -> PartType:
    if wrong := list(_wrong_keys(table)):
        raise _TableErrors(wrong)
    names = table["pins"].split()
    numbers = table.get("numbers", "").split() or [str(i + 1) for i in range(len(names))]
    builder = _Builder(dict(zip(numbers, names, strict=True)), table.get("output", "totem pole"))
    for i, section in enumerate(table.get("sections", [])):
        try:
            builder.add(section)
        except _TableError as error:
            wrong.append(_TableError(str(error), "sections", i))
    # What legs lack follows from sections, so that it is asked when these are right.
    if not wrong and (unused := builder.unused()):
        wrong.append(_TableError(unused, "pins"))
    if wrong:
        raise _TableErrors(wrong)
    found = PartType(
        name=name,
        what=table["what"],
        kind=Kind(table["kind"]),
        pins=builder.pin_types(),
        arcs=tuple(builder.arcs),
        cite=_sources()["cite"].get(table["cite"]) or table["cite"],
        confirmed=tuple(_sources()["confirmed"].get(c, c) for c in _letters(table.get("confirmed", ""))),
    )
    packages = tuple(in_package(found, package, text) for package, text in table.get("packages", {}).items())
    return replace(found, other_packages=packages) if packages else found


def _wrong_keys(table: Any) -> Iterator[_TableError]:
    """What is wrong with the keys of a table, each by itself."""
    if not isinstance(table, dict):
        yield _TableError("it must be a table in square brackets")
        return
    for key in sorted(set(table) - _TYPE_KEYS):
        yield _TableError(f"unknown key {key!r}; the keys are {', '.join(sorted(_TYPE_KEYS))}", key)
    texts = {key: value for key, value in table.items() if isinstance(value, str)}
    for key in ("what", "kind", "pins", "cite"):
        if not texts.get(key, "").strip():
            yield _TableError(f"{key!r} is missing; it is a text in quotes", key)
    for key in ("numbers", "output", "confirmed", "also"):
        if key in table and key not in texts:
            yield _TableError(f"{key!r} is a text in quotes", key)
    if not isinstance(table.get("sections", []), list):
        yield _TableError("'sections' is a list of tables in square brackets", "sections")
    if texts.get("kind", "").strip() and texts["kind"] not in list(Kind):
        yield _TableError(f"unknown kind {texts['kind']!r}; the kinds are {', '.join(Kind)}", "kind")
    if texts.get("output", "totem pole") not in _OUTPUTS:
        yield _TableError(f"unknown output {texts['output']!r}; it is one of {', '.join(_OUTPUTS)}", "output")
    if "packages" in table:
        for what in wrong_packages(table["packages"], texts.get("pins", "").split(), MOST_PINS):
            yield _TableError(what, "packages")
    yield from _wrong_legs(texts.get("pins", "").split(), texts.get("numbers", "").split())


def _wrong_legs(names: list[str], numbers: list[str]) -> Iterator[_TableError]:
    if len(names) > MOST_PINS:
        yield _TableError(f"{len(names)} pins are more than the {MOST_PINS} that a part may have", "pins")
        return
    if numbers and len(numbers) != len(names):
        what = f"`pins` has {len(names)} names, `numbers` has {len(numbers)}: as many are wanted"
        yield _TableError(what, "numbers")
    twice = {n for n, count in Counter(names).items() if count > 1 and n != "NC" and not _is_supply(n)}
    for name in sorted(twice, key=natural_key):
        yield _TableError(f"two legs are called {name}: give each a name of its own", "pins")
    again = sorted((n for n, count in Counter(numbers).items() if count > 1), key=natural_key)
    for number in again:
        yield _TableError(f"two legs have the number {number}: give each its own", "numbers")


def _letters(text: str) -> list[str]:
    """``KLP`` is three sources; a longer text with blanks is one."""
    return list(text) if text.isalpha() else [text] if text else []


class _Builder:
    """Collects pins and arcs of one type while its sections are read."""

    def __init__(self, names: dict[str, str], output: str) -> None:
        self.names = names
        self.numbers: dict[str, str] = {}
        for number, name in names.items():
            self.numbers.setdefault(name, number)
        self.output = output
        self.directions: dict[str, Direction] = {}
        self.roles: dict[str, str] = {}
        self.arcs: list[Arc] = []

    def add(self, section: Mapping[str, str]) -> None:
        if not isinstance(section, dict) or not all(isinstance(v, str) for v in section.values()):
            raise _TableError('a section is a table of texts, such as { out = "nQ", data = "nD" }')
        if unknown := set(section) - _SECTION_KEYS:
            raise _TableError(
                f"unknown key {sorted(unknown)[0]!r} in a section; the keys are {', '.join(sorted(_SECTION_KEYS))}"
            )
        for each in _each(section.get("each", "")):
            self._add_one(
                {
                    k: v.replace("n", each) if each and k != "output" else v
                    for k, v in section.items()
                    if k != "each"
                }
            )

    def _add_one(self, section: dict[str, str]) -> None:
        output = section.get("output", self.output)
        if output not in _OUTPUTS:
            raise _TableError(f"unknown output {output!r}; it is one of {', '.join(_OUTPUTS)}")
        outputs = [(self._number(o), False) for o in _names(section.get("out", ""))]
        outputs += [(self._number(o), True) for o in _names(section.get("inverted", ""))]
        if not outputs:
            raise _TableError("a section needs `out` or `inverted`")
        addresses = [self._number(a) for a in _names(section.get("address", ""))]
        writes = [self._number(w) for w in _names(section.get("write", ""))]
        data = [(self._number(d), w) for d, w in self._conditions(section.get("data", ""))]
        each_way = len(data) + len(addresses) + sum(len(_names(section.get(role, ""))) for role in _CONTROLS)
        if len(self.arcs) + len(outputs) * each_way > MOST_ARCS:
            raise _TableError(
                f"its sections make more than {MOST_ARCS:,} ways from legs to legs: name fewer legs in one section, or "
                "use `each`"
            )
        for number, inverts in outputs:
            self.roles[number] = (
                "data_io" if number in writes or self.roles.get(number) == "data_in" else "data_out"
            )
            bidirectional = number in writes or (
                number in self.directions and self.directions[number] == "in"
            )
            self.directions[number] = "bidirectional" if bidirectional else _OUTPUTS[output]
            self.arcs += [Arc("data", d, number, inverts, when=w) for d, w in data]
            self.arcs += [Arc("address", a, number) for a in addresses]
            for role in _CONTROLS:
                for control in _names(section.get(role, "")):
                    pin = self._number(control)
                    self.arcs.append(Arc("control", pin, number, role=role))
                    self._input(pin, role)
        for pin, _ in data:
            self._input(pin, "serial_in" if self.names[pin].startswith(("SER", "SR", "SL")) else "data_in")
        for pin in addresses:
            self._input(pin, "address")
        for pin in writes:
            self._input(pin, "data_in")

    def _input(self, number: str, role: str) -> None:
        if self.directions.get(number) in {"out", "three_state", "open_collector", "open_emitter"}:
            self.directions[number], self.roles[number] = "bidirectional", "data_io"
        elif number not in self.directions:
            self.directions[number], self.roles[number] = "in", role

    def _number(self, name: str) -> str:
        if name not in self.numbers:
            raise _TableError(f"a section names the leg {name}, which is not among `pins`")
        return self.numbers[name]

    def _conditions(self, text: str) -> list[tuple[str, tuple[tuple[str, int], ...]]]:
        found = []
        for match in _CONDITION.finditer(text):
            when = []
            for condition in filter(None, (match[2] or "").split(",")):
                pin, equals, level = condition.partition("=")
                if equals != "=" or level not in ("0", "1"):
                    raise _TableError(f"a condition is written PIN=0 or PIN=1, not {condition!r}")
                when.append((self._number(pin), int(level)))
            found += [(name, tuple(when)) for name in _names(match[1])]
        return found

    def unused(self) -> str:
        """What is to be said of legs that are in no section and mean nothing by their names."""
        legs = [
            f"{number} ({name})"
            for number, name in self.names.items()
            if number not in self.directions and _by_name(name) is None
        ]
        if len(legs) < 2:
            return "".join(
                f"leg {leg} is in no section: put it into one, or call it NC if it does nothing"
                for leg in legs
            )
        listed = f"{', '.join(legs[:-1])} and {legs[-1]}"
        return f"legs {listed} are in no section: put them into one, or call them NC if they do nothing"

    def pin_types(self) -> tuple[PinType, ...]:
        pins = []
        for number, name in self.names.items():
            known = (
                (self.directions[number], self.roles.get(number, "")) if number in self.directions else None
            )
            direction, role = known or _by_name(name) or ("nc", "nc")
            pins.append(PinType(number, name, direction, role))
        return tuple(pins)


def _by_name(name: str) -> tuple[Direction, str] | None:
    """Direction and role of a leg that its name tells."""
    if _is_supply(name):
        return "power", "ground" if _GROUND.fullmatch(name) else "supply"
    if name == "NC":
        return "nc", "nc"
    return ("in", "enable") if name in ("/PGM", "PGM") else None


def _is_supply(name: str) -> bool:
    return bool(_GROUND.fullmatch(name) or _SUPPLY.fullmatch(name))


def _each(text: str) -> list[str]:
    if not text:
        return [""]
    if letters := _LETTER_RANGE.fullmatch(text):
        return [chr(c) for c in range(ord(letters[1]), ord(letters[2]) + 1)]
    if numbers := re.fullmatch(r"(\d+)-(\d+)", text):
        return [str(i) for i in _range(numbers[1], numbers[2], text)]
    words = text.split()
    if len(words) > MOST_PINS or any(len(word) > _LONGEST_EACH for word in words):
        raise _TableError(f"`each` is a range or up to {MOST_PINS} words of up to {_LONGEST_EACH} letters")
    return words


def _range(first: str, last: str, text: str) -> range:
    """Both ends are in it."""
    if max(len(first), len(last)) > 9 or int(last) - int(first) >= MOST_PINS:
        raise _TableError(f"{text} names more than {MOST_PINS}")
    return range(int(first), int(last) + 1)


def _names(text: str) -> list[str]:
    found = []
    for word in text.split():
        span = _RANGE.fullmatch(word)
        found += [f"{span[1]}{i}" for i in _range(span[2], span[3], word)] if span else [word]
    return found


@cache
def _data_text(file: str) -> str:
    return (files("tracer.parts") / "data" / file).read_text(encoding="utf-8")


#: Files of `parts/data` that hold part types; the others hold rules.
_TYPE_FILES = (
    "registers.toml",
    "flip_flops.toml",
    "buffers.toml",
    "multiplexers.toml",
    "gates.toml",
    "single_gates.toml",
    "cmos.toml",
    "analogue_switches.toml",
    "shift_registers.toml",
    "counters.toml",
    "decoders.toml",
    "logic.toml",
    "rams.toml",
    "drams.toml",
    "proms.toml",
    "eproms.toml",
    "roms.toml",
    "logic_arrays.toml",
    "analogue.toml",
    "op_amps.toml",
    "cpus.toml",
)


@cache
def _tables() -> dict[str, tuple[str, str, str]]:
    """Name -> type name, file and text of its table alone, so that a lookup parses one table and no more."""
    found: dict[str, tuple[str, str, str]] = {}
    for file in _TYPE_FILES:
        text = _data_text(file)
        heads = list(TABLE_HEAD.finditer(text))
        for head, following in zip(heads, [*heads[1:], None], strict=True):
            table = (head[1], file, text[head.start() : following.start() if following else len(text)])
            also = re.search(r'^also = "([^"]+)"', table[2], re.MULTILINE)
            for name in (head[1], *(also[1].split() if also else ())):
                found[name] = table
    return found


@cache
def _built(table: tuple[str, str, str]) -> PartType:
    name, file, text = table
    return parse_types(text, file)[name]


@cache
def _sources() -> dict[str, dict[str, str]]:
    return tomllib.loads(_data_text("sources.toml"))
