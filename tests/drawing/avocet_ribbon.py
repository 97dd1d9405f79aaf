"""The 20-way ribbon between avocet's two boards."""

from __future__ import annotations

__all__ = ["RIBBON", "ribbon_nets"]

#: Leg -> what it carries: a colour's bit, a supply, or a signal.
RIBBON: dict[int, str] = {
    1: "+5V", 2: "+5V", 3: "red 0", 4: "red 1", 5: "red 2", 6: "red 3", 7: "green 0", 8: "green 1", 9: "green 2",
    10: "green 3", 11: "blue 0", 12: "blue 1", 13: "blue 2", 14: "blue 3", 15: "GND", 16: "PIXCLK", 17: "GND",
    18: "BLANK_N", 19: "GND", 20: "CSYNC_N",
}  # fmt: skip


def ribbon_nets(red: str, green: str, blue: str) -> str:
    """The nets of the header's legs; colours as a letter or word in front of the bit's number."""
    words = {"red": red, "green": green, "blue": blue}
    rows: list[str] = []
    for leg, carried in RIBBON.items():
        colour, _, bit = carried.partition(" ")
        rows.append(f"#{leg}={words[colour]}{bit}" if bit else f"#{leg}={carried}")
    return " ".join(rows)
