"""Every bad input gets one clear message, exit code 2 (1 for a book's problems), no traceback."""

from __future__ import annotations

import json
import os
import subprocess
import sys
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest
from small_case import BOOK, FAMILY, small_shelf, taken_in, worked_on

from diag.cases.store import CaseStore
from screens.cli.main import main

Run = Callable[..., tuple[int, str, str]]
BOMB = "a: &a [x, x]\n" + "".join(
    f"{b}: &{b} [{', '.join([f'*{a}'] * 9)}]\n" for a, b in zip("abcdefgh", "bcdefghi", strict=True)
)


@pytest.fixture
def run(tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]) -> Run:
    """Runs a command where a case of the small book lies; gives exit code, stdout, stderr."""
    session = worked_on(taken_in(small_shelf(tmp_path)))
    monkeypatch.chdir(tmp_path)
    small = ["--store", "cases.sqlite3", "--knowledge", "knowledge"]
    assert main(["case", "export", session.case, "--format", "case", "--to", "a.json", *small]) == 0
    capsys.readouterr()

    def call(*words: str) -> tuple[int, str, str]:
        return main(list(words)), *capsys.readouterr()

    return call


def case_id() -> str:
    """The id of the case."""
    (case,) = CaseStore(Path("cases.sqlite3")).cases()
    return case.id


@pytest.mark.parametrize(
    ("file", "old", "new", "where", "told"),
    [
        ("belt.yaml", "[renew]", "[renw]", "belt.yaml:10", "renew"),
        (
            "belt.yaml",
            "    ask: Is there",
            "    ask: twice\n    ask: Is there",
            "belt.yaml",
            "twice",
        ),
        ("belt.yaml", "prior: 0.2", "prior: 1.3", "belt.yaml", "1.3"),
        ("belt.yaml", "Worn belt", '"Worn \\e[2J belt"', "belt.yaml", "control"),
        ("family.yaml", "under: outside", "under: lid", "family.yaml", "lid"),
    ],
    ids=["reference", "key twice", "probability", "control character", "layer cycle"],
)
@pytest.mark.parametrize("command", ["check", "show"])
def test_spoilt_book_is_told_with_file_and_line(
    run: Run, command: str, file: str, old: str, new: str, where: str, told: str
) -> None:
    """The place and what is wrong; every command that needs the book says the same."""
    text = {"belt.yaml": BOOK, "family.yaml": FAMILY}[file]
    assert old in text
    Path("knowledge", "tape", file).write_text(text.replace(old, new, 1), encoding="utf-8")
    if command == "check":
        code, out, err = run("knowledge", "check", "knowledge")
        assert code == 1
        message = out + err
    else:
        call = ["case", "show", case_id(), "--store", "cases.sqlite3", "--knowledge", "knowledge"]
        code, out, message = run(*call)
        assert (code, out) == (2, "")
    assert where in message
    assert told in message
    assert "\x1b" not in message
    assert "Traceback" not in message


@pytest.mark.parametrize(
    "junk", [BOMB, "x" * 5_000_000, "{" * 5000, "\x00\x01"], ids=["bomb", "5 MB", "nested", "nul"]
)
def test_book_of_junk_is_refused_in_a_moment(run: Run, junk: str) -> None:
    """One message that names the file."""
    Path("knowledge", "tape", "junk.yaml").write_text(junk, encoding="utf-8")
    code, out, err = run("knowledge", "check", "knowledge")
    assert code == 1
    assert "junk.yaml" in out
    assert len(out) + len(err) < 2000


def spoilt(change: Callable[[dict[str, Any]], object]) -> str:
    """The exported case with a change."""
    plain = json.loads(Path("a.json").read_text(encoding="utf-8"))
    change(plain)
    return json.dumps(plain)


@pytest.mark.parametrize(
    ("make", "told"),
    [
        (lambda: spoilt(lambda p: p.update(benchtrail_case=99)), "Update benchtrail"),
        (lambda: Path("a.json").read_text()[:700], "breaks off"),
        (lambda: "x" * 5_000_000, "no whole JSON"),
        (lambda: "[]", "no case file"),
        (lambda: spoilt(lambda p: p["events"][0].update(name="a\u001bb")), "U+001B"),
        (lambda: spoilt(lambda p: p["events"][2].update(kind="sung")), "'sung'"),
        (lambda: spoilt(lambda p: p.update(events=[])), "no events"),
    ],
    ids=["newer", "cut in half", "5 MB", "other JSON", "control character", "kind", "empty"],
)
def test_spoilt_case_file_is_told_and_nothing_taken_in(
    run: Run, make: Callable[[], str], told: str
) -> None:
    """The message names the file and what to do; the store is as before."""
    Path("bad.json").write_text(make(), encoding="utf-8")
    before = CaseStore(Path("cases.sqlite3")).cases()
    code, out, err = run("case", "import", "bad.json", "--store", "cases.sqlite3")
    assert (code, out) == (2, "")
    assert err.startswith("bad.json")
    assert told in err
    assert err.count("\n") == 1
    assert CaseStore(Path("cases.sqlite3")).cases() == before


def test_case_of_unknown_family_is_kept_and_told(run: Run) -> None:
    """It is taken in whole; to open it, a book is asked for."""
    text = spoilt(lambda p: p["events"][0].update(family="wire"))
    Path("wire.json").write_text(text, encoding="utf-8")
    where = ["--store", "wire.sqlite3", "--knowledge", "knowledge"]
    code, out, _ = run("case", "import", "wire.json", *where)
    assert code == 0
    for command in (["case", "show", out.strip()], ["ask", "--case", out.strip()]):
        code, printed, err = run(*command, *where)
        assert (code, printed) == (2, "")
        assert "wire" in err


