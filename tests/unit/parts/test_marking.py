"""What `read_marking` makes of markings; the rows with a source outside are in tests/published/test_markings.py."""

from __future__ import annotations

import subprocess
import sys
import tomllib
from importlib.resources import files
from itertools import permutations
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from tracer.parts.library import Library
from tracer.parts.marking import Marking, nearest_types, read_marking


def words(text: str) -> list[str]:
    """The words of a longer list."""
    return text.split()


def rows(text: str) -> list[tuple[str, str, str]]:
    """``marking type family; ...`` -> rows; a family written ``-`` is None."""
    split = [row.split() for row in text.replace("\n", " ").split(";") if row.strip()]
    return [(m, t, f) for m, t, f in split]


#: From memory, unchecked: common knowledge of the trade, no page was read.
FROM_MEMORY = rows(
    """
    SN74LS273N 74x273 LS; HD74LS273P 74x273 LS; SN74LS374J 74x374 LS;
    TC74HC374P 74x374 HC; 74F245PC 74x245 F; T74LS174B1 74x174 LS;
    MB74LS257 74x257 LS; SN74ALS574BN 74x574 ALS; SN74AS374N 74x374 AS;
    SN54LS374J 74x374 LS; 74LS08PC 74x08 LS; 7417 74x17 std;
    DM7416N 74x16 std; DM8097N 74x367 std; N8T97N 74x367 std;
    N8T98N 74x368 std; DM8096N 74x366 std; SN74LS670N 74x670 LS;
    SN74S189N 74x189 S; AM27S03PC 74x189 S; 3101A 74x289 S;
    N82S25N 74x289 S; SN74S387N 82S126 S; DM74S571N 82S131 S;
    DM74S570N 82S130 S; DM74S573N 82S137 S; DM74S474N 82S141 S;
    DM87S181N 82S181 S; DM87S185N 82S185 S; N82S129AN 82S129 S;
    N82S135N 82S135 S; N82S147AN 82S147 S; TBP18S030N 82S123 S;
    TBP18SA030N 82S23 S; TBP24S10N 82S129 S; TBP24S41N 82S137 S;
    TBP24S81N 82S185 S; TBP28L22N 82S135 L; TBP28S86N 82S181 S;
    TBP28S166N 82S191 S; AM27S21DC 82S129 S; AM27S20PC 82S126 S;
    AM27S33DC 82S137 S; AM27S191PC 82S191 S; HM7603-5 82S123 S;
    HM3-7621-5 82S131 S; HM7643-5 82S137 S; HM7649-5 82S147 S;
    6301-1J 82S129 S; 6306-1J 82S131 S; 6353-1J 82S137 S;
    6349-1N 82S147 S; 6341-1J 82S141 S; 6381-1J 82S181 S;
    63S141N 82S129 S; 63S241N 82S131 S; 63S441N 82S137 S;
    MB7052C 82S129 S; MB7112E 82S123 S; MB7114E 82S129 S;
    MB7118E 82S135 S; MB7122E 82S137 S; MB7124E 82S147 S;
    MB7138E 82S191 S; HM6116P-2 6116 CMOS; HM6116LP-3 6116 CMOS;
    MB8128-15 6116 NMOS; MB8416A-15 6116 CMOS; M58725P-15 6116 NMOS;
    µPD446C-3 6116 CMOS; CXK5816PN-12L 6116 CMOS; TMM2018D-45 2018 NMOS;
    CY7C128A-35PC 2018 CMOS; TMM2064P-15 6264 NMOS; MB8464A-10LP 6264 CMOS;
    CXK5864BP-12L 6264 CMOS; MB84256-10L 62256 CMOS; TC55257BPL-85 62256 CMOS;
    M5L2114LP-3 2114 NMOS; uPD2114LC 2114 NMOS; HM472114P-3 2114 NMOS;
    P2114AL-2 2114 NMOS; HM6148P 2148 CMOS; AM9149-55PC 2149 NMOS;
    P5101L-1 5101 CMOS; AM93422PC 93422 TTL; D2716D 2716 EPROM;
    HN462716G 2716 EPROM; TMS2516JL 2716 EPROM; HN482764G 2764 EPROM;
    MBM2764-25 2764 EPROM; M27C64A-15F1 2764 EPROM; HN4827128G-25 27128 EPROM;
    TC57256AD-20 27256 EPROM; PAL16R8BCN PAL16R8 PAL; КР1533ИР23 74x374 ALS;
    КР1533ИР37 74x574 ALS; К555КП11 74x257 LS; К555КП16 74x157 LS;
    К555ТМ8 74x175 LS; К555АП5 74x244 LS; КР1531АП6 74x245 F;
    КР541РУ2 2114 NMOS; КР537РУ10 6116 CMOS; DL374D 74x374 LS
    """
)

