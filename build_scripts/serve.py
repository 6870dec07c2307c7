"""Set up, build the handbook, and serve it on this machine.

    python3 build_scripts/serve.py [--port 8000] [--build-only]

Needs Python 3.11 or newer and pip; everything else is fetched into `.venv/` and `build/`.
"""

from __future__ import annotations

import argparse
import sys
from pathlib import Path

sys.path[0] = str(Path(__file__).resolve().parent.parent)  # the checkout, not this folder

from build_scripts import environment


def main() -> None:
    options = argparse.ArgumentParser(description="Build the handbook and serve it on this machine.")
    options.add_argument("--port", type=int, default=8000, help="where to serve it (default: 8000)")
    options.add_argument("--build-only", action="store_true", help="build site/ and stop")
    chosen = options.parse_args()
    environment.run_inside(__file__)

    from build_scripts import server, site

    folder = site.build()
    if chosen.build_only:
        print(f"Built {folder}")
        return
    try:
        running = server.make(folder, chosen.port)
    except (OSError, OverflowError) as error:
        sys.exit(f"Cannot serve at port {chosen.port}: {error}. Choose another with --port.")
    print(f"The handbook is at http://{server.HOST}:{running.server_port}/ (Ctrl+C ends it)", flush=True)
    try:
        running.serve_forever()
    except KeyboardInterrupt:
        print()


if __name__ == "__main__":
    main()
