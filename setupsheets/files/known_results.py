"""What is slow to work out and hangs on what it is given alone: nobody works it out twice.

Results lie in the user's cache, which may be thrown away (`files/throwaway.py`). As what is kept
there can become code that runs, it is used only where nobody else may write (`files/places.py`).
"""

from __future__ import annotations

import pickle
from base64 import b64decode, b64encode
from collections.abc import Callable
from contextlib import suppress
from functools import wraps
from io import BytesIO
from typing import ParamSpec, TypeVar, cast

from setupsheets.files.throwaway import digest_of, users_store

P = ParamSpec("P")
T = TypeVar("T")


def once_known(
    most: int, by: Callable[..., object] | None = None
) -> Callable[[Callable[P, T]], Callable[P, T]]:
    """Have a function's results known to later runs, of those that it gave the last ``most``.

    It is for one that gives the same for the same arguments, with the same program and libraries,
    and does nothing else. They are told apart by all that is in them, or by what ``by`` says that
    stands for them; where that is None, or another in the end, and what is raised, nothing is kept.
    """

    def decorated(work: Callable[P, T]) -> Callable[P, T]:
        kind = f"{work.__module__}.{work.__qualname__}"

        def key_of(*given: P.args, **named: P.kwargs) -> str | None:
            told = by(*given, **named) if by else (given, named)
            if told is None:
                return None
            return digest_of(told if isinstance(told, bytes) else _told_whole(told))

        @wraps(work)
        def known(*given: P.args, **named: P.kwargs) -> T:
            store = users_store()
            key = key_of(*given, **named) if store else None
            if store is None or key is None:
                return work(*given, **named)
            with suppress(Exception):  # what cannot be read is worked out
                return cast(T, pickle.loads(b64decode(store.some(kind, [key])[key])))
            found = pickle.dumps(work(*given, **named))
            if key == key_of(*given, **named):
                store.keep(kind, {key: b64encode(found).decode()}, most=most)
            # As it is read, so that what is worked out from it finds the same in a later run.
            return cast(T, pickle.loads(found))

        return known

    return decorated


def _told_whole(told: object) -> bytes:
    """A value as pickle writes it, each part in its place: what is one thing in two places is told
    like two that are equal."""
    written = BytesIO()
    pickler = pickle.Pickler(written)
    pickler.fast = True
    pickler.dump(told)
    return written.getvalue()
