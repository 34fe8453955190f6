"""What many ask at once is done in rounds, and one's trouble is nobody else's."""

from __future__ import annotations

import asyncio
import threading
from collections.abc import Sequence

import pytest

from linewright.practice.server.request_batching import RequestBatches
from linewright.support.errors import UnusableInput


class Doubler:
    """Doubles numbers, refuses odd ones, breaks on a negative one; keeps each round, and can be held up."""

    def __init__(self) -> None:
        self.rounds: list[list[int]] = []
        self.open = threading.Event()
        self.open.set()

    def __call__(self, asked: Sequence[int]) -> list[int | UnusableInput]:
        self.open.wait(10)
        self.rounds.append(list(asked))
        if min(asked) < 0:
            raise OSError("the disk is gone")
        return [UnusableInput("odd", "Ask for an even one.") if number % 2 else 2 * number for number in asked]


def test_those_who_ask_meanwhile_share_rounds_of_bounded_size_in_their_order() -> None:
    doubler = Doubler()

    async def many() -> list[int]:
        gathering = RequestBatches(doubler, 4)
        return await asyncio.gather(*(gathering.ask(2 * number) for number in range(10)))

    assert asyncio.run(many()) == [4 * number for number in range(10)]
    assert doubler.rounds == [[0, 2, 4, 6], [8, 10, 12, 14], [16, 18]]


def test_what_cannot_be_answered_for_one_is_answered_for_the_others() -> None:
    async def three() -> list[int | BaseException]:
        gathering = RequestBatches(Doubler(), 8)
        return await asyncio.gather(*map(gathering.ask, (2, 3, 4)), return_exceptions=True)

    first, odd, last = asyncio.run(three())
    assert (first, last) == (4, 8)
    assert isinstance(odd, UnusableInput) and "odd" in str(odd)


def test_a_broken_round_is_told_to_its_own_and_the_next_goes_on() -> None:
    async def broken() -> list[int | BaseException]:
        gathering = RequestBatches(Doubler(), 2)
        return await asyncio.gather(*map(gathering.ask, (2, -2, 4)), return_exceptions=True)

    first, second, third = asyncio.run(broken())
    assert isinstance(first, OSError) and isinstance(second, OSError)
    assert third == 8


def test_who_goes_away_stops_nobody() -> None:
    doubler = Doubler()

    async def one_leaves() -> int:
        gathering = RequestBatches(doubler, 8)
        doubler.open.clear()
        gone, stays = asyncio.create_task(gathering.ask(2)), asyncio.create_task(gathering.ask(4))
        await asyncio.sleep(0)
        gone.cancel()
        with pytest.raises(asyncio.CancelledError):
            await gone
        doubler.open.set()
        return await stays

    assert asyncio.run(one_leaves()) == 8
    done = [number for one in doubler.rounds for number in one]
    assert sorted(done) == [2, 4], "what was asked is done, whoever waits for it"
