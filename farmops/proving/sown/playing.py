"""Seasons of sowing in processes of their own, so that what the solver prints stays off the answer."""

import multiprocessing
import os
import time
from collections.abc import Callable, Sequence

from farmops.proving.sown.trial import ROOMS, Score, play_season

Task = tuple[str, int, int]


def set_up() -> None:
    """A worker is a fresh interpreter, in no hurry; descriptor 1 becomes stderr, because the solver prints to it."""
    import django

    os.dup2(2, 1)
    if hasattr(os, "nice"):
        os.nice(10)
    django.setup()


def one_season(task: Task) -> tuple[Task, list[Score], float]:
    """One season in one room: scores of all policies, and seconds taken."""
    began = time.perf_counter()
    return task, play_season(*task), time.perf_counter() - began


def play(
    seasons: int, seed: int, rooms: Sequence[str] = tuple(ROOMS), *, processes: int = 2, say: Callable[[str], None]
) -> list[Score]:
    """Scores in order of rooms and seasons; `say` is told of each season played."""
    tasks = [(room, number, seed) for number in range(seasons) for room in rooms]
    done: list[tuple[Task, list[Score]]] = []
    os.environ["OMP_NUM_THREADS"] = "1"
    with multiprocessing.get_context("spawn").Pool(processes, initializer=set_up) as pool:
        for task, scores, seconds in pool.imap_unordered(one_season, tasks):
            done.append((task, scores))
            say(f"{len(done)}/{len(tasks)} {task[0]} room, season {task[1] + 1}: {seconds:.0f} s")
    order = {room: at for at, room in enumerate(rooms)}
    done.sort(key=lambda pair: (order[pair[0][0]], pair[0][1]))
    return [score for _task, scores in done for score in scores]
