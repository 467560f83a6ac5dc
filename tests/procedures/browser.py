"""What does a browser send of forms as they came, with nothing typed?"""

from django.http import QueryDict


def sends(*forms, **changed):
    """The fields of these forms as a browser sends them, with some of them changed; a list for a
    field that can hold several.
    """
    said = QueryDict(mutable=True)
    for form in forms:
        for field in form:
            widget, value = field.field.widget, field.field.prepare_value(field.value())
            if hasattr(widget, "allow_multiple_selected") and widget.allow_multiple_selected:
                said.setlist(field.html_name, list(value or ()))
            elif value is True:
                said[field.html_name] = "on"
            elif value is not None and value is not False:
                said[field.html_name] = str(value)
    for name, value in changed.items():
        said.setlist(name, list(value) if isinstance(value, list | tuple) else [value])
    return said


def all_forms(form, rows=()):
    """A form, and the rows that stand in it with what counts them."""
    return [form, *(one for each in rows for one in (each.management_form, *each))]
