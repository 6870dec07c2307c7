"""Which modules of Python's standard library go to the browser, and why.

Every byte of the library is fetched and unpacked before the first result, so only what the start-up of
Pyodide or the `calculators` package can need is shipped. Each top-level module of the stock library must
be named below, so that a new Pyodide release asks for a decision instead of growing the download. A longer
name overrides a shorter one: `xml` may be dropped while `xml.sax` is kept.

Modules written in C (math, json's accelerator, unicodedata, zlib ...) are part of the WebAssembly file and
are not listed: they are always there.
"""

from __future__ import annotations

from collections.abc import Mapping

KEPT: dict[str, str] = {
    "loaded when Pyodide starts": """
        _colorize _compression _opcode_metadata _pyodide _weakrefset ast asyncio bisect bz2 collections
        concurrent concurrent.futures contextlib contextvars copy copyreg dis encodings enum fnmatch
        functools glob heapq importlib inspect json keyword linecache logging opcode operator pathlib pyodide
        random re reprlib selectors shutil signal socket string struct subprocess tempfile textwrap
        threading token tokenize traceback types typing warnings weakref zipfile
        """,
    "codecs: UTF-8 and UTF-16 for files, Latin for old spreadsheets, 437 for zip archives": """
        encodings.aliases encodings.ascii encodings.cp1252 encodings.cp437 encodings.latin_1
        encodings.utf_16 encodings.utf_16_le encodings.utf_8 encodings.utf_8_sig
        """,
    "numbers, dates, data and text, as calculators use them": """
        __future__ _pylong _strptime base64 calendar csv dataclasses datetime decimal difflib fractions
        graphlib hashlib hmac html locale numbers pkgutil queue statistics urllib
        """,
    "imported by urllib.parse": """
        ipaddress
        """,
}

DROPPED: dict[str, str] = {
    "built into the WebAssembly file as frozen modules; copies in the library are never read": """
        _collections_abc _sitebuiltins abc codecs genericpath importlib._bootstrap
        importlib._bootstrap_external importlib.machinery importlib.util io ntpath os posixpath runpy site
        stat zipimport
        """,
    "stand-ins for what is there in C": """
        _py_abc _pydatetime _pyio _threading_local
        """,
    "other operating systems": """
        _android_support _apple_support _ios_support asyncio.proactor_events asyncio.windows_events
        asyncio.windows_utils multiprocessing.popen_spawn_win32 nturl2path
        """,
    "processes, terminals and files that a page does not have": """
        _pyrepl asyncio.__main__ cmd concurrent.futures.process fileinput getpass multiprocessing netrc pty
        rlcompleter sched shelve tty webbrowser
        """,
    "the network: a page's own fetch does this, and the handbook asks for nothing outside its site": """
        email encodings.idna ftplib http imaplib mailbox poplib pyodide.http smtplib socketserver
        urllib.error urllib.request urllib.response urllib.robotparser wsgiref xmlrpc
        """,
    "command lines; that door is used in CPython only": """
        argparse getopt gettext optparse
        """,
    "tools for whoever writes Python": """
        antigravity bdb cProfile code codeop compileall ctypes doctest filecmp json.tool modulefinder pdb
        pickletools profile pstats py_compile pyclbr pydoc pyodide.console symtable tabnanny this timeit trace
        tracemalloc unittest zipapp zipfile.__main__ __hello__ __phello__
        """,
    "installing and describing packages; ours is in the lock file": """
        importlib.metadata platform site-packages sysconfig _sysconfigdata__emscripten_wasm32-emscripten
        """,
    "formats that nothing here reads or writes": """
        _compat_pickle _markupbase colorsys configparser gzip html.entities html.parser logging.config logging.handlers
        mimetypes pickle plistlib pprint quopri secrets shlex stringprep tarfile tomllib uuid wave xml
        zoneinfo
        """,
    "renamed long ago": """
        sre_compile sre_constants sre_parse
        """,
    "character sets other than those kept": """
        encodings.*
        """,
}


# Written in place of a dropped module that something imports and does not use. Path in the archive: source.
STAND_INS: dict[str, str] = {
    # Python asks importlib.metadata to forget its caches whenever a package is unpacked. The real one would
    # bring the whole email package with it; without it there are no such caches.
    "importlib/metadata/__init__.py": """
class MetadataPathFinder:
    @classmethod
    def invalidate_caches(cls):
        pass
""",
    # Only html.unescape reads the names of letters, and nothing here calls it.
    "html/entities.py": "html5 = {}",
    # Pyodide's package loader imports tarfile before it looks whether the archive is one. Ours is a wheel.
    "tarfile.py": "",
}


def is_kept(path: str, more: Mapping[str, bool] | None = None) -> bool:
    """Whether the file at `path` in the stock library archive is shipped.

    `more` adds verdicts for the modules of another Python release. Raises KeyError if nothing names the
    path's top-level module.
    """
    verdicts = {**_VERDICTS, **(more or {})}
    parts = path.removesuffix(".py").split("/")
    if parts[-1] == "__init__":
        parts.pop()
    for length in range(len(parts), 0, -1):
        name = ".".join(parts[:length])
        if name in verdicts:
            return verdicts[name]
        everything_else = ".".join([*parts[: length - 1], "*"])
        if length > 1 and everything_else in verdicts:
            return verdicts[everything_else]
    raise KeyError(parts[0])


def _verdicts() -> dict[str, bool]:
    verdicts: dict[str, bool] = {}
    for group, kept in ((KEPT, True), (DROPPED, False)):
        for names in group.values():
            for name in names.split():
                if name in verdicts:
                    raise ValueError(f"standard_library.py names {name} twice")
                verdicts[name] = kept
    return verdicts


_VERDICTS = _verdicts()
