"""A YAML language server asked over stdio, as an editor does (Language Server Protocol 3.17)."""

from __future__ import annotations

import json
import subprocess
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import Any

QUIET = {"schemaStore": {"enable": False}, "hover": True, "completion": True, "validate": True}
"""Its settings: what stands on any machine, but no catalogue from the network."""


class LanguageServer:
    """One server that has a folder open."""

    def __init__(self, process: subprocess.Popen[bytes], folder: Path) -> None:
        """Say hello."""
        self._process = process
        self._asked = 0
        self._found: dict[str, list[Any]] = {}
        able = {"hover": {"contentFormat": ["markdown"]}, "completion": {}}
        told = {
            "processId": None,
            "rootUri": folder.as_uri(),
            "capabilities": {"textDocument": able, "workspace": {"configuration": True}},
        }
        self._ask("initialize", told)
        self._tell("initialized", {})

    def diagnostics(self, path: Path, text: str | None = None) -> list[Any]:
        """What is red in a file, or would be if it held that text; each path is opened once."""
        held = path.read_text("utf-8") if text is None else text
        opened = {"uri": path.as_uri(), "languageId": "yaml", "version": 1, "text": held}
        self._tell("textDocument/didOpen", {"textDocument": opened})
        while path.as_uri() not in self._found:
            self._read()
        return self._found[path.as_uri()]

    def hover(self, path: Path, line: int, column: int) -> str:
        """What is told at a place of an open file, both counted from 0."""
        found = self._ask("textDocument/hover", self._at(path, line, column))
        return str(found["contents"]["value"]) if found else ""

    def completions(self, path: Path, line: int, column: int) -> list[str]:
        """What may be put there."""
        found = self._ask("textDocument/completion", self._at(path, line, column))
        return [str(each["label"]) for each in found["items"]]

    def _at(self, path: Path, line: int, column: int) -> dict[str, Any]:
        place = {"line": line, "character": column}
        return {"textDocument": {"uri": path.as_uri()}, "position": place}

    def _ask(self, method: str, params: Any) -> Any:
        self._asked += 1
        self._send({"id": self._asked, "method": method, "params": params})
        while True:
            read = self._read()
            if read.get("id") == self._asked and "method" not in read:
                assert "error" not in read, read
                return read["result"]

    def _tell(self, method: str, params: Any) -> None:
        self._send({"method": method, "params": params})

    def _send(self, message: dict[str, Any]) -> None:
        data = json.dumps({"jsonrpc": "2.0", **message}).encode()
        assert self._process.stdin
        self._process.stdin.write(b"Content-Length: %d\r\n\r\n" % len(data) + data)
        self._process.stdin.flush()

    def _read(self) -> Any:
        """One message; what the server itself asks is answered."""
        assert self._process.stdout
        length = 0
        while (line := self._process.stdout.readline().strip()) or not length:
            assert line, "the language server has ended"
            name, _, value = line.partition(b":")
            length = int(value) if name.lower() == b"content-length" else length
        read = json.loads(self._process.stdout.read(length))
        if read.get("method") == "textDocument/publishDiagnostics":
            self._found[read["params"]["uri"]] = read["params"]["diagnostics"]
        elif read.get("method") == "workspace/configuration":
            asked = [each.get("section") for each in read["params"]["items"]]
            told = [QUIET if section == "yaml" else None for section in asked]
            self._send({"id": read["id"], "result": told})
        elif "method" in read and "id" in read:
            self._send({"id": read["id"], "result": None})
        return read


@contextmanager
def language_server(program: str, folder: Path) -> Iterator[LanguageServer]:
    """A server for a folder while it is needed."""
    pipe = subprocess.PIPE
    with subprocess.Popen([program, "--stdio"], stdin=pipe, stdout=pipe) as process:
        try:
            yield LanguageServer(process, folder)
        finally:
            process.kill()
