"""What a person does with a board, fuzzed: the search by beeps with its answers, tables of numbers, commands, outputs.

An input of `beep` is notes, a line ``----``, and the answers that are typed; one of `commands` is a command line, a
line ``----``, and the board.
"""

from __future__ import annotations

import contextlib
import io
import os
import random
import shlex
import sys
from collections.abc import Callable
from functools import cache
from itertools import zip_longest
from pathlib import Path
from unittest import mock

from tests.closed_loop.beep_boards import KINDS, beep_board
from tests.fuzz import seeds
from tests.fuzz.targets import Target, is_control, text_of
from tracer.base.errors import TracerError, UsageError
from tracer.importers import parse_netlist, read_netlist
from tracer.netlist.board import Netlist, PinRef
from tracer.parts.library import load_library

__all__ = ["USES"]

CUT = "\n----\n"
#: Answers that are taken up of one input, so that none takes long by their number alone.
MOST_ANSWERS = 12

SMALL = (
    "board small\nU9 is 6116 at 7D\nU13 is 74LS273 at 8D\n[R1 R2 R3] is 220\nRN1 is 4 x 470 isolated\nRN2 is 1k drawn as R_Pack08\n"
    "J1 is plug, 6 legs\nQ1 is 2N3904\nred is J1.1\ngreen is J1.2\nblue is J1.3\nJ1.1 = [R1 R2].1\nR1.2 = U13.2\n"
    "U13.2 != [R2 R3].2\nU13.3 alone\nR3.2 = U13.5  # answer 1\nmeasured R1.1 to R1.2 220 ohm\n",
    "U9 is 6116\nU13 is 74LS273\n[R1 R2 R3 R4] is 220\nJ1 is plug, 4 legs\nJ1.1 = [R1 R2 R3 R4].1\n[R1 R2 R3].2 = U13.[2 5 6]\n"
    "U13.2 = U9.9\nU13.2 = U9.10\nU13.2 != U9.9\n",
)  # fmt: skip
WORDS = (
    "none", "none", "none", "none", "skip", "undo", "quit", "", "15", "2", "1", "R1.2", "U13.2", "u9.9", "15 33", "U9.9 4k7 ohm",
    "15 0", "yes", "9" * 5000, "U13.\u0662", "\x1b[2J", "R1.", ".", "=", "U99.1", "2 nan", "1 1e400",
)  # fmt: skip


def _undrawn(netlist: Netlist) -> str:
    """The notes that a person starts with."""
    from tracer.beeps.bench import set_up
    from tracer.beeps.rehearsal import undrawn
    from tracer.export.netlists.notes import write

    return write(undrawn(netlist, set_up(netlist, load_library()).colours))


@cache
def _starts() -> tuple[str, ...]:
    twelve = (Path(__file__).parents[1] / "cases" / "notes" / "twelve_bits.notes").read_text(encoding="utf-8")
    return (*SMALL, twelve, *(_undrawn(beep_board(kind, 1)) for kind in KINDS))


def _beep_seeds() -> list[bytes]:
    rng = random.Random(1)
    return [f"{text}{CUT}{_answers(rng)}".encode() for text in _starts()]


def _answers(rng: random.Random) -> str:
    return "\n".join(rng.choice(WORDS) for _ in range(rng.randrange(MOST_ANSWERS)))


def _beep_fresh(rng: random.Random) -> bytes:
    """A board half-way: lines left out, twice there, or joined wrongly."""
    lines = [line for line in rng.choice(_starts()).split("\n") if rng.random() > 0.03]
    legs = [word for line in lines if "=" in line for word in line.split() if "." in word] or ["U9.9"]
    for _ in range(rng.choice((0, 1, 5, 20))):
        a, b = rng.choice(legs), rng.choice(legs)
        lines.append(
            rng.choice(
                (f"{a} = {b}", f"{a} != {b}", f"{a} alone", f"measured {a} to {b} {rng.randrange(90)} ohm")
            )
        )
    return ("\n".join(lines) + CUT + _answers(rng)).encode()


def _beep_run(data: bytes, folder: Path) -> Callable[[], object]:
    from tracer.beeps.halfway import advise
    from tracer.beeps.json import advice_as_json
    from tracer.beeps.text import advice_as_text
    from tracer.beeps.weights import load_wiring
    from tracer.cli.beep_dialogue import converse
    from tracer.cli.notes_file import NotesFile

    text, _, answers = data.partition(CUT.encode())
    path = folder / "board.notes"
    path.write_bytes(text)
    notes = NotesFile(path)
    netlist, library, numbers = notes.netlist(), load_library(), load_wiring()
    if not netlist.beeped or len(netlist.parts) > 200:
        raise UsageError("no notes, or too many for a test", fix="take fewer")
    advice = advise(netlist, library, numbers)
    advice_as_json(advice)
    assert not any(is_control(c) for c in advice_as_text(advice) if c != "\n")
    typed = iter(answers.decode("utf-8", "replace").split("\n")[:MOST_ANSWERS])
    told: list[str] = []

    def ask(prompt: str) -> str:
        told.append(prompt)
        try:
            return next(typed)
        except StopIteration:
            raise EOFError from None

    converse(notes, library, numbers, {}, ask, told.append)
    assert not any(is_control(c) for c in "".join(told) if c != "\n")
    read_netlist(path)

    def follow() -> None:
        while notes.undo():
            pass
        read_netlist(path)
        # What stood there before the conversation stands there still, or as a comment.
        after = path.read_bytes()
        if text.isascii() and text.replace(b"\n", b"").decode().isprintable():
            for line in text.split(b"\n"):
                assert line.rstrip() in after, line

    return follow


