"""Files on a desk: which of them are the board, and what becomes of names and sizes that are none."""

from __future__ import annotations

from pathlib import Path

import pytest

from tests.boards import NETLISTS
from tracer.base.errors import NetlistError, UsageError
from tracer.web.desk import LARGEST_FILE, Board, Chosen, Desk

ROOT = "(kicad_sch (version 20230121))"


@pytest.fixture
def desk(tmp_path: Path) -> Desk:
    made = Desk(tmp_path / "desk")
    made.clear()
    return made


def lay(desk: Desk, **files: str) -> None:
    """Lay texts; two underscores stand for a folder, one before the ending for its dot."""
    for name, text in files.items():
        path = name.replace("__", "/")
        stem, _, ending = path.rpartition("_")
        data = text.encode("utf-8")
        desk.lay(
            f"{stem}.{ending}" if ending != "sch" else f"{stem.removesuffix('_kicad')}.kicad_sch",
            data,
            len(data),
        )


def uses(chosen: tuple[Chosen, ...]) -> dict[str, tuple[str, bool]]:
    return {c.file: (c.use, c.is_taken) for c in chosen}


def lay_folder(desk: Desk, folder: Path, *, flat: bool = False) -> None:
    for file in sorted(path for path in folder.rglob("*") if path.is_file()):
        data = file.read_bytes()
        desk.lay(file.name if flat else file.relative_to(folder).as_posix(), data, len(data))


def test_of_a_folder_the_drawing_is_taken_and_its_sheets_belong_to_it(desk: Desk) -> None:
    lay_folder(desk, NETLISTS / "plover")
    found = uses(desk.look(is_folder=True))
    assert [name for name, (_, is_taken) in found.items() if is_taken] == ["plover.kicad_sch"]
    assert {name for name, (use, _) in found.items() if use == "sheet"} == {
        f"{name}.kicad_sch" for name in ("cpu", "latches", "output", "palette", "picture", "timing")
    }
    assert found["plover.net"] == ("board", False)
    assert found["plover.map.json"] == ("other", False)


def test_files_that_were_chosen_one_by_one_are_all_taken(desk: Desk) -> None:
    for name in ("dunlin.net", "bench.notes"):
        data = (NETLISTS / "dunlin" / name).read_bytes()
        desk.lay(name, data, len(data))
    looked = desk.look(is_folder=False)
    assert uses(looked) == {"dunlin.net": ("board", True), "bench.notes": ("board", True)}
    assert [c.file for c in looked if c.is_notes] == ["bench.notes"]


def test_of_several_drawings_that_of_the_project_comes_first_then_the_one_with_most_sheets(
    desk: Desk,
) -> None:
    lay(desk, a_kicad_sch=ROOT, b_kicad_sch=f'{ROOT} "c.kicad_sch"', c_kicad_sch=ROOT)
    assert [c.file for c in desk.look(is_folder=True) if c.is_taken] == ["b.kicad_sch"]
    lay(desk, a_pro="{}")
    assert [c.file for c in desk.look(is_folder=True) if c.is_taken] == ["a.kicad_sch"]


def test_sheets_in_a_folder_are_found_where_only_files_could_be_chosen(desk: Desk) -> None:
    """As on a tablet, whose browser gives no folders."""
    lay(desk, top_kicad_sch=f'{ROOT} "sheets/video.kicad_sch"', video_kicad_sch=ROOT)
    assert uses(desk.look(is_folder=False)) == {
        "top.kicad_sch": ("board", True),
        "video.kicad_sch": ("sheet", False),
    }
    assert (desk.folder / "sheets" / "video.kicad_sch").read_text(encoding="utf-8") == ROOT


def test_a_sheet_is_never_put_outside_of_the_desk(desk: Desk, tmp_path: Path) -> None:
    lay(desk, top_kicad_sch=f'{ROOT} "../video.kicad_sch"', video_kicad_sch=ROOT)
    desk.look(is_folder=False)
    assert not (tmp_path / "video.kicad_sch").exists()


