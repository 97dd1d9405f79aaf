"""rgbroots: from the colours of a raster-video board back to the memory pins that store them.

This page is the Python interface. What it shows keeps its names and arguments, and ``Changes`` in the README says where
one had to change; everything else in the package may move. All results are frozen values, in an order that does not depend
on the machine. A mistake that a person can mend is a `TracerError`: what, where, and what to do.

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
colour pins, and the monitor's input (None for none).

>>> from tracer import load_library
>>> mine = '["CUS-14"]\\nwhat = "custom chip"\\nkind = "custom"\\npins = "GND VCC"\\ncite = "beeped"'
>>> load_library([("mine.toml", mine)]).find("CUS-14").kind
'custom'

**Merge** what is known of one board; later inputs add to the earlier ones and correct them. **Join** boards by a cable.

>>> from tracer import join_boards, merge_netlists, parse_join
>>> seen = parse_netlist("R1 is 220\\nseen red missing\\nseen green fine\\nseen blue fine\\n", "bench.notes")
>>> corrected = merge_netlists([board, seen])
>>> corrected.by_reference["R1"].marking, [f.code for f in corrected.findings]
('220', ['contradiction'])
>>> plug = parse_netlist("J9.1 = J8.1\\nJ9.2 = J8.2\\nJ9.3 = J8.3\\n", "plug.notes")
>>> joined = join_boards({"A": board, "B": plug}, [parse_join("A:J1=B:J9")])
>>> [p.reference for p in joined.parts if p.reference.startswith("B")]
['B:J8', 'B:J9']

**Levels**, the volts by code, start from `trace_fully`, which also gives the circuit and the output stages.

>>> from tracer import compute_levels, trace_fully
>>> traced = trace_fully(board)
>>> [f"{volts:.2f}" for volts in compute_levels(traced, (75.0, None)).of("red").at(None).volts]
['0.30', '1.18', '2.14', '3.10']

**Suspects** follow from the evidence in a board's notes.

>>> from tracer.suspects.answer import answer_notes
>>> answer = answer_notes(trace_fully(merge_netlists([board, seen])))
>>> answer.evidence
('red missing', 'green fine', 'blue fine')
>>> answer.suspects[0].part, answer.suspects[0].what, answer.next[0].what
('J1', 'track', 'beep U1.1 to R1')

**Palettes** are the colours that dumps show. Contents are made to fit the memory, or refused.

>>> from tracer.palette.dumps import parse_dump
>>> from tracer.palette.make import make_palette
>>> from tracer.palette.word_bits import memories_of
>>> dump = parse_dump(bytes(range(32)), memories_of(traced)["U1"])
>>> palette = make_palette(traced, compute_levels(traced, (75.0,)), {"U1": dump})
>>> palette.entries[3].codes, palette.entries[3].rgb
((3, 0, 0), (255, 0, 0))

**Beeps**: what to touch next on a board that is not fully known; here the last line of the notes is still to be found.

>>> from tracer.beeps.advice import advise
>>> from tracer.beeps.bench import set_up
>>> from tracer.beeps.choice import look
>>> from tracer.beeps.weights import load_wiring
>>> half = parse_netlist(notes[: notes.rindex("U1.")], "tiny.notes")
>>> numbers = load_wiring()
>>> advice = advise(look(set_up(half, load_library()), numbers), trace(half), numbers)
>>> advice.next.held, {leg.part for leg in advice.next.legs}
('R1.1', {'U1'})

**Out again.** `emit` gives a map as ``json``, ``csv``, ``svg``, ``png`` or ``dot``; `read_map` reads the JSON back.

>>> from tracer.cli.outputs import emit
>>> from tracer.bitmap.read import read_map
>>> text = emit("json", bit_map)
>>> emit("json", read_map(text, "map.json")) == text
True

**Mistakes** name the place and the way out.

>>> from tracer import TracerError
>>> try:
...     parse_netlist("U9 is 74LS273\\nU9.2 == R5.1\\n", "bench.notes")
... except TracerError as error:
...     print(error.where, error.fix is not None)
bench.notes:2:7 True
"""

from __future__ import annotations

TYPE_CHECKING = False
if TYPE_CHECKING:
    from tracer.base.errors import TracerError
    from tracer.importers import parse_netlist, read_netlist
    from tracer.levels.codes import compute_levels
    from tracer.netlist.join import join_boards, parse_join
    from tracer.netlist.merge import merge_netlists
    from tracer.parts.library import load_library
    from tracer.tracing.pipeline import trace, trace_fully

__all__ = [
    "TracerError",
    "compute_levels",
    "join_boards",
    "load_library",
    "merge_netlists",
    "parse_join",
    "parse_netlist",
    "read_netlist",
    "trace",
    "trace_fully",
]

#: Where each public name lives.
_HOMES = {
    "TracerError": "tracer.base.errors",
    "compute_levels": "tracer.levels.codes",
    "join_boards": "tracer.netlist.join",
    "load_library": "tracer.parts.library",
    "merge_netlists": "tracer.netlist.merge",
    "parse_join": "tracer.netlist.join",
    "parse_netlist": "tracer.importers",
    "read_netlist": "tracer.importers",
    "trace": "tracer.tracing.pipeline",
    "trace_fully": "tracer.tracing.pipeline",
}


def __getattr__(name: str) -> object:
    """Load a public function when it is first asked for, so that the program starts quickly."""
    if name in _HOMES:
        from importlib import import_module

        return getattr(import_module(_HOMES[name]), name)
    raise AttributeError(f"module 'tracer' has no attribute {name!r}")


def __dir__() -> list[str]:
    """The public names too, though they are not loaded yet."""
    return sorted({*globals(), *__all__})
