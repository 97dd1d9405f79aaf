"""Entries follow from the words as the board is wired, or the palette is refused with the reason."""

from __future__ import annotations

from dataclasses import replace

import pytest

from tests.boards import NETLISTS, board
from tests.palettes import PROM, WAYS, levels_of, maker_of, traced
from tracer.base.errors import PaletteError, UsageError
from tracer.importers import read_netlist
from tracer.levels.values import LevelTable
from tracer.netlist.join import join_boards, parse_join
from tracer.palette.compare import compare_contents
from tracer.palette.dumps import Dump
from tracer.palette.entry_index import used_words
from tracer.palette.make import PaletteMaker, make_palette
from tracer.palette.search import find_colour, parse_colour
from tracer.palette.values import Palette
from tracer.palette.word_bits import match_parts, memories_of
from tracer.tracing.pipeline import Traced, trace_fully

BOARD = traced()
WORDS = tuple((3 * i + 1) % 256 for i in range(32))


def codes_of(palette: Palette) -> list[tuple[int, ...]]:
    return [e.codes for e in palette.entries]


def finding_texts(palette: Palette, code: str) -> list[str]:
    return [f.text for f in palette.findings if f.code == code]


def test_each_entry_reads_its_word_and_each_bit_its_leg() -> None:
    palette = maker_of(BOARD, {"U1": WORDS}).palette()
    assert [c.name for c in palette.colours] == ["red", "green", "blue"]
    assert len(palette.entries) == 16  # A4 is tied low
    for entry in palette.entries:
        word = WORDS[entry.entry]
        # O1 over 220 ohm is the heavier bit of red, O2 over 470 the lighter; and so on.
        red = 2 * (word & 1) + (word >> 1 & 1)
        green = 2 * (word >> 2 & 1) + (word >> 3 & 1)
        assert entry.codes == (red, green, word >> 4 & 1)


def test_an_address_line_tied_high_reads_the_upper_words() -> None:
    high = PROM.replace("VCC: U1.16 U2.16", "VCC: U1.16 U2.16 U1.14").replace(
        "U2.8 U1.14 U1.15", "U2.8 U1.15"
    )
    below = maker_of(BOARD, {"U1": WORDS}).palette()
    above = maker_of(traced(high), {"U1": WORDS[16:] + WORDS[:16]}).palette()
    assert codes_of(above) == codes_of(below)


def test_volts_and_colour_follow_the_levels() -> None:
    palette = maker_of(BOARD, {"U1": range(32)}).palette()
    total = 1 / 220 + 1 / 470 + 1 / 75
    entry = palette.entries[1]  # O1 alone
    assert entry.volts[0] == pytest.approx(5 / 220 / total)
    full = 1 / 220 + 1 / 470
    assert entry.rgb == (round(255 / 220 / full), 0, 0)
    assert palette.entries[3].colour == "#ff0000"


def test_the_darkest_level_is_black_and_the_brightest_full_whatever_the_volts() -> None:
    levels = levels_of(BOARD)
    lifted = LevelTable(
        "board",
        tuple(
            replace(
                c,
                loads=tuple(
                    replace(x, codes=tuple(replace(k, volts=0.4 + k.volts / 3) for k in x.codes))
                    for x in c.loads
                ),
            )
            for c in levels.colours
        ),
    )
    contents = {"U1": Dump(tuple(range(32)))}
    ours, theirs = make_palette(BOARD, contents, levels), make_palette(BOARD, contents, lifted)
    assert [e.rgb for e in ours.entries] == [e.rgb for e in theirs.entries]
    assert theirs.entries[0].volts[0] == pytest.approx(0.4)


