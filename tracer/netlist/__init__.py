"""A board as its drawing says it: parts, pins and nets; several files about one board, boards joined by a cable."""
