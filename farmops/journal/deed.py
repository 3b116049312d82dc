"""Doing a job exactly once: the entry, what it writes, and the first answer again for the same key."""

import hashlib
import json
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from datetime import date, datetime

from django.core.exceptions import ValidationError
from django.db import IntegrityError, models, transaction
from django.utils.translation import gettext as _

from farmops.journal import let_back
from farmops.journal.models import Change, Entry, Job, Source
from farmops.journal.refusal import Refused
from farmops.people.models import Person, Phone


@dataclass(frozen=True, slots=True, kw_only=True)
class Saying:
    """Who says it, when, with which once-only key: what every job carries besides its own facts.

    Attributes
    ----------
    key : str
        Made with the form; the same key is the same job, however often it is sent.
    body : mapping
        What was typed, without key and tokens; the same key with another body is refused.
    said_at : datetime
        When the person said it (the phone's clock, put right); `now` when it came here.
    day : date
        The farm day it is about.
    corrects : Entry or None
        The entry this one replaces.
    because : str
        Why what comes back may be as it is then, where a room would refuse it.
    """

    key: str
    body: Mapping[str, object]
    day: date
    said_at: datetime
    now: datetime
    by: Person | None = None
    phone: Phone | None = None
    source: str = Source.PAGE
    corrects: Entry | None = None
    because: str = ""
    is_from_memory: bool = False


@dataclass(frozen=True, slots=True)
class Done:
    """What became of it: the entry, and whether it was there already."""

    entry: Entry
    was_there: bool = False

    @property
    def answer(self) -> Mapping[str, object]:
        """What the page needed the first time."""
        first: Mapping[str, object] = self.entry.answer
        return first


def do_once(saying: Saying, job: str, write: Callable[[Entry], tuple[str, Mapping[str, object]]]) -> Done:
    """Write the entry and what belongs to it, or find that it was written before.

    Parameters
    ----------
    saying : Saying
    job : str
        One of `Job`.
    write : callable
        Gets the saved entry, writes its rows, returns (what was done, in a line; what the page needs). It may raise
        `Refused`; then nothing is written. It runs under the write lock: checks that read much come before.

    Raises
    ------
    Refused
        If the key was used for something else, the entry to correct was corrected already, or a rule says no.
    """
    body_hash = hash_of(saying.body)
    if there := _found(saying.key, body_hash):
        return there
    try:
        with transaction.atomic():
            entry = _entry(saying, job, body_hash)
            entry.save(force_insert=True)
            said, answer = write(entry)
            if saying.corrects is not None:
                let_back.check(saying.corrects, entry, saying.because)
            Entry.objects.filter(pk=entry.pk).update(said=said[:300], answer=dict(answer))
            entry.said, entry.answer = said[:300], dict(answer)
    except ValidationError as error:
        raise Refused(" ".join(error.messages)) from error
    except IntegrityError as error:
        if there := _found(saying.key, body_hash):
            return there
        raise Refused(_why(error, saying)) from error
    return Done(entry)


def change(entry: Entry, row: models.Model, /, **new: object) -> None:
    """Alter columns of a row and note old and new of each; a column that stays as it was is not noted."""
    changes = []
    for column, value in new.items():
        name = row._meta.get_field(column).attname  # type: ignore[union-attr]  # concrete columns only
        old = getattr(row, name)
        fresh = value.pk if isinstance(value, models.Model) else value
        if old == fresh:
            continue
        changes.append(
            Change(entry=entry, table=row._meta.label_lower, row=row.pk, column=name, old=_json(old), new=_json(fresh))
        )
        setattr(row, name, fresh)
    if changes:
        row.full_clean(validate_unique=False, validate_constraints=False)
        row.save(update_fields=[one.column.removesuffix("_id") for one in changes])
        Change.objects.bulk_create(changes)


def save(*rows: models.Model) -> None:
    """Check and store new rows in their order: a rule broken is said in the rule's own words.

    The database is asked once for each row, by storing it; only where it refuses one are they stored one by one, and
    that one held against each rule.
    """
    for row in rows:
        pointing = {field.name for field in row._meta.concrete_fields if field.is_relation}
        row.full_clean(exclude=pointing, validate_unique=False, validate_constraints=False)
    try:
        _store(*rows)
    except IntegrityError:
        for row in rows:
            row.pk = None
            try:
                _store(row)
            except IntegrityError:
                row.full_clean(validate_unique=False)
                raise


def _store(*rows: models.Model) -> None:
    with transaction.atomic():
        for row in rows:
            row.save(force_insert=True)


def hash_of(body: Mapping[str, object]) -> str:
    """The same for the same typed values, whatever their order."""
    text = json.dumps(body, sort_keys=True, default=str, ensure_ascii=False)
    return hashlib.sha256(text.encode()).hexdigest()


def _entry(saying: Saying, job: str, body_hash: str) -> Entry:
    return Entry(
        once_key=saying.key,
        body_hash=body_hash,
        job=Job(job),
        source=Source(saying.source),
        by=saying.by,
        phone=saying.phone,
        farm_day=saying.day,
        said_at=min(saying.said_at, saying.now),
        received_at=saying.now,
        corrects=saying.corrects,
        is_from_memory=saying.is_from_memory,
    )


def _found(key: str, body_hash: str) -> Done | None:
    entry = Entry.objects.filter(once_key=key).first()
    if entry is None:
        return None
    if entry.body_hash != body_hash:
        raise Refused(
            _("That form was sent before with other figures: “%(said)s”. Open it again to add another.")
            % {"said": entry.said}
        )
    return Done(entry, was_there=True)


def _why(error: IntegrityError, saying: Saying) -> str:
    if saying.corrects is not None and Entry.objects.filter(corrects=saying.corrects).exists():
        return _("Somebody has just corrected this entry. Look at it again before you change it.")
    return _("Somebody has just changed the same. Look at it again, then send it once more.")


def _json(value: object) -> object:
    return value if value is None or isinstance(value, bool | int | str) else str(value)
