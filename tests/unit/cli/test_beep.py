"""The commands `beep` and `rehearse`, as a person and as a script use them."""

from __future__ import annotations

import io
import json
from collections.abc import Callable
from pathlib import Path
from typing import NamedTuple

import pytest

from tracer.base.errors import UsageError
from tracer.cli.main import main
from tracer.cli.rehearse import parse_share

NETLISTS = Path(__file__).parents[3] / "netlists"
NOTES = (
    "board mine\nU9 is 6116 at 7D\nU13 is 74LS273 at 8D\n[R1 R2] is 220\nR3 is 33\nJ1 is plug, 4 legs\n"
    "red is J1.1\ngreen is J1.2\nblue is J1.3\n"
)


class Said(NamedTuple):
    """What a run of the program gave."""

    code: int
    out: str
    err: str


Run = Callable[..., Said]


@pytest.fixture
def run(capsys: pytest.CaptureFixture[str]) -> Run:
    return lambda *argv: Said(main(argv), *capsys.readouterr())


@pytest.fixture
def notes(tmp_path: Path) -> Path:
    path = tmp_path / "mine.notes"
    path.write_text(NOTES, encoding="utf-8")
    return path


@pytest.fixture
def talk(run: Run, notes: Path, monkeypatch: pytest.MonkeyPatch) -> Callable[[str], str]:
    def answer(words: str) -> str:
        monkeypatch.setattr("sys.stdin", io.StringIO(words))
        return run("beep", str(notes), "--ask").out

    return answer


def test_it_says_before_the_first_touch_that_the_board_must_be_off(run: Run, notes: Path) -> None:
    out = run("beep", str(notes)).out
    assert out.index("unplugged, capacitors discharged, battery out") < out.index("Hold one lead")


def test_it_says_where_to_hold_what_to_touch_and_what_a_beep_means(run: Run, notes: Path) -> None:
    out = run("beep", str(notes)).out
    assert "Hold one lead on J1.1 (the connector's red pin)" in out
    assert "a beep:" in out
    assert "no beep:" in out


def test_no_line_is_wider_than_eighty_columns(run: Run, notes: Path) -> None:
    assert max(len(line) for line in run("beep", str(notes)).out.splitlines()) <= 80


def test_a_board_with_a_small_resistor_asks_for_the_ohms(run: Run, notes: Path) -> None:
    assert "read the ohms too" in run("beep", str(notes)).out


def test_answers_are_noted_one_by_one(notes: Path, talk: Callable[[str], str]) -> None:
    talk("r1.1\nnone\n")
    text = notes.read_text(encoding="utf-8")
    assert text.startswith(NOTES)
    assert "J1.1 = R1.1  # answer 1" in text
    assert "# answer 2" in text


def test_undo_and_skip_and_quit_are_words(notes: Path, talk: Callable[[str], str]) -> None:
    out = talk("r1.1\nundo\nskip\nquit\n")
    assert "taken back: J1.1 = R1.1" in out
    assert "# undone: J1.1 = R1.1" in notes.read_text(encoding="utf-8")


def test_a_leg_that_does_not_exist_is_asked_again(notes: Path, talk: Callable[[str], str]) -> None:
    out = talk("u77.1\nu9.99\nmaybe so please\n")
    assert "no part u77" in out
    assert "has no pin 99" in out
    assert notes.read_text(encoding="utf-8") == NOTES


def test_ohms_behind_the_leg_are_a_part_in_the_way(notes: Path, talk: Callable[[str], str]) -> None:
    talk("r1.1 33\n")
    assert "measured J1.1 to R1.1 33 ohm  # answer 1" in notes.read_text(encoding="utf-8")


def test_the_advice_as_json_holds_the_sweep_and_the_caution(run: Run, notes: Path) -> None:
    whole = json.loads(run("beep", str(notes), "--json").out)
    assert (whole["format"], whole["version"]) == ("rgbroots-beep", 1)
    assert whole["next"]["held"] == "J1.1"
    assert "unplugged" in whole["caution"]


def test_notes_without_any_resistor_say_what_to_add(run: Run, tmp_path: Path) -> None:
    path = tmp_path / "bare.notes"
    path.write_text(
        "U1 is 74LS374\nJ1 is plug, 4 legs\nred is J1.1\ngreen is J1.2\nblue is J1.3\n", encoding="utf-8"
    )
    code, out, _ = run("beep", str(path))
    assert code == 1
    assert "J1.1 (red), J1.2 (green), J1.3 (blue): add the resistors" in " ".join(out.split())


def test_a_full_netlist_is_sent_to_rehearse(run: Run) -> None:
    result = run("beep", str(NETLISTS / "dunlin" / "dunlin.net"))
    assert result.code == 2
    assert "rehearse" in result.err


def test_an_unknown_chip_gets_the_measurements_that_tell(run: Run, notes: Path) -> None:
    with notes.open("a", encoding="utf-8") as file:
        file.write("U31 is SCRATCHED\nU32 is ?, 20 legs\n")
    out = " ".join(run("beep", str(notes)).out.split())
    assert "U31 (SCRATCHED) has no entry" in out
    assert "beep legs 10 and 20 to a known ground and +5V" in out


def test_a_rehearsal_reports_touches_the_plain_way_and_the_map(run: Run) -> None:
    whole = json.loads(run("rehearse", str(NETLISTS / "wren" / "wren.net"), "--json").out)
    wanted = {"format", "version", "touches", "connections", "plain_touches", "entropy_bits", "map_right"}
    assert wanted <= set(whole)
    assert whole["map_right"] is True
    assert whole["touches"] < whole["plain_touches"]


def test_the_same_seed_errs_at_the_same_touches(run: Run) -> None:
    wren = str(NETLISTS / "wren" / "wren.net")
    first = run("rehearse", wren, "--wrong", "5%", "--seed", "3", "--json").out
    assert run("rehearse", wren, "--wrong", "5%", "--seed", "3", "--json").out == first


def test_practice_asks_and_writes_nothing(run: Run, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("sys.stdin", io.StringIO("r1.2\nquit\n"))
    monkeypatch.chdir(tmp_path)
    out = run("rehearse", str(NETLISTS / "wren" / "wren.net"), "--ask").out
    assert "1 connection" in out
    assert list(tmp_path.iterdir()) == []


@pytest.mark.parametrize(("text", "share"), [("3%", 0.03), ("0.03", 0.03), ("0", 0.0), (" 50% ", 0.5)])
def test_a_share_is_percent_or_a_fraction(text: str, share: float) -> None:
    assert parse_share(text) == pytest.approx(share)


@pytest.mark.parametrize("text", ["3", "-1%", "60%", "some", ""])
def test_other_shares_are_refused(text: str) -> None:
    with pytest.raises(UsageError, match="write --wrong 3%"):
        parse_share(text)