def test_two_drawings_that_name_each_other_are_both_boards(desk: Desk) -> None:
    lay(desk, a_kicad_sch=f'{ROOT} "b.kicad_sch"', b_kicad_sch=f'{ROOT} "a.kicad_sch"')
    assert uses(desk.look(is_folder=False)) == {
        "a.kicad_sch": ("board", True),
        "b.kicad_sch": ("board", True),
    }


@pytest.mark.parametrize(
    ("name", "laid"),
    [
        ("../../x.net", "x.net"),
        ("/etc/x.net", "etc/x.net"),
        ("a\\b\\x.net", "a/b/x.net"),
        ("..", "file"),
        ("", "file"),
        ("a\0b.net", "ab.net"),
        ("./a/./x.net", "a/x.net"),
    ],
)
def test_names_lead_nowhere_else(desk: Desk, tmp_path: Path, name: str, laid: str) -> None:
    desk.lay(name, b"part,pin,net\n", 13)
    assert [
        path.relative_to(desk.folder).as_posix() for path in desk.folder.rglob("*") if path.is_file()
    ] == [laid]
    assert [path.name for path in tmp_path.iterdir()] == ["desk"]


@pytest.mark.parametrize(("content", "size"), [(None, LARGEST_FILE + 1), (b"x", LARGEST_FILE + 1)])
def test_a_file_that_is_too_large_says_so_when_it_is_looked_at_and_when_it_is_read(
    desk: Desk, content: bytes | None, size: int
) -> None:
    desk.lay("huge.net", content, size)
    (chosen,) = desk.look(is_folder=False)
    assert (chosen.use, chosen.is_taken) == ("other", False)
    assert chosen.said.startswith("huge.net: it holds 40 MB; in a browser up to 40 MB are read")
    with pytest.raises(NetlistError, match="it holds 40 MB"):
        desk.read(Board(("huge.net",)))


def test_a_name_that_no_file_can_have_is_said(desk: Desk) -> None:
    desk.lay("x" * 300 + ".net", b"(export)", 8)
    (chosen,) = desk.look(is_folder=False)
    assert "cannot keep it" in chosen.said
    assert "give it a shorter name" in chosen.said


def test_typed_notes_are_a_board_or_add_to_one(desk: Desk) -> None:
    notes = "U9 is 82S123 at 3E\nU9.1 = R1.1\n"
    assert [p.reference for p in desk.read(Board(notes=notes)).parts] == ["R1", "U9"]
    lay(desk, b_csv="part,pin,net\nU1,1,A\nR1,1,A\n")
    assert {p.reference for p in desk.read(Board(("b.csv",), notes=notes)).parts} == {"R1", "U1", "U9"}
    # Notes that were taken away again are gone.
    assert {p.reference for p in desk.read(Board(("b.csv",))).parts} == {"R1", "U1"}


def test_nothing_chosen_and_a_load_that_is_none_are_said(desk: Desk) -> None:
    with pytest.raises(UsageError, match="no file is chosen"):
        desk.trace(Board())
    lay(desk, b_csv="part,pin,net\nU1,1,A\n")
    with pytest.raises(UsageError, match="heavy is no load"):
        desk.trace(Board(("b.csv",), load="heavy"))


def test_what_was_traced_is_kept_until_the_desk_changes(desk: Desk) -> None:
    lay_folder(desk, NETLISTS / "wren")
    board = Board(("wren.net",))
    traced = desk.trace(board)
    assert desk.trace(board) is traced
    desk.lay("more.csv", b"part,pin,net\n", 13)
    assert desk.trace(board) is not traced


def test_own_part_types_count(desk: Desk) -> None:
    toml = '["CUS-14"]\nwhat = "custom chip"\nkind = "custom"\npins = "GND VCC"\ncite = "beeped"\n'
    lay(desk, mine_toml=toml)
    (chosen,) = desk.look(is_folder=True)
    assert (chosen.use, chosen.is_taken) == ("parts", True)
    found = desk.library(Board(parts=("mine.toml",))).find("CUS-14")
    assert found is not None
    assert found.what == "custom chip"
