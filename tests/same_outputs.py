"""Whether the program says what it said before: every command with every output on the demo boards, byte for byte.

``python -m tests.same_outputs .venv/bin/rgbroots FILE`` records into FILE what each command line gives; when FILE is
there, it lists each difference in exit code, standard output, standard error and every file that was written, and ends
with 1 when there is one. Record before a change that must change nothing, compare after it. Every command line runs in
a folder of its own and with one hash seed. FILE is a pickle: compare with one of your own only.
"""

from __future__ import annotations

import argparse
import difflib
import os
import pickle
import shlex
import shutil
import subprocess
import sys
import tempfile
from collections.abc import Iterator, Sequence
from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass
from functools import partial
from pathlib import Path

from tracer.cli.commands import TOPICS
from tracer.cli.main import build_parser
from tracer.export.netlists.netlists import NETLIST_FORMS
from tracer.palette.palettes import PALETTE_FORMS

__all__ = ["Run", "command_lines", "commands", "differences", "main", "run"]

NETLISTS = Path(__file__).parent.parent / "netlists"
NOTES = Path(__file__).parent / "cases" / "notes" / "twelve_bits.notes"
JOINED = "A=avocet-main.net B=avocet-video.net --join A:J3=B:J1"
#: Board -> what is typed for it, a memory that holds its palette, its size in bytes, a latch or memory leg, a chip.
BOARDS = {
    "dunlin": ("dunlin.net", "U9", 2048, "U13.19", "U13"),
    "wren": ("wren.net", "U9", 32, "U9.1", "U9"),
    "plover": ("plover.net", "U27", 32768, "U33.16", "U33"),
    "avocet": (JOINED, "B:U9", 0, "", ""),
}
DRAWN = ("dunlin.csv", "dunlin.kicad_sch", "wren.csv", "wren.kicad_sch", "plover.csv", "plover.kicad_sch")
#: Typed to whatever asks.
ANSWERS = b"none\nnone\n2\nskip\nquit\n"
#: The same on every machine: programs of the system alone (dot), no colour, one width, one order of what has none.
ENVIRONMENT = {
    "PATH": "/usr/bin:/bin",
    "COLUMNS": "80",
    "NO_COLOR": "1",
    "LC_ALL": "C.UTF-8",
    "PYTHONHASHSEED": "0",
}
#: Seconds by the clock after which a command hangs, also on a machine that has much else to do.
HANGS = 900.0
#: A line that is drawn over by the next one ends so.
DRAWN_OVER = b"\r"
#: Lines of a file's differences that are shown, and letters of each.
SHOWN_LINES, SHOWN_LETTERS = 10, 200


@dataclass(frozen=True)
class Run:
    """What a command line gave."""

    code: int
    out: bytes
    err: bytes
    files: dict[str, bytes]


def commands() -> dict[str, argparse.ArgumentParser]:
    """Command of the program -> its parser."""
    [found] = [a for a in build_parser()._actions if isinstance(a, argparse._SubParsersAction)]
    return dict(found.choices)


def command_lines() -> Iterator[str]:
    """Every command with every output, on the demo boards."""
    yield from (
        "",
        "--help",
        "completion bash",
        "completion zsh",
        "demo",
        "demo -o d",
        "serve nothing",
        "trace nothing.net",
        "trace u.bin",
        "part NONSENSE",
    )
    yield from (f"{command} --help" for command in commands())
    yield from (f"help {topic}" for topic in ("", *TOPICS, "U9"))
    for marking in ("SN74LS273N", "6116", "82S129", "74F157", "LM1881"):
        yield from (f"part {marking}", f"part {marking} --json")
    for board, (inputs, memory, size, leg, chip) in BOARDS.items():
        yield from _of_map(inputs)
        yield from _of_levels(inputs)
        if size:
            yield from _of_suspects(inputs, leg, chip)
            yield from _of_palette(inputs, memory, board)
            yield from _of_conversion(inputs)
            yield from (f"rehearse {inputs} --seed 1 --json", f"rehearse {inputs} --wrong 3% --seed 2")
            yield from (f"check {inputs}{more}" for more in ("", " --json"))
    for file in DRAWN:
        if file.endswith(".kicad_sch"):
            yield f"mark {file} -o marked"
        yield from (f"trace {file} --json", f"check {file}", f"convert {file} -o a.notes")
    yield from (
        "beep half.notes",
        "beep half.notes --json",
        "trace half.notes",
        "trace dunlin.net half.notes",
    )
    yield from (
        "beep half.notes --ask",
        "report dunlin.net bench.notes -o b.html",
        "card dunlin.net bench.notes -o b.html",
    )


def _of_map(inputs: str) -> Iterator[str]:
    yield from (
        f"trace {inputs}{more}" for more in ("", " --json", " -o out", " --load none", " --pin red=net:NONE")
    )
    yield from (f"diagram {inputs} -o d.{form}" for form in ("svg", "png", "dot"))
    yield from (f"card {inputs} -o c.{form}" for form in ("pdf", "html", "svg"))
    yield from (f"report {inputs} -o r.html", f"report {inputs} --load none -o r.html")


def _of_levels(inputs: str) -> Iterator[str]:
    options = (
        " ",
        " --all",
        " --legs",
        " --json",
        " --tolerance 5%",
        " --high 3.2 --low 0.2 --source-ohm 60",
        " --load 1k",
    )
    yield from (f"levels {inputs}{option}" for option in options)
    yield from (f"levels {inputs} -o l.{form}" for form in ("svg", "csv", "json"))
    yield from (f"export {inputs} {form} -o e" for form in ("--spice", "--graphml", "--csv", "--nets"))
    yield f"export {inputs} --spice"


