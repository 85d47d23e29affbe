"""Page templates compiled once a process: a page is then made in a fraction of the time."""

from types import CodeType
from typing import Final

import jinja2
from jinja2.bccache import Bucket


class CompiledOnce(jinja2.BytecodeCache):
    """Templates compiled once a process, as long as their text is the same."""

    def __init__(self) -> None:
        self._kept: dict[str, tuple[str, CodeType]] = {}

    def load_bytecode(self, bucket: Bucket) -> None:
        """Fill in the code of a template where it was compiled before."""
        checksum, code = self._kept.get(bucket.key, ("", None))
        if code is not None and checksum == bucket.checksum:
            bucket.code = code

    def dump_bytecode(self, bucket: Bucket) -> None:
        """Keep the code of a template."""
        if bucket.code is not None:
            self._kept[bucket.key] = (bucket.checksum, bucket.code)


COMPILED: Final = CompiledOnce()