def _wiring_run(data: bytes, _folder: Path) -> Callable[[], object]:
    from tracer.beeps.halfway import advise
    from tracer.beeps.json import advice_as_json
    from tracer.beeps.weights import load_wiring

    numbers = load_wiring(text_of(data, "wiring.toml"), "wiring.toml")

    def follow() -> None:
        for text in SMALL:
            netlist = parse_netlist(text, "board.notes")
            advice_as_json(advise(netlist, numbers=numbers))

    return follow


def _wiring_seeds() -> list[bytes]:
    import tracer.beeps.weights as module

    text = (Path(module.__file__).parent / "wiring.toml").read_text(encoding="utf-8")
    return [text.encode(), *(f"[{piece}".encode() for piece in text.split("\n[")[1:])]


COMMANDS = (
    "trace board.txt", "trace board.txt --json -o out", "trace A=board.txt B=board.txt --join A:J1=B:J1", "check board.txt --json",
    "trace board.txt --pin red=J1.1 --pin green=net:GREEN --part U13=74LS374 --load 1k", "diagram board.txt", "diagram board.txt -o a.dot",
    "convert board.txt -o board.notes", "convert board.txt -o b.net --to orcad-pcb2", "convert board.txt -o b.asc", "beep board.txt",
    "beep board.txt --ask", "beep board.txt --undo --json", "card board.txt -o c.html", "card board.txt -o c.svg", "report board.txt",
    "levels board.txt --load 100 --tolerance 5% --all", "levels board.txt --high 3.2 --low 0.2 --source-ohm 60 --json",
    "levels board.txt --legs", "levels board.txt -o l.svg", "levels board.txt -o l.csv", "export board.txt --spice", "export board.txt --csv",
    "export board.txt --graphml", "palette board.txt --contents U9=board.txt --colour #ff8000 --all", "palette board.txt -o p.html",
    "palette board.txt --contents U9=board.txt --other U9=board.txt --json", "part SN74LS273N --json", "help notes", "help U9",
    "rehearse board.txt --wrong 3% --seed 1", "rehearse board.txt --ask", "suspect board.txt --seen red=missing --read U13.2=low",
    "suspect board.txt --swapped 'U9=no change' --pressed U13=changes --beep 'R1.2 to U13.2=none' --ohms R1=open --json",
    "suspect board.txt --without U9", "suspect board.txt --fault low", "trace board.txt --parts board.txt", "beep board.txt --wiring board.txt",
    "suspect board.txt --priors board.txt", "trace board.txt --spice-pins board.txt", "completion bash",
)  # fmt: skip


