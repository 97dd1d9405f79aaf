"""Dumps are read as they are, or refused with both sizes, the line or the address."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import bincopy
import pytest

from tracer.base.errors import DumpError
from tracer.palette.dumps import Dump, parse_dump, read_dump
from tracer.parts.library import load_library
from tracer.parts.memory_shape import MemoryShape, shape_of


def shape(marking: str, pin: str) -> MemoryShape:
    known = load_library().find(marking)
    assert known is not None
    found = shape_of("U4", known, [pin])
    assert found is not None
    return found


PROM8 = shape("82S123", "1")
PROM4 = shape("82S129", "12")
EPROM16 = shape("271024", "19")
BYTES = bytes((7 * i) % 256 for i in range(32))


def as_ihex(data: bytes, at: int = 0) -> bytes:
    image = bincopy.BinFile()
    image.add_binary(data, at)
    return bytes(image.as_ihex(16), "ascii")


def as_srec(data: bytes, at: int = 0) -> bytes:
    image = bincopy.BinFile()
    image.add_binary(data, at)
    return bytes(image.as_srec(16, 16), "ascii")


def codes(dump: Dump) -> list[str]:
    return [f.code for f in dump.findings]


def refused(data: bytes, part: MemoryShape = PROM8, file: str = "dump.bin") -> DumpError:
    with pytest.raises(DumpError) as caught:
        parse_dump(data, part, file)
    return caught.value


@pytest.mark.parametrize(
    ("form", "data"), [("raw", BYTES), ("Intel HEX", as_ihex(BYTES)), ("S-records", as_srec(BYTES))]
)
@pytest.mark.parametrize("suffix", [".bin", ".dump"])
def test_the_form_is_told_by_what_the_file_holds(form: str, data: bytes, suffix: str) -> None:
    dump = parse_dump(data, PROM8, f"u4{suffix}")
    assert dump.words == tuple(BYTES)
    assert (dump.form, dump.findings) == (form, ())


@pytest.mark.parametrize(
    "change", [bytes.lower, lambda b: b.replace(b"\n", b"\r\n"), lambda b: b"\n" + b + b"\x1a"]
)
def test_case_line_ends_and_an_end_of_file_mark_do_not_matter(change: object) -> None:
    assert callable(change)
    assert parse_dump(change(as_ihex(BYTES)), PROM8).words == tuple(BYTES)


def test_a_size_that_does_not_fit_is_refused_with_both_sizes() -> None:
    assert str(refused(BYTES[:20])) == (
        "dump.bin: it holds 20 bytes, U4 (82S123, 32 x 8) takes 32\n"
        "fix: check that it is the whole dump of U4; if that is another type, tell it with --part U4=TYPE"
    )
    assert refused(as_ihex(BYTES[:20])).what == "it holds 20 bytes (0000-0013), U4 (82S123, 32 x 8) takes 32"


@pytest.mark.parametrize(
    ("data", "part", "fix"),
    [
        (b"", PROM8, "the file is empty; dump it again"),
        (
            BYTES * 4,
            PROM8,
            "it is the same 32 bytes 4 times, as a reader set to a larger chip makes it; keep the first",
        ),
        (bytes(range(64)), PROM8, "cut out the 32 bytes of U4, or tell a larger type with --part U4=TYPE"),
        (
            bytes(128),
            PROM4,
            "it seems to hold 2 words a byte, in an order that cannot be seen; save it with one word a byte, in the low bits",
        ),
        (
            bytes(65536),
            EPROM16,
            "it seems to hold one half of each word; give a dump of whole words, low byte first",
        ),
        (b"00 1F 3A\n" * 9, PROM8, "it looks like text; save the dump raw, as Intel HEX or as S-records"),
        (
            bytes(range(200, 216)),
            replace(PROM8, used=(16, 16)),
            "the board reads words 10-1F alone: if these are they, fill the file up to 32 bytes with 0 around them",
        ),
    ],
)
def test_a_refused_size_says_what_to_do(data: bytes, part: MemoryShape, fix: str) -> None:
    assert refused(data, part).fix == fix


def test_a_word_of_four_bits_stands_in_the_low_half() -> None:
    low = bytes(i % 16 for i in range(256))
    for upper in (0x00, 0xF0):
        dump = parse_dump(bytes(b | upper for b in low), PROM4)
        assert dump.words == tuple(low)
        assert not dump.findings


def test_an_upper_half_that_repeats_the_lower_says_nothing() -> None:
    dump = parse_dump(bytes(17 * (i % 16) for i in range(256)), PROM4)
    assert dump.words == tuple(i % 16 for i in range(256))
    assert not dump.findings


def test_words_in_the_upper_half_are_refused() -> None:
    error = refused(bytes(16 * (i % 16) | 15 for i in range(256)), PROM4)
    assert error.what == "its words seem to stand in the upper bits: the low 4 bits are the same in all bytes"


def test_bits_that_the_part_lacks_and_that_change_are_said() -> None:
    dump = parse_dump(bytes((5 * i) % 256 for i in range(256)), PROM4)
    assert codes(dump) == ["dump-unused-bits"]
    assert "the bits above them change (address 4)" in dump.findings[0].text


def test_a_word_of_sixteen_bits_has_its_low_byte_first_and_this_is_said() -> None:
    data = bytes([0x34, 0x12]) + bytes(131070)
    dump = parse_dump(data, EPROM16)
    assert dump.words[0] == 0x1234
    assert codes(dump) == ["dump-bytes"]


def test_text_that_happens_to_fit_is_said() -> None:
    assert codes(parse_dump(b"0123456789abcdef" * 2, PROM8)) == ["dump-text"]


# -- records ----------------------------------------------------------------------------------------


def test_a_gap_is_an_error_that_names_the_address() -> None:
    lines = as_ihex(BYTES).split(b"\n")
    error = refused(b"\n".join([lines[0], *lines[2:]]))
    assert error.what == "it holds 16 bytes (0000-000F), U4 (82S123, 32 x 8) takes 32"
    image = bincopy.BinFile()
    image.add_binary(BYTES[:8], 0)
    image.add_binary(BYTES[16:20], 16)
    image.add_binary(BYTES[21:], 21)
    error = refused(bytes(image.as_srec(), "ascii"), file="u4.s19")
    assert str(error) == (
        "u4.s19: no bytes for addresses 0008-000F (the first of 2 gaps); it holds 23 bytes, U4 (82S123, 32 x 8) takes 32\n"
        "fix: save the whole range, with the bytes of a blank chip (often FF) where nothing was stored"
    )


def test_what_is_missing_at_the_start_is_a_gap_too() -> None:
    assert refused(as_ihex(BYTES[4:], 4)).what.startswith("no bytes for addresses 0000-0003;")


def test_addresses_of_the_processor_are_taken_from_the_first_and_this_is_said() -> None:
    dump = parse_dump(as_srec(BYTES, 0xE000), PROM8, "u4.s19")
    assert dump.words == tuple(BYTES)
    assert [f.text for f in dump.findings] == [
        "u4.s19 starts at address E000; this was taken as address 0 of U4"
    ]


def test_a_missing_end_record_is_said() -> None:
    dump = parse_dump(b"\n".join(as_ihex(BYTES).split(b"\n")[:2]), PROM8)
    assert dump.words == tuple(BYTES)
    assert codes(dump) == ["no-end-mark"]


@pytest.mark.parametrize(
    ("data", "line", "what"),
    [
        (b":0100000041BE\n:00000009F7\n", 2, "the record is of a type that this form does not have"),
        (as_ihex(BYTES)[:-6], 3, "the record is longer or shorter than it says"),
        (as_ihex(BYTES) + as_ihex(BYTES), 4, "records go on after the end record in line 3"),
        (b":0100000041BE\n:01000100ZZBD\n", 2, "the record has a character that is no hexadecimal digit"),
        (b":0100000041BF\n", 1, "the checksum is BF, the bytes give BE"),
        (b":0100000041BE\nhello\n", 2, "the line is no record of this form"),
        (b"S1040000" + b"41BA\n" + b"S5030002FA\n", 2, "the count of data records says 2, but 1 stand before it"),
        (b"S1040000" + b"41BB\n", 1, "the checksum is BB, the bytes give BA"),
        (b":0100000041BE\n:00000004FC\n", 2, "the record is longer or shorter than it says"),
        (b"S1040000" + b"41BA\nS10100FE\n", 2, "the record is longer or shorter than it says"),
        (b"S1040000" + b"41BA\nS40400000" + b"0FB\n", 2, "the record is of a type that this form does not have"),
        (b"S1040000" + b"41BA\n:00000001FF\n", 2, "the line is no record of this form"),
    ],
)  # fmt: skip
def test_a_broken_record_is_refused_with_its_line(data: bytes, line: int, what: str) -> None:
    error = refused(data)
    assert (error.line, error.what) == (line, what)


def test_two_records_for_one_address_are_refused() -> None:
    assert refused(b":0100000041BE\n:0100000042BD\n:00000001FF\n").what == "two records hold the same address"


def test_a_file_of_records_without_data_is_refused() -> None:
    assert refused(b":00000001FF\n").what == "it has no data records"


def test_a_name_of_records_with_raw_bytes_is_refused() -> None:
    error = refused(BYTES, file="u4.hex")
    assert error.what == "its name says Intel HEX or S-records, but its first line is no such record"


# -- files ------------------------------------------------------------------------------------------


def test_a_file_is_read_with_its_name_and_hash(tmp_path: Path) -> None:
    file = tmp_path / "u4.bin"
    file.write_bytes(BYTES)
    dump = read_dump(file, PROM8)
    assert dump.file == str(file)
    assert len(dump.sha256) == 64


def test_a_file_that_is_not_there_or_is_a_folder_is_refused(tmp_path: Path) -> None:
    with pytest.raises(DumpError, match="there is no such file"):
        read_dump(tmp_path / "no.bin", PROM8)
    with pytest.raises(DumpError, match="that is a folder"):
        read_dump(tmp_path, PROM8)
