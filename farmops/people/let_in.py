"""Letting in: one-time links, the first account, a person's account, a phone until a date."""

from datetime import date, datetime, timedelta

from django.contrib.auth.models import User
from django.contrib.auth.password_validation import validate_password
from django.core.exceptions import ValidationError
from django.db import IntegrityError, transaction
from django.utils.translation import gettext as _

from farmops.people.models import Invitation, Person, Phone, Role
from farmops.people.not_let_in import NotLetIn
from farmops.people.tokens import hash_of, new_code, new_secret

LINK_LASTS = timedelta(hours=1)
Purpose = Invitation.Purpose


def make_link(
    *,
    purpose: str,
    now: datetime,
    by: Person | None = None,
    person: Person | None = None,
    lasts: timedelta = LINK_LASTS,
) -> str:
    """Store a link that works once and return its secret, which is nowhere else.

    Raises
    ------
    NotLetIn
        If it is for an account and does not say whose.
    """
    if purpose == Purpose.ACCOUNT and person is None:
        raise NotLetIn(_("Choose whose account the link is for."))
    # A phone's link may have to be typed there by hand.
    secret = new_code() if purpose == Purpose.PHONE else new_secret()
    link = Invitation(
        token_hash=hash_of(secret), purpose=purpose, person=person, made_by=by, made_at=now, ends_at=now + lasts
    )
    _store(link)
    return secret


def open_link(secret: str, purpose: str, now: datetime) -> Invitation | None:
    """The link, while it can still be used; looking does not use it up."""
    links = Invitation.objects.open_at(now).filter(token_hash=hash_of(secret), purpose=purpose)
    return links.select_related("person").first()


def make_first_account(*, secret: str, name: str, password: str, now: datetime) -> Person:
    """The grower's account, by the first link; the farm has none before and gets no second one this way.

    Raises
    ------
    NotLetIn
        If the link is used, over or for something else, there is an account already, or name or password will not do.
    """
    with transaction.atomic():
        # Two links at once: both wait here, and the second finds the account of the first.
        list(Invitation.objects.select_for_update().filter(purpose=Purpose.FIRST_ACCOUNT).order_by("pk"))
        _use_up(secret, Purpose.FIRST_ACCOUNT, now)
        if Person.objects.filter(account__isnull=False).exists():
            raise NotLetIn(_("This farm has an account already. Ask the grower for a link."))
        person = Person(name=name.strip(), role=Role.GROWER)
        _store(person)
        _give_password(person, password)
    return person


def make_account(*, secret: str, password: str, now: datetime) -> Person:
    """A person's account, or a new password for it, by a link made for that person.

    Raises
    ------
    NotLetIn
        If the link is used, over or for something else, the person is gone, or the password will not do.
    """
    with transaction.atomic():
        link = _use_up(secret, Purpose.ACCOUNT, now)
        person = Person.objects.select_for_update().filter(invitations=link, works_here=True).first()
        if person is None:
            raise NotLetIn(_("The person this link was made for does not work here any more."))
        _give_password(person, password)
    return person


def let_phone_in(*, secret: str, called: str, until_on: date, today: date, now: datetime) -> tuple[Phone, str]:
    """Let a phone in until a date, by a link; the second of the two returned is the phone's secret, for its cookie.

    Raises
    ------
    NotLetIn
        If the link is used, over or for something else, the date is past, or the phone has no name.
    """
    if until_on < today:
        raise NotLetIn(_("The last day must not lie in the past."))
    with transaction.atomic():
        link = _use_up(secret, Purpose.PHONE, now)
        phone_secret = new_secret()
        phone = Phone(
            token_hash=hash_of(phone_secret),
            called=called.strip(),
            let_in_at=now,
            let_in_by=link.made_by,
            until_on=until_on,
        )
        _store(phone)
    return phone, phone_secret


def stop_phone(*, phone: Phone, now: datetime) -> None:
    """Let it in no more, from its next request on. A phone stopped before keeps its first hour."""
    Phone.objects.filter(pk=phone.pk, stopped_at=None).update(stopped_at=now)


def _use_up(secret: str, purpose: str, now: datetime) -> Invitation:
    """Take the link, or refuse: of two at once, one changes the row and the other finds nothing to change."""
    links = Invitation.objects.filter(token_hash=hash_of(secret), purpose=purpose)
    if links.open_at(now).update(used_at=now) != 1:
        raise NotLetIn(_("This link was used, or its time is over. Ask for a new one."))
    return links.get()


def free_username(person: Person) -> str:
    """The person's name; with a number where somebody who left bore it too. One signs in by the person's name."""
    taken = User.objects.filter(username=person.name).exclude(person=person).exists()
    return f"{person.name} {person.pk}" if taken else person.name


def _give_password(person: Person, password: str) -> None:
    account = person.account or User(username=free_username(person))
    try:
        validate_password(password, account)
    except ValidationError as error:
        raise NotLetIn(" ".join(error.messages)) from error
    account.set_password(password)
    try:
        with transaction.atomic():
            account.save()
            Person.objects.filter(pk=person.pk).update(account=account)
    except IntegrityError as error:
        raise NotLetIn(_("There is an account of that name already.")) from error
    person.account = account


def _store(row: Invitation | Person | Phone) -> None:
    try:
        row.full_clean()
        with transaction.atomic():
            row.save(force_insert=True)
    except ValidationError as error:
        raise NotLetIn(" ".join(error.messages)) from error
    except IntegrityError as error:
        raise NotLetIn(_("Somebody has just done the same. Look again.")) from error
