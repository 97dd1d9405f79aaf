"""Files that are known but hold no netlist, or none that can be read: what they are, and the way round.

`REFUSED` is tried on the head of a text, in its order, after the formats whose
marks are their own and before those whose marks fit much else (SPICE, tables).
`BINARY` is tried on the first bytes of a file.

Sources: heads of files that were met, and of those that Debian's ``lepton-eda``
1.9.18 back ends write (FutureNet, Redac, MaxASCII, BAE, Eagle script);
IPC-2581, Gerber (``%FS``, ``G04``), Excellon (``M48``), DXF, P-CAD ASCII, OrCAD
``pst*.dat`` and the numbers at the start of binary files from memory.
"""

from __future__ import annotations

import re
from pathlib import Path

__all__ = ["BINARY", "REFUSED", "XML_PROLOG", "folder_hint", "refuse_binary", "refuse_text"]

#: What may stand before the first element of an XML file. Nothing is tried twice (possessive), so that no
#: text takes long.
XML_PROLOG = r"(?:\s++|<\?[\s\S]*?\?>|<!--[\s\S]*?-->|<!DOCTYPE\b[^>\[]*+(?:\[[\s\S]*?\]\s*+)?>)*+"

_IPC = "export an IPC-D-356 file of the same board, or give its KiCad board (.kicad_pcb)"
_TYPE_IT = "a picture of a schematic cannot be read; type it as a table"
_NETLIST = "export a netlist (EDIF, PADS, Protel or Telesis) from the program that drew it"

#: Pattern, what it is, the way round.
REFUSED: tuple[tuple[str, str, str], ...] = (
    # KiCad
    (
        r"\A\s*\(\s*kicad_symbol_lib\b|\AEESchema-LIBRARY",
        "a KiCad symbol library",
        "give the schematic or its netlist",
    ),
    (
        r"\A\s*\(\s*footprint\b|\A\s*\(\s*module\b",
        "a KiCad footprint",
        "give the schematic or its netlist",
    ),
    (
        r"\APCBNEW-BOARD",
        "a KiCad board of version 3 or older",
        "open and save it once in KiCad 6 or later, or export its netlist",
    ),
    # Schematics and boards of other programs
    (
        r"(?i)\AACCEL_ASCII\b",
        "a P-CAD ASCII file",
        "open the board in KiCad (File, Import) and save it, or export a Tango, Protel or PADS netlist",
    ),
    (
        r"(?i)\AVersion 4(?:\.\d+)?\s++SHEET\b",
        "an LTspice schematic",
        "give its SPICE netlist (View, SPICE Netlist)",
    ),
    (
        r"(?i)\A\s*FILE_TYPE\s*=",
        "an OrCAD or Allegro pst file",
        "export the design as Telesis, EDIF or PADS instead",
    ),
    (
        r"(?i)\A\|(?:RECORD|HEADER)=",
        "an Altium or Protel ASCII drawing",
        "export its netlist as Protel, EDIF or PADS (Design, Netlist For Project)",
    ),
    (
        r"\Av \d{8} \d",
        "a gEDA or Lepton schematic",
        "make its netlist: lepton-netlist -g geda -o board.net FILE.sch",
    ),
    (
        r"\Av \{xschem version=",
        "an xschem schematic",
        "make its netlist in xschem (tEDAx, Verilog or SPICE)",
    ),
    (r"\A\(librepcb_", "a LibrePCB file", "export an IPC-D-356 file from LibrePCB"),
    (
        r"\A(?:\s++|#[^\n]*+)*+(?:PCB\s*+[\[(]|FileVersion\s*+\[)|\A\s*(?:li|ha):pcb-rnd-board",
        "a gEDA pcb or pcb-rnd board",
        "export an IPC-D-356 file from it",
    ),
    # Netlists that are not read
    (r"(?i)\A\s*%PART\b", "an Intergraph netlist", _NETLIST),
    (r"(?i)\A\s*(?:PINLIST,|NETLIST,2|\(PINLIST)", "a FutureNet list", _NETLIST),
    (r"(?i)\A\s*\.PCB\b[^\n]*\n\s*\.(?:REM|CON)\b", "a Redac netlist", _NETLIST),
    (r"(?i)\A\*OrCAD\s*\n\*START", "a MaxASCII netlist", _NETLIST),
    (r"(?i)\ALAYOUT \S+;\s*\nPARTS\b", "a BAE netlist", _NETLIST),
    (r"\A/\S++\s++\w++\(\w++\)", "a Calay netlist", _NETLIST),
    (
        r"\A\s*+Netlist\s++Exported from ",
        "a netlist report of Eagle",
        "give the Eagle schematic or board (.sch, .brd) itself",
    ),
    (
        r"(?m)^(?:ADD '[^'\n]*' [^\n]*\(\d|SIGNAL '[^'\n]*'[ \t]*$)",
        "an Eagle script",
        "give the Eagle schematic or board (.sch, .brd) itself",
    ),
    (
        r"\A(?:\s++|#[^\n]*+)*+\.model[ \t]++\S++\s++\.inputs\b",
        "a BLIF netlist",
        "let yosys write EDIF or Verilog from it (read_blif; write_edif)",
    ),
    (
        r"(?im)^[ \t]*+(?:library[ \t]+ieee[ \t]*;|entity[ \t]+\w+[ \t]+is\b)",
        "a VHDL text",
        "let a synthesis program write EDIF or structural Verilog from it",
    ),
    # Pictures of a board, and data for making one
    (
        r"\A\s*+(?:G04[^*]*+\*|%(?:FS|MO|TF|IP|AD|AM|IN|OF|LN))",
        "a Gerber file",
        f"copper without names cannot be traced: {_IPC}",
    ),
    (
        r"\A(?:\s++|;[^\n]*+)*+M48\b",
        "an Excellon drill file",
        f"holes without names cannot be traced: {_IPC}",
    ),
    (r"\A%PDF-", "a PDF", _TYPE_IT),
    (r"\A%!PS", "a PostScript file", _TYPE_IT),
    (r"\A(?:\s*+999[ \t]*\n[^\n]*+\n)*+\s*+0[ \t]*\n[ \t]*SECTION[ \t]*\n", "a DXF drawing", _TYPE_IT),
    # XML; the readers of XML netlists were tried before.
    (rf"\A{XML_PROLOG}<(?:\w+:)?IPC-2581\b", "an IPC-2581 file", _IPC),
    (
        rf"\A{XML_PROLOG}<eagle\b",
        "an Eagle library or settings file",
        "give the schematic or board (.sch, .brd) that uses it",
    ),
    (
        rf"(?i)\A{XML_PROLOG}<module\b[^>]*fritzing",
        "a Fritzing sketch",
        "export its SPICE netlist, or type the connections as a table",
    ),
    (rf"(?i)\A{XML_PROLOG}<svg\b", "an SVG picture", _TYPE_IT),
    (
        r"(?i)\A\s*(?:<!DOCTYPE html|<html\b)",
        "a web page",
        "save its table as CSV, or give the netlist itself",
    ),
    (r"\A\s*<\?xml|\A\s*<", "an XML file", "export a KiCad netlist or a table instead"),
    # JSON
    (
        r"\A\s*\{[^{}]*\"creator\"\s*:\s*\"Yosys",
        "a yosys JSON netlist",
        "let yosys write EDIF or Verilog (write_edif, write_verilog)",
    ),
    (
        r"\A\s*[{\[](?=[\s\S]{0,4000}\"(?:docType|editorVersion|easyeda)\b)",
        "an EasyEDA file",
        "export a PADS or Protel netlist from EasyEDA",
    ),
    (r"\A\s*\{", "a JSON file", "a saved map is read by `rgbroots check` and `rgbroots diagram`"),
)

