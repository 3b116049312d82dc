"""What a closed page answers: sign in, say who works, not yours, no account yet. A sent form is carried on."""

from urllib.parse import urlencode, urlsplit

from django.http import HttpRequest, HttpResponse, HttpResponseRedirect
from django.shortcuts import render
from django.urls import reverse
from django_htmx.http import HttpResponseClientRedirect

from farmops.people.access import Answer, asker_of, has_account
from farmops.people.forms import SignInForm
from farmops.people.kept_form import KeptForm, is_from_our_page, kept_from, own_address
from farmops.people.working import who_works
from farmops.web.pages import wants_fragment


def closed_answer(request: HttpRequest, answer: Answer) -> HttpResponse:
    """A page asked for leads to the page where one says who one is; a form sent is kept on that page."""
    if answer == Answer.NO_ACCOUNT_YET:
        return no_account_yet(request)
    if answer == Answer.NOT_YOURS:
        return whole(request, render(request, "people/not_yours.html", status=403))
    if request.method in {"GET", "HEAD"}:
        name = "sign-in" if answer == Answer.SIGN_IN else "who-works"
        address = f"{reverse(name)}?{urlencode({'next': page_asked_for(request)})}"
        return HttpResponseClientRedirect(address) if wants_fragment(request) else HttpResponseRedirect(address)
    kept = kept_from(request)
    page = sign_in_page if answer == Answer.SIGN_IN else who_page
    return whole(request, page(request, kept=kept, status=403))


def send_again(request: HttpRequest, reason: str = "") -> HttpResponse:
    """A form whose page was opened before somebody else signed in: what it held, who sends it now, one button."""
    if not is_from_our_page(request):
        return whole(request, render(request, "403_csrf.html", status=403))
    asker, kept = asker_of(request), kept_from(request)
    if asker.person is not None:
        return whole(request, send_again_page(request, kept, status=403))
    if asker.phone is not None:
        return whole(request, who_page(request, kept=kept, status=403))
    if not has_account():
        return whole(request, send_again_page(request, kept, status=403))
    return whole(request, sign_in_page(request, kept=kept, status=403))


def send_again_page(request: HttpRequest, kept: KeptForm | None, *, status: int = 200) -> HttpResponse:
    return _unstored(render(request, "people/send_again.html", {"kept": kept}, status=status))


def sign_in_page(
    request: HttpRequest,
    *,
    form: SignInForm | None = None,
    kept: KeptForm | None = None,
    then: str = "",
    status: int = 200,
) -> HttpResponse:
    context = {"form": form or SignInForm(), "kept": kept, "next": then}
    return _unstored(render(request, "people/sign_in.html", context, status=status))


def who_page(
    request: HttpRequest, *, kept: KeptForm | None = None, then: str = "", refusal: str = "", status: int = 200
) -> HttpResponse:
    people = who_works() if asker_of(request).phone is not None else []
    context = {"people": people, "kept": kept, "next": then, "refusal": refusal}
    return _unstored(render(request, "people/who_works.html", context, status=status))


def no_account_yet(request: HttpRequest) -> HttpResponse:
    if request.path == "/" and reverse("start") != "/":
        return HttpResponseRedirect(reverse("start"))
    return whole(request, render(request, "people/no_account_yet.html", status=403))


def page_asked_for(request: HttpRequest) -> str:
    """The address to come back to; where a part was asked for, that of the page it belongs to."""
    if not wants_fragment(request):
        return request.get_full_path()
    there = urlsplit(request.headers.get("HX-Current-URL", ""))
    return own_address(request, there.path + (f"?{there.query}" if there.query else "")) or "/"


def whole(request: HttpRequest, response: HttpResponse) -> HttpResponse:
    """A whole page in place of the whole page, also where a part was asked for."""
    if wants_fragment(request):
        response.status_code = 422  # the one refusal that the page swaps in
        response["HX-Retarget"], response["HX-Reswap"] = "body", "innerHTML show:window:top"
    return response


def _unstored(response: HttpResponse) -> HttpResponse:
    response["Cache-Control"] = "no-store"
    return response
