"""Random boards put together from the idioms that people draw, with the map that follows from how they were put together.

Nothing here asks the program: legs of chips stand in `chips`, and what a bit is follows from what was joined for it.
"""
