"""Run Python in the shipped browser runtime, under Node: for the build's own check and for tests.

    with Runtime() as runtime:
        runtime.run("import sys; result = sys.version_info[:2]")
        runtime.call("calculators.units:some_function", 3.5, "kg")
        runtime.call_many("calculators.units:some_function", [(3.5, "kg"), (4, "kg")])

Arguments and results pass as JSON. One process serves any number of requests; starting it takes about a
second.
"""

from __future__ import annotations

import json
import subprocess
import tempfile
from collections.abc import Iterable, Sequence
from pathlib import Path
from typing import Any

from build_scripts import environment

SHIPPED = environment.BUILD / "runtime"


class RuntimeFailure(Exception):
    """The runtime did not start, stopped, or Python raised in it; the text says which."""


class Runtime:
    """One running copy of the runtime in `folder`, with the `libraries` named loaded too. Use it in a `with` block."""

    def __init__(self, folder: Path = SHIPPED, libraries: Sequence[str] = ()) -> None:
        if not (folder / "pyodide.mjs").exists():
            raise RuntimeFailure(f"there is no runtime in {folder}: build it with build_scripts/serve.py")
        self._messages = tempfile.TemporaryFile("w+", encoding="utf-8")
        self._process = subprocess.Popen(
            [environment.node(), str(environment.ROOT / "build_scripts" / "run_in_runtime.mjs"), str(folder),
             *libraries],
            stdin=subprocess.PIPE, stdout=subprocess.PIPE, stderr=self._messages, text=True, encoding="utf-8",
        )
        if self._read_line() != "ready":
            self._fail("the runtime did not start")

    def run(self, code: str) -> Any:
        """Run `code` and return what it left in the name `result` (None if it set none)."""
        return self._ask({"code": code})[0]

    def call(self, function: str, *arguments: Any) -> Any:
        """Call `function`, written as `package.module:name`, and return its result."""
        return self.call_many(function, [arguments])[0]

    def call_many(self, function: str, argument_lists: Iterable[Sequence[Any]]) -> list[Any]:
        """Call `function` once for each list of arguments, in one request; the results are in order."""
        return self._ask({"function": function, "argument_lists": [list(a) for a in argument_lists]})

    def printed(self) -> str:
        """What Python and Node have printed so far."""
        self._messages.seek(0)
        return self._messages.read()

    def close(self) -> None:
        """End the process. Closing twice does no harm."""
        if self._process.poll() is None:
            self._process.stdin.close()
            try:
                self._process.wait(timeout=20)
            except subprocess.TimeoutExpired:
                self._process.kill()
                self._process.wait()
        self._process.stdout.close()

    def __enter__(self) -> Runtime:
        return self

    def __exit__(self, *exception: object) -> None:
        self.close()

    def _ask(self, request: dict[str, Any]) -> list[Any]:
        try:
            self._process.stdin.write(json.dumps(request) + "\n")
            self._process.stdin.flush()
        except OSError:
            self._fail("the runtime has stopped")
        line = self._read_line()
        if not line:
            self._fail("the runtime stopped without a reply")
        reply = json.loads(line)
        if "error" in reply:
            raise RuntimeFailure(reply["error"])
        return reply["values"]

    def _read_line(self) -> str:
        return self._process.stdout.readline().rstrip("\n")

    def _fail(self, what: str) -> None:
        self.close()
        raise RuntimeFailure(f"{what}. It printed:\n{self.printed()}")
