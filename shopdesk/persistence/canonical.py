"""One text for one content, so that a hash of it means something.

The text is kept as it is: an engine's own JSON type would reorder keys and change the bytes.
"""

from __future__ import annotations

import hashlib
import json


def canonical_json(content: object) -> str:
    """Write dicts, lists, texts, whole numbers, truth values and None in the one canonical way.

    Keys are sorted, nothing is spaced and letters stay letters. Raises TypeError for a float (its
    text is not exact), for a key that is not text and for any other type.
    """
    _refuse_inexact(content)
    return json.dumps(content, sort_keys=True, ensure_ascii=False, separators=(",", ":"), allow_nan=False)


def sha256_text(text: str) -> str:
    """Hash the UTF-8 bytes of a text; 64 hexadecimal digits (FIPS 180-4)."""
    return hashlib.sha256(text.encode("utf-8")).hexdigest()


def content_sha(content: object) -> str:
    """Hash the canonical text of a content."""
    return sha256_text(canonical_json(content))


def _refuse_inexact(content: object) -> None:
    if content is None or isinstance(content, str | int):  # bool is an int
        return
    if isinstance(content, dict):
        for name, part in content.items():
            if not isinstance(name, str):
                raise TypeError(f"A key must be text, not {type(name).__name__}.")
            _refuse_inexact(part)
    elif isinstance(content, list | tuple):
        for part in content:
            _refuse_inexact(part)
    else:
        raise TypeError(f"Canonical JSON holds no {type(content).__name__}.")
