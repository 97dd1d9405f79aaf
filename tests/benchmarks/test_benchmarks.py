"""The benchmarks run, on boards that are what they are said to be; how fast is not asked here."""

from __future__ import annotations

from pathlib import Path

import pytest

from tests.benchmarks import reading, starting
from tests.benchmarks.__main__ import CASES, main
from tests.benchmarks.boards import BITS, make_board
from tests.benchmarks.drawn import write_schematic
from tests.benchmarks.growth import growth
from tests.benchmarks.measure import Goal, Row, Spread, interleaved, ratios
from tests.benchmarks.packages import find_package
from tests.benchmarks.solving import ladder, with_numpy
from tests.benchmarks.table import line, summary
from tests.benchmarks.texts import FORMS, kicad_netlist
from tracer.importers import FORMATS, parse_netlist, read_netlist
from tracer.netlist.board import pin_groups
from tracer.netlist.check import check_netlist
from tracer.stage.nodal import solve_network
from tracer.tracing.pipeline import trace


def test_generated_boards_have_their_pins_and_a_whole_map() -> None:
    for wanted in (1_000, 3_000):
        board = make_board(wanted)
        assert abs(sum(len(net.pins) for net in board.nets) - wanted) <= 100
        assert not check_netlist(board)
        bit_map = trace(board)
        assert (bit_map.n_traced, bit_map.is_complete) == (BITS, True)
        # Bit by bit the palette RAMs, of which the second feeds the last four.
        found = [
            p.source.part for c in bit_map.colours for b in c.bits for p in b.paths if p.role == "picture"
        ]
        assert found == ["U2"] * 8 + ["U6"] * 4
    assert make_board(1_000) == make_board(1_000)


def test_a_generated_board_is_the_same_in_every_form(tmp_path: Path) -> None:
    board = make_board(600)
    assert pin_groups(parse_netlist("".join(kicad_netlist(board)), "b.net")) == pin_groups(board)
    root, size = write_schematic(board, tmp_path)
    assert size == sum(path.stat().st_size for path in tmp_path.iterdir())
    drawn = read_netlist(root)
    assert pin_groups(drawn) == pin_groups(board)
    assert not check_netlist(drawn)


def test_every_form_that_can_be_read_is_measured(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    assert {*FORMS, "kicad-schematic"} == {form.name for form in FORMATS}
    few = ("kicad-netlist", "eagle-board", "table")
    monkeypatch.setattr(reading, "FORMS", {name: FORMS[name] for name in few})
    rows = list(reading.forms(tmp_path, 300, 1))
    assert [row.what for row in rows] == [f"read {name}" for name in (*few, "kicad-schematic")]
    assert all(row.figure is not None and row.figure.median > 0 for row in rows)


def test_both_solvers_find_the_same() -> None:
    numpy = find_package("numpy")
    if numpy is None:
        pytest.skip("numpy is not installed")
    network, fixed = ladder(8)
    ours, other = solve_network(network, fixed), with_numpy(numpy, network, fixed)
    assert ours == pytest.approx(other, abs=1e-9)


def test_growth_is_measured_in_processes_of_its_own(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("tests.benchmarks.growth._PINS_A_RUN", 1)
    rows = list(growth(tmp_path, (500,), 1))
    assert [row.verdict for row in rows] == ["", "met"]


def test_a_command_that_is_not_there_is_said(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(starting, "_ARGUMENTS", {"beep": ["no-such-command"]})
    monkeypatch.setattr(starting, "GOALS", {"beep": starting.GOALS["beep"]})
    [row] = starting.commands(tmp_path, 1)
    assert (row.figure, row.remark) == (None, "beep cannot be run here")


def test_runs_take_turns_and_the_first_does_not_count() -> None:
    order: list[str] = []
    taken = interleaved({"a": lambda: order.append("a"), "b": lambda: order.append("b")}, 2)
    assert order == ["a", "b"] * 3
    assert [len(times) for times in taken.values()] == [2, 2]
    assert ratios([1.0, 2.0, 4.0], [2.0, 8.0, 4.0]) == Spread(2.0, 1.0, 4.0)


def test_goals_and_the_table() -> None:
    met = Row("reading", "1 ms", "3 ms", Spread(3.0, 2.9, 3.1), goal=Goal(at_least=3))
    missed = Row("growth", figure=Spread(1.6, 1.6, 1.6), goal=Goal(at_most=1.5))
    absent = Row("numpy", goal=Goal(at_least=1), remark="numpy is not installed")
    assert [row.verdict for row in (met, missed, absent)] == ["met", "missed", ""]
    lines = "\n".join(line(row) for row in (met, missed, absent)).splitlines()
    assert lines[0].split() == ["reading", "1", "ms", "3", "ms", "3.00", "x", ">=3", "met"]
    assert lines[1].split() == ["2.90", "to", "3.10"]
    assert lines[2].endswith("<=1.5  missed")
    assert lines[3].endswith("numpy is not installed")
    assert all(len(text) <= 80 for text in lines[:3])
    assert summary([met, missed, absent]).splitlines()[1:] == [
        "1 goals met, 1 missed",
        "missed: growth",
        "not tried: numpy",
    ]


def test_the_command(capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("tests.benchmarks.solving._ROUNDS", 2)
    assert main(["nodal", "--quick"]) in (0, 1)
    assert "nodal solver, 8 node(s): numpy" in capsys.readouterr().out
    with pytest.raises(SystemExit):
        main(["no-such-case"])
    assert "the cases are " + ", ".join(CASES) in capsys.readouterr().err
