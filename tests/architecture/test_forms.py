"""Does every form treat what nobody sees in the same way?"""

import pytest
from django import forms
from django.urls import get_resolver

from procedures.views.forms.plain import PlainForm
from training.views.forms.levels import LevelForm, NewLevelForm
from training.views.forms.people import AppointForm, NewPersonForm, PersonForm
from training.views.forms.rota import AbsenceForm, ShiftForm, WantForm

# Passwords and codes only: compared, never kept as a text and never shown.
NO_TEXTS = {"SignInForm", "NewPasswordForm", "FirstPasswordForm"}
# "Trojan Source" (N. Boucher, R. Anderson, 2021): marks of direction make a text show other words
# than it holds.
TROJAN = "The seal is \u202enot\u202c seated.\u200b"


def every_form(above=forms.Form):
    for form in above.__subclasses__():
        yield form
        yield from every_form(form)


def test_every_form_of_the_site_drops_or_tells_letters_that_nobody_sees():
    get_resolver().url_patterns  # noqa: B018 - every page, and so every form, is imported by it
    ours = {
        form
        for form in every_form()
        if form.__module__.partition(".")[0] in ("procedures", "quizzes", "training")
    }
    assert len(ours) > 40
    assert {form.__name__ for form in ours if not issubclass(form, PlainForm)} == NO_TEXTS


LAID_OUT = (
    (LevelForm, {}),
    (NewLevelForm, {}),
    (PersonForm, {}),
    (NewPersonForm, {}),
    (AppointForm, {"with_code": True}),
    (AppointForm, {}),
    (ShiftForm, {}),
    (AbsenceForm, {}),
    (WantForm, {}),
)


@pytest.mark.parametrize(("form", "more"), LAID_OUT)
def test_a_form_in_groups_shows_each_of_its_fields_once(form, more):
    """A field that its page leaves out is sent empty, and would be saved so."""
    made = form(**more)
    shown = [pointer.name for pointer in made.helper.layout.get_field_names()]
    assert sorted(shown) == sorted(made.fields)


class Every(PlainForm):
    line = forms.CharField(required=False)
    text = forms.CharField(required=False, widget=forms.Textarea)
    secret = forms.CharField(required=False, widget=forms.PasswordInput)


def test_a_text_loses_them_a_line_tells_them_and_a_password_keeps_them():
    form = Every({"line": "a\u200bb", "text": TROJAN, "secret": TROJAN})
    assert not form.is_valid()
    assert list(form.errors) == ["line"]
    assert (form.cleaned_data["text"], form.cleaned_data["secret"]) == (
        "The seal is not seated.",
        TROJAN,
    )
    form = Every({"line": "a b", "text": "one\r\ntwo\tthree"})
    assert form.is_valid()
    assert (form.cleaned_data["line"], form.cleaned_data["text"]) == ("a b", "one\ntwo\tthree")


def test_a_text_that_has_to_be_there_is_more_than_what_nobody_sees():
    class Reason(PlainForm):
        reason = forms.CharField(widget=forms.Textarea)

    assert Reason({"reason": "\u200b \u202e"}).errors == {"reason": ["Fill this in."]}