def test_answer_that_the_book_lost_is_told_in_the_trail(run: Run) -> None:
    """The case opens, says which event does not count, and keeps every event."""
    text = BOOK.replace("hangs:", "loose:")
    Path("knowledge", "tape", "belt.yaml").write_text(text, encoding="utf-8")
    code, out, _ = run(
        "case", "show", case_id(), "--store", "cases.sqlite3", "--knowledge", "knowledge"
    )
    assert code == 0
    assert "Event 10: the check 'look\\_belt' has no answer 'hangs' any more" in out
    assert len(CaseStore(Path("cases.sqlite3")).events(case_id())) == 16


@pytest.mark.parametrize(
    ("words", "told"),
    [
        (["case", "show", "c-none"], "no such case"),
        (["case", "export", "c-none"], "no such case"),
        (["case", "show", "\x1b[2J"], "id of the case"),
        (["ask", "--case", "c-none"], "no such case"),
        (["case", "import", "missing.json"], "missing.json"),
        (["case", "import", "."], "no file"),
        (["ask", "--knowledge", "missing"], "missing"),
    ],
)
def test_call_for_what_is_not_there_is_told(run: Run, words: list[str], told: str) -> None:
    """One line on stderr, exit code 2, nothing on stdout."""
    where = ["--store", "cases.sqlite3"]
    code, out, err = run(*words, *where, *([] if "--knowledge" in words else KNOWLEDGE))
    assert (code, out) == (2, "")
    assert told in err
    assert err.count("\n") == 1
    assert "\x1b" not in err


KNOWLEDGE = ["--knowledge", "knowledge"]


@pytest.mark.parametrize("store", ["a.json", "knowledge", "a.json/x.sqlite3", "/proc/x.sqlite3"])
@pytest.mark.parametrize("words", [["case", "list"], ["ask"]])
def test_store_that_is_none_is_told(run: Run, words: list[str], store: str) -> None:
    """A foreign file, a folder, a file as folder, and a folder that takes nothing."""
    known = Path("a.json").read_bytes()
    code, out, err = run(*words, "--store", store, *KNOWLEDGE)
    assert (code, out) == (2, "")
    assert store.split("/")[-1] in err
    assert Path("a.json").read_bytes() == known


def test_export_to_a_place_that_takes_nothing_is_told(run: Run) -> None:
    """A folder that is missing, and one in which nothing can be made."""
    for place in ("missing/a.md", "/proc/a.md"):
        code, _, err = run(
            "case", "export", case_id(), "--to", place, "--store", "cases.sqlite3", *KNOWLEDGE
        )
        assert code == 2
        assert err.startswith(place)


def installed(
    words: list[str], typed: bytes = b"", **more: str
) -> subprocess.CompletedProcess[bytes]:
    """The command in a process of its own."""
    code = "from screens.cli.main import run; run()"
    environment = {**os.environ, **more}
    return subprocess.run(
        [sys.executable, "-c", code, *words],
        input=typed,
        capture_output=True,
        check=False,
        env=environment,
        timeout=60,
    )


def test_bytes_that_are_no_text_leave_no_traceback(run: Run, tmp_path: Path) -> None:
    """A terminal of another encoding gets stand-ins, and the case is kept."""
    done = installed(
        ["ask", "--store", str(tmp_path / "b.sqlite3"), "--knowledge", str(tmp_path / "knowledge")],
        b"D\xe9ck\n\n.\n\xff\xfe\nn\n\xc3\nq\n",
        PYTHONIOENCODING="ascii",
    )
    assert done.returncode == 0, done.stderr
    assert done.stderr == b""
    assert len(CaseStore(tmp_path / "b.sqlite3").cases()) == 1


def test_reader_that_goes_away_leaves_no_traceback(run: Run, tmp_path: Path) -> None:
    """A closed pipe ends the command quietly."""
    words = ["case", "show", case_id(), "--store", str(tmp_path / "cases.sqlite3")]
    code = "from screens.cli.main import run; run()"
    call = [sys.executable, "-c", code, *words, "--knowledge", str(tmp_path / "knowledge")]
    reading, writing = os.pipe()
    os.close(reading)
    with subprocess.Popen(call, stdout=writing, stderr=-1) as child:
        os.close(writing)
        assert child.stderr is not None
        assert child.stderr.read() == b""
    assert child.returncode == 0


def test_full_disk_loses_nothing_that_was_told(run: Run, tmp_path: Path) -> None:
    """Where the disk takes no more, each step says so, and what was told before is kept."""
    store = tmp_path / "cases.sqlite3"
    before = CaseStore(store).events(case_id())
    code = "import resource as r; r.setrlimit(r.RLIMIT_FSIZE, (8192, 8192)); "
    code += "import signal; signal.signal(signal.SIGXFSZ, signal.SIG_IGN); "
    code += "from screens.cli.main import run; run()"
    words = ["ask", "--case", case_id(), "--store", str(store), *KNOWLEDGE]
    done = subprocess.run(
        [sys.executable, "-c", code, *words],
        input=b"n\na note\nn\n" + b"long " * 3000 + b"\nq\n",
        capture_output=True,
        check=False,
        timeout=60,
    )
    assert b"Traceback" not in done.stderr
    assert b"disk" in done.stdout + done.stderr
    assert CaseStore(store).events(case_id())[: len(before)] == before
