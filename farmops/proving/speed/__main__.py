"""A worker's process: questions on stdin, answers on stdout, which nothing else writes to."""

import logging
import os
import sys

import django


def main() -> None:
    """File descriptor 1 becomes stderr first: libraries print there by themselves."""
    answers = os.fdopen(os.dup(1), "w", encoding="utf-8")
    os.dup2(2, 1)
    os.environ.setdefault("DJANGO_SETTINGS_MODULE", "farmops.settings")
    django.setup()
    # Addresses are tried out to find the pages among them.
    logging.getLogger("django.request").setLevel(logging.ERROR)
    from farmops.proving.speed.worker import answer_all

    with answers:
        answer_all(sys.stdin, answers)


if __name__ == "__main__":
    main()
