"""Input made to break the program: each gets one sentence and exit code 2, in a few seconds, or is read as it stands.

What is printed, drawn or written never carries what a name smuggled in: no escape sequence reaches a terminal, no
script a page, no formula a spreadsheet.
"""

from __future__ import annotations

import csv
import io
import json
import os
import resource
import subprocess
import sys
import time
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from html.parser import HTMLParser
from pathlib import Path
from xml.etree import ElementTree as ET

import pytest

from tracer.base.errors import EmitError, NetlistError
from tracer.base.visible import UNSEEN
from tracer.base.write import write_whole
from tracer.cli.main import main
from tracer.importers import parse_netlist, read_netlist
from tracer.importers.formats import FORMATS
from tracer.importers.kicad.sheets import MOST_SHEETS
from tracer.importers.visible_names import LONGEST_NAME

DUNLIN = Path(__file__).parents[2] / "netlists" / "dunlin" / "dunlin.net"
#: Seconds of CPU for one hostile input of less than a megabyte, with a margin for slow machines.
SECONDS = 20.0
PROGRAM = (sys.executable, "-c", "import sys; from tracer.cli.main import main; sys.exit(main())")


@contextmanager
def in_time() -> Iterator[None]:
    start = time.process_time()
    yield
    assert time.process_time() - start < SECONDS


def refused(text: str, *, format_name: str | None = None) -> NetlistError:
    """What is said of a text that is refused."""
    with in_time(), pytest.raises(NetlistError) as caught:
        parse_netlist(text, "x", format_name=format_name)
    assert caught.value.fix
    return caught.value


def run(capsys: pytest.CaptureFixture[str], *arguments: object) -> tuple[int, str, str]:
    """Exit code, standard output and error of a command."""
    with in_time():
        code = main([str(a) for a in arguments])
    out, error = capsys.readouterr()
    return code, out, error


def program(*arguments: object, timeout: float = 60, **more: object) -> subprocess.CompletedProcess[str]:
    """The program as a shell starts it."""
    environment = {**os.environ, "PYTHONPATH": str(DUNLIN.parents[2])}
    return subprocess.run(  # type: ignore[call-overload, no-any-return]
        [*PROGRAM, *map(str, arguments)],
        capture_output=True, text=True, errors="replace", timeout=timeout, env=environment, check=False, **more,
    )  # fmt: skip


# -- nesting, and a few lines that stand for gigabytes -------------------------------------------------


@pytest.mark.parametrize(
    ("text", "sentence"),
    [
        ("(export " + "(" * 200_000, "brackets are nested more than 400 deep"),
        ("(kicad_pcb " + "(" * 200_000, "brackets are nested more than 400 deep"),
        ("(edif x " + "(" * 200_000, "brackets are nested more than 400 deep"),
        ("<export>" + "<a>" * 200_000, "elements are nested more than 400 deep"),
        (
            "module t(a); wire a; R r(.\\1 (" + "{" * 20_000 + "a" + "}" * 20_000 + ")); endmodule",
            "braces are nested more than 100 deep",
        ),
        ("( { x }\n" + "( " * 100_000, None),
        ("(" * 300_000, None),
        ("[\n" * 150_000, None),
        ("{" * 300_000, None),
    ],
)
def test_deep_nesting(text: str, sentence: str | None) -> None:
    error = refused(text)
    assert sentence is None or sentence in error.what


