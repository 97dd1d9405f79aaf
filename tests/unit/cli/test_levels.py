"""The commands levels and export."""

from __future__ import annotations

import json
from pathlib import Path

import pytest

from tracer.cli.main import main

DUNLIN = "netlists/dunlin/dunlin.net"


def run(capsys: pytest.CaptureFixture[str], *argv: str) -> tuple[int, str, str]:
    code = main(argv)
    out, err = capsys.readouterr()
    return code, out, err


def test_levels_with_told_outputs(capsys: pytest.CaptureFixture[str]) -> None:
    code, out, err = run(
        capsys, "levels", DUNLIN, "--high", "5", "--low", "0", "--source-ohm", "0R", "--json"
    )
    assert (code, err) == (0, "")
    loads = json.loads(out)["colours"]["red"]["loads"]
    assert loads[0]["codes"][15]["volts"] == pytest.approx(1.89359, abs=1e-5), (
        "Millman: 2k2/1k/470/220 into 75"
    )


def test_a_load_of_ones_own_comes_first(capsys: pytest.CaptureFixture[str]) -> None:
    code, out, _ = run(capsys, "levels", DUNLIN, "--load", "470", "--load", "1k", "--json")
    assert code == 0
    assert [x["load_ohm"] for x in json.loads(out)["colours"]["red"]["loads"]] == [470, 1000, 75, None]


def test_legs(capsys: pytest.CaptureFixture[str]) -> None:
    code, out, _ = run(capsys, "levels", DUNLIN, "--legs")
    assert code == 0
    assert "U13.1 /CLR  blanking" in out


@pytest.mark.parametrize("suffix", [".svg", ".csv", ".json"])
def test_levels_into_a_file(capsys: pytest.CaptureFixture[str], tmp_path: Path, suffix: str) -> None:
    target = tmp_path / f"levels{suffix}"
    code, out, err = run(capsys, "levels", DUNLIN, "-o", str(target))
    assert (code, out) == (0, "")
    assert f"wrote {target}" in err
    assert target.stat().st_size > 500


def test_levels_exit_1_where_one_is_not_known(capsys: pytest.CaptureFixture[str]) -> None:
    code, out, _ = run(capsys, "levels", DUNLIN, "--part", "R1=BOURNS")
    assert code == 1
    assert "red: not known" in out


@pytest.mark.parametrize(
    ("argv", "words"),
    [
        (("--high", "five"), "--high five is no level in volts"),
        (("--high", "1", "--low", "2"), "is not above"),
        (("--source-ohm", "x"), "is no resistance"),
        (("--tolerance", "lots"), "is not from 0% to 50%"),
        (("--tolerance", "80%"), "is not from 0% to 50%"),
        (("--load", "-3"), "is no resistance"),
        (("-o", "levels.pdf"), "cannot be written as levels.pdf"),
    ],
)
def test_wrong_use_is_a_sentence(
    capsys: pytest.CaptureFixture[str], argv: tuple[str, ...], words: str
) -> None:
    code, out, err = run(capsys, "levels", DUNLIN, *argv)
    assert (code, out) == (2, "")
    assert words in err
    assert "fix: " in err


@pytest.mark.parametrize("text", ["5%", "5", "0.05", "5 %"])
def test_ways_to_write_a_tolerance(capsys: pytest.CaptureFixture[str], text: str) -> None:
    _, out, _ = run(capsys, "levels", DUNLIN, "--tolerance", text, "--json")
    assert json.loads(out)["tolerance"] == 0.05


@pytest.mark.parametrize(
    ("form", "start"), [("--spice", "* dunlin"), ("--graphml", "<graphml"), ("--csv", "from,to")]
)
def test_export(capsys: pytest.CaptureFixture[str], tmp_path: Path, form: str, start: str) -> None:
    code, out, _ = run(capsys, "export", DUNLIN, form)
    assert code == 0
    assert out.startswith(start)
    target = tmp_path / "out"
    assert run(capsys, "export", DUNLIN, form, "-o", str(target))[:2] == (0, "")
    assert target.read_text(encoding="utf-8") == out


def test_export_asks_for_a_form(capsys: pytest.CaptureFixture[str]) -> None:
    with pytest.raises(SystemExit) as stopped:
        main(("export", DUNLIN))
    assert stopped.value.code == 2
    assert "--spice" in capsys.readouterr().err
