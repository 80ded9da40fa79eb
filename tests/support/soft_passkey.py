"""A passkey in a few lines, which answers whatever it is asked: by W3C Web Authentication Level 2.

Sections of https://www.w3.org/TR/webauthn-2/: 6.1 authenticator data, 6.5.1 attested credential
data, 8.7 attestation 'none', 5.8.1 client data, 6.3.3 step 11 what is signed. It counts nothing
(6.1.1 allows a count of 0 for ever), so that nothing but the challenge guards against replay.
"""

from __future__ import annotations

import hashlib
import json
import secrets

import cbor2
from cryptography.hazmat.primitives import hashes
from cryptography.hazmat.primitives.asymmetric import ec
from webauthn.helpers import bytes_to_base64url

PRESENT, VERIFIED, ATTESTED = 0x01, 0x04, 0x40
NO_COUNT = bytes(4)


class SoftPasskey:
    """A P-256 key that belongs to one name."""

    def __init__(self, name: str, origin: str) -> None:
        self._key = ec.generate_private_key(ec.SECP256R1())
        self._name, self._origin, self.id = name, origin, secrets.token_bytes(16)

    def make(self, options: str) -> str:
        """Answer what a browser is asked to make a passkey."""
        public = self._key.public_key().public_numbers()
        # RFC 9053, 7.1.1 and RFC 9052, 7: an EC2 key (2) for ES256 (-7) on P-256 (1).
        cose = {1: 2, 3: -7, -1: 1, -2: public.x.to_bytes(32), -3: public.y.to_bytes(32)}
        attested = bytes(16) + len(self.id).to_bytes(2) + self.id + cbor2.dumps(cose)
        data = self._data(PRESENT | VERIFIED | ATTESTED) + attested
        whole = cbor2.dumps({"fmt": "none", "attStmt": {}, "authData": data})
        return self._answer(
            {
                "clientDataJSON": self._client("webauthn.create", json.loads(options)["challenge"]),
                "attestationObject": whole,
            }
        )

    def answer(self, options: str) -> str:
        """Answer what it is asked at the door."""
        return self.answer_to(json.loads(options)["challenge"])

    def answer_to(self, challenge: str) -> str:
        """Answer a challenge, in base 64 for addresses, whoever gave it."""
        data = self._data(PRESENT | VERIFIED)
        client = self._client("webauthn.get", challenge)
        signed = data + hashlib.sha256(client).digest()
        signature = self._key.sign(signed, ec.ECDSA(hashes.SHA256()))
        return self._answer(
            {"clientDataJSON": client, "authenticatorData": data, "signature": signature}
        )

    def _data(self, flags: int) -> bytes:
        return hashlib.sha256(self._name.encode()).digest() + bytes([flags]) + NO_COUNT

    def _client(self, what: str, challenge: str) -> bytes:
        said = {"type": what, "challenge": challenge, "origin": self._origin, "crossOrigin": False}
        return json.dumps(said).encode()

    def _answer(self, parts: dict[str, bytes]) -> str:
        own = bytes_to_base64url(self.id)
        response = {name: bytes_to_base64url(part) for name, part in parts.items()}
        return json.dumps({"id": own, "rawId": own, "type": "public-key", "response": response})
