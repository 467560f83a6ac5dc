"""What does the bare project answer, and what does it keep?"""

from importlib import import_module

from django.conf import settings
from django.contrib.auth import BACKEND_SESSION_KEY, HASH_SESSION_KEY, SESSION_KEY
from django.contrib.auth.decorators import login_required
from django.contrib.auth.models import User
from django.db import connection, models, transaction
from django.http import HttpResponse
from django.shortcuts import redirect, render
from django.urls import path
from django.utils import timezone

ROWS = [[{"kind": "alone", "name": f"Cell {n} {m}"} for m in range(20)] for n in range(25)]


class Kept(models.Model):
    """One row of what is sent: no more than its text and its moment."""

    text = models.TextField()
    at = models.DateTimeField()

    class Meta:
        app_label = "bench"

    def __str__(self):
        return self.text


@login_required
def page(request):
    if request.method == "POST":
        with transaction.atomic():
            Kept.objects.create(text=request.POST["answer"], at=timezone.now())
        return redirect("/")
    return render(request, "page", {"names": ["one", "two"]})


@login_required
def cells(request):
    return render(request, "cells", {"rows": ROWS})


def rows(request):
    return HttpResponse(str(Kept.objects.count()))


urlpatterns = [path("", page), path("cells/", cells), path("rows/", rows)]


def prepare() -> str:
    """The missing tables; the key of a signed-in person's session comes back."""
    there = connection.introspection.table_names()
    with connection.schema_editor() as editor:
        for model in (User, Kept):
            if model._meta.db_table not in there:
                editor.create_model(model)
    person, _ = User.objects.get_or_create(username="bench")
    session = import_module(settings.SESSION_ENGINE).SessionStore()
    session[SESSION_KEY] = str(person.pk)
    session[BACKEND_SESSION_KEY] = settings.AUTHENTICATION_BACKENDS[0]
    session[HASH_SESSION_KEY] = person.get_session_auth_hash()
    session.create()
    return session.session_key
