"""The command line: parse, call, print. Nothing is computed here.

Exit codes: 0 all bits traced; 1 something stopped or was not understood;
2 could not read, or wrong use.
"""

from __future__ import annotations

import argparse
import os
import sys
import threading
from collections.abc import Callable, Iterator, Sequence
from contextlib import contextmanager
from pathlib import Path
from typing import TYPE_CHECKING

from tracer.errors import EmitError, TracerError, UsageError

if TYPE_CHECKING:
    from tracer.bitmap import BitMap
    from tracer.netlist import Netlist
    from tracer.parts.library import Library

__all__ = ["main"]

OK, STOPPED, UNREADABLE = 0, 1, 2

#: Files that `trace -o DIR` writes: output of `tracer.emit.OUTPUTS` -> file name.
_FOLDER_FILES = {"json": "map.json", "csv": "map.csv", "svg": "diagram.svg", "png": "diagram.png"}


def main(argv: Sequence[str] | None = None) -> int:
    """Run the program; gives its exit code."""
    parser = build_parser()
    args = parser.parse_args(argv)
    run: Callable[[argparse.Namespace], int] | None = getattr(args, "run", None)
    if run is None:
        parser.print_help()
        return UNREADABLE
    try:
        return run(args)
    except TracerError as error:
        print(error, file=sys.stderr)
        return UNREADABLE
    except BrokenPipeError:
        # The reader of a pipe went away (`| head`): not our error.
        sys.stdout = open(os.devnull, "w")  # noqa: SIM115, PTH123
        return OK
    except KeyboardInterrupt:
        print("stopped", file=sys.stderr)
        return UNREADABLE


def build_parser() -> argparse.ArgumentParser:
    """The parser of all commands; also what completion files are made from."""
    parser = argparse.ArgumentParser(
        prog="rgbroots",
        description="Traces the colours of a raster-video board from the connector back to the memory pins that "
        "store them.",
        epilog="Example: rgbroots trace dunlin.net -o dunlin",
    )
    commands = parser.add_subparsers(title="commands", metavar="COMMAND")
    _add_trace(commands)
    _add_diagram(commands)
    _add_check(commands)
    _add_part(commands)
    _add_convert(commands)
    return parser


def _command(
    commands: argparse._SubParsersAction[argparse.ArgumentParser],
    name: str,
    what: str,
    example: str,
    run: Callable[[argparse.Namespace], int],
) -> argparse.ArgumentParser:
    parser = commands.add_parser(
        name,
        help=what,
        description=what[0].upper() + what[1:] + ".",
        epilog=f"Example: {example}",
        formatter_class=argparse.RawDescriptionHelpFormatter,
    )
    parser.set_defaults(run=run)
    return parser


def _add_inputs(parser: argparse.ArgumentParser) -> None:
    parser.add_argument(
        "files", nargs="+", metavar="FILE", help="netlist, schematic or table; NAME=FILE names its board"
    )
    parser.add_argument(
        "--join", action="append", default=[], metavar="A:J3=B:J1", help="join two boards by a cable"
    )
    parser.add_argument(
        "--part", action="append", default=[], metavar="U31=74LS374", help="tell what a part is"
    )
    parser.add_argument(
        "--parts", action="append", default=[], metavar="FILE", help="part types of your own (TOML)"
    )
    parser.add_argument(
        "--format", metavar="NAME", help="take the files as this format instead of looking at them"
    )
    parser.add_argument("--encoding", metavar="NAME", help="character encoding of the files")


def _add_tracing(parser: argparse.ArgumentParser) -> None:
    parser.add_argument(
        "--pin", action="append", default=[], metavar="red=J1.12", help="tell a colour pin (or red=net:NAME)"
    )
    parser.add_argument(
        "--load", default="75", metavar="OHM", help="the monitor's input in ohms, or none (default 75)"
    )


def _add_trace(commands: argparse._SubParsersAction[argparse.ArgumentParser]) -> None:
    parser = _command(
        commands,
        "trace",
        "find which memory pin feeds which bit of which colour",
        "rgbroots trace dunlin.net -o dunlin",
        _run_trace,
    )
    _add_inputs(parser)
    _add_tracing(parser)
    parser.add_argument(
        "-o", "--output", metavar="DIR", help="write map.json, map.csv, diagram.svg and .png there"
    )
    parser.add_argument("--json", action="store_true", help="print the map as JSON and nothing else")


