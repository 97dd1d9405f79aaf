"""What is typed wrong gets the nearest that there is: a command, an option, a colour, a word."""

from __future__ import annotations

import re
import tomllib
from pathlib import Path

import pytest

from tracer.cli.main import build_parser, main
from tracer.cli.parser import command_parsers

PROJECT = Path(__file__).parents[3]
DUNLIN = str(PROJECT / "netlists" / "dunlin" / "dunlin.net")


def refused(capsys: pytest.CaptureFixture[str], *argv: str) -> tuple[str, str]:
    """What is said of a command line that cannot be done: what is wrong, and what to do."""
    try:
        code = main(argv)
    except SystemExit as ended:
        code = int(ended.code or 0)
    out, error = capsys.readouterr()
    assert (code, out) == (2, "")
    what, _, fix = error.rstrip("\n").partition("\nfix: ")
    assert "\n" not in what + fix
    return what, fix


@pytest.mark.parametrize(
    ("typed", "what", "near"),
    [
        (("trase", DUNLIN), "rgbroots: trase is no command", "trace"),
        (("suspects", DUNLIN), "rgbroots: suspects is no command", "suspect"),
        (("--versoin",), "rgbroots: there is no option --versoin", "--version"),
        (("trace", DUNLIN, "--lod", "75"), "rgbroots trace: there is no option --lod", "--load"),
        (("trace", "--lod=75", DUNLIN), "rgbroots trace: there is no option --lod", "--load"),
        (("levels", DUNLIN, "--tolerence", "5%"), "rgbroots levels: there is no option --tolerence", "--tolerance"),
        (("help", "nots"), "rgbroots help: nots is no topic", "notes"),
        (("completion", "bsh"), "rgbroots completion: bsh is no shell", "bash"),
        (("trace", DUNLIN, "--format", "kicad-netlst"), "there is no format called kicad-netlst", "kicad-netlist"),
        (("convert", DUNLIN, "-o", "x", "--to", "pdas"), "pdas is no form that can be written", "pads"),
        (("convert", DUNLIN, "-o", "x.nots"), "x.nots is no form that can be written", ".notes"),
        (("suspect", DUNLIN, "--seen", "rde=missing"), "rde is no colour of this board", "red"),
        (("suspect", DUNLIN, "--seen", "red=mising"), "'mising' is not understood", "missing"),
        (("suspect", DUNLIN, "--seen", "gren missing"), "'gren' is not understood", "green"),
        (("suspect", DUNLIN, "--read", "U13.19=pulsng"), "'pulsng' is not understood", "pulsing"),
        (("suspect", DUNLIN, "--ohms", "R5=opne"), "'opne' is not understood", "open"),
        (("suspect", DUNLIN, "--pressed", "U13=changs"), "'changs' is not understood", "changes"),
        (("suspect", DUNLIN, "--swapped", "U9=curd"), "'curd' is not understood", "cured"),
    ],
)  # fmt: skip
def test_the_nearest_is_named_first(
    typed: tuple[str, ...], what: str, near: str, capsys: pytest.CaptureFixture[str]
) -> None:
    said, fix = refused(capsys, *typed)
    assert what in said
    assert fix.startswith(f"nearest is {near}; ")


@pytest.mark.parametrize(
    "typed", [("xyzzy",), ("trace", DUNLIN, "--qqq"), ("suspect", DUNLIN, "--seen", "purple=missing")]
)
def test_where_nothing_is_near_nothing_is_guessed(
    typed: tuple[str, ...], capsys: pytest.CaptureFixture[str]
) -> None:
    assert "nearest" not in refused(capsys, *typed)[1]


@pytest.mark.parametrize("colour", ["rad", "rde", "gren", "bleu"])
def test_a_colour_that_is_told_with_a_slip_is_no_colour_of_its_own(
    colour: str, capsys: pytest.CaptureFixture[str]
) -> None:
    what, fix = refused(capsys, "trace", DUNLIN, "--pin", f"{colour}=J1.12")
    assert f"{colour} is nearly " in what
    assert re.match(r"write --pin (red|green|blue)=J1.12", fix)


@pytest.mark.parametrize(
    ("typed", "what"),
    [
        (("export", DUNLIN), "one of the arguments --spice --graphml --csv --nets is required"),
        (("trace",), "the following arguments are required: FILE"),
        (("part", "a", "b"), "b is more than it takes"),
        (("trace", DUNLIN, "--load"), "--load: expected one argument"),
        (("rehearse", DUNLIN, "--seed", "x"), "--seed: invalid int value: 'x'"),
        (("card", DUNLIN, "--paper", "a5"), "a5 is no --paper"),
    ],
)
def test_what_lacks_is_said_with_an_example(
    typed: tuple[str, ...], what: str, capsys: pytest.CaptureFixture[str]
) -> None:
    said, fix = refused(capsys, *typed)
    assert said == f"rgbroots {typed[0]}: {what}"
    assert f"rgbroots {typed[0]}" in fix or fix == "it is one of: a4, letter"


def test_no_mistake_steers_a_terminal(capsys: pytest.CaptureFixture[str]) -> None:
    for typed in (("\x1b[2J",), ("trace", DUNLIN, "--\x1b[2J"), ("help", "\x1b[2J")):
        assert "\x1b" not in "".join(refused(capsys, *typed))


def test_the_version_is_that_of_the_package(capsys: pytest.CaptureFixture[str]) -> None:
    project = tomllib.loads((PROJECT / "pyproject.toml").read_text(encoding="utf-8"))["project"]
    assert main(["--version"]) == 0
    assert re.fullmatch(
        rf"rgbroots {re.escape(project['version'])} \(Python 3\.\d+\.\d+\S*, \w+ \w+\)\n",
        capsys.readouterr().out,
    )


def test_every_command_has_such_a_parser() -> None:
    parser = build_parser()
    assert {type(own) for own in command_parsers(parser).values()} == {type(parser)}
