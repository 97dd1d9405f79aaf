"""The limits that `rgbroots help limits` lists: each number there is the program's, and there is no other limit."""

from __future__ import annotations

import importlib
import pkgutil
import re
from pathlib import Path

import tracer
from tracer.cli.help import topic_text

#: Of what -> up to how much, as `rgbroots help limits` says it.
ROWS = {
    " ".join(row.split()): " ".join(upto.split())
    for row, upto in re.findall(
        r"^  (\S[^:]*(?:\n      [^:]*)*): (.*(?:\n      (?!beyond).*)*)", topic_text("limits"), re.MULTILINE
    )
}

#: Row of the table -> the constants that it gives, by module.
CONSTANTS = {
    "a netlist, schematic or notes file": ["importers.text.LARGEST_FILE"],
    "a file in a browser": ["web.desk.LARGEST_FILE"],
    "a dump": ["palette.dumps.LARGEST_FILE"],
    "brackets or elements in one another": [
        "importers.sexpr.DEEPEST",
        "importers.xml_tree.DEEPEST",
        "importers.verilog.statements.DEEPEST",
    ],
    "sheets in one another": [
        "importers.kicad.sheets.DEEPEST_SHEET",
        "importers.spice.reader.DEEPEST_SHEET",
        "importers.edif.reader.DEEPEST_SHEET",
        "importers.verilog.wires.DEEPEST_SHEET",
        "importers.eagle.schematic.DEEPEST_MODULE",
    ],
    "sheets of a KiCad schematic": [
        "importers.kicad.sheets.MOST_SHEETS",
        "importers.kicad.sheets.MOST_ITEMS",
    ],
    "parts that placing sheets makes": [
        "importers.spice.reader.MOST_PARTS",
        "importers.verilog.reader.MOST_PARTS",
        "importers.edif.sheet.MOST_PARTS",
        "importers.eagle.schematic.MOST_PARTS",
    ],
    "pins that parts and nets name": ["importers.visible_names.MOST_PINS"],
    "pins of EDIF parts with 400 pins and more": ["importers.edif.reader.MOST_PINS_OF_WIDE"],
    "wires and bits that buses stand for": [
        "importers.verilog.wires.MOST_WIRES",
        "importers.verilog.statements.MOST_BITS",
        "importers.edif.cells.MOST_WIRES",
    ],
    "members of a KiCad bus": ["importers.kicad.bus.LARGEST_BUS", "importers.kicad.bus.MOST_MEMBERS"],
    "comparisons of wires that lie over one another": ["importers.kicad.geometry.MOST_LOOKS"],
    "letters of a name": ["importers.visible_names.LONGEST_NAME"],
    "legs of a part type, and names in a range": ["parts.library.MOST_PINS", "parts.library.MOST_ARCS"],
    "legs of a resistor pack or plug that a number implies": ["parts.packs.MOST_LEGS"],
    "letters of a value": ["base.units.LONGEST_VALUE"],
    "letters of what is told of a fault at once": ["suspects.phrases.LONGEST_SAID"],
    "letters of one text in a saved map": ["base.json_form.LONGEST_TEXT"],
    "parts in a row on the way back": ["tracing.walk.LONGEST_WAY"],
    "ways back from one output": ["tracing.walk.MOST_PATHS"],
    "states of analogue selectors": ["tracing.stages.MOST_STATES"],
    "nets looked at for them": ["tracing.walk.MOST_LOOKS"],
    "chips and other ends behind a gate of which no input is settled": [
        "tracing.gate_inputs.MOST_UNDECIDED",
        "tracing.gate_inputs.MOST_UNDECIDED_BITS",
    ],
    "bits of a colour of which `levels` works out volts": ["levels.codes.MOST_BITS"],
    "bits of a colour of which the page shows a ramp": ["page.faults.MOST_BITS"],
    "pins of a board whose parts beside the path the page finds": ["page.board_parts.MOST_PINS"],
    "codes of a colour on the terminal": ["levels.text.MOST_CODES"],
    "address lines of a palette that change": ["palette.make.MOST_LINES"],
    "entries of a palette on the page; rows on the terminal": [
        "page.swatches.MOST_ENTRIES",
        "palette.text.MOST_ROWS",
    ],
    "touches of a rehearsal": ["beeps.rehearsal.MOST_TOUCHES"],
}
#: Rows that stand for a rule, not for a number.
RULES = {"a sheet that holds itself"}
#: Constants of these names that limit no input: how an answer is worked out or laid out, each with its own words there.
INNER = {
    "beeps.advice.MOST_UNSURE",
    "beeps.choice.MOST_TIMES",
    "beeps.chip_guesses.MOST_GUESSES",
    "beeps.ways_back.LONGEST_WAY",
    "bitmap.colour_count.MOST_CHOICES",
    "suspects.answer.MOST_SUSPECTS",
    "suspects.answer.MOST_ODD",
    "suspects.index_faults.MOST_WAYS",
    "suspects.reasoning.MOST_SWEPT",
    "levels.leg_paths.MOST_BANKS",
    "suspects.reasoning.MOST_TIMES",
    "beeps.text.MOST_LISTED",
    "diagram.head.MOST_WARNINGS",
    "base.errors.LONGEST_SENTENCE",
    "base.errors.MOST_OTHERS",
    "importers.kicad.bus.MOST_ALIASES",
    "levels.codes.MOST_BITS_DRIVEN",
    "base.json_form.LARGEST_NUMBER",
    "stage.level_count.MOST_ENUMERATED",
    "stage.response.MOST_ENUMERATED_BENT",
}
_NAME = re.compile(r"^((?:MOST|LARGEST|LONGEST|DEEPEST)(?:_[A-Z_]+)?)\b[^=\n]*=", re.MULTILINE)
MEGABYTE = 1 << 20


def value(constant: str) -> int:
    module, _, name = constant.rpartition(".")
    found = getattr(importlib.import_module(f"tracer.{module}"), name)
    assert isinstance(found, int)
    return found


def test_every_number_of_the_table_is_the_programs() -> None:
    for row, constants in CONSTANTS.items():
        for constant in constants:
            number = value(constant)
            said = f"{number // MEGABYTE} MB" if constant.endswith("LARGEST_FILE") else f"{number:,}"
            assert re.search(rf"(?<![\d,]){said}(?![\d,]*\d)", ROWS[row]), (row, constant, said)


def test_the_table_has_no_other_rows() -> None:
    assert set(ROWS) == set(CONSTANTS) | RULES


def test_there_is_no_limit_that_is_not_listed() -> None:
    listed = {c for constants in CONSTANTS.values() for c in constants} | INNER
    root = Path(tracer.__file__).parent
    found = set()
    for module in pkgutil.walk_packages([str(root)], "tracer."):
        path = root.parent / (module.name.replace(".", "/") + ".py")
        if path.is_file():
            for name in _NAME.findall(path.read_text(encoding="utf-8")):
                found.add(f"{module.name.removeprefix('tracer.')}.{name}")
    assert found - listed == set()
    assert listed - found == set()
