"""Pages asked without a test client keep the connection of the test, as one does."""

import pytest
from django.core.signals import request_finished, request_started
from django.db import close_old_connections


@pytest.fixture(autouse=True)
def one_connection():
    for signal in (request_started, request_finished):
        signal.disconnect(close_old_connections)
    yield
    for signal in (request_started, request_finished):
        signal.connect(close_old_connections)
