"""KiCad: schematics, netlists and boards of its versions."""
