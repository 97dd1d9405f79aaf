"""The comparison of outputs finds what differs, in whatever it is; a small program of the shell stands for ours."""

from __future__ import annotations

from pathlib import Path

import pytest

from tests.same_outputs import Run, command_lines, commands, differences, main, run

#: Says its arguments, and what the folder holds under one name; copies its input; draws a line over itself.
SAYS = """#!/bin/sh
echo "$@"
wc -c < wren.bin
printf 'half\\rwhole\\n' >&2
cat > answers.txt
exit 3
"""


@pytest.fixture
def program(tmp_path: Path) -> Path:
    path = tmp_path / "program"
    path.write_text(SAYS)
    path.chmod(0o755)
    return path


def compare(program: Path, capsys: pytest.CaptureFixture[str]) -> tuple[int, str]:
    """Exit code and words of a comparison of a few command lines."""
    code = main([str(program), str(program.with_name("record")), "--only", "help parts"])
    return code, capsys.readouterr().out


def test_a_run_is_what_a_command_line_gave_in_a_folder_of_its_own(program: Path) -> None:
    given = run(program, "part 'SN74LS273N twice'")
    assert given == Run(
        3,
        b"part SN74LS273N twice\n32\n",
        b"half\nwhole\n",
        {"answers.txt": b"none\nnone\n2\nskip\nquit\n"},
    )


def test_the_same_program_says_the_same(program: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert compare(program, capsys) == (0, "1 command lines recorded\n")
    assert compare(program, capsys) == (0, "1 command lines, 0 differ\n")


@pytest.mark.parametrize(
    ("old", "new", "said"),
    [
        ("exit 3", "exit 0", "exit code 3 -> 0"),
        ('echo "$@"', 'echo "$@" more', "standard output: 14 -> 19 bytes"),
        ("whole", "who", "standard error: 11 -> 9 bytes"),
        ("cat >", "head -1 >", "answers.txt: 22 -> 5 bytes"),
        ("cat > answers.txt", "", "answers.txt: written no more"),
        ("exit 3", ": > empty.txt; exit 3", "empty.txt: written now"),
        ("exit 3", "echo x >> wren.csv; exit 3", "wren.csv: written now"),
    ],
)
def test_each_difference_is_found(
    old: str, new: str, said: str, program: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    compare(program, capsys)
    program.write_text(SAYS.replace(old, new))
    code, out = compare(program, capsys)
    lines = out.split("\n")
    assert (code, lines[0], lines[1].strip()) == (1, "rgbroots help parts", said)
    assert lines[-2] == "1 command lines, 1 differ"


def test_a_command_line_that_was_not_recorded_is_said(
    program: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    compare(program, capsys)
    assert main([str(program), str(program.with_name("record")), "--only", "help exit"]) == 1
    assert "not recorded" in capsys.readouterr().out


def test_of_a_long_difference_a_few_lines_are_shown() -> None:
    texts = ("".join(f"{word} {i}\n" for i in range(100)).encode() for word in ("one", "two" * 100))
    old, new = (Run(0, text, b"", {}) for text in texts)
    found = list(differences(old, new))
    assert len(found) == 11
    assert max(map(len, found)) <= 204


def test_every_command_is_tried_with_each_way_in_which_it_prints() -> None:
    lines = [line.split() for line in command_lines()]
    for command, parser in commands().items():
        own = [line for line in lines if line[:1] == [command]]
        assert [line for line in own if line[1:] != ["--help"]], command
        if "--json" in parser.format_help():
            assert [line for line in own if "--json" in line], command
    assert len({*map(tuple, lines)}) == len(lines)