def _of_suspects(inputs: str, leg: str, chip: str) -> Iterator[str]:
    words = "--seen red=missing --seen green=flickers --seen blue=fine"
    for evidence in (
        words, f"--seen red=coarse --read {leg}=floating", f"{words} --swapped '{chip}=no change'", "--seen all=wrong",
        f"{words} --pressed {chip}=changes", "--seen red=weak --ohms R1=open", "--seen green=mixed --seen red=fine",
        "--seen 'white as cyan' --seen 'shapes right' --seen 'red=not missing'", f"{words} --socket {chip}",
    ):  # fmt: skip
        yield from (f"suspect {inputs} {evidence}", f"suspect {inputs} {evidence} --json")
    yield from (
        f"suspect {inputs} --without {chip}",
        f"suspect {inputs} --fault '{leg} low'",
        f"suspect {inputs} bench.notes",
    )


def _of_palette(inputs: str, memory: str, board: str) -> Iterator[str]:
    contents = f"palette {inputs} --contents {memory}={board}.bin"
    yield from (
        f"{contents}{more}"
        for more in ("", " --all", " --json", " --colour '#ff8000'", f" --other {memory}={board}-now.bin")
    )
    yield from (f"{contents} -o p{suffix}" for suffix in PALETTE_FORMS)


def _of_conversion(inputs: str) -> Iterator[str]:
    seen: set[str] = set()
    for form in NETLIST_FORMS:
        told = form.suffix in seen
        seen.add(form.suffix)
        yield f"convert {inputs} -o " + (f"b{form.suffix} --to {form.name}" if told else f"a{form.suffix}")


def lay_out(folder: Path) -> None:
    """Everything that the command lines name."""
    for file in NETLISTS.glob("*/*"):
        shutil.copy(file, folder / file.name)
    for board, (_, _, size, _, _) in BOARDS.items():
        (folder / f"{board}.bin").write_bytes(bytes((37 * i + i // 64) % 256 for i in range(size)))
        (folder / f"{board}-now.bin").write_bytes(bytes((41 * i) % 256 for i in range(size)))
    (folder / "u.bin").write_bytes(bytes(range(256)))
    lines = NOTES.read_text(encoding="utf-8").rstrip("\n").split("\n")
    (folder / "half.notes").write_text("\n".join(lines[:-1]) + "\n", encoding="utf-8")
    (folder / "bench.notes").write_text("seen red missing\nseen blue fine\n", encoding="utf-8")


def run(program: Path, line: str) -> Run:
    """Run one command line in a folder of its own, which holds what command lines name."""
    with tempfile.TemporaryDirectory() as name:
        folder = Path(name)
        lay_out(folder)
        before = {path: path.read_bytes() for path in folder.rglob("*") if path.is_file()}
        done = subprocess.run(
            [str(program), *shlex.split(line)], cwd=folder, input=ANSWERS, capture_output=True,
            timeout=HANGS, check=False, env=ENVIRONMENT,
        )  # fmt: skip
        files = {
            str(path.relative_to(folder)): path.read_bytes()
            for path in sorted(folder.rglob("*"))
            if path.is_file() and before.get(path) != path.read_bytes()
        }
    return Run(done.returncode, done.stdout, done.stderr.replace(DRAWN_OVER, b"\n"), files)


def differences(old: Run, new: Run) -> Iterator[str]:
    """What differs between two runs of one command line, a few lines each."""
    if old.code != new.code:
        yield f"exit code {old.code} -> {new.code}"
    pairs: dict[str, tuple[bytes | None, bytes | None]] = {
        "standard output": (old.out, new.out),
        "standard error": (old.err, new.err),
    }
    pairs |= {name: (old.files.get(name), new.files.get(name)) for name in sorted({*old.files, *new.files})}
    for what, (before, after) in pairs.items():
        if before is None or after is None:
            yield f"{what}: {'written now' if before is None else 'written no more'}"
        elif before != after:
            yield f"{what}: {len(before)} -> {len(after)} bytes"
            a, b = (data.decode("utf-8", "replace").splitlines() for data in (before, after))
            rows = [*difflib.unified_diff(a, b, lineterm="", n=0)][2:]
            yield from (f"    {row[:SHOWN_LETTERS]}" for row in rows[:SHOWN_LINES])


def main(argv: Sequence[str] | None = None) -> int:
    """Record, or compare; gives 1 when something differs."""
    parser = argparse.ArgumentParser(
        prog="python -m tests.same_outputs", description=(__doc__ or "").split("\n")[0]
    )
    parser.add_argument("program", type=Path, help="the installed rgbroots")
    parser.add_argument(
        "record", type=Path, help="a file: made where it is not there, compared with where it is"
    )
    parser.add_argument("--only", default="", metavar="WORD", help="only command lines that hold this word")
    args = parser.parse_args(argv)
    program = args.program.absolute()
    lines = [line for line in command_lines() if args.only in line]
    with ThreadPoolExecutor(os.cpu_count()) as pool:
        runs = zip(lines, pool.map(partial(run, program), lines), strict=True)
        if not args.record.exists():
            args.record.write_bytes(pickle.dumps(dict(runs)))
            print(f"{len(lines)} command lines recorded")
            return 0
        before: dict[str, Run] = pickle.loads(args.record.read_bytes())
        differ = 0
        for line, new in runs:
            found = list(differences(before[line], new)) if line in before else ["not recorded"]
            differ += bool(found)
            if found:
                print(f"rgbroots {line}", *(f"  {row}" for row in found), sep="\n", flush=True)
    print(f"{len(lines)} command lines, {differ} differ")
    return 1 if differ else 0


if __name__ == "__main__":
    sys.exit(main())
