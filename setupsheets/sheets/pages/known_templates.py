"""Templates as they were compiled before: that takes longer than filling them.

What is kept is code that Python runs, so it comes from the user's cache alone, in which nobody else
may write (`files/places.py`), and is sealed as all that is kept there.
"""

from __future__ import annotations

import marshal
from base64 import b64decode, b64encode
from collections.abc import Sequence
from pathlib import Path
from types import CodeType
from typing import TYPE_CHECKING, Any

from setupsheets.files.throwaway import digest_of, users_store

if TYPE_CHECKING:
    from jinja2 import BytecodeCache, Environment


def known_environment(folders: Sequence[Path], **how: Any) -> Environment:
    """What templates in these folders are filled by, the first of a name; a value that is missing
    stops it."""
    from jinja2 import Environment, FileSystemLoader, StrictUndefined  # noqa: PLC0415

    return Environment(
        loader=FileSystemLoader(list(folders)),
        undefined=StrictUndefined,
        bytecode_cache=_known_templates(),
        auto_reload=False,
        trim_blocks=True,
        lstrip_blocks=True,
        **how,
    )


def _known_templates() -> BytecodeCache:
    """What an environment asks for a template's code before it compiles it."""
    import jinja2  # noqa: PLC0415
    from jinja2.bccache import Bucket  # noqa: PLC0415

    store = users_store()
    known = store.every("template") if store else {}

    class KnownTemplates(jinja2.BytecodeCache):
        """By a template's place and text, and what compiles it."""

        def load_bytecode(self, bucket: Bucket) -> None:
            """Give the code of a template that is known."""
            if (text := known.get(_key(bucket))) is not None:
                code = marshal.loads(b64decode(text))
                bucket.code = code if isinstance(code, CodeType) else None

        def dump_bytecode(self, bucket: Bucket) -> None:
            """Keep the code of one that was not."""
            if store and bucket.code:
                store.keep(
                    "template", {_key(bucket): b64encode(marshal.dumps(bucket.code)).decode()}
                )

    def _key(bucket: Bucket) -> str:
        return digest_of(f"{jinja2.__version__} {bucket.key} {bucket.checksum}".encode())

    return KnownTemplates()
