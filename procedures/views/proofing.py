"""How is a finding of proofing answered?"""

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect
from django.urls import reverse
from django.utils import timezone
from django.views.decorators.http import require_POST

from procedures import access
from procedures.actions.proofing import answer_finding
from procedures.refused import Refused

LONGEST = 500


@require_POST
def answer(request: HttpRequest, name: str, number: int) -> HttpResponse:
    row = access.revision_to_write(request.user, name, number, today=timezone.localdate())
    rule, step, about, reason = (request.POST.get(key, "") for key in ("rule", "step", "about", "reason"))
    try:
        kept = answer_finding(
            revision=row, rule=rule, step=step, about=about, reason=reason[:LONGEST], by=request.user, now=timezone.now()
        )
    except Refused as refused:
        messages.error(request, refused.message)
    else:
        messages.success(request, "The reason is kept." if kept.reason else "The answer is taken back.")
    return redirect(reverse("procedures:revision", args=[name, number]) + "#proofing")
