"""rgbroots: from the colours of a raster-video board back to the memory pins that store them.

This page is the Python interface: one function a job. What it shows keeps its names and arguments, and ``Changes`` in the
README says where one had to change; everything else in the package may move. All results are frozen values, in an order
that does not depend on the machine. A mistake that a person can mend is a `TracerError`: what, where, and what to do.

**Read and trace.** `read_netlist` takes a file of any form (`rgbroots help formats`), `parse_netlist` a text. Here the
text is bench notes, the language of ``rgbroots help notes``.

>>> from tracer import parse_netlist, trace
>>> notes = '''
... board tiny
... U1 is 82S123 at 3B
... [R1 R3 R5] is 470
... [R2 R4 R6] is 1k
... red is J1.1
... green is J1.2
... blue is J1.3
... J1.1 = [R1 R2].2
... J1.2 = [R3 R4].2
... J1.3 = [R5 R6].2
... U1.[1 2 3 4 5 6] = [R1 R2 R3 R4 R5 R6].1
... '''
>>> board = parse_netlist(notes, "tiny.notes")
>>> board.name, len(board.parts), len(board.nets)
('tiny', 8, 9)
>>> bit_map = trace(board)
>>> bit_map.is_complete, bit_map.n_traced, bit_map.colours_possible
(True, 6, 64)
>>> for bit in bit_map.colours[0].bits:
...     source = bit.main_path.source
...     print(bit.bit, f"{bit.weight:.0%}", f"{source.part}.{source.pin}", source.name, source.kind)
1 68% U1.1 O1 prom
0 32% U1.2 O2 prom

A map says what a person should know about it; `code` is one of `tracer.base.findings.CODES` and meant for programs.

>>> [(f.severity, f.code) for f in bit_map.findings]
[('note', 'from-memory')]

**Tell what is not drawn.** ``trace(board, library, pins={"red": "J1.1"}, load_ohm=75)``: part types of your own,
colour pins, and the monitor's input (None for none; when left out that of bench notes, ``load 1k``, else 75 ohm).

>>> from tracer import load_library
>>> mine = '["CUS-14"]\\nwhat = "custom chip"\\nkind = "custom"\\npins = "GND VCC"\\ncite = "beeped"'
>>> load_library([("mine.toml", mine)]).find("CUS-14").what
'custom chip'

**Merge** what is known of one board; later inputs add to the earlier ones and correct them. **Join** boards by cables,
told in words or as values of `parse_join`.

>>> from tracer import join_boards, merge_netlists
>>> seen = parse_netlist("R1 is 220\\nseen red missing\\nseen green fine\\nseen blue fine\\n", "bench.notes")
>>> corrected = merge_netlists([board, seen])
>>> corrected.by_reference["R1"].marking, [f.code for f in corrected.findings]
('220', ['contradiction'])
>>> plug = parse_netlist("J9.1 = J8.1\\nJ9.2 = J8.2\\nJ9.3 = J8.3\\n", "plug.notes")
>>> joined = join_boards({"A": board, "B": plug}, ["A:J1=B:J9"])
>>> [p.reference for p in joined.parts if p.reference.startswith("B")]
['B:J8', 'B:J9']

What follows starts from `trace_fully`, which gives the map with the circuit and the output stages.

>>> from tracer import trace_fully
>>> traced = trace_fully(board)
>>> traced.bit_map == bit_map
True

**Levels** are the volts by code; **legs** what each leg of the path should read, with the board on and off.

>>> from tracer import compute_levels, read_legs
>>> [f"{volts:.2f}" for volts in compute_levels(traced).of("red").at(None).volts]
['0.30', '1.18', '2.14', '3.10']
>>> [(leg.part, leg.pin, leg.activity) for leg in read_legs(traced)][0]
('U1', '1', 'pulses with the picture')

**Suspects** follow from the evidence in a board's notes, and from what you tell in the words of ``rgbroots help
suspects``.

>>> from tracer import find_suspects
>>> answer = find_suspects(trace_fully(corrected), read={"U1.1": "pulsing"})
>>> answer.evidence
('red missing', 'green fine', 'blue fine', 'U1.1 O1 reads pulsing')
>>> answer.suspects[0].part, answer.suspects[0].what, answer.next[0].what
('J1', 'beyond', 'beep R1.2 to J1.1')

**Palettes** are the colours that dumps show: a file's name or its bytes for each memory, made to fit it or refused.

>>> from tracer import make_palette
>>> palette = make_palette(traced, {"U1": bytes(range(32))})
>>> palette.entries[3].codes, palette.entries[3].rgb
((3, 0, 0), (255, 0, 0))

**Beeps**: what to touch next on a board that is not fully known; here the last line of the notes is still to be found.

>>> from tracer import advise
>>> advice = advise(parse_netlist(notes[: notes.rindex("U1.")], "tiny.notes"))
>>> advice.next.held, {leg.part for leg in advice.next.legs}
('R1.1', {'U1'})

**Out again.** `emit` gives a map as ``json``, ``csv``, ``svg``, ``png``, ``dot`` or for the ``terminal``; `read_map`
reads the JSON back.

>>> from tracer import emit, read_map
>>> text = emit("json", bit_map)
>>> emit("json", read_map(text)) == text
True

**Collections.** `map_file` goes from a file to a map as plain data, and raises nothing for a bad file: in a pool of
processes, or as `dask.bag.from_sequence(paths).map(map_file)`. The README has the whole recipe.

>>> from tracer import map_file
>>> found = map_file("nowhere.net")
>>> found["format"], found["error"], found["what"]
('rgbroots-error', 'NetlistError', 'there is no such file')

**Mistakes** name the place and the way out.

>>> from tracer import TracerError
>>> try:
...     parse_netlist("U9 is 74LS273\\nU9.2 == R5.1\\n", "bench.notes")
... except TracerError as error:
...     print(error.where, error.fix is not None)
bench.notes:2:7 True

**Types**, for annotations: a `Netlist` is read, a `Library` loaded; `BitMap` is the map, `Traced` the map with its
circuit, and `LevelTable`, `LegReading`, `SuspectTable`, `Palette` and `TouchAdvice` are what the functions above give.
"""

