"""Notebooks that somebody asked to keep."""

from django.db import models
from django.db.models import Q
from django.utils.translation import gettext_lazy as _


class KeptNotebookQuerySet(models.QuerySet["KeptNotebook"]):
    def newest_first(self) -> "KeptNotebookQuerySet":
        return self.order_by("-kept_at", "-pk")


class KeptNotebook(models.Model):
    """One market notebook, kept as it came with the answers given about it."""

    key = models.CharField(max_length=20, unique=True)
    name = models.CharField(max_length=200)
    content = models.BinaryField()
    is_text = models.BooleanField(help_text="pasted rows, not the bytes of a file")
    answers = models.TextField(blank=True, help_text="as they stand in the address of the page")
    kept_at = models.DateTimeField()

    objects = KeptNotebookQuerySet.as_manager()

    class Meta:
        constraints = (
            models.CheckConstraint(
                name="kept_notebook_has_key",
                condition=~Q(key=""),
                violation_error_message=_("A kept notebook needs its address."),
            ),
        )

    def __str__(self) -> str:
        return self.name
