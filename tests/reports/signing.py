"""A certificate made for a test: self-signed, so nobody trusts it, and whole otherwise."""

from datetime import UTC, datetime
from pathlib import Path

from cryptography import x509
from cryptography.hazmat.primitives import hashes
from cryptography.hazmat.primitives.asymmetric import rsa
from cryptography.hazmat.primitives.serialization import BestAvailableEncryption, pkcs12
from cryptography.x509.oid import NameOID

PASSPHRASE = "proved dead at DB1"
BEGINS, ENDS = datetime(2020, 1, 1, tzinfo=UTC), datetime(2040, 1, 1, tzinfo=UTC)


def write_certificate(path: Path, *, ends: datetime = ENDS) -> Path:
    """A PKCS#12 file of Tidewell Electrical's certificate and key."""
    key = rsa.generate_private_key(public_exponent=65537, key_size=2048)
    name = x509.Name(
        [
            x509.NameAttribute(NameOID.COMMON_NAME, "Tidewell Electrical"),
            x509.NameAttribute(NameOID.LOCALITY_NAME, "Larkfield"),
        ]
    )
    usage = dict.fromkeys(
        (
            "key_encipherment",
            "data_encipherment",
            "key_agreement",
            "key_cert_sign",
            "crl_sign",
            "encipher_only",
            "decipher_only",
        ),
        False,
    )
    certificate = (
        x509.CertificateBuilder()
        .subject_name(name)
        .issuer_name(name)
        .public_key(key.public_key())
        .serial_number(x509.random_serial_number())
        .not_valid_before(BEGINS)
        .not_valid_after(ends)
        .add_extension(x509.KeyUsage(digital_signature=True, content_commitment=True, **usage), critical=True)
        .sign(key, hashes.SHA256())
    )
    sealed = pkcs12.serialize_key_and_certificates(
        b"firm", key, certificate, None, BestAvailableEncryption(PASSPHRASE.encode())
    )
    path.write_bytes(sealed)
    return path
