"""The shop's own key, by which its service records are signed (Ed25519, RFC 8032).

It is made when the shop is set up, or at the first record of a shop that has none, and lies in the
shop's database, so that every backup holds it. Nothing here gives the private half out: whoever has
the database file has the key, and must keep it as they keep the shop's books.
"""

from collections.abc import Callable
from dataclasses import dataclass
from uuid import NAMESPACE_OID, uuid5

from sqlalchemy import select

from shopdesk.domain.record_code import fingerprint
from shopdesk.persistence.tables.evidence import signing_key
from shopdesk.services.acting import Actor, Command, Office, Reading, Writing

#: One request for all stations: whoever comes second is given the first one's key.
_FIRST_KEY_UID = str(uuid5(NAMESPACE_OID, "the shop's first signing key"))


@dataclass(frozen=True, kw_only=True, slots=True)
class MakeKey(Command):
    """Makes the shop's key where there is none."""


@dataclass(frozen=True, kw_only=True, slots=True)
class PublicKey:
    """The half of a key that may be given to anybody, in hexadecimal, and its short name."""

    public_hex: str
    fingerprint: str


@dataclass(frozen=True, slots=True)
class Signer:
    """Signs with one key."""

    public_key: bytes
    _private_key: bytes

    def __repr__(self) -> str:
        """A key never gets into a log."""
        return f"Signer({fingerprint(self.public_key)})"

    def sign(self, content: bytes) -> bytes:
        """Give the signature of some bytes; the same bytes have the same one."""
        from cryptography.hazmat.primitives.asymmetric.ed25519 import Ed25519PrivateKey

        return Ed25519PrivateKey.from_private_bytes(self._private_key).sign(content)


def signature_holds(public_key: bytes, signature: bytes, content: bytes) -> bool:
    """Say whether a signature was made over these bytes by the key's owner."""
    from cryptography.exceptions import InvalidSignature
    from cryptography.hazmat.primitives.asymmetric.ed25519 import Ed25519PublicKey

    try:
        Ed25519PublicKey.from_public_bytes(public_key).verify(signature, content)
    except (InvalidSignature, ValueError):
        return False
    return True


def halves_fit(public_hex: str, private_hex: str) -> bool:
    """Say whether two kept halves are one key."""
    from cryptography.hazmat.primitives.asymmetric.ed25519 import Ed25519PrivateKey

    try:
        key = Ed25519PrivateKey.from_private_bytes(bytes.fromhex(private_hex))
    except ValueError:
        return False
    return key.public_key().public_bytes_raw().hex() == public_hex


def make_key(writing: Writing) -> PublicKey:
    """Make the shop's key, or give the one there is. Loaded here: few runs make a key."""
    from cryptography.hazmat.primitives.asymmetric.ed25519 import Ed25519PrivateKey

    known = signer_of(writing)
    if known is not None:
        return _public(known.public_key)
    key = Ed25519PrivateKey.generate()
    public_key = key.public_key().public_bytes_raw()
    writing.add_chained(signing_key, public_hex=public_key.hex(), private_hex=key.private_bytes_raw().hex())
    return _public(public_key)


def signer_of(reading: Reading) -> Signer | None:
    """Give the newest key of the shop, None when there is none yet."""
    row = reading.connection.execute(select(signing_key).order_by(signing_key.c.id.desc()).limit(1)).first()
    if row is None:
        return None
    return Signer(bytes.fromhex(row.public_hex), bytes.fromhex(row.private_hex))


def _public(public_key: bytes) -> PublicKey:
    return PublicKey(public_hex=public_key.hex(), fingerprint=fingerprint(public_key))


class Keys:
    """The room where the shop's key is looked after."""

    def __init__(self, office: Office, actor: Callable[[], Actor]) -> None:
        self._office = office
        self._actor = actor

    def public(self) -> PublicKey:
        """Give the public half of the shop's key, made now when there is none."""
        with self._office.reading() as reading:
            known = signer_of(reading)
        if known is not None:
            return _public(known.public_key)
        command = MakeKey(actor=self._actor(), uid=_FIRST_KEY_UID)
        return self._office.carry_out(command, make_key, PublicKey)
