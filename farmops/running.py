"""Hand a command to whoever carries it out; everything it needs is in place by now."""

import os
import sys


def run_command(argv: list[str]) -> None:
    """Run the tests, or give the command to Django."""
    os.environ.setdefault("DJANGO_SETTINGS_MODULE", "farmops.settings")
    if argv[1:2] == ["start"] and "--demo" in argv[2:]:
        os.environ["FARMOPS_DEMO"] = "1"  # before the settings are read: the invented farm has records of its own
    if argv[1:2] == ["test"]:
        from farmops.testing import run_tests

        sys.exit(run_tests(argv[2:]))
    from django.core.management import execute_from_command_line

    execute_from_command_line(argv)
