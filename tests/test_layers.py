"""The package's arrows run one way, it imports nothing but the standard library, and its public names say what they are."""

from __future__ import annotations

import ast
import sys
from pathlib import Path

import pytest

PACKAGE = Path(__file__).resolve().parents[1] / "calculators"
LAYERS = [
    {"units", "reference"},
    {"working", "declare"},
    {"entries", "cautions", "lifting", "linear_programme"},
    {"topics"},
    {"catalogue"},
    {"plan", "examples"},
    {"view"},
    {"doors"},
    {"__main__"},
]
RANK = {name: rank for rank, names in enumerate(LAYERS) for name in names}
FILES = sorted(PACKAGE.rglob("*.py"))


def layer(module: str) -> str:
    parts = module.split(".")
    return parts[1] if len(parts) > 1 else ""


def imports(file: Path) -> list[str]:
    found = []
    for node in ast.walk(ast.parse(file.read_text("utf-8"))):
        if isinstance(node, ast.Import):
            found += [alias.name for alias in node.names]
        elif isinstance(node, ast.ImportFrom):
            assert node.level == 0, f"{file}: relative import"
            base = node.module or ""
            found += [f"{base}.{alias.name}" for alias in node.names] if base == "calculators" else [base]
    return found


@pytest.mark.parametrize("file", FILES, ids=lambda file: file.relative_to(PACKAGE).as_posix())
def test_arrows_run_one_way(file: Path) -> None:
    own = file.relative_to(PACKAGE).parts[0].removesuffix(".py")
    if own == "__init__":
        return
    for module in imports(file):
        top = module.split(".")[0]
        if top == "calculators":
            assert RANK[layer(module)] <= RANK[own], f"{file.name} imports {module}"
        elif file.name == "markdown_extension.py" and top == "markdown":
            continue
        else:
            assert top in sys.stdlib_module_names, f"{file.name} imports {module}"


def test_every_layer_is_named() -> None:
    found = {file.relative_to(PACKAGE).parts[0].removesuffix(".py") for file in FILES} - {"__init__"}
    assert found <= set(RANK), found - set(RANK)


@pytest.mark.parametrize("file", FILES, ids=lambda file: file.relative_to(PACKAGE).as_posix())
def test_public_names_have_docstrings(file: Path) -> None:
    tree = ast.parse(file.read_text("utf-8"))
    assert ast.get_docstring(tree), f"{file.name} has no docstring"
    for node in tree.body:
        if isinstance(node, (ast.FunctionDef, ast.ClassDef)) and not node.name.startswith("_"):
            assert ast.get_docstring(node), f"{file.name}: {node.name} has no docstring"
