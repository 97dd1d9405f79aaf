"""What can be typed behind each command, and nothing of what it does: help needs no room of the program.

An option that several commands have is described once, at the head.
"""

from __future__ import annotations

import argparse
from collections.abc import Callable

from tracer.cli.commands import COMMANDS, SHELLS, TOPICS

__all__ = ["OPTIONS"]

# -- options that several commands have -------------------------------------------------------------


def _files(parser: argparse.ArgumentParser) -> None:
    """The options of commands that read boards."""
    parser.add_argument(
        "files", nargs="+", metavar="FILE", help="netlist, schematic or table; NAME=FILE names its board"
    )
    parser.add_argument(
        "--join", action="append", default=[], metavar="A:J3=B:J1", help="join two boards by a cable"
    )
    parser.add_argument(
        "--part", action="append", default=[], metavar="U31=74LS374", help="tell what a part is"
    )
    _own_parts(parser)
    parser.add_argument(
        "--format", metavar="NAME", help="take the files as this format instead of looking at them"
    )
    parser.add_argument("--encoding", metavar="NAME", help="character encoding of the files")
    parser.add_argument(
        "--spice-pins", metavar="FILE", help="legs of a SPICE deck's subcircuits (NAME,leg,leg ...)"
    )


def _own_parts(parser: argparse.ArgumentParser) -> None:
    """The option that adds part types."""
    parser.add_argument(
        "--parts", action="append", default=[], metavar="FILE", help="part types of your own (TOML)"
    )


def _pins(parser: argparse.ArgumentParser) -> None:
    """The option that tells colour pins."""
    parser.add_argument(
        "--pin", action="append", default=[], metavar="red=J1.12", help="tell a colour pin (or red=net:NAME)"
    )


def _tracing(parser: argparse.ArgumentParser) -> None:
    """The options of commands that trace at one load."""
    _pins(parser)
    parser.add_argument(
        "--load",
        metavar="OHM",
        help="the monitor's input in ohms, or none (default: as noted, else 75, the heaviest usual one; monitors of game "
        "boards take 1k and more)",
    )


def _contents(parser: argparse.ArgumentParser, what: str) -> None:
    """The option that gives dumps."""
    parser.add_argument("--contents", action="append", default=[], metavar="U4=FILE", help=what)


def _wiring(parser: argparse.ArgumentParser) -> None:
    """The option that replaces numbers of the search by beeps."""
    parser.add_argument(
        "--wiring", metavar="FILE", help="numbers of your own for how boards are wired (TOML)"
    )


def _json(parser: argparse.ArgumentParser, what: str) -> None:
    """The option that prints JSON in place of text."""
    parser.add_argument("--json", action="store_true", help=f"print the {what} as JSON and nothing else")


# -- the commands -----------------------------------------------------------------------------------


def _trace(parser: argparse.ArgumentParser) -> None:
    _files(parser)
    _tracing(parser)
    parser.add_argument(
        "-o",
        "--output",
        metavar="DIR",
        help="write map.json, map.csv, diagram.svg and .png, card and report.html there",
    )
    _json(parser, "map")


def _diagram(parser: argparse.ArgumentParser) -> None:
    _files(parser)
    _tracing(parser)
    parser.add_argument(
        "--place",
        action="store_true",
        help="where the parts sit on the board instead, from both sides (.svg)",
    )
    parser.add_argument("-o", "--output", metavar="FILE", help=".svg, .png or .dot (default: BOARD.svg)")


def _check(parser: argparse.ArgumentParser) -> None:
    _files(parser)
    _json(parser, "findings")


def _part(parser: argparse.ArgumentParser) -> None:
    parser.add_argument("marking", metavar="MARKING", help="what is printed on the chip")
    _own_parts(parser)
    _json(parser, "table")


def _convert(parser: argparse.ArgumentParser) -> None:
    _files(parser)
    parser.add_argument(
        "-o",
        "--output",
        required=True,
        metavar="FILE",
        help=".net (KiCad), .asc (PADS), .csv or .notes; see --to",
    )
    parser.add_argument("--to", metavar="FORM", help="the form, where the name of the file does not tell it")


