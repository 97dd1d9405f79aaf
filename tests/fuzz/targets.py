"""What is fuzzed: each reader with its first inputs, and what must hold of what it makes of any input.

An input is read, or refused with one sentence of the error family. What is read must be whole: it is checked, written
in another form and read back, traced, and put out.
"""

from __future__ import annotations

import random
import re
from collections.abc import Callable, Mapping
from dataclasses import dataclass, field
from functools import cache, partial
from pathlib import Path
from typing import Literal

from tests.fuzz import seeds
from tests.fuzz.mutators import change, change_json
from tests.fuzz.sentences import Grammar
from tracer.base.errors import NetlistError, TracerError
from tracer.importers import parse_netlist, read_netlist
from tracer.importers.formats import FORMATS
from tracer.netlist.board import Netlist
from tracer.netlist.check import check_netlist
from tracer.parts.library import load_library

__all__ = ["Outcome", "Target", "is_control", "judge", "target", "target_names", "text_of"]

Outcome = Literal["read", "refused"]


@dataclass(frozen=True)
class Target:
    """One reader.

    Attributes
    ----------
    name : str
        Of its folder in `tests/cases/fuzz/`.
    seeds : callable
        Gives the first inputs.
    run : callable
        Reads one input in a folder; a refusal is a `TracerError`, anything else that is raised is a fault of ours.
        Gives what is done with what was read when the input is a new one.
    fresh : callable, optional
        A new input from nothing.
    is_json : bool
        Inputs are changed as trees.
    """

    name: str
    seeds: Callable[[], list[bytes]]
    run: Callable[[bytes, Path], Callable[[], object]]
    fresh: Callable[[random.Random], bytes] | None = None
    is_json: bool = False
    words: list[bytes] = field(default_factory=list)

    def next_input(self, pool: list[bytes], rng: random.Random) -> bytes:
        """One more input."""
        if self.fresh is not None and rng.random() < 0.15:
            data = self.fresh(rng)
            return data if rng.random() < 0.5 else change(data, pool, self.words, rng)
        data = (
            pool[min(rng.randrange(len(pool)), rng.randrange(len(pool)))]
            if rng.random() < 0.2
            else rng.choice(pool)
        )
        if self.is_json and rng.random() < 0.9:
            return change_json(data, rng)
        return change(data, pool, self.words, rng)


def judge(run: Callable[[], object]) -> Outcome:
    """Run it; a refusal must be one sentence with a way out, fit for a terminal.

    Raises
    ------
    AssertionError
        The refusal is not so.
    Exception
        Whatever else the reader lets out.
    """
    try:
        run()
    except TracerError as error:
        refusal = error
    else:
        return "read"
    text = str(refusal)
    first = text.split("\n")[0]
    assert refusal.what.strip(), text
    assert refusal.line is None or refusal.line >= 1, text
    assert len(first) < 1200, f"a sentence of {len(first)} letters"
    assert not any(is_control(c) for c in text if c != "\n"), f"a control character in {text!r}"
    assert refusal.fix or not isinstance(refusal, NetlistError), text
    return "refused"


def is_control(c: str) -> bool:
    """Whether a terminal may take it for a command."""
    return (
        ord(c) < 32
        or 0x7F <= ord(c) < 0xA0
        or c in "\u2028\u2029\u202a\u202b\u202c\u202d\u202e\u2066\u2067\u2068\u2069"
    )


# -- netlists ----------------------------------------------------------------------------------------


def whole(netlist: Netlist) -> None:
    """What holds of every netlist: nothing is lost on the way through our own form."""
    check_netlist(netlist)
    from tracer.export.netlists.netlists import write_netlist

    text, _ = write_netlist("kicad-netlist", netlist)
    back = parse_netlist(text, "back.net", name=netlist.name, format_name="kicad-netlist")
    was = {net.name: set(net.pins) for net in netlist.nets if net.pins}
    now = {net.name: set(net.pins) for net in back.nets if net.pins}
    assert was == now, (
        f"lost on the way: {[(k, was.get(k), now.get(k)) for k in {*was, *now} if was.get(k) != now.get(k)][:3]}"
    )


