"""From the colour pins back to the memory: which pins, which drivers are bits, the way back of each."""
