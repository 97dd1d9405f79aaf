"""The engine's answers are the command line's, in JSON, whatever it is asked."""

from __future__ import annotations

import io
import json
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest

from tests.boards import NETLISTS
from tracer.base.demo_boards import DEMOS, Demo
from tracer.base.errors import EmitError
from tracer.cli.main import main
from tracer.diagram import layout
from tracer.web import in_browser
from tracer.web.engine import Engine

Ask = Callable[..., Any]


@pytest.fixture
def engine(tmp_path: Path) -> Engine:
    return Engine(tmp_path / "desk")


@pytest.fixture
def ask(engine: Engine) -> Ask:
    def asked(do: str, **more: Any) -> Any:
        return json.loads(engine.answer(json.dumps({"do": do, **more})))

    return asked


@pytest.mark.parametrize("demo", DEMOS, ids=lambda demo: demo.name)
def test_maps_are_the_command_lines(
    ask: Ask, demo: Demo, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    board = ask("demo", name=demo.name)["ok"]
    map_ = ask("map", board=board)["ok"]
    monkeypatch.chdir(NETLISTS / demo.name)
    main(["trace", *demo.traced_by.split(), "--json"])
    assert map_["json"] == capsys.readouterr().out
    assert map_["is_complete"]
    assert map_["svg"].startswith("<?xml") or map_["svg"].startswith("<svg")
    assert sum(len(colour["sets"][0]["bits"]) for colour in map_["colours"]) == int(
        map_["verdict"].split()[0]
    )


def test_a_row_of_the_table_says_where_a_bit_is_stored(ask: Ask) -> None:
    board = ask("demo", name="dunlin")["ok"]
    red = ask("map", board=board)["ok"]["colours"][0]["sets"]
    assert len(red) == 1
    assert red[0]["bits"][0] == {
        "tag": "red 3", "share": "55.9%", "resistors": "R1 220R", "driver": "U13.19 8Q", "way": "U13 in 18, out 19",
        "source": "U9.17 D7", "when": "", "others": 0, "is_traced": True, "because": "",
    }  # fmt: skip


def test_page_and_card_are_the_command_lines(ask: Ask, tmp_path: Path) -> None:
    board = ask("demo", name="wren")["ok"]
    wren = str(NETLISTS / "wren" / "wren.net")
    main(["report", wren, "-o", str(tmp_path / "page.html")])
    main(["card", wren, "-o", str(tmp_path / "card.html")])
    assert ask("report", board=board)["ok"] == (tmp_path / "page.html").read_text(encoding="utf-8")
    assert ask("card", board=board)["ok"] == (tmp_path / "card.html").read_text(encoding="utf-8")


def test_dumps_are_shown_on_the_page_and_what_does_not_fit_is_said(ask: Ask) -> None:
    board = ask("demo", name="dunlin")["ok"]
    told = {**board, "contents": ["U9=u9.bin", "U10=u10.hex"]}
    assert "healthy-swatches" in ask("report", board=told)["ok"]
    error = ask("report", board={**board, "contents": ["U9=dunlin.svg"]})["error"]
    assert error["kind"] == "DumpError"


def test_without_a_layout_the_map_says_why_it_has_no_picture(
    ask: Ask, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(layout, "_programs", lambda: iter(()))
    board = ask("demo", name="wren")["ok"]
    map_ = ask("map", board=board)["ok"]
    assert map_["svg"] == ""
    assert "no Graphviz program" in map_["no_svg"]


@pytest.mark.parametrize(
    ("question", "kind", "said"),
    [
        ({"do": "map", "board": {"files": ["no.net"]}}, "NetlistError", "no.net: there is no such file"),
        ({"do": "map", "board": {}}, "UsageError", "no file is chosen"),
        ({"do": "demo", "name": "snipe"}, "UsageError", "there is no demo board called snipe"),
        ({"do": "beep", "notes": "U9 is is\n= ="}, "NetlistError", "typed.notes:2"),
        ({"do": "dance"}, "bug", "a mistake of the program"),
        ({}, "bug", "a mistake of the program"),
        ({"do": "map", "board": {"files": 7}}, "bug", "a mistake of the program"),
    ],
)
def test_whatever_goes_wrong_is_an_answer(
    engine: Engine, question: dict[str, Any], kind: str, said: str
) -> None:
    error = json.loads(engine.answer(json.dumps(question)))["error"]
    assert error["kind"] == kind
    assert error["text"].startswith(said) or said in error["text"]
    assert "\nfix: " in error["text"]


@pytest.mark.parametrize("broken", [MemoryError, RecursionError])
def test_a_board_that_is_too_much_is_said_and_the_page_is_told(
    ask: Ask, monkeypatch: pytest.MonkeyPatch, broken: type[Exception]
) -> None:
    def trace(*_: object, **__: object) -> None:
        raise broken

    monkeypatch.setattr("tracer.web.desk.trace_fully", trace)
    board = ask("demo", name="wren")["ok"]
    error = ask("map", board=board)["error"]
    assert error["kind"] == broken.__name__
    assert error["text"].startswith("it is too large for this browser\nfix: ")


def test_what_is_being_done_is_told(tmp_path: Path) -> None:
    told: list[str] = []
    engine = Engine(tmp_path / "desk", tell=told.append)
    board = json.loads(engine.answer('{"do": "demo", "name": "wren"}'))["ok"]
    engine.answer(json.dumps({"do": "map", "board": board}))
    assert told == ["reading wren.net", "tracing wren", "drawing the diagram"]


def test_before_anything_is_chosen_the_demo_boards_are_known(ask: Ask) -> None:
    start = ask("start")["ok"]
    assert [demo["name"] for demo in start["demos"]] == [demo.name for demo in DEMOS]


# -- beeping ------------------------------------------------------------------------------------------


def begun(ask: Ask) -> str:
    board = ask("demo", name="wren")["ok"]
    return str(ask("parts_as_notes", board=board)["ok"])


def test_parts_as_notes_know_no_connection(ask: Ask) -> None:
    notes = begun(ask)
    assert "U9 is 82S123 at 3E" in notes
    assert "red is J1.1" in notes
    assert not any(" = " in line or " != " in line for line in notes.splitlines())


def test_an_answer_is_noted_as_in_the_conversation_of_the_terminal(
    ask: Ask, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    notes, file = begun(ask), tmp_path / "wren.notes"
    file.write_text(notes, encoding="utf-8")
    answers = ["R2.2", "skip", "none", "none"]
    monkeypatch.setattr("sys.stdin", io.StringIO("\n".join([*answers, "quit"])))
    main(["beep", str(file), "--ask"])
    skipped: list[list[str]] = []
    for answer in answers:
        found = ask("reply", notes=notes, skipped=skipped, answer=answer)["ok"]
        notes, skipped = found["notes"], found["skipped"]
    assert notes == file.read_text(encoding="utf-8")


def test_undo_takes_the_last_answer_back_and_asks_again(ask: Ask) -> None:
    notes = begun(ask)
    first = ask("beep", notes=notes)["ok"]
    after = ask("reply", notes=notes, answer="none")["ok"]
    assert after["added"]
    assert after["next"]["advice"]["next"] != first["advice"]["next"]
    back = ask("undo", notes=after["notes"])["ok"]
    assert back["gone"]
    assert back["next"]["advice"]["next"] == first["advice"]["next"]
    assert ask("undo", notes=notes)["ok"]["gone"] == []


def test_a_leg_that_was_not_swept_is_asked_about_before_it_is_noted(ask: Ask) -> None:
    notes = begun(ask)
    found = ask("reply", notes=notes, answer="U9.16")["ok"]
    assert found == {"doubts": ["U9.16 was not among the legs to touch"]}
    assert "J1.1 = U9.16" in ask("reply", notes=notes, answer="U9.16", is_sure=True)["ok"]["notes"]


def test_the_chips_of_a_touch_are_drawn_with_all_their_legs(ask: Ask) -> None:
    notes = begun(ask)
    for _ in range(60):
        found = ask("beep", notes=notes)["ok"]
        if any(leg["part"] == "U9" for leg in found["advice"]["next"]["legs"]):
            break
        notes = ask("reply", notes=notes, answer="none")["ok"]["notes"]
    chip = next(chip for chip in found["chips"] if chip["part"] == "U9")
    assert (chip["what"], chip["place"], chip["is_dip"], len(chip["legs"])) == ("82S123", "3E", True, 16)
    assert chip["legs"][0] == ["1", "O1"]


def test_own_part_types_count_when_beeping(ask: Ask, engine: Engine) -> None:
    notes = begun(ask) + "U50 is CUS-14\nJ1.6 = U50.2\n"
    toml = b'["CUS-14"]\nwhat = "custom chip"\nkind = "register"\npins = "GND Q VCC"\narcs = []\ncite = "beeped"\n'
    engine.lay("mine.toml", toml, len(toml))
    # A mistake in the file is said, so it was read.
    assert ask("beep", notes=notes, parts=["mine.toml"])["error"]["text"].startswith("mine.toml")
    good = b'["CUS-14"]\nwhat = "custom chip"\nkind = "custom"\npins = "GND VCC"\ncite = "beeped"\n'
    engine.lay("mine.toml", good, len(good))
    assert ask("beep", notes=notes, parts=["mine.toml"])["ok"]["advice"]["next"]


def test_where_nothing_is_left_an_answer_is_refused_with_a_sentence(ask: Ask) -> None:
    notes = "U1 is 82S123\nred is J1.1\ngreen is J1.2\nblue is J1.3\n"
    assert ask("beep", notes=notes)["ok"]["advice"]["next"] is None
    assert ask("reply", notes=notes, answer="none")["error"]["text"].startswith("nothing is left to touch")


# -- in a browser --------------------------------------------------------------------------------------


def test_what_the_browser_cannot_draw_is_said(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """Errors of JavaScript are exceptions of whatever class."""
    monkeypatch.setattr(in_browser, "_DESK", tmp_path / "desk")

    def draw(_: str) -> str:
        raise ValueError("syntax error in line 1")

    engine = in_browser.start(draw, lambda _: None)
    board = json.loads(engine.answer('{"do": "demo", "name": "wren"}'))["ok"]
    map_ = json.loads(engine.answer(json.dumps({"do": "map", "board": board})))["ok"]
    assert map_["no_svg"].startswith("Graphviz could not draw it: syntax error in line 1")
    assert engine.layout is not None
    with pytest.raises(EmitError, match="a browser draws no png"):
        engine.layout("digraph {}", "png")


def test_the_browser_draws_what_graphviz_is_told(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(in_browser, "_DESK", tmp_path / "desk")
    told: list[str] = []

    def draw(source: str) -> str:
        told.append(source)
        return '<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 1 1"></svg>'

    engine = in_browser.start(draw, lambda _: None)
    board = json.loads(engine.answer('{"do": "demo", "name": "wren"}'))["ok"]
    assert "<svg" in json.loads(engine.answer(json.dumps({"do": "map", "board": board})))["ok"]["svg"]
    assert told[0].startswith("digraph rgbroots")
