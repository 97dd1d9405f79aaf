"""What every room uses: errors, findings, names, numbers and units, text, reading and writing files."""
