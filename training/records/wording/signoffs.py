"""How is it said who signed somebody off, and that the owner gave a first sign-off?"""

from django.utils.translation import gettext


def say_signed(name: str, *, founding: bool, own: bool) -> str:
    """Return by whom somebody was signed off. A first sign-off by the owner says that it is one,
    and so does one that the owner gave to themselves (`own`).
    """
    if founding and own:
        text = gettext("First sign-off by the owner, {name}, for themselves")
    elif founding:
        text = gettext("First sign-off by the owner, {name}")
    else:
        text = gettext("Signed off by {name}")
    return text.format(name=name)
