"""What does the button beside a finding of the proofing do?"""

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect
from django.urls import reverse
from django.utils import timezone
from django.utils.translation import gettext
from django.views.decorators.http import require_POST

from procedures.access import doors
from procedures.actions.proofing import answer_finding
from procedures.records.above import shop_now
from procedures.records.refused import Refused
from procedures.reports.proofing import find_by_key
from procedures.views.forms.writeups import AnswerForm


@require_POST
def answer(request: HttpRequest, name: str, number: int) -> HttpResponse:
    """Keeps an answer, or takes it back, and goes back to where the finding stands."""
    row = doors.revision_to_write(request.user, name, number, today=timezone.localdate(shop_now()))
    form = AnswerForm(request.POST)
    key = form.data.get("key", "")
    # By a key and not by the words: those stand in the page, and would come back as anybody typed.
    found = find_by_key(row.text, key)
    page = reverse("procedures:revision", args=[name, number])
    if not form.is_valid():
        messages.error(
            request,
            gettext("This answer is not saved: {errors}").format(
                errors=" ".join(str(said) for errors in form.errors.values() for said in errors)
            ),
        )
    elif found is None:
        messages.error(
            request,
            gettext("The text has changed and this finding is gone. Look at the findings again."),
        )
    else:
        rule, step, about = found.key
        reason = form.cleaned_data["reason"]
        try:
            answer_finding(
                revision=row, rule=rule, step=step, about=about, reason=reason, by=request.user
            )
        except Refused as refused:
            messages.error(request, refused.message)
        else:
            messages.success(
                request,
                gettext("The answer is saved.")
                if reason.strip()
                else gettext("The answer is taken back."),
            )
    return redirect(f"{page}#proof-{key}" if found else page)
