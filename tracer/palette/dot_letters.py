"""Letters of 5 x 7 dots, for pictures made of pixels without a font.

Each letter is five columns, left to right; bit 0 of a column is the top dot. Small letters are drawn as capitals,
a letter that is not here as a frame.
"""

from __future__ import annotations

__all__ = ["ADVANCE", "HEIGHT", "dots"]

#: From a letter to the next, and the height of a letter, in dots.
ADVANCE, HEIGHT = 6, 7

_COLUMNS = {
    letter: bytes.fromhex(columns)
    for letter, columns in (
        row.split()
        for row in """
        0 3e5149453e  1 00427f4000  2 4261514946  3 2141454b31  4 1814127f10  5 2745454539  6 3c4a494930
        7 0171090503  8 3649494936  9 064949291e  A 7e1111117e  B 7f49494936  C 3e41414122  D 7f4141221c
        E 7f49494941  F 7f09090901  G 3e4149497a  H 7f0808087f  I 00417f4100  J 2040413f01  K 7f08142241
        L 7f40404040  M 7f020c027f  N 7f0408107f  O 3e4141413e  P 7f09090906  Q 3e4151215e  R 7f09192946
        S 4649494931  T 01017f0101  U 3f4040403f  V 1f2040201f  W 3f4038403f  X 6314081463  Y 0708700807
        Z 6151494543  # 147f147f14  . 0060600000  , 0050300000  : 0036360000  - 0808080808  / 2010080402
        ( 001c224100  ) 0041221c00  _ 4040404040  + 08083e0808  = 1414141414
        """.replace("  ", "\n").splitlines()
        if row.strip()
    )
}
_COLUMNS[" "] = bytes(5)
_FRAME = bytes.fromhex("7f4141417f")


def dots(words: str) -> list[tuple[int, int]]:
    """The dots of a line of text: right and down from its top left corner."""
    found = []
    for place, letter in enumerate(words.upper()):
        for x, column in enumerate(_COLUMNS.get(letter, _FRAME)):
            found += [(place * ADVANCE + x, y) for y in range(HEIGHT) if column >> y & 1]
    return found
