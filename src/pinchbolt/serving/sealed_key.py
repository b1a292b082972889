"""The keys of a home folder, by choice carried along in its copies: sealed under a passphrase that nobody else knows.

Without them everybody signs in anew on a new machine and every tablet takes another authority in. Sealed with AES-256-GCM (NIST
SP 800-38D) under a key by scrypt (RFC 7914), whose cost makes each guess take a quarter of a second.
"""

import json
import os
from base64 import b64decode, b64encode
from hashlib import scrypt
from pathlib import Path

from cryptography.exceptions import InvalidTag
from cryptography.hazmat.primitives.ciphers.aead import AESGCM

from pinchbolt.errors import InputRefused
from pinchbolt.serving.home import home_folder
from pinchbolt.values.wording import worded
from pinchbolt.workshop.acts.passphrases import good_passphrase

_COST = {"n": 2**16, "r": 8, "p": 1}
_MEMORY = 256 * 1024 * 1024
_KEPT = ("secret-key", "authority/authority.key", "authority/authority.crt")
_ABOUT = b"keys of a bench book, 1"


def sealed_file() -> Path:
    """Return where the sealed keys lie; copies carry them while they are there."""
    return home_folder() / "sealed-keys.json"


def seal_keys(passphrase: str) -> Path:
    """Seal the keys that are here under a passphrase, so that every copy from now on carries them.

    Raises:
        InputRefused: The passphrase is easy to guess.
    """
    good_passphrase(passphrase)
    held = {
        name: b64encode((home_folder() / name).read_bytes()).decode()
        for name in _KEPT
        if (home_folder() / name).is_file()
    }
    salt, nonce = os.urandom(16), os.urandom(12)
    sealed = AESGCM(_key(passphrase, salt)).encrypt(nonce, json.dumps(held).encode(), _ABOUT)
    told = {"salt": salt, "nonce": nonce, "sealed": sealed}
    _write(
        sealed_file(), json.dumps({name: b64encode(value).decode() for name, value in told.items()}).encode()
    )
    return sealed_file()


def open_keys(sealed: bytes, passphrase: str) -> dict[str, bytes]:
    """Return the keys by their place in a home folder.

    Raises:
        InputRefused: Another passphrase, or nothing that was sealed here.
    """
    try:
        told = {name: b64decode(value) for name, value in json.loads(sealed).items()}
        opened = AESGCM(_key(passphrase, told["salt"])).decrypt(told["nonce"], told["sealed"], _ABOUT)
        return {name: b64decode(value) for name, value in json.loads(opened).items() if name in _KEPT}
    except (InvalidTag, ValueError, KeyError, AttributeError, TypeError):
        sentence = worded(
            "The keys in this copy do not open with this passphrase: nothing was changed. Try "
            "another, or go back without them."
        )
        raise InputRefused(sentence, {"passphrase": sentence}) from None


def put_keys(keys: dict[str, bytes]) -> None:
    """Put opened keys into this home folder, in the place of those that are there."""
    for name, content in keys.items():
        _write(home_folder() / name, content)


def _key(passphrase: str, salt: bytes) -> bytes:
    return scrypt(passphrase.encode(), salt=salt, maxmem=_MEMORY, dklen=32, **_COST)


def _write(file: Path, content: bytes) -> None:
    file.parent.mkdir(parents=True, exist_ok=True, mode=0o700)
    fresh = file.with_name(f".{file.name}.{os.getpid()}")
    fresh.unlink(missing_ok=True)
    with os.fdopen(os.open(fresh, os.O_WRONLY | os.O_CREAT | os.O_EXCL, 0o600), "wb") as out:
        out.write(content)
        out.flush()
        os.fsync(out.fileno())
    fresh.replace(file)
