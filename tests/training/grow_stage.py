"""Which rare turns of entitlement must a random shop meet more often than chance would have it?

Two people who have no other entries: Hal, who signs, and Ivy, who is signed for. What is drawn sits
on the edges: same-day sign-offs at the level or at one before it, an appointment that begins or
ends on that day, options that the signer lacks.
"""

from datetime import date, timedelta


def _levels_before(shop, level):
    named = next(row["earlier"] for row in shop.rows["levels"] if row["level"] == level)
    found = [name for name in named.split(";") if name]
    return {*found, *(name for earlier in found for name in _levels_before(shop, earlier))}


def _options(shop, level):
    """Limits of a sign-off by one variant of the level: none, all of its options or one of them."""
    variants = shop.variants_of(level)
    if not variants or shop.chance(0.4):
        return "*"
    name = sorted(variants)[0]
    first, second, *_ = options = variants[name]
    return f"{name}={shop.rng.choice(('|'.join(options), first, second))}"


def stage(shop):
    """Add Hal and Ivy to a grown shop; a question about Ivy comes back."""
    rng, owner, level = shop.rng, shop.logins[0], shop.rng.choice(shop.names())
    day = shop.day(date(2023, 1, 1), date(2026, 6, 30))
    before = day - timedelta(days=rng.choice((1, 20)))
    for login, trade in (("hal", "senior"), ("ivy", "mechanic")):
        row = {
            "login": login,
            "name": f"{login.title()} Demo",
            "workshop": "Demo Works",
            "trade": trade,
            "started": "2022-01-03",
            "left": "",
        }
        shop.rows["people"].append(row)
    first = day + timedelta(days=rng.choice((0, 0, -1, -100, 1)))
    until = day + timedelta(days=rng.choice((0, 0, 1, -1))) if shop.chance(0.5) else ""
    until = until and max(first, until)
    shop.add(
        "appointments", first, login="hal", level=level, by=owner, **{"from": first, "until": until}
    )
    for name in sorted({level, *_levels_before(shop, level)}):
        on, founding = (day, shop.chance(0.4)) if shop.chance(0.2) else (before, shop.chance(0.9))
        variants = _options(shop, name) if name == level or shop.chance(0.3) else "*"
        row = {
            "level": name,
            "on": on,
            "signed_by": owner,
            "founding": "yes" if founding else "no",
            "note": "",
        }
        shop.add("signoffs", on, login="hal", variants=variants, **row)
        if name != level:
            shop.add(
                "signoffs",
                before,
                login="ivy",
                variants="*",
                **{**row, "on": before, "founding": "yes"},
            )
    row = {"level": level, "on": day, "signed_by": "hal", "founding": "no", "note": ""}
    shop.add("signoffs", day, login="ivy", variants=_options(shop, level), **row)
    named = {
        name: rng.choice(options)
        for name, options in shop.variants_of(level).items()
        if shop.chance(0.7)
    }
    return {
        "level": level,
        "on": str(day + timedelta(days=rng.choice((0, 1, 5)))),
        "variant": named,
    }