def _add_diagram(commands: argparse._SubParsersAction[argparse.ArgumentParser]) -> None:
    parser = _command(
        commands,
        "diagram",
        "draw the map: memory on the left, connector on the right",
        "rgbroots diagram dunlin.net -o dunlin.svg",
        _run_diagram,
    )
    _add_inputs(parser)
    _add_tracing(parser)
    parser.add_argument("-o", "--output", metavar="FILE", help=".svg, .png or .dot (default: BOARD.svg)")


def _add_check(commands: argparse._SubParsersAction[argparse.ArgumentParser]) -> None:
    parser = _command(
        commands,
        "check",
        "say what is odd about a netlist or a saved map",
        "rgbroots check dunlin.net",
        _run_check,
    )
    _add_inputs(parser)
    parser.add_argument("--json", action="store_true", help="print the findings as JSON and nothing else")


def _add_part(commands: argparse._SubParsersAction[argparse.ArgumentParser]) -> None:
    parser = _command(
        commands, "part", "print the leg table of a chip's marking", "rgbroots part SN74LS273N", _run_part
    )
    parser.add_argument("marking", metavar="MARKING", help="what is printed on the chip")
    parser.add_argument(
        "--parts", action="append", default=[], metavar="FILE", help="part types of your own (TOML)"
    )
    parser.add_argument("--json", action="store_true", help="print the table as JSON and nothing else")


def _add_convert(commands: argparse._SubParsersAction[argparse.ArgumentParser]) -> None:
    parser = _command(
        commands,
        "convert",
        "write a netlist in another form",
        "rgbroots convert dunlin.net -o dunlin.notes",
        _run_convert,
    )
    _add_inputs(parser)
    parser.add_argument(
        "-o", "--output", required=True, metavar="FILE", help=".net (KiCad), .csv or .notes; see --to"
    )
    parser.add_argument("--to", metavar="FORM", help="the form, where the name of the file does not tell it")


# -- commands ---------------------------------------------------------------------------------------


def _run_trace(args: argparse.Namespace) -> int:
    bit_map = _trace(args)
    from tracer.emit import emit

    if args.json:
        sys.stdout.write(str(emit("json", bit_map)))
    else:
        from tracer.emit.terminal import emit as emit_terminal

        sys.stdout.write(emit_terminal(bit_map, coloured=_is_coloured()))
    if args.output:
        _write_folder(Path(args.output), bit_map)
    return OK if bit_map.is_complete else STOPPED


def _run_diagram(args: argparse.Namespace) -> int:
    bit_map = _saved_map(args.files[0]) if len(args.files) == 1 else None
    bit_map = bit_map or _trace(args)
    target = Path(args.output or f"{bit_map.name}.svg")
    form = target.suffix.lstrip(".").lower()
    if form not in ("svg", "png", "dot"):
        raise UsageError(
            f"a diagram cannot be written as {target.name}", fix="end the name in .svg, .png or .dot"
        )
    from tracer.emit import emit
    from tracer.emit.write import write_whole

    write_whole(target, emit(form, bit_map))
    print(f"wrote {target}", file=sys.stderr)
    return OK if bit_map.is_complete else STOPPED


def _run_check(args: argparse.Namespace) -> int:
    from tracer.emit.checked import check_as_json, check_as_text

    bit_map = _saved_map(args.files[0]) if len(args.files) == 1 else None
    if bit_map is not None:
        print(f"{args.files[0]} is a whole map: {bit_map.n_traced} of {bit_map.n_bits} bits traced")
        return OK
    netlist = _read(args)
    _library(args)
    from tracer.netlist import check_netlist

    findings = check_netlist(netlist)
    sys.stdout.write(check_as_json(netlist, findings) if args.json else check_as_text(netlist, findings))
    return STOPPED if any(f.severity == "warning" for f in findings) else OK


def _run_part(args: argparse.Namespace) -> int:
    from tracer.emit.part_table import part_as_json, part_as_text
    from tracer.parts.lookup import look_up

    found = look_up(args.marking, _library(args))
    sys.stdout.write(part_as_json(found) if args.json else part_as_text(found))
    return OK if found.type is not None else STOPPED


def _run_convert(args: argparse.Namespace) -> int:
    from tracer.emit.netlists import NETLIST_FORMS, write_netlist
    from tracer.emit.write import write_whole

    target = Path(args.output)
    known = {f.name: f for f in NETLIST_FORMS} if args.to else {f.suffix: f for f in NETLIST_FORMS}
    form = known.get(args.to or target.suffix.lower())
    if form is None:
        forms = ", ".join(f"{f.name} ({f.suffix})" for f in NETLIST_FORMS)
        raise UsageError(
            f"{args.to or target.name} is no form that can be written", fix=f"the forms are: {forms}"
        )
    text, lost = write_netlist(form.name, _read(args))
    write_whole(target, text)
    print(f"wrote {target}", file=sys.stderr)
    if lost:
        print(f"a {form.what} cannot hold: {', '.join(lost)}", file=sys.stderr)
    return OK


