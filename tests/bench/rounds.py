"""How many times as long as the floor does our own way take, in one and the same run?"""

import time
from collections.abc import Callable
from statistics import median


def compare(floor: Callable[[], object], ours: Callable[[], object], rounds: int = 5) -> list[float]:
    """The ratios ours / floor of so many rounds, the two taken in turn (A B A B …) after one try of each; printed with the
    median of the seconds.
    """
    taken = [(_seconds(floor), _seconds(ours)) for _ in range(rounds + 1)]
    kept = taken[1:]
    ratios = [own / least for least, own in kept]
    print(f"floor  {median(least for least, _ in kept):.4f} s")
    print(f"ours   {median(own for _, own in kept):.4f} s")
    print(f"ratio  median {median(ratios):.2f}, from {min(ratios):.2f} to {max(ratios):.2f}, {rounds} rounds", flush=True)
    return ratios


def _seconds(work: Callable[[], object]) -> float:
    began = time.perf_counter()
    work()
    return time.perf_counter() - began
