"""How does a page's form treat letters that nobody sees?

Marks that turn the direction of writing or have no width make a text read otherwise than it is, and
what people type here is signed and searched. Every form of the three apps is a `PlainForm`, so that
there is one place for it.
"""

from collections.abc import Mapping
from typing import Any

from django import forms
from django.utils.translation import gettext_lazy as _

from procedures.writeup.letters import hidden_in, strip_hidden

WORDS = {
    "max_length": _(
        "Make this shorter: at most %(limit_value)d characters. It has %(show_value)d."
    ),
    "max_value": _("Type %(limit_value)s or less."),
    "min_value": _("Type %(limit_value)s or more."),
}


def put_own_words(fields: Mapping[str, forms.Field]) -> None:
    """Let fields say what to do, where they would say Django's sentences of what is not valid."""
    for field in fields.values():
        for code, words in WORDS.items():
            field.error_messages.setdefault(code, words)
        if field.error_messages["required"] == forms.Field.default_error_messages["required"]:
            field.error_messages["required"] = _ask_for(field)


def _ask_for(field: forms.Field) -> Any:
    if isinstance(field, forms.MultipleChoiceField | forms.ModelMultipleChoiceField):
        return _("Choose at least one.")
    if isinstance(field, forms.ChoiceField):
        return _("Choose one of these.")
    if isinstance(field, forms.BooleanField):
        return _("Tick this.")
    if isinstance(field, forms.FileField):
        return _("Choose a file.")
    return _("Fill this in.")


class PlainForm(forms.Form):
    """A form whose texts hold no letter that nobody sees: dropped from a longer text, told in a
    line.
    """

    def __init__(self, *args: Any, **more: Any) -> None:
        super().__init__(*args, **more)
        put_own_words(self.fields)

    def clean(self) -> dict[str, Any]:
        given = super().clean() or {}
        for name, field in self.fields.items():
            said = given.get(name)
            # A password is taken as it was typed: it is compared, and never shown.
            if (
                not isinstance(field, forms.CharField)
                or not isinstance(said, str)
                or isinstance(field.widget, forms.PasswordInput)
            ):
                continue
            if isinstance(field.widget, forms.Textarea):
                given[name] = self._long_text(name, field, strip_hidden(said))
            # A line is told and not mended: a name or a login must be what was typed.
            elif hidden_in(said, is_line=True):
                self.add_error(
                    name, _("This has an invisible letter. Delete the text and type it again.")
                )
        return given

    def _long_text(self, name: str, field: forms.CharField, said: str) -> str:
        """The text; an error where nothing is left of one that has to be there."""
        if field.required and not said.strip():
            self.add_error(name, field.error_messages["required"])
        return said
