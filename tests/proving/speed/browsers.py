"""A phone and the office as the fixtures let them in, for asking pages without a test client."""

from farmops.proving.speed.asking import Browser
from farmops.proving.speed.farm_at_hand import plain


def browsers(phone_client, office_client):
    return {"phone": Browser(plain(phone_client.cookies)), "office": Browser(plain(office_client.cookies))}
