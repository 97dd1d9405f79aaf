"""The formats that can be read, in the order in which they are tried.

Adding a format = one module with ``parse(text, file, name) -> Netlist`` (and a
grammar in `grammars/` where one fits) + one row here.
"""

from __future__ import annotations

import re
from dataclasses import dataclass

from tracer.importers.refused import XML_PROLOG

__all__ = ["FORMATS", "Format"]


@dataclass(frozen=True, slots=True)
class Format:
    """A format that can be read.

    Attributes
    ----------
    name : str
        As written on the command line and in the map.
    what : str
        A few words.
    sniff : str
        Regular expression that is found in the head of every file of this format. It is compiled when it is asked
        for: few files need more than the first ones.
    module : str
        Dotted name of the module with its ``parse``.
    from_file : bool
        The reader needs the file's place, as it follows to other files.
    loses : tuple of str
        Facts the format cannot carry.
    takes : tuple of str
        Options of `read_netlist` that the reader needs itself: encoding, spice_pins.
    loose : bool
        `sniff` also fits other files: it is tried after those that are refused by name.
    """

    name: str
    what: str
    sniff: str
    module: str
    from_file: bool = False
    loses: tuple[str, ...] = ()
    takes: tuple[str, ...] = ()
    loose: bool = False

    def fits(self, head: str) -> bool:
        """Whether the head of a file is that of this format."""
        return re.search(self.sniff, head) is not None