#: Drawing habits: common practice, no source.
HABITS = rows(
    """
    F257 74x257 F; S157 74x157 S; HC04 74x04 HC; 74-LS-245 74x245 LS; 74ls175 74x175 LS; 74273 74x273 std;
    74XX245 74x245 -; 74xx245 74x245 -; 74*245 74x245 -; 74x245 74x245 -; 7400_DIP 74x00 std; 74LS245D_DIP 74x245 LS;
    74xx:74LS245 74x245 LS; 74LS00:A 74x00 LS; 74LS240_Split 74x240 LS; 74LS244N(U5) 74x244 LS; 74LS04.1 74x04 LS;
    74_LS_245 74x245 LS; SN74-LS245 74x245 LS; 7451LS 74x51 LS; AS374 74x374 AS; S287 82S129 S; 74–LS–245 74x245 LS
    """
)

#: Families, packages, ordering codes; from memory.
LOGIC = rows(
    """
    SN74LVC245APWR 74x245 LVC; 74HC245D,653 74x245 HC; 74HCT574N,652 74x574 HCT; MC74HC245ADWG 74x245 HC;
    74HC14DR2G 74x14 HC; 74VHC245MTCX 74x245 VHC; 74AHC04 74x04 AHC; 74AHCT245 74x245 AHCT; 74LV14 74x14 LV;
    74LCX07 74x07 LCX; 74VHCT373 74x373 VHCT; 74AC244 74x244 AC; 74ACT374 74x374 ACT; 74ABT245 74x245 ABT;
    74BCT244 74x244 BCT; IDT74FCT245ATP 74x245 FCT; MM74C374N 74x374 C; 74L00 74x00 L; 74H74 74x74 H;
    SN5404J 74x04 std; 54LS04 74x04 LS; SN54LS374J 74x374 LS; 74LVC1G08 74x1G08 LVC; 74HCU04 74x04 HCU;
    SN74LVC1G14DBVR 74x1G14 LVC; SN74LVCH16T245DGG 74x16T245 LVCH; 74ABT16245ADGG 74x16245 ABT;
    74LS74A 74x74 LS; 74LS00A 74x00 LS; SN74ALS245A-1N 74x245 ALS; 74F245SPC 74x245 F; 74HC4066 74x4066 HC;
    74LS590 74x590 LS; 74LS07 74x07 LS; 7407 74x07 std; GD74LS245 74x245 LS; PC74HC374P 74x374 HC;
    DM81LS95N 74x465 LS; MH7400 74x00 std; DL000D 74x00 LS; D100D 74x00 std; MC8T97P 74x367 std; N8T28N 8T28 S
    """
)

#: The same number with other legs in another family: a name of its own, never the near one.
OWN_LEGS = rows(
    """
    7451 7451 std; SN74S51N 7451 S; 74LS51 74x51 LS; 74HC51 74x51 HC; 7454 7454 std; 74LS54 74x54 LS;
    74H01 74H01 H; 7401 74x01 std; 74L86 74L86 L; MM74C86N 74C86 C; 74LS86 74x86 LS; 74L95 74L95 L;
    74AC11245 74x11245 AC; 74FCT2245 74x2245 FCT
    """
)

