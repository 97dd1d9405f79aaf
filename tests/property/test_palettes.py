"""Colours lead back to their entries; one dump in three forms gives one palette; any file is read or refused."""

from __future__ import annotations

import bincopy
from hypothesis import given
from hypothesis import strategies as st

from tests.palettes import PROM, maker_of, traced
from tracer.base.errors import DumpError
from tracer.palette.dumps import parse_dump
from tracer.palette.search import find_colour
from tracer.palette.word_bits import memories_of

BOARD = traced(PROM)
SHAPE = memories_of(BOARD)["U1"]


@given(st.binary(min_size=32, max_size=32), st.integers(1, 40))
def test_raw_hex_and_s_records_of_one_dump_give_one_palette(data: bytes, per_record: int) -> None:
    image = bincopy.BinFile()
    image.add_binary(data)
    forms = (data, image.as_ihex(per_record).encode(), image.as_srec(per_record).encode())
    dumps = [parse_dump(form, SHAPE, "u1") for form in forms]
    assert [d.words for d in dumps] == [tuple(data)] * 3
    palettes = [maker_of(BOARD, {"U1": d.words}).palette() for d in dumps]
    assert palettes[0] == palettes[1] == palettes[2]


@given(st.lists(st.integers(0, 255), min_size=32, max_size=32))
def test_each_colour_leads_back_to_its_entry(words: list[int]) -> None:
    maker = maker_of(BOARD, {"U1": words})
    entries = maker.palette().entries
    for entry in entries:
        found = find_colour(maker, entry.rgb, entries)
        assert found.is_exact
        assert entry.entry in found.entries
        assert all(entries[e].rgb == entry.rgb for e in found.entries)
        # The word that it names, stored everywhere, shows the colour everywhere.
        word = int(dict(found.words)["U1"].replace("-", "0"), 2)
        assert {e.rgb for e in maker.entries({"U1": [word] * 32})} == {entry.rgb}


@given(st.tuples(*[st.integers(0, 255)] * 3))
def test_the_nearest_is_the_nearest_of_all_codes(asked: tuple[int, int, int]) -> None:
    maker = maker_of(BOARD, {"U1": range(32)})
    every = {
        maker.rgb({"red": r, "green": g, "blue": b}) for r in range(4) for g in range(4) for b in range(2)
    }
    found = find_colour(maker, asked, ())
    far = {rgb: sum((x - y) ** 2 for x, y in zip(rgb, asked, strict=True)) for rgb in every}
    # Shades are compared before they are rounded to whole figures.
    assert far[found.shown] <= min(far.values()) + 3 * 255


@given(
    st.binary(max_size=200)
    | st.text(st.sampled_from(":S0123456789ABCDEFabcdef \r\n"), max_size=200).map(str.encode)
)
def test_any_file_is_read_or_refused(data: bytes) -> None:
    for file in ("u1.bin", "u1.hex"):
        refusal = None
        try:
            dump = parse_dump(data, SHAPE, file)
        except DumpError as error:
            refusal = error
        else:
            assert len(dump.words) == 32
        assert refusal is None or (refusal.what and refusal.fix)
