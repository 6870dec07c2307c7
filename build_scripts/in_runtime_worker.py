"""The half of in_runtime.py that runs inside the browser's Python: one JSON request in, one reply out."""

import importlib
import json
import traceback


def answer(line: str) -> str:
    """Carry out one request; the reply has either `values` or `error`, the text of a traceback."""
    try:
        request = json.loads(line)
        if "code" in request:
            names: dict = {"__name__": "in_runtime"}
            exec(compile(request["code"], "<given code>", "exec"), names)
            values = [names.get("result")]
        else:
            module, _, path = request["function"].partition(":")
            function = importlib.import_module(module)
            for name in path.split("."):
                function = getattr(function, name)
            values = [function(*arguments) for arguments in request["argument_lists"]]
        return json.dumps({"values": values})
    except BaseException:  # the process must outlive a failing request, whatever it was
        return json.dumps({"error": traceback.format_exc()})
