"""What follows from the output stage: volts by code, what each leg reads, board on and off."""
