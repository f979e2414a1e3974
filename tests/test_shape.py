"""The house's shape: small modules and functions, and what is promised is written down."""

from __future__ import annotations

import ast
import subprocess
import sys
from pathlib import Path

from generator.cli import daybefore
from tests.command import ROOT, run

MODULES = sorted((ROOT / "generator").rglob("*.py"))


def test_modules_stay_under_300_lines_and_functions_under_40() -> None:
    for path in MODULES:
        text = path.read_text("utf-8")
        assert text.count("\n") < 300, path.name
        for node in ast.walk(ast.parse(text)):
            if isinstance(node, ast.FunctionDef):
                first = node.body[1] if ast.get_docstring(node) and len(node.body) > 1 else node.body[0]
                lines = (node.end_lineno or 0) - first.lineno + 1
                assert lines <= 40, f"{path.name}: {node.name} has {lines} lines"


def test_every_module_and_public_function_says_what_it_is() -> None:
    for path in MODULES:
        tree = ast.parse(path.read_text("utf-8"))
        assert ast.get_docstring(tree), path.name
        for node in tree.body:
            if isinstance(node, ast.FunctionDef | ast.ClassDef) and not node.name.startswith("_"):
                assert ast.get_docstring(node), f"{path.name}: {node.name}"


def test_every_command_has_help_and_stands_in_the_readme() -> None:
    readme = (ROOT / "README.md").read_text("utf-8")
    for name in daybefore.list_commands(None):  # type: ignore[arg-type]
        assert f"daybefore {name}" in readme, name
        assert run(name, "--help").exit_code == 0


def test_help_loads_no_command() -> None:
    """Help must stay quick: no templates, no database, no web server."""
    code = (
        "import sys; from click.testing import CliRunner; from generator.cli import daybefore; "
        "out = CliRunner().invoke(daybefore, ['--help']); assert out.exit_code == 0, out.output; "
        "assert 'build' in out.output; "
        "print([name for name in ('flask', 'jinja2', 'sqlalchemy', 'babel', 'qrcode') if name in sys.modules])"
    )
    assert _python(code) == "[]"


def test_the_project_speaks_of_itself_alone() -> None:
    for path in [*MODULES, *(ROOT / "templates").rglob("*.html"), ROOT / "README.md", ROOT / "DEVELOPERS.md"]:
        text = path.read_text("utf-8")
        assert str(ROOT) not in text, path.name
        assert "/home/" not in text, path.name


def _python(code: str) -> str:
    done = subprocess.run(
        [sys.executable, "-c", code], cwd=Path(ROOT), capture_output=True, text=True, check=True
    )
    return done.stdout.strip()