CMOS = rows(
    """
    CD4066BE 4066 4000; HEF4066BP 4066 4000; MC14066BCP 4066 4000; TC4066BP 4066 4000; TC4066 4066 4000;
    4066 4066 4000; CD4016 4016 4000; 4016 4016 4000; HCF4053M013TR 4053 4000; CD4053BM96 4053 4000;
    MB84066B 4066 4000; uPD4066BC 4066 4000; HD14066BP 4066 4000; CD40106BE 40106 4000; MC14174BCP 40174 4000;
    CD4069UBE 4069 4000; К561КП2 4051 4000
    """
)

MEMORIES = rows(
    """
    27C010 27010 EPROM; 27010 27010 EPROM; 27C1001 27010 EPROM; M27C1001-10F1 27010 EPROM; 27C020 27020 EPROM;
    27C2001 27020 EPROM; 27C040 27040 EPROM; 27C4001 27040 EPROM; 27C080 27080 EPROM; M27C801-100F1 27080 EPROM;
    27C1024 271024 EPROM; HN27C301AG 27301 EPROM; W27C512-45Z 27512 EPROM; 27256 27256 EPROM; 2764A-2 2764 EPROM;
    TMS2716JL TMS2716 EPROM; TMS2532JL 2532 EPROM;
    28C16 28C16 EEPROM; 28C64 28C64 EEPROM; AT28C256-15PU 28C256 EEPROM; X28C256P 28C256 EEPROM;
    29F010 29F010 flash; 39SF010 29F010 flash; 29EE010 29F010 flash; A29010 29F010 flash; AM29F020 29F020 flash;
    A29040C 29F040 flash; SST39SF040-70-4C-PHE 29F040 flash; AM29F040B-90PC 29F040 flash;
    AS6C62256-55PCN 62256 CMOS; 61256 62256 CMOS; 61C256 62256 CMOS; 71256 62256 CMOS; CY7C199-15PC 62256 CMOS;
    IS61C256AL-12TLI 62256 CMOS; UM61256FK-15 62256 CMOS; AS6C6264 6264 CMOS; 6C6264 6264 CMOS; 7164 6264 CMOS;
    62C64 6264 CMOS; 628128 628128 CMOS; 621001 628128 CMOS; KM681000BLP-7 628128 CMOS; TC551001BPL-70 628128 CMOS;
    IS62C1024 628128 CMOS; AS6C1008-55PCN 628128 CMOS; HM628512 628512 CMOS; KM684000 628512 CMOS;
    AS6C4008 628512 CMOS; TMS4016 6116 NMOS; uPD4016 6116 NMOS; TMM2016 6116 NMOS; D4016C-2 6116 NMOS;
    4164 4164 NMOS; TMS4164-15NL 4164 NMOS; MB8264-15 4164 NMOS; µPD4164 4164 NMOS; 41256 41256 NMOS;
    HM50256-15 41256 NMOS; MB81256-12 41256 NMOS; U61256DC 41256 NMOS; 4416 4416 NMOS; TMS4416 4416 NMOS;
    41464 41464 NMOS; 4464 41464 NMOS; HM50464P-12 41464 NMOS; 44256 44256 CMOS; HM514256 44256 CMOS;
    MK4027 MK4027 NMOS; IDT71342SA 71342 CMOS; CY7C131-55JC 7130 CMOS; IDT7206L 7206 CMOS; CY7C421-20PC 7201 CMOS;
    M3601 82S126 S; D3625A 82S137 S; TBP28L86N 82S181 S; HM514260J 514260 CMOS; CY7C1049B-15VC 7C1049 CMOS;
    IDT7130 7130 CMOS; CY7C132 7132 CMOS; 7132 7132 CMOS; IDT7134 7134 CMOS; MB7132E 82S181 S;
    2147 2147 NMOS; 6147 6147 CMOS; 2168 2168 NMOS; 6168 6168 CMOS; 2167 2167 NMOS; 6167 6167 CMOS; 6287 6287 CMOS;
    HM-7611-5 82S129 S; HM1-7611 82S129 S; MB7111E 82S23 S; 6301-1N 82S129 S; 74188 82S23 std; КР556РТ4 82S126 S
    """
)

