"""The one way a job page answers: done and on, a question with its yes, or a refusal with all that was typed."""

from collections.abc import Callable, Mapping
from datetime import date

from django.contrib import messages
from django.http import HttpRequest, HttpResponse, HttpResponseRedirect
from django.utils.http import url_has_allowed_host_and_scheme

from farmops import clock
from farmops.farm.days import farm_today
from farmops.farm.forms import MOST_WORDS, JobForm
from farmops.journal.deed import Done, Saying
from farmops.journal.models import Entry, Job, Source
from farmops.journal.refusal import NeedsYes, Refused
from farmops.web.pages import render_page

NOT_TYPED = {"csrfmiddlewaretoken", "once", "next"}


def saying_of(request: HttpRequest, *, day: date | None = None, corrects: Entry | None = None) -> Saying:
    """What a form says besides its own facts: who, when, which key, and everything as it was typed."""
    now = clock.now()
    typed = {name: values for name, values in sorted(request.POST.lists()) if name not in NOT_TYPED}
    return Saying(
        key=request.POST.get("once", ""),
        body={"address": request.path, **typed},
        day=day or farm_today(),
        said_at=now,
        now=now,
        by=getattr(request, "person", None),
        phone=getattr(request, "phone", None),
        source=Source.PAGE,
        corrects=corrects,
        because=request.POST.get("because", "")[:MOST_WORDS],
    )


def answer_job(
    request: HttpRequest,
    form: JobForm,
    deed: Callable[[], Done],
    *,
    page: str,
    partial: str,
    context: Mapping[str, object],
    then: str,
) -> HttpResponse:
    """Do the job of a sent form; whatever goes wrong, the form comes back as it was typed."""
    question = ""
    if form.is_bound and form.is_valid():
        try:
            done = deed()
        except NeedsYes as asked:
            question = " ".join([*sorted(form.answered), asked.question])
            form.add_error(asked.field if asked.field in form.fields else None, str(asked))
        except Refused as refusal:
            form.add_error(refusal.field if refusal.field in form.fields else None, str(refusal))
        else:
            messages.success(request, done.entry.said, extra_tags=_undo_of(done.entry))
            return HttpResponseRedirect(safe_address(request, form.cleaned_data["next"]) or then, status=303)
    values = {**context, "form": form, "question": question}
    return render_page(request, page, values, partial=partial, status=422 if form.errors else 200)


def _undo_of(entry: Entry) -> str:
    """What the message says of the way back: the entry that "Undo" beside it takes back."""
    return "" if entry.job == Job.UNDO else str(entry.pk)


def safe_address(request: HttpRequest, address: str) -> str:
    """An address of ours, or nothing."""
    is_ours = url_has_allowed_host_and_scheme(address, allowed_hosts={request.get_host()})
    return address if address and is_ours else ""