def test_a_stage_that_falls_with_the_code_has_code_0_as_its_brightest() -> None:
    levels = levels_of(BOARD)
    falling = LevelTable(
        "board",
        tuple(
            replace(
                c,
                loads=tuple(
                    replace(x, codes=tuple(replace(k, volts=4 - k.volts) for k in x.codes)) for x in c.loads
                ),
            )
            for c in levels.colours
        ),
    )
    palette = make_palette(BOARD, {"U1": Dump((0, 31) * 16)}, falling)
    assert [e.colour for e in palette.entries[:2]] == ["#ffffff", "#000000"]


INVERTED = PROM.replace(WAYS, "").replace("part R1 220", "part U3 74LS240\npart R1 220") + """
VCC: U3.20
GND: U3.10 U3.1 U3.19
U1.[1 2 3 4 5] = U3.[2 4 6 8 11]
U3.18 R1.1
U3.16 R2.1
U3.14 R3.1
U3.12 R4.1
U3.9 R5.1
"""  # fmt: skip


def test_an_inverting_buffer_turns_the_stored_bits_over() -> None:
    inverted = traced(INVERTED)
    plain = maker_of(BOARD, {"U1": WORDS}).palette()
    turned = maker_of(inverted, {"U1": [w ^ 0xFF for w in WORDS]}).palette()
    assert codes_of(plain) == codes_of(turned)
    assert maker_of(inverted, {"U1": [0] * 32}).palette().entries[0].colour == "#ffffff"


TWO = """
part J1 socket 1=RED 2=GREEN 3=BLUE
part U1 82S129
part U4 82S123
part U2 74LS174
part R1 470
part R2 470
part R3 470
VCC: U1.16 U2.16 U4.16
GND: U1.8 U2.8 U4.8 U4.15 U1.13 U1.14 U1.[]
U1.12 R1.1
U1.11 R2.1
U4.1 R3.1
RED: J1.1 R1.2
GREEN: J1.2 R2.2
BLUE: J1.3 R3.2
"""
#: Address legs A0-A7 of the 82S129.
A_LEGS = ("5", "6", "7", "4", "3", "2", "1", "15")


def two_memories(wires: str) -> Traced:
    return traced(TWO.replace(" U1.[]", "") + wires)


def test_lines_of_two_memories_on_one_net_are_one_bit_and_further_lines_come_above() -> None:
    tied = " ".join(f"U1.{leg}" for leg in A_LEGS[2:])
    found = two_memories(
        f"""
GND: {tied} U4.13 U4.14
IDX0: U2.2 U1.5 U4.11
IDX1: U2.5 U1.6 U4.10
BANK: U2.7 U4.12
"""
    )
    words4 = [0, 0, 1, 0, 0, 1, 0, 0] + [0] * 24
    palette = maker_of(found, {"U1": [w % 4 for w in range(256)], "U4": words4}).palette()
    assert [b.legs for b in palette.index] == [
        ("U1.5 A0", "U4.11 A1"),
        ("U1.6 A1", "U4.10 A0"),
        ("U4.12 A2",),
    ]
    assert len(palette.entries) == 8
    # Entry 1 has IDX0 high: word 1 of U1, word 2 of U4; entry 6 has IDX1 and BANK high: word 2, word 5.
    assert palette.entries[1].codes == (1, 0, 1)
    assert palette.entries[6].codes == (0, 1, 1)
    assert [e.entry for e in palette.entries if e.codes[2]] == [1, 6]


def test_lines_behind_a_damping_resistor_or_an_inverter_hang_together() -> None:
    tied = " ".join(f"U1.{leg}" for leg in A_LEGS[2:])
    found = two_memories(
        f"""
part U5 74LS04
part R9 33
GND: {tied} U4.12 U4.13 U4.14 U5.7
VCC: U5.14
IDX0: U2.2 U1.5 R9.1
R9.2 U4.10
IDX1: U2.5 U1.6 U5.1
U5.2 U4.11
"""
    )
    palette = maker_of(found, {"U1": [w % 4 for w in range(256)], "U4": [0, 1, 0, 0] + [0] * 28}).palette()
    assert len(palette.index) == 2
    # Word 1 of U4: A0 high and A1, turned over, low: entry 3.
    assert [e.entry for e in palette.entries if e.codes[2]] == [3]


