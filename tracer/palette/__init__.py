"""The colours that dumps of the palette memories show."""