def traced(netlist: Netlist) -> None:
    """Trace it and put the map out in every text form; what cannot be traced says so."""
    from tracer.bitmap.read import read_map
    from tracer.cli.outputs import emit
    from tracer.tracing.pipeline import trace

    whole(netlist)
    bit_map = trace(netlist, load_library())
    saved = str(emit("json", bit_map))
    assert str(emit("json", read_map(saved, "map.json"))) == saved
    put_out(bit_map)


def put_out(bit_map: object) -> None:
    """Every text form of a map."""
    from tracer.bitmap.model import BitMap
    from tracer.card.html import pages_as_html
    from tracer.card.make import card_of_map
    from tracer.card.pages import lay_out
    from tracer.card.svg import pages_as_svg
    from tracer.cli.outputs import emit

    assert isinstance(bit_map, BitMap)
    terminal = str(emit("terminal", bit_map))
    assert not any(is_control(c) for c in terminal if c != "\n"), "a control character reaches the terminal"
    for form in ("csv", "dot", "svg"):
        emit(form, bit_map)
    pages = lay_out(card_of_map(bit_map, load_library()))
    pages_as_html(pages, bit_map.name)
    pages_as_svg(pages, bit_map.name)


def _netlist_target(
    name: str, file: str, root: str = "", others: Mapping[str, bytes] | None = None
) -> Target:
    format_name = name.partition(" ")[0]

    def run(data: bytes, folder: Path) -> Callable[[], object]:
        for other, content in (others or {}).items():
            (folder / other).write_bytes(content)
        path = folder / file
        path.write_bytes(data)
        # Every second input is taken for what it looks like.
        named = format_name if root or sum(data[:64]) % 2 else None
        netlist = read_netlist(folder / root if root else path, format_name=named)
        check_netlist(netlist)
        return lambda: _follow(netlist)

    def first() -> list[bytes]:
        found = [(others or {})[file]] if others else []
        for writer in seeds.WRITERS.get(name, ()):
            for each in seeds.boards():
                found.append(writer(each).encode())
        return [*found, *seeds.malformed(name)]

    return Target(name, first, run, _fresh(name))


def _follow(netlist: Netlist) -> None:
    # What a damaged file makes of a board may be as large as the limits let it: reading it is what is tried here.
    if len(netlist.parts) < 300 and sum(len(net.pins) for net in netlist.nets) < 3000:
        traced(netlist)


def _fresh(name: str) -> Callable[[random.Random], bytes] | None:
    writers, grammar = seeds.WRITERS.get(name, ()), seeds.GRAMMARS.get(name)
    if not writers and not grammar:
        return None

    @cache
    def made() -> Grammar:
        texts = [w(b) for w in writers for b in seeds.boards()]
        if name == "kicad-legacy":
            texts = [seeds.legacy_folder()["board.sch"].decode(), seeds.legacy_folder()["kid.sch"].decode()]
        elif name == "kicad-legacy library":
            texts = [seeds.legacy_folder()["board-cache.lib"].decode()]
        assert grammar
        if name == "bench-notes":
            # Its grammar is one of lines.
            texts = [
                f"{line.rstrip()} " for text in [*texts, *NOTES] for line in text.split("\n") if line.strip()
            ]
        return Grammar(grammar, texts)

    def fresh(rng: random.Random) -> bytes:
        if writers and (not grammar or rng.random() < 0.5):
            return rng.choice(writers)(seeds.odd_board(rng)).encode("utf-8", "replace")
        lines = rng.randrange(1, 12) if name == "bench-notes" else 1
        return "\n".join(made().sentence(rng) for _ in range(lines)).encode("utf-8", "replace")

    return fresh


