"""Files that are none, and names that smuggle something in, wherever a command meets them.

Each gets one sentence and exit code 2, or is read as it stands. What is printed, drawn or written never carries what a
name holds: no escape sequence reaches a terminal, no script a page, no formula a spreadsheet. Hostile texts of one form
are tried in the rooms, in their ``test_hostile.py``.
"""

from __future__ import annotations

import csv
import io
import os
import resource
import subprocess
from html.parser import HTMLParser
from pathlib import Path
from xml.etree import ElementTree as ET

import pytest

from tests.hostile import DUNLIN, ESCAPES, PINS, board_named, in_time, kept, program, run, seen, told
from tracer.cli.main import main
from tracer.importers import read_netlist
from tracer.importers.visible_names import LONGEST_NAME


def test_very_long_names_on_card_page_and_terminal(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    path = tmp_path / "b.net"
    path.write_text(board_named("N" * LONGEST_NAME, reference="U" * 2000, marking="74LS273 " + "M" * 3000))
    code, _, error = run(
        capsys, "trace", path, *PINS, "-o", tmp_path / "out", "--part", "U" * 2000 + "=74LS273"
    )
    assert code in (0, 1), error
    ET.parse(tmp_path / "out" / "diagram.svg")


@pytest.mark.parametrize(
    ("file", "sentence"),
    [
        ("/dev/zero", "this is a device, not a file"),
        ("/dev/null", "this is a device, not a file"),
        (".", "this is a folder, not a file"),
        ("x" * 300, "cannot read it: File name too long"),
        ("nowhere/x.net", "there is no such file"),
    ],
)
@pytest.mark.parametrize("option", ["", "--parts", "--spice-pins", "--contents", "--priors"])
def test_what_is_no_file(
    file: str, sentence: str, option: str, tmp_path: Path, monkeypatch: pytest.MonkeyPatch,
    capsys: pytest.CaptureFixture[str],
) -> None:  # fmt: skip
    monkeypatch.chdir(tmp_path)
    command = {"--contents": "palette", "--priors": "suspect"}.get(option, "trace")
    value = f"U9={file}" if option == "--contents" else file
    code, _, error = run(capsys, command, *([DUNLIN, option, value] if option else [file]))
    assert code == 2
    assert sentence in error or (file == "." and "folder" in error)
    assert "Traceback" not in error


def test_a_pipe_that_nobody_writes_to_is_empty(tmp_path: Path) -> None:
    pipe = tmp_path / "board.net"
    os.mkfifo(pipe)
    done = program("trace", pipe)
    assert (done.returncode, "the file is empty" in done.stderr) == (2, True)
    done = program("palette", DUNLIN, "--contents", f"U9={pipe}")
    assert (done.returncode, "it holds 0 bytes" in done.stderr) == (2, True)


def test_a_pipe_with_a_netlist_in_it_is_read() -> None:
    """As a shell's ``<(zcat board.net.gz)``."""
    with subprocess.Popen(["cat", str(DUNLIN)], stdout=subprocess.PIPE) as writer:
        assert writer.stdout is not None
        end = writer.stdout.fileno()
        done = program("check", f"/dev/fd/{end}", pass_fds=(end,))
    assert "64 parts" in done.stdout


def test_a_huge_file_is_not_taken_into_memory(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """A file with a hole is as long as one without."""
    huge = tmp_path / "a.net"
    with huge.open("wb") as file:
        file.truncate(1 << 40)
    before = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss
    code, _, error = run(capsys, "trace", huge)
    assert (code, "the file is larger than 256 MiB" in error) == (2, True)
    code, _, error = run(capsys, "palette", DUNLIN, "--contents", f"U9={huge}")
    assert (code, "the file is larger than 64 MiB" in error) == (2, True)
    assert resource.getrusage(resource.RUSAGE_SELF).ru_maxrss - before < 200_000


@pytest.mark.parametrize(
    "data",
    [
        b"(export" + b"\0" * 100,
        b"\0" * 1000,
        b"\xff\xfe(\0e\0x",
        b"\xff\xfe\0\xd8\0\xd8",
        b"\xef\xbb\xbf",
        b"\xef\xbb\xbf\xef\xbb\xbf(export)",
        b"\xed\xa0\x80(export)",
        b"\xff" * 1000,
        b"<?xml version='1.0' encoding='utf-7'?><export/>",
        b"<?xml version='1.0' encoding='rot13'?><export>\xff</export>",
        b"<?xml version='1.0' encoding='hex'?><export>\xff</export>",
    ],
)
@pytest.mark.parametrize(
    "encoding",
    [
        None,
        "utf-16",
        "utf-32",
        "utf-7",
        "idna",
        "punycode",
        "unicode_escape",
        "rot13",
        "base64",
        "zlib",
        "no such",
    ],
)
def test_wrong_encodings(
    data: bytes, encoding: str | None, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    path = tmp_path / "a.net"
    path.write_bytes(data)
    code, _, error = run(capsys, "trace", path, *(["--encoding", encoding] if encoding else []))
    assert code == 2
    assert "fix:" in error


@pytest.mark.parametrize("evil", ESCAPES)
def test_escape_sequences_never_reach_the_terminal(
    evil: str, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """In names of nets, references, markings, titles, names of files and options (CWE-150)."""
    path = tmp_path / "b.net"
    path.write_text(
        board_named(evil, reference="U1", marking=f"74LS273 {evil}", title=evil), encoding="utf-8"
    )
    named = ("--part", f"U1=74LS273{evil}")
    dump = tmp_path / f"u{evil.replace('/', '')}.bin"
    for command in (
        ("trace",), ("trace", "--json"), ("check",), ("check", "--json"), ("levels", "--all"), ("levels", "--legs"),
        ("levels", "--json"), ("suspect", "--seen", "red=missing"), ("suspect", "--json", "--seen", "red=missing"),
        ("suspect", "--without", "U1"), ("export", "--spice"), ("export", "--csv"), ("export", "--graphml"),
        ("palette", "--contents", f"U1={dump}"), ("palette",), ("trace", "--pin", f"red={evil}"),
        ("trace", "--join", evil), ("trace", "--format", evil), ("trace", "--encoding", evil), ("levels", "--load", evil),
        ("suspect", "--seen", f"red={evil}"), ("suspect", "--read", f"{evil}=low"), ("palette", "--colour", evil),
    ):  # fmt: skip
        for more in ((), named):
            pins = PINS if command[0] != "check" else ()
            code, out, error = run(capsys, command[0], path, *command[1:], *pins, *more)
            assert code in (0, 1, 2)
            seen(out + error)
    code, out, error = run(capsys, "part", f"74LS273{evil}")
    seen(out + error)
    _, out, error = run(capsys, "trace", tmp_path / f"{evil.replace('/', '')}.net")
    seen(out + error)


def test_escape_sequences_in_part_files_notes_and_messages(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    own, notes = tmp_path / "own.toml", tmp_path / "b.notes"
    own.write_text(
        '["X1"]\nwhat = "\\u001b[2J"\nkind = "buffer"\npins = "A\\u009b Y VCC GND"\nsections = [{ out = "Y", data = "A\\u009b" }]\n'
        'cite = "\\u001b"\n'
    )
    code, out, error = run(capsys, "part", "X1", "--parts", own)
    assert code == 0
    seen(out + error)
    own.write_text('["X\\u001b[2J"]\nwhat = 1\n')
    code, out, error = run(capsys, "part", "X1", "--parts", own)
    assert code == 2
    seen(out + error)
    notes.write_text("U1 is \x1b[2J\nseen red \x1b[2J\nJ1.1 = R1.1\nboard \x1b]0;x\x07\n\x1b[2J ??\n")
    code, out, error = run(capsys, "trace", notes)
    assert code == 2
    seen(out + error)


FORMULAS = (
    "=1+1",
    "=cmd|' /C calc'!A0",
    "@SUM(1)",
    "+1+cmd|x!A",
    "-2+3+cmd|x",
    "\t=1",
    "'=1",
    '=HYPERLINK("x")',
    "+5V",
    "-SYNC",
)


@pytest.mark.parametrize("formula", FORMULAS)
def test_no_cell_of_a_csv_is_a_formula(
    formula: str, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """OWASP, "CSV Injection"; and what `convert` writes is the same board when it is read again."""
    path = tmp_path / "b.net"
    path.write_text(
        board_named(formula, reference=formula, marking="74LS273", title=formula), encoding="utf-8"
    )
    board = read_netlist(path)
    notes = (told(tmp_path, next(p.reference for p in board.parts if p.marking == "74LS273")),)
    texts = []
    for command, target, files in (("convert", "n.csv", ()), ("levels", "l.csv", (*notes, *PINS))):
        code, _, error = run(capsys, command, path, *files, "-o", tmp_path / target)
        assert code in (0, 1), error
        texts.append((tmp_path / target).read_text(encoding="utf-8"))
    code, out, error = run(capsys, "export", path, *notes, "--csv", *PINS)
    assert code in (0, 1), error
    code, _, error = run(capsys, "trace", path, *notes, *PINS, "-o", tmp_path / "out")
    texts += [out, (tmp_path / "out" / "map.csv").read_text(encoding="utf-8")]
    for text in texts:
        for row in csv.reader(io.StringIO(text)):
            for cell in row:
                can_act = cell.startswith(("=", "@", "\t", "\r")) or (
                    cell[:1] in ("+", "-") and set(cell) & set("(|!")
                )
                assert not can_act, row
    back = read_netlist(tmp_path / "n.csv")
    assert {n.name: n.pins for n in back.nets} == {n.name: n.pins for n in board.nets}


SCRIPTS = (
    "<script>alert(1)</script>", "</title><script>alert(1)</script>", "\"><img src=x onerror=alert(1)>", "' onload='alert(1)",
    "</svg><script>alert(1)</script>", "]]><script>", "&lt;script&gt;", "<!--", "javascript:alert(1)", "{{7*7}}", "</style><script>",
    "</script><script>alert(1)</script>", "`${alert(1)}`", "\\\" URL=\\\"javascript:alert(1)",
)  # fmt: skip


class _Elements(HTMLParser):
    """Tags and attributes of a page, scripts and what they load."""

    def __init__(self) -> None:
        super().__init__()
        self.tags: list[str] = []
        self.odd: list[tuple[str, str | None]] = []

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self.tags.append(tag)
        self.odd += [
            a for a in attrs if a[0].startswith("on") or (a[0] in _LEADING and "alert" in (a[1] or ""))
        ]


#: Attributes that load or run something.
_LEADING = ("src", "href", "xlink:href", "action", "style", "formaction", "data")


def _page(text: str) -> _Elements:
    page = _Elements()
    page.feed(text)
    page.close()
    return page


def _drawn(name: str, reference: str, folder: Path) -> dict[str, str]:
    """File -> text of everything that is drawn of a board on which a net, a part, a marking and the board have a name."""
    path, out = folder / "b.net", folder / "out"
    path.write_text(board_named(name, reference=reference, marking=name, title=name), encoding="utf-8")
    board = (path, told(folder, reference), *PINS)
    for command, target in (
        ("trace", out),
        ("levels", out / "plot.svg"),
        ("card", out / "card.svg"),
        ("card", out / "card.html"),
    ):
        with in_time():
            assert main([command, *map(str, board), "-o", str(target)]) in (0, 1)
    return {f.name: f.read_text(encoding="utf-8") for f in out.iterdir() if f.suffix in (".svg", ".html")}


@pytest.fixture(scope="module")
def plain(tmp_path_factory: pytest.TempPathFactory) -> dict[str, str]:
    return _drawn("N1", "U1", tmp_path_factory.mktemp("plain"))


@pytest.mark.parametrize("evil", SCRIPTS)
def test_names_are_never_markup(evil: str, tmp_path: Path, plain: dict[str, str]) -> None:
    """In diagram, card, page, plot and swatches: as many elements as with a plain name, and none that acts (CWE-79)."""
    drawn = _drawn(evil, evil.replace(" ", "_").replace(".", "_"), tmp_path)
    assert set(drawn) == {"diagram.svg", "plot.svg", "card.svg", "card.html", "report.html"}
    for file, text in drawn.items():
        if file.endswith(".svg"):
            tags = {element.tag.rpartition("}")[2] for element in ET.fromstring(text).iter()}
            assert not tags & {"script", "img", "image", "iframe", "foreignObject", "animate", "set"}, file
        found, usual = _page(text), _page(plain[file])
        assert found.tags.count("script") == usual.tags.count("script"), file
        assert set(found.tags) == set(usual.tags), file
        assert [a for a in found.odd if a not in usual.odd] == [], file


@pytest.mark.parametrize(
    "evil", ["a\nU9 is 74LS374", "a\n*NET*\nU1.1", "a\r\nb", "a\tb", 'a"b', "a\\", "a#b", " a"]
)
@pytest.mark.parametrize("form", ["x.net", "x.csv", "x.notes", "x.asc"])
def test_a_line_end_in_a_name_makes_no_line(
    evil: str, form: str, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    path = tmp_path / "b.net"
    path.write_text(board_named(evil, marking=evil, title=evil), encoding="utf-8", newline="")
    board = read_netlist(path)
    code, _, error = run(capsys, "convert", path, "-o", tmp_path / form)
    assert code == 0, error
    back = read_netlist(tmp_path / form)
    assert {n.pins for n in back.nets} == {n.pins for n in board.nets}
    assert {p.reference for p in back.parts} == {p.reference for p in board.parts}


def test_names_of_files_in_another_encoding(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """A board is called after its file, whose name need not be text (PEP 383)."""
    path = Path(os.fsdecode(os.fsencode(tmp_path) + b"/caf\xe9.net"))
    path.write_bytes(DUNLIN.read_bytes())
    code, out, error = run(capsys, "trace", path, "-o", tmp_path / "out")
    assert code == 0, error
    seen(out + error)
    assert (tmp_path / "out" / "report.html").exists()


@pytest.mark.parametrize("command", ["report", "card", "diagram"])
def test_a_board_called_like_a_way_out_of_the_folder(
    command: str, tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    inner = tmp_path / "inner"
    inner.mkdir()
    monkeypatch.chdir(inner)
    notes = inner / "b.notes"
    lines = "".join(
        f"R{i} is 470\nJ1.{i} = R{i}.1\nR{i}.2 = U1.{leg}\n" for i, leg in ((1, 2), (2, 5), (3, 6))
    )
    notes.write_text(f"board ../outside\nred is J1.1\ngreen is J1.2\nblue is J1.3\nU1 is 74LS273\n{lines}")
    code, _, error = run(capsys, command, notes)
    assert code in (0, 1), error
    assert kept(tmp_path) == ["inner"]
