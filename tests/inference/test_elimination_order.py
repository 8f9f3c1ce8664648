"""Components, and sweep orders that keep few bits open."""

from __future__ import annotations

from itertools import permutations
from random import Random

import pytest
from hypothesis import given
from hypothesis import strategies as st

from diag.inference import order
from diag.inference.order import Component, components, positions

masks = st.lists(st.integers(0, 2**10 - 1), max_size=12)


def swept_width(causes: list[int], order: tuple[int, ...]) -> int:
    """The most bits open at once, counted from first and last use of each."""
    used = {bit for cause in order for bit in positions(causes[cause])}
    at = {bit: [k for k, cause in enumerate(order) if causes[cause] >> bit & 1] for bit in used}
    return max(sum(at[b][0] <= k <= at[b][-1] for b in used) for k in range(len(order)))


@given(masks)
def test_components_share_no_bit_and_lose_no_cause(causes: list[int]) -> None:
    """Each cause of two bits or more is in exactly one component, and components are disjoint."""
    found = components(causes)
    swept = sorted(cause for component in found for cause in component.steps)
    assert swept == [cause for cause, mask in enumerate(causes) if mask.bit_count() > 1]
    assert sum(c.bits.bit_count() for c in found) == _union(c.bits for c in found).bit_count()
    for component in found:
        assert component.bits == _union(causes[cause] for cause in component.steps)


def _union(bits: object) -> int:
    union = 0
    for mask in bits:  # type: ignore[attr-defined]
        union |= mask
    return union


@given(masks)
def test_width_is_that_of_the_order(causes: list[int]) -> None:
    """The width foretold is the width that the sweep will have."""
    for component in components(causes):
        assert component.width == swept_width(causes, component.steps)


def test_chain_is_swept_with_two_open_bits() -> None:
    """Causes that each couple two neighbouring bits need only two bits open."""
    chain = [0b11 << at for at in (7, 2, 5, 0, 3, 6, 1, 4)]
    (found,) = components(chain)
    assert found.width == 2


def test_dense_causes_need_every_bit_open() -> None:
    """Causes that all reach all bits leave no order better than another."""
    assert components([0b1111] * 3) == [Component(steps=(0, 1, 2), bits=0b1111, width=4)]


def drawn_masks(seed: int, bits: int, causes: int, each: float) -> list[int]:
    """Causes that reach each bit with a chance that makes `each` bits on average."""
    draw = Random(seed)
    return [sum((draw.random() < each / bits) << bit for bit in range(bits)) for _ in range(causes)]


def widest_of(causes: list[int]) -> int:
    """The width of the widest component."""
    return max((component.width for component in components(causes)), default=0)


def test_longer_search_is_never_wider_and_sometimes_narrower(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    """Looking longer for an order never gives a wider one, and on some networks a narrower one."""
    drawn = [drawn_masks(seed, 22, 50, 2.5 + seed % 3) for seed in range(24)]
    monkeypatch.setattr(order, "TRY", 0)
    longer = [widest_of(masks) for masks in drawn]
    monkeypatch.setattr(order, "TRY", 1 << 40)
    short = [widest_of(masks) for masks in drawn]
    assert all(a <= b for a, b in zip(longer, short, strict=True))
    assert sum(longer) < sum(short)


def test_search_finds_the_best_order_of_tiny_networks(monkeypatch: pytest.MonkeyPatch) -> None:
    """Against every order of up to six causes of eight bits, none is narrower than that found."""
    monkeypatch.setattr(order, "NARROW", 0)
    monkeypatch.setattr(order, "TRY", 0)
    for seed in range(40):
        masks = drawn_masks(seed, 8, 6, 3.0)
        for component in components(masks):
            orders = permutations(component.steps)
            assert component.width == min(swept_width(masks, tried) for tried in orders), seed
