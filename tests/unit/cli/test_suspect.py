"""The command suspect."""

from __future__ import annotations

import json
from pathlib import Path

import pytest

from tracer.cli.main import main

DUNLIN = "netlists/dunlin/dunlin.net"
OPENING = ("--seen", "blue=fine", "--seen", "red=missing", "--seen", "green=flickers")


def run(capsys: pytest.CaptureFixture[str], *argv: str) -> tuple[int, str, str]:
    code = main(argv)
    out, err = capsys.readouterr()
    return code, out, err


def test_the_opening_case(capsys: pytest.CaptureFixture[str]) -> None:
    """Blue is fine, red is gone, green flickers: the chips that red and green share, not those of blue."""
    code, out, err = run(capsys, "suspect", DUNLIN, *OPENING)
    assert (code, err) == (0, "")
    assert max(map(len, out.splitlines())) <= 80
    suspects = out[out.index("SUSPECTS") : out.index("NEXT")]
    first = [line.split()[1] for line in suspects.splitlines() if line[:6].strip().endswith("%")]
    assert set(first[:2]) == {"U9", "U13"}
    assert not {"U14", "U10"} & set(first)
    step = next(x for x in out.splitlines() if x.startswith("  1. "))
    assert "U13" in step or "U9" in step


def test_json_is_what_others_read(capsys: pytest.CaptureFixture[str]) -> None:
    code, out, _ = run(capsys, "suspect", DUNLIN, *OPENING, "--json")
    whole = json.loads(out)
    assert code == 0
    assert (whole["format"], whole["version"]) == ("rgbroots-suspects", 1)
    first = whole["suspects"][0]
    assert set(first) == {"part", "type", "place", "what", "at", "pins", "probability", "faults", "why"}
    assert (first["part"], first["type"], first["place"], first["what"]) == ("U9", "6116", "7D", "chip")
    for measurement in whole["next"]:
        assert set(measurement) == {
            "what",
            "kind",
            "ends",
            "swept",
            "where",
            "minutes",
            "caution",
            "outcomes",
        }
        assert sum(o["probability"] for o in measurement["outcomes"]) == pytest.approx(1.0, abs=1e-4)


