"""The people of the farm, the phones they carry, and the links that let either in."""

from datetime import date, datetime

from django.conf import settings
from django.db import models
from django.db.models import F, Q
from django.db.models.functions import Lower
from django.utils.translation import gettext_lazy as _


class Role(models.TextChoices):
    """What somebody mostly does; the grower may do everything."""

    GROWER = "grower", _("grower")
    CREW = "crew", _("crew")
    SELLER = "seller", _("seller")
    PACKER = "packer", _("packer")
    OFFICE = "office", _("office")


class PersonQuerySet(models.QuerySet["Person"]):
    def working(self) -> "PersonQuerySet":
        return self.filter(works_here=True)


class Person(models.Model):
    """Somebody who does jobs. Names stand here alone, so that they can be erased while records stay."""

    name = models.CharField(max_length=80)
    role = models.CharField(max_length=10, choices=Role.choices, default=Role.CREW)
    works_here = models.BooleanField(default=True)
    account = models.OneToOneField(
        settings.AUTH_USER_MODEL, models.PROTECT, null=True, blank=True, related_name="person"
    )
    erased_at = models.DateTimeField(null=True, blank=True)

    objects = PersonQuerySet.as_manager()

    class Meta:
        constraints = (
            models.UniqueConstraint(
                Lower("name"),
                name="person_name_once",
                condition=Q(works_here=True),
                violation_error_message=_("Somebody of that name works here already. Add a letter to tell them apart."),
            ),
            models.CheckConstraint(
                name="person_has_name",
                condition=~Q(name="") | Q(erased_at__isnull=False),
                violation_error_message=_("A person needs a name."),
            ),
        )

    def __str__(self) -> str:
        return self.name or str(_("erased"))


class PhoneQuerySet(models.QuerySet["Phone"]):
    def let_in(self, today: date) -> "PhoneQuerySet":
        return self.filter(stopped_at=None, until_on__gte=today)

    def over(self, today: date) -> "PhoneQuerySet":
        """Stopped, or past its last day."""
        return self.exclude(stopped_at=None, until_on__gte=today)


class Phone(models.Model):
    """A phone (or tablet, or computer) let in for the season; only a hash of its secret is kept."""

    token_hash = models.CharField(max_length=64, unique=True)
    called = models.CharField(max_length=80)
    let_in_at = models.DateTimeField()
    let_in_by = models.ForeignKey(Person, models.PROTECT, null=True, blank=True, related_name="phones_let_in")
    until_on = models.DateField()
    stopped_at = models.DateTimeField(null=True, blank=True)

    objects = PhoneQuerySet.as_manager()

    class Meta:
        constraints = (
            models.CheckConstraint(
                name="phone_has_name",
                condition=~Q(called=""),
                violation_error_message=_("Give the phone a name, so that it can be told apart."),
            ),
        )

    def __str__(self) -> str:
        return self.called


class InvitationQuerySet(models.QuerySet["Invitation"]):
    def open_at(self, now: datetime) -> "InvitationQuerySet":
        return self.filter(used_at=None, ends_at__gt=now)


class Invitation(models.Model):
    """A link that works once: for the first account, for a person's password, or to let a phone in."""

    class Purpose(models.TextChoices):
        FIRST_ACCOUNT = "first account", _("first account")
        ACCOUNT = "account", _("account")
        PHONE = "phone", _("phone")

    token_hash = models.CharField(max_length=64, unique=True)
    purpose = models.CharField(max_length=20, choices=Purpose.choices)
    person = models.ForeignKey(Person, models.PROTECT, null=True, blank=True, related_name="invitations")
    made_by = models.ForeignKey(Person, models.PROTECT, null=True, blank=True, related_name="invitations_made")
    made_at = models.DateTimeField()
    ends_at = models.DateTimeField()
    used_at = models.DateTimeField(null=True, blank=True)

    objects = InvitationQuerySet.as_manager()

    class Meta:
        constraints = (
            models.CheckConstraint(
                name="invitation_ends_after_it_is_made",
                condition=Q(ends_at__gt=F("made_at")),
                violation_error_message=_("A link must end after it is made."),
            ),
        )

    def __str__(self) -> str:
        return self.purpose


class WrongPassword(models.Model):
    """A password that did not fit: for whom and from where as hashes alone, and only while it counts."""

    name_hash = models.CharField(max_length=64)
    from_hash = models.CharField(max_length=64)
    tried_at = models.DateTimeField()

    class Meta:
        indexes = (models.Index(fields=("from_hash", "name_hash"), name="wrong_password_from"),)

    def __str__(self) -> str:
        return self.name_hash[:8]
