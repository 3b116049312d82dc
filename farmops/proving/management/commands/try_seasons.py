"""Put the product through simulated seasons, beside two habits of growers; the answer is JSON on stdout."""

import json
import multiprocessing
import os
import time
from argparse import ArgumentParser
from collections.abc import Iterable, Sequence

from django.core.management.base import BaseCommand, CommandError
from django.utils.translation import gettext as _

from farmops.proving.habits import HABITS
from farmops.proving.product import product
from farmops.proving.season_report import report
from farmops.proving.seasons import PRODUCT, SEASON_WEEKS, TESTS, WEEKS_AHEAD, Score, try_world
from farmops.proving.sown import playing, trial
from farmops.proving.sown import report as of_sowing
from farmops.proving.worlds import FRESH, WORLDS

ALL = {**WORLDS, **FRESH}
SETS = {"known": WORLDS, "fresh": FRESH}
LEAST_WEEKS = {"take_over": 26, "take_over_untimed": 26}
Task = tuple[str, int, int, tuple[str, ...], int, int]


def set_up() -> None:
    """A worker is a fresh interpreter: the product's words need the settings loaded."""
    import django

    django.setup()


def one_season(task: Task) -> tuple[Task, list[Score], float]:
    """One season of one world: scores, and seconds taken."""
    world, season, seed, tests, weeks, weeks_ahead = task
    began = time.perf_counter()
    policies = {PRODUCT: product, **HABITS}
    scores = try_world(ALL[world], season, seed, policies, tests, weeks=weeks, weeks_ahead=weeks_ahead)
    return task, scores, time.perf_counter() - began


class Command(BaseCommand):
    help = "Try the product in simulated seasons whose customers it knows nothing about."
    requires_system_checks = ()  # no screen and no database is needed

    def add_arguments(self, parser: ArgumentParser) -> None:
        parser.add_argument("--seasons", type=int, default=3, help="seasons per world (default 3)")
        parser.add_argument("--seed", type=int, default=1)
        parser.add_argument(
            "--worlds",
            nargs="+",
            choices=[*SETS, *ALL],
            default=["known"],
            metavar="NAME",
            help="known: those the product was improved on (default); fresh: those drawn by rule before it was tried "
            "there; or single worlds by name",
        )
        parser.add_argument("--tests", nargs="+", choices=TESTS, default=list(TESTS), metavar="TEST")
        parser.add_argument("--weeks", type=int, default=SEASON_WEEKS, help="weeks of a season (default 40)")
        parser.add_argument("--weeks-ahead", type=int, default=WEEKS_AHEAD, help="from sowing to market (default 8)")
        parser.add_argument("--processes", type=int, default=2)
        parser.add_argument(
            "--sowing",
            action="store_true",
            help="seasons of sowing instead: a farm of fourteen varieties decides each week what to sow, in tight and "
            "in loose room; takes minutes a season; worlds, tests and weeks do not apply",
        )
        parser.add_argument("--rooms", nargs="+", choices=list(trial.ROOMS), default=list(trial.ROOMS), metavar="ROOM")
        parser.add_argument("--json", action="store_true", help="the only form of the answer; accepted for clarity")

    def handle(self, *args: object, **options: object) -> None:
        asked = {key: options[key] for key in ("seasons", "seed", "tests", "weeks", "weeks_ahead")}
        names, tests = names_of(_words(options["worlds"])), tuple(dict.fromkeys(_words(options["tests"])))
        seasons, seed, weeks = _whole(options["seasons"]), _whole(options["seed"]), _whole(options["weeks"])
        weeks_ahead, processes = _whole(options["weeks_ahead"]), _whole(options["processes"])
        least = max(LEAST_WEEKS.get(test, 6) for test in tests)
        if seasons < 1 or seed < 0 or processes < 1 or weeks_ahead < 1 or not least <= weeks <= 52:
            raise CommandError(
                _("Ask for at least 1 season, a seed of 0 or more, 1 process, 1 week ahead, and %(least)d to 52 weeks.")
                % {"least": least},
                returncode=2,
            )
        if options["sowing"]:
            self._sow(seasons, seed, list(dict.fromkeys(_words(options["rooms"]))), processes)
            return
        tasks = [(name, season, seed, tests, weeks, weeks_ahead) for season in range(seasons) for name in names]
        scores = self._play(tasks, processes)
        answer = report(scores, [ALL[name] for name in names], asked | {"worlds": names})
        json.dump(answer, self.stdout, indent=1, allow_nan=False)
        self.stdout.write("")

    def _sow(self, seasons: int, seed: int, rooms: Sequence[str], processes: int) -> None:
        scores = playing.play(seasons, seed, rooms, processes=processes, say=self.stderr.write)
        answer = of_sowing.report(scores, {"seasons": seasons, "seed": seed, "rooms": list(rooms)})
        json.dump(answer, self.stdout, indent=1, allow_nan=False)
        self.stdout.write("")

    def _play(self, tasks: Sequence[Task], processes: int) -> list[Score]:
        done: list[tuple[Task, list[Score]]] = []
        if processes == 1:
            results = map(one_season, tasks)
            self._collect(results, done, len(tasks))
        else:
            os.environ["OMP_NUM_THREADS"] = "1"
            with multiprocessing.get_context("spawn").Pool(processes, initializer=set_up) as pool:
                self._collect(pool.imap_unordered(one_season, tasks), done, len(tasks))
        return [score for _, scores in sorted(done, key=lambda pair: pair[0]) for score in scores]

    def _collect(
        self, results: Iterable[tuple[Task, list[Score], float]], done: list[tuple[Task, list[Score]]], count: int
    ) -> None:
        for task, scores, seconds in results:
            done.append((task, scores))
            self.stderr.write(f"{len(done)}/{count} {task[0]}, season {task[1] + 1}: {seconds:.1f} s")


def _words(value: object) -> list[str]:
    return [str(one) for one in value] if isinstance(value, list) else []


def names_of(words: Sequence[str]) -> list[str]:
    """Names of worlds, each once; a set's name stands for all of its worlds."""
    return list(dict.fromkeys(name for word in words for name in SETS.get(word, {word: None})))


def _whole(value: object) -> int:
    if not isinstance(value, int):
        raise CommandError(_("A whole number is needed, got %(value)r.") % {"value": value}, returncode=2)
    return value
