"""Components, and eliminations that make small products."""

from __future__ import annotations

from collections.abc import Iterable
from itertools import pairwise, permutations
from random import Random

import pytest
from hypothesis import given
from hypothesis import strategies as st

from diag.inference import elimination
from diag.inference.elimination import (
    CALL,
    Closing,
    Component,
    Firing,
    Outline,
    Product,
    components,
)
from diag.inference.masks import positions

MOVED = 0b0101010101
"""Bits that are not summed in the drawn networks."""

outlines = st.lists(
    st.builds(Outline, st.integers(0, 2**10 - 1), st.sampled_from([0, 0, 5])), max_size=12
)


def tables(masks: list[int]) -> list[Outline]:
    """Factors of these bits that are tables."""
    return [Outline(mask) for mask in masks]


def _union(masks: Iterable[int]) -> int:
    union = 0
    for mask in masks:
        union |= mask
    return union


@given(outlines)
def test_components_share_no_bit_and_lose_no_factor(factors: list[Outline]) -> None:
    """Each factor of two bits or more is in exactly one component, and components are disjoint."""
    found = components(factors, MOVED)
    members = sorted(factor for component in found for factor in component.factors)
    assert members == [at for at, (mask, _) in enumerate(factors) if mask.bit_count() > 1]
    assert sum(c.bits.bit_count() for c in found) == _union(c.bits for c in found).bit_count()
    for component in found:
        assert component.bits == _union(factors[at].bits for at in component.factors)


@given(outlines)
def test_acts_eliminate_every_bit_once_and_use_every_factor_once(factors: list[Outline]) -> None:
    """Played with sets of bits: no bit is closed while another factor has it, and none is left."""
    for component in components(factors, MOVED):
        live = {at: factors[factor].bits for at, factor in enumerate(component.factors)}
        is_fired = [bool(factors[factor].fired) for factor in component.factors]
        closed: list[int] = []
        widest = max((m.bit_count() for at, m in live.items() if not is_fired[at]), default=0)
        cost = 0
        for number, act in enumerate(component.acts, start=len(live)):
            if isinstance(act, Product):
                assert not any(side < len(is_fired) and is_fired[side] for side in act)
                left, right = live.pop(act.left), live.pop(act.right)
                live[number] = left | right
                shared = (left & right & MOVED).bit_count()
                cost += 3**shared * (2 ** (live[number].bit_count() - shared) + CALL)
            elif isinstance(act, Firing):
                assert is_fired[act.cause]
                into = 0 if act.into is None else live.pop(act.into)
                live[number] = into | live.pop(act.cause)
                triggers = factors[component.factors[act.cause]].fired
                cost += (triggers + 2) * (2 ** live[number].bit_count() + CALL)
            else:
                assert live[act.of] >> act.bit & 1
                cost += 2 ** live[act.of].bit_count()
                live[number] = live.pop(act.of) & ~(1 << act.bit)
                assert not any(mask >> act.bit & 1 for mask in live.values())
                closed.append(act.bit)
            widest = max(widest, live[number].bit_count())
        assert list(live.values()) == [0]
        assert sorted(closed) == positions(component.bits)
        assert component.width == widest
        assert component.cost == cost


def test_chain_is_eliminated_with_three_open_bits() -> None:
    """Causes that each couple two neighbouring bits never need more than three bits open."""
    (found,) = components(tables([0b11 << at for at in (7, 2, 5, 0, 3, 6, 1, 4)]), 0)
    assert found.width <= 3


def test_star_is_eliminated_arm_by_arm() -> None:
    """Six chains that meet in one bit are no wider than one of them: no line needs six ends."""
    arms = [[0, *range(1 + 3 * arm, 4 + 3 * arm)] for arm in range(6)]
    masks = [1 << a | 1 << b for arm in arms for a, b in pairwise(arm)]
    (found,) = components(tables(masks), 0)
    assert found.width <= 3


def test_dense_causes_need_every_bit_open() -> None:
    """Causes that all reach all bits leave no order better than another."""
    (found,) = components(tables([0b1111] * 3), 0)
    assert found == Component((0, 1, 2), 0b1111, 4, found.cost, found.acts)
    products = [act for act in found.acts if not isinstance(act, Closing)]
    assert products == [Product(0, 1), Product(3, 2)]


def drawn_masks(seed: int, bits: int, causes: int, each: float) -> list[int]:
    """Causes that reach each bit with a chance that makes `each` bits on average."""
    draw = Random(seed)
    return [sum((draw.random() < each / bits) << bit for bit in range(bits)) for _ in range(causes)]


def cost_of(masks: list[int]) -> int:
    """The numbers that all components take together."""
    return sum(component.cost for component in components(tables(masks), 0))


def test_longer_search_is_never_dearer_and_sometimes_cheaper(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    """Looking longer never gives a dearer elimination, and on some networks a cheaper one."""
    drawn = [drawn_masks(seed, 22, 50, 2.5 + seed % 3) for seed in range(24)]
    monkeypatch.setattr(elimination, "TRY", 0)
    longer = [cost_of(masks) for masks in drawn]
    monkeypatch.setattr(elimination, "TRY", 1 << 60)
    short = [cost_of(masks) for masks in drawn]
    assert all(a <= b for a, b in zip(longer, short, strict=True))
    assert sum(longer) < sum(short)


def narrowest(masks: list[int]) -> int:
    """The least width over every order in which bits can be eliminated."""
    best = 99
    for order in permutations(positions(_union(masks))):
        live, width = list(masks), 0
        for bit in order:
            joined = _union(mask for mask in live if mask >> bit & 1)
            width = max(width, joined.bit_count())
            live = [mask for mask in live if not mask >> bit & 1] + [joined & ~(1 << bit)]
        best = min(best, width)
    return best


def test_search_finds_the_narrowest_elimination_of_tiny_networks(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    """Against every order of seven bits, none is narrower than that found."""
    monkeypatch.setattr(elimination, "TRY", 0)
    for seed in range(25):
        masks = [mask for mask in drawn_masks(seed, 7, 8, 2.6) if mask.bit_count() > 1]
        for component in components(tables(masks), 0):
            inside = [masks[at] for at in component.factors]
            assert component.width == narrowest(inside), seed


def test_search_is_as_cheap_as_one_line_of_products(monkeypatch: pytest.MonkeyPatch) -> None:
    """With many moved bits a tree can be dearer than a line; the cheaper one is taken."""
    drawn = [tables(drawn_masks(seed, 14, 60, 3.0)) for seed in range(12)]
    found = [sum(c.cost for c in components(factors, 2**14 - 1)) for factors in drawn]
    for way in (elimination._Way(), elimination._Way(in_line=True)):
        monkeypatch.setattr(elimination, "_ways", lambda bits, way=way: iter([way]))
        only = [sum(c.cost for c in components(factors, 2**14 - 1)) for factors in drawn]
        assert all(a <= b for a, b in zip(found, only, strict=True))
        assert sum(found) < sum(only)
