"""The command line: exit codes, messages, files."""

from __future__ import annotations

import json
import os
import subprocess
import sys
from importlib import import_module
from pathlib import Path

import pytest

from tracer.cli.commands import COMMANDS
from tracer.cli.main import build_parser, main
from tracer.cli.options import OPTIONS

BOARD = """part,marking,place,pin,name,net
U1,82S123,7E,1,O1,B0
U1,82S123,7E,2,O2,B1
U1,82S123,7E,3,O3,B2
U1,82S123,7E,8,GND,GND
U1,82S123,7E,16,VCC,VCC
R1,470,,1,,B0
R1,470,,2,,RED
R2,470,,1,,B1
R2,470,,2,,GREEN
R3,470,,1,,B2
R3,470,,2,,BLUE
J1,monitor plug,,1,RED,RED
J1,monitor plug,,2,GREEN,GREEN
J1,monitor plug,,3,BLUE,BLUE
"""


@pytest.fixture
def board(tmp_path: Path) -> Path:
    file = tmp_path / "small.csv"
    file.write_text(BOARD, encoding="utf-8")
    return file


def run(capsys: pytest.CaptureFixture[str], *argv: str) -> tuple[int, str, str]:
    code = main(argv)
    out, err = capsys.readouterr()
    return code, out, err


