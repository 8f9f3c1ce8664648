"""A small book on disk that tests may spoil."""

from __future__ import annotations

from pathlib import Path

import pytest

from diag.errors import KnowledgeError, Problem
from diag.model.book import Book
from diag.reading.book import read_book

FAMILY = """\
family: tape
says: Machines of this test
traits:
  drive: {ask: 'What turns the capstan?', one_of: [belt, idler, direct]}
  mains_motor: {ask: 'Is the motor fed from the mains?', one_of: [yes, no]}
layers:
  outside: {}
  lid: {under: outside, open: 4, close: 4}
  transport: {under: lid, open: 35, close: 45, upsets: {idler_glazed: 0.05}}
symptoms:
  spills: {says: Spills tape, signs: [tape_spills], walk: spills}
walks:
  spills:
    check: hubs_in_play
    then:
      both: {check: speed_error, why: Speed first.}
final_test: [hubs_in_play]
"""

IDLER = """\
signs:
  reels_dead: {says: no hub turns, leak: 0.01}
  takeup_dead: {says: the take-up hub stands still, leak: {value: 0.005, basis: judgement}}
  tape_spills: {says: tape spills, leak: 0.01}
  speed_low: {says: too slow, leak: 0.01}
  speed_high: {says: too fast, leak: 0.01}
causes:
  idler_glazed:
    says: Idler tyre glazed
    prior: {45: 0.45, 20: 0.10}
    where: {drive: [belt, idler]}
    raised_by: {strap_wrong: 1.5}
    shows: {takeup_dead: 0.7, tape_spills: 0.4}
    mended_by: [clean_idler]
    cites: [idler_first]
checks:
  hubs_in_play:
    ask: Which hubs turn?
    at: outside
    minutes: 1
    answers:
      neither: {says: Neither, present: [reels_dead]}
      supply_only: {says: Only the supply hub, present: [takeup_dead]}
      both:
  speed_error:
    ask: What is the speed error?
    measures: {quantity: speed_error, unit: "%"}
    at: outside
    minutes: 6
    answers:
      slow: {below: -1.5, present: [speed_low]}
      fast: {above: 1.5, present: [speed_high]}
      right: {says: Within 1.5 %}
remedies:
  clean_idler: {says: Clean the tyre, minutes: 15, at: transport, cures: 0.6}
thumbs:
  idler_first: {says: Clean the idler before touching its spring, source: common_practice}
rules:
  - id: strap
    when: {all: [{trait: mains_motor, is: yes}, {fact: strap_hz, differs_from: local_hz}]}
    then: [{derive: strap_wrong}, {cite: idler_first}]
  - id: alone
    when: {sign: takeup_dead, is: present}
    then: [{cite: idler_first}]
"""


class BookFolder:
    """A family's folder; `with_part` puts another file into it, `spoil` changes one."""

    def __init__(self, root: Path) -> None:
        self.root = root
        self.folder = root / "tape"
        (self.folder / "reels").mkdir(parents=True)
        self.put("family.yaml", FAMILY)
        self.put("reels/idler.yaml", IDLER)

    def put(self, name: str, text: str | bytes) -> None:
        """Write a file of the family."""
        path = self.folder / name
        path.write_bytes(text.encode() if isinstance(text, str) else text)

    def spoil(self, name: str, old: str, new: str) -> None:
        """Replace a text that must be there."""
        text = (self.folder / name).read_text(encoding="utf-8")
        assert old in text
        self.put(name, text.replace(old, new))

    def read(self) -> Book:
        """The book."""
        return read_book(self.root, "tape")

    def problems(self) -> tuple[Problem, ...]:
        """What is wrong with it; fails if nothing is."""
        with pytest.raises(KnowledgeError) as caught:
            self.read()
        return caught.value.problems