# -- shared -----------------------------------------------------------------------------------------


@contextmanager
def _working(what: str) -> Iterator[None]:
    """Say on the terminal what takes longer than a second."""
    timer = threading.Timer(1.0, lambda: print(f"{what} ...", file=sys.stderr))
    timer.daemon = True
    if sys.stderr.isatty():
        timer.start()
    try:
        yield
    finally:
        timer.cancel()


def _library(args: argparse.Namespace) -> Library:
    from tracer.importers.text import decode, read_bytes
    from tracer.parts.library import load_library

    return load_library([(f, decode(read_bytes(Path(f)), f)[0]) for f in args.parts])


def _read(args: argparse.Namespace) -> Netlist:
    """Read, merge and join the files of a command."""
    from tracer.importers import read_netlist
    from tracer.merge import join_boards, merge_netlists, parse_join
    from tracer.netlist import with_markings

    joins = [parse_join(j) for j in args.join]
    boards: dict[str, list[Netlist]] = {}
    for number, spec in enumerate(args.files):
        name, equals, file = spec.partition("=")
        if not equals or Path(spec).exists():
            # Without names the boards of a join are A, B, C in the order of the files.
            name, file = (chr(ord("A") + number) if joins else "", spec)
        with _working(f"reading {file}"):
            read = read_netlist(file, format_name=args.format, encoding=args.encoding)
        boards.setdefault(name, []).append(read)
    merged = {name: merge_netlists(parts) for name, parts in boards.items()}
    if joins:
        netlist = join_boards(merged, joins)
    elif len(merged) == 1:
        netlist = next(iter(merged.values()))
    else:
        raise UsageError(
            f"{len(merged)} boards are named but nothing joins them",
            fix="add --join A:J3=B:J1, or leave the names out",
        )
    if not netlist.nets:
        raise UsageError(
            f"{netlist.name} has parts but no nets",
            fix="give a net list beside the part list; a table needs the columns part, pin, net",
        )
    markings = {}
    for told in args.part:
        reference, equals, marking = told.partition("=")
        if not equals or not reference or not marking:
            raise UsageError(f"--part {told} is not understood", fix="write --part U31=74LS374")
        markings[reference] = marking
    return with_markings(netlist, markings) if markings else netlist


def _trace(args: argparse.Namespace) -> BitMap:
    from tracer.colour_pins import parse_told
    from tracer.tracing import trace

    told = parse_told(args.pin)
    load = _load_ohm(args.load)
    netlist, library = _read(args), _library(args)
    with _working(f"tracing {netlist.name}"):
        return trace(netlist, library, pins=told, load_ohm=load)


def _load_ohm(text: str) -> float | None:
    from tracer.units import parse_ohm

    if text.lower() == "none":
        return None
    ohm = parse_ohm(text)
    if not ohm:
        raise UsageError(f"--load {text} is no resistance", fix="write --load 75, --load 1k or --load none")
    return ohm


def _saved_map(file: str) -> BitMap | None:
    """The map in a file that this program wrote, or None when the file is something else."""
    path = Path(file)
    if path.suffix.lower() != ".json" or not path.is_file():
        return None
    from tracer.importers.text import decode, read_bytes
    from tracer.saved_map import read_map

    return read_map(decode(read_bytes(path), file)[0], file)


def _write_folder(folder: Path, bit_map: BitMap) -> None:
    from tracer.emit import emit
    from tracer.emit.write import make_folder, write_whole

    make_folder(folder)
    written = []
    for form, name in _FOLDER_FILES.items():
        try:
            with _working(f"drawing {name}"):
                content = emit(form, bit_map)
        except EmitError as error:
            print(error, file=sys.stderr)
            continue
        write_whole(folder / name, content)
        written.append(name)
    print(f"wrote {', '.join(written)} in {folder}", file=sys.stderr)


def _is_coloured() -> bool:
    """Whether the terminal gets colours: https://no-color.org, an informal standard."""
    return sys.stdout.isatty() and not os.environ.get("NO_COLOR") and os.environ.get("TERM") != "dumb"


if __name__ == "__main__":
    sys.exit(main())