def test_the_entry_number_counts_at_the_first_memory_where_that_is_the_one_behind_an_inverter() -> None:
    tied = " ".join(f"U1.{leg}" for leg in A_LEGS[1:])
    found = two_memories(
        f"""
part U5 74LS04
GND: {tied} U4.11 U4.12 U4.13 U4.14 U5.7
VCC: U5.14
IDX0: U2.2 U5.1 U4.10
U5.2 U1.5
"""
    )
    palette = maker_of(found, {"U1": [0, 1] + [0] * 254, "U4": [0, 1] + [0] * 30}).palette()
    # Entry 1 has A0 of U1 high, and so A0 of U4 low.
    assert codes_of(palette) == [(0, 0, 1), (1, 0, 0)]


def test_a_line_that_is_not_drawn_is_said() -> None:
    loose = traced(PROM.replace("IDX3: U1.13 U2.10", ""))
    palette = maker_of(loose, {"U1": WORDS}).palette()
    assert len(palette.entries) == 16
    assert finding_texts(palette, "loose-address") == [
        "what sets U1.13 A3 is not drawn; each was taken as a line of its own, so that there may be more entries here than "
        "on the board"
    ]


def test_missing_contents_are_all_named_at_once() -> None:
    dunlin = trace_fully(read_netlist(NETLISTS / "dunlin" / "dunlin.net"))
    with pytest.raises(UsageError) as caught:
        PaletteMaker(dunlin, levels_of(dunlin), {})
    assert str(caught.value) == (
        "the contents of U9 (6116, 2048 x 8), U10 (6116, 2048 x 8) are not given\n"
        "fix: add --contents U9=FILE --contents U10=FILE"
    )


def test_a_bit_that_no_memory_stores_refuses_the_palette() -> None:
    logic = PROM.replace(WAYS, WAYS.replace("U1.1 R1.1", "U2.12 R1.1"))
    with pytest.raises(PaletteError, match=r"^red 1: ") as caught:
        maker_of(traced(logic), {"U1": WORDS})
    assert caught.value.fix is not None


def test_a_word_that_comes_bit_by_bit_refuses_the_palette() -> None:
    serial = """
part J1 socket 1=RED 2=GREEN 3=BLUE
part U1 2732
part U3 74LS166
part R1 470
VCC: U1.24 U3.16
GND: U1.12 U3.8 U1.18 U1.20 U3.6 U3.1
U1.[9 10 11 13 14 15 16 17] = U3.[2 3 4 5 10 11 12 14]
U3.13 R1.1
RED: J1.1 R1.2
"""
    netlist = board(serial)
    found = trace_fully(netlist, pins={"red": "J1.1"})
    with pytest.raises(
        PaletteError, match=r"red 0: a shift register brings the bits of a word of U1 one after another"
    ):
        PaletteMaker(found, LevelTable("board", ()), {"U1": Dump((0,) * 4096)})


def test_volts_that_are_not_known_leave_the_shades_to_the_weights() -> None:
    contents = {"U1": Dump(WORDS)}
    known = make_palette(BOARD, contents, levels_of(BOARD))
    unknown = make_palette(BOARD, contents, LevelTable("board", ()))
    assert [e.rgb for e in unknown.entries] == [e.rgb for e in known.entries]
    assert unknown.entries[0].volts == (None, None, None)
    assert len(finding_texts(unknown, "shades-by-weight")) == 3


def test_a_colour_without_bits_is_dark_and_this_is_said() -> None:
    red = traced(
        PROM.replace("GREEN: J1.2 R3.2 R4.2\n", "").replace("BLUE: J1.3 R5.2\n", "GREEN: J1.2\nBLUE: J1.3\n")
    )
    palette = maker_of(red, {"U1": [1] * 32}).palette()
    assert palette.entries[0].rgb[1:] == (0, 0)
    assert finding_texts(palette, "colour-left-out") == [
        "no bits of green, blue were found; it is shown dark"
    ]


