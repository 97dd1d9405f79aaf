"""Cards against the world outside: PDF tools, an independent symbol library, the fonts' own metrics.

poppler-utils (Debian): ``pdftotext``, ``pdffonts``, ``pdfinfo`` read the PDF that the program writes.
kicad-symbols and lepton-eda (Debian) below the folder that RGBROOTS_REFERENCES names: pin-outs of the chips *as drawn*,
read back from the card's SVG, are compared with their symbols in the way that ``pin_comparison.py`` does it.
ReportLab (PyPI) brings Bitstream Vera, whose widths the layout's table repeats.
A4 is 210 by 297 mm: ISO 216. Letter is 8.5 by 11 inch: ANSI/ASME Y14.1. A point of PDF is 1/72 inch: ISO 32000-1.
"""

from __future__ import annotations

import re
import shutil
import subprocess
from dataclasses import replace
from functools import cache
from pathlib import Path

import pytest
import reportlab
from reportlab.pdfbase.ttfonts import TTFont

from tests.card_reading import ReadChip, read_chips
from tests.published.conftest import NO_FOLDER, reference_folder
from tests.published.pin_comparison import Difference, Tally, compare
from tests.published.symbols import OutsidePart, our_name, read_gschem, read_kicad
from tracer.base.names import readable_name
from tracer.bitmap.model import BitMap
from tracer.card import metrics as card_metrics
from tracer.cli.main import main
from tracer.importers import read_netlist
from tracer.netlist.join import join_boards, parse_join
from tracer.parts.library import load_library
from tracer.parts.model import PartType
from tracer.tracing.pipeline import trace

DEMOS = {
    "dunlin": ["netlists/dunlin/dunlin.net"],
    "plover": ["netlists/plover/plover.net"],
    "wren": ["netlists/wren/wren.net"],
    "avocet": ["main=netlists/avocet/avocet-main.net", "video=netlists/avocet/avocet-video.net", "--join", "main:J3=video:J1"],
}  # fmt: skip
needs_poppler = pytest.mark.skipif(shutil.which("pdftotext") is None, reason="poppler-utils is not installed")


def map_of(name: str) -> BitMap:
    if name != "avocet":
        return trace(read_netlist(DEMOS[name][0]))
    halves = {h: read_netlist(f"netlists/avocet/avocet-{h}.net") for h in ("main", "video")}
    return trace(join_boards(halves, [parse_join("main:J3=video:J1")]))


def run(*argv: str) -> str:
    return subprocess.run(argv, check=True, capture_output=True, text=True).stdout


