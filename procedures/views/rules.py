"""How are the shop's rules read, changed and compared?"""

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils.translation import gettext
from django.views.decorators.http import require_http_methods, require_safe

from procedures import access
from procedures.actions import writeups as actions
from procedures.forms import RulesForm
from procedures.refused import Refused
from procedures.reports import rules as reports


@require_http_methods(["GET", "HEAD", "POST"])
def rules(request: HttpRequest) -> HttpResponse:
    access.must_write(request.user)
    page = reports.rules_page()
    form = RulesForm(request.POST or None, initial={"text": page.text, "seen": page.version or 0})
    effect = None
    if form.is_valid():
        text = form.cleaned_data["text"]
        try:
            effect = reports.effect_of(text)
            # What would come or go is shown first; the second press, with that in view, keeps it.
            if effect.is_silent or request.POST.get("known") == effect.digest:
                actions.set_rules(author=request.user, **form.cleaned_data)
                messages.success(request, gettext("The rules are kept as the newest version."))
                return redirect("procedures:rules")
        except Refused as refused:
            effect = None
            form.add_error(None, refused.message)
    return render(request, "procedures/rules.html", {"page": page, "form": form, "effect": effect})


@require_safe
def version(request: HttpRequest, version: int) -> HttpResponse:
    access.must_write(request.user)
    row = access.rules_version(version)
    return render(request, "procedures/rules_version.html", {"page": reports.version_page(row)})
