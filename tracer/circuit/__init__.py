"""The board as a graph: nets joined by what parts do between them."""
