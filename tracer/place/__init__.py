"""Where the parts of the colour path sit on the board, as a picture from either side."""
