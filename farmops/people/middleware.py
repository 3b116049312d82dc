"""Who asks: `request.person`, `request.phone` (None where nobody knows), `request.has_password`. Nothing is refused."""

from collections.abc import Callable
from datetime import date

from django.conf import settings
from django.core import signing
from django.http import HttpRequest, HttpResponse

from farmops import clock
from farmops.people.access import has_account, is_here
from farmops.people.demo import demo_grower
from farmops.people.models import Person, Phone
from farmops.people.tokens import hash_of

PHONE_COOKIE = "farm_phone"
PERSON_COOKIE = "farm_person"
_SECONDS_A_DAY = 24 * 60 * 60


def know_who_asks(get_response: Callable[[HttpRequest], HttpResponse]) -> Callable[[HttpRequest], HttpResponse]:
    """Set both before the page is made; without cookies nothing is asked of the database."""

    def ask(request: HttpRequest) -> HttpResponse:
        phone = _phone(request, clock.today())
        by_password = _signed_in(request) or _of_the_demo(request)
        request.phone = phone  # type: ignore[attr-defined]  # ours
        request.has_password = by_password is not None  # type: ignore[attr-defined]  # ours
        request.person = by_password or _chosen(request, phone)  # type: ignore[attr-defined]  # ours
        return get_response(request)

    return ask


def remember_phone(response: HttpResponse, phone: Phone, secret: str, today: date) -> None:
    """Give the phone its secret to keep until its last day; pages' scripts cannot read it."""
    _keep(response, PHONE_COOKIE, secret, phone, today)


def remember_person(response: HttpResponse, phone: Phone, person: Person, today: date) -> None:
    """Keep who works with this phone; signed for this phone alone."""
    _keep(response, PERSON_COOKIE, signing.dumps([phone.pk, person.pk], salt=PERSON_COOKIE), phone, today)


def forget_person(response: HttpResponse) -> None:
    """The phone no longer says who works with it."""
    response.delete_cookie(PERSON_COOKIE, samesite="Lax")


def _keep(response: HttpResponse, name: str, value: str, phone: Phone, today: date) -> None:
    seconds = ((phone.until_on - today).days + 1) * _SECONDS_A_DAY
    response.set_cookie(name, value, max_age=seconds, httponly=True, samesite="Lax")


def _phone(request: HttpRequest, today: date) -> Phone | None:
    secret = request.COOKIES.get(PHONE_COOKIE)
    return Phone.objects.let_in(today).filter(token_hash=hash_of(secret)).first() if secret else None


def _signed_in(request: HttpRequest) -> Person | None:
    if settings.SESSION_COOKIE_NAME not in request.COOKIES or not request.user.is_authenticated:
        return None
    return Person.objects.working().filter(account_id=request.user.pk).first()


def _of_the_demo(request: HttpRequest) -> Person | None:
    """The invented farm's grower; never on records of a farm that has an account, nor from another computer."""
    return demo_grower() if settings.DEMO and is_here(request) and not has_account() else None


def _chosen(request: HttpRequest, phone: Phone | None) -> Person | None:
    value = request.COOKIES.get(PERSON_COOKIE)
    if phone is None or not value:
        return None
    try:
        phone_key, person_key = signing.loads(value, salt=PERSON_COOKIE)
    except signing.BadSignature:
        return None
    return Person.objects.working().filter(pk=person_key).first() if phone_key == phone.pk else None