@pytest.fixture(scope="module")
def cards(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A folder with the demo boards' cards as PDF and SVG."""
    folder = tmp_path_factory.mktemp("cards")
    for name, files in DEMOS.items():
        for suffix in ("pdf", "svg"):
            assert main(["card", *files, "-o", str(folder / f"{name}.{suffix}")]) == 0
    return folder


@needs_poppler
@pytest.mark.parametrize(("name", "n_pages"), [("dunlin", 3), ("wren", 2), ("plover", 3), ("avocet", 3)])
def test_pages_are_a4(cards: Path, name: str, n_pages: int) -> None:
    told = run("pdfinfo", str(cards / f"{name}.pdf"))
    assert re.search(rf"^Pages: +{n_pages}$", told, re.MULTILINE)
    size = re.search(r"^Page size: +([\d.]+) x ([\d.]+) pts", told, re.MULTILINE)
    assert size
    assert [float(x) / 72 * 25.4 for x in size.groups()] == pytest.approx([210, 297], abs=0.1)
    assert re.search(r"^Encrypted: +no$", told, re.MULTILINE)


@needs_poppler
def test_letter_has_the_standards_size(tmp_path: Path) -> None:
    target = tmp_path / "card.pdf"
    assert main(["card", *DEMOS["dunlin"], "--paper", "letter", "-o", str(target)]) == 0
    assert re.search(r"^Page size: +612 x 792 pts \(letter\)$", run("pdfinfo", str(target)), re.MULTILINE)


#: `pdftohtml` rounds sizes to whole pixels; more than this it does not enlarge.
ZOOM = 3


@needs_poppler
@pytest.mark.parametrize("paper", ["a4", "letter"])
@pytest.mark.parametrize("name", DEMOS)
def test_letters_have_eight_points_or_more(name: str, paper: str, tmp_path: Path) -> None:
    target = tmp_path / "card.pdf"
    assert main(["card", *DEMOS[name], "--paper", paper, "-o", str(target)]) == 0
    told = run("pdftohtml", "-xml", "-i", "-stdout", "-zoom", str(ZOOM), str(target))
    sizes = [int(size) / ZOOM for size in re.findall(r'<fontspec [^>]*size="(\d+)"', told)]
    assert sizes
    assert min(sizes) >= 8.0


@needs_poppler
@pytest.mark.parametrize("name", DEMOS)
def test_fonts_are_embedded(cards: Path, name: str) -> None:
    rows = run("pdffonts", str(cards / f"{name}.pdf")).splitlines()[2:]
    assert len(rows) == 2
    for row in rows:
        # name type encoding emb sub uni object ID
        assert row.split()[-5:-2] == ["yes", "yes", "yes"], row


@needs_poppler
@pytest.mark.parametrize("name", DEMOS)
def test_text_can_be_taken_out(cards: Path, name: str) -> None:
    """Every bit's row: weight, resistor, driver leg, memory leg."""
    text = re.sub(r"\s+", " ", run("pdftotext", "-layout", str(cards / f"{name}.pdf"), "-"))
    for colour in map_of(name).colours:
        for bit in colour.bits:
            source = bit.paths[0].source
            leg = f"{source.part}.{source.pin}".split(":")[-1]
            resistor = bit.resistors[0].part.split(":")[-1]
            row = rf"{colour.name} {bit.bit} {100 * bit.weight:.1f} % (\w+:)?{resistor} .{{1,70}}?\b{leg} "
            assert re.search(row, text), row


@needs_poppler
def test_letters_that_the_face_lacks_are_marked(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    source = tmp_path / "\u30c6\u30b9\u30c8.net"
    source.write_text(Path(DEMOS["wren"][0]).read_text(encoding="utf-8"), encoding="utf-8")
    target = tmp_path / "card.pdf"
    assert main(["card", str(source), "-o", str(target)]) == 0
    assert "letters are not in the PDF's face" in capsys.readouterr().err
    assert "???: colours from memory" in run("pdftotext", str(target), "-")


def test_widths_are_those_of_the_face() -> None:
    folder = Path(reportlab.__file__).parent / "fonts"
    for bold, file in ((False, "Vera.ttf"), (True, "VeraBd.ttf")):
        face = TTFont(f"check{bold}", str(folder / file)).face
        for letter in map(chr, (*range(32, 127), *range(161, 256), 0x2026, 0x2013, 0x3A9)):
            own = card_metrics.width(letter, 1000.0 / card_metrics.SQUEEZE, bold)
            assert own == pytest.approx(face.getCharWidth(ord(letter)), abs=0.6), letter


# -- pin-outs as drawn -------------------------------------------------------------------------------------


@cache
def symbols() -> tuple[tuple[str, OutsidePart], ...]:
    """Type here, and a symbol of it there."""
    kicad, lepton = reference_folder("kicad-symbols"), reference_folder("lepton-eda")
    assert kicad is not None
    assert lepton is not None
    found = [("K", s) for s in read_kicad(kicad, ("74xx", "Memory_RAM", "Memory_EPROM"))]
    found += [("L", s) for s in read_gschem(lepton, ("74", "memory"))]
    return tuple((our_name(letter, s.name), s) for letter, s in found)


def as_drawn(ours: PartType, chip: ReadChip) -> PartType:
    """The type with its pins numbered as the picture numbers its names.

    Of legs of the same name (several grounds) each keeps a number that the picture has for that name.
    """
    numbers: dict[str, list[str]] = {}
    for number, name in chip.names.items():
        numbers.setdefault(name, []).append(number)
    moved = {}
    for pin in ours.pins:
        moved[pin.number] = numbers[readable_name(pin.name)].pop(0)
    return replace(
        ours,
        pins=tuple(replace(p, number=moved[p.number]) for p in ours.pins),
        arcs=tuple(
            replace(
                a,
                source=moved[a.source],
                target=moved[a.target],
                when=tuple((moved[n], v) for n, v in a.when),
            )
            for a in ours.arcs
        ),
    )


def drawn_chips(cards: Path, name: str) -> list[tuple[str, ReadChip]]:
    """Type and picture of every chip of a card."""
    types = {c.part: c.type for c in map_of(name).chips}
    chips = read_chips((cards / f"{name}.svg").read_text(encoding="utf-8"))
    return [(types[c.title.split()[0]], c) for c in chips]


def differences(ours: PartType) -> set[tuple[str, str, str]]:
    found: list[Difference] = []
    for name, symbol in symbols():
        if name == ours.name:
            found += compare(ours, symbol, Tally())
    return {(d.symbol, d.pin, d.topic) for d in found}


@pytest.mark.skipif(reference_folder("kicad-symbols") is None, reason=NO_FOLDER)
def test_pin_outs_as_drawn_are_the_symbols(cards: Path) -> None:
    library = load_library()
    compared = set()
    for name in DEMOS:
        for type_name, chip in drawn_chips(cards, name):
            ours = library.find(type_name)
            assert ours
            left, right = ([n for n, _ in side] for side in chip.sides)
            half = len(ours.pins) // 2
            assert left == [str(i) for i in range(1, half + 1)], chip.title
            assert right == [str(i) for i in range(2 * half, half, -1)], chip.title
            if any(name == type_name for name, _ in symbols()):
                # Where symbols differ from the part library `test_pin_data.py` says who is right.
                assert differences(as_drawn(ours, chip)) - differences(ours) == set(), chip.title
                compared.add(type_name)
    assert compared == {"74x157", "74x174", "74x273", "74x374", "62256", "6116"}


@pytest.mark.skipif(reference_folder("kicad-symbols") is None, reason=NO_FOLDER)
@pytest.mark.parametrize(("one", "two"), [("2", "3"), ("3", "4"), ("10", "11"), ("1", "20")])
def test_a_wrong_picture_is_found(cards: Path, one: str, two: str) -> None:
    ours = load_library().find("74x273")
    assert ours
    chip = next(c for t, c in drawn_chips(cards, "dunlin") if t == "74x273")
    other = {one: two, two: one}
    sides = tuple([(n, chip.names[other.get(n, n)]) for n, _ in side] for side in chip.sides)
    wrong = ReadChip(chip.title, (sides[0], sides[1]))
    assert differences(as_drawn(ours, wrong)) - differences(ours) != set()
