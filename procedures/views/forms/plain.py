"""How does a page's form treat letters that nobody sees?

Marks that turn the direction of writing or have no width make a text read otherwise than it is, and
what people type here is signed and searched. Every form of the three apps is a `PlainForm`, so that
there is one place for it.
"""

from typing import Any

from django import forms
from django.utils.translation import gettext_lazy as _

from procedures.writeup.letters import hidden_in, strip_hidden


class PlainForm(forms.Form):
    """A form whose texts hold no letter that nobody sees: dropped from a longer text, told in a
    line.
    """

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
