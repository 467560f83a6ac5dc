"""When are two names the same?"""

from unicodedata import normalize


def make_plain(name: str) -> str:
    """The name as it is compared: in lower case, each run of white space as one space, none at the
    ends.
    """
    # An “ö” may come as one sign or as two, by the machine it was typed on; nobody sees which.
    return " ".join(normalize("NFC", name).split()).lower()
