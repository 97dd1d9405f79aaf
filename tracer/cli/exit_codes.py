"""What the program ends with; `rgbroots help exit` says it command by command."""

__all__ = ["OK", "STOPPED", "UNREADABLE"]

#: Done, and nothing is open.
OK = 0
#: Done, but something stopped or was not understood; the output says what.
STOPPED = 1
#: A file could not be read or written, or the command was wrong.
UNREADABLE = 2