def test_trace_prints_a_table_and_exits_0_when_all_is_traced(
    board: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    code, out, err = run(capsys, "trace", str(board))
    assert code == 0
    assert err == ""
    assert "RED  J1.1 RED  1 bit, 2 levels  (found by name)" in out
    assert "3 of 3 bits traced to a memory pin; 8 colours possible" in out
    assert max(map(len, out.splitlines())) <= 80


def test_trace_exits_1_when_a_bit_stops(board: Path, capsys: pytest.CaptureFixture[str]) -> None:
    code, out, _ = run(capsys, "trace", str(board), "--part", "U1=XC9572")
    assert code == 1
    assert "stopped: " in out


HEADER = """
red is J1.1
green is J1.2
blue is J1.3
J1 is plug
U1 is 82S123
P1 is connector
[R1 R2 R3] is 470
J1.1 = R1.1
J1.2 = R2.1
J1.3 = R3.1
R1.2 = P1.1
P1.2 = U1.1
R2.2 = U1.2
R3.2 = U1.3
"""


def test_a_header_in_the_way_is_closed_by_what_is_told(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    notes = tmp_path / "header.notes"
    notes.write_text(HEADER)
    code, out, _ = run(capsys, "trace", str(notes))
    assert code == 1
    assert "with 1-2 bridged it is U1.1" in " ".join(out.split()).replace("With", "with")
    code, out, _ = run(capsys, "trace", str(notes), "--part", "P1=jumper 1-2")
    assert (code, "3 of 3 bits traced" in out) == (0, True)
    notes.write_text(HEADER.replace("P1 is connector", "P1 is jumper 1-2"))
    code, out, _ = run(capsys, "trace", str(notes))
    assert (code, "3 of 3 bits traced" in out) == (0, True)
    code, out, _ = run(capsys, "trace", str(notes), "--part", "P1=jumper 1-7")
    assert "P1 is told to join 1-7, but it has no such legs" in " ".join(out.split())


def test_json_is_all_that_goes_to_standard_output(board: Path, capsys: pytest.CaptureFixture[str]) -> None:
    code, out, _ = run(capsys, "trace", str(board), "--json")
    assert code == 0
    assert json.loads(out)["colours"]["red"]["bits"][0]["paths"][0]["source"] == {
        "part": "U1",
        "type": "82S123",
        "sold_as": "82S123",
        "pin": "1",
        "name": "O1",
        "kind": "prom",
        "place": "7E",
    }


def test_a_told_pin_is_used_and_said(board: Path, capsys: pytest.CaptureFixture[str]) -> None:
    code, out, _ = run(capsys, "trace", str(board), "--pin", "red=j1.3", "--pin", "green=net:GREEN", "--json")
    colours = json.loads(out)["colours"]
    assert code == 0
    assert list(colours) == ["red", "green"]
    assert colours["red"]["pin"]["found_by"] == "told"
    assert colours["red"]["bits"][0]["resistors"] == [{"part": "R3", "ohm": 470}]
    assert colours["green"]["pin"]["part"] is None


def test_a_map_whose_colour_pins_are_doubtful_exits_1(
    board: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """Found by names of one letter, or by the shape of the network; all bits are traced in both."""
    rows = [row for row in BOARD.splitlines() if not row.startswith("J1")]
    letters = "\n".join(row.replace("RED", "R").replace("GREEN", "G").replace("BLUE", "B") for row in rows)
    board.write_text(letters, encoding="utf-8")
    code, out, _ = run(capsys, "trace", str(board))
    assert (code, "3 of 3 bits traced" in out) == (1, True)
    nameless = board_of_two_bits_a_colour()
    board.write_text(nameless, encoding="utf-8")
    code, out, _ = run(capsys, "trace", str(board))
    assert (code, "6 of 6 bits traced" in out) == (1, True)
    assert "found by the shape of the network" in out
    told = ("--pin", "red=J1.1", "--pin", "green=J1.2", "--pin", "blue=J1.3")
    assert run(capsys, "trace", str(board), *told)[0] == 0


def board_of_two_bits_a_colour() -> str:
    """Nothing in it is named after a colour."""
    rows = ["part,marking,pin,name,net", "U1,82S123,8,GND,GND", "U1,82S123,16,VCC,VCC"]
    for bit, leg in enumerate((1, 2, 3, 4, 5, 6)):
        rows += [f"U1,82S123,{leg},,B{bit}", f"R{bit},{470 + bit % 2 * 470},1,,B{bit}"]
        rows += [f"R{bit},,2,,X{bit // 2}"]
    rows += [f"J1,plug,{n + 1},,X{n}" for n in range(3)]
    return "\n".join(rows) + "\n"


def test_a_saved_map_without_a_colour_that_nobody_left_out_exits_1(
    board: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    saved = tmp_path / "small.map.json"
    _, out, _ = run(capsys, "trace", str(board), "--json")
    whole = json.loads(out)
    picture = ("diagram", str(saved), "-o", str(tmp_path / "small.svg"))
    saved.write_text(out, encoding="utf-8")
    assert run(capsys, *picture)[0] == 0
    del whole["colours"]["blue"]
    saved.write_text(json.dumps(whole), encoding="utf-8")
    assert run(capsys, *picture)[0] == 1
    for colour in whole["colours"].values():
        colour["pin"]["found_by"] = "told"
    saved.write_text(json.dumps(whole), encoding="utf-8")
    assert run(capsys, *picture)[0] == 0


def test_a_folder_of_outputs_is_written(
    board: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    folder = tmp_path / "a" / "b"
    code, _, err = run(capsys, "trace", str(board), "-o", str(folder))
    assert code == 0
    names = ["map.json", "map.csv", "diagram.svg", "diagram.png", "card.pdf", "report.html"]
    assert sorted(p.name for p in folder.iterdir()) == sorted(names)
    assert err == f"wrote {', '.join(names)} in {folder}\n"


def test_without_the_pdf_library_the_card_of_a_folder_is_html(
    board: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setitem(sys.modules, "reportlab", None)
    monkeypatch.setitem(sys.modules, "reportlab.pdfgen", None)
    code, _, err = run(capsys, "trace", str(board), "-o", str(tmp_path / "out"))
    assert code == 0
    assert "card.html" in err
    assert (tmp_path / "out" / "card.html").is_file()


def test_on_a_machine_that_cannot_draw_all_else_is_written_and_it_is_said_once(
    board: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    """A Raspberry Pi of 32 bits, for which pip has no program that draws."""
    monkeypatch.setattr("tracer.diagram.layout._programs", lambda: iter(()))
    code, _, err = run(capsys, "trace", str(board), "-o", str(tmp_path / "out"))
    assert code == 0
    assert err.count("no Graphviz program is installed") == 1
    assert "all else is as always, without diagram.svg and diagram.png\n" in err
    names = {path.name for path in (tmp_path / "out").iterdir()}
    assert names == {"map.json", "map.csv", "card.pdf", "report.html"}
    assert "U1" in (tmp_path / "out" / "report.html").read_text(encoding="utf-8")


def test_a_saved_map_draws_the_same_diagram_and_checks(
    board: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    _, saved, _ = run(capsys, "trace", str(board), "--json")
    (tmp_path / "map.json").write_text(saved, encoding="utf-8")
    assert run(capsys, "diagram", str(board), "-o", str(tmp_path / "a.dot"))[0] == 0
    assert run(capsys, "diagram", str(tmp_path / "map.json"), "-o", str(tmp_path / "b.dot"))[0] == 0
    assert (tmp_path / "a.dot").read_text() == (tmp_path / "b.dot").read_text()
    code, out, _ = run(capsys, "check", str(tmp_path / "map.json"))
    assert code == 0
    assert "3 of 3 bits traced" in out


def test_a_saved_map_is_checked_as_json(
    board: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """Its findings are in it, so that a program need not read the map; of pins it knows nothing."""
    saved = tmp_path / "map.json"
    for more, complete in (((), True), (("--pin", "red=U1.8"), False)):
        _, text, _ = run(capsys, "trace", str(board), "--json", *more)
        saved.write_text(text, encoding="utf-8")
        code, out, _ = run(capsys, "check", str(saved), "--json")
        value, whole = json.loads(out), json.loads(text)
        assert (value["format"], code) == ("rgbroots-check", 0 if complete else 1)
        assert value["board"]["inputs"] == whole["board"]["inputs"]
        assert (value["board"]["parts"], value["board"]["nets"], value["board"]["pins"]) == (5, 8, None)
        assert value["map"] == {
            "bits": 3 if complete else 0,
            "traced": 3 if complete else 0,
            "complete": complete,
        }
        assert [f["text"] for f in value["findings"]] == [f["text"] for f in whole["findings"]] != []


def test_check_json_has_the_counts(board: Path, capsys: pytest.CaptureFixture[str]) -> None:
    code, out, _ = run(capsys, "check", str(board), "--json")
    value = json.loads(out)
    assert code == 0
    assert value["format"] == "rgbroots-check"
    assert value["board"] | {"inputs": None} == {
        "parts": 5,
        "nets": 8,
        "pins": 14,
        "one_pin_nets": 2,
        "inputs": None,
    }
    assert value["findings"] == []


def test_part_prints_the_leg_table(capsys: pytest.CaptureFixture[str]) -> None:
    code, out, _ = run(capsys, "part", "SN74LS273N", "--json")
    value = json.loads(out)
    assert code == 0
    assert list(value) == ["format", "version", "marking", "type", "family", "pins", "cite", "confirmed"]
    assert (value["type"], value["family"]) == ("74x273", "LS")
    assert value["pins"][1] == {"pin": "2", "name": "1Q", "direction": "out", "fed_by": ["1D"]}


def test_a_marking_that_is_not_understood_gives_guesses_and_exit_1(
    capsys: pytest.CaptureFixture[str],
) -> None:
    code, out, _ = run(capsys, "part", "74LS2730", "--json")
    value = json.loads(out)
    assert code == 1
    assert value["type"] is None
    assert "74x273" in value["guesses"]


def test_part_prints_the_legs_of_another_package(capsys: pytest.CaptureFixture[str]) -> None:
    code, out, _ = run(capsys, "part", "7130")
    assert (code, "other numbers as PLCC52: rgbroots part '7130 PLCC52'" in out) == (0, True)
    code, out, _ = run(capsys, "part", "7130 PLCC52")
    assert code == 0
    assert "7130 as PLCC52: 1Kx8 dual-port RAM (RAM)" in out
    assert "  52   VCC" in out


def test_own_part_types_are_read_and_their_mistakes_placed(
    board: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    own = tmp_path / "my.toml"
    own.write_text(
        '["MYPROM"]\nwhat = "2x3 PROM"\nkind = "prom"\npins = "O1 O2 O3 A0 X5 X6 X7 GND X9 X10 X11 X12 X13 X14 X15 VCC"\n'
        'sections = [{ each = "1-3", out = "On", address = "A0" }]\ncite = "own"\n',
        encoding="utf-8",
    )
    code, _, err = run(capsys, "trace", str(board), "--parts", str(own), "--part", "U1=MYPROM")
    assert code == 2
    assert err == (
        f"{own}:4: part type MYPROM: legs 5 (X5), 6 (X6), 7 (X7), 9 (X9), 10 (X10), 11 (X11), 12 (X12), 13 (X13), 14 (X14) "
        "and 15 (X15) are in no section: put them into one, or call them NC if they do nothing\n"
        "fix: correct the table as `rgbroots help parts` shows; nothing of this file was used\n"
    )
    own.write_text(
        own.read_text().replace("X5 X6 X7", "NC NC NC").replace("X9 X10 X11 X12 X13 X14 X15", "NC " * 7)
    )
    code, out, _ = run(capsys, "trace", str(board), "--parts", str(own), "--part", "U1=MYPROM", "--json")
    assert code == 0
    assert json.loads(out)["chips"][0]["type"] == "MYPROM"


@pytest.mark.parametrize(
    ("argv", "message"),
    [
        (["trace", "none.net"], "none.net: there is no such file"),
        (["trace", "{board}", "--pin", "red=J1.99"], "part J1 has no pin 99\nfix: its pins are: 1 2 3"),
        (["trace", "{board}", "--pin", "red=J7.1"], "there is no part J7 on this board"),
        (["trace", "{board}", "--pin", "red"], "--pin red is not understood\nfix: write --pin red=J1.12"),
        (["trace", "{board}", "--pin", "red=J1.1", "--pin", "red=J1.2"], "red is told twice"),
        (["trace", "{board}", "--pin", "red=net:NOPE"], "there is no net NOPE on this board"),
        (["trace", "{board}", "--part", "U1"], "--part U1 is not understood\nfix: write --part U31=74LS374"),
        (["trace", "{board}", "--part", "U9=7400"], "there is no part U9 on this board"),
        (["trace", "{board}", "--load", "heavy"], "--load heavy is no resistance"),
        (["trace", "{board}", "--format", "klingon"], "there is no format called klingon"),
        (["trace", "{board}", "--join", "A:J1"], "--join A:J1 is not understood"),
        (["trace", "{board}", "--join", "A:J1=C:J1"], "--join names the board C, which is not there"),
        (["trace", "{board}", "{board}", "--join", "A:J1=B:J9"], "board B has no connector J9"),
        (["trace", "X={board}", "Y={board}"], "2 boards are named but nothing joins them"),
        (["diagram", "{board}", "-o", "a.pdf"], "a diagram cannot be written as a.pdf"),
        (["diagram", "{board}", "-o", "/nowhere/at/all/a.dot"], "cannot write it: No such file or directory"),
    ],
)
def test_wrong_use_is_one_sentence_and_exit_2(
    argv: list[str], message: str, board: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    code, out, err = run(capsys, *(a.format(board=board) for a in argv))
    assert code == 2
    assert out == ""
    assert message in err
    assert "Traceback" not in err


def test_a_board_without_colours_names_its_connectors(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    file = tmp_path / "plain.csv"
    file.write_text("part,marking,pin,net\nJ5,mains,1,L\nR1,470,1,L\nR1,470,2,N\n", encoding="utf-8")
    code, _, err = run(capsys, "trace", str(file))
    assert code == 2
    assert "no red, green and blue pins were found on this board" in err
    assert "The connectors are: J5 (mains)" in err


def test_a_colour_pin_that_nothing_drives_is_said_with_exit_1(
    board: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    code, out, _ = run(capsys, "trace", str(board), "--pin", "red=U1.16")
    assert code == 1
    assert "nothing drives it" in out


def test_an_output_file_is_replaced_only_when_it_is_whole(
    board: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    target = tmp_path / "a.dot"
    target.write_text("old", encoding="utf-8")

    def full(*_: object) -> None:
        raise OSError(28, "No space left on device")

    monkeypatch.setattr(Path, "replace", full)
    code, _, err = run(capsys, "diagram", str(board), "-o", str(target))
    assert code == 2
    assert "No space left on device" in err
    assert target.read_text(encoding="utf-8") == "old"
    assert [p.name for p in tmp_path.iterdir() if p.name.startswith(".")] == []


def test_every_row_of_the_table_has_its_options_and_a_module_that_runs_it() -> None:
    assert list(OPTIONS) == [command.name for command in COMMANDS]
    for command in COMMANDS:
        assert callable(import_module(command.module).run)


def test_every_command_has_help_with_an_example(capsys: pytest.CaptureFixture[str]) -> None:
    commands = next(a for a in build_parser()._actions if a.choices)
    assert commands.choices is not None
    for command in commands.choices:
        with pytest.raises(SystemExit) as ended:
            main([str(command), "--help"])
        assert ended.value.code == 0
        assert f"Example: rgbroots {command} " in capsys.readouterr().out


def test_colour_is_for_terminals_only_and_no_color_is_respected(board: Path) -> None:
    script = "import pty, os, sys\npty.spawn([sys.executable, '-m', 'tracer', 'trace', sys.argv[1]])\n"
    here = Path(__file__).parents[3]
    env = {**os.environ, "TERM": "xterm", "PYTHONPATH": str(here)}
    env.pop("NO_COLOR", None)

    def shown(extra: dict[str, str]) -> str:
        done = subprocess.run(
            [sys.executable, "-c", script, str(board)],
            capture_output=True,
            text=True,
            env={**env, **extra},
            check=True,
        )
        return done.stdout

    assert "\033[31;1mRED" in shown({})
    assert "\033[" not in shown({"NO_COLOR": "1"})
