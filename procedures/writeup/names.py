"""When are two names the same?"""


def make_plain(name: str) -> str:
    """The name as it is compared: in lower case, each run of white space as one space, none at the
    ends.
    """
    return " ".join(name.split()).lower()