from __future__ import annotations

from importlib import import_module
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from tracer.base.errors import TracerError
    from tracer.beeps.halfway import advise
    from tracer.beeps.values import TouchAdvice
    from tracer.bitmap.model import BitMap
    from tracer.bitmap.read import read_map
    from tracer.cli.outputs import emit
    from tracer.importers import parse_netlist, read_netlist
    from tracer.levels.codes import compute_levels
    from tracer.levels.leg_values import LegReading
    from tracer.levels.legs import read_legs
    from tracer.levels.values import LevelTable
    from tracer.netlist.board import Netlist
    from tracer.netlist.join import join_boards, parse_join
    from tracer.netlist.merge import merge_netlists
    from tracer.palette.make import make_palette
    from tracer.palette.values import Palette
    from tracer.parts.library import Library, load_library
    from tracer.suspects.find import find_suspects
    from tracer.suspects.values import SuspectTable
    from tracer.tracing.collection import map_file
    from tracer.tracing.pipeline import Traced, trace, trace_fully

__all__ = [
    "BitMap",
    "LegReading",
    "LevelTable",
    "Library",
    "Netlist",
    "Palette",
    "SuspectTable",
    "TouchAdvice",
    "Traced",
    "TracerError",
    "advise",
    "compute_levels",
    "emit",
    "find_suspects",
    "join_boards",
    "load_library",
    "make_palette",
    "map_file",
    "merge_netlists",
    "parse_join",
    "parse_netlist",
    "read_legs",
    "read_map",
    "read_netlist",
    "trace",
    "trace_fully",
]

#: Module -> the public names that live in it. Each is loaded when it is first asked for: every start of the program
#: imports this package, and all of it would take a quarter of a second.
_HOMES = {
    "tracer.base.errors": ("TracerError",),
    "tracer.beeps.halfway": ("advise",),
    "tracer.beeps.values": ("TouchAdvice",),
    "tracer.bitmap.model": ("BitMap",),
    "tracer.bitmap.read": ("read_map",),
    "tracer.cli.outputs": ("emit",),
    "tracer.importers": ("parse_netlist", "read_netlist"),
    "tracer.levels.codes": ("compute_levels",),
    "tracer.levels.leg_values": ("LegReading",),
    "tracer.levels.legs": ("read_legs",),
    "tracer.levels.values": ("LevelTable",),
    "tracer.netlist.board": ("Netlist",),
    "tracer.netlist.join": ("join_boards", "parse_join"),
    "tracer.netlist.merge": ("merge_netlists",),
    "tracer.palette.make": ("make_palette",),
    "tracer.palette.values": ("Palette",),
    "tracer.parts.library": ("Library", "load_library"),
    "tracer.suspects.find": ("find_suspects",),
    "tracer.suspects.values": ("SuspectTable",),
    "tracer.tracing.collection": ("map_file",),
    "tracer.tracing.pipeline": ("Traced", "trace", "trace_fully"),
}

if not TYPE_CHECKING:  # A type checker that saw it would take every misspelt name for a public one.

    def __getattr__(name: str) -> object:
        """Load a public name."""
        for home, names in _HOMES.items():
            if name in names:
                return getattr(import_module(home), name)
        raise AttributeError(f"module 'tracer' has no attribute {name!r}")


def __dir__() -> list[str]:
    """The public names too, though they are not loaded yet."""
    return sorted({*globals(), *__all__})