def _beep(parser: argparse.ArgumentParser) -> None:
    parser.add_argument("notes", metavar="FILE.notes", help="parts, places, connector and the beeps so far")
    _pins(parser)
    parser.add_argument(
        "--ask", action="store_true", help="as a conversation; each answer is added to FILE at once"
    )
    parser.add_argument("--undo", action="store_true", help="take the last noted answer back")
    _own_parts(parser)
    _wiring(parser)
    _json(parser, "advice")


def _card(parser: argparse.ArgumentParser) -> None:
    _files(parser)
    _tracing(parser)
    parser.add_argument(
        "-o", "--output", metavar="FILE", help=".pdf, .html or .svg (default: BOARD-card.html)"
    )
    parser.add_argument("--paper", choices=("a4", "letter"), default="a4", help="default: a4")


def _levels(parser: argparse.ArgumentParser) -> None:
    _files(parser)
    _pins(parser)
    parser.add_argument(
        "--load",
        action="append",
        default=[],
        metavar="OHM",
        help="the first column, beside 75, 1k and none (default: as noted, else 75, the heaviest usual load; monitors of game "
        "boards take 1k and more)",
    )
    parser.add_argument(
        "--tolerance",
        default="0",
        metavar="5%",
        help="of the resistors: worst cases, and steps that can cross",
    )
    parser.add_argument("--high", metavar="V", help="high level of all outputs instead of the chips' own")
    parser.add_argument("--low", metavar="V", help="low level of all outputs")
    parser.add_argument("--source-ohm", metavar="OHM", help="output resistance of all outputs")
    parser.add_argument("--legs", action="store_true", help="print what each leg should read")
    parser.add_argument("--all", action="store_true", help="show every code, however many there are")
    parser.add_argument("-o", "--output", metavar="FILE", help=".svg (a plot), .csv or .json")
    _json(parser, "levels")


def _export(parser: argparse.ArgumentParser) -> None:
    _files(parser)
    _tracing(parser)
    form = parser.add_mutually_exclusive_group(required=True)
    form.add_argument("--spice", action="store_true", help="the output stages as a deck, one source a bit")
    form.add_argument("--graphml", action="store_true", help="legs and parts of the path as a graph")
    form.add_argument("--csv", action="store_true", help="the same graph, one row an edge")
    form.add_argument(
        "--nets", action="store_true", help="nets with the colour and bit that each carries, as CSV"
    )
    parser.add_argument("-o", "--output", metavar="FILE", help="default: standard output")


def _mark(parser: argparse.ArgumentParser) -> None:
    _files(parser)
    _tracing(parser)
    parser.add_argument(
        "-o",
        "--output",
        required=True,
        metavar="DIR",
        help="write the copies there: every sheet, and the project if there is one",
    )


def _palette(parser: argparse.ArgumentParser) -> None:
    _files(parser)
    _tracing(parser)
    _contents(parser, "what a memory holds: raw, Intel HEX or S-records")
    parser.add_argument(
        "--other",
        action="append",
        default=[],
        metavar="U4=FILE",
        help="another dump of it: say which entries differ, and at which legs",
    )
    parser.add_argument(
        "--colour", metavar="'#ff8000'", help="say which code shows this colour, and which entries do"
    )
    parser.add_argument("--all", action="store_true", help="a line for every entry, however many there are")
    parser.add_argument(
        "-o", "--output", metavar="FILE", help=".svg, .png or .html (swatches), .csv, .gpl (GIMP) or .json"
    )
    _json(parser, "palette")


def _rehearse(parser: argparse.ArgumentParser) -> None:
    _files(parser)
    _pins(parser)
    parser.add_argument("--ask", action="store_true", help="you answer, for practice; nothing is written")
    parser.add_argument(
        "--wrong", default="0%", metavar="3%", help="share of touches that are misread (default none)"
    )
    parser.add_argument(
        "--seed", type=int, default=0, metavar="N", help="which touches are misread (default 0)"
    )
    parser.add_argument("--unplaced", action="store_true", help="as if it were not known where parts sit")
    _wiring(parser)
    _json(parser, "result")


