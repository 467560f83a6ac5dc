"""How does a test get people, workshops and levels?"""

import datetime

import factory

from training.models import Level, LevelRules, User, Workshop

PASSWORD = "a fork in the stand"


class WorkshopFactory(factory.django.DjangoModelFactory):
    class Meta:
        model = Workshop
        django_get_or_create = ("name",)

    name = "Test Workshop"
    time_zone = "Europe/Vienna"


class UserFactory(factory.django.DjangoModelFactory):
    class Meta:
        model = User
        skip_postgeneration_save = True

    login = factory.Sequence("person{}".format)
    name = factory.LazyAttribute(lambda row: row.login.title())
    trade = "mechanic"
    owner = factory.LazyAttribute(lambda row: row.trade == "owner")
    workshop = factory.SubFactory(WorkshopFactory)
    started = datetime.date(2020, 1, 1)
    password = factory.django.Password(PASSWORD)


class LevelFactory(factory.django.DjangoModelFactory):
    class Meta:
        model = Level
        django_get_or_create = ("name",)

    name = "air-spring"


class LevelRulesFactory(factory.django.DjangoModelFactory):
    class Meta:
        model = LevelRules

    level = factory.SubFactory(LevelFactory)
    title = "Air-spring service"
    valid_months = 24
    recorded_at = datetime.datetime(2020, 1, 1, tzinfo=datetime.UTC)
