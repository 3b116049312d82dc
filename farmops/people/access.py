"""Who may open a page: a mark on its view, and what is answered to whom. A view without a mark is for those let in."""

from collections.abc import Callable
from dataclasses import dataclass
from enum import Enum, StrEnum
from typing import TypeVar

from django.http import HttpRequest

from farmops.people.models import Person, Phone, Role

V = TypeVar("V", bound=Callable[..., object])
_MARK, _UNTIL_FIRST = "access_mark", "open_until_first_account"
MAY_SEE_MONEY = frozenset({Role.GROWER, Role.OFFICE})
LOOPBACK = ("127.", "::1", "::ffff:127.")


class Mark(StrEnum):
    """For whom a page is."""

    ALL = "all"
    LET_IN = "let in, whoever works"
    WORKING = "let in, and known who works"
    OFFICE = "grower or office, by password"


class Answer(Enum):
    """What the door says."""

    YES = "yes"
    SIGN_IN = "sign in"
    CHOOSE = "say who works"
    NOT_YOURS = "not yours"
    NO_ACCOUNT_YET = "no account yet"


@dataclass(frozen=True, slots=True)
class Asker:
    """Who asks for a page.

    Attributes
    ----------
    has_password : bool
        Signed in as that person, or the grower of the invented farm, who needs none.
    is_here : bool
        Asks from this computer itself.
    """

    person: Person | None
    phone: Phone | None
    has_password: bool
    is_here: bool

    @property
    def may_see_money(self) -> bool:
        """Whether the role allows it; the password is another matter."""
        return self.person is not None and self.person.role in MAY_SEE_MONEY


def open_to_all(view: V) -> V:
    """For everybody who reaches this computer: signing in, links that work once."""
    return _marked(view, Mark.ALL)


def let_in(view: V) -> V:
    """For a phone let in, also while it is not said who works with it."""
    return _marked(view, Mark.LET_IN)


def with_password(view: V) -> V:
    """For growers and the office, signed in with their password: money, members, people."""
    return _marked(view, Mark.OFFICE)


def open_until_first_account(view: V) -> V:
    """Also open on this computer while the farm has no account at all: a farm may begin with its notebook alone."""
    setattr(view, _UNTIL_FIRST, True)
    return view


def mark_of(view: Callable[..., object]) -> Mark:
    """The mark of a view; none is the closed one. Decorators that copy what stands on a view carry it on."""
    mark: Mark = getattr(view, _MARK, Mark.WORKING)
    return mark


def asker_of(request: HttpRequest) -> Asker:
    """What the middleware found out, or nothing where it has not run."""
    return Asker(
        person=getattr(request, "person", None),
        phone=getattr(request, "phone", None),
        has_password=getattr(request, "has_password", False),
        is_here=is_here(request),
    )


def is_here(request: HttpRequest) -> bool:
    """Whether the request comes from this computer itself, and not through something here that passes others on."""
    is_passed_on = "X-Forwarded-For" in request.headers or "Forwarded" in request.headers
    return not is_passed_on and str(request.META.get("REMOTE_ADDR", "")).startswith(LOOPBACK)


def judge(view: Callable[..., object], asker: Asker) -> Answer:
    """What the door says to `asker`. Asks the database only about somebody it does not know."""
    mark = mark_of(view)
    if mark == Mark.ALL:
        return Answer.YES
    if asker.has_password:
        return Answer.YES if mark != Mark.OFFICE or asker.may_see_money else Answer.NOT_YOURS
    if asker.phone is not None and mark != Mark.OFFICE:
        return Answer.YES if asker.person is not None or mark == Mark.LET_IN else Answer.CHOOSE
    if has_account():
        return Answer.SIGN_IN
    return Answer.YES if asker.is_here and getattr(view, _UNTIL_FIRST, False) else Answer.NO_ACCOUNT_YET


def has_account() -> bool:
    """Whether anybody of this farm has an account."""
    return Person.objects.filter(account__isnull=False).exists()


def _marked(view: V, mark: Mark) -> V:
    setattr(view, _MARK, mark)
    return view
