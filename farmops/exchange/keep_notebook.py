"""Keeping a notebook on this computer, and forgetting it, only when somebody asks."""

from datetime import datetime

from django.db import transaction

from farmops.exchange.desk import Sheet
from farmops.exchange.models import KeptNotebook


def keep_notebook(*, sheet: Sheet, answers: str, at: datetime) -> KeptNotebook:
    """Store `sheet` as it came with the answers given so far; keeping it again replaces the answers."""
    is_text = isinstance(sheet.content, str)
    content = sheet.content.encode("utf-8", "surrogatepass") if isinstance(sheet.content, str) else sheet.content
    with transaction.atomic():
        kept, _created = KeptNotebook.objects.update_or_create(
            key=sheet.key,
            defaults={"name": sheet.name[:200], "content": content, "is_text": is_text, "answers": answers,
                      "kept_at": at},
        )  # fmt: skip
    return kept


def open_kept(*, key: str) -> Sheet | None:
    """The kept notebook with this address, as it came."""
    kept = KeptNotebook.objects.filter(key=key).first()
    if kept is None:
        return None
    content = bytes(kept.content)
    return Sheet(kept.key, kept.name, content.decode("utf-8", "surrogatepass") if kept.is_text else content)


def forget_notebook(*, key: str) -> bool:
    """Remove the kept notebook; whether there was one."""
    with transaction.atomic():
        count, _rows = KeptNotebook.objects.filter(key=key).delete()
    return count > 0
