"""The command line: parse, call, print. Nothing is computed here.

Exit codes: 0 all bits traced; 1 something stopped or was not understood;
2 could not read, or wrong use.
"""

from __future__ import annotations

import argparse
import os
import sys
from collections.abc import Callable, Sequence
from pathlib import Path

from tracer.base.errors import EmitError, TracerError, UsageError
from tracer.cli import beep as command_beep
from tracer.cli import card as command_card
from tracer.cli import completion as command_completion
from tracer.cli import help as command_help
from tracer.cli import levels as command_levels
from tracer.cli import palette as command_palette
from tracer.cli import rehearse as command_rehearse
from tracer.cli import report as command_report
from tracer.cli import suspect as command_suspect
from tracer.cli.inputs import (
    add_command,
    add_inputs,
    add_tracing,
    as_file_name,
    is_coloured,
    parse_load,
    read_board,
    read_library,
    saved_map,
    trace_board,
    working,
)

TYPE_CHECKING = False
if TYPE_CHECKING:
    from tracer.cli.inputs import Commands
    from tracer.tracing.pipeline import Traced

__all__ = ["main"]

OK, STOPPED, UNREADABLE = 0, 1, 2

#: Files that `trace -o DIR` writes: output of `tracer.cli.outputs.OUTPUTS` -> file name.
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
    command_beep.add(commands)
    command_card.add(commands)
    command_levels.add(commands)
    command_palette.add(commands)
    command_rehearse.add(commands)
    command_report.add(commands)
    command_suspect.add(commands)
    command_completion.add(commands, parser)
    command_help.add(commands)
    return parser


def _add_trace(commands: Commands) -> None:
    parser = add_command(
        commands,
        "trace",
        "find which memory pin feeds which bit of which colour",
        "rgbroots trace dunlin.net -o dunlin",
        _run_trace,
    )
    add_inputs(parser)
    add_tracing(parser)
    parser.add_argument(
        "-o",
        "--output",
        metavar="DIR",
        help="write map.json, map.csv, diagram.svg and .png, card and report.html there",
    )
    parser.add_argument("--json", action="store_true", help="print the map as JSON and nothing else")


def _add_diagram(commands: Commands) -> None:
    parser = add_command(
        commands,
        "diagram",
        "draw the map: memory on the left, connector on the right",
        "rgbroots diagram dunlin.net -o dunlin.svg",
        _run_diagram,
    )
    add_inputs(parser)
    add_tracing(parser)
    parser.add_argument("-o", "--output", metavar="FILE", help=".svg, .png or .dot (default: BOARD.svg)")


def _add_check(commands: Commands) -> None:
    parser = add_command(
        commands,
        "check",
        "say what is odd about a netlist or a saved map",
        "rgbroots check dunlin.net",
        _run_check,
    )
    add_inputs(parser)
    parser.add_argument("--json", action="store_true", help="print the findings as JSON and nothing else")


def _add_part(commands: Commands) -> None:
    parser = add_command(
        commands, "part", "print the leg table of a chip's marking", "rgbroots part SN74LS273N", _run_part
    )
    parser.add_argument("marking", metavar="MARKING", help="what is printed on the chip")
    parser.add_argument(
        "--parts", action="append", default=[], metavar="FILE", help="part types of your own (TOML)"
    )
    parser.add_argument("--json", action="store_true", help="print the table as JSON and nothing else")


def _add_convert(commands: Commands) -> None:
    parser = add_command(
        commands,
        "convert",
        "write a netlist in another form",
        "rgbroots convert dunlin.net -o dunlin.notes",
        _run_convert,
    )
    add_inputs(parser)
    parser.add_argument(
        "-o",
        "--output",
        required=True,
        metavar="FILE",
        help=".net (KiCad), .asc (PADS), .csv or .notes; see --to",
    )
    parser.add_argument("--to", metavar="FORM", help="the form, where the name of the file does not tell it")


# -- commands ---------------------------------------------------------------------------------------


