"""Whether the program says what it said before: every command with every output on the demo boards, byte for byte.

``python -m tests.same_outputs .venv/bin/rgbroots FILE`` records into FILE what each command line gives; when FILE is
there, it lists each difference in exit code, standard output, standard error and every file that was written, and ends
with 1 when there is one. Record before a change that must change nothing, compare after it.
"""

from __future__ import annotations

import argparse
import difflib
import pickle
import shlex
import shutil
import subprocess
import sys
import tempfile
from collections.abc import Iterator
from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass
from functools import partial
from pathlib import Path

__all__ = ["Run", "command_lines", "differences", "run"]

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
FORMS = ("a.net", "a.csv", "a.asc", "a.notes", "b.net --to orcad-pcb2")
#: Lines that tell one day or run from another, and no difference.
PROGRESS = b"\r"


@dataclass(frozen=True)
class Run:
    """What a command line gave."""

    code: int
    out: bytes
    err: bytes
    files: dict[str, bytes]


def command_lines() -> Iterator[str]:
    """Every command with every output, on the demo boards."""
    yield from (
        "",
        "--help",
        "completion bash",
        "completion zsh",
        "demo",
        "demo -o d",
        "trace nothing.net",
        "trace u.bin",
        "part NONSENSE",
    )
    commands = [
        "trace",
        "diagram",
        "check",
        "part",
        "convert",
        "beep",
        "card",
        "levels",
        "export",
        "palette",
        "rehearse",
        "report",
        "suspect",
        "demo",
        "completion",
        "help",
    ]
    yield from (f"{command} --help" for command in commands)
    yield from (
        f"help {topic}"
        for topic in (
            "",
            *["notes", "parts", "formats", "colours", "suspects", "json", "exit", "safety", "U9"],
        )
    )
    for marking in ("SN74LS273N", "6116", "82S129", "74F157", "LM1881"):
        yield from (f"part {marking}", f"part {marking} --json")
    for board, (inputs, memory, size, leg, chip) in BOARDS.items():
        yield from _of_map(inputs)
        yield from _of_levels(inputs)
        if size:
            yield from _of_suspects(inputs, leg, chip)
            yield from _of_palette(inputs, memory, f"{board}.bin")
            yield from (f"convert {inputs} -o {form}" for form in FORMS)
            yield from (f"rehearse {inputs} --seed 1 --json", f"rehearse {inputs} --wrong 3% --seed 2")
            yield from (f"check {inputs}{more}" for more in ("", " --json"))
    for file in DRAWN:
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
    yield from (f"export {inputs} {form} -o e" for form in ("--spice", "--graphml", "--csv"))
    yield f"export {inputs} --spice"


def _of_suspects(inputs: str, leg: str, chip: str) -> Iterator[str]:
    words = "--seen red=missing --seen green=flickers --seen blue=fine"
    for evidence in (
        words, f"--seen red=coarse --read {leg}=floating", f"{words} --swapped '{chip}=no change'", "--seen all=wrong",
        f"{words} --pressed {chip}=changes", "--seen red=weak --ohms R1=open", "--seen green=mixed --seen red=fine",
    ):  # fmt: skip
        yield from (f"suspect {inputs} {evidence}", f"suspect {inputs} {evidence} --json")
    yield from (
        f"suspect {inputs} --without {chip}",
        f"suspect {inputs} --fault '{leg} low'",
        f"suspect {inputs} bench.notes",
    )


def _of_palette(inputs: str, memory: str, dump: str) -> Iterator[str]:
    contents = f"palette {inputs} --contents {memory}={dump}"
    yield from (
        f"{contents}{more}"
        for more in ("", " --all", " --json", " --colour '#ff8000'", f" --other {memory}=other.bin")
    )
    yield from (f"{contents} -o p.{form}" for form in ("svg", "png", "html", "csv", "gpl", "json"))


def lay_out(folder: Path) -> None:
    """Everything that the command lines name."""
    for file in NETLISTS.glob("*/*"):
        shutil.copy(file, folder / file.name)
    for board, (_, _, size, _, _) in BOARDS.items():
        (folder / f"{board}.bin").write_bytes(bytes((37 * i + i // 64) % 256 for i in range(size)))
    for size in {size for _, _, size, _, _ in BOARDS.values()}:
        (folder / "other.bin").write_bytes(bytes((41 * i) % 256 for i in range(size)))
    (folder / "u.bin").write_bytes(bytes(range(256)))
    lines = NOTES.read_text(encoding="utf-8").rstrip("\n").split("\n")
    (folder / "half.notes").write_text("\n".join(lines[:-1]) + "\n", encoding="utf-8")
    (folder / "bench.notes").write_text("seen red missing\nseen blue fine\n", encoding="utf-8")


def run(program: Path, line: str) -> Run:
    """Run one command line in a folder of its own; its answers are ``none`` and a leg."""
    with tempfile.TemporaryDirectory() as name:
        folder = Path(name)
        lay_out(folder)
        before = {path: path.read_bytes() for path in folder.rglob("*") if path.is_file()}
        done = subprocess.run(
            [str(program), *shlex.split(line)], cwd=folder, input=b"none\nnone\n2\nskip\nquit\n", capture_output=True,
            timeout=900, check=False, env={"PATH": "/usr/bin:/bin", "COLUMNS": "80", "NO_COLOR": "1", "LC_ALL": "C.UTF-8"},
        )  # fmt: skip
        files = {
            str(path.relative_to(folder)): path.read_bytes()
            for path in sorted(folder.rglob("*"))
            if path.is_file() and before.get(path) != path.read_bytes()
        }
    return Run(done.returncode, done.stdout, b"\n".join(done.stderr.split(PROGRESS)), files)


def differences(old: Run, new: Run) -> Iterator[str]:
    """What differs, a few lines each."""
    if old.code != new.code:
        yield f"exit code {old.code} -> {new.code}"
    pairs = {"standard output": (old.out, new.out), "standard error": (old.err, new.err)}
    pairs |= {
        name: (old.files.get(name, b""), new.files.get(name, b""))
        for name in sorted({*old.files, *new.files})
    }
    for what, (one, other) in pairs.items():
        if one != other:
            yield f"{what}: {len(one)} -> {len(other)} bytes"
            a, b = (data.decode("utf-8", "replace").splitlines() for data in (one, other))
            yield from (f"    {row[:200]}" for row in [*difflib.unified_diff(a, b, lineterm="", n=0)][2:12])


def main() -> int:
    """Record, or compare; gives 1 when something differs."""
    parser = argparse.ArgumentParser(
        prog="python -m tests.same_outputs", description=(__doc__ or "").split("\n")[0]
    )
    parser.add_argument("program", type=Path, help="the installed rgbroots")
    parser.add_argument(
        "record", type=Path, help="a file: made where it is not there, compared with where it is"
    )
    parser.add_argument("--only", default="", metavar="WORD", help="only command lines that hold this word")
    args = parser.parse_args()
    program = args.program.absolute()
    lines = [line for line in command_lines() if args.only in line]
    with ThreadPoolExecutor() as pool:
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
