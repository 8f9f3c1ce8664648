"""What a command tells the shell."""

from __future__ import annotations

from enum import IntEnum


class Exit(IntEnum):
    """0 done; 1 the answer is no (a book has problems); 2 the call or its input is wrong."""

    DONE = 0
    PROBLEMS = 1
    WRONG_CALL = 2
    INTERRUPTED = 130
