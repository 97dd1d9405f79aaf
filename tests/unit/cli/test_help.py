"""`rgbroots help` and `rgbroots completion`: every example of a topic is run or read, and no list is stale."""

from __future__ import annotations

import json
import re
import shlex
import shutil
import subprocess
import sys
import tomllib
from pathlib import Path

import pytest

from tests.examples import Said, lay_out_files, run_example
from tracer.base.data_folder import data_folder
from tracer.beeps.values import CAUTION
from tracer.card.words import CAUTIONS
from tracer.cli import commands
from tracer.cli.commands import TOPICS
from tracer.cli.help import topic_text
from tracer.cli.main import build_parser, main
from tracer.cli.notes_file import NotesFile
from tracer.export.netlists.netlists import NETLIST_FORMS
from tracer.importers import FORMATS, parse_netlist
from tracer.importers.grammar import load_grammar
from tracer.netlist.notes import ToldNet
from tracer.parts.kinds import Kind
from tracer.parts.library import _SECTION_KEYS, _TYPE_KEYS, parse_types
from tracer.suspects import evidence, readings, words
from tracer.suspects.priors import load_priors

FOLDER = Path(__file__).parents[3] / "tracer" / "cli" / "help_topics"
NETLISTS = Path(__file__).parents[3] / "netlists"


def indented(topic: str) -> list[str]:
    """The lines of a topic that are examples: four blanks in front."""
    return [line[4:] for line in topic_text(topic).splitlines() if line.startswith("    ") and line[4] != " "]


def blocks(topic: str, start: str) -> str:
    """Examples in blocks whose first line starts so, nested lines too."""
    found = re.findall(r"(?:^    .*\n)+", topic_text(topic).replace("\n\n    [", "\n    ["), re.MULTILINE)
    return "\n".join(re.sub(r"^    ", "", b, flags=re.MULTILINE) for b in found if b[4:].startswith(start))


def statements() -> list[str]:
    """The lines of bench notes in their topic."""
    return [line for line in indented("notes") if not line.startswith("rgbroots")]


@pytest.fixture(scope="module")
def bench(tmp_path_factory: pytest.TempPathFactory) -> Path:
    folder = tmp_path_factory.mktemp("bench")
    lay_out_files(folder)
    (folder / "mine.toml").write_text(blocks("parts", "["), encoding="utf-8")
    (folder / "wren.bin").write_bytes(bytes(32))
    return folder


def said(capsys: pytest.CaptureFixture[str], *argv: str) -> Said:
    return Said(main(argv), *capsys.readouterr())


# -- all topics -----------------------------------------------------------------------------------


def test_every_topic_has_a_text_and_every_text_is_a_topic() -> None:
    assert {p.stem for p in FOLDER.iterdir()} == set(TOPICS)


@pytest.mark.parametrize("topic", TOPICS)
def test_a_topic_fits_a_terminal_and_starts_with_its_name(
    topic: str, capsys: pytest.CaptureFixture[str]
) -> None:
    text = said(capsys, "help", topic).out
    assert text.startswith(f"{topic.upper()}: ")
    assert text.splitlines()[0].endswith(TOPICS[topic])
    assert max(len(line) for line in text.splitlines()) <= 80
    assert text.endswith("\n")
    assert not re.search(r"\{\w+\}|[^\x20-\x7e\n]", text)


def test_help_alone_lists_the_topics(capsys: pytest.CaptureFixture[str]) -> None:
    out = said(capsys, "help").out
    assert all(f"  {topic} " in out and what in out for topic, what in TOPICS.items())


def test_help_of_a_command_is_its_help(capsys: pytest.CaptureFixture[str]) -> None:
    with pytest.raises(SystemExit):
        main(["levels", "--help"])
    shown = capsys.readouterr().out
    assert said(capsys, "help", "levels").out == shown


def test_an_unknown_topic_names_those_that_there_are(capsys: pytest.CaptureFixture[str]) -> None:
    with pytest.raises(SystemExit) as ended:
        main(["help", "wiring"])
    assert ended.value.code == 2
    err = capsys.readouterr().err
    assert all(topic in err for topic in TOPICS)


COMMANDS = [(t, line) for t in TOPICS for line in indented(t) if line.startswith("rgbroots")]


