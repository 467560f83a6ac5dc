"""How is a table printed at the terminal?"""

from collections.abc import Sequence


def table(head: tuple[str, ...], rows: Sequence[tuple[str, ...]]) -> str:
    """A plain text table, its columns as wide as what stands in them."""
    wide = [max(len(row[column]) for row in (head, *rows)) for column in range(len(head))]
    lines = (
        "  ".join(cell.ljust(width) for cell, width in zip(row, wide, strict=True)).rstrip()
        for row in (head, tuple("-" * width for width in wide), *rows)
    )
    return "\n".join(lines)