def _report(parser: argparse.ArgumentParser) -> None:
    _files(parser)
    _tracing(parser)
    _contents(parser, "what a memory holds, for the swatches: raw, Intel HEX or S-records")
    parser.add_argument("-o", "--output", metavar="FILE", help=".html (default: BOARD.html)")


def _suspect(parser: argparse.ArgumentParser) -> None:
    _files(parser)
    _tracing(parser)
    parser.add_argument(
        "--seen", action="append", default=[], metavar="red=missing",
        help="the screen: fine, missing, always on, weak, too strong, coarse, mixed, flickers, wrong; or 'white as blue', "
        "'shapes right'",
    )  # fmt: skip
    parser.add_argument(
        "--read", action="append", default=[], metavar="U4.11=low",
        help="a probe: low, high, pulsing, floating, between, or volts",
    )  # fmt: skip
    parser.add_argument(
        "--swapped",
        action="append",
        default=[],
        metavar="U4=no change",
        help="a chip swapped: cured or no change",
    )
    parser.add_argument(
        "--beep",
        action="append",
        default=[],
        metavar="'U9.17 to U13.18=none'",
        help="a connection: beep or none",
    )
    parser.add_argument(
        "--ohms", action="append", default=[], metavar="R5=open",
        help="a resistor or a connection: as it should be, short, open, wrong value",
    )  # fmt: skip
    parser.add_argument(
        "--pressed", action="append", default=[], metavar="U13=changes",
        help="a chip pressed or warmed: changes or no change",
    )  # fmt: skip
    parser.add_argument(
        "--exchanged", action="append", default=[], metavar="'red and green=moves'",
        help="two colours' wires exchanged at the plug: moves, stays or cured",
    )  # fmt: skip
    parser.add_argument(
        "--socket",
        action="append",
        default=[],
        metavar="U9",
        help="this part sits in a socket, so that a swap is quick",
    )
    parser.add_argument(
        "--soldered",
        action="append",
        default=[],
        metavar="U9",
        help="this part is soldered, so that a swap takes long",
    )
    parser.add_argument(
        "--without", metavar="U4", help="what the screen shows with this chip pulled, and nothing else"
    )
    parser.add_argument(
        "--fault", metavar="WORDS", help="what the screen shows under the faults whose name holds these words"
    )
    parser.add_argument("--priors", metavar="FILE", help="priors, error rates and minutes of your own (TOML)")
    _json(parser, "answer")


def _demo(parser: argparse.ArgumentParser) -> None:
    parser.add_argument(
        "-o", "--output", metavar="DIR", help="write the files there, a folder for each board"
    )


def _serve(parser: argparse.ArgumentParser) -> None:
    parser.add_argument("folder", metavar="DIR", help="as python -m tracer.web build -o DIR writes it")
    parser.add_argument(
        "--port", type=int, metavar="N", help="of the address (default: 8000, or the next that is free)"
    )


def _completion(parser: argparse.ArgumentParser) -> None:
    parser.add_argument("shell", metavar="SHELL", choices=SHELLS, help=", ".join(SHELLS))


def _help(parser: argparse.ArgumentParser) -> None:
    parser.add_argument(
        "topic",
        nargs="?",
        metavar="TOPIC",
        choices=(*TOPICS, *(command.name for command in COMMANDS)),
        help=f"{', '.join(TOPICS)}, or a command",
    )


#: Command -> what adds its options to its parser.
OPTIONS: dict[str, Callable[[argparse.ArgumentParser], None]] = {
    "trace": _trace,
    "diagram": _diagram,
    "check": _check,
    "part": _part,
    "convert": _convert,
    "beep": _beep,
    "card": _card,
    "levels": _levels,
    "export": _export,
    "mark": _mark,
    "palette": _palette,
    "rehearse": _rehearse,
    "report": _report,
    "suspect": _suspect,
    "demo": _demo,
    "serve": _serve,
    "completion": _completion,
    "help": _help,
}
