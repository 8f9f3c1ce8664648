"""The engine of benchtrail: what is known of tape decks, and what follows from what was seen.

Knows no screen, no terminal and no command line.
"""

__version__ = "0.1.0"
