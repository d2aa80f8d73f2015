"""Second factors of a member."""

import hashlib

from allauth.mfa.models import Authenticator
from allauth.mfa.recovery_codes.internal.auth import RecoveryCodes
from allauth.mfa.totp.internal.auth import TOTP
from cryptography.hazmat.primitives.asymmetric import ec
from fido2.cose import ES256
from fido2.utils import websafe_encode
from fido2.webauthn import (
    AttestationObject,
    AttestedCredentialData,
    AuthenticatorData,
    CollectedClientData,
)

# The seed of RFC 6238, Appendix B, "12345678901234567890", as an app takes it.
SECRET = "GEZDGNBVGY3TQOJQGEZDGNBVGY3TQOJQ"


def app_of(member) -> Authenticator:
    """An authenticator app that holds SECRET."""
    return TOTP.activate(member, SECRET).instance


def recovery_codes_of(member) -> list[str]:
    return RecoveryCodes.activate(member).get_unused_codes()


def passkey_of(member) -> Authenticator:
    """A passkey as a browser registered it, of which nobody has the private half."""
    identity = f"passkey of {member.pk}".encode()
    credential = AttestedCredentialData.create(
        bytes(16), identity, ES256.from_cryptography_key(ec.generate_private_key(ec.SECP256R1()).public_key())
    )
    flags = AuthenticatorData.FLAG.UP | AuthenticatorData.FLAG.AT
    data = AuthenticatorData.create(hashlib.sha256(b"testserver").digest(), flags, 0, credential)
    client = CollectedClientData.create("webauthn.create", b"challenge", "https://testserver")
    response = {
        "attestationObject": websafe_encode(AttestationObject.create("none", data, {})),
        "clientDataJSON": websafe_encode(client),
    }
    registered = {
        "id": websafe_encode(identity),
        "rawId": websafe_encode(identity),
        "type": "public-key",
        "response": response,
        "clientExtensionResults": {},
    }
    return Authenticator.objects.create(
        user=member, type=Authenticator.Type.WEBAUTHN, data={"name": "Phone", "credential": registered}
    )
