"""Signing in: a name and a password, looked at only so often, so that nobody tries one after the other."""

import math
from datetime import datetime, timedelta

from django.contrib.auth import authenticate
from django.contrib.auth.hashers import make_password
from django.db.models import Min
from django.utils.crypto import salted_hmac
from django.utils.translation import gettext as _

from farmops.people.models import Person, WrongPassword
from farmops.people.not_let_in import NotLetIn

WITHIN = timedelta(minutes=10)
FOR_ONE_NAME = 5  # wrong ones from one address within that time; the same name still gets in elsewhere
FROM_ONE_ADDRESS = 20  # whatever the names
_SALT = "farmops.people.wrong-password"


class TooOften(NotLetIn):
    """Nothing was looked at: there were too many wrong ones just before."""


def check_password(*, name: str, password: str, address: str, now: datetime) -> Person:
    """Whose name and password these are. `address` is where the request comes from.

    Each try is noted before the password is looked at, and taken out again when it fits: of many at once no more
    than the allowed ones are looked at.

    Raises
    ------
    TooOften
        If too many were wrong just before; the words say for how long.
    NotLetIn
        If they do not fit; the words do not tell which of the two.
    """
    WrongPassword.objects.filter(tried_at__lte=now - WITHIN).delete()
    known = {"name_hash": _hashed(name.strip().casefold()), "from_hash": _hashed(address)}
    tried = WrongPassword.objects.create(**known, tried_at=now)
    for alike, most in ((known, FOR_ONE_NAME), ({"from_hash": known["from_hash"]}, FROM_ONE_ADDRESS)):
        earlier = WrongPassword.objects.filter(**alike)
        if earlier.count() > most:
            since = earlier.aggregate(first=Min("tried_at"))["first"] or now
            tried.delete()
            minutes = math.ceil((since + WITHIN - now) / timedelta(minutes=1))
            raise TooOften(
                _("Too many wrong passwords. Wait %(minutes)d minutes, then try again.") % {"minutes": minutes}
            )
    person = _account_of(name)
    if person is None:
        make_password(password)  # as long as with a name that is known
    elif authenticate(username=person.account.username, password=password) is not None:  # type: ignore[union-attr]
        WrongPassword.objects.filter(**known).delete()
        return person
    raise NotLetIn(_("Name and password do not fit together. Look at both and try again."))


def _account_of(name: str) -> Person | None:
    wanted = name.strip().casefold()
    people = Person.objects.working().filter(account__is_active=True).select_related("account")
    return next((person for person in people if person.name.casefold() == wanted), None)


def _hashed(text: str) -> str:
    return salted_hmac(_SALT, text, algorithm="sha256").hexdigest()
