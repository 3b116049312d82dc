"""What a form held when its sender was not known: carried on in the page, so that nothing typed is lost."""

import json
from dataclasses import dataclass

from django.http import HttpRequest, QueryDict
from django.utils.http import url_has_allowed_host_and_scheme

NOT_KEPT = ("csrfmiddlewaretoken",)
NOT_SHOWN = frozenset({"once", "yes", "next", "answers"})


@dataclass(frozen=True, slots=True)
class KeptForm:
    """A form on its way: where it was sent, and its fields in order, without passwords and files."""

    address: str
    fields: tuple[tuple[str, str], ...]
    had_file: bool = False

    @property
    def text(self) -> str:
        """All of it as one line, for a hidden field."""
        return json.dumps([self.address, self.fields, self.had_file], ensure_ascii=False)

    @property
    def typed(self) -> list[tuple[str, str]]:
        """What a person would know again."""
        return [
            (name.replace("_", " ").replace("-", " "), value)
            for name, value in self.fields
            if value.strip() and name not in NOT_SHOWN
        ]


def kept_from(request: HttpRequest) -> KeptForm | None:
    """The form that was just sent; None where nothing was."""
    if request.method != "POST":
        return None
    fields = tuple(
        (name, value)
        for name, values in request.POST.lists()
        if name not in NOT_KEPT and "password" not in name.lower()
        for value in values
    )
    return KeptForm(request.get_full_path(), fields, bool(request.FILES))


def carried_in(given: QueryDict, request: HttpRequest) -> KeptForm | None:
    """The form that a page of ours carried in its field `kept`; None without one, or where it leads elsewhere."""
    try:
        address, fields, had_file = json.loads(given.get("kept", "") or "null")
        kept = KeptForm(str(address), tuple((str(name), str(value)) for name, value in fields), had_file is True)
    except (TypeError, ValueError):
        return None
    return kept if own_address(request, kept.address) else None


def own_address(request: HttpRequest, address: str | None) -> str:
    """An address of ours, as it stands; else nothing."""
    is_ours = (
        address
        and address.startswith("/")
        and url_has_allowed_host_and_scheme(
            address, allowed_hosts={request.get_host()}, require_https=request.is_secure()
        )
    )
    return address or "" if is_ours else ""


def is_from_our_page(request: HttpRequest) -> bool:
    """Whether a page of ours sent this; what another site sent must not be offered to be sent again."""
    if "Origin" in request.headers:
        return request.headers["Origin"] == f"{request.scheme}://{request.get_host()}"
    return request.headers.get("Sec-Fetch-Site") == "same-origin"
