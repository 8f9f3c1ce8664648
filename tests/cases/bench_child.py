"""A window of its own for the tests of the store: writes notes and tells each that is on disk.

Called with the store, the id of a case, how many notes to write and how many bytes a file may
have (0: no limit). Every number that `append` returned goes to stdout at once.
"""

from __future__ import annotations

import resource
import sys
from datetime import UTC, datetime
from pathlib import Path

from diag.cases.events import Noted
from diag.cases.store import CaseStore
from diag.errors import CaseError, StoreError


def write_notes(store: CaseStore, case_id: str, count: int) -> None:
    """Append notes; after another window came first, look again and go on."""
    written = 0
    last = len(store.events(case_id))
    while written < count:
        note = Noted(f"Note {last + 1} " + "x" * 200, at=datetime.now(UTC))
        try:
            last = store.append(case_id, note, after=last)
        except CaseError:
            last = len(store.events(case_id))
            continue
        written += 1
        sys.stdout.write(f"{last}\n")
        sys.stdout.flush()


if __name__ == "__main__":
    store = CaseStore(Path(sys.argv[1]))
    if limit := int(sys.argv[4]):
        resource.setrlimit(resource.RLIMIT_FSIZE, (limit, limit))
    try:
        write_notes(store, sys.argv[2], int(sys.argv[3]))
    except StoreError as error:
        sys.stderr.write(str(error))
        sys.exit(3)