def _command_seeds() -> list[bytes]:
    texts = [*_starts()[:3], *(seeds.WRITERS["kicad-netlist"][0](board) for board in seeds.boards()[:4])]
    return [
        f"{command}{CUT}{text}".encode()
        for command, text in zip_longest(COMMANDS, texts * (1 + len(COMMANDS) // len(texts)))
        if command
    ]


def _command_fresh(rng: random.Random) -> bytes:
    words = shlex.split(rng.choice(COMMANDS))
    for _ in range(rng.choice((0, 1, 1, 3))):
        more = shlex.split(rng.choice(COMMANDS))[1:] or ["--json"]
        at = rng.randrange(1, len(words) + 1)
        words[at:at] = more[rng.randrange(len(more)) :][: rng.randrange(1, 3)]
    board = rng.choice((rng.choice(_starts()), seeds.WRITERS["kicad-netlist"][0](rng.choice(seeds.boards()))))
    return (shlex.join(words) + CUT + board).encode()


def _command_run(data: bytes, folder: Path) -> Callable[[], object]:
    """A command ends with 0, 1 or 2; with 2, its last line is a sentence."""
    from tracer.cli.main import main

    line, _, content = data.partition(CUT.encode())
    try:
        words = shlex.split(line.decode("utf-8", "surrogateescape"))
    except ValueError:
        words = []
    # Nothing is to be written outside the folder.
    if not words or any("/" in word or ".." in word or word.startswith("~") for word in words):
        raise UsageError("no command line for a test", fix="take another")
    (folder / "board.txt").write_bytes(content[:20_000])
    out, error = io.StringIO(), io.StringIO()
    before = Path.cwd()
    os.chdir(folder)
    try:
        with (
            contextlib.redirect_stdout(out),
            contextlib.redirect_stderr(error),
            mock.patch.object(sys, "stdin", io.StringIO("none\n2\nundo\nskip\n15 33\nnone\n")),
        ):
            code = main(words)
    except SystemExit as end:
        code = end.code if isinstance(end.code, int) else 2
    finally:
        os.chdir(before)
    assert code in (0, 1, 2), code
    said = error.getvalue()
    # Words of the command line come back as they are in the usage of argparse.
    if "usage:" not in said:
        shown = out.getvalue() + said
        assert not any(is_control(c) for c in shown if c != "\n"), "a control character reaches the terminal"
    if code == 2:
        assert said.strip(), "it ends with 2 and says nothing"
        raise UsageError("the command was refused", fix="see what it said")
    return lambda: None


def _forms_run(data: bytes, folder: Path) -> Callable[[], object]:
    """A board written in each of our forms and read back has the same pins on each net."""
    from tracer.export.netlists.netlists import NETLIST_FORMS, write_netlist

    path = folder / "board.net"
    path.write_bytes(data)
    netlist = read_netlist(path, format_name="kicad-netlist")
    for form in NETLIST_FORMS:
        text, lost = write_netlist(form.name, netlist)
        if any("several nets" in words or "without a number" in words for words in lost):
            continue
        is_ours = form.name in ("kicad-netlist", "bench-notes")
        try:
            back = parse_netlist(text, "back" + form.suffix, format_name=form.name)
        except TracerError:
            # Other forms have no way to write some signs; what cannot be read is not lost in silence.
            assert not is_ours, form.name
            continue
        assert _nets(netlist, by_name=is_ours) == _nets(back, by_name=is_ours), form.name
    return lambda: None


def _nets(netlist: Netlist, *, by_name: bool) -> list[tuple[PinRef, ...]] | list[int]:
    """Nets of two and more pins; in forms that write some pins in other words, how many each has."""
    nets = [net.pins for net in netlist.nets if len(net.pins) > 1]
    if by_name:
        return sorted(tuple(sorted(pins, key=lambda p: p.key)) for pins in nets)
    return sorted(len(pins) for pins in nets)


def _forms_fresh(rng: random.Random) -> bytes:
    return seeds.WRITERS["kicad-netlist"][0](seeds.odd_board(rng)).encode("utf-8", "replace")


def _outputs_run(data: bytes, folder: Path) -> Callable[[], object]:
    """Everything that follows from a traced board."""
    from tracer.card.html import pages_as_html
    from tracer.card.make import make_card
    from tracer.card.pages import lay_out
    from tracer.export.deck import decks_of
    from tracer.export.edges import walked_edges
    from tracer.export.spice import decks_as_spice
    from tracer.export.walked_csv import edges_as_csv
    from tracer.export.walked_graphml import edges_as_graphml
    from tracer.levels.codes import LOADS, compute_levels
    from tracer.levels.csv import levels_as_csv
    from tracer.levels.json import levels_as_json
    from tracer.levels.legs import read_legs
    from tracer.levels.plot import levels_as_svg
    from tracer.levels.text import legs_as_text, levels_as_text
    from tracer.page.report import report_text
    from tracer.suspects.priors import load_priors
    from tracer.suspects.reasoning import Reasoning
    from tracer.tracing.pipeline import trace_fully

    path = folder / "board.txt"
    path.write_bytes(data)
    netlist = read_netlist(path)
    if len(netlist.parts) > 200:
        raise UsageError("too many parts for a test", fix="take fewer")
    traced = trace_fully(netlist, load_library())

    def follow() -> None:
        for tolerance in (0.0, 0.05):
            table = compute_levels(traced, LOADS, tolerance=tolerance)
            levels_as_csv(table)
            levels_as_svg(table)
            assert not any(is_control(c) for c in levels_as_text(table, all_codes=True) if c != "\n")
        legs = read_legs(traced, 75.0)
        levels_as_json(table, legs)
        assert not any(is_control(c) for c in legs_as_text(table.board, legs) if c != "\n")
        decks_as_spice(traced.bit_map.name, decks_of(traced, 75.0))
        edges = walked_edges(traced)
        edges_as_csv(edges)
        edges_as_graphml(traced.bit_map.name, edges)
        Reasoning(traced, load_priors())
        pages_as_html(lay_out(make_card(traced, 75.0)), traced.bit_map.name)
        with contextlib.redirect_stderr(io.StringIO()):
            report_text(traced, 75.0)

    return follow


def _boards() -> list[bytes]:
    return [
        *(writer(board).encode() for writer in seeds.WRITERS["bench-notes"] for board in seeds.boards()),
        *(text.encode() for text in _starts()[:3]),
        *(seeds.WRITERS["kicad-netlist"][0](board).encode() for board in seeds.boards()),
    ]


USES = (
    Target("beep", _beep_seeds, _beep_run, _beep_fresh),
    Target("wiring", _wiring_seeds, _wiring_run),
    Target("commands", _command_seeds, _command_run, _command_fresh),
    Target("forms", lambda: [b for b in _boards() if b.startswith(b"(")], _forms_run, _forms_fresh),
    Target("outputs", _boards, _outputs_run, None),
)