def _run_trace(args: argparse.Namespace) -> int:
    traced = trace_board(args)
    bit_map = traced.bit_map
    from tracer.cli.outputs import emit

    if args.json:
        sys.stdout.write(str(emit("json", bit_map)))
    else:
        from tracer.bitmap.terminal import emit as emit_terminal

        sys.stdout.write(emit_terminal(bit_map, coloured=is_coloured()))
    if args.output:
        _write_folder(Path(args.output), traced, args.load)
    return OK if bit_map.is_complete else STOPPED


def _run_diagram(args: argparse.Namespace) -> int:
    bit_map = saved_map(args.files[0]) if len(args.files) == 1 else None
    bit_map = bit_map or trace_board(args).bit_map
    target = Path(args.output or f"{as_file_name(bit_map.name)}.svg")
    form = target.suffix.lstrip(".").lower()
    if form not in ("svg", "png", "dot"):
        raise UsageError(
            f"a diagram cannot be written as {target.name}", fix="end the name in .svg, .png or .dot"
        )
    from tracer.base.write import write_whole
    from tracer.cli.outputs import emit

    write_whole(target, emit(form, bit_map))
    print(f"wrote {target}", file=sys.stderr)
    return OK if bit_map.is_complete else STOPPED


def _run_check(args: argparse.Namespace) -> int:
    from tracer.bitmap.checked import check_as_json, check_as_text

    bit_map = saved_map(args.files[0]) if len(args.files) == 1 else None
    if bit_map is not None:
        print(f"{args.files[0]} is a whole map: {bit_map.n_traced} of {bit_map.n_bits} bits traced")
        return OK
    netlist = read_board(args)
    read_library(args)
    from tracer.netlist.check import check_netlist

    findings = check_netlist(netlist)
    sys.stdout.write(check_as_json(netlist, findings) if args.json else check_as_text(netlist, findings))
    return STOPPED if any(f.severity == "warning" for f in findings) else OK


def _run_part(args: argparse.Namespace) -> int:
    from tracer.parts.lookup import look_up
    from tracer.parts.table import part_as_json, part_as_text

    found = look_up(args.marking, read_library(args))
    sys.stdout.write(part_as_json(found) if args.json else part_as_text(found))
    return OK if found.type is not None else STOPPED


def _run_convert(args: argparse.Namespace) -> int:
    from tracer.base.write import write_whole
    from tracer.export.netlists.netlists import NETLIST_FORMS, write_netlist

    target = Path(args.output)
    known = {f.name if args.to else f.suffix: f for f in reversed(NETLIST_FORMS)}
    form = known.get(args.to or target.suffix.lower())
    if form is None:
        forms = ", ".join(f"{f.name} ({f.suffix})" for f in NETLIST_FORMS)
        raise UsageError(
            f"{args.to or target.name} is no form that can be written", fix=f"the forms are: {forms}"
        )
    text, lost = write_netlist(form.name, read_board(args))
    write_whole(target, text)
    print(f"wrote {target}", file=sys.stderr)
    if lost:
        print(f"a {form.what} cannot hold: {', '.join(lost)}", file=sys.stderr)
    return OK


def _write_folder(folder: Path, traced: Traced, load: str) -> None:
    from tracer.base.write import make_folder, write_whole
    from tracer.card.make import make_card
    from tracer.cli.outputs import emit

    make_folder(folder)
    written = []
    for form, name in _FOLDER_FILES.items():
        try:
            with working(f"drawing {name}"):
                content = emit(form, traced.bit_map)
        except EmitError as error:
            print(error, file=sys.stderr)
            continue
        write_whole(folder / name, content)
        written.append(name)
    load_ohm = parse_load(load)
    card = make_card(traced, load_ohm)
    try:
        command_card.write_card(card, folder / "card.pdf")
        written.append("card.pdf")
    except EmitError:
        command_card.write_card(card, folder / "card.html")
        written.append("card.html")
    write_whole(folder / "report.html", command_report.report_text(traced, load_ohm))
    written.append("report.html")
    print(f"wrote {', '.join(written)} in {folder}", file=sys.stderr)


if __name__ == "__main__":
    sys.exit(main())