#: Every statement of the notes.
NOTES = (
    'board x\nU9 is 74LS273 at 7E\nRN1 is 1k drawn as R_Pack08\n[R1 R5 R9] is 220\nR7 is not fitted\nred is J1.12\n'
    "green is net:G\nJ1.12 = R5.1 = R6.1\nPIXCLK: U9.11 = U12.3\n\"A net\": U9.3 = U9.4\nU9.[2 5 6 9] = [R8 R7 R6 R5].2\n"
    "U4.11 != U9.13\nU9.4 alone\nU5.[1 2] called [D0 D1] (input)\nseen red missing\nread U4.11 stuck low\n"
    "swapped U4, no change\nmeasured R5.1 to R5.2 470 ohm\nmeasured U4.11 3.4 V\n",
)  # fmt: skip


def _with_notes(base: Target) -> list[bytes]:
    """The seeds of a target and the notes of this module."""
    return [*base.seeds(), *(text.encode() for text in NOTES)]


def _notes_run(data: bytes, folder: Path) -> Callable[[], object]:
    path = folder / "board.notes"
    path.write_bytes(data)
    netlist = read_netlist(path, format_name="bench-notes")
    check_netlist(netlist)

    def follow() -> None:
        from tracer.netlist.merge import merge_netlists

        traced(netlist)
        merged = merge_netlists([seeds.boards()[0], netlist])
        whole(merged)
        from tracer.suspects.answer import answer_notes
        from tracer.suspects.terminal import suspects_as_text
        from tracer.tracing.pipeline import trace_fully

        for each in (netlist, merged):
            if table := answer_notes(trace_fully(each, load_library())):
                assert not any(is_control(c) for c in suspects_as_text(table) if c != "\n")

    return follow


# -- what is no netlist ------------------------------------------------------------------------------


def text_of(data: bytes, file: str) -> str:
    """The letters of a file."""
    from tracer.importers.text import decode

    return decode(data, file)[0]


PARTS = (
    '["74x999"]\nwhat = "quad thing"\nkind = "multiplexer"\npins = "S 1A 1B 1Y 2A 2B 2Y GND 3Y 3B 3A 4Y 4B 4A /G VCC"\n'
    'output = "three-state"\nsections = [\n  { each = "1-4", out = "nY", data = "nA[S=0] nB[S=1]", select = "S", enable = "/G" },\n'
    ']\ncite = "M"\nconfirmed = "KLP"\nalso = "74x998 X1"\n',
    '["PROM1"]\nwhat = "32 x 8 PROM"\nkind = "prom"\npins = "O1 O2 O3 O4 O5 O6 O7 GND O8 A0 A1 A2 A3 A4 /CE VCC"\n'
    'numbers = "1 2 3 4 5 6 7 8 9 10 11 12 13 14 15 16"\noutput = "open collector"\n'
    'sections = [{ out = "O1-O8", address = "A0-A4", enable = "/CE" }]\ncite = "a sentence"\n',
)  # fmt: skip


def _parts_run(data: bytes, _folder: Path) -> Callable[[], object]:
    library = load_library([("own.toml", text_of(data, "own.toml"))])

    def follow() -> None:
        from tracer.netlist.board import with_markings
        from tracer.parts.lookup import look_up
        from tracer.parts.table import part_as_json, part_as_text
        from tracer.tracing.pipeline import trace

        board = seeds.boards()[0]
        for name in list(library.added)[:3]:
            found = look_up(name, library)
            part_as_json(found)
            assert not any(is_control(c) for c in part_as_text(found) if c != "\n")
            put_out(trace(with_markings(board, {"U1": name}), library))

    return follow


def _pins_run(data: bytes, _folder: Path) -> Callable[[], object]:
    from tracer.importers.spice.pins import load_pin_tables

    tables = load_pin_tables(text_of(data, "pins.csv"), "pins.csv")
    return lambda: parse_netlist(_SPICE, "a.cir", format_name="spice", spice_pins=tables)


_SPICE = ".title a\nXU1 a b c K_U1\nXU2 a b 74LS273\nR1 a b 1k\n.end\n"


