"""KiCad's legacy symbol libraries (`.lib`) -> bodies of symbols. The form is `grammars/kicad_legacy_library.lark`.

A legacy schematic names its symbols only; their pins stand in libraries beside
it. KiCad writes a copy of all that it used to ``NAME-cache.lib``, which is
looked in first; then come the project's own libraries.
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import replace
from pathlib import Path

from tracer.base.errors import NetlistError
from tracer.importers.kicad.sheet_file import STEPS_PER_MM, Body, BodyPin
from tracer.importers.kicad.sheets import in_another_case, is_there
from tracer.importers.sexpr import parse_sexpr
from tracer.importers.statements import read_statements
from tracer.importers.text import Positions, decode, read_bytes

__all__ = ["KINDS", "STEPS_PER_MIL", "Libraries", "load_library"]

#: Legacy files are in thousandths of an inch, 25.4 micrometres.
STEPS_PER_MIL = STEPS_PER_MM * 254 // 10000

#: Letter of a pin's type -> KiCad's later word.
KINDS = {
    "I": "input",
    "O": "output",
    "B": "bidirectional",
    "T": "tri_state",
    "P": "passive",
    "U": "unspecified",
    "W": "power_in",
    "w": "power_out",
    "C": "open_collector",
    "E": "open_emitter",
    "N": "no_connect",
}

_WANTED = {
    "HEADER": "the first line EESchema-LIBRARY",
    "DEFINE": "DEF and a symbol's name",
    "ALIAS": "ALIAS and names",
    "PIN": "a pin (X ...)",
    "END_DEFINE": "ENDDEF",
}


def load_library(text: str, file: str) -> dict[str, Body]:
    """All symbols of a library, by name and by each further name (alias).

    Raises
    ------
    NetlistError
        It is no legacy library, not whole, or a pin lacks a word.
    """
    positions = Positions(text, file)
    bodies: dict[str, Body] = {}
    names: list[str] = []
    pins: list[BodyPin] = []
    power = ""
    for statement in read_statements("kicad_legacy_library", positions, _WANTED):
        kind, words, at = statement.type, statement.split(), statement.start_pos or 0
        if kind == "DEFINE":
            if len(words) < 2:
                raise positions.error("this symbol has no name", at, "save the library again")
            # A tilde in front says that the name is not shown.
            names, pins = [words[1].removeprefix("~") or words[1]], []
            power = "global" if words[9:10] == ["P"] else ""
        elif kind == "ALIAS":
            names += words[1:]
        elif kind == "PIN":
            pins.append(_pin(words, positions, at))
        elif kind == "END_DEFINE":
            body = Body(names[0], power, tuple(pins))
            for name in names:
                bodies.setdefault(name, replace(body, name=name))
    return bodies


def _pin(words: list[str], positions: Positions, at: int) -> BodyPin:
    try:
        # Between them length, side and the sizes of name and number.
        (name, number, x, y), (unit, style, kind) = words[1:5], words[9:12]
        place = (int(x) * STEPS_PER_MIL, int(y) * STEPS_PER_MIL)
        section, body = int(unit), int(style)
    except ValueError:
        raise positions.error(
            "this pin lacks a word or has one that is no number", at, "save the library again in KiCad"
        ) from None
    form = words[12] if len(words) > 12 else ""
    return BodyPin(
        number="" if number == "~" else number,
        name="" if name == "~" else name,
        kind=KINDS.get(kind, "unspecified"),
        hidden="N" in form,
        at=place,
        unit=section,
        body=body,
    )


class Libraries:
    """The libraries of one schematic; each is read when it is first needed.

    Attributes
    ----------
    used : dict of Path to bytes
        The files in which symbols were found, with their contents.
    cache : Path
        KiCad's copy of all that the schematic uses: by its name, else by the only one that differs in case.
    """

    def __init__(self, root: Path) -> None:
        self.used: dict[Path, bytes] = {}
        self.cache = root.with_name(f"{root.stem}-cache.lib")
        same = in_another_case(root.parent, self.cache.name)
        if len(same) == 1:
            self.cache = root.with_name(same[0])
        self._read: dict[Path, tuple[dict[str, Body], dict[str, list[Body]], bytes]] = {}
        self._by_nickname = dict(_symbol_table(root.parent))
        self._folders = [root.parent, *_library_folders(root)]

    def body(self, name: str, listed: list[str]) -> Body | None:
        """The body of a symbol as a schematic names it (``74xx:74LS273`` or ``74LS273``); None when it is nowhere.

        `listed` are the libraries that its sheet names.
        """
        nickname, _, own = name.rpartition(":")
        cached = [f"{nickname}:{own}", f"{nickname}_{own}"] if nickname else []
        for file, wanted in self._places(nickname, listed, [*cached, own], own):
            bodies, folded, data = self._load(file)
            found = _find(bodies, folded, wanted)
            if found is not None:
                self.used[file] = data
                return replace(found, name=name)
        return None

    def _places(
        self, nickname: str, listed: list[str], cached: list[str], own: str
    ) -> Iterator[tuple[Path, list[str]]]:
        """Files in the order in which they are looked in, and the names there."""
        caches = [self.cache, *(p for n in listed if n.endswith("-cache") for p in self._paths(n))]
        yield from ((file, cached) for file in dict.fromkeys(caches) if is_there(file))
        if nickname in self._by_nickname:
            yield self._by_nickname[nickname], [own]
        names = [nickname] if nickname else [n for n in listed if not n.endswith("-cache")]
        yield from ((file, [own]) for name in names for file in self._paths(name))

    def _paths(self, library: str) -> Iterator[Path]:
        path = Path(library.replace("\\", "/"))
        for folder in self._folders if path.name and not path.is_absolute() else ():
            file = folder / path.with_name(path.name + ".lib")
            if is_there(file):
                yield file

    def _load(self, file: Path) -> tuple[dict[str, Body], dict[str, list[Body]], bytes]:
        if file not in self._read:
            data = read_bytes(file)
            bodies = load_library(decode(data, str(file))[0], str(file))
            folded: dict[str, list[Body]] = {}
            for name, body in bodies.items():
                folded.setdefault(_folded(name), []).append(body)
            self._read[file] = bodies, folded, data
        return self._read[file]


def _find(bodies: dict[str, Body], folded: dict[str, list[Body]], names: list[str]) -> Body | None:
    """By name to the letter, else by the only one that differs in case or in what a file name may not hold."""
    for name in names:
        if name in bodies:
            return bodies[name]
    for name in names:
        same = folded.get(_folded(name), ())
        if len(same) == 1:
            return same[0]
    return None


def _folded(name: str) -> str:
    return re.sub(r"\W", "_", name).upper()


def _symbol_table(folder: Path) -> Iterator[tuple[str, Path]]:
    """The libraries that ``sym-lib-table`` has in the project's own folder."""
    table = folder / "sym-lib-table"
    if not table.is_file():
        return
    try:
        tree = parse_sexpr(decode(read_bytes(table), str(table))[0], str(table))
    except NetlistError:
        # The cache may hold all that is needed; what is not found is reported.
        return
    for entry in tree.all("lib"):
        place = entry.word("uri").replace("\\", "/")
        if place.startswith("${KIPRJMOD}/"):
            file = folder / place.removeprefix("${KIPRJMOD}/")
            if file.suffix == ".lib" and is_there(file):
                yield entry.word("name"), file


def _library_folders(root: Path) -> Iterator[Path]:
    """Where the project file (``.pro``) says that libraries lie, as far as that is near the project."""
    project = root.with_suffix(".pro")
    if not project.is_file():
        return
    for line in read_bytes(project).decode("utf-8", "replace").splitlines():
        if line.startswith("LibDir="):
            for entry in line.removeprefix("LibDir=").split(";"):
                folder = entry.strip().replace("\\", "/")
                if folder and not Path(folder).is_absolute():
                    yield root.parent / folder
