"""What does each service level ask? The owner's pages."""

from __future__ import annotations

from typing import Any

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.utils.translation import gettext
from django.views.decorators.http import require_http_methods, require_POST, require_safe

from procedures.models import Thing
from procedures.records.examples import unread_names
from procedures.records.refused import Refused
from training.access import acts, doors
from training.actions.entry_rules import set_days_back
from training.actions.levels import ask_for_writeups, set_level, undo_rules
from training.models import EntryRules, LevelRules, as_columns, days_back
from training.records.gathering import gather
from training.reports.at_bench import rules_in_force
from training.reports.levels import level_table, undoable_rules
from training.reports.links import level_links
from training.standing.terms import TERMS
from training.views.forms.evidence import DaysBackForm
from training.views.forms.levels import LevelForm, NewLevelForm
from training.views.way_on import go_on

METHODS = ["GET", "HEAD", "POST"]


@require_safe
def levels(request: HttpRequest) -> HttpResponse:
    user = doors.who(request)
    doors.must(user, acts.KEEP_LEVELS)
    context = {
        "table": level_table(user.workshop.today()),
        "undoable": undoable_rules(user),
        "unread": unread_names(Thing.LEVEL),
        "links": level_links(user.workshop.today()),
        "body": "wall-a4",  # printed lying on its side
    }
    return render(request, "training/levels.html", context)


@require_http_methods(METHODS)
def new(request: HttpRequest) -> HttpResponse:
    user = doors.who(request)
    doors.must(user, acts.KEEP_LEVELS)
    form = NewLevelForm(request.POST or None)
    if form.is_valid() and _kept(request, form, form.cleaned_data["level"], must_be_new=True):
        # A write-up can be older than its level: then the level is told of it at once.
        level, links = form.cleaned_data["level"], level_links(user.workshop.today()).writeups
        if titles := [link.title for link in links if link.to_ask == level]:
            said = gettext("These write-ups name the level, and it does not ask for them: {titles}")
            messages.info(request, said.format(titles="; ".join(titles)))
            return redirect("training:level-links")
        return go_on(request, "training:levels")
    return render(
        request, "training/level.html", {"form": form, "level": None, "title": "", "versions": []}
    )


@require_http_methods(METHODS)
def rules(request: HttpRequest, level: str) -> HttpResponse:
    user = doors.who(request)
    doors.must(user, acts.KEEP_LEVELS)
    row = doors.level_named(level)
    versions = list(LevelRules.objects.filter(level=row).select_related("by").order_by("-pk"))
    today = user.workshop.today()
    initial: dict[str, Any] = {"from_day": today}
    # What holds today and not the newest: that may wait for a day of next year.
    held = rules_in_force(gather(), level, today)
    if held:
        initial |= as_columns({name: getattr(held, name) for name in TERMS})
    form = LevelForm(request.POST or None, initial=initial)
    if form.is_valid() and _kept(request, form, level):
        return redirect("training:levels")
    title = held.title if held else row.name
    context = {"form": form, "level": row, "title": title, "versions": versions}
    ahead = (one.from_day for one in versions if one.from_day and one.from_day > today)
    context["later"] = min(ahead, default=None)
    context["undoable"] = undoable_rules(user, level)
    return render(request, "training/level.html", context)


@require_POST
def undo(request: HttpRequest, level: str) -> HttpResponse:
    """Go back from the rules that were saved today to those before."""
    user = doors.who(request)
    doors.must(user, acts.KEEP_LEVELS)
    row, sent = doors.level_named(level), request.POST.get("rules", "")
    # Seventeen digits stay below the largest key of a database (2⁶³).
    pk = int(sent) if sent.isascii() and sent.isdigit() and len(sent) < 18 else 0
    rules = get_object_or_404(LevelRules, pk=pk, level=row)
    try:
        put_back = undo_rules(rules=rules, by=user)
    except Refused as refused:
        messages.error(request, refused.message)
    else:
        said = gettext("The rules of {title} are again what they were before.")
        messages.success(request, said.format(title=put_back.title))
    return redirect("training:levels")


@require_http_methods(METHODS)
def links(request: HttpRequest) -> HttpResponse:
    """Which write-up belongs to which level, and where the two do not know of each other."""
    user = doors.who(request)
    doors.must(user, acts.KEEP_LEVELS)
    if request.method == "POST":
        level = doors.level_named(request.POST.get("level", ""))
        try:
            writeup = request.POST.get("writeup", "")
            rules = ask_for_writeups(level=level, writeups=[writeup], by=user)
        except Refused as refused:
            messages.error(request, refused.message)
        else:
            said = gettext(
                "{title} asks for it from today on. Until the end of the day you can undo it."
            )
            messages.success(request, said.format(title=rules.title))
        return redirect("training:level-links")
    context = {"links": level_links(user.workshop.today())}
    return render(request, "training/level_links.html", context)


@require_http_methods(METHODS)
def late_entries(request: HttpRequest) -> HttpResponse:
    """How many days back people may enter a job by themselves."""
    user = doors.who(request)
    doors.must(user, acts.KEEP_LEVELS)
    form = DaysBackForm(request.POST or None, initial={"days": days_back()})
    if form.is_valid():
        try:
            set_days_back(days=form.cleaned_data["days"], by=user)
        except Refused as refused:
            form.add_error(None, refused.message)
        else:
            messages.success(request, gettext("Saved."))
            return redirect("training:levels")
    versions = EntryRules.objects.select_related("by").order_by("-pk")
    return render(request, "training/late_entries.html", {"form": form, "versions": versions})


def _kept(request: HttpRequest, form: LevelForm, name: str, *, must_be_new: bool = False) -> bool:
    terms, from_day, by = form.terms(), form.cleaned_data["from_day"], doors.who(request)
    try:
        set_level(name=name, terms=terms, from_day=from_day, by=by, must_be_new=must_be_new)
    except Refused as refused:
        form.add_error("level" if must_be_new else None, [refused.message, *refused.details])
        return False
    messages.success(
        request,
        gettext("The rules of {title} are saved as a new version.").format(title=terms.title),
    )
    return True