LOGIC_ARRAYS = rows(
    """
    PAL16L8 PAL16L8 PAL; 16R4 PAL16R4 PAL; PAL16R4ACN PAL16R4 PAL; PAL16R6B-4CN PAL16R6 PAL; PAL16L8D/2CN PAL16L8 PAL;
    TIBPAL16L8-15CN PAL16L8 PAL; AMPAL20R8 PAL20R8 PAL; PAL20L8 PAL20L8 PAL; PAL20R4 PAL20R4 PAL; PAL20R6 PAL20R6 PAL;
    GAL16V8 GAL16V8 GAL; ATF16V8B-15PU GAL16V8 GAL; PALCE16V8H-15 GAL16V8 GAL; GAL20V8 GAL20V8 GAL;
    GAL22V10D-10LJ GAL22V10 GAL; ATF22V10C GAL22V10 GAL; N82S100N 82S100 PAL
    """
)

#: Operational amplifiers are told by their legs, single gates and bus switches by the number behind the maker's letters.
OTHERS = rows(
    """
    TL074CN LM324 -; LM324N LM324 -; TL084 LM324 -; AD8044ARZ-14 LM324 -; LM358P LM358 -; TL072CP LM358 -; NE5532AP LM358 -;
    uA741CN LM741 -; LM318N LM741 -; MAX4385EUK-T LM741 -; LMH6642MF LM741 -; LMV321IDBVR LMV321 -; ADA4891-3ARZ AD813 -;
    ADA4891-4 LM324 -; CXA2075M CXA1645 -; NC7SZ125P5X 74x1G125 LVC; NC7WZ16P6X 74x2G34 LVC; TC7SH08FU 74x1G08 LVC;
    74AHCT1G125 74x1G125 AHCT; SN74LVC1T45DBVR 74x1T45 LVC; 74LVC8T245 74x8T245 LVC; SN74LV1T34DBVR 74x1T34 LV;
    QS3257 74x3257 CBT; SN74CBT3253D 74x3253 CBT; PI5C3384Q 74x3384 CBT; 74LVC162244A 74x162244 LVC
    """
)

READ = [*FROM_MEMORY, *OTHERS, *HABITS, *LOGIC, *OWN_LEGS, *CMOS, *MEMORIES, *LOGIC_ARRAYS]


@pytest.mark.parametrize(("marking", "type_", "family"), READ)
def test_a_marking_is_read(marking: str, type_: str, family: str) -> None:
    found = read_marking(marking)
    assert (found.type, found.family or "-") == (type_, family)
    assert found.text == marking
    assert found.understood


def test_a_gal_is_not_taken_for_a_pal() -> None:
    """A 16V8 can stand in for a 16L8 or a 16R8; which of them, its fuses decide, so it keeps its own name."""
    found = read_marking("GAL16V8B-15LP")
    assert (found.type, found.family) == ("GAL16V8", "GAL")
    assert "its fuses decide what the legs do" in " ".join(found.understood)


#: No chips of these rules: passive parts, transistors, processors, analogue chips, and numbers near to known ones.
NOT_READ = words("""470 100n 4k7 10uF 220R 1N4148 2N3904 2SC1815 C5101 D2114 K2114 BC547 AC128 Conn_01x04 DB15 SW_DIP_x08
LM7805 78L05 NE555 NE558 LM747 TDA7400 MAX7400 MAX7456 AD7414 AS324 IR2114SS IR2101 6502 6809 6800 Z80 Z8400 68000
MC68000P8 8080 8085 8088 8051 HD6301 HM6301 6301 6309 HD6309 8097 YM2151 AY-3-8910 M54519P ULN2003 75188 MC1488 MC1408
HC-05 S102S01 F113 F20 S14 L293 H11L1 C945 5404 54123 74 741 74LS 74LS7 SN74LS 74HC(T)245 7812 7905
611 6117 21151 27 270 2765 27257 82S128 82S1290 6116A1234 61165 621 4165 41265 16L9 16R5 PAL16L9 74S GAL 82S HM 28C 29F
К555 К555ЛЯ9 К555ЛА99 555 LA3 TMS4044 uPD4464 74LS0273 74LS012 7400LS08""")