@cache
def _shapes() -> tuple[object, ...]:
    from tracer.parts.memory_shape import shape_of

    found = []
    for marking, pin in (("82S123", "1"), ("82S129", "12"), ("271024", "19")):
        known = load_library().find(marking)
        assert known is not None
        found.append(shape_of("U4", known, [pin]))
    return tuple(found)


def _dump_run(data: bytes, _folder: Path) -> Callable[[], object]:
    from tracer.palette.dumps import parse_dump
    from tracer.parts.memory_shape import MemoryShape

    shapes = [s for s in _shapes() if isinstance(s, MemoryShape)]
    file = ("a.bin", "a.hex", "a.s19")[sum(data[:16]) % 3]
    for shape in shapes[1:]:
        try:
            parse_dump(data, shape, file)
        except TracerError:
            continue
    dump = parse_dump(data, shapes[0], file)
    assert len(dump.words) == shapes[0].depth
    assert all(0 <= word < 1 << shapes[0].width for word in dump.words)
    return lambda: None


def _dumps() -> list[bytes]:
    import bincopy

    found = []
    for size in (32, 256, 128):
        image = bincopy.BinFile()
        image.add_binary(bytes(7 * i % 256 for i in range(size)), 0)
        found += [image.as_ihex(16).encode(), image.as_srec(16, 16).encode(), image.as_srec(32, 32).encode()]
        found.append(bytes(7 * i % 256 for i in range(size)))
    return found


def _priors_run(data: bytes, _folder: Path) -> Callable[[], object]:
    from tracer.suspects.priors import load_priors
    from tracer.suspects.reasoning import Reasoning
    from tracer.tracing.pipeline import trace_fully

    priors = load_priors(text_of(data, "priors.toml"), "priors.toml")
    return lambda: Reasoning(trace_fully(seeds.boards()[0], load_library()), priors)


def _priors() -> list[bytes]:
    import tracer.suspects.priors as module

    text = (Path(module.__file__).parent / "faults.toml").read_text(encoding="utf-8")
    return [text.encode(), *(f"[{piece}".encode() for piece in text.split("\n[")[1:])]


def _map_run(data: bytes, _folder: Path) -> Callable[[], object]:
    from tracer.bitmap.read import read_map
    from tracer.cli.outputs import emit

    bit_map = read_map(text_of(data, "map.json"), "map.json")
    saved = str(emit("json", bit_map))
    assert str(emit("json", read_map(saved, "map.json"))) == saved, "it is not the same when read back"
    if sum(data) % 3 == 0:
        put_out(bit_map)
    return lambda: put_out(bit_map)


@cache
def _maps() -> list[bytes]:
    from tracer.cli.outputs import emit
    from tracer.tracing.pipeline import trace

    return [str(emit("json", trace(each, load_library()))).encode() for each in seeds.boards()]


def _options_run(data: bytes, _folder: Path) -> Callable[[], object]:
    """Small languages of the command line: the first word says which."""
    from tracer.base.units import parse_farad, parse_ohm, parse_pack_ohm, parse_volts
    from tracer.cli.values import load_told
    from tracer.netlist.join import parse_join
    from tracer.palette.search import parse_colour
    from tracer.parts.lookup import look_up
    from tracer.suspects import evidence
    from tracer.tracing.told_pins import parse_told

    which, _, rest = data.decode("utf-8", "replace").partition(" ")
    where, _, word = rest.partition("=")
    ways: dict[str, Callable[[], object]] = {
        "pin": lambda: parse_told([rest]),
        "join": lambda: parse_join(rest),
        "load": lambda: load_told(rest),
        "colour": lambda: parse_colour(rest),
        "ohm": lambda: (parse_ohm(rest), parse_pack_ohm(rest), parse_farad(rest), parse_volts(rest)),
        "part": lambda: look_up(rest, load_library()),
        "seen": lambda: evidence.parse_seen(where, word),
        "read": lambda: evidence.parse_read(where, word),
        "beep": lambda: evidence.parse_beep(where, word),
        "ohms": lambda: evidence.parse_ohms(where, word),
        "pressed": lambda: evidence.parse_pressed(where, word),
        "swapped": lambda: evidence.parse_swapped(where, word),
    }
    ways.get(which, lambda: [way() for name, way in ways.items() if name == "ohm"])()
    return lambda: None