@pytest.mark.parametrize(("topic", "line"), COMMANDS)
def test_every_command_of_a_topic_runs(
    topic: str, line: str, bench: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    if topic == "suspects" and "mine.toml" in line:
        line = line.replace("mine.toml", "priors.toml")
    result = run_example(line, bench, monkeypatch)
    assert result.code in (0, 1), result.err
    assert "fix:" not in result.err


# -- notes ----------------------------------------------------------------------------------------


@pytest.mark.parametrize("line", statements())
def test_every_line_of_the_notes_topic_is_a_statement_by_itself(line: str) -> None:
    netlist = parse_netlist(line + "\n", "a.notes", format_name="bench-notes")
    empty = not netlist.parts and not netlist.nets and not netlist.notes.evidence
    assert empty == line.startswith(("#", "board", "blue is net:", "load"))


def test_the_lines_of_the_notes_topic_are_one_board_that_does_not_contradict_itself() -> None:
    netlist = parse_netlist("\n".join(statements()), "a.notes", format_name="bench-notes")
    assert [f.code for f in netlist.findings] == []
    assert netlist.name == "Dunlin lower board"
    assert dict(netlist.notes.colour_pins)["blue"] == ToldNet("BLUE OUT")
    assert [e.kind for e in netlist.notes.evidence] == [
        "seen",
        "seen",
        "read",
        "read",
        "swapped",
        "pressed",
        "exchanged",
        "measured",
        "seen",
    ]
    assert {p.reference for p in netlist.parts if not p.fitted} == {"R12"}
    assert netlist.notes.sockets == (("U4", True),)
    assert {str(p) for p in next(n for n in netlist.nets if n.name == "PIXCLK").pins} == {"U9.11", "U12.3"}


def test_the_notes_topic_has_every_statement_of_the_grammar() -> None:
    grammar = (Path(str(data_folder("grammars"))) / "bench_notes.lark").read_text(encoding="utf-8")
    kinds = set(re.search(r"^_line: (.*)$", grammar, re.MULTILINE)[1].split(" | "))  # type: ignore[index]
    shown = set()
    for line in statements():
        words_of_it = line.split(" #")[0].strip() if not line.startswith("#") else ""
        if words_of_it:
            shown.add(load_grammar("bench_notes").parse(words_of_it + " ").children[0].data)  # type: ignore[union-attr]
    assert shown == kinds


def test_what_beep_adds_looks_as_the_topic_says(tmp_path: Path) -> None:
    path = tmp_path / "a.notes"
    path.write_text("U9.18 = U4.17  # answer 7\n", encoding="utf-8")
    NotesFile(path).undo()
    undone = path.read_text(encoding="utf-8").strip()
    assert f"    {undone}\n" in topic_text("notes")
    struck = "# struck by answer 8: U9.18 = U4.17"
    assert f"    {struck}\n" in topic_text("notes")
    path.write_text(f"U9.18 = U4.16  # answer 8\n{struck}\n", encoding="utf-8")
    NotesFile(path).undo()
    assert path.read_text(encoding="utf-8").endswith("\nU9.18 = U4.17\n")


# -- parts ----------------------------------------------------------------------------------------


def test_the_types_of_the_parts_topic_load_and_pass_bits_on() -> None:
    types = parse_types(blocks("parts", "["), "mine.toml")
    assert list(types) == ["CUS-14", "CUS-20", "CUS-RAM"]
    register, multiplexer, ram = types.values()
    assert {(a.source, a.target) for a in register.arcs if a.kind == "data"} == {
        ("3", "2"), ("4", "5"), ("6", "7"), ("11", "10"), ("13", "12"), ("14", "15"),
    }  # fmt: skip
    assert {a.when for a in multiplexer.arcs_into("4", "data")} == {(("1", 0),), (("1", 1),)}
    assert len(ram.arcs_into("5", "address")) == 4
    assert {p.direction for p in ram.pins if p.name.startswith("O")} == {"open_collector"}


def test_the_parts_topic_has_every_key_and_kind() -> None:
    text = topic_text("parts")
    head, _, sections = text.partition("KEYS OF A SECTION")
    keys = head.partition("KEYS OF A TYPE")[2]
    assert {k for k in _TYPE_KEYS if re.search(rf"^  {k}\b", keys, re.MULTILINE)} == set(_TYPE_KEYS)
    assert {k for k in _SECTION_KEYS if re.search(rf"^  (?:[a-z_]+ )*{k}\b", sections, re.MULTILINE)} == set(
        _SECTION_KEYS
    )
    listed = " ".join(keys.split()).split("one of these: ")[1].split(" pins the names")[0]
    assert listed.split(", ") == list(Kind)


# -- formats, colours, suspects -------------------------------------------------------------------


def test_the_formats_topic_has_every_reader_and_writer_with_what_it_loses() -> None:
    text = " ".join(topic_text("formats").split())
    for form in FORMATS:
        assert f" {form.name} {form.what}" in text
        assert all(lost in text for lost in form.loses)
    for written in NETLIST_FORMS:
        assert f" {written.name} {written.suffix} {written.what}" in text


def test_the_colours_topic_has_the_ways_of_the_map_in_their_order() -> None:
    text = topic_text("colours")
    ways = re.findall(r"^  (told|connector|name|shape) ", text, re.MULTILINE)
    assert ways == ["told", "connector", "name", "shape"]
    assert "red 12, green N, blue 13" in " ".join(text.split())


def test_the_suspects_topic_has_every_word_and_only_synonyms_that_are_taken() -> None:
    text = topic_text("suspects")
    screen, _, rest = text.partition("THE PROBE")
    screen = screen.partition("THE SCREEN")[2]
    probe, _, others = rest.partition("OTHER MEASUREMENTS")
    assert [r[0] for r in _rows(screen)] == list(words.WORDS)
    assert sorted(r[0] for r in _rows(probe)) == sorted(readings.READINGS)
    for word, synonyms in _rows(screen):
        for said_so in (word, *synonyms):
            assert [o.word for o in evidence.parse_seen("red", said_so)] == [word], said_so
    for word, synonyms in _rows(probe):
        for said_so in (word, *synonyms):
            assert evidence.parse_read("U1.1", said_so).word == word, said_so
    for group in (readings.OHMS, readings.SWAPS, readings.PRESSES):
        assert all(word in " ".join(others.split()) for word in group)
    volts = re.findall(r"Below ([\d.]+) V is low, above ([\d.]+) V high", text)
    assert volts == [(f"{evidence.LOW_VOLTS}", f"{evidence.HIGH_VOLTS}")]


def _rows(text: str) -> list[tuple[str, list[str]]]:
    """Words of a table, each with what stands behind ``also:``."""
    rows = re.findall(r"^  (\w[\w ]*?)  +(\S.*(?:\n {10,}.*)*)", text, re.MULTILINE)
    also = [re.search(r"\(also: ([^)]*)\)", " ".join(what.split())) for _, what in rows]
    return [(word, a[1].split(", ") if a else []) for (word, _), a in zip(rows, also, strict=True)]


@pytest.mark.parametrize("manner", ["when warm", "cold", "heat", "after minutes", "sprites", "background"])
def test_the_manners_of_the_suspects_topic_are_taken(manner: str) -> None:
    assert len(evidence.parse_seen("red", f"flickers {manner}")) == 2


def test_the_priors_of_the_suspects_topic_load() -> None:
    text = blocks("suspects", "[minutes]")
    assert set(tomllib.loads(text)) == {"minutes", "error"}
    assert load_priors(text, "mine.toml")("minutes", "swap") == 20.0


# -- json, exit codes, cautions -------------------------------------------------------------------

JSON_ROWS = re.findall(r"^  (\w+) --json +([\w-]+) +(\d+) +\S+$", topic_text("json"), re.MULTILINE)
GIVEN = {
    "part": "SN74LS273N",
    "palette": "wren.net --contents U9=wren.bin",
    "suspect": "wren.net --seen red=missing",
    "beep": "board.notes",
    "rehearse": "wren.net",
}


@pytest.mark.parametrize(("command", "form", "version"), JSON_ROWS)
def test_json_is_of_the_format_and_version_that_the_topic_says(
    command: str, form: str, version: str, bench: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    result = run_example(f"rgbroots {command} {GIVEN.get(command, 'wren.net')} --json", bench, monkeypatch)
    whole = json.loads(result.out)
    assert list(whole)[:2] == ["format", "version"]
    assert (whole["format"], whole["version"]) == (form, int(version))


def test_every_command_that_prints_json_is_in_the_topic() -> None:
    commands = next(a for a in build_parser()._actions if a.choices)
    assert isinstance(commands.choices, dict)
    with_json = {n for n, p in commands.choices.items() if "--json" in p._option_string_actions}
    assert with_json == {command for command, _, _ in JSON_ROWS}


def test_the_exit_topic_names_every_command() -> None:
    commands = next(a for a in build_parser()._actions if a.choices)
    assert commands.choices is not None
    open_things = topic_text("exit").partition("What is open")[2].partition("A pipe")[0]
    named = re.findall(r"^  (\w[\w ]*?)(?:  +.*)?$", open_things, re.MULTILINE)
    assert set(" ".join(named).split()) == set(commands.choices)


@pytest.mark.parametrize(
    ("line", "code"),
    [
        ("rgbroots trace wren.net", 0),
        ("rgbroots part NOSUCH", 1),
        ("rgbroots palette wren.net --contents U9=wren.bin", 0),
        ("rgbroots trace none.net", 2),
        ("rgbroots trace", 2),
        ("rgbroots check dunlin.net", 0),
        ("rgbroots beep board.notes", 1),
        ("rgbroots convert wren.net -o lost.csv", 0),
        ("rgbroots help safety", 0),
    ],
)
def test_exit_codes_are_those_of_the_topic(
    line: str, code: int, bench: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    assert run_example(line, bench, monkeypatch).code == code


def test_the_safety_topic_has_what_the_card_and_the_search_by_beeps_say() -> None:
    text = " ".join(topic_text("safety").lower().split())
    for source in ("eis 36|sheet 36", "gs38", "iec 61340-5-1", "10 to 25 kv", "isolated from the mains"):
        assert re.search(source, text)
        assert any(re.search(source, c.lower()) for c in CAUTIONS)
    for words_of_it in ("unplugged, capacitors discharged, battery out or isolated", "can be destroyed"):
        assert words_of_it in text
        assert words_of_it in CAUTION.lower()


# -- completion -----------------------------------------------------------------------------------


@pytest.mark.parametrize("shell", ["bash", "zsh", "fish", "tcsh"])
def test_a_completion_script_names_every_command_and_is_sound(
    shell: str, capsys: pytest.CaptureFixture[str], tmp_path: Path
) -> None:
    shtab = pytest.importorskip("shtab")
    if shell not in shtab.SUPPORTED_SHELLS:
        pytest.skip(f"this shtab does not know {shell}")
    script = said(capsys, "completion", shell).out
    commands = next(a for a in build_parser()._actions if a.choices)
    assert commands.choices is not None
    assert all(re.search(rf"\b{command}\b", script) for command in (*commands.choices, *TOPICS))
    assert all(form.name in script for form in FORMATS)
    program = shutil.which(shell)
    if program:
        file = tmp_path / f"script.{shell}"
        file.write_text(script, encoding="utf-8")
        done = subprocess.run([program, "-n", str(file)], capture_output=True, text=True, check=False)
        assert (done.returncode, done.stderr) == (0, "")


@pytest.mark.skipif(not shutil.which("bash"), reason="no bash")
@pytest.mark.parametrize(
    ("typed", "offered"),
    [
        ("rgbroots sus", {"suspect"}),
        ("rgbroots help sa", {"safety"}),
        ("rgbroots trace du", {"dunlin.net"}),
        ("rgbroots trace --parts mi", {"mine.toml"}),
        ("rgbroots trace --format ver", {"verilog"}),
        ("rgbroots levels --tol", {"--tolerance"}),
    ],
)
def test_bash_completes(
    typed: str, offered: set[str], capsys: pytest.CaptureFixture[str], tmp_path: Path
) -> None:
    pytest.importorskip("shtab")
    (tmp_path / "script").write_text(said(capsys, "completion", "bash").out, encoding="utf-8")
    for name in ("dunlin.net", "mine.toml"):
        (tmp_path / name).touch()
    words_typed = shlex.split(typed)
    ask = (
        f"source ./script; COMP_WORDS=({typed}); COMP_CWORD={len(words_typed) - 1}; "
        f"_shtab_rgbroots rgbroots '{words_typed[-1]}' '{words_typed[-2]}'; echo \"${{COMPREPLY[*]}}\""
    )
    done = subprocess.run(
        ["bash", "--norc", "-c", ask], cwd=tmp_path, capture_output=True, text=True, check=True
    )
    assert set(done.stdout.split()) == offered


def test_without_shtab_one_sentence_says_what_to_install(
    capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setitem(sys.modules, "shtab", None)
    result = said(capsys, "completion", "bash")
    assert (result.code, result.out) == (2, "")
    assert result.err.count("\n") == 2
    assert "not installed" in result.err
    assert "fix: pip install" in result.err


@pytest.mark.parametrize(
    "line",
    [
        "--help",
        "part 6116",
        "help notes",
        "trace --help",
        "beep --help",
        f"check {NETLISTS / 'wren' / 'wren.net'}",
    ],
)
def test_nothing_slow_is_loaded_for_help(line: str) -> None:
    ask = (
        "import sys\nfrom tracer.cli.main import main\ntry:\n    main(sys.argv[1:])\nexcept SystemExit:\n    pass\n"
        "print(*sys.modules, file=sys.stderr)"
    )
    done = subprocess.run(
        [sys.executable, "-c", ask, *line.split()], capture_output=True, text=True, check=True
    )
    loaded = set(done.stderr.split())
    assert "tracer.cli.main" in loaded
    assert not loaded & {"networkx", "lark", "skip", "shtab"}
    if "--help" in line:
        # Commands and their options are tables; nothing that a command does is loaded for them.
        assert not loaded & {command.module for command in commands.COMMANDS}
