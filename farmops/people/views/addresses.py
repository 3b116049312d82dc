"""Addresses to hand on: what another device has to type to reach this computer."""

from django.conf import settings
from django.http import HttpRequest


def full_address(request: HttpRequest, path: str) -> str:
    """With the address under which phones reach this computer, where `start --phones` found one."""
    return f"{settings.PHONES_AT[0]}{path}" if settings.PHONES_AT else request.build_absolute_uri(path)