#: First bytes, what the file is, the way round.
BINARY: tuple[tuple[bytes, str, str], ...] = (
    (
        b"\x1f\x8b",
        "a gzip archive (an ODB++ board, perhaps)",
        f"unpack it and give the netlist in it; ODB++ is not read: {_IPC}",
    ),
    (b"\x1f\x9d", "a compressed archive (an ODB++ board, perhaps)", f"ODB++ is not read: {_IPC}"),
    *((b"BZh%d1AY&SY" % n, "a bzip2 archive", "unpack it and give the netlist in it") for n in range(1, 10)),
    (b"\xfd7zXZ\0", "an xz archive", "unpack it and give the netlist in it"),
    (b"7z\xbc\xaf\x27\x1c", "a 7z archive", "unpack it and give the netlist in it"),
    (
        b"PK\x03\x04",
        "a ZIP archive or an office document",
        "unpack it and give the netlist in it; save a spreadsheet as CSV",
    ),
    (
        b"\xd0\xcf\x11\xe0\xa1\xb1\x1a\xe1",
        "a compound file (Altium, OrCAD Capture or an old spreadsheet)",
        "export its netlist from the program that drew it; save a spreadsheet as CSV",
    ),
    *(
        (
            start,
            "an Eagle file of version 5 or older, perhaps",
            "open and save it once in Eagle 6 or later, or export a netlist another program can read",
        )
        for start in (b"\x10\x00", b"\x10\x80")
    ),
    *(
        (start, "a picture", _TYPE_IT)
        for start in (b"\x89PNG", b"\xff\xd8\xff", b"GIF87a", b"GIF89a", b"II*\0", b"MM\0*")
    ),
)


def refuse_text(head: str) -> tuple[str, str] | None:
    """What a text is that cannot be read, and the way round; None when it is nothing that is known."""
    for pattern, what, fix in REFUSED:
        if re.search(pattern, head):
            return what, fix
    return None


def refuse_binary(data: bytes) -> tuple[str, str] | None:
    """The same for the bytes of a file. A PDF holds bytes of any kind, so that its mark counts here too."""
    for start, what, fix in BINARY:
        if data.startswith(start):
            return what, fix
    if data.startswith((b"%PDF-", b"%!PS")):
        return refuse_text(data[:16].decode("latin-1"))
    # A tar has its mark behind the first member's name (POSIX.1-1988, "ustar").
    if data[257:262] == b"ustar":
        return "a tar archive (an ODB++ board, perhaps)", f"ODB++ is not read: {_IPC}"
    return None


def folder_hint(folder: Path) -> tuple[str, str]:
    """What a folder is, and the way round."""
    if (folder / "matrix").is_dir() and (folder / "steps").is_dir():
        return "this is an ODB++ folder", _IPC
    return "this is a folder, not a file", "name the netlist in it"
