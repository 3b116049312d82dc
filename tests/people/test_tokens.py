"""Secrets and their hashes."""

import base64

from farmops.people.tokens import hash_of, new_secret


def test_a_secret_has_256_bits_and_is_new_each_time():
    one, two = new_secret(), new_secret()
    assert len(base64.urlsafe_b64decode(one + "=")) == 32
    assert one != two


def test_the_hash_is_sha_256():
    # FIPS 180-2, appendix B.1: the message "abc"
    assert hash_of("abc") == "ba7816bf8f01cfea414140de5dae2223b00361a396177a9cb410ff61f20015ad"
