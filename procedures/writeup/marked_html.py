"""Which words and drawings of two pieces of HTML differ? Each piece is marked where it stands.

Only words and whole drawings are marked, never tags, so that each piece stays as well formed as it
was. Both pieces are the site's own HTML, not somebody's.
"""

import re
from collections.abc import Iterator

from procedures.writeup.lined_up import line_up

MOST_TOKENS = 6_000
"""Pieces longer than that together are left unmarked: nobody reads that much by its marks."""

# A drawing is one token, since marks inside it would be no SVG.
_TOKEN = re.compile(r"(?s)<svg\b(?:[^<]|<(?!/?svg\b))*+</svg>|<[^<>]++>|\s++|[^<\s]++|<")
_VOID = ("<br", "<hr", "<img", "<wbr", "<!")
OWN_IDS = re.compile(r"\b(?:was|now)-(?:line-\d+|[a-z]+)(?:-\d+)?")


def mark_changes(before: str, now: str) -> tuple[str, str]:
    """The two pieces, the first with `del` round what is gone, the second with `ins` round what
    came. Ids that begin with `was-` and `now-` are taken as the same.
    """
    old, new = _TOKEN.findall(before), _TOKEN.findall(now)
    if len(old) + len(new) > MOST_TOKENS:
        return before, now
    # White space is never marked by itself, and lining it up would be most of the work.
    shown, now_shown = _not_space(old), _not_space(new)
    gone, came = set(shown), set(now_shown)
    for kind, first, last, start, end in line_up(
        [_key(old[place]) for place in shown], [_key(new[place]) for place in now_shown]
    ):
        if kind == "equal":
            gone -= set(shown[first:last])
            came -= set(now_shown[start:end])
    return "".join(_marked(old, gone, "del")), "".join(_marked(new, came, "ins"))


def split_blocks(html: str) -> list[str]:
    """The paragraphs, lists, tables and the like of a piece, one after the other."""
    blocks, block, depth = [], "", 0
    for token in _TOKEN.findall(html):
        block += token
        if token.startswith("</"):
            depth -= 1
        elif token.startswith("<") and len(token) > 1 and not _is_whole(token):
            depth += 1
        if depth == 0 and not token.isspace():
            blocks.append(block)
            block = ""
    return [*blocks, block] if block.strip() else blocks


def leave_out_same(one: str, other: str) -> str:
    """The blocks of a piece that the other one does not have."""
    same = {_key(block).strip() for block in split_blocks(other)}
    return "".join(block for block in split_blocks(one) if _key(block).strip() not in same)


def _is_whole(tag: str) -> bool:
    return tag.endswith(("/>", "</svg>")) or tag.startswith(_VOID)


def _not_space(tokens: list[str]) -> list[int]:
    return [place for place, token in enumerate(tokens) if not token.isspace()]


def _key(token: str) -> str:
    return OWN_IDS.sub("", token)


def _is_shown(token: str) -> bool:
    """Whether a reader sees it: a word or a drawing, no tag and no white space."""
    return not token.isspace() and (token.startswith(("<svg", "<img")) or not token.startswith("<"))


def _marked(tokens: list[str], changed: set[int], mark: str) -> Iterator[str]:
    """The tokens, with a mark round each run of changed ones; it ends before a tag."""
    run: list[str] = []
    for place, token in enumerate([*tokens, "<end>"]):
        is_end = place == len(tokens)
        if not is_end and place in changed and _is_shown(token):
            run.append(token)
            continue
        # The space between two changed words belongs to the mark; the one behind the last does not.
        if run and token.isspace() and place + 1 in changed and _is_shown_at(tokens, place + 1):
            run.append(token)
            continue
        if run:
            yield f"<{mark}>{''.join(run)}</{mark}>"
            run = []
        if not is_end:
            yield token


def _is_shown_at(tokens: list[str], place: int) -> bool:
    return place < len(tokens) and _is_shown(tokens[place])
