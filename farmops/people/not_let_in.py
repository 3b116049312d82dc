"""Saying no, in words a person can act on."""


class NotLetIn(Exception):
    """What was asked for is not given; the words say why and what to do."""