@pytest.mark.parametrize("text", ["", " ", "~", "?", "74 LS", *NOT_READ])
def test_what_is_no_marking_of_these_chips_is_left_alone(text: str) -> None:
    assert read_marking(text).type is None


@pytest.mark.parametrize(
    "text",
    words(
        "74LS373/374 74LS00/LS08 2114/2149 27256/27512 27C256/C512 2764/128 2764-128 16R6/16R8 4051/4052 74LS373OR374"
    ),
)
def test_two_numbers_in_one_marking_are_not_read(text: str) -> None:
    assert read_marking(text).type is None


@pytest.mark.parametrize("between", [" ", "/", " or ", " - ", ", ", "_", "(", "+"])
def test_no_two_markings_joined_are_read_as_one(between: str) -> None:
    sample = [m for m, _, _ in FROM_MEMORY[::4]] + [
        "HC04",
        "F257",
        "DL374D",
        "74-LS-245",
        "К555ЛА3",
        "6301-1J",
        "4066",
    ]
    wrong = [
        a + between + b
        for a, b in permutations(sample, 2)
        if read_marking(a).type != read_marking(b).type and read_marking(a + between + b).type is not None
    ]
    assert wrong == []


#: Two names of one chip, or a name and a remark, as schematics of home-built computers have them; common practice.
SEVERAL_NAMES = rows(
    """
    SN7486N_(К155ЛП5) 74x86 std; 74LS166(ИР10) 74x166 LS; 74LS166_[ИР10] 74x166 LS; К555АП6_(SN74LS245N) 74x245 LS;
    74LS245/АП6 74x245 LS; К155ЛП5=SN7486N 74x86 std; КР565РУ5Г_(4164) 4164 NMOS; КР9999РУ1_(4164) 4164 NMOS;
    6301_(82S129) 82S129 S; 74LS273_(octal) 74x273 LS; 2764_(8Kx8) 2764 EPROM; (74LS00) 74x00 LS; 74LS373(373) 74x373 LS;
    74LS00_(7400) 74x00 LS; ７４ＬＳ２４５ 74x245 LS
    """
)


@pytest.mark.parametrize(("marking", "type_", "family"), SEVERAL_NAMES)
def test_what_is_known_of_several_names_decides(marking: str, type_: str, family: str) -> None:
    found = read_marking(marking.replace("_", " "))
    assert (found.type, found.family) == (type_, family)


@pytest.mark.parametrize(
    "text",
    ["74LS245 (АП5)", "74LS245(74LS244)", "74LS373(374)", "74LS166/ИР9", "74LS244 К555АП6", "SN7486N (7400)"],
)
def test_names_that_do_not_agree_are_not_read_and_it_says_so(text: str) -> None:
    found = read_marking(text)
    assert found.type is None
    assert "not the 74x" in found.understood[0]


@pytest.mark.parametrize("text", ["27C512 (PLCC)", "74LS245 [TSOP]", "628128 (TSOP32)"])
def test_a_package_with_other_legs_counts_in_brackets_too(text: str) -> None:
    assert read_marking(text).type is None


@pytest.mark.parametrize(
    "text", ["ИР22", "74HC(T)245", "(ИР22)", "470 (5%)", "()", "74LS245 (", "(((((", "74LS(00)"]
)
def test_brackets_alone_tell_nothing(text: str) -> None:
    """The letters for a function alone have other numbers in the CMOS series."""
    assert read_marking(text).type is None or text == "74LS245 ("


