"""Secrets in addresses."""

from salon.common.secrets_in_addresses import digest_of, new_secret


def test_secrets_are_long_and_never_the_same():
    made = {new_secret() for _ in range(200)}
    assert len(made) == 200
    assert all(len(secret) == 43 for secret in made)


def test_the_digest_is_sha_256():
    # FIPS 180-2, appendix B.1: the digest of "abc" (MEMORY)
    assert digest_of("abc") == "ba7816bf8f01cfea414140de5dae2223b00361a396177a9cb410ff61f20015ad"
