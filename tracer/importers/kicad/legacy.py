"""KiCad schematics of versions 2 to 4, which KiCad 5 and older write -> sheets, symbols, wires, labels.

One file is read by `legacy_sheet.py`; the pins of symbols come from libraries beside the schematic
(`legacy_library.py`), and what is joined to what is told by `legacy_nets.py`. Files of version 1 differ in one word
(from memory): what they call a global label is a hierarchical one.
"""

from __future__ import annotations

import os
from collections import Counter
from collections.abc import Iterator
from pathlib import Path

from tracer.base.errors import NetlistError
from tracer.base.findings import Finding, note, warning
from tracer.base.names import natural_key
from tracer.importers.kicad.legacy_library import Libraries
from tracer.importers.kicad.legacy_nets import LegacyConnector
from tracer.importers.kicad.legacy_sheet import LegacySheetReader
from tracer.importers.kicad.sheet_file import Body, SheetFile
from tracer.importers.kicad.sheets import in_another_case, is_there, load_sheets, shown_file
from tracer.importers.text import Positions, decode, read_bytes
from tracer.netlist.board import Netlist, make_netlist

__all__ = ["read"]


def read(path: Path, name: str, encoding: str | None = None) -> tuple[Netlist, list[tuple[str, bytes]]]:
    """Read a schematic, all its sheets and the libraries of its symbols.

    Returns
    -------
    netlist : Netlist
    inputs : list of (str, bytes)
        Name and contents of each file that was read, the root first, libraries last.

    Raises
    ------
    NetlistError
        A file is missing, not whole or no schematic, a sheet holds itself, or no symbol's pins can be found.
    """
    loader = _Loader(path, encoding)
    sheets = load_sheets(path, loader.load)
    loader.check_symbols()
    connector = LegacyConnector(sheets)
    findings = [*loader.findings(), *sheets.findings, *connector.findings()]
    netlist = make_netlist(name, connector.parts(), connector.nets(), findings=findings)
    folder = path.resolve().parent
    libraries = [(shown_file(f.resolve(), folder), data) for f, data in loader.libraries.used.items()]
    return netlist, [*sheets.inputs(), *libraries]


class _Loader:
    """Loads the files of one schematic."""

    def __init__(self, root: Path, encoding: str | None) -> None:
        self.root, self.encoding = root, encoding
        self.libraries = Libraries(root)
        self._bodies: dict[tuple[str, tuple[str, ...]], Body | None] = {}
        self._missing: dict[str, list[str]] = {}
        self._skipped: dict[str, Counter[str]] = {}
        self._findings: list[Finding] = []
        self._symbols = 0

    def load(self, path: Path) -> SheetFile:
        """One file."""
        data = read_bytes(path)
        text, assumed = decode(data, str(path), self.encoding)
        if path != self.root:
            # What was assumed for the root file is said by who read it first.
            self._findings += assumed
        return LegacySheetReader(self, path, data, Positions(text, str(path))).sheet

    def body(self, name: str, reference: str, listed: list[str]) -> Body:
        """The body of a symbol; one without pins where its library is missing."""
        key = (name, tuple(listed))
        if key not in self._bodies:
            self._bodies[key] = self.libraries.body(name, listed)
        found = self._bodies[key]
        self._symbols += 1
        if found is None:
            self._missing.setdefault(name, []).append(reference)
        return found or Body(name, "", ())

    def skip(self, path: Path, statement: str) -> None:
        """Count a line that is not understood."""
        self._skipped.setdefault(path.name, Counter())[statement.split()[0]] += 1

    def sheet_file(self, parent: Path, name: str) -> str:
        """The file of a sheet, seen from its parent's folder.

        KiCad 5 starts from the parent's folder, older ones from the project's; some wrote backslashes.
        """
        forms = [form for form in dict.fromkeys((name, name.replace("\\", "/"))) if form]
        places = [(folder, form) for form in forms for folder in (parent.parent, self.root.parent)]
        found = next((place for place in places if is_there(place[0] / place[1])), None)
        # In other upper and lower case it is found, and said, by who places the sheets.
        found = found or next((place for place in places if in_another_case(*place)), None)
        if found is None:
            return name
        folder, form = found
        return form if folder == parent.parent else os.path.relpath(folder / form, parent.parent)

    def check_symbols(self) -> None:
        """Refuse a schematic of which no symbol has a library."""
        if self._symbols and sum(map(len, self._missing.values())) == self._symbols:
            beside = _beside(self.root)
            instead = f"give {beside}, which lies beside it, instead; or " if beside else ""
            raise NetlistError(
                f"the symbols of this schematic stand in libraries that are not there: {self._missing_names()}",
                file=str(self.root),
                fix=f"{instead}{self._how_to_find_symbols()}, or export its netlist where the whole project lies",
            )

    def _missing_names(self) -> str:
        """All of them, as far as a person reads: by its symbols one knows which library is lacking."""
        names = sorted(self._missing, key=natural_key)
        more = f" and {len(names) - _NAMED} more" if len(names) > _NAMED else ""
        return ", ".join(names[:_NAMED]) + more

    def _how_to_find_symbols(self) -> str:
        cache = self.libraries.cache.name
        if is_there(self.libraries.cache):
            return f"put a newer {cache} beside the schematic (KiCad writes it when it saves)"
        return f"put {cache} beside the schematic (KiCad writes it there when it saves)"

    def findings(self) -> Iterator[Finding]:
        """What was assumed, skipped and missing."""
        yield from self._findings
        own, there = f"{self.root.stem}-cache.lib", self.libraries.cache.name
        if there != own and self.libraries.cache in self.libraries.used:
            yield note(
                "file-in-other-case",
                f"{there} was taken for {own}: it differs in upper and lower case alone",
                there,
            )
        for file, skipped in self._skipped.items():
            words = ", ".join(f"{word} x {count}" for word, count in sorted(skipped.items()))
            yield note("skipped-clause", f"lines that this reader does not know were skipped: {words}", file)
        if self._missing:
            references = sorted({r for refs in self._missing.values() for r in refs}, key=natural_key)
            beside = _beside(self.root)
            instead = f", or give {beside}, which lies beside it, instead" if beside else ""
            yield warning(
                "missing-symbol",
                f"{len(references)} part(s) have no pins, as no library has their symbols ({self._missing_names()}): "
                f"{', '.join(references[:8])}{' ...' if len(references) > 8 else ''}; {self._how_to_find_symbols()}{instead}",
                *references,
            )


#: What holds the nets of a drawing without its symbols, by the ends of their names.
_WITH_NETS = (".net", ".kicad_pcb")
#: Symbols that a message names.
_NAMED = 100


def _beside(root: Path) -> str:
    """The netlist or board that lies beside a schematic: those of its name, else the only one; empty without any."""
    try:
        files = sorted(
            f for f in root.resolve().parent.iterdir() if f.suffix.lower() in _WITH_NETS and f.is_file()
        )
    except OSError:
        return ""
    own = [file.name for file in files if file.stem.casefold() == root.stem.casefold()]
    return " or ".join(own or [file.name for file in files if len(files) == 1])
