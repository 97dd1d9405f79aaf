"""`rgbroots palette` from the command line: exit codes, files, messages."""

from __future__ import annotations

import json
from pathlib import Path

import bincopy
import pytest

from tests.boards import NETLISTS
from tracer.cli.main import main
from tracer.palette.palettes import PALETTE_FORMS

WREN = str(NETLISTS / "wren" / "wren.net")
BYTES = bytes((37 * i) % 256 for i in range(32))


@pytest.fixture
def dump(tmp_path: Path) -> Path:
    file = tmp_path / "u9.bin"
    file.write_bytes(BYTES)
    return file


def run(capsys: pytest.CaptureFixture[str], *argv: str) -> tuple[int, str, str]:
    code = main(["palette", *argv])
    out, err = capsys.readouterr()
    return code, out, err


def test_entries_are_printed(capsys: pytest.CaptureFixture[str], dump: Path) -> None:
    code, out, err = run(capsys, WREN, "--contents", f"U9={dump}")
    assert (code, err) == (0, "")
    assert out.startswith("wren: 32 entries, ")
    assert "\n  1F     " in out


def test_json_is_all_that_is_printed_and_the_form_of_the_dump_does_not_matter(
    capsys: pytest.CaptureFixture[str], dump: Path, tmp_path: Path
) -> None:
    image = bincopy.BinFile()
    image.add_binary(BYTES)
    (tmp_path / "u9.hex").write_text(image.as_ihex(), encoding="ascii")
    found = []
    for file in (dump, tmp_path / "u9.hex"):
        code, out, err = run(capsys, WREN, "--contents", f"u9={file}", "--json")
        assert (code, err) == (0, "")
        found.append(json.loads(out))
    assert [x["memories"][0]["form"] for x in found] == ["raw", "Intel HEX"]
    assert found[0]["entries"] == found[1]["entries"]
    assert len(found[0]["entries"]) == 32


@pytest.mark.parametrize("suffix", [".svg", ".png", ".html", ".csv", ".gpl", ".json", ".SVG"])
def test_the_form_of_the_file_follows_its_name(
    capsys: pytest.CaptureFixture[str], dump: Path, tmp_path: Path, suffix: str
) -> None:
    target = tmp_path / f"out{suffix}"
    code, out, err = run(capsys, WREN, "--contents", f"U9={dump}", "-o", str(target))
    assert (code, out, err) == (0, "", f"wrote {target}\n")
    start = {
        ".svg": b"<svg",
        ".png": b"\x89PNG",
        ".html": b"<!doctype html>",
        ".csv": b"entry,",
        ".gpl": b"GIMP Palette",
    }
    assert target.read_bytes().startswith(start.get(suffix.lower(), b"{" if suffix == ".json" else b"<svg"))


def test_a_stuck_bit_between_two_dumps_is_named(
    capsys: pytest.CaptureFixture[str], dump: Path, tmp_path: Path
) -> None:
    other = tmp_path / "now.bin"
    other.write_bytes(bytes(b | 1 for b in BYTES))
    code, out, _ = run(capsys, WREN, "--contents", f"U9={dump}", "--other", f"U9={other}")
    assert code == 0
    assert f"{sum(not b & 1 for b in BYTES)} of 32 entries differ" in out
    assert "U9.1 O1 (red 2): 16 entries, always high in the other dump" in out


def test_a_colour_gives_its_code_and_entries(capsys: pytest.CaptureFixture[str], tmp_path: Path) -> None:
    file = tmp_path / "u9.bin"
    file.write_bytes(bytes([0, 0b111, *[0] * 30]))
    code, out, _ = run(capsys, WREN, "--contents", f"U9={file}", "--colour", "#ff0000")
    assert code == 0
    assert "#ff0000: the board can show it" in out
    assert "codes: red 7 (111), green 0 (000), blue 0 (00)" in out
    assert "shown by 1 of the entries: 01" in out


@pytest.mark.parametrize(
    ("argv", "message"),
    [
        ([], "the contents of U9 (82S123, 32 x 8) are not given\nfix: add --contents U9=FILE\n"),
        (["--contents", "U9"], "--contents U9 is not understood\nfix: write --contents U4=dump.bin\n"),
        (
            ["--contents", "U6=x.bin"],
            "--contents U6: no bit of a colour is stored in U6\nfix: the memories of the colours: U9 (82S123, 32 x 8)\n",
        ),
        (["--contents", "U9=no.bin"], "no.bin: there is no such file\nfix: check its name and folder\n"),
        (
            ["--colour", "orange"],
            "--colour orange is no colour\nfix: write --colour '#ff8000', with the quotes\n",
        ),
        (
            ["-o", "sheet.pdf"],
            "a palette cannot be written as sheet.pdf\nfix: end the name in "
            f"{', '.join(f'{suffix} ({what})' for suffix, (_, what) in PALETTE_FORMS.items())}\n",
        ),
    ],
)
def test_a_wrong_command_is_refused_with_what_to_write(
    capsys: pytest.CaptureFixture[str], argv: list[str], message: str
) -> None:
    assert run(capsys, WREN, *argv) == (2, "", message)


def test_a_dump_of_another_size_is_refused(capsys: pytest.CaptureFixture[str], tmp_path: Path) -> None:
    file = tmp_path / "u9.bin"
    file.write_bytes(bytes(range(16)))
    code, out, err = run(capsys, WREN, "--contents", f"U9={file}")
    assert (code, out) == (2, "")
    assert err.startswith(f"{file}: it holds 16 bytes, U9 (82S123, 32 x 8) takes 32\n")


def test_a_board_whose_colours_are_in_no_memory_stops(capsys: pytest.CaptureFixture[str]) -> None:
    code, out, err = run(capsys, str(NETLISTS / "avocet" / "avocet-video.net"))
    assert (code, out) == (1, "")
    assert err.startswith("red 3: ")
    assert "join the other board with --join" in err
