"""The front door: what is due now, or the notebook while there is no farm yet."""

from django.http import HttpRequest, HttpResponse
from django.views.decorators.http import require_GET

from farmops.exchange.views.start import start
from farmops.farm.days import the_farm
from farmops.people.access import Answer, asker_of, judge, open_until_first_account
from farmops.people.views.ask_who import closed_answer
from farmops.planning.views.due_now import due


@open_until_first_account
@require_GET
def front(request: HttpRequest) -> HttpResponse:
    """A farm may begin with its notebook alone, which the crew does not see; then nothing else is due."""
    asker = asker_of(request)
    is_begun = the_farm() is not None or (asker.person is not None and not asker.may_see_money)
    view = due if is_begun else start
    answer = judge(view, asker)
    return view(request) if answer == Answer.YES else closed_answer(request, answer)
