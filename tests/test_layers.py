"""The package's arrows run one way, it imports nothing but the standard library, and its public names say what they are."""

from __future__ import annotations

import ast
import sys
from pathlib import Path

import pytest

PACKAGE = Path(__file__).resolve().parents[1] / "calculators"
LAYERS = [
    {"units", "reference"},
    {"known"},
    {"working", "declare"},
    {"entries", "cautions", "lifting", "linear_programme"},
    {"topics", "simulate", "drawing"},
    {"catalogue"},
    {"plan", "examples"},
    {"plan_file", "variants", "first_heaps", "drawn_years"},
    {"start", "workshop", "many"},
    {"view"},
    {"doors"},
    {"__main__"},
]
RANK = {name: rank for rank, names in enumerate(LAYERS) for name in names}
OUTSIDE = {
    "markdown": "doors/markdown_extension.py", "segno": "doors/qr_code.py", "xlsxwriter": "doors/spreadsheet.py",
    "dask": "doors/engines.py",
}  # fmt: skip
"""The only file that may import a library from elsewhere."""
FILES = sorted(PACKAGE.rglob("*.py"))


def layer(module: str) -> str:
    parts = module.split(".")
    return parts[1] if len(parts) > 1 else ""


def imports(file: Path, code: str) -> list[str]:
    """Every module that the code imports, within functions too."""
    found = []
    for node in ast.walk(ast.parse(code)):
        if isinstance(node, ast.Import):
            found += [alias.name for alias in node.names]
        elif isinstance(node, ast.ImportFrom):
            assert node.level == 0, f"{file}: relative import"
            base = node.module or ""
            found += [f"{base}.{alias.name}" for alias in node.names] if base == "calculators" else [base]
    return found


def wrong_arrows(file: Path, code: str) -> list[str]:
    """The imports of the code, were it that of the file, that it may not have."""
    own = file.relative_to(PACKAGE).parts[0].removesuffix(".py")
    found = []
    for module in imports(file, code):
        top = module.split(".")[0]
        if top == "calculators":
            if own == "__init__" or RANK[layer(module)] > RANK[own]:
                found.append(module)
        elif top not in sys.stdlib_module_names and OUTSIDE.get(top) != file.relative_to(PACKAGE).as_posix():
            found.append(module)
    return found


@pytest.mark.parametrize("file", FILES, ids=lambda file: file.relative_to(PACKAGE).as_posix())
def test_arrows_run_one_way(file: Path) -> None:
    assert wrong_arrows(file, file.read_text("utf-8")) == []


@pytest.mark.parametrize(
    ("file", "code"),
    [
        ("topics/mix.py", "from calculators.view import page"), ("topics/mix.py", "import calculators.plan"),
        ("topics/bays.py", "from calculators import doors"), ("units.py", "from calculators.entries import read"),
        ("reference/__init__.py", "from calculators.declare import Answer"), ("view/page.py", "import calculators.doors.browser"),
        ("plan.py", "from calculators.view.page import update"), ("working.py", "import numpy"),
        ("view/page.py", "import markdown"), ("lifting.py", "def f():\n    import markdown.util"),
        ("view/report.py", "import xlsxwriter"), ("doors/browser.py", "def f():\n    from xlsxwriter import Workbook"),
    ],
)  # fmt: skip
def test_a_wrong_arrow_is_found(file: str, code: str) -> None:
    """The check itself: each of these is told, at the top of a file or within a function."""
    assert wrong_arrows(PACKAGE / file, code)


@pytest.mark.parametrize("file", sorted((PACKAGE / "topics").glob("*.py")), ids=lambda file: file.name)
def test_topics_know_nothing_of_what_shows_them(file: Path) -> None:
    for module in imports(file, file.read_text("utf-8")):
        assert layer(module) not in ("view", "doors", "plan", "catalogue", "examples", "__main__"), module


def test_every_layer_is_named() -> None:
    found = {file.relative_to(PACKAGE).parts[0].removesuffix(".py") for file in FILES} - {"__init__"}
    assert found <= set(RANK), found - set(RANK)


@pytest.mark.parametrize("file", FILES, ids=lambda file: file.relative_to(PACKAGE).as_posix())
def test_public_names_have_docstrings(file: Path) -> None:
    tree = ast.parse(file.read_text("utf-8"))
    assert ast.get_docstring(tree), f"{file.name} has no docstring"
    assert without_docstring(tree) == []


def without_docstring(tree: ast.Module | ast.ClassDef) -> list[str]:
    """Public functions and classes, and their public methods, that say nothing of what they are.

    A method that only fills a hook of a class from elsewhere is described there.
    """
    found = []
    for node in tree.body:
        if isinstance(node, (ast.FunctionDef, ast.AsyncFunctionDef, ast.ClassDef)) and not node.name.startswith("_"):
            hook = isinstance(tree, ast.ClassDef) and bool(tree.bases)
            if not ast.get_docstring(node) and not hook:
                found.append(node.name)
            if isinstance(node, ast.ClassDef):
                found += [f"{node.name}.{name}" for name in without_docstring(node)]
    return found


def test_a_missing_docstring_is_found() -> None:
    tree = ast.parse('"""M."""\nclass A:\n    """A."""\n    def b(self): ...\n    def _c(self): ...\ndef d(): ...\n')
    assert without_docstring(tree) == ["A.b", "d"]
