"""The farm itself: its place, time zone, units, paper, closed days."""
