"""Boards in a browser, without a network: the same maps and the same sentences as on the command line."""

from __future__ import annotations

import shutil
from pathlib import Path

import pytest

from tests.boards import NETLISTS
from tests.browser.person import Person, case_of_the_readme
from tests.browser.web.conftest import Start, choose, demo, said, saved
from tracer.base.demo_boards import DEMOS
from tracer.cli.main import main

ERRORS = Path(__file__).parents[2] / "cases" / "errors"


def on_the_command_line(
    folder: Path, *words: str, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> bytes:
    """What ``rgbroots trace WORDS --json`` prints in a folder."""
    monkeypatch.chdir(folder)
    capsys.readouterr()
    main(["trace", *words, "--json"])
    return capsys.readouterr().out.encode("utf-8")


def test_maps_of_all_demo_boards_are_those_of_the_command_line(
    start: Start, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    page = start()
    for board in DEMOS:
        demo(page, board.name)
        wanted = on_the_command_line(
            NETLISTS / board.name, *board.traced_by.split(), capsys=capsys, monkeypatch=monkeypatch
        )
        assert saved(page, "Map as JSON") == wanted, board.name
        assert page.locator("#map svg text").count() > 40


@pytest.mark.parametrize("form", ["kicad_sch", "csv", "notes"])
def test_one_board_as_drawing_table_and_notes(
    start: Start,
    form: str,
    tmp_path: Path,
    capsys: pytest.CaptureFixture[str],
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    file = tmp_path / f"dunlin.{form}"
    if form == "notes":
        main(["convert", str(NETLISTS / "dunlin" / "dunlin.net"), "-o", str(file)])
    else:
        shutil.copy(NETLISTS / "dunlin" / file.name, file)
    page = start()
    choose(page, file)
    page.wait_for_selector("#map .map")
    wanted = on_the_command_line(tmp_path, file.name, capsys=capsys, monkeypatch=monkeypatch)
    assert saved(page, "Map as JSON") == wanted
    assert page.locator("#map tbody tr").count() == 12


def test_a_file_is_dropped_anywhere_on_the_page(start: Start) -> None:
    page = start()
    page.evaluate(
        """text => {
          const data = new DataTransfer();
          data.items.add(new File([text], "wren.net"));
          document.body.dispatchEvent(new DragEvent("dragover", { dataTransfer: data, bubbles: true, cancelable: true }));
          document.body.dispatchEvent(new DragEvent("drop", { dataTransfer: data, bubbles: true, cancelable: true }));
        }""",
        (NETLISTS / "wren" / "wren.net").read_text(encoding="utf-8"),
    )
    page.wait_for_selector("#map .map")
    assert page.inner_text("#board-name").startswith("wren: 8 of 8 bits")


@pytest.mark.parametrize("way", ["folder", "files"])
def test_a_drawing_of_many_sheets(
    start: Start, way: str, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    page = start()
    plover = NETLISTS / "plover"
    if way == "folder":
        choose(page, plover, folder=True)
    else:
        choose(page, *plover.glob("*.kicad_sch"))
    page.wait_for_selector("#map .map")
    wanted = on_the_command_line(plover, "plover.kicad_sch", capsys=capsys, monkeypatch=monkeypatch)
    assert saved(page, "Map as JSON") == wanted


def test_two_boards_and_the_cable_between_them(
    start: Start, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    page = start()
    avocet = NETLISTS / "avocet"
    page.click("#more summary")
    page.fill("#joins", "A:J3=B:J1")
    choose(page, avocet / "avocet-main.net", avocet / "avocet-video.net")
    page.wait_for_selector("#map .map")
    words = ("avocet-main.net", "avocet-video.net", "--join", "A:J3=B:J1")
    assert saved(page, "Map as JSON") == on_the_command_line(
        avocet, *words, capsys=capsys, monkeypatch=monkeypatch
    )


def test_what_is_told_beside_a_drawing_is_as_on_the_command_line(
    start: Start, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    page = start()
    page.click("#more summary")
    page.fill("#pin-red", "J1.13")
    page.fill("#pin-green", "J1.N")
    page.fill("#pin-blue", "J1.12")
    page.fill("#load", "1k")
    page.fill("#markings", "U13=74LS374")
    choose(page, NETLISTS / "dunlin" / "dunlin.net")
    page.wait_for_selector("#map .map")
    words = "dunlin.net --pin red=J1.13 --pin green=J1.N --pin blue=J1.12 --load 1k --part U13=74LS374"
    assert saved(page, "Map as JSON") == on_the_command_line(
        NETLISTS / "dunlin", *words.split(), capsys=capsys, monkeypatch=monkeypatch
    )


def test_where_no_colour_pins_are_found_they_can_be_told_at_once(start: Start, tmp_path: Path) -> None:
    file = tmp_path / "bare.csv"
    file.write_text(
        "part,marking,pin,net\nU1,82S123,1,A\nR1,470,1,A\nR1,470,2,B\nJ1,,4,B\n", encoding="utf-8"
    )
    page = start(390, 844)
    choose(page, file)
    assert said(page).startswith("no red, green and blue pins were found on this board")
    for colour in ("red", "green", "blue"):
        page.fill(f"#pin-{colour}", "J1.4")
    page.tap("#trace")
    page.wait_for_selector("#map .map, #board-said .sentence")
    assert "U1.1 O1" in page.inner_text("#map")


def test_typed_notes_are_a_board(start: Start) -> None:
    page = start(390, 844)
    page.fill(
        "#notes",
        "board tiny\nU1 is 82S123 at 3B\n[R1 R3 R5] is 470\nred is J1.1\ngreen is J1.2\nblue is J1.3\n"
        "J1.[1 2 3] = [R1 R3 R5].2\nU1.[1 2 3] = [R1 R3 R5].1\n",
    )
    page.tap("#notes-trace")
    page.wait_for_selector("#map .map")
    assert page.inner_text("#board-name").startswith("tiny: 3 of 3 bits traced to a memory pin")


def test_typed_notes_add_to_a_drawing(start: Start) -> None:
    page = start()
    demo(page, "wren")
    page.click("[data-view=board]")
    page.fill("#notes", "U9 is 82S129 at 3E\n")
    page.click("#notes-trace")
    page.wait_for_selector("#map .map")
    assert "82S129" in page.inner_text("#map")
    assert "contradict" in page.inner_text("#map") or "82S123" in page.inner_text("#map ul")


def test_a_mistake_in_notes_is_said_with_its_line(start: Start) -> None:
    page = start()
    page.fill("#notes", "U9 is 82S123\nU9.1 = = R1.2\n")
    page.click("#notes-trace")
    page.wait_for_selector("#notes-said .sentence")
    assert page.inner_text("#notes-said .sentence").startswith("typed.notes:2:8: ")


def test_files_that_cannot_be_read_get_the_sentence_of_the_terminal(start: Start) -> None:
    """Malformed files of every form, with the messages that the readers' own tests hold beside them."""
    page = start()
    cases = sorted(ERRORS.rglob("*.expected"))
    assert len(cases) > 250
    differ = []
    for path in cases:
        file = path.with_name(path.name.removesuffix(".expected"))
        # A schematic is a folder.
        beside = file.parent.rglob("*") if file.stem == "board" else [file]
        laid = [
            [each.relative_to(file.parent).as_posix(), list(each.read_bytes())]
            for each in beside
            if each.is_file() and each.suffix != ".expected"
        ]
        got = page.evaluate(
            """async ([name, laid]) => {
              const { engine } = window.rgbroots;
              engine.lay({ files: laid.map(([name, bytes]) => ({ name, file: new Blob([new Uint8Array(bytes)]) })), demo: null });
              try { await engine.ask({ do: "map", board: { files: [name] } }); return "read"; } catch (error) { return error.message; }
            }""",
            [file.name, laid],
        )
        wanted = path.read_text(encoding="utf-8").rstrip("\n")
        if got != wanted:
            differ.append((file.relative_to(ERRORS).as_posix(), got, wanted))
    assert differ == []


def test_what_is_no_board_is_said_beside_its_name(start: Start, tmp_path: Path) -> None:
    page = start(390, 844)
    picture = tmp_path / "scan.png"
    picture.write_bytes(b"\x89PNG\r\n\x1a\n" + bytes(60))
    choose(page, picture)
    assert said(page) == "No board is among these files."
    assert "scan.png: this is a picture" in page.inner_text("#file-list")


def test_names_that_look_like_mark_up_are_text(start: Start, tmp_path: Path) -> None:
    file = tmp_path / "<img src=x onerror=alert(1)>.net"
    text = (NETLISTS / "wren" / "wren.net").read_text(encoding="utf-8")
    file.write_text(text.replace("U9", "<b>U9"), encoding="utf-8")
    page = start()
    choose(page, file)
    page.wait_for_selector("#map .map")
    assert "<img src=x onerror=alert(1)>" in page.inner_text("#board-name")
    assert page.locator("#map b, #file-list img").count() == 0


def test_the_case_of_the_readme_from_the_first_tap_to_the_cure(start: Start) -> None:
    page = start(390, 844)
    demo(page, "dunlin")
    page.tap("[data-view=wrong]")
    page.wait_for_selector("iframe.wrong")
    frame = page.frames[-1]
    frame.wait_for_selector("#ask-screen .grid button")
    person = Person(frame)
    case_of_the_readme(person)
    assert person.taps <= 10
    with page.expect_download() as waited:
        frame.get_by_role("button", name="Save").first.click()
    assert "read U13.14 floating" in Path(waited.value.path()).read_text(encoding="utf-8")
    page.reload()
    page.wait_for_selector("body[data-is=ready]")
    demo(page, "dunlin")
    page.tap("[data-view=wrong]")
    page.wait_for_selector("iframe.wrong")
    page.frames[-1].wait_for_selector("#ask-told")
    assert "U13.14" in page.frames[-1].inner_text("#ask-told")


def test_a_reload_goes_on_with_the_board_and_the_view(start: Start) -> None:
    page = start(390, 844)
    page.tap("#more summary")
    page.fill("#load", "1k")
    choose(page, NETLISTS / "dunlin" / "dunlin.kicad_sch")
    page.wait_for_selector("#map .map")
    map_before = saved(page, "Map as JSON")
    page.tap("[data-view=wrong]")
    page.wait_for_selector("iframe.wrong")
    page.reload()
    page.wait_for_selector("iframe.wrong")
    page.tap("[data-view=map]")
    assert saved(page, "Map as JSON") == map_before
    assert page.input_value("#load") == "1k"


def test_dumps_of_the_palette_are_shown_with_the_board(start: Start) -> None:
    page = start()
    page.click("#more summary")
    page.fill("#contents", "U9=u9.bin U10=u10.hex")
    choose(page, *(NETLISTS / "dunlin" / name for name in ("dunlin.net", "u9.bin", "u10.hex")))
    page.wait_for_selector("#map .map")
    page.click("[data-view=wrong]")
    page.wait_for_selector("iframe.wrong")
    page.frames[-1].wait_for_selector("#healthy-swatches", state="attached")


def test_the_card_is_the_command_lines(start: Start, tmp_path: Path) -> None:
    page = start()
    demo(page, "wren")
    page.click("[data-view=card]")
    page.wait_for_selector("iframe.card")
    main(["card", str(NETLISTS / "wren" / "wren.net"), "-o", str(tmp_path / "card.html")])
    assert saved(page, "Save as a file") == (tmp_path / "card.html").read_bytes()