#: In the order in which they are tried.
FORMATS: tuple[Format, ...] = (
    Format(
        "kicad-netlist",
        "KiCad netlist, KiCad 4 and later",
        r"\A\s*\(\s*export\b",
        "tracer.importers.kicad.netlist",
    ),
    Format(
        "kicad-schematic",
        "KiCad schematic with its sheets, KiCad 6 and later",
        r"\A\s*\(\s*kicad_sch\b",
        "tracer.importers.kicad.schematic",
        from_file=True,
    ),
    Format(
        "kicad-legacy",
        "KiCad schematic with its sheets and libraries, KiCad 5 and older",
        r"\A\s*EESchema Schematic File\b",
        "tracer.importers.kicad.legacy",
        from_file=True,
        loses=("parts that are not fitted",),
        takes=("encoding",),
    ),
    Format(
        "kicad-xml",
        "KiCad netlist as XML",
        rf"\A{XML_PROLOG}<export\b",
        "tracer.importers.kicad.xml",
    ),
    Format(
        "kicad-board",
        "KiCad board, KiCad 4 and later",
        r"\A\s*\(\s*kicad_pcb\b",
        "tracer.importers.kicad.board",
        loses=("symbols", "before KiCad 6 names and directions of pins"),
    ),
    Format(
        "edif",
        "EDIF 2 0 0 netlist",
        r"(?i)\A\s*\(\s*edif\b",
        "tracer.importers.edif.reader",
        loses=("pin names, where ports carry the legs' numbers",),
    ),
    Format(
        "eagle-schematic",
        "Eagle schematic, Eagle 6 and later",
        rf"\A{XML_PROLOG}<eagle\b[\s\S]*?<schematic\b",
        "tracer.importers.eagle.reader",
    ),
    Format(
        "eagle-board",
        "Eagle board, Eagle 6 and later",
        rf"\A{XML_PROLOG}<eagle\b[\s\S]*?<board\b",
        "tracer.importers.eagle.reader",
        loses=("symbols", "names and directions of pins"),
    ),
    Format(
        "orcad-pcb2",
        "OrCAD PCB II netlist, or KiCad netlist before version 4",
        r"(?i)\A\s*(?:\(\s*\{|#\s*EESchema Netlist)",
        "tracer.importers.lists.orcad",
        loses=(
            "names and directions of pins",
            "when KiCad wrote it: blanks in names, and more than four letters of a pin's number",
        ),
    ),
    Format(
        "tedax",
        "tEDAx netlist",
        r"(?i)\A\s*tEDAx\b",
        "tracer.importers.lists.geda",
        loses=("directions of pins",),
    ),
    Format(
        "protel2",
        "Protel 2 netlist",
        r"(?i)\A\s*PROTEL NETLIST 2",
        "tracer.importers.lists.tango",
    ),
    Format(
        "pads",
        "PADS ASCII part list or net list",
        r"(?im)^[ \t]*(?:[*!]PADS|\*(?:PART|NET)\*)",
        "tracer.importers.lists.pads",
        loses=(
            "markings, unless written VALUE@FOOTPRINT",
            "names and directions of pins",
            "when KiCad wrote it: nets of one pin, and more than four letters of a pin's number",
        ),
    ),
    Format(
        "telesis",
        "Telesis netlist for Allegro",
        r"(?im)^[ \t]*\$(?:PACKAGES|NETS)[ \t]*$",
        "tracer.importers.lists.telesis",
        loses=(
            "names and directions of pins",
            "when KiCad wrote it: the case of net names, and some parts of the part list",
        ),
    ),
    Format(
        "rinf",
        "CadStar RINF netlist",
        r"(?im)^[ \t]*\.(?:HEA|ADD_COM|ADD_TER)\b",
        "tracer.importers.lists.rinf",
        loses=(
            "names and directions of pins",
            "when KiCad wrote it: nets of one pin, and more than four letters of a pin's number",
        ),
    ),
    Format(
        "ipc-d-356",
        "IPC-D-356 bare board test list",
        r"(?m)^(?:3[126]7[^,;|\t\n]{17}[^\s,;|]|P +(?:UNITS|CODE|JOB|NNAME\w*) )",
        "tracer.importers.lists.ipc356",
        loses=(
            "markings",
            "names and directions of pins",
            "when KiCad wrote it: references of more than six letters, and long names of nets",
        ),
    ),
    Format(
        "geda",
        "gEDA or Lepton netlist list",
        r"(?m)^START (?:header|components|nets)\b",
        "tracer.importers.lists.geda",
        loses=("values of resistors and capacitors", "names and directions of pins"),
    ),
    Format(
        "verilog",
        "structural Verilog",
        r"(?m)^[ \t]*(?:macro)?module\s+(?:\\\S+(?:\s+found)?|[A-Za-z_][\w$]*)\s*[(;#]",
        "tracer.importers.verilog.reader",
        loses=("markings", "names or numbers of pins", "directions of most pins"),
    ),
    Format(
        "tango",
        "Tango or Protel netlist",
        # A bracket alone in a line, and below it a reference, or a net and a pin.
        (
            r"(?m)^[ \t]*\[[ \t]*\n[ \t]*[^\s{}\[\]()\",]+[ \t]*\n(?:[^\n\]]*\n){0,40}[ \t]*\][ \t]*$"
            # Matched as one row of signs (possessive): a pin may be long, and trying each part of it takes too long.
            r"|^[ \t]*\([ \t]*\n[^\n()]+\n[ \t]*(?=[^\s()]+[-,][^\s()])[^\s()]++[ \t]*\n"
        ),
        "tracer.importers.lists.tango",
        loses=("names and directions of pins",),
        loose=True,
    ),
    Format(
        "geda-pcb",
        "gEDA PCB netlist",
        # Name, tab, pins; a table of connections without a header has a pin where the name stands.
        (
            r"(?m)\A(?:[ \t]*(?:#[^\n]*)?\n)*(?![A-Za-z]+\d+[-.:/]\w+\t)[^\t\n]+\t(?:[A-Za-z_]+[ \t]+)?"
            r"(?:[^\s,;|]+-[^\s,;|-]+(?:[ \t]+|[ \t]*\\?$))+\s*$"
        ),
        "tracer.importers.lists.geda",
        loses=("markings", "names and directions of pins"),
        loose=True,
    ),
    Format(
        "bench-notes",
        "bench notes",
        (
            r"(?i)\A(?:[ \t]*(?:#[^\n]*)?\n)*[ \t]*(?:board[ \t]+\S|(?:load|seen|read|swapped|pressed|exchanged|measured)[ \t]+\S"
            r"|[^\s,;|=]+[ \t]+is[ \t]+\S|(?:(?:\"[^\"\n]+\"|[^\s,;|=]+):[ \t]+)?"
            # Each letter is looked at a fixed number of times: any file may be one long line.
            r"(?=[^\s=,;|]+?\.[^\s=,;|])[^\n=,;|]*+(?:(?<=[ \t])|(?<=[ \t]!))=[ \t])"
        ),
        "tracer.importers.typed.bench_notes",
        loses=("libraries and footprints of parts",),
    ),
    Format(
        "spice",
        "SPICE deck",
        # A card with a dot that others have not, or a comment first and then three elements.
        (
            r"(?im)^[ \t]*\.(?:ends?|subckt|model|include|title|tran)\b[^,;|\n]*$"
            r"|\A\*[^\n]*\n(?:[*.][^\n]*\n|[ \t]*\n)*"
            r"(?:[A-Z]\w*[ \t]+[^\s,;|]+[ \t]+[^\s,;|]+[^\n,;|]*\n(?:[*+][^\n]*\n)*){3}"
        ),
        "tracer.importers.spice.reader",
        loses=(
            "legs of subcircuits, unless a table tells them",
            "parts without a model, when KiCad wrote it",
            "names of pins",
            "footprints",
        ),
        takes=("spice_pins",),
        loose=True,
    ),
    Format(
        "table",
        "CSV or TSV table",
        # Title lines may stand above the header.
        r"\A(?:[^\n]*\n){0,12}?[^\n]*[,;\t|]",
        "tracer.importers.typed.table",
        loses=("pin directions",),
        loose=True,
    ),
)