def test_a_ram_that_turns_over_what_is_written_is_said() -> None:
    ram = PROM.replace("82S123", "74S189").replace(WAYS, "U1.5 R1.1\nU1.7 R2.1\nU1.9 R3.1\nU1.11 R4.1")
    ram = (
        ram.replace("part R5 330\n", "")
        .replace("BLUE: J1.3 R5.2", "BLUE: J1.3")
        .replace("U2.8 U1.14 U1.15", "U2.8 U1.2")
    )
    ram = (
        ram.replace("IDX0: U1.10", "IDX0: U1.1")
        .replace("IDX1: U1.11", "IDX1: U1.15")
        .replace("IDX2: U1.12", "IDX2: U1.14")
    )
    palette = maker_of(traced(ram), {"U1": [15] * 16}).palette()
    assert palette.entries[0].codes == (3, 3)
    assert finding_texts(palette, "inverted-outputs") == [
        "U1 (74x189) turns over what is written to it; its dump was taken as read at its outputs"
    ]


# -- banks ------------------------------------------------------------------------------------------


def avocet() -> Traced:
    halves = {n: read_netlist(NETLISTS / "avocet" / f"avocet-{n}.net") for n in ("main", "video")}
    return trace_fully(join_boards(halves, [parse_join("main:J3=video:J1")]))


def test_contents_choose_the_bank() -> None:
    found = avocet()
    low = {f"main:U{n}": [(i + n) % 16 for i in range(256)] for n in (16, 17, 18)}
    high = {f"main:U{n}": [(i + n) % 16 for i in range(256)] for n in (19, 20, 21)}
    first, second = maker_of(found, low).palette(), maker_of(found, high).palette()
    both = maker_of(found, {**high, **low}).palette()
    assert codes_of(first)[0] == (0, 1, 2)
    assert codes_of(second)[0] == (3, 4, 5)
    assert codes_of(both) == codes_of(first)
    for palette, part in ((first, "main:U19"), (second, "main:U16")):
        (text,) = finding_texts(palette, "other-bank")
        assert f"red 3 2 1 0 from {part};" in text
        assert not finding_texts(palette, "mixed-banks")


def test_contents_of_both_banks_mixed_are_said() -> None:
    words = [0] * 256
    palette = maker_of(avocet(), {"main:U16": words, "main:U20": words, "main:U18": words}).palette()
    (text,) = finding_texts(palette, "mixed-banks")
    assert text == (
        "main:U16 shows when main:/BANKSEL is low and main:U20 when it is high, so their contents are never seen together"
    )


def test_memories_may_be_called_without_their_board_and_in_any_case() -> None:
    shapes = memories_of(avocet())
    assert match_parts(["u16", "main:U17"], shapes, "--contents") == {
        "u16": "main:U16",
        "main:U17": "main:U17",
    }
    with pytest.raises(
        UsageError, match=r"--contents U99: no bit of a colour is stored in U99\nfix: .*main:U16 \(82S129"
    ):
        match_parts(["U99"], shapes, "--contents")
    with pytest.raises(UsageError, match="names main:U16 twice"):
        match_parts(["u16", "U16"], shapes, "--contents")


def test_words_that_tied_lines_leave() -> None:
    shape = memories_of(BOARD)["U1"]
    assert used_words(BOARD.circuit, shape) == (0, 16)
    free = traced(PROM.replace(" U1.14 U1.15", " U1.15") + "IDX4: U1.14 U2.12\n")
    assert used_words(free.circuit, shape) is None


