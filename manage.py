#!/usr/bin/env python3
"""Commands of the farm: `python3 manage.py start` and `python3 manage.py test` set up everything they need."""

import os
import sys

if __name__ == "__main__":
    os.environ.setdefault("DJANGO_SETTINGS_MODULE", "farmops.settings")
    from django.core.management import execute_from_command_line

    execute_from_command_line(sys.argv)
