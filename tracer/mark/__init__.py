"""A board's own drawing in colour: copies of KiCad files in which the paths of the colours can be seen."""