OPTIONS = (
    b"pin red=J1.12", b"pin red=net:RED", b"join A:J3=B:J1", b"join A:J3=B:J1 reversed", b"load 75", b"load 1k", b"load none",
    b"colour #ff8000", b"ohm 4k7", b"ohm 470R/5%", b"ohm 8x1k", b"ohm 2.2uF", b"ohm 3V3", b"part SN74LS273N", b"part 82S129",
    b"part TMM2016BP-10", b"part MB8264A-15", b"seen red=missing", b"seen red=flickers when warm", b"seen white=as #0000ff", b"seen shapes=right", b"read U4.11=low",
    b"read U4.11=3.4V", b"beep U9.17 to U13.18=none", b"ohms R5=open", b"ohms U9.17 to U13.18=short", b"pressed U13=changes",
    b"swapped U4=no change",
)  # fmt: skip


def _text_run(data: bytes, folder: Path) -> Callable[[], object]:
    """Bytes of any encoding, read as whatever they look like."""
    path = folder / "some.txt"
    path.write_bytes(data)
    encoding = (
        None,
        "utf-8",
        "utf-16",
        "cp1252",
        "utf-7",
        "shift_jis",
        "idna",
        "punycode",
        "unicode_escape",
        "rot13",
    )[sum(data[:8]) % 10]
    netlist = read_netlist(path, encoding=encoding)
    return lambda: _follow(netlist)


def _mixed() -> list[bytes]:
    found = [writer(seeds.boards()[0]).encode() for writers in seeds.WRITERS.values() for writer in writers]
    return [
        *found,
        *(text.decode().encode("utf-16") for text in found[:6]),
        *(b"\xef\xbb\xbf" + text for text in found[:3]),
    ]


def _all_targets() -> dict[str, Target]:
    # It stands on this module.
    from tests.fuzz.uses import USES

    found: list[Target] = []
    for form in FORMATS:
        if form.name == "kicad-schematic":
            for name, file in ((form.name, "board.kicad_sch"), (f"{form.name} sheet", "kid.kicad_sch")):
                found.append(_netlist_target(name, file, "board.kicad_sch", seeds.sheets_folder()))
        elif form.name == "kicad-legacy":
            for name, file in (
                (form.name, "board.sch"), (f"{form.name} sheet", "kid.sch"), (f"{form.name} library", "board-cache.lib"),
            ):  # fmt: skip
                found.append(_netlist_target(name, file, "board.sch", seeds.legacy_folder()))
        elif form.name == "bench-notes":
            base = _netlist_target(form.name, "board.notes")
            found.append(Target(form.name, partial(_with_notes, base), _notes_run, _fresh(form.name)))
        else:
            found.append(_netlist_target(form.name, "board.txt"))
    toml = [text.encode() for text in PARTS]
    found += [
        Target("parts", lambda: toml, _parts_run),
        Target(
            "spice-pins",
            lambda: [b"74LS273,1,2,5\nU1 1 2 3\n", b'"74LS04" = [1, 2, 7, 14]\n[pins]\nx = "1 2"\n'],
            _pins_run,
        ),
        Target("dump", _dumps, _dump_run),
        Target("priors", _priors, _priors_run),
        Target("map", _maps, _map_run, is_json=True),
        Target("options", lambda: list(OPTIONS), _options_run),
        Target("any-text", _mixed, _text_run),
        *USES,
    ]
    for each in found:
        words = {w for seed in each.seeds() for w in re.findall(rb"[^\s()<>\[\]{}\",;=]{1,40}", seed)}
        each.words.extend(sorted(words)[:2000])
    return {each.name: each for each in found}


@cache
def _targets() -> dict[str, Target]:
    return _all_targets()


def target(name: str) -> Target:
    """The target called so."""
    return _targets()[name]


def target_names() -> tuple[str, ...]:
    """Names of all targets."""
    return tuple(_targets())
