"""The palette on the terminal: 80 columns, nothing steers it, what was asked for comes first."""

from __future__ import annotations

from dataclasses import replace

import pytest

from tests.unit.palette.palette_values import difference_of, palette_of, sought_of
from tracer.palette.text import palette_as_text


def test_every_entry_has_a_line_with_code_volts_and_colour() -> None:
    text = palette_as_text(palette_of(16))
    assert text.startswith(
        "heron: 16 entries, 16 different colours, into 75 ohm\n  U4 82S129 at 3E, 256 x 8: u4.bin (raw)\n"
    )
    assert "  0E     0  0.000V  3  0.750V  2  ?       #00ffaa\n" in text
    assert "  0: U4.5 A0: U7.2 (74x174 Q)\n" in text
    assert text.endswith("\nTO KNOW\n  ! the second sentence\n  - the first sentence\n")


@pytest.mark.parametrize("n", [1, 16, 64, 256, 4096])
@pytest.mark.parametrize("all_entries", [False, True])
def test_no_line_is_longer_than_the_terminal(n: int, all_entries: bool) -> None:
    palette = palette_of(n, "a board of a very long name " * 4, "folder/" * 20 + "u4.bin")
    palette = replace(palette, difference=difference_of(palette, *range(min(n, 70))))
    for shown in (palette, replace(palette, difference=None), replace(palette, sought=sought_of())):
        lines = palette_as_text(shown, all_entries=all_entries).splitlines()
        assert max(len(line) for line in lines if "/" not in line) <= 80


def test_many_entries_are_a_grid_and_lines_alike_are_shown_once() -> None:
    palette = palette_of(256)
    black = tuple(replace(e, rgb=(0, 0, 0)) if 64 <= e.entry < 200 else e for e in palette.entries)
    text = palette_as_text(replace(palette, entries=black))
    assert "  00  #000000 #000055 #0000aa #0000ff #005500 #005555 #0055aa #0055ff\n" in text
    assert "  40  " + " ".join(["#000000"] * 8) + "\n  48-C7: as the line above\n  C8  " in text
    assert palette_as_text(replace(palette, entries=black), all_entries=True).count("\n  ") > 256


def test_a_colour_that_was_asked_for_takes_the_place_of_the_entries() -> None:
    text = palette_as_text(replace(palette_of(64), sought=sought_of()))
    assert (
        "#ff8000: the nearest that the board can show is #ffaa00 (off by 0 in red, 42 in\n"
        "green, 0 in blue, of 255)\n"
        "  codes: red 3 (11), green 2 (10), blue 0 (00)\n"
        "  stored as: U4 --111000 (heaviest bit first; - feeds no colour)\n"
        "  no entry shows it; nearest to it: 1C-1D (#55ff00)\n"
    ) in text
    assert "ENTRY NUMBER" not in text


def test_a_comparison_names_the_leg_and_the_entries() -> None:
    palette = palette_of(64)
    text = palette_as_text(replace(palette, difference=difference_of(palette, 0x20, 0x3F)))
    assert (
        "2 of 64 entries differ from U4: u4-now.bin\n  U4.12 O1 (red 1): 2 entries, always low in the other dump\n"
        in text
    )
    assert "  3F  #ffffff 3/3/3     -> #55ffff 1/3/3\n" in text
    assert "3 words differ where no entry shows it" in text


def test_colours_come_only_where_the_terminal_has_them() -> None:
    palette = palette_of(256)
    assert "\033" not in palette_as_text(palette)
    assert "\033[48;2;0;0;85;38;2;255;255;255m#000055\033[0m" in palette_as_text(palette, coloured=True)


def test_no_name_steers_the_terminal() -> None:
    text = palette_as_text(palette_of(4, "he\033[2Jron\n", "u4\r.bin"))
    assert "\033" not in text
    assert "\r" not in text
    assert "he?[2Jron?" in text
