#!/usr/bin/env python3
"""Commands of the farm: `python3 manage.py start` and `python3 manage.py test` set up everything they need."""

import sys

# Stands before every other import: what follows does not even parse on an older Python.
if sys.version_info < (3, 11):  # noqa: UP036 - any python3 may be calling; this is where it is told
    sys.exit(
        "Bench to Stall needs Python 3.11 or newer; this is Python %d.%d. "  # noqa: UP031 - parses on old Pythons
        "Install a newer one and run the same command with it, for example: python3.11 manage.py start"
        % sys.version_info[:2]
    )

from farmops.setting_up import enter_environment

if __name__ == "__main__":
    enter_environment(sys.argv)
    from farmops.running import run_command

    run_command(sys.argv)