def test_evidence_in_notes_and_on_the_line_add_up(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    notes = tmp_path / "bench.notes"
    notes.write_text("seen red missing\nseen blue fine\nread U13.19 stuck low\n", encoding="utf-8")
    code, out, _ = run(capsys, "suspect", DUNLIN, str(notes), "--read", "U13.18=pulsing", "--json")
    assert code == 0
    whole = json.loads(out)
    assert whole["evidence"] == ["red missing", "blue fine", "U13.19 8Q reads low", "U13.18 8D reads pulsing"]
    assert whole["suspects"][0]["part"] == "U13"


def test_without_evidence_it_says_how_to_give_some(capsys: pytest.CaptureFixture[str]) -> None:
    code, out, _ = run(capsys, "suspect", DUNLIN)
    assert code == 0
    assert "No evidence yet" in out


def test_without_a_chip(capsys: pytest.CaptureFixture[str]) -> None:
    code, out, _ = run(capsys, "suspect", DUNLIN, "--without", "U9")
    assert code == 0
    assert out == "dunlin without U9: red always on, green always on, blue fine\n"


def test_every_measurement_that_is_proposed_can_be_told(capsys: pytest.CaptureFixture[str]) -> None:
    argv = [
        "--beep", "U9.17 to U13.18=none", "--ohms", "R1=as it should be", "--pressed", "U13=no change",
        "--swapped", "U9=no change", "--read", "U13.19=floating",
    ]  # fmt: skip
    code, out, err = run(capsys, "suspect", DUNLIN, "--seen", "red=always on", *argv, "--json")
    assert (code, err) == (0, "")
    whole = json.loads(out)
    # U9 was swapped without a change, which would have renewed its joint: the other end comes first.
    assert (whole["suspects"][0]["what"], whole["suspects"][0]["pins"]) == ("joint", ["18", "17"])


def test_the_next_step_says_how_to_tell_its_answer(capsys: pytest.CaptureFixture[str]) -> None:
    _, out, _ = run(capsys, "suspect", DUNLIN, *OPENING)
    option, _, told = out.partition("for example ")[2].split("\n")[0].partition(" ")
    code, _, err = run(capsys, "suspect", DUNLIN, *OPENING, option, told.strip("'"))
    assert (code, err) == (0, "")


def test_warmth_speaks_for_joints_and_one_layer_for_what_is_outside(
    capsys: pytest.CaptureFixture[str],
) -> None:
    def first(*argv: str) -> dict[str, object]:
        _, out, _ = run(capsys, "suspect", DUNLIN, *argv, "--json")
        found: dict[str, object] = json.loads(out)["suspects"][0]
        return found

    assert first("--seen", "red=flickers when warm")["what"] in ("joint", "chip")
    assert first("--seen", "red=wrong in the sprites only")["what"] == "outside"


def test_what_any_fault_shows(capsys: pytest.CaptureFixture[str]) -> None:
    code, out, _ = run(capsys, "suspect", DUNLIN, "--fault", "u13.19 stuck")
    assert code == 0
    assert out.splitlines() == [
        "U13.19 8Q stuck low: red weak, green fine, blue fine",
        "U13.19 8Q stuck high: red always on, green fine, blue fine",
    ]


def test_what_fits_in_the_place_of_the_suspect(capsys: pytest.CaptureFixture[str]) -> None:
    _, out, _ = run(capsys, "suspect", DUNLIN, "--seen", "red=missing", "--seen", "green=missing", "--seen", "blue=fine", "--read", "U13.19=low",
                    "--read", "U13.18=pulsing")  # fmt: skip
    text = " ".join(out.split())
    assert "In place of 74LS273 fit 74ALS273, 74F273" in text
    assert "swapped U13, cured" in text


def test_mixed_colours_and_shapes_on_the_command_line(capsys: pytest.CaptureFixture[str]) -> None:
    """Without red white is cyan and yellow green: the one colour is found without its name being said."""
    code, out, err = run(capsys, "suspect", DUNLIN, "--seen", "white as cyan", "--seen", "yellow=as lime",
                         "--seen", "shapes right", "--json")  # fmt: skip
    assert (code, err) == (0, "")
    whole = json.loads(out)
    assert whole["evidence"] == ["white as cyan", "yellow as lime", "the shapes are right"]
    assert "red" in whole["suspects"][0]["why"]


def test_what_was_denied_is_said_as_denied(capsys: pytest.CaptureFixture[str]) -> None:
    _, out, _ = run(
        capsys, "suspect", DUNLIN, "--seen", "red=not fine", "--read", "u13.19=not pulsing", "--json"
    )
    assert json.loads(out)["evidence"] == ["red not fine", "U13.19 8Q reads not pulsing"]


def test_all_colours_at_once(capsys: pytest.CaptureFixture[str]) -> None:
    _, out, _ = run(capsys, "suspect", DUNLIN, "--seen", "all=missing", "--json")
    assert json.loads(out)["evidence"] == ["red missing", "green missing", "blue missing"]


def test_a_swap_of_a_soldered_chip_takes_longer(capsys: pytest.CaptureFixture[str]) -> None:
    """The chip is all but certain, so the swap that proves it comes first."""
    legs = ("19=low", "18=pulsing", "15=low", "14=pulsing", "11=pulsing", "1=high", "20=high", "10=low")

    def swap(option: str) -> list[float]:
        _, out, _ = run(capsys, "suspect", DUNLIN, "--seen", "red=missing", "--seen", "green=missing", "--seen",
                        "blue=fine", *(f"--read=U13.{leg}" for leg in legs), option, "U13", "--json")  # fmt: skip
        return [m["minutes"] for m in json.loads(out)["next"] if m["what"] == "swap U13"]

    assert (swap("--socket"), swap("--soldered")) == ([4.0], [25.0])


@pytest.mark.parametrize(
    ("argv", "words"),
    [
        (("--socket", "U99"), "U99 is no part"),
        (("--socket", "U9", "--soldered", "U9"), "in a socket and soldered"),
        (("--read", "U13.19=12 V"), "12 V at U13.19 cannot be"),
        (("--seen", "red=banded"), "cannot be weighed"),
        (("--seen", "white as purpel"), "no name of a colour"),
        (("--seen", "red"), "is not understood"),
        (("--seen", "red=purple"), "is no word for what the screen does"),
        (("--seen", "mauve=missing"), "mauve is no colour"),
        (("--read", "U13.19=yes"), "is no reading"),
        (("--read", "U1.1=low"), "is no leg of the colour path"),
        (("--swapped", "U9=perhaps"), "does not say"),
        (("--beep", "U1.1 to U2.2=none"), "is not in the colour path"),
        (("--beep", "U9.17 to U13.18=perhaps"), "does not say whether"),
        (("--ohms", "R1=blue"), "does not say what the meter showed at R1"),
        (("--pressed", "U13=perhaps"), "does not say what pressing"),
        (("--swapped", "U99=cured"), "is not in the colour path"),
        (("--fault", "U99 stuck"), "no fault of this path"),
        (("--without", "U1"), "no chip of the colour path"),
        (("--priors", "nowhere.toml"), "there is no such file"),
    ],
)
def test_wrong_use_is_a_sentence(
    capsys: pytest.CaptureFixture[str], argv: tuple[str, ...], words: str
) -> None:
    code, out, err = run(capsys, "suspect", DUNLIN, *argv)
    assert (code, out) == (2, "")
    assert words in err
    assert "fix: " in err


def test_priors_of_ones_own(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    priors = tmp_path / "mine.toml"
    priors.write_text("[share]\nram = 5\n", encoding="utf-8")
    _, out, _ = run(capsys, "suspect", DUNLIN, *OPENING, "--priors", str(priors), "--json")
    assert json.loads(out)["suspects"][0]["part"] == "U9"