# -- from a colour to codes -------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("text", "rgb"), [("#ff8000", (255, 128, 0)), ("F80", (255, 136, 0)), (" 0a0B0c ", (10, 11, 12))]
)
def test_colours_are_written_as_in_css(text: str, rgb: tuple[int, int, int]) -> None:
    assert parse_colour(text) == rgb


@pytest.mark.parametrize("text", ["", "#", "ff80", "#gg0000", "orange", "#ff80001"])
def test_what_is_no_colour_is_refused(text: str) -> None:
    with pytest.raises(UsageError, match="is no colour"):
        parse_colour(text)


def test_the_nearest_code_is_found_with_its_word_and_its_entries() -> None:
    maker = maker_of(BOARD, {"U1": [0b00000, 0b00111, 0b10000, 0b00111] + [0] * 28})
    entries = maker.palette().entries
    exact = find_colour(maker, entries[1].rgb, entries)
    assert exact.is_exact
    assert (exact.codes, exact.entries) == ((3, 2, 0), (1, 3))
    assert exact.words == (("U1", "---00111"),)
    near = find_colour(maker, (250, 170, 3), entries)
    assert near.shown == entries[1].rgb == (255, 174, 0)
    assert near.off_by == (5, 4, 3)
    assert near.entries == (1, 3)


def test_where_no_entry_shows_it_the_nearest_entries_are_named() -> None:
    maker = maker_of(BOARD, {"U1": [0, 0b00011] + [0] * 30})
    entries = maker.palette().entries
    found = find_colour(maker, (255, 0, 255), entries)
    assert (found.shown, found.entries) == ((255, 0, 255), ())
    assert (found.nearest, found.nearest_shown) == ((1,), (255, 0, 0))


SHARED = PROM.replace(WAYS, "U1.1 R1.1\nU1.2 R2.1\nU1.4 R4.1\nU1.3 R3.1 R5.1")


def test_colours_that_share_a_bit_agree_on_it() -> None:
    """Green's heavy bit and blue are one leg: the nearest of all codes that the board has, by trying each."""
    shared = traced(SHARED)
    maker = maker_of(shared, {"U1": list(range(32))})
    entries = maker.palette().entries
    shown = {e.rgb for e in entries}
    assert len(shown) == 16
    for asked in ((0, 255, 0), (255, 0, 255), (9, 99, 199), (0, 255, 255), (100, 150, 60)):
        best = min(sum((a - b) ** 2 for a, b in zip(rgb, asked, strict=True)) for rgb in shown)
        found = find_colour(maker, asked, entries)
        assert sum((a - b) ** 2 for a, b in zip(found.shown, asked, strict=True)) == best
        assert found.entries


# -- two dumps --------------------------------------------------------------------------------------


def test_a_stuck_leg_shows_in_the_difference() -> None:
    maker = maker_of(BOARD, {"U1": WORDS})
    entries = maker.palette().entries
    stuck = Dump(tuple(w & ~0b100 for w in WORDS), "u1-now.bin")
    found = compare_contents(maker, entries, {"U1": stuck})
    n = sum(w >> 2 & 1 for w in WORDS[:16])
    assert len(found.pairs) == n
    (leg,) = found.legs
    assert (leg.part, leg.pin, leg.name, leg.feeds) == ("U1", "3", "O3", (("green", 1),))
    assert (leg.n_entries, leg.level) == (n, 0)
    assert all(a.codes[1] - b.codes[1] == 2 for a, b in found.pairs)
    # The words above 16 differ too, but no entry reads them.
    assert found.n_unseen_words == sum(w >> 2 & 1 for w in WORDS[16:])


def test_a_bit_that_feeds_no_colour_is_no_difference_of_entries() -> None:
    maker = maker_of(BOARD, {"U1": WORDS})
    other = Dump(tuple(w ^ 0x80 for w in WORDS))
    found = compare_contents(maker, maker.palette().entries, {"U1": other})
    assert (found.pairs, found.legs, found.n_unseen_words) == ((), (), 32)
