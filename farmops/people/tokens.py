"""Secrets of links and phones: made here, shown once, kept only as a hash."""

import hashlib
import secrets

SECRET_BYTES = 32  # 256 bits: not to be guessed, so a quick hash is enough
EASY_LETTERS = "abcdefghjkmnpqrstuvwxyz23456789"  # sixteen of them: 79 bits, each guess a request


def new_secret() -> str:
    """A fresh secret, in letters that fit a link."""
    return secrets.token_urlsafe(SECRET_BYTES)


def new_code() -> str:
    """A secret short enough to type: four groups of four, no look-alikes. For links that last an hour."""
    return "-".join("".join(secrets.choice(EASY_LETTERS) for _ in range(4)) for _ in range(4))


def hash_of(secret: str) -> str:
    """What is stored in its place: SHA-256, in hexadecimal."""
    return hashlib.sha256(secret.encode(errors="surrogatepass")).hexdigest()