def test_a_number_of_two_chips_says_why_it_is_not_read() -> None:
    assert read_marking("6301").understood == (
        "6301: a processor (HD6301) or a PROM of MMI (6301-1): write the PROM with its -1",
    )
    assert read_marking("2764/HC04") == Marking(
        "2764/HC04", None, None, ("HC04: not the 2764 that 2764 is; write the one that is fitted",)
    )
    assert read_marking("DM8097N F257").understood == ("F257: a second number in one marking",)


@pytest.mark.parametrize("text", ["27C512PLCC", "628128_TSOP32", "74LS245_PLCC20", "AM29F010-TSOP"])
def test_a_package_with_other_legs_gets_no_type(text: str) -> None:
    found = read_marking(text)
    assert found.type is None
    assert "declare the pins" in found.understood[0]


@pytest.mark.parametrize("text", ["628128_DIP32_SSOP32", "74LVC245A_TSSOP", "74HC595-SO"])
def test_a_package_with_the_same_legs_does_not_matter(text: str) -> None:
    assert read_marking(text).type in ("628128", "74x245", "74x595")


def test_the_pieces_are_explained() -> None:
    assert read_marking("SN74LS273N").understood == (
        "SN: Texas Instruments",
        "74: commercial temperature range",
        "LS: low-power Schottky TTL",
        "273: the number of the function",
        "N: plastic DIP",
    )
    assert read_marking("HM6116LP-3").understood == (
        "HM: Hitachi memory, or Harris",
        "6116: the number",
        "L: low power",
        "P: plastic DIP",
        "3: speed grade",
    )
    assert "legs of 82S129" in read_marking("TBP24S10N").understood[-2]
    assert "PROM with the legs of 82S129" in " ".join(read_marking("SN74S287N").understood)


def test_soviet_letters_for_a_function_alone_say_what_is_missing() -> None:
    assert read_marking("ИР22").understood == (
        "ИР22: the function 373 in the TTL series, another in CMOS; write the series too (К555...)",
    )


#: Kinds of types that are printed with a number of their own; the others (resistors, processors) are found elsewhere.
CHIP_KINDS = frozenset(
    words(
        """register latch buffer transceiver multiplexer gate adder comparator counter decoder encoder logic ram rom prom eprom"""
    )
) | {"shift register", "logic array", "analogue switch"}


def test_every_chip_of_the_library_is_read_by_its_own_name() -> None:
    """Fails when a type is added to the library without a row in markings.toml."""
    library = Library()
    names = [n for n in library.names() if (t := library.find(n)) and t.kind in CHIP_KINDS]
    wrong = {
        n: read_marking(n).type
        for n in names
        if library.find(read_marking(n).type or "") is not library.find(n)
    }
    assert wrong == {}
    assert len(names) > 300


def data() -> dict[str, Any]:
    return tomllib.loads((files("tracer.parts") / "data" / "markings.toml").read_text(encoding="utf-8"))


#: Types that a rule names although the library has no legs for them.
LACKING = frozenset(words("TMS2716 2532 2564 68764 40174 40175 74L86"))


def test_every_type_that_a_rule_names_is_spelled_as_in_the_library() -> None:
    tables = data()
    named = {row["type"] for row in tables["mark"] if "=" not in row["type"]} | set(
        tables["logic"]["proms"].values()
    )
    named |= {pair.split("=")[1] for table in tables["soviet"]["whole"] for pair in table["codes"].split()}
    assert {n for n in named if Library().find(n) is None} - LACKING == set()


def test_every_rule_names_its_source() -> None:
    tables = data()
    all_rows = [*tables["mark"], *tables["unclear"], *tables["logic"]["own"]["legs"]]
    all_rows += [*tables["soviet"]["letters"], *tables["soviet"]["whole"]]
    assert [row for row in all_rows if not row.get("source", "").strip()] == []


def test_no_two_rules_read_the_same_letters_and_number() -> None:
    tables = data()
    seen: dict[str, str] = {}
    twice = []
    for row in tables["mark"]:
        makers = tables["groups"].get(row.get("with", ""), row.get("with", "")).split()
        for mark in row["marks"].split():
            for text in [mark, *(maker + mark for maker in makers)]:
                type_ = row["type"].replace("=", mark)
                if seen.setdefault(text, type_) != type_:
                    twice.append((text, seen[text], type_))
    assert sorted(twice) == sorted(CHOSEN_BY_LETTERS)


