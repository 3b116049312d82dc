"""The invented farm's grower."""

import pytest
from django.contrib.auth.models import User
from django.test import Client

from farmops.people.demo import demo_grower
from farmops.people.models import Person, Role


@pytest.mark.django_db
def test_the_farms_own_grower_is_taken_before_one_is_made():
    made = demo_grower()
    assert (made.name, made.role, made.account) == ("Odile", "grower", None)
    assert demo_grower() == made
    assert Person.objects.count() == 1


@pytest.mark.django_db
def test_a_name_that_is_taken_is_no_hindrance():
    Person.objects.create(name="odile")
    assert demo_grower().name == "Odile 2"


def asks(**extra):
    return Client(**extra).get("/people/").wsgi_request


@pytest.mark.django_db
def test_in_the_demo_whoever_asks_on_this_computer_is_its_grower(settings):
    settings.DEMO = True
    here, elsewhere = asks(), asks(REMOTE_ADDR="192.168.1.20")
    assert (here.person, here.has_password) == (Person.objects.get(), True)
    assert (elsewhere.person, elsewhere.has_password) == (None, False)


@pytest.mark.django_db
def test_records_of_a_farm_with_an_account_are_no_demo(settings):
    settings.DEMO = True
    Person.objects.create(name="Ines", role=Role.GROWER, account=User.objects.create_user("Ines", password="x"))
    assert (asks().person, asks().has_password) == (None, False)
