"""Numbers only: the standard library, numpy and HiGHS. No Django, no clock, no input or output."""