#: What both a row of any maker and a row with these letters has; the row with the letters wins.
CHOSEN_BY_LETTERS = [
    ("TMS2716", "2716", "TMS2716"),
    ("U61256", "62256", "41256"),
    ("UPD4016", "6116", "4016"),
]


markings = st.sampled_from([m for m, _, _ in READ])


@given(st.text(max_size=60))
def test_any_text_is_read_or_left(text: str) -> None:
    found = read_marking(text)
    assert found.text == text
    assert isinstance(nearest_types(text, ("74x273", "6116")), tuple)


@given(st.text(alphabet="SN74LS273()[]{}/=,; КРИРЛА155", max_size=60))
def test_any_text_with_brackets_is_read_or_left(text: str) -> None:
    assert read_marking(text).text == text


@given(
    markings,
    st.sampled_from(
        ["({})", "[{}]", "{{{}}}", "( {} )", "{} ({})", "{0} [{0}]", "{0}/{0}", "{0} = {0}", "{} (DIP)"]
    ),
)
def test_a_marking_in_brackets_or_twice_is_the_same_marking(marking: str, form: str) -> None:
    bare, found = read_marking(marking), read_marking(form.format(marking, marking))
    if any(mark in marking for mark in "()/,") and form[0] != "(":
        return
    assert (found.type, found.family) == (bare.type, bare.family)


@given(st.text(alphabet="SN74LSHC0123568-_/,.xPAL К", max_size=20))
def test_case_does_not_matter(text: str) -> None:
    assert len({read_marking(t).type for t in (text, text.lower(), text.upper(), text.swapcase())}) == 1


@given(markings, st.data())
def test_case_and_blanks_do_not_matter_in_a_marking(marking: str, draws: st.DataObject) -> None:
    place = draws.draw(st.integers(0, len(marking)))
    blank = draws.draw(st.sampled_from([" ", "\t", "\u00a0", "  "]))
    want = read_marking(marking)
    for text in (marking.lower(), marking[:place] + blank + marking[place:], f" {marking}\n"):
        found = read_marking(text)
        assert (found.type, found.family) == (want.type, want.family)


@given(markings, st.integers(0, 9))
def test_a_further_digit_is_another_number(marking: str, digit: int) -> None:
    """``6116`` and ``61167`` have nothing to do with one another."""
    bare = read_marking(marking)
    number = (bare.type or "").removeprefix("74x")
    if marking == number and number.isdecimal():
        assert read_marking(f"{marking}{digit}").type != bare.type


def test_nearest_types_are_guesses_in_order() -> None:
    known = Library().names()
    assert nearest_types("6216", known)[0] == "6116"
    assert nearest_types("74LS347", known, 2) == nearest_types("74LS347", known)[:2]
    assert "74x273" in nearest_types("74F2733", known)
    assert nearest_types("HM6611", known)[0] == "6116"
    assert nearest_types("XYZ", known) == ()
    assert nearest_types("", known) == ()


@pytest.mark.parametrize("text", ["XYZ99", "VID-1234", "CUS-14", "TMS9918", "XC9536", "GFX8", "AB"])
def test_what_is_not_near_is_not_offered(text: str) -> None:
    """A near name has one digit more, less or other, or two exchanged."""
    assert nearest_types(text, Library().names()) == ()


def test_nearest_types_offers_the_library_s_neighbours_of_a_name_it_lacks() -> None:
    assert nearest_types("74LS591", ["74x590", "74x595", "6116"]) == ("74x590", "74x595")


def test_the_module_loads_its_rules_only_when_asked() -> None:
    """A command that reads no marking must not pay for the rules."""
    code = "import tracer.parts.marking as m; print(m.marking_rules.cache_info().currsize)"
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    assert done.stdout == "0\n"
