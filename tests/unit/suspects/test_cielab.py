"""Colours by name, and how far apart they look."""

from __future__ import annotations

import pytest

from tracer.base.errors import UsageError
from tracer.suspects.cielab import COLOUR_NAMES, colour_called, distance, lab_of


@pytest.mark.parametrize(
    ("rgb", "lab"),
    [
        # B. Lindbloom, CIE Color Calculator (brucelindbloom.com), sRGB, reference white D65, from memory; the package
        # coloraide 8 (lab-d65) gives the same to 0.03.
        ((255, 255, 255), (100.0, 0.0, 0.0)),
        ((255, 0, 0), (53.24, 80.09, 67.20)),
        ((0, 255, 0), (87.73, -86.18, 83.18)),
        ((0, 0, 255), (32.30, 79.19, -107.86)),
        ((255, 255, 0), (97.14, -21.55, 94.48)),
        ((0, 255, 255), (91.11, -48.09, -14.13)),
        ((255, 0, 255), (60.32, 98.23, -60.82)),
        ((128, 128, 128), (53.59, 0.0, 0.0)),
        ((0, 0, 0), (0.0, 0.0, 0.0)),
    ],
)
def test_published_values(rgb: tuple[float, float, float], lab: tuple[float, float, float]) -> None:
    assert lab_of(rgb) == pytest.approx(lab, abs=0.06)


def test_names_of_css_and_figures() -> None:
    """CSS Color Module Level 4, 6.1: 148 names, two spellings of grey; the same colour in figures."""
    assert len(COLOUR_NAMES) == 148
    assert colour_called("RebeccaPurple") == colour_called("#663399")
    assert colour_called("light slate grey") == colour_called("lightslategray") == (119, 136, 153)
    assert colour_called("green") == (0, 128, 0)


@pytest.mark.parametrize("word", ["purpel", "#12345", "#1234567", "", "sky", "red;green"])
def test_what_is_no_colour_is_refused_with_near_ones(word: str) -> None:
    with pytest.raises(UsageError) as caught:
        colour_called(word)
    assert "#rrggbb" in str(caught.value.fix)


def test_far_is_far() -> None:
    white, yellow, blue = (lab_of(colour_called(w)) for w in ("white", "lightyellow", "blue"))
    assert distance(white, yellow) < 20 < 100 < distance(white, blue)
