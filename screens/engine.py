"""The way from the screens to the engine, which is read in when it is first asked for."""

from __future__ import annotations

from collections.abc import Callable
from datetime import datetime
from pathlib import Path
from threading import Lock
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from diag.session.session import Session
    from diag.session.shelf import Shelf


class Engine:
    """Holds the shelf of one store. Every method may take long: call it in a thread.

    Args:
        store: the file of cases.
        knowledge: the folder of books.
        additions: the user's own folder that is laid over it.
        cache: a folder in which books are kept as they were read.
        clock: gives the time of events; the clock of this machine if None.
    """

    def __init__(
        self,
        store: Path,
        knowledge: Path,
        additions: Path | None = None,
        cache: Path | None = None,
        clock: Callable[[], datetime] | None = None,
    ) -> None:
        self.store = store
        self.knowledge = knowledge
        self.additions = additions
        self._cache = cache
        self._clock = clock
        self._lock = Lock()
        self._shelf: Shelf | None = None

    def shelf(self) -> Shelf:
        """The shelf.

        Raises:
            StoreError: the store can't be used.
        """
        with self._lock:
            if self._shelf is None:
                # Here and not above: it brings in numpy, and the first screen must not wait.
                from diag.session.shelf import Shelf

                clock = {} if self._clock is None else {"clock": self._clock}
                self._shelf = Shelf(
                    self.store, self.knowledge, self.additions, cache=self._cache, **clock
                )
            return self._shelf

    def reopen(self, case: str) -> Session:
        """Go on with a case."""
        return self.shelf().reopen(case)
