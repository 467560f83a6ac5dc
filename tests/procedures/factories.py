"""Which rows do tests on write-ups need?"""

import datetime
import hashlib

import factory
from factory.django import DjangoModelFactory

from procedures.models import Revision, ShopRules, WriteUp

NOW = datetime.datetime(2026, 11, 25, 9, 30, tzinfo=datetime.UTC)
RELEASED_ON = datetime.date(2026, 10, 12)

RULES = """\
safe: {air chamber: air let out}
temporary: [shaft guarded]
same: [[air let out, depressurised]]
"""

# Rehearses without an error under RULES: the air is out before the chamber is opened, the guard
# goes on and comes off. The proofing asks for nothing.
TEXT = """\
---
title: {title}
level: air-spring
interval: 200 h
variants:
  ring: [eyelet, prong]
---
What this is for. WARNING means death or serious injury.

!!! warning "Air in the fork"
    hazard: Pressurised air can stay in the fork.
    harm: A part can fly out and blind you.
    avoid: Keep your face out of the line of the tube.

## Make it safe

### Let the air out {{#let-air-out}}
critical: a cap under pressure can blind
makes: air let out
tool: shock pump

!!! warning "Air under pressure"
    hazard: Air can stay in the fork.
    harm: A cap let go under pressure can blind.
    avoid: Keep your face away from the valve.

Press the valve core until the hiss stops.

## Open it

### Guard the shaft {{#guard-shaft}}
makes: shaft guarded

Put the guard on the shaft.

### Open the chamber {{#open-chamber}}
opens: air chamber
needs: depressurised

!!! warning "Trapped air"
    hazard: A part can fly out.
    harm: It can blind.
    avoid: Keep your face out of the line of the tube.

Turn the cap by a quarter turn.

### Squeeze the ring {{#squeeze-ring}}
only if: ring = eyelet

Squeeze the ring.

### Walk the ring {{#walk-ring}}
only if: ring = prong

Walk the ring out of its groove.

### Take the guard off {{#guard-off}}
ends: shaft guarded

Take the guard off.
"""


class WriteUpFactory(DjangoModelFactory):
    class Meta:
        model = WriteUp

    name = factory.Sequence(lambda n: f"service-{n}")
    title = factory.LazyAttribute(lambda row: row.name.capitalize().replace("-", " "))


class RevisionFactory(DjangoModelFactory):
    """A draft; `in_review=True` or `released=True` for the later states."""

    class Meta:
        model = Revision

    class Params:
        in_review = factory.Trait(sent_to_review_at=NOW)
        released = factory.Trait(
            released_on=RELEASED_ON,
            recorded_at=NOW,
            digest=factory.LazyAttribute(lambda row: hashlib.sha256(row.text.encode()).hexdigest()),
        )

    writeup = factory.SubFactory(WriteUpFactory)
    number = 1
    text = factory.LazyAttribute(lambda row: TEXT.format(title=row.writeup.title))
    changed_at = NOW


class ShopRulesFactory(DjangoModelFactory):
    class Meta:
        model = ShopRules

    text = RULES
    recorded_at = NOW
