"""Ohms, farads and volts as people write them.

Source: IEC 60062:2016, letter and digit code for resistance and capacitance values, by the examples of published
summaries (R47, 4R7, 470R, 4K7, 47K, 4M7; tolerance letters F, J; 471 = 47 and one nought): the text itself was not
read. Words, counts, watts and sizes beside a value: common practice, no source.
"""

from __future__ import annotations

import pytest

from tracer.base.units import format_ohm, parse_farad, parse_ohm, parse_pack_ohm, parse_volts

IEC_60062 = {
    "R47": 0.47,
    "4R7": 4.7,
    "47R": 47.0,
    "470R": 470.0,
    "4K7": 4700.0,
    "47K": 47000.0,
    "470K": 470000.0,
    "4M7": 4700000.0,
    "4R7J": 4.7,
    "470J": 470.0,
    "2K2F": 2200.0,
    "1K0K": 1000.0,
}

READ = {
    "0": 0.0,
    "0R": 0.0,
    "220": 220.0,
    "220Ω": 220.0,
    "220 Ω": 220.0,
    "220 ohm": 220.0,
    "220 Ohms": 220.0,
    "4.7k": 4700.0,
    "4,7k": 4700.0,
    ".5": 0.5,
    "1 k": 1000.0,
    "4.7 kΩ": 4700.0,
    "100E": 100.0,
    "4E7": 4.7,
    "1G": 1e9,
    "470R 1%": 470.0,
    "470R±5%": 470.0,
    "470/1%": 470.0,
    "1k (0.1%)": 1000.0,
    "470R 1/4W": 470.0,
    "470R 0.25W": 470.0,
    "1/4W 470R": 470.0,
    "0,25W 470R": 470.0,
    "390R_0603": 390.0,
    "8x470": 470.0,
    "470x8": 470.0,
    "4 x 1k": 1000.0,
    "8×4k7": 4700.0,
}

NOT_READ = [
    "",
    " ",
    "~",
    "k",
    "R",
    "Ω",
    "DNP",
    "BOURNS",
    "470p",
    "100n",
    "10k LIN",
    "10kB",
    "5%",
    "-5",
    "1..5k",
    "1k2k",
    # Read in two ways by two readers.
    "1,000",
    "10,000",
    "1e3",
    "1m",
    # Figures of other scripts.
    "٤٧٠",
    "４７０",
]


@pytest.mark.parametrize(("text", "ohm"), [*IEC_60062.items(), *READ.items()])
def test_resistances(text: str, ohm: float) -> None:
    assert parse_ohm(text) == pytest.approx(ohm)


@pytest.mark.parametrize("text", NOT_READ)
def test_texts_that_are_no_resistance(text: str) -> None:
    assert parse_ohm(text) is None


@pytest.mark.parametrize(
    ("text", "ohm"),
    [
        ("471", 470.0),
        ("221", 220.0),
        ("102", 1000.0),
        ("472", 4700.0),
        ("1001", 1000.0),
        ("4701", 4700.0),
        ("103", 10000.0),
        ("3296W-103", 10000.0),
        # A last figure of nought: typed in ohms.
        ("470", 470.0),
        ("220", 220.0),
        ("1000", 1000.0),
        ("33", 33.0),
        ("4k7", 4700.0),
        ("8x220", 220.0),
        ("BOURNS", None),
    ],
)
def test_packs_and_trimmers(text: str, ohm: float | None) -> None:
    assert parse_pack_ohm(text) == ohm


@pytest.mark.parametrize(
    ("text", "farad"),
    [
        ("100n", 100e-9),
        ("100nF", 100e-9),
        ("100 nF", 100e-9),
        ("4n7", 4.7e-9),
        ("4u7", 4.7e-6),
        ("22pF", 22e-12),
        ("0.1uF", 0.1e-6),
        ("0,1uF", 0.1e-6),
        ("220µF", 220e-6),
        ("220μF", 220e-6),
        ("10uF/16V", 10e-6),
        ("1m", 1e-3),
        ("470", None),
        ("104", None),
        ("", None),
        ("p", None),
        ("x", None),
    ],
)
def test_capacitances(text: str, farad: float | None) -> None:
    assert parse_farad(text) == (None if farad is None else pytest.approx(farad))


@pytest.mark.parametrize(
    ("text", "volts"),
    [
        ("+5V", 5.0),
        ("-5V", -5.0),
        ("3V3", 3.3),
        ("+3.3V", 3.3),
        ("+3,3V", 3.3),
        ("12V", 12.0),
        ("+5V_2", 5.0),
        ("-12VA", -12.0),
        ("VCC", None),
        ("+12", None),
        ("", None),
    ],
)
def test_voltages(text: str, volts: float | None) -> None:
    assert parse_volts(text) == volts


@pytest.mark.parametrize(
    ("ohm", "text"),
    [
        (0.0, "0R"),
        (0.47, "0R47"),
        (4.7, "4R7"),
        (220.0, "220R"),
        (999.0, "999R"),
        (1000.0, "1k"),
        (4700.0, "4k7"),
        (68000.0, "68k"),
        (2.2e6, "2M2"),
        (1e9, "1G"),
        (4712.3, "4k712"),
    ],
)
def test_written_resistances(ohm: float, text: str) -> None:
    assert format_ohm(ohm) == text


def test_a_resistance_cannot_be_negative() -> None:
    with pytest.raises(ValueError, match=r"^a resistance cannot be negative: -1$"):
        format_ohm(-1)