@pytest.mark.parametrize("text", ["[" * 200_000, '{"format": "rgbroots-map", "x": ' + "[" * 200_000])
def test_deep_nesting_in_a_saved_map(text: str, tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    path = tmp_path / "map.json"
    path.write_text(text)
    for command in ("diagram", "card", "check"):
        code, _, error = run(capsys, command, path)
        assert (code, "nested too deep" in error) == (2, True)


_LAUGHS = "".join(f'<!ENTITY a{i + 1} "{f"&a{i};" * 10}">' for i in range(10))


@pytest.mark.parametrize(
    "text",
    [
        f'<?xml version="1.0"?><!DOCTYPE export [<!ENTITY a0 "lol">{_LAUGHS}]><export>&a10;</export>',
        '<!DOCTYPE export [<!ENTITY x SYSTEM "file:///etc/passwd">]><export><design><source>&x;</source></design></export>',
        '<!DOCTYPE export [<!ENTITY % x SYSTEM "http://x/">%x;]><export/>',
    ],
)
def test_xml_entities_are_not_taken_up(text: str) -> None:
    """Billion laughs and external entities (W3C, XML 1.0, section 4; CWE-776, CWE-611)."""
    assert "entities can swell to any size" in refused(text).what


def test_a_doctype_that_names_a_file_is_not_followed(tmp_path: Path) -> None:
    path = tmp_path / "secret.dtd"
    path.write_text('<!ENTITY x "secret">')
    error = refused(f'<!DOCTYPE export SYSTEM "{path.as_uri()}"><export>&x;</export>')
    assert "secret" not in error.what


def _doubled_modules() -> str:
    text = "module m0(a); wire b; R r1(.\\1 (a),.\\2 (b)); endmodule\n"
    for i in range(1, 40):
        text += f"module m{i}(a); m{i - 1} x(.a(a)); m{i - 1} y(.a(a)); endmodule\n"
    return text


def _doubled_cells() -> str:
    cells = "(cell R (cellType GENERIC) (view v (viewType NETLIST) (interface (port a))))"
    cells += (
        "(cell m0 (cellType GENERIC) (view v (viewType NETLIST) (interface (port a)) (contents (instance r (viewRef v "
        "(cellRef R))) (net n (joined (portRef a) (portRef a (instanceRef r)))))))"
    )
    for i in range(1, 40):
        two = "".join(f"(instance {n} (viewRef v (cellRef m{i - 1})))" for n in "xy")
        cells += (
            f"(cell m{i} (cellType GENERIC) (view v (viewType NETLIST) (interface (port a)) (contents {two} (net n (joined "
            "(portRef a) (portRef a (instanceRef x)) (portRef a (instanceRef y)))))))"
        )
    return f"(edif x (edifVersion 2 0 0) (library L {cells}) (design d (cellRef m39 (libraryRef L))))"


def _doubled_subcircuits() -> str:
    text = ".title x\n.subckt m0 a b\nR1 a b 1k\nR2 a b 2k\n.ends\n"
    for i in range(1, 40):
        text += f".subckt m{i} a b\nX1 a b m{i - 1}\nX2 a b m{i - 1}\n.ends\n"
    return f"{text}X1 a b m39\n.end\n"


@pytest.mark.parametrize(
    ("text", "sentence"),
    [
        (_doubled_modules(), "parts"),
        (_doubled_cells(), "make more than a board can hold"),
        (_doubled_subcircuits(), "parts"),
        ("module t(a); wire a; R r1(.\\1 (a[99999999:0])); endmodule", "is too wide"),
        ("module t(a); wire a; R r1(.\\1 ({000000001999999999{a}})); endmodule", "copies are too many"),
        (
            "module t(a); " + "".join(f"wire [65535:0] a{i};" for i in range(9000)) + " R r1(.\\1 (a)); endmodule",
            "more than 2,000,000 wires",
        ),
        ("module t(a); " + "assign a = 65535'b0;" * 9000 + " R r1(.\\1 (a)); endmodule", "more than 2,000,000 wires"),
        ("module t(a); " + "assign a = {65535{a}};" * 9000 + " R r1(.\\1 (a)); endmodule", "more than 2,000,000 wires"),
        (
            "(edif x (edifVersion 2 0 0) (library L (cell R (cellType GENERIC) (view v (viewType NETLIST) (interface (port "
            "(array a 16000))))) (cell t (cellType GENERIC) (view v (viewType NETLIST) (interface) (contents "
            + "".join(f"(instance r{i} (viewRef v (cellRef R)))" for i in range(9000))
            + " (net n (joined (portRef (member a 0) (instanceRef r0)))))))) (design d (cellRef t (libraryRef L))))",
            "make more than a board can hold",
        ),
    ],
)  # fmt: skip
def test_a_few_lines_that_stand_for_millions_of_parts(text: str, sentence: str) -> None:
    assert sentence in refused(text).what


# -- long lines and names ------------------------------------------------------------------------------

_LONG = {
    "blanks": " " * 400_000 + "x",
    "blanks behind a word": "x" + " " * 300_000 + "x",
    "blanks in a package list": "$PACKAGES\n!x" + " " * 300_000 + "\n$NETS\nA" + " " * 300_000,
    "blanks before a sign": ".title x\nR1 a b" + " " * 300_000 + "x=1\nU1" + " " * 300_000 + "<\n",
    "blanks in a record": ".HEA\n.ADD_TER U1 1" + " " * 300_000 + '"\n',
    "blanks in a list": "START nets\nA :" + " " * 300_000 + ",\n",
    "blanks in a signal": "*PADS-PCB*\n*NET*\n*SIGNAL*" + " " * 300_000 + "x" + " " * 300_000 + "\nU1.1",
    "tabs": "\t\n" * 200_000 + "x",
    "one word": "x" * 400_000,
    "words": "module " * 60_000,
    "quotes": '"' * 300_000,
    "backslashes": "\\" * 300_000,
    "commas": "," * 300_000,
    "stars": "*\n" * 150_000,
    "comment signs": "/*" * 150_000,
    "xml comments": "<!--" * 100_000,
    "xml comments, closed": "<!-- -->" * 50_000 + "<x/>",
    "doctypes": "<!DOCTYPE eagle>" * 30_000,
    "hashes": "#\n" * 150_000,
    "hashes in a note": 'board x\nU1 is "' + "#" * 300_000,
    "hashes behind a word": "board x" + "#" * 300_000,
    "blanks in a note": "U1 is x" + " " * 300_000 + "y\n",
    "a pin of many signs": "(\nA\nU9" + "-2" * 150_000,
    "at": "U1 is x" + " at" * 100_000 + "\n",
    "drawn as": "U1 is x" + " drawn as" * 40_000 + "\n",
    "dots": "." * 300_000,
    "parts": "U1.1 " * 60_000,
    "braces": "{}" * 150_000,
    "carried on": ".title x\nR1 a b 1k\n" + "+\n" * 150_000,
    "escaped names": "module t(a);\n wire a, " + "".join(f'\\n{i}x.y"\\' for i in range(9000)),
    "no semicolon": "module t(a);\n wire " + "\\abc" * 60_000,
    "signals": "*PADS-PCB*\n*NET*\n" + "*SIGNAL* " * 40_000,
    "records": "P  CODE 00\n" + "3" * 300_000,
}


@pytest.mark.parametrize("form", [None, *(f.name for f in FORMATS if not f.from_file)])
@pytest.mark.parametrize("text", _LONG.values(), ids=_LONG)
def test_long_lines_take_no_long_time(text: str, form: str | None) -> None:
    """No regular expression is tried again and again from every place of a row of like letters (CWE-1333)."""
    with in_time():
        try:
            parse_netlist(text, "x", format_name=form)
        except NetlistError as error:
            said = str(error)
        else:
            said = ""
    assert len(said.split("\n")[0]) < 1300


def test_a_note_of_many_parts_grows_with_its_length_alone() -> None:
    text = "board x\n" + "".join(f"U{i}.1 = U{i + 1}.2\n" for i in range(5000))
    with in_time():
        assert len(parse_netlist(text, "x").parts) == 5001


@pytest.mark.parametrize("letters", [LONGEST_NAME, LONGEST_NAME + 1])
def test_names_have_a_longest_length(letters: int) -> None:
    text = f'(export (version "E") (components) (nets (net (code 1) (name "{"N" * letters}") (node (ref U1) (pin 1)))))'
    if letters <= LONGEST_NAME:
        assert len(parse_netlist(text, "x").nets[0].name) == letters
    else:
        assert f"up to {LONGEST_NAME:,} are read" in refused(text).what


def _board(red: str, *, reference: str = "U1", marking: str = "74LS273", title: str = "b") -> str:
    """A KiCad netlist of one bit a colour; `red` is the name of a net on its way."""

    def quoted(text: str) -> str:
        return '"' + text.replace("\\", "\\\\").replace('"', '\\"').replace("\n", "\\n") + '"'

    parts = [(reference, marking), ("R1", "470"), ("R2", "470"), ("R3", "470"), ("J1", "x")]
    nets = [
        (red, [("R1", "2"), (reference, "2")]), ("G", [("R2", "2"), (reference, "5")]),
        ("B", [("R3", "2"), (reference, "6")]), ("RED", [("R1", "1"), ("J1", "1")]),
        ("GREEN", [("R2", "1"), ("J1", "2")]), ("BLUE", [("R3", "1"), ("J1", "3")]),
    ]  # fmt: skip
    components = "".join(f"(comp (ref {quoted(r)}) (value {quoted(m)}))" for r, m in parts)
    listed = "".join(
        f'(net (code "{i}") (name {quoted(name)})'
        + "".join(f"(node (ref {quoted(part)}) (pin {quoted(pin)}))" for part, pin in pins)
        + ")"
        for i, (name, pins) in enumerate(nets)
    )
    return (
        f'(export (version "E") (design (source {quoted(title)})) (components {components}) (nets {listed}))'
    )


def _told(folder: Path, reference: str) -> Path:
    """Notes that tell what a part is, whatever it is called."""
    path = folder / "told.notes"
    quoted = reference.replace("\\", "\\\\").replace('"', '\\"')
    path.write_text(f'board b\n"{quoted}" is 74LS273\n', encoding="utf-8")
    return path


PINS = ("--pin", "red=J1.1", "--pin", "green=J1.2", "--pin", "blue=J1.3")


def test_very_long_names_on_card_page_and_terminal(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    path = tmp_path / "b.net"
    path.write_text(_board("N" * LONGEST_NAME, reference="U" * 2000, marking="74LS273 " + "M" * 3000))
    code, _, error = run(
        capsys, "trace", path, *PINS, "-o", tmp_path / "out", "--part", "U" * 2000 + "=74LS273"
    )
    assert code in (0, 1), error
    ET.parse(tmp_path / "out" / "diagram.svg")


# -- sheets that lead elsewhere ------------------------------------------------------------------------


def _sheet(*files: str) -> str:
    symbols = "".join(
        f'(sheet (at {50 + 50 * i} 40) (size 20 20) (uuid "00000000-0000-4000-8000-{i:012d}") '
        f'(property "Sheetname" "s{i}" (at 0 0 0)) (property "Sheetfile" "{file}" (at 0 0 0)))'
        for i, file in enumerate(files)
    )
    return (
        '(kicad_sch (version 20250114) (generator "eeschema") (uuid "00000000-0000-4000-8000-0000000000ff") (paper "A4") '
        f"(lib_symbols) {symbols})"
    )


def _legacy_sheet(*files: str) -> str:
    symbols = "".join(
        f'$Sheet\nS {1000 + 2000 * i} 1000 500 500\nU 5F00000{i}\nF0 "s{i}" 50\nF1 "{file}" 50\n$EndSheet\n'
        for i, file in enumerate(files)
    )
    return (
        "EESchema Schematic File Version 4\nEELAYER 30 0\nEELAYER END\n$Descr A4 11693 8268\nencoding utf-8\nSheet 1 1\n"
        f"$EndDescr\n{symbols}$EndSCHEMATC\n"
    )


FORMS: dict[str, Callable[..., str]] = {".kicad_sch": _sheet, ".sch": _legacy_sheet}


@pytest.fixture(params=FORMS)
def suffix(request: pytest.FixtureRequest) -> str:
    return str(request.param)


def sheet_error(path: Path) -> str:
    with in_time(), pytest.raises(NetlistError) as caught:
        read_netlist(path)
    return str(caught.value)


def test_a_sheet_that_holds_itself(suffix: str, tmp_path: Path) -> None:
    path = tmp_path / f"a{suffix}"
    path.write_text(FORMS[suffix](path.name))
    assert "holds itself" in sheet_error(path)


def test_a_sheet_that_holds_itself_by_another_and_by_a_link(suffix: str, tmp_path: Path) -> None:
    for name, other in (("a", "b"), ("b", "c")):
        (tmp_path / f"{name}{suffix}").write_text(FORMS[suffix](other + suffix))
    (tmp_path / f"c{suffix}").symlink_to(f"a{suffix}")
    assert "holds itself" in sheet_error(tmp_path / f"a{suffix}")


def test_sheets_placed_twice_in_each_of_a_row_of_others(suffix: str, tmp_path: Path) -> None:
    """30 small files would stand for a thousand million sheets."""
    for i in range(30):
        (tmp_path / f"a{i}{suffix}").write_text(FORMS[suffix](f"a{i + 1}{suffix}", f"a{i + 1}{suffix}"))
    (tmp_path / f"a30{suffix}").write_text(FORMS[suffix]())
    assert f"more than {MOST_SHEETS:,}" in sheet_error(tmp_path / f"a0{suffix}")


def test_a_sheet_may_not_name_what_is_no_schematic(suffix: str, tmp_path: Path) -> None:
    """Nothing of a file outside is shown because a drawing names it (CWE-22)."""
    (tmp_path / "secret").write_text("root:x:0:0:secret\n")
    (tmp_path / "board").mkdir()
    path = tmp_path / "board" / f"a{suffix}"
    path.write_text(FORMS[suffix]("../secret"))
    if suffix == ".sch":
        # The newer form takes as the file what ends like one.
        assert "which is no schematic by its name" in sheet_error(path)
        assert "root:x" not in sheet_error(path)
    else:
        assert not read_netlist(path).nets


@pytest.mark.parametrize(
    "name", ["missing", "x" * 300, "device", "pipe", "folder", "circle", "../../../../../etc/passwd"]
)
def test_a_sheet_of_any_other_kind(name: str, suffix: str, tmp_path: Path) -> None:
    target = tmp_path / f"{name}{suffix}"
    if name == "device":
        target.symlink_to("/dev/zero")
    elif name == "pipe":
        os.mkfifo(target)
    elif name == "folder":
        target.mkdir()
    elif name == "circle":
        target.symlink_to(target.name)
    path = tmp_path / f"a{suffix}"
    path.write_text(FORMS[suffix](f"{name}{suffix}"))
    assert "fix:" in sheet_error(path)


def test_buses_of_buses(tmp_path: Path) -> None:
    aliases = "".join(f'(bus_alias "M{i}" (members "X{{M{i + 1}}}" "Y{{M{i + 1}}}"))' for i in range(40))
    path = tmp_path / "a.kicad_sch"
    bus = "(bus (pts (xy 10 10) (xy 20 10)))"
    path.write_text(_sheet()[:-1] + f'{bus}{aliases}(label "A{{M0}}" (at 10 10 0)))')
    assert "more than 4,096 members" in sheet_error(path)
    path.write_text(_sheet()[:-1] + f'{bus}(label "D[0..99999999]" (at 10 10 0)))')
    assert "more than 4,096 members" in sheet_error(path)


def test_wires_over_one_another(tmp_path: Path) -> None:
    new, old = tmp_path / "a.kicad_sch", tmp_path / "a.sch"
    new.write_text(
        _sheet()[:-1] + "".join(f"(wire (pts (xy 0 {i}) (xy 0 {i + 5000})))" for i in range(5000)) + ")"
    )
    wires = "".join(f"Wire Wire Line\n\t0 {i} 0 {i + 9000}\n" for i in range(9000))
    old.write_text(_legacy_sheet().replace("$EndSCHEMATC", f"{wires}$EndSCHEMATC"))
    with in_time():
        assert not read_netlist(new).nets
    assert "too often to tell what they join" in sheet_error(old)


# -- files that are none -------------------------------------------------------------------------------


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
    done = program("trace", pipe, timeout=30)
    assert (done.returncode, "the file is empty" in done.stderr) == (2, True)
    done = program("palette", DUNLIN, "--contents", f"U9={pipe}", timeout=30)
    assert (done.returncode, "it holds 0 bytes" in done.stderr) == (2, True)


def test_a_pipe_with_a_netlist_in_it_is_read() -> None:
    """As a shell's ``<(zcat board.net.gz)``."""
    end, start = os.pipe()
    if os.fork() == 0:
        os.write(start, DUNLIN.read_bytes())
        os._exit(0)
    os.close(start)
    done = program("check", f"/dev/fd/{end}", pass_fds=(end,))
    os.close(end)
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


# -- what names smuggle in -----------------------------------------------------------------------------

ESCAPES = (
    "\x1b[2J\x1b[31mred", "\x1b]0;title\x07", "\x9b2J", "\x1bP+q\x1b\\", "a\bb\r", "x\u202egnp.exe", "y\u2066z", "\x7f", "\u2028", "\x85n",
)  # fmt: skip


def seen(text: str) -> str:
    """The text, which must hold nothing that a terminal obeys."""
    found = UNSEEN.search(text.replace("\n", ""))
    assert found is None, repr(found)
    return text


@pytest.mark.parametrize("evil", ESCAPES)
def test_escape_sequences_never_reach_the_terminal(
    evil: str, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """In names of nets, references, markings, titles, names of files and options (CWE-150)."""
    path = tmp_path / "b.net"
    path.write_text(_board(evil, reference="U1", marking=f"74LS273 {evil}", title=evil), encoding="utf-8")
    told = ("--part", f"U1=74LS273{evil}")
    dump = tmp_path / f"u{evil.replace('/', '')}.bin"
    for command in (
        ("trace",), ("trace", "--json"), ("check",), ("check", "--json"), ("levels", "--all"), ("levels", "--legs"),
        ("levels", "--json"), ("suspect", "--seen", "red=missing"), ("suspect", "--json", "--seen", "red=missing"),
        ("suspect", "--without", "U1"), ("export", "--spice"), ("export", "--csv"), ("export", "--graphml"),
        ("palette", "--contents", f"U1={dump}"), ("palette",), ("trace", "--pin", f"red={evil}"),
        ("trace", "--join", evil), ("trace", "--format", evil), ("trace", "--encoding", evil), ("levels", "--load", evil),
        ("suspect", "--seen", f"red={evil}"), ("suspect", "--read", f"{evil}=low"), ("palette", "--colour", evil),
    ):  # fmt: skip
        for more in ((), told):
            pins = PINS if command[0] != "check" else ()
            code, out, error = run(capsys, command[0], path, *command[1:], *pins, *more)
            assert code in (0, 1, 2)
            seen(out + error)
    code, out, error = run(capsys, "part", f"74LS273{evil}")
    seen(out + error)
    _, out, error = run(capsys, "trace", tmp_path / f"{evil.replace('/', '')}.net")
    seen(out + error)


@pytest.mark.parametrize("evil", ESCAPES)
def test_escape_sequences_in_a_saved_map(
    evil: str, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    path, saved = tmp_path / "b.net", tmp_path / "map.json"
    path.write_text(_board("N1", title="T1"), encoding="utf-8")
    code, out, _ = run(capsys, "trace", path, *PINS, "--json")
    assert code in (0, 1)
    for word in ("U1", "R1", "74x273", "b", "RED"):
        quoted = json.dumps(evil)[1:-1]
        saved.write_text(out.replace(f'"{word}"', f'"{quoted}"'), encoding="utf-8")
        for command, target in (
            ("check", ()),
            ("diagram", ("-o", tmp_path / "d.svg")),
            ("card", ("-o", tmp_path / "c.svg")),
        ):
            code, printed, error = run(capsys, command, saved, *target)
            assert code in (0, 1, 2)
            seen(printed + error)
            if target and code != 2:
                ET.parse(target[1])


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


def test_names_that_differ_in_what_is_not_seen_are_not_joined() -> None:
    text = _board("A\x1b").replace('"G"', '"A\\\\x1b"')
    assert "differ only in characters that cannot be seen" in refused(text).what
    found = parse_netlist(_board("A\x1b"), "x")
    assert r"A\x1b" in found.by_net_name
    assert "unseen-characters" in {f.code for f in found.findings}


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
    path.write_text(_board(formula, reference=formula, marking="74LS273", title=formula), encoding="utf-8")
    board = read_netlist(path)
    told = (_told(tmp_path, next(p.reference for p in board.parts if p.marking == "74LS273")),)
    texts = []
    for command, target, files in (("convert", "n.csv", ()), ("levels", "l.csv", (*told, *PINS))):
        code, _, error = run(capsys, command, path, *files, "-o", tmp_path / target)
        assert code in (0, 1), error
        texts.append((tmp_path / target).read_text(encoding="utf-8"))
    code, out, error = run(capsys, "export", path, *told, "--csv", *PINS)
    assert code in (0, 1), error
    code, _, error = run(capsys, "trace", path, *told, *PINS, "-o", tmp_path / "out")
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


@pytest.mark.parametrize("evil", SCRIPTS)
def test_names_are_never_markup(evil: str, tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """In diagram, card, page, plot and swatches: as many elements as with a plain name, and none that acts (CWE-79)."""
    pages: dict[str, dict[str, str]] = {}
    reference = evil.replace(" ", "_").replace(".", "_")
    for name, red, ref in (("plain", "N1", "U1"), ("evil", evil, reference)):
        path = tmp_path / name / "b.net"
        path.parent.mkdir()
        path.write_text(_board(red, reference=ref, marking=red, title=red), encoding="utf-8")
        out = path.parent / "out"
        told = (_told(path.parent, ref), *PINS)
        code, _, error = run(capsys, "trace", path, *told, "-o", out)
        assert code in (0, 1), error
        code, _, error = run(capsys, "levels", path, *told, "-o", out / "plot.svg")
        assert code in (0, 1), error
        for form in ("svg", "html"):
            code, _, error = run(capsys, "card", path, *told, "-o", out / f"card.{form}")
            assert code in (0, 1), error
        pages[name] = {
            f.name: f.read_text(encoding="utf-8") for f in out.iterdir() if f.suffix in (".svg", ".html")
        }
    assert set(pages["evil"]) == {"diagram.svg", "plot.svg", "card.svg", "card.html", "report.html"}
    for file, text in pages["evil"].items():
        if file.endswith(".svg"):
            tags = {element.tag.rpartition("}")[2] for element in ET.fromstring(text).iter()}
            assert not tags & {"script", "img", "image", "iframe", "foreignObject", "animate", "set"}, file
        found, plain = _page(text), _page(pages["plain"][file])
        assert found.tags.count("script") == plain.tags.count("script"), file
        assert set(found.tags) == set(plain.tags), file
        assert [a for a in found.odd if a not in plain.odd] == [], file


@pytest.mark.parametrize(
    "evil", ["a\nU9 is 74LS374", "a\n*NET*\nU1.1", "a\r\nb", "a\tb", 'a"b', "a\\", "a#b", " a"]
)
@pytest.mark.parametrize("form", ["x.net", "x.csv", "x.notes", "x.asc"])
def test_a_line_end_in_a_name_makes_no_line(
    evil: str, form: str, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    path = tmp_path / "b.net"
    path.write_text(_board(evil, marking=evil, title=evil), encoding="utf-8", newline="")
    board = read_netlist(path)
    code, _, error = run(capsys, "convert", path, "-o", tmp_path / form)
    assert code == 0, error
    back = read_netlist(tmp_path / form)
    assert {n.pins for n in back.nets} == {n.pins for n in board.nets}
    assert {p.reference for p in back.parts} == {p.reference for p in board.parts}


# -- files of part types, priors, dumps, maps ----------------------------------------------------------

_HEAD = '["x"]\nwhat = "a"\nkind = "buffer"\ncite = "M"\n'


@pytest.mark.parametrize(
    ("text", "sentence"),
    [
        ("a = " + "[" * 100_000, "nested too deep"),
        ("a = " + "9" * 6000, "too many digits"),
        (_HEAD + 'pins = "A Y"\nsections = [{ out = "Y0-Y99999999", data = "A" }]', "more than 4096"),
        (_HEAD + 'pins = "A Y"\nsections = [{ each = "1-99999999", out = "nY", data = "A" }]', "more than 4096"),
        (_HEAD + 'pins = "A0-A9"\nnumbers = 3', "'numbers' is a text in quotes"),
        (_HEAD + 'pins = "A"\nsections = 3', "'sections' is a list"),
        (_HEAD + 'pins = "A"\nconfirmed = [1]', "'confirmed' is a text in quotes"),
        (
            _HEAD + f'pins = "{" ".join(f"A{i} Y{i}" for i in range(1500))}"\nsections = [{{ out = "Y0-Y1499", data = "A0-A1499" }}]',
            "make more than 200,000",
        ),
        (_HEAD + f'pins = "{"P " * 5000}"', None),
    ],
)  # fmt: skip
def test_part_files(
    text: str, sentence: str | None, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    path = tmp_path / "own.toml"
    path.write_text(text)
    code, _, error = run(capsys, "part", "x", "--parts", path)
    assert code == 2
    assert sentence is None or sentence in error


@pytest.mark.parametrize(
    "value", ["9" * 6000, "1e400", "nan", "-1", "true", '"x"', "[" * 50_000, "1979-05-27"]
)
def test_priors(value: str, tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    path = tmp_path / "p.toml"
    path.write_text(f"[minutes]\nread = {value}\n")
    code, _, error = run(capsys, "suspect", DUNLIN, "--seen", "red=missing", "--priors", path)
    assert (code, "fix:" in error or "no number" in error) == (2, True)


@pytest.mark.parametrize(
    ("old", "new", "sentence"),
    [
        ('"version": 1', '"version": ' + "9" * 6000, "too many digits"),
        ('"load_ohm": 75', '"load_ohm": NaN', "is no number"),
        ('"load_ohm": 75', '"load_ohm": 1e999', "is no number"),
        ('"load_ohm": 75', '"load_ohm": -1', "map.load_ohm: is below 0"),
        ('"load_ohm": 75', '"load_ohm": 0', "map.load_ohm: is 0; more is expected"),
        ('"name": "dunlin"', '"name": "' + "x" * 70_000 + '"', "up to 65,536 are read"),
        ('"levels": 16', '"levels": -16', "is below 0"),
        ('"feeds": {', '"feeds": {"red": 3, "x": ', "map.chips[0].feeds.red: is of the wrong type (int)"),
    ],
)
def test_saved_maps(
    old: str, new: str, sentence: str, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    text = DUNLIN.with_name("dunlin.map.json").read_text(encoding="utf-8")
    at = text.index(old)
    text = text[:at] + new + text[at + len(old) :]
    if "feeds" in old:
        # The list that stood there belongs to the new key.
        text = text[: text.index('"x": ')] + '"x": [0]}' + text[text.index("}", text.index('"x": ')) + 1 :]
    path = tmp_path / "map.json"
    path.write_text(text, encoding="utf-8")
    code, _, error = run(capsys, "diagram", path, "-o", tmp_path / "x.svg")
    assert code == 2
    assert sentence in error


# -- writing -------------------------------------------------------------------------------------------


def _kept(folder: Path) -> list[str]:
    return sorted(p.name for p in folder.iterdir())


def test_a_file_that_cannot_be_written_whole_leaves_the_old_one(tmp_path: Path) -> None:
    """A limit on the size of files stands for a disk that runs full in the middle of one."""
    old = tmp_path / "d.svg"
    old.write_text("old")

    def limited() -> None:
        resource.setrlimit(resource.RLIMIT_FSIZE, (2000, 2000))

    done = program("diagram", DUNLIN, "-o", old, preexec_fn=limited)
    assert done.returncode == 2
    assert "cannot write it" in done.stderr
    assert "fix:" in done.stderr
    assert (old.read_text(), _kept(tmp_path)) == ("old", ["d.svg"])


def test_a_full_device(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    full = tmp_path / "full.csv"
    full.symlink_to("/dev/full")
    code, _, error = run(capsys, "levels", DUNLIN, "-o", full)
    assert (code, "cannot write it: No space left on device" in error) == (2, True)
    assert full.is_symlink()


@contextmanager
def as_nobody() -> Iterator[None]:
    """Who may write everywhere cannot try what happens where one may not."""
    if os.geteuid():
        yield
        return
    os.seteuid(65534)
    try:
        yield
    finally:
        os.seteuid(0)


def test_a_folder_that_may_not_be_written(tmp_path: Path) -> None:
    folder = tmp_path / "fixed"
    folder.mkdir()
    old = folder / "d.svg"
    old.write_text("old")
    folder.chmod(0o555)
    for above in (tmp_path, *tmp_path.parents):
        if above.stat().st_uid == os.getuid() and not above.stat().st_mode & 0o001:
            above.chmod(above.stat().st_mode | 0o011)
    with as_nobody(), pytest.raises(EmitError, match="cannot write it: Permission denied"):
        write_whole(old, "new")
    folder.chmod(0o755)
    assert (old.read_text(), _kept(folder)) == ("old", ["d.svg"])


@pytest.mark.parametrize(
    "command",
    [("diagram", "x.svg"), ("diagram", "x.png"), ("diagram", "x.dot"), ("card", "x.html"), ("card", "x.svg"),
     ("report", "x.html"), ("levels", "x.csv"), ("levels", "x.svg"), ("levels", "x.json"), ("convert", "x.notes"),
     ("convert", "x.net"), ("export", "x.cir"), ("trace", "x")],
)  # fmt: skip
def test_a_folder_has_the_name_or_there_is_no_folder(
    command: tuple[str, str], tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    taken, nowhere = tmp_path / command[1], tmp_path / "nowhere" / "deeper" / command[1]
    more = ("--spice",) if command[0] == "export" else ()
    if command[0] == "trace":
        # It makes its folders: what stands in its way is a file.
        taken.write_text("old")
        (tmp_path / "nowhere").write_text("old")
    else:
        taken.mkdir()
    for target in (taken, nowhere):
        code, _, error = run(capsys, command[0], DUNLIN, "-o", target, *more)
        assert code == 2
        assert "cannot write it" in error or "cannot make the folder" in error
        assert "fix:" in error
    assert [n for n in _kept(tmp_path) if n.startswith(".")] == []


def test_a_link_keeps_leading_where_it_leads(tmp_path: Path) -> None:
    real, link = tmp_path / "real.svg", tmp_path / "link.svg"
    real.write_text("old")
    link.symlink_to(real.name)
    write_whole(link, "new")
    assert link.is_symlink()
    assert real.read_text() == "new"
    write_whole(Path("/dev/null"), "new")
    assert Path("/dev/null").is_char_device()


def test_the_longest_name_that_a_file_can_have(tmp_path: Path) -> None:
    target = tmp_path / ("x" * 251 + ".svg")
    write_whole(target, "new")
    assert target.read_text() == "new"
    with pytest.raises(EmitError, match="File name too long"):
        write_whole(tmp_path / ("x" * 252 + ".svg"), "new")


def test_a_stop_from_the_keyboard_leaves_nothing_half(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    target = tmp_path / "d.svg"
    target.write_text("old")

    def stopped(*_: object) -> None:
        raise KeyboardInterrupt

    monkeypatch.setattr(Path, "replace", stopped)
    with pytest.raises(KeyboardInterrupt):
        write_whole(target, "new")
    assert (target.read_text(), _kept(tmp_path)) == ("old", ["d.svg"])


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
    assert _kept(tmp_path) == ["inner"]
