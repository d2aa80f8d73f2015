"""A file under a passphrase: encrypted and authenticated, so that it is read whole or not at all.

scrypt (RFC 7914) makes the key of the passphrase; AES-256-GCM (NIST SP 800-38D) seals pieces of one mebibyte,
each under a nonce that counts them and says which is the last, so that none is left out, moved or added.
"""

import os
from collections.abc import Iterator
from typing import BinaryIO

from cryptography.exceptions import InvalidTag
from cryptography.hazmat.primitives.ciphers.aead import AESGCM
from cryptography.hazmat.primitives.kdf.scrypt import Scrypt

MARK = b"Stillacross backup, sealed, 1\n"
SALT_BYTES, PREFIX_BYTES, TAG_BYTES = 16, 7, 16
PIECE_BYTES = 1024 * 1024


class SealBroken(ValueError):
    """The passphrase is another, or the file is not what was written."""


def is_sealed(source: BinaryIO) -> bool:
    """Whether a file begins as a sealed one does. Reads its beginning."""
    return source.read(len(MARK)) == MARK


def seal(source: BinaryIO, target: BinaryIO, passphrase: str) -> None:
    """Write ``source`` to ``target`` under ``passphrase``."""
    head = MARK + os.urandom(SALT_BYTES + PREFIX_BYTES)
    key, prefix = _key(head, passphrase)
    target.write(head)
    for number, piece, is_last in _pieces(source, PIECE_BYTES):
        target.write(key.encrypt(_nonce(prefix, number, is_last), piece, head))


def unseal(source: BinaryIO, target: BinaryIO, passphrase: str) -> None:
    """Write to ``target`` what ``source`` holds. Raises SealBroken; ``target`` is then to be thrown away."""
    head = source.read(len(MARK) + SALT_BYTES + PREFIX_BYTES)
    key, prefix = _key(head, passphrase)
    try:
        for number, piece, is_last in _pieces(source, PIECE_BYTES + TAG_BYTES):
            target.write(key.decrypt(_nonce(prefix, number, is_last), piece, head))
    except InvalidTag as error:
        raise SealBroken("The passphrase is wrong, or the file is damaged.") from error


def _key(head, passphrase):
    salt = head[len(MARK) : len(MARK) + SALT_BYTES]
    kdf = Scrypt(salt=salt, length=32, n=2**16, r=8, p=1)
    return AESGCM(kdf.derive(passphrase.encode())), head[len(MARK) + SALT_BYTES :]


def _nonce(prefix, number, is_last):
    return prefix + number.to_bytes(4, "big") + bytes([is_last])


def _pieces(source: BinaryIO, size: int) -> Iterator[tuple[int, bytes, bool]]:
    """Number, bytes, and whether it is the last; an empty file is one empty piece."""
    number, piece = 0, source.read(size)
    while True:
        following = source.read(size)
        yield number, piece, not following
        if not following:
            return
        number, piece = number + 1, following
