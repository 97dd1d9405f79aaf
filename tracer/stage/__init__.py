"""The output stage: what stands between a colour pin and its drivers, solved as a circuit."""
